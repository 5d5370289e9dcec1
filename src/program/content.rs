//! What a program says in one language: everything but its people.

use super::facts::at_events::AtEvent;
use super::{Fact, Kit, Lesson, PictureFile, Questions, Settings, Spoken, editions, unlisted};
use crate::quantity::OwnUnits;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Facts, lessons, questions, kits and settings, in the words of one edition.
#[derive(Clone, Debug)]
pub struct Content {
    pub settings: Settings,
    /// The facts as they are where no event says otherwise, in the order of the file.
    pub facts: Vec<Fact>,
    /// What its contacts and events are, as facts ([`given`](super::facts::given)).
    pub given: Vec<Fact>,
    /// Units of the program's own.
    pub units: OwnUnits,
    /// What is otherwise at some events.
    pub at_events: Vec<AtEvent>,
    /// In the order of the syllabus.
    pub lessons: Vec<Arc<Lesson>>,
    /// Lesson files that nothing prints.
    pub unlisted: Vec<unlisted::Unlisted>,
    /// What is at the path of each picture that the lessons show ([`super::pictures::look`]) and that the
    /// certificates do ([`super::pictures::named`]).
    pub pictures: BTreeMap<String, PictureFile>,
    /// The words that stand in the drawings that the lessons show ([`super::pictures::look`]).
    pub drawn: BTreeMap<String, Vec<String>>,
    pub questions: Questions,
    pub kits: Vec<Kit>,
    /// All languages of the program, the main one first; an edition knows of the others too.
    pub languages: Vec<Spoken>,
    /// Of an edition: the language of what it has from the main one.
    pub fallback_language: Option<String>,
    /// Words for things that are counted, with what they are called in the facts file: `campamentos`, `camps`.
    pub nouns: Vec<(String, String)>,
}

impl Content {
    /// The language of what stands in a file.
    pub fn language_of(&self, file: &str) -> &str {
        match &self.fallback_language {
            Some(main) if !editions::owns(&self.settings.language, file) => main,
            _ => &self.settings.language,
        }
    }

    /// The facts as they are at an event, in the order of the file.
    pub fn facts_at(&self, event: &str) -> Vec<&Fact> {
        let others = self.at_events.iter().filter(|at| at.event.text == event).flat_map(|at| &at.facts);
        self.facts
            .iter()
            .map(|fact| others.clone().find(|other| other.name == fact.name).unwrap_or(fact))
            .collect()
    }
}
