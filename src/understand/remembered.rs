//! What stays known of a program that is held open, from one state of its files to the next.

use crate::quantity::{Language, OwnUnits};
use std::collections::BTreeMap;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// The languages of a program with the texts that were read in them. What the last state did not have is forgotten.
#[derive(Debug, Default)]
pub struct Remembered(Mutex<Languages>);

#[derive(Debug, Default)]
struct Languages {
    /// The program's own units, by which all of them read.
    units: OwnUnits,
    by_words: BTreeMap<Spoken, Language>,
}

/// A BCP 47 tag, and the program's own words for what is counted.
type Spoken = (String, Vec<(String, String)>);

impl Remembered {
    pub(super) fn language(&self, tag: &str, nouns: &[(String, String)], units: &OwnUnits) -> Language {
        let mut languages = self.languages();
        if languages.units != *units {
            *languages = Languages { units: units.clone(), by_words: BTreeMap::new() };
        }
        let spoken = (tag.to_owned(), nouns.to_vec());
        let language = || Language::of(tag, nouns).with_units(units);
        languages.by_words.entry(spoken).or_insert_with(language).clone()
    }

    /// Begins a new round. A language that nothing was read in since the last one is forgotten.
    pub(super) fn turn_over(&self) {
        let by_words = &mut self.languages().by_words;
        by_words.values().for_each(Language::turn_over);
        by_words.retain(|_, language| language.remembered() > 0);
    }

    fn languages(&self) -> MutexGuard<'_, Languages> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// How many texts the last state had that the one before had not.
    pub fn read_anew(&self) -> usize {
        self.languages().by_words.values().map(Language::read_anew).sum()
    }
}
