//! A program that is held open, read again after its files changed.

use super::decisions::Taken;
use super::theme::theme_of;
use super::{HeldPeople, Session, SessionError, decisions, people_apart};
use crate::program::reopen;
use std::sync::OnceLock;

impl Session<'_> {
    /// Reads the program folder again. What did not change is kept: lessons, figures that were read, answers that
    /// were judged, and what the press laid out. A people file with mistakes holds what is made of people, as it does
    /// where a session is opened to make.
    ///
    /// # Errors
    /// Another file has mistakes: all of them. Or the ranger's decisions, where they were taken in, or the theme
    /// cannot be read. What the session knew before stays as it was.
    pub fn refresh(&mut self) -> Result<(), SessionError> {
        let (mut program, held_people) = match reopen(&self.program) {
            Ok(program) => (program, HeldPeople::default()),
            Err(unread) => people_apart(unread).map_err(|unread| SessionError::Unread(Box::new(unread)))?,
        };
        let take_in = |program: &mut _, session: &mut Self| {
            decisions::take_in(program, &session.out, &mut session.decisions)
        };
        match &self.decided {
            Taken::No => {}
            Taken::Needed => take_in(&mut program, self)?,
            Taken::Looked(_) => {
                let taken = take_in(&mut program, self);
                self.decided = Taken::Looked(taken.err().map(|error| error.to_string()));
            }
        }
        let themes = [&self.program, &program].map(|it| it.content.settings.theme.is_some());
        let is_same = match self.press.get() {
            Some(press) if themes.contains(&true) => press.has_theme(&theme_of(&program)?),
            Some(_) | None => true,
        };
        match self.press.get() {
            Some(press) if is_same => press.look_at_pictures_again(),
            _ => self.press = OnceLock::new(),
        }
        self.program = program;
        self.held_people = held_people;
        Ok(())
    }
}

#[cfg(test)]
mod tests;
