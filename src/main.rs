//! Arguments → command → exit code. The clock and the current folder come in here and nowhere else.

use clap::Parser;
use packstring::commands::{self, Arguments};
use packstring::session::Environment;
use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            let Some(told) = commands::usage::told(&error) else { error.exit() };
            commands::tell_aside(&told);
            return commands::Outcome::NotDone.into();
        }
    };
    let environment = match Environment::here(commands::report::bold_on_stdout()) {
        Ok(environment) => environment,
        Err(error) => {
            commands::tell_aside(&error.to_string());
            return commands::Outcome::NotDone.into();
        }
    };
    commands::run(arguments, &environment).into()
}
