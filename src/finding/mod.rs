//! The one type for everything that is wrong: mistakes in input files and what proofreading finds.
//!
//! Every room gives back its value and its findings; only [`crate::commands`] prints them. A finding points at its
//! [`Rule`], which is a constant: those of proofreading stand there, all others in [`rules`].

mod place;
mod rule;
pub mod rules;

pub use place::{FileName, Grid, GridCell, LineColumn, Place, Sources};
pub use rule::{Rule, Settable};
use schemars::JsonSchema;
use serde::Serialize;

/// How much a finding weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, JsonSchema)]
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
    pub rule: &'static Rule,
    /// As a rule, that of its rule; a program may set another.
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
    /// One that weighs as its rule does.
    pub fn of(rule: &'static Rule, place: impl Into<Place>, message: impl Into<String>) -> Self {
        Self {
            rule,
            level: rule.level,
            place: place.into(),
            message: message.into(),
            says: String::new(),
            fact_says: None,
            instead: None,
            mend: None,
            stops_press: false,
        }
    }

    /// For the few that weigh otherwise than their rule.
    pub fn weighs(mut self, level: Level) -> Self {
        self.level = level;
        self
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
