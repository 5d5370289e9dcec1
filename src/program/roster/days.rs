//! Headings that are about a day of an event: "Day 2", "Sesión 2", "D2", "2026-05-17", "May 17", "Sunday".

use super::columns::{Field, usual};
use super::further::words_of;
use crate::languages::{ParticularWords, everywhere, fold, folded_words};
use crate::program::day;
use jiff::civil::Date;

/// Which day of an event a column is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DayMark {
    /// From 1.
    Nth(usize),
    On(Date),
    /// Month and day of any year.
    Yearly(i8, i8),
    /// From 1, Monday.
    Weekday(i8),
}

impl DayMark {
    /// Whether a column of this heading surely says who came then. One that is called by a weekday alone may as well say
    /// on which days people can come.
    pub fn is_sure(self) -> bool {
        !matches!(self, Self::Weekday(_))
    }

    /// Where the day stands among those of an event, from 0. A weekday says it only where one of them is on it.
    pub fn among(self, days: &[Date]) -> Option<usize> {
        let mut found = days.iter().enumerate().filter(|(at, day)| match self {
            Self::Nth(number) => number == at + 1,
            Self::On(date) => date == **day,
            Self::Yearly(month, number) => (day.month(), day.day()) == (month, number),
            Self::Weekday(weekday) => day.weekday().to_monday_one_offset() == weekday,
        });
        let (at, _) = found.next()?;
        found.next().is_none().then_some(at)
    }
}

/// The day that a heading is about: "Day 2", "Attended day 2", "2026-05-17", "Saturday, May 16".
pub(super) fn day_mark(heading: &str) -> Option<DayMark> {
    if let Ok(date) = day::read(heading.trim(), None) {
        return Some(DayMark::On(date));
    }
    let words: Vec<String> = words_of(heading).iter().map(|word| fold(word)).collect();
    let is_attended =
        |word: &str| usual(word) == Some(Field::Attended) || ["on", "asistio", "the", "el"].contains(&word);
    let rest: Vec<&str> = words.iter().map(String::as_str).filter(|word| !is_attended(word)).collect();
    let not_weekdays: Vec<&str> = rest.iter().copied().filter(|word| weekday(word).is_none()).collect();
    match (rest.as_slice(), not_weekdays.as_slice()) {
        ([one], []) => weekday(one).map(DayMark::Weekday),
        ([one], _) => lettered(one).map(DayMark::Nth),
        (_, [word, number]) if is_day(word) => nth(number).map(DayMark::Nth),
        (_, words) => yearly(words),
    }
}

fn nth(number: &str) -> Option<usize> {
    number.parse().ok().filter(|number| (1..=31).contains(number))
}

fn is_day(word: &str) -> bool {
    folded_words(|language| &language.headings.day).any(|known| known == word)
}

/// "D2", "J2".
fn lettered(word: &str) -> Option<usize> {
    word.strip_prefix(['d', 'j', 't']).filter(|rest| rest.len() < 3 && !rest.starts_with('0')).and_then(nth)
}

/// From 1, Monday; of any language.
fn weekday(word: &str) -> Option<i8> {
    place_in(word, |words| [&words.weekdays, &words.weekdays_short])
}

/// Where a word stands in the long or the short names of some language, from 1.
fn place_in(word: &str, names: impl Fn(&ParticularWords) -> [&Vec<String>; 2]) -> Option<i8> {
    let is_it = |name: &String| fold(name.trim_end_matches('.')) == word;
    everywhere().find_map(|language| {
        let at = names(&language.particulars).into_iter().find_map(|names| names.iter().position(is_it))?;
        i8::try_from(at + 1).ok()
    })
}

/// "May 16", "16 de mayo", "16th May"; "5/16", where only one order is possible.
fn yearly(words: &[&str]) -> Option<DayMark> {
    let month = |word: &str| place_in(word, |words| [&words.months, &words.months_short]);
    let number = |word: &str| -> Option<i8> {
        let digits = word.trim_end_matches(|letter: char| letter.is_alphabetic());
        let is_ordinal = ["", "st", "nd", "rd", "th", "er"].contains(&&word[digits.len()..]);
        digits.parse().ok().filter(|number| is_ordinal && (1..=31).contains(number))
    };
    let said: Vec<&str> = words.iter().copied().filter(|word| *word != "de").collect();
    let [first, second] = said.as_slice() else { return None };
    let by_name = |name: &str, day: &str| Some(DayMark::Yearly(month(name)?, number(day)?));
    by_name(first, second).or_else(|| by_name(second, first)).or_else(|| {
        match (first.parse::<i8>().ok()?, second.parse::<i8>().ok()?) {
            (month @ 1..=12, day @ 13..=31) | (day @ 13..=31, month @ 1..=12) => {
                Some(DayMark::Yearly(month, day))
            }
            _ => None,
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_known_in_the_forms_in_which_lists_have_them() {
        for (heading, mark) in [
            ("Day 2", Some(DayMark::Nth(2))),
            ("Attended day 2", Some(DayMark::Nth(2))),
            ("Día 1", Some(DayMark::Nth(1))),
            ("Jour 2", Some(DayMark::Nth(2))),
            ("Sesión 2", Some(DayMark::Nth(2))),
            ("Session 1", Some(DayMark::Nth(1))),
            ("D2", Some(DayMark::Nth(2))),
            ("2026-05-17", Some(DayMark::On(jiff::civil::date(2026, 5, 17)))),
            ("May 16", Some(DayMark::Yearly(5, 16))),
            ("16 de mayo", Some(DayMark::Yearly(5, 16))),
            ("Sat, May 16th", Some(DayMark::Yearly(5, 16))),
            ("5/16", Some(DayMark::Yearly(5, 16))),
            ("16.5.", Some(DayMark::Yearly(5, 16))),
            ("Saturday", Some(DayMark::Weekday(6))),
            ("domingo", Some(DayMark::Weekday(7))),
            ("5/6", None),
            ("Session", None),
            ("Horse 2", None),
            ("Question 2", None),
            ("Address 2", None),
            ("Shirt", None),
            ("May", None),
            ("D", None),
            ("2", None),
        ] {
            assert_eq!(day_mark(heading), mark, "{heading}");
        }
    }

    #[test]
    fn a_day_is_found_among_those_of_an_event() {
        let days = [jiff::civil::date(2026, 5, 16), jiff::civil::date(2026, 5, 23)];
        assert_eq!(DayMark::Yearly(5, 23).among(&days), Some(1));
        assert_eq!(DayMark::Nth(3).among(&days), None);
        // Both are Saturdays.
        assert_eq!(DayMark::Weekday(6).among(&days), None);
        assert_eq!(DayMark::Weekday(6).among(&days[..1]), Some(0));
    }
}
