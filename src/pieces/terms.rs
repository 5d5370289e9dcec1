//! Words that are looked for in running text: terms of the glossary, words that facts are called by.

use std::collections::BTreeSet;
use std::ops::Range;
use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

/// What words are sorted and told apart by: without accents and capitals.
pub fn key(words: &str) -> String {
    words.nfd().filter(|&letter| !is_combining_mark(letter)).flat_map(char::to_lowercase).collect()
}

pub fn two_letters(words: &str) -> bool {
    words.chars().filter(|letter| letter.is_alphabetic()).count() >= 2
}

/// The words to look for, the longest first. A plural is found by its singular.
pub fn wanted<'w>(words: impl Iterator<Item = &'w str>) -> Vec<&'w str> {
    let all: BTreeSet<&str> = words.filter(|words| two_letters(words)).collect();
    let is_plural = |words: &str| words.strip_suffix('s').is_some_and(|singular| all.contains(singular));
    let mut wanted: Vec<&str> = all.iter().copied().filter(|words| !is_plural(words)).collect();
    wanted.sort_by_key(|words| std::cmp::Reverse(words.len()));
    wanted
}

/// Where the first of the words stands whole in a text, and which one it is.
pub fn next<'w>(text: &str, words: &[&'w str]) -> Option<(Range<usize>, &'w str)> {
    let mut before = ' ';
    text.char_indices().find_map(|(at, letter)| {
        let inside = std::mem::replace(&mut before, letter).is_alphanumeric();
        let (word, length) = found_at(&text[at..], words).filter(|_| !inside)?;
        Some((at..at + length, word))
    })
}

/// The word that a text begins with, whatever its capitals, and how many bytes it takes; a plural in
/// “s” is the word too.
fn found_at<'w>(text: &str, words: &[&'w str]) -> Option<(&'w str, usize)> {
    let ends = |rest: &str| !rest.starts_with(char::is_alphanumeric);
    words.iter().find_map(|word| {
        let length = same_start(text, word)?;
        let rest = &text[length..];
        if ends(rest) {
            return Some((*word, length));
        }
        rest.strip_prefix('s').filter(|rest| ends(rest)).map(|_| (*word, length + 1))
    })
}

/// How many bytes of a text are the word, whatever its capitals.
fn same_start(text: &str, word: &str) -> Option<usize> {
    let mut letters = text.chars();
    let mut length = 0;
    for wanted in word.chars() {
        let letter = letters.next()?;
        if letter != wanted && !letter.to_lowercase().eq(wanted.to_lowercase()) {
            return None;
        }
        length += letter.len_utf8();
    }
    Some(length)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn accents_and_capitals_do_not_part_the_alphabet() {
        assert_eq!(key("Éclair ÉTÉ"), "eclair ete");
        assert!(key("Ärmel") < key("Bach"));
    }

    #[test]
    fn a_word_is_found_whole() {
        let words = wanted(["high line", "tack"].into_iter());
        assert_eq!(next("A haystack, High Lines", &words), Some((12..22, "high line")));
        assert_eq!(next("stacks", &words), None);
    }
}
