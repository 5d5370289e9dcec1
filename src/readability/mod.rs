//! How hard a text is to read: sentences, words and syllables, and the scores worked out of them.
//!
//! Knows nothing of programs: text in, counts out. Which of a lesson's text is counted is decided in
//! [`crate::proof::reading`].
//!
//! Counted after Flesch's rules: contractions, hyphenated words, abbreviations and figures are one word
//! each; figures and abbreviations have one syllable. Sentences end at a full stop, question mark or
//! exclamation point (colons and semicolons go on, as in the report of 1975). Syllables are counted by
//! rules of English spelling, which are right for some 96 of 100 common words.

mod spanish;
mod syllables;

pub use syllables::syllables;

use crate::languages::{self, has};
use std::iter::Sum;
use std::ops::Add;
use unicode_segmentation::UnicodeSegmentation;

/// What the scores are worked out of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    pub sentences: usize,
    pub words: usize,
    pub syllables: usize,
}

impl Counts {
    /// Counts a paragraph of English. A text without an end mark is a sentence too.
    pub fn of(text: &str) -> Self {
        Self::by(text, syllables)
    }

    /// The same of a paragraph in the language of a BCP 47 tag; what is not Spanish is counted as English is.
    pub fn of_in(text: &str, language: &str) -> Self {
        match language.split('-').next() {
            Some("es") => Self::by(text, spanish::syllables),
            _ => Self::of(text),
        }
    }

    fn by(text: &str, syllables: fn(&str) -> usize) -> Self {
        let words = words(text).map(syllables);
        let (words, syllables) = words.fold((0, 0), |(words, sum), more| (words + 1, sum + more));
        Self { sentences: sentences(text), words, syllables }
    }

    /// Flesch Reading Ease: 206.835 − 1.015 × words per sentence − 84.6 × syllables per word
    /// (R. Flesch, "A New Readability Yardstick", Journal of Applied Psychology 32(3), 1948). `None`
    /// of an empty text.
    pub fn reading_ease(&self) -> Option<f64> {
        let (length, weight) = self.ratios()?;
        Some(206.835 - 1.015 * length - 84.6 * weight)
    }

    /// Perspicuity of a Spanish text: 206.835 − 62.3 × syllables per word − words per sentence (F. Szigriszt Pazos, thesis,
    /// Madrid 1993), read on the INFLESZ scale (I. Barrio-Cantalejo and others, Anales del Sistema Sanitario de Navarra
    /// 31(2), 2008); both from memory. `None` of an empty text.
    pub fn perspicuity(&self) -> Option<f64> {
        let (length, weight) = self.ratios()?;
        Some(206.835 - 62.3 * weight - length)
    }

    /// Flesch–Kincaid grade: 0.39 × words per sentence + 11.8 × syllables per word − 15.59 (Kincaid,
    /// Fishburne, Rogers and Chissom, Research Branch Report 8-75, 1975). `None` of an empty text.
    pub fn grade(&self) -> Option<f64> {
        let (length, weight) = self.ratios()?;
        Some(0.39 * length + 11.8 * weight - 15.59)
    }

    /// Words per sentence and syllables per word.
    fn ratios(&self) -> Option<(f64, f64)> {
        let whole = self.sentences > 0 && self.words > 0;
        let words = self.words as f64;
        whole.then(|| (words / self.sentences as f64, self.syllables as f64 / words))
    }
}

impl Add for Counts {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self {
            sentences: self.sentences + other.sentences,
            words: self.words + other.words,
            syllables: self.syllables + other.syllables,
        }
    }
}

impl Sum for Counts {
    fn sum<I: Iterator<Item = Self>>(counts: I) -> Self {
        counts.fold(Self::default(), Self::add)
    }
}

/// The words of a text: what stands between spaces and dashes and has a letter or digit in it.
pub fn words(text: &str) -> impl Iterator<Item = &str> {
    let apart = |letter: char| letter.is_whitespace() || matches!(letter, '\u{2014}' | '/');
    text.split(apart).filter(|word| word.chars().any(char::is_alphanumeric))
}

