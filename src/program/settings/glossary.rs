//! `[[glossary]]`: words of the trade and what they mean.

use crate::finding::Place;
use crate::program::Written;
use crate::program::form::Form;
use crate::program::lesson::Prose;

/// A term of the glossary.
#[derive(Clone, Debug)]
pub struct Term {
    pub term: String,
    pub meaning: Prose,
    /// The lesson that tells more.
    pub lesson: Option<Written>,
    /// Where the term stands.
    pub place: Place,
}

impl Term {
    pub(super) fn read(mut table: Form) -> Self {
        let term = table.need_text("term", "high line");
        let read = Self {
            term: term.text,
            meaning: table.need_prose("meaning", "A rope stretched overhead to tie animals to."),
            lesson: table.text("lesson"),
            place: term.place,
        };
        table.finish();
        read
    }
}
