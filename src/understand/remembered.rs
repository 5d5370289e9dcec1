//! What stays known of a program that is held open, from one state of its files to the next.

use crate::quantity::Language;
use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

/// The languages of a program with the texts that were read in them. What the last state did not have is forgotten.
#[derive(Debug, Default)]
pub struct Remembered(Mutex<BTreeMap<Spoken, Language>>);

/// A BCP 47 tag, and the program's own words for what is counted.
type Spoken = (String, Vec<(String, String)>);

impl Remembered {
    pub(super) fn language(&self, tag: &str, nouns: &[(String, String)]) -> Language {
        let mut languages = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let spoken = (tag.to_owned(), nouns.to_vec());
        languages.entry(spoken).or_insert_with(|| Language::of(tag, nouns)).clone()
    }

    /// Begins a new round. A language that nothing was read in since the last one is forgotten.
    pub(super) fn turn_over(&self) {
        let mut languages = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        languages.values().for_each(Language::turn_over);
        languages.retain(|_, language| language.remembered() > 0);
    }

    /// How many texts the last state had that the one before had not.
    pub fn read_anew(&self) -> usize {
        let languages = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        languages.values().map(Language::read_anew).sum()
    }
}
