//! A certificate given anew with corrected words: it points to the first one, which no longer counts.

use super::{Session, SessionError, note_register, signing};
use crate::credential::number::Number;
use crate::finding::{Level, Place};
use crate::people::credit::replacement::{corrected_words, replacement};
use crate::program::register::{Entry, Register};
use crate::shelf::register;

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
        let told = self.press()?.letters().told_of(&printed, &Place::whole(""));
        if let Some(missing) = told.filter(|it| it.level == Level::Error) {
            return Err(SessionError::said(missing.message));
        }
        let signing = signing(program, self.environment)?;
        let decide = |register: &Register| {
            let given = replacement(program, register, number, &words, self.environment.today);
            let given = given.map_err(|why| SessionError::said(why.to_string()))?;
            Ok::<_, SessionError>(vec![Entry::Given(Box::new(signing.signed(given, program)))])
        };
        let added = register::add(&program.folder, signing.key(), decide)?;
        note_register(&program.folder, Some(&self.out), &added.register);
        match added.entries.into_iter().next() {
            Some(Entry::Given(given)) => Ok(given.number),
            _ => Err(SessionError::said(format!("No certificate {number} was ever given."))),
        }
    }
}
