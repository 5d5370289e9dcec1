//! `[[awards]]`: what hours of service earn.

use crate::finding::Place;
use crate::program::Written;
use crate::program::form::Form;

/// What so many hours of service earn, in all seasons together.
#[derive(Clone, Debug)]
pub struct Award {
    pub name: String,
    pub hours: u32,
    pub reward: Option<Written>,
    /// What it was called when it was given to others.
    pub was: Vec<Written>,
    /// Where its name stands.
    pub place: Place,
}

impl Award {
    pub(super) fn read(mut table: Form) -> Self {
        let name = table.need_text("name", "Trail Hand");
        let award = Self {
            name: name.text,
            hours: table.need_count("hours", "30"),
            reward: table.text("reward"),
            was: table.one_or_more("was"),
            place: name.place,
        };
        table.finish();
        award
    }

    /// Whether this is its name, or was.
    pub fn is_called(&self, name: &str) -> bool {
        self.name == name || self.was.iter().any(|was| was.text == name)
    }
}