/// The sentences of a text, by the boundaries of Unicode UAX #29 and without those that an
/// abbreviation makes.
fn sentences(text: &str) -> usize {
    let abbreviations = &languages::of_or_english("en").abbreviations;
    let mut count = 0;
    let mut goes_on = false;
    for part in text.unicode_sentences() {
        if !goes_on {
            count += 1;
        }
        let last = part.split_whitespace().next_back().unwrap_or("").to_lowercase();
        goes_on = has(abbreviations, &last);
    }
    count
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    /// Six words, 12 syllables: los 1, ca-ba-llos 3, be-ben 2, a-gua 2, ca-da 2, dí-a 2.
    #[test]
    fn a_spanish_sentence_has_its_perspicuity() {
        let counts = Counts::of_in("Los caballos beben agua cada día.", "es-MX");
        assert_eq!((counts.sentences, counts.words, counts.syllables), (1, 6, 12));
        let expected = 206.835 - 62.3 * 2.0 - 6.0;
        assert!((counts.perspicuity().unwrap() - expected).abs() < 1e-9);
    }

    const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/readability");

    fn table(name: &str) -> Vec<std::collections::HashMap<String, String>> {
        let mut reader = csv::Reader::from_path(Path::new(FOLDER).join(name)).unwrap();
        reader.deserialize().map(Result::unwrap).collect()
    }

    fn number(text: &str) -> f64 {
        text.parse().unwrap()
    }

    /// Counts and scores worked out outside the project: folder README.
    #[test]
    fn scores_are_those_of_the_published_formulas() {
        let rows = table("formulas.csv");
        assert!(rows.len() > 20);
        for row in rows {
            let count = |key: &str| row[key].parse().unwrap();
            let counts = Counts {
                sentences: count("sentences"),
                words: count("words"),
                syllables: count("syllables"),
            };
            let within = |score: Option<f64>, key: &str| {
                let apart = (score.unwrap() - number(&row[key])).abs();
                assert!(apart < 1e-6, "{}: {key} is {score:?}", row["id"]);
            };
            within(counts.reading_ease(), "flesch_reading_ease");
            within(counts.grade(), "flesch_kincaid_grade");
        }
    }

    /// Sentences and words exactly; syllables within those that dictionaries and two libraries give,
    /// give or take one in twenty words, which is what rules can do.
    #[test]
    fn texts_are_counted_as_others_count_them() {
        let (mut counted, mut said) = (0, 0);
        for row in table("texts.csv") {
            let text = std::fs::read_to_string(Path::new(FOLDER).join(&row["text_file"])).unwrap();
            let counts: Counts = text.split("\n\n").map(Counts::of).sum();
            assert_eq!(counts.sentences.to_string(), row["sentences"], "{}", row["id"]);
            assert_eq!(counts.words.to_string(), row["words"], "{}", row["id"]);
            let slack = counts.words.div_ceil(20);
            let bound = |key: &str| row[key].parse::<usize>().unwrap();
            let (low, high) = (bound("syllables_low") - slack, bound("syllables_high") + slack);
            assert!((low..=high).contains(&counts.syllables), "{}: {counts:?}", row["id"]);
            counted += counts.syllables;
            said += bound("syllables_cmudict");
        }
        // All texts together, so that errors to one side would show.
        let apart = counted.abs_diff(said);
        assert!(apart * 100 <= said, "{counted} syllables counted, {said} in the dictionary");
    }

    /// A worked example that is widely published: 13 words, 24 syllables, grade 11.3.
    #[test]
    fn the_worked_example_comes_out() {
        let text = "The Australian platypus is seemingly a hybrid of a mammal and reptilian creature.";
        let counts = Counts::of(text);
        assert_eq!((counts.sentences, counts.words), (1, 13));
        assert!(counts.syllables.abs_diff(24) <= 1, "{counts:?}");
    }

    #[test]
    fn figures_contractions_and_hyphens_are_one_word() {
        assert_eq!(
            Counts::of("Ride 2.5 miles; don't gallop."),
            Counts { sentences: 1, words: 5, syllables: 6 }
        );
        assert_eq!(Counts::of("A six-foot lead is enough.").words, 5);
        assert_eq!(Counts::of("Meet Dr. Lane at 9 a.m. by the gate.").sentences, 1);
        assert_eq!(Counts::of("Stop here. Look back.").sentences, 2);
        assert_eq!(Counts::of(""), Counts::default());
        assert_eq!(Counts::of("").grade(), None);
    }
}
