//! Whether the words that name a fact stand in a sentence, in singular or plural.
//!
//! Works on words as a reader sees them: case, hyphens and the plural's ending do not count. No
//! dictionary: the regular endings of the text's language, and a few of its irregular plurals.

use crate::languages::Vocabulary;
use std::ops::Range;
use unicode_segmentation::UnicodeSegmentation;

/// The sentence of `text` in which `range` stands.
///
/// A point that the range itself holds ("1.5 mi.") ends no sentence.
pub fn sentence(text: &str, range: &Range<usize>) -> Range<usize> {
    let (mut start, mut end) = (0, text.len());
    for (at, _) in text.split_sentence_bound_indices() {
        if at <= range.start {
            start = at;
        } else if at >= range.end {
            end = at;
            break;
        }
    }
    start..end
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

/// One name for all phrases that name the same thing.
pub fn name(phrase: &str, language: &Vocabulary) -> String {
    let roots: Vec<String> = words(phrase).map(|(_, word)| root(word, language)).collect();
    roots.join(" ")
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
        super::name(a, of_or_english("en")) == super::name(b, of_or_english("en"))
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
    fn a_sentence_ends_where_the_next_begins() {
        let text = "Tie high. Leave 1.5 ft. of slack. Walk on.";
        let at = text.find("1.5").unwrap();
        assert_eq!(&text[sentence(text, &(at..at + 6))], "Leave 1.5 ft. of slack. ");
    }
}
