//! The one type for everything that is wrong: mistakes in input files and what proofreading finds.
//!
//! Every room gives back its value and its findings; only [`crate::commands`] prints them.

mod place;

pub use place::{FileName, LineColumn, Place, Sources};
use serde::Serialize;

/// How much a finding weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Level {
    /// For the editor to know; does not change the exit code.
    Note,
    /// To be mended before print; pieces are made all the same.
    Warning,
    /// Wrong in print.
    Error,
}

impl Level {
    /// As it is written in `program.toml` and told.
    pub fn word(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Warning => "warning",
            Self::Error => "error",
        }
    }
}

/// Something that an editor should look at, in words that stand alone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// The rule's name, which states the condition: `figure-drift`. Each has a page under `docs/rules/`.
    pub rule: &'static str,
    pub level: Level,
    pub place: Place,
    /// What is wrong, in a sentence that can be read without the rest.
    pub message: String,
    /// The words at the place, as they stand there.
    pub says: String,
    /// What the fact says, where a fact is concerned.
    pub fact_says: Option<String>,
    /// The words to put there instead, where they can be offered. As personal as what it says.
    pub instead: Option<String>,
    /// How to mend it: one hint that does not repeat the message.
    pub mend: Option<String>,
    /// Whether `make` must not print while this stands.
    pub stops_press: bool,
}

impl Finding {
    pub fn new(rule: &'static str, level: Level, place: Place, message: impl Into<String>) -> Self {
        Self {
            rule,
            level,
            place,
            message: message.into(),
            says: String::new(),
            fact_says: None,
            instead: None,
            mend: None,
            stops_press: false,
        }
    }

    pub fn error(rule: &'static str, place: Place, message: impl Into<String>) -> Self {
        Self::new(rule, Level::Error, place, message)
    }

    pub fn warning(rule: &'static str, place: Place, message: impl Into<String>) -> Self {
        Self::new(rule, Level::Warning, place, message)
    }

    pub fn note(rule: &'static str, place: Place, message: impl Into<String>) -> Self {
        Self::new(rule, Level::Note, place, message)
    }

    pub fn says(mut self, words: impl Into<String>) -> Self {
        self.says = words.into();
        self
    }

    pub fn fact_says(mut self, words: impl Into<String>) -> Self {
        self.fact_says = Some(words.into());
        self
    }

    pub fn instead(mut self, words: impl Into<String>) -> Self {
        self.instead = Some(words.into());
        self
    }

    pub fn mend(mut self, hint: impl Into<String>) -> Self {
        self.mend = Some(hint.into());
        self
    }

    pub fn stops_press(mut self, stops: bool) -> Self {
        self.stops_press = stops;
        self
    }
}
