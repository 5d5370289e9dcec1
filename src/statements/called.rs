//! Whether the words that name a fact stand in a sentence, in singular or plural.
//!
//! Works on words as a reader sees them: case, hyphens and the plural's ending do not count. No
//! dictionary: the regular endings of the text's language, and a few of its irregular plurals.

use crate::languages::Vocabulary;
use std::collections::{BTreeSet, HashMap, HashSet};
use std::ops::Range;
use unicode_segmentation::UnicodeSegmentation;

/// The sentence of `text` in which `range` stands.
///
/// A point that the range itself holds ("1.5 mi.") ends no sentence.
pub fn sentence(text: &str, range: &Range<usize>) -> Range<usize> {
    Sentences::of(text).around(range)
}

/// Where the sentences of a text begin: worked out once, however many figures stand in it.
pub struct Sentences {
    starts: Vec<usize>,
    length: usize,
}

impl Sentences {
    pub fn of(text: &str) -> Self {
        let starts = text.split_sentence_bound_indices().map(|(at, _)| at).collect();
        Self { starts, length: text.len() }
    }

    /// The sentence in which a range stands; a point that the range itself holds ends none.
    pub fn around(&self, range: &Range<usize>) -> Range<usize> {
        let start = self.starts.partition_point(|at| *at <= range.start);
        let end = self.starts.partition_point(|at| *at <= range.start || *at < range.end);
        let start = start.checked_sub(1).map_or(0, |at| self.starts[at]);
        start..self.starts.get(end).copied().unwrap_or(self.length)
    }
}

/// A text's words as they are compared, worked out once.
pub struct Words {
    /// Where each stands, and its root.
    words: Vec<(Range<usize>, String)>,
}

impl Words {
    pub fn of(text: &str, language: &Vocabulary) -> Self {
        let word = |(at, word): (usize, &str)| (at..at + word.len(), root(word, language));
        Self { words: words(text).map(word).collect() }
    }
}

/// Phrases with what goes by them, to be looked up at once in a text.
#[derive(Default)]
pub struct Phrases {
    /// By the roots of its words.
    by_roots: HashMap<String, Vec<usize>>,
    /// How many words the phrases have that begin with a root.
    lengths: HashMap<String, BTreeSet<usize>>,
}

impl Phrases {
    pub fn add(&mut self, phrase: &str, of: usize, language: &Vocabulary) {
        let roots = roots(phrase, language);
        let Some(first) = roots.first() else { return };
        self.lengths.entry(first.clone()).or_default().insert(roots.len());
        self.by_roots.entry(roots.join(" ")).or_default().push(of);
    }

    /// Where in a range of a text each phrase stands first, with what goes by it.
    pub fn within<'p>(&'p self, text: &Words, range: &Range<usize>) -> Vec<(Range<usize>, &'p [usize])> {
        let first = text.words.partition_point(|(at, _)| at.start < range.start);
        let end = text.words.partition_point(|(at, _)| at.end <= range.end);
        let mut found: Vec<(Range<usize>, &'p [usize])> = Vec::new();
        let mut seen = HashSet::new();
        for at in first..end {
            let lengths = self.lengths.get(&text.words[at].1).into_iter().flatten();
            for length in lengths.take_while(|length| at + *length <= end) {
                let words = &text.words[at..at + length];
                let roots: Vec<&str> = words.iter().map(|(_, root)| root.as_str()).collect();
                let Some((roots, of)) = self.by_roots.get_key_value(&roots.join(" ")) else { continue };
                if seen.insert(roots) {
                    found.push((words[0].0.start..words[length - 1].0.end, of));
                }
            }
        }
        found
    }
}

fn roots(phrase: &str, language: &Vocabulary) -> Vec<String> {
    words(phrase).map(|(_, word)| root(word, language)).collect()
}

/// What a phrase is known by: the same for all that name the same thing.
pub fn key(phrase: &str, language: &Vocabulary) -> String {
    roots(phrase, language).join(" ")
}

/// Where `phrase` stands in `text`, the first time it does.
pub fn find(text: &str, phrase: &str, language: &Vocabulary) -> Option<Range<usize>> {
    let root = |word| root(word, language);
    let wanted: Vec<String> = words(phrase).map(|(_, word)| root(word)).collect();
    if wanted.is_empty() {
        return None;
    }
    let there: Vec<(usize, &str)> = words(text).collect();
    there.windows(wanted.len()).find_map(|window| {
        let same = window.iter().zip(&wanted).all(|((_, word), wanted)| root(word) == *wanted);
        let (last_at, last) = window[window.len() - 1];
        same.then(|| window[0].0..last_at + last.len())
    })
}

/// How far apart two ranges stand, in bytes; 0 where they touch.
pub fn distance(a: &Range<usize>, b: &Range<usize>) -> usize {
    if a.end <= b.start { b.start - a.end } else { a.start.saturating_sub(b.end) }
}

fn words(text: &str) -> impl Iterator<Item = (usize, &str)> {
    text.unicode_word_indices()
}

/// A word in lower case and singular.
fn root(word: &str, language: &Vocabulary) -> String {
    let word = word.to_lowercase().replace('’', "'");
    language.plurals.one(word.strip_suffix("'s").unwrap_or(&word)).into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::languages::of_or_english;

    fn find(text: &str, phrase: &str) -> Option<Range<usize>> {
        super::find(text, phrase, of_or_english("en"))
    }

    fn same(a: &str, b: &str) -> bool {
        key(a, of_or_english("en")) == key(b, of_or_english("en"))
    }

    #[test]
    fn a_phrase_is_found_in_singular_and_plural_and_whatever_its_case() {
        let text = "Keep Lead-Ropes short; batteries last.";
        assert_eq!(find(text, "lead rope"), Some(5..15));
        assert_eq!(find(text, "battery"), Some(23..32));
        assert_eq!(find("A lead rope.", "lead ropes"), Some(2..11));
        assert_eq!(find("The horse's hoof", "horses"), Some(4..11));
    }

    #[test]
    fn part_of_a_word_is_not_the_word() {
        assert_eq!(find("leadership roped in", "lead rope"), None);
        assert_eq!(find("anything", ""), None);
        assert!(!same("grass", "gras"));
        assert!(same("high line", "High lines"));
    }

    #[test]
    fn phrases_are_found_in_their_sentence_where_they_first_stand() {
        let english = of_or_english("en");
        let mut phrases = Phrases::default();
        for (at, phrase) in ["lead rope", "lead ropes", "rope", "camp", ""].into_iter().enumerate() {
            phrases.add(phrase, at, english);
        }
        let text = "Camp far. A Lead-Rope and a rope, no rope more. Camp.";
        let words = Words::of(text, english);
        let sentence = sentence(text, &(12..13));
        let found = phrases.within(&words, &sentence);
        assert_eq!(found, [(12..21, &[0, 1][..]), (17..21, &[2][..])]);
    }

    #[test]
    fn a_sentence_ends_where_the_next_begins() {
        let text = "Tie high. Leave 1.5 ft. of slack. Walk on.";
        let at = text.find("1.5").unwrap();
        assert_eq!(&text[sentence(text, &(at..at + 6))], "Leave 1.5 ft. of slack. ");
    }
}
