//! A certificate withdrawn: it no longer counts, and the register says why.

use super::{Environment, Session, SessionError, note_register, signing};
use crate::credential::number::Number;
use crate::program::Program;
use crate::program::register::{Entry, Register, State, Withdrawn};
use crate::shelf::register;
use crate::spelling::marks;
use std::path::Path;

impl Session<'_> {
    /// Withdraws a certificate.
    ///
    /// # Errors
    /// It does not count any more, no reason is given, or the register cannot be written; it is then as it was.
    pub fn withdraw_certificate(&mut self, number: &Number, because: &str) -> Result<(), SessionError> {
        self.check_places()?;
        withdraw(&self.program, Some(&self.out), number, because, self.environment)
    }
}

/// The same of a program whose register was checked. `out`: the out folder that is to know the register, too.
///
/// # Errors
/// As [`Session::withdraw_certificate`].
pub fn withdraw(
    program: &Program,
    out: Option<&Path>,
    number: &Number,
    because: &str,
    environment: &Environment,
) -> Result<(), SessionError> {
    let why = on_one_line(because);
    if why.is_empty() {
        return Err(SessionError::said("Say why the certificate is withdrawn, with --because \"…\"."));
    }
    let signing = signing(program, environment)?;
    let added =
        register::add(&program.folder, signing.key(), |register| match hindrance(register, number) {
            Some(hindrance) => Err(SessionError::Said(hindrance)),
            None => {
                let (number, day) = (number.clone(), environment.today);
                Ok(vec![Entry::Withdrawn(Withdrawn { number, day, why: why.clone() })])
            }
        })?;
    note_register(&program.folder, out, &added.register);
    Ok(())
}

/// Why a certificate cannot be withdrawn.
fn hindrance(register: &Register, number: &Number) -> Option<String> {
    if register.given(number).is_none() {
        return Some(format!("No certificate {number} was ever given. See `packstring certificates list`."));
    }
    match register.state(number) {
        State::Valid => None,
        State::Withdrawn(line) => {
            Some(format!("{number} was withdrawn before, on {}: {}", line.day, on_one_line(&line.why)))
        }
        State::Replaced(by) => {
            Some(format!("{number} was replaced by {by} and no longer counts. Withdraw that one."))
        }
    }
}

/// A reason on one line, without anything that would steer a terminal.
fn on_one_line(words: &str) -> String {
    let words: String = words.split_whitespace().collect::<Vec<_>>().join(" ");
    let plain = |letter: char| if letter.is_control() { '\u{fffd}' } else { letter };
    marks::shown(&words.chars().map(plain).collect::<String>()).into_owned()
}
