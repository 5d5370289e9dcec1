//! Arguments → command → exit code. The clock and the current folder come in here and nowhere else.

use clap::Parser;
use packstring::commands::{self, Arguments, Desk};
use packstring::hindrance::in_words;
use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(slip) => {
            let Some(told) = commands::slip::told(&slip) else { slip.exit() };
            eprintln!("{told}");
            return commands::Outcome::NotDone.into();
        }
    };
    let desk = match Desk::here() {
        Ok(desk) => desk,
        Err(error) => {
            eprintln!("The current folder cannot be read: {}.", in_words(&error));
            return commands::Outcome::NotDone.into();
        }
    };
    commands::run(arguments, &desk).into()
}
