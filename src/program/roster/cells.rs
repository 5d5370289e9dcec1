//! What a cell answers to yes or no, in every language and with the marks of lists; and which language it names.

use crate::languages::{self, in_all};
use crate::program::settings::OwnWords;
use std::sync::LazyLock;

pub(super) enum Answer {
    Yes,
    No,
    /// The cell is empty.
    Nothing,
    Unclear,
}

/// Yes and no in languages that have no folder here (after the `yesstr` and `nostr` of the Unicode CLDR, from
/// memory). No word of one means the other in another.
const YES_ELSEWHERE: [&str; 20] = [
    "ja", "oui", "sim", "sì", "tak", "ano", "áno", "igen", "da", "evet", "да", "так", "ναι", "はい", "是",
    "예", "نعم", "כן", "có", "kyllä",
];
const NO_ELSEWHERE: [&str; 20] = [
    "nein",
    "non",
    "não",
    "nao",
    "nie",
    "nee",
    "nej",
    "nei",
    "nem",
    "hayır",
    "нет",
    "ні",
    "όχι",
    "いいえ",
    "否",
    "아니오",
    "لا",
    "לא",
    "không",
    "ei",
];

/// The marks of lists, which are of no language.
const YES: [&str; 5] = ["1", "x", "✓", "✔", "☑"];
const NO: [&str; 6] = ["0", "-", "–", "✗", "✘", "☐"];

/// All words, gathered once: a roster has many cells.
static ALL_YES: LazyLock<Vec<&str>> =
    LazyLock::new(|| in_all(|language| &language.cells.yes).chain(YES).chain(YES_ELSEWHERE).collect());
static ALL_NO: LazyLock<Vec<&str>> =
    LazyLock::new(|| in_all(|language| &language.cells.no).chain(NO).chain(NO_ELSEWHERE).collect());

/// What a cell answers; the words that the program names come first.
pub(super) fn answer(value: &str, own: &OwnWords) -> Answer {
    let named =
        |words: &[String]| words.iter().any(|word| word.to_lowercase() == value.trim().to_lowercase());
    if !value.is_empty() && !own.is_empty() {
        match (named(&own.yes), named(&own.no)) {
            (true, _) => return Answer::Yes,
            (_, true) => return Answer::No,
            _ => {}
        }
    }
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
