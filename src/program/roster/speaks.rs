//! Columns that nothing is read from and that still speak of what is credited: whether somebody came, passed, or is out
//! after all. A cell of theirs that says otherwise than the column that counts is kept with the roster, and
//! [`crate::proof`] tells it and holds the row.
//!
//! A heading speaks of it where a phrase for it stands in it ([`crate::languages::Headings`]) and all its other words
//! are small ones. With a word that has it ask for something else ("attended before") it speaks of that; with a word that
//! is not known it may, and that is only remarked on.

use super::cells::{self, Answer};
use super::further::words_of;
use super::{Column, ColumnMeaning, DayMark, Field};
use crate::languages::{Vocabulary, fold, folded_words};
use crate::program::settings::OwnWords;
use std::sync::LazyLock;

/// What a column speaks of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Speaks {
    Came,
    Passed,
    /// That somebody is out: "Withdrawn", "No-show".
    Gone,
    /// How far a registration is, which says that somebody is out by a plain word alone.
    Status,
    Day(DayMark),
}

/// A column that is watched.
#[derive(Clone, Copy, Debug)]
pub(super) struct Watched {
    pub at: usize,
    pub speaks: Speaks,
    /// Whether its heading surely speaks of it.
    pub sure: bool,
}

/// A cell that says otherwise than what is credited.
#[derive(Clone, Copy, Debug)]
pub struct Against {
    /// As [`super::Participant::row`] counts.
    pub row: usize,
    pub column: usize,
    pub speaks: Speaks,
    pub sure: bool,
}

/// Phrases with what they speak of, the longest first; words that stand beside them, and words that turn them.
struct Phrases {
    speaking: Vec<(Vec<String>, Speaks)>,
    small: Vec<String>,
    other: Vec<String>,
    denying: Vec<String>,
    bare_no: Vec<String>,
    nothing: Vec<String>,
}

