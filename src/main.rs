//! Arguments → command → exit code. The clock and the current folder come in here and nowhere else.

use clap::Parser;
use packstring::commands::{self, Arguments, Desk};
use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let desk = match Desk::here() {
        Ok(desk) => desk,
        Err(error) => {
            eprintln!("The current folder cannot be read: {error}.");
            return commands::Outcome::NotDone.into();
        }
    };
    commands::run(arguments, &desk).into()
}
