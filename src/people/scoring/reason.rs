//! Why an answer is worth what it is: sentences of the theme's words, filled in with words of the answer and of the
//! fact. Which language they are told in is for whoever tells them.

use crate::words::{Words, filled_in};
use serde_json::Value;
use std::fmt;

/// The table of the theme's words that has a sentence for each key.
const TABLE: [&str; 2] = ["scoring-sheet", "reasons"];

/// Sentences that say why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reason(Vec<Sentence>);

#[derive(Clone, Debug, PartialEq, Eq)]
struct Sentence {
    key: &'static str,
    fill: Vec<(&'static str, String)>,
}

impl Reason {
    pub(super) fn of(key: &'static str, fill: &[(&'static str, &str)]) -> Self {
        let fill = fill.iter().map(|(name, words)| (*name, (*words).to_owned())).collect();
        Self(vec![Sentence { key, fill }])
    }

    /// With another sentence behind it.
    pub(super) fn and(mut self, key: &'static str, fill: &[(&'static str, &str)]) -> Self {
        self.0.extend(Self::of(key, fill).0);
        self
    }

    /// Whether it is just this sentence.
    pub fn is(&self, key: &str) -> bool {
        matches!(self.0.as_slice(), [only] if only.key == key)
    }

    /// In the words of a language, as the theme has them.
    pub fn told(&self, words: &Value) -> String {
        told(&self.0, words)
    }
}

/// A sentence of the table that needs nothing filled in.
pub fn plain_reason(key: &'static str, words: &Value) -> String {
    Reason::of(key, &[]).told(words)
}

fn told(sentences: &[Sentence], words: &Value) -> String {
    let one = |sentence: &Sentence| {
        let pattern = words[TABLE[0]][TABLE[1]][sentence.key].as_str().unwrap_or(sentence.key);
        filled_in(pattern, |name| {
            sentence.fill.iter().find(|(known, _)| *known == name).map(|(_, words)| words.as_str())
        })
    };
    sentences.iter().map(one).collect::<Vec<_>>().join(" ")
}

/// In English, as it is told where no theme is at hand.
impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.told(&Words::default().of("en")))
    }
}
