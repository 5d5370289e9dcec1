//! `[reading]`: how hard the lessons may be to read.

use crate::program::form::Form;

/// Words that a presenter reads aloud in a minute, where the program does not say (common practice, no
/// source).
const WORDS_A_MINUTE: u32 = 140;

/// The limits of the reading level; none means that nothing is told.
#[derive(Clone, Debug)]
pub struct Reading {
    /// The highest Flesch–Kincaid grade.
    pub grade: Option<u32>,
    /// The most words that a slide may show.
    pub slide_words: Option<u32>,
    /// Words read aloud in a minute.
    pub words_a_minute: u32,
}

impl Default for Reading {
    fn default() -> Self {
        Self { grade: None, slide_words: None, words_a_minute: WORDS_A_MINUTE }
    }
}

impl Reading {
    pub(super) fn read(mut table: Form) -> Self {
        let reading = Self {
            grade: table.count("grade"),
            slide_words: table.count("slide-words"),
            words_a_minute: table.count("words-a-minute").unwrap_or(WORDS_A_MINUTE),
        };
        table.finish();
        reading
    }
}
