//! Arguments → command → exit code. The clock and the current folder come in here and nowhere else.

use packstring::commands::{self, Arguments};
use packstring::session::Environment;
use packstring::{limits, press};
use std::process::ExitCode;
use std::time::Duration;

/// How long one file may take to make: `PACKSTRING_SECONDS`, for a machine that is very slow.
fn longest() -> Duration {
    let said = std::env::var("PACKSTRING_SECONDS").ok().and_then(|said| said.parse().ok());
    Duration::from_secs(said.unwrap_or(limits::SECONDS))
}

fn main() -> ExitCode {
    press::on_overrun(longest(), |why| {
        eprintln!("{why}");
        std::process::exit(commands::Outcome::NotDone as i32);
    });
    let arguments = match Arguments::from_command_line() {
        Ok(arguments) => arguments,
        Err(error) => return commands::answer(&error).into(),
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
