//! What a cell answers to yes or no, in every language and with the marks of lists; and which language it names.

use crate::languages::{self, in_all};
use std::sync::LazyLock;

pub(super) enum Answer {
    Yes,
    No,
    /// The cell is empty.
    Nothing,
    Unclear,
}

/// The marks of lists, which are of no language.
const YES: [&str; 5] = ["1", "x", "✓", "✔", "☑"];
const NO: [&str; 6] = ["0", "-", "–", "✗", "✘", "☐"];

/// All words, gathered once: a roster has many cells.
static ALL_YES: LazyLock<Vec<&str>> =
    LazyLock::new(|| in_all(|language| &language.cells.yes).chain(YES).collect());
static ALL_NO: LazyLock<Vec<&str>> =
    LazyLock::new(|| in_all(|language| &language.cells.no).chain(NO).collect());

pub(super) fn answer(value: &str) -> Answer {
    let is = |words: &[&str]| {
        words.iter().any(|word| value.eq_ignore_ascii_case(word))
            || (!value.is_ascii() && words.contains(&value.to_lowercase().as_str()))
    };
    match () {
        () if value.is_empty() => Answer::Nothing,
        () if is(&ALL_YES) => Answer::Yes,
        () if is(&ALL_NO) => Answer::No,
        () => Answer::Unclear,
    }
}

/// The tag of a language by what people call it; other words as they are.
pub(super) fn language(value: &str) -> &str {
    languages::called(value).unwrap_or(value)
}