static PHRASES: LazyLock<Phrases> = LazyLock::new(|| {
    type Words = fn(&'static Vocabulary) -> &'static [String];
    let list = |words: Words| -> Vec<String> { folded_words(words).collect() };
    let phrases = |words: Words, speaks: Speaks| {
        let split = |phrase: String| phrase.split(' ').map(str::to_owned).collect::<Vec<_>>();
        list(words).into_iter().map(split).map(move |phrase| (phrase, speaks)).collect::<Vec<_>>()
    };
    let mut speaking = phrases(|language| &language.headings.gone, Speaks::Gone);
    speaking.extend(phrases(|language| &language.headings.came, Speaks::Came));
    speaking.extend(phrases(|language| &language.headings.passing, Speaks::Passed));
    speaking.extend(phrases(|language| &language.headings.status, Speaks::Status));
    speaking.sort_by_key(|(phrase, _)| std::cmp::Reverse(phrase.len()));
    let mut small = list(|language| &language.headings.small);
    small.extend(list(|language| &language.headings.people.of_names));
    let mut nothing = list(|language| &language.cells.nobody);
    nothing.extend(["-", "–", "—", "?", "0"].map(str::to_owned));
    Phrases {
        speaking,
        small,
        other: list(|language| &language.headings.other),
        denying: list(|language| &language.cells.denying),
        bare_no: list(|language| &language.cells.bare_no),
        nothing,
    }
});

/// What a heading speaks of, and whether surely.
fn heading(heading: &str) -> Option<(Speaks, bool)> {
    let phrases = &*PHRASES;
    let words: Vec<String> = words_of(heading).iter().map(|word| fold(word)).collect();
    let stands = |phrase: &[String]| words.windows(phrase.len()).position(|part| part == phrase);
    let found = phrases.speaking.iter().find_map(|(phrase, speaks)| Some((stands(phrase)?, phrase, *speaks)));
    let (at, phrase, speaks) = found?;
    // What is left may speak of it once more: "Attendance: present".
    let is_speaking = |word: &String| phrases.speaking.iter().any(|(phrase, _)| *phrase == [word.as_str()]);
    let rest = words.iter().enumerate().filter(|(place, _)| !(at..at + phrase.len()).contains(place));
    let rest: Vec<&String> = rest.map(|(_, word)| word).collect();
    if rest.iter().any(|word| phrases.other.contains(word)) {
        return None;
    }
    let sure = rest.iter().all(|word| phrases.small.contains(word) || is_speaking(word));
    Some((speaks, sure))
}

/// The columns that speak of what is credited and that nothing is read from, but for those that ask about days.
pub(super) fn watched(columns: &[Column], rivals: &[usize]) -> Vec<Watched> {
    let by_settings =
        |field: Field| columns.iter().any(|column| column.understood == ColumnMeaning::BySettings(field));
    let of_column = |column: &Column| {
        let is_open = matches!(column.understood, ColumnMeaning::PassedOver | ColumnMeaning::Kept);
        if !is_open || rivals.contains(&column.at) {
            return None;
        }
        let day = super::days::day_mark(&column.heading);
        // A list that comes out as it is, of when people can come.
        if day.is_some_and(|mark| !mark.is_sure()) && column.understood == ColumnMeaning::Kept {
            return None;
        }
        let day = day.map(|mark| (Speaks::Day(mark), mark.is_sure()));
        let (speaks, sure) = day.or_else(|| heading(&column.heading))?;
        // The program says itself which column counts.
        let is_settled = match speaks {
            Speaks::Came => by_settings(Field::Attended),
            Speaks::Passed => by_settings(Field::Passed),
            Speaks::Gone | Speaks::Status | Speaks::Day(_) => false,
        };
        (!is_settled).then_some(Watched { at: column.at, speaks, sure })
    };
    columns.iter().filter_map(of_column).collect()
}

/// Whether a cell of a column that speaks of it says that somebody did not come, did not pass, or is out.
pub(super) fn denies(cell: &str, speaks: Speaks, own: &OwnWords) -> bool {
    let phrases = &*PHRASES;
    let folded = fold(cell.trim().trim_end_matches(['.', '!']));
    if folded.is_empty() || folded != "no" && folded != "0" && phrases.nothing.contains(&folded) {
        return false;
    }
    let begins = |words: &[String]| {
        let with = |word: &String| folded.strip_prefix(word.as_str());
        let mut rests = words.iter().filter_map(with);
        rests.any(|rest| rest.chars().next().is_none_or(|letter| !letter.is_alphanumeric() && letter != '/'))
    };
    match speaks {
        Speaks::Status => begins(&phrases.denying),
        Speaks::Gone => !matches!(cells::answer(cell.trim(), own), Answer::No) && !begins(&phrases.bare_no),
        Speaks::Came | Speaks::Passed | Speaks::Day(_) => match cells::answer(cell.trim(), own) {
            Answer::No => true,
            Answer::Yes | Answer::Nothing => false,
            Answer::Unclear => begins(&phrases.denying) || begins(&phrases.bare_no),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headings_that_speak_of_what_is_credited_are_known() {
        for (words, speaks) in [
            ("Was present", Speaks::Came),
            ("Attendance status", Speaks::Came),
            ("Actually came", Speaks::Came),
            ("Signed in", Speaks::Came),
            ("¿Asistió?", Speaks::Came),
            ("Asistio al taller", Speaks::Came),
            ("Pass/Fail", Speaks::Passed),
            ("Final result", Speaks::Passed),
            ("Resultado", Speaks::Passed),
            ("Certificate?", Speaks::Passed),
            ("Withdrawn", Speaks::Gone),
            ("No-show", Speaks::Gone),
            ("Anulado", Speaks::Gone),
            ("Did not attend", Speaks::Gone),
            ("Date cancelled", Speaks::Gone),
            ("Registration status", Speaks::Status),
        ] {
            assert_eq!(heading(words), Some((speaks, true)), "{words}");
        }
        for words in [
            "Stage",
            "Sizes",
            "Attended before?",
            "Present address",
            "Certificate sent",
            "Parent present",
            "Payment status",
            "Cancellation policy",
            "Phone",
            "Horse",
            "Will you attend the picnic?",
        ] {
            assert_eq!(heading(words), None, "{words}");
        }
        assert_eq!(heading("Attended barn tour"), Some((Speaks::Came, false)));
    }

    #[test]
    fn cells_that_deny_are_told_from_those_that_say_nothing_of_it() {
        let denies = |cell, speaks| denies(cell, speaks, &OwnWords::default());
        for cell in
            ["no", "No (sick)", "absent", "Did not come", "no show", "FALSE", "0", "ausente", "left early"]
        {
            assert!(denies(cell, Speaks::Came), "{cell}");
        }
        for cell in ["yes", "x", "n/a", "-", "", "on time", "north gate", "8/10", "registered"] {
            assert!(!denies(cell, Speaks::Came), "{cell}");
        }
        for cell in ["yes", "2026-05-02", "x", "by phone"] {
            assert!(denies(cell, Speaks::Gone), "{cell}");
        }
        for cell in ["no", "", "none", "-", "0", "n/a"] {
            assert!(!denies(cell, Speaks::Gone), "{cell}");
        }
        assert!(denies("Cancelled", Speaks::Status) && denies("no-show", Speaks::Status));
        assert!(!denies("no", Speaks::Status) && !denies("ok", Speaks::Status));
    }
}
