//! `packstring certificates withdraw`: a certificate no longer counts, and the register says why.

use crate::commands::report::plain;
use crate::commands::{CommandError, Outcome};
use crate::credential::number::Number;
use crate::program::Program;
use crate::program::register::{Entry, Register, State, Withdrawn};
use crate::session::{Environment, note_register, signing};
use crate::shelf::register;
use std::io::Write;

pub fn run(
    program: &Program,
    number: &Number,
    because: &str,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    let why = plain(because);
    if why.is_empty() {
        return Err(CommandError::said("Say why the certificate is withdrawn, with --because \"…\"."));
    }
    let signing = signing(program, environment)?;
    let added =
        register::add(&program.folder, signing.key(), |register| match hindrance(register, number) {
            Some(hindrance) => Err(CommandError::Said(hindrance)),
            None => {
                let (number, day) = (number.clone(), environment.today);
                Ok(vec![Entry::Withdrawn(Withdrawn { number, day, why: why.clone() })])
            }
        })?;
    note_register(&program.folder, None, &added.register);
    writeln!(
        out,
        "{number} is withdrawn. Its number is not used again, and packstring does not give the certificate again on its own."
    )?;
    writeln!(
        out,
        "The next full `packstring make` removes its PDF. Withdrawn in error? `packstring certificates replace {number}` gives a new one."
    )?;
    Ok(Outcome::Clear)
}

/// Why a certificate cannot be withdrawn.
fn hindrance(register: &Register, number: &Number) -> Option<String> {
    if register.given(number).is_none() {
        return Some(format!("No certificate {number} was ever given. See `packstring certificates list`."));
    }
    match register.state(number) {
        State::Valid => None,
        State::Withdrawn(line) => {
            Some(format!("{number} was withdrawn before, on {}: {}", line.day, plain(&line.why)))
        }
        State::Replaced(by) => {
            Some(format!("{number} was replaced by {by} and no longer counts. Withdraw that one."))
        }
    }
}
