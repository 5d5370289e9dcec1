//! Putting words into the files: where they stand there, and how they are written there.

use crate::finding::Place;
use crate::understand::{Passage, Understood};
use std::ops::Range;
use std::sync::Arc;

/// How text stands in a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Written {
    /// In a Markdown file.
    Plain,
    /// In a TOML string with `"` or `"""`.
    Basic,
    /// In a TOML string with `'` or `'''`, which knows no escapes.
    Literal,
}

/// The file in which a text stands, and how it is written there.
pub(super) struct Source {
    pub text: Arc<str>,
    written: Written,
    /// Whether it is read as Markdown.
    is_markdown: bool,
}

impl Source {
    pub fn of(understood: &Understood, passage: &Passage) -> Self {
        Self { is_markdown: true, ..Self::of_value(understood, &passage.place) }
    }

    /// The source of a value that is no prose; `place` is what stands between its quotation marks.
    pub fn of_value(understood: &Understood, place: &Place) -> Self {
        let text = understood.root.sources.text(&place.file).cloned().unwrap_or_default();
        let before = text.get(..place.range.start).unwrap_or("");
        let written = match before.trim_end_matches(['\n', '\r']).chars().next_back() {
            _ if !place.file.ends_with(".toml") => Written::Plain,
            Some('\'') => Written::Literal,
            _ => Written::Basic,
        };
        Self { text, written, is_markdown: false }
    }

    /// The edits that make words at a range of the file into others. Only what differs is touched.
    ///
    /// # Errors
    /// A sentence: the words are written there in a way that cannot be followed.
    pub fn rewritten(
        &self,
        range: &Range<usize>,
        was: &str,
        now: &str,
    ) -> Result<Vec<(Range<usize>, String)>, String> {
        let stands = &self.text[range.clone()];
        let Some(places) = align(was, stands) else {
            return Err(
                "Codes or a backslash stand among its signs, so that it has to be changed by hand.".into()
            );
        };
        let mut edits = Vec::new();
        for (at, to) in differences(was, now) {
            let (start, end) = (places[at.start].1, places[at.end].0);
            edits.push((range.start + start..range.start + end.max(start), self.written(&to)?));
        }
        Ok(edits)
    }

    /// Words as they have to be written in the file.
    ///
    /// # Errors
    /// A sentence: the string in which they would stand has no room for one of their signs.
    pub fn written(&self, words: &str) -> Result<String, String> {
        let mut text = String::new();
        for letter in words.chars() {
            if self.is_markdown && "\\`*_[]<>&~|".contains(letter) {
                text.push('\\');
            }
            text.push(letter);
        }
        match self.written {
            Written::Plain => Ok(text),
            Written::Basic => Ok(text.replace('\\', "\\\\").replace('"', "\\\"")),
            Written::Literal if text.contains('\'') => {
                Err("The text stands between ' marks, which have no room for another of them.".into())
            }
            Written::Literal => Ok(text),
        }
    }
}

/// Whether a text of the file is `words` with nothing but line breaks and escapes between them.
pub(super) fn stands_as(source: &str, words: &str) -> bool {
    align(words, source).is_some()
}

/// For each byte of `words`, and its end: where the source of what is before it ends, and where that of
/// what is after it starts. `None` where the source does not read as the words.
fn align(words: &str, source: &str) -> Option<Vec<(usize, usize)>> {
    let mut places = vec![(0, 0); words.len() + 1];
    let mut at = 0;
    for (start, letter) in words.char_indices() {
        places[start] = (at, at);
        let rest = &source[at..];
        let spaces = rest.len() - rest.trim_start_matches([' ', '\t']).len();
        let line = rest[spaces..].strip_prefix("\r\n").or_else(|| rest[spaces..].strip_prefix('\n'));
        let slashes = rest.len() - rest.trim_start_matches('\\').len();
        at += match line {
            // a line break, with the marks of a quote or the indent of an item
            Some(line) if letter == ' ' => rest.len() - line.trim_start_matches([' ', '\t', '>']).len(),
            _ if rest.starts_with(letter) => letter.len_utf8(),
            _ if letter.is_ascii_punctuation() && rest[slashes..].starts_with(letter) => slashes + 1,
            _ => return None,
        };
        places[start + letter.len_utf8()] = (at, at);
    }
    (at == source.len()).then_some(places)
}

/// What differs between two texts, in order: word by word where they have as many of them.
fn differences(was: &str, now: &str) -> Vec<(Range<usize>, String)> {
    let old: Vec<&str> = was.split(char::is_whitespace).collect();
    let new: Vec<&str> = now.split(char::is_whitespace).collect();
    if old.len() == new.len() {
        let mut at = 0;
        let mut found = Vec::new();
        for (old, new) in old.iter().zip(&new) {
            if old != new {
                found.push((at..at + old.len(), (*new).to_owned()));
            }
            at += old.len();
            at += was[at..].chars().next().map_or(0, char::len_utf8);
        }
        return found;
    }
    let same = was.chars().zip(now.chars()).take_while(|(a, b)| a == b);
    let head: usize = same.map(|(letter, _)| letter.len_utf8()).sum();
    let same = was[head..].chars().rev().zip(now[head..].chars().rev()).take_while(|(a, b)| a == b);
    let tail: usize = same.map(|(letter, _)| letter.len_utf8()).sum();
    vec![(head..was.len() - tail, now[head..now.len() - tail].to_owned())]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rewritten(source: &Source, was: &str, now: &str) -> Result<String, String> {
        let mut text = source.text.to_string();
        let mut edits = source.rewritten(&(0..text.len()), was, now)?;
        edits.reverse();
        for (at, to) in edits {
            text.replace_range(at, &to);
        }
        Ok(text)
    }

    fn source(text: &str, written: Written) -> Source {
        Source { text: text.into(), written, is_markdown: true }
    }

    #[test]
    fn only_what_differs_is_touched() {
        let quote = source("at least\r\n> six feet", Written::Plain);
        let now = rewritten(&quote, "at least six feet", "at most ten feet").unwrap();
        assert_eq!(now, "at most\r\n> ten feet");
        let more = rewritten(&quote, "at least six feet", "at least six and a half feet").unwrap();
        assert_eq!(more, "at least\r\n> six and a half feet");
    }

    #[test]
    fn codes_are_not_guessed_at() {
        let coded = source("6&nbsp;feet", Written::Plain);
        assert!(rewritten(&coded, "6\u{a0}feet", "10\u{a0}feet").is_err());
        let escaped = source("\\~6 feet", Written::Plain);
        assert_eq!(rewritten(&escaped, "~6 feet", "~10 feet").unwrap(), "\\~10 feet");
    }

    #[test]
    fn words_are_escaped_for_where_they_stand() {
        assert_eq!(source("", Written::Plain).written("<6 \"ft\"").unwrap(), "\\<6 \"ft\"");
        assert_eq!(source("", Written::Basic).written("<6 \"ft\"").unwrap(), "\\\\<6 \\\"ft\\\"");
        assert!(source("", Written::Literal).written("5'10\"").is_err());
    }
}
