//! Words as answers have them: compared without capitals, accents, plurals, articles and small slips.
//!
//! What is folded away never turns a meaning round: a word of negation is kept, and `un-` is no slip. Which words
//! say nothing and which turn a meaning is told by the language in which the question was asked.

use crate::languages::{Vocabulary, has};
use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

/// A word of an answer or of an accepted wording.
#[derive(Clone, Debug)]
pub(super) struct Word {
    /// Lower case, without accents.
    pub plain: String,
    /// The same in the singular, or something that its singular has too.
    stem: String,
    language: &'static Vocabulary,
}

/// How well two words are the same, the best first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Likeness {
    Same,
    /// Singular and plural.
    Number,
    /// A small slip of spelling.
    Slip,
}

/// The words of a text.
pub(super) fn words(text: &str, language: &'static Vocabulary) -> Vec<Word> {
    let words = plain_words(text).into_iter();
    words.map(|plain| Word { stem: stem(&plain, language), plain, language }).collect()
}

fn plain_words(text: &str) -> Vec<String> {
    let folded: String = text
        .nfkd()
        .filter(|letter| !is_combining_mark(*letter) && !matches!(letter, '\'' | '’' | '‘' | 'ʼ'))
        .flat_map(char::to_lowercase)
        .collect();
    let parts = folded.split(|letter: char| !letter.is_alphanumeric()).filter(|part| !part.is_empty());
    parts.map(str::to_owned).collect()
}

/// A text in the form in which two are compared as a whole.
pub(super) fn folded(text: &str) -> String {
    plain_words(text).join(" ")
}

/// The words that say something; all of them where none would be left.
pub(super) fn telling(words: &[Word]) -> Vec<&Word> {
    let telling: Vec<&Word> = words.iter().filter(|word| !word.is_bare()).collect();
    if telling.is_empty() { words.iter().collect() } else { telling }
}

impl Word {
    fn is_bare(&self) -> bool {
        has(&self.language.answers.bare, &self.plain)
    }

    pub fn is_harmless(&self) -> bool {
        self.is_bare() || has(&self.language.answers.harmless, &self.plain)
    }

    /// Whether it turns round what stands with it: `not`, and `isnt` with its apostrophe gone.
    pub fn turns(&self) -> bool {
        has(&self.language.answers.turning, &self.plain)
    }

    pub fn likeness(&self, other: &Word) -> Option<Likeness> {
        if self.plain == other.plain {
            return Some(Likeness::Same);
        }
        if self.stem == other.stem {
            return Some(Likeness::Number);
        }
        is_slip(&self.stem, &other.stem, self.language).then_some(Likeness::Slip)
    }
}

/// Whether one word is a misspelling of the other: one letter of four or more, two of eight or more.
pub(super) fn is_slip(one: &str, other: &str, language: &Vocabulary) -> bool {
    let has_digit = |word: &str| word.chars().any(|letter| letter.is_ascii_digit());
    let turned = |one, other| is_turned(one, other, language);
    if has_digit(one) || has_digit(other) || turned(one, other) || turned(other, one) {
        return false;
    }
    let letters = one.chars().count().min(other.chars().count());
    let most = match letters {
        0..=3 => 0,
        4..=7 => 1,
        _ => 2,
    };
    strsim::osa_distance(one, other) <= most
}

/// `unsteady` for `steady`.
fn is_turned(one: &str, other: &str, language: &Vocabulary) -> bool {
    has(&language.answers.opposites, one.strip_suffix(other).unwrap_or(""))
}

/// What one and many of a word have in common.
fn stem(word: &str, language: &Vocabulary) -> String {
    let one = language.plurals.one(word);
    // "branche" and "branch", "señale" and "señal" meet without the last e.
    let short = one.strip_suffix('e').filter(|_| one.chars().count() > 4);
    short.unwrap_or(&one).to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::languages;

    fn words(text: &str) -> Vec<Word> {
        super::words(text, languages::of_or_none("en"))
    }

    fn like(one: &str, other: &str) -> Option<Likeness> {
        words(one)[0].likeness(&words(other)[0])
    }

    #[test]
    fn singular_and_plural_meet() {
        for (one, many) in [
            ("rope", "ropes"),
            ("eye", "eyes"),
            ("box", "boxes"),
            ("branch", "branches"),
            ("berry", "berries"),
            ("hoof", "hooves"),
            ("knife", "knives"),
            ("house", "houses"),
            ("horse", "horses"),
            ("foot", "feet"),
            ("gum", "gums"),
        ] {
            assert_eq!(like(one, many), Some(Likeness::Number), "{one}, {many}");
        }
        assert_eq!(like("gas", "ga"), None);
    }

    #[test]
    fn small_slips_are_seen_through_and_opposites_are_not() {
        for (right, slip) in [
            ("breathing", "breathign"),
            ("stumbling", "stumbeling"),
            ("halter", "haltar"),
            ("Señal", "senal"),
        ] {
            assert!(like(right, slip).is_some(), "{right}, {slip}");
        }
        for (one, other) in [
            ("steady", "unsteady"),
            ("dry", "dray"),
            ("hot", "hat"),
            ("6", "8"),
            ("halter", "helmet"),
            ("safe", "unsafe"),
        ] {
            assert_eq!(like(one, other), None, "{one}, {other}");
        }
    }

    #[test]
    fn short_forms_of_not_turn_a_meaning() {
        for word in ["not", "don't", "isn’t", "can't", "never"] {
            assert!(words(word)[0].turns(), "{word}");
        }
        assert!(!words("plant")[0].turns());
    }
}
