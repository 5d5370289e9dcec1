//! A certificate given anew with corrected words: it points to the first one, which no longer counts.

use super::crediting::told_of_letters;
use super::{Session, SessionError, Signing, note_register, signing};
use crate::credential::number::Number;
use crate::people::credit::replacement::{corrected_words, replacement};
use crate::program::Program;
use crate::program::register::{Entry, Given, Register};
use crate::shelf::register::{self, RegisterError};
use std::path::Path;

impl Session<'_> {
    /// Gives a certificate anew, with the name and the companion that the roster has by now. Gives the new number.
    ///
    /// # Errors
    /// The roster does not clearly say what is to stand there, no font has a letter of it, the certificate does not count
    /// any more, or the register cannot be written; it is then as it was.
    pub fn replace_certificate(&mut self, number: &Number) -> Result<Number, SessionError> {
        self.check_places()?;
        let program = &self.program;
        let words = corrected_words(program, number).ok_or_else(|| {
            SessionError::said(format!("The roster does not clearly say what should replace {number}."))
        })?;
        let printed: Vec<&str> =
            [&words.name, &words.companion].into_iter().flatten().map(String::as_str).collect();
        told_of_letters(self.press()?.letters(), &printed)?;
        let signing = signing(program, self.environment)?;
        let entries = add_signed(program, Some(&self.out), &signing, |register| {
            let given = replacement(program, register, number, &words, self.environment.today);
            given.map(|given| vec![given]).map_err(|why| SessionError::said(why.to_string()))
        })?;
        match entries.into_iter().next() {
            Some(Entry::Given(given)) => Ok(given.number),
            _ => Err(SessionError::said(format!("No certificate {number} was ever given."))),
        }
    }
}

/// Adds what is decided on the register as it is under the lock, signed. Gives the new lines' entries. `out`: the out
/// folder that is to know the register, too.
///
/// # Errors
/// Why nothing is to be added, or that the register cannot be written.
pub fn add_signed<E: From<RegisterError>>(
    program: &Program,
    out: Option<&Path>,
    signing: &Signing,
    decide: impl FnOnce(&Register) -> Result<Vec<Given>, E>,
) -> Result<Vec<Entry>, E> {
    let added = register::add(&program.folder, signing.key(), |register| {
        let signed = decide(register)?.into_iter().map(|given| signing.signed(given, program));
        Ok::<_, E>(signed.map(|given| Entry::Given(Box::new(given))).collect())
    })?;
    note_register(&program.folder, out, &added.register);
    Ok(added.entries)
}
