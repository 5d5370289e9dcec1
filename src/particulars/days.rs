//! Days of the calendar, months, and all from one to another.

use super::{Manner, Part, Particular, Says, scan, with_parts};
use crate::languages::ParticularWords;
use jiff::civil::Date;
use std::ops::Range;

/// A day or a month, as far as it is said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Day {
    pub year: Option<i16>,
    pub month: i8,
    pub day: Option<i8>,
    /// From Monday, 0 to 6.
    pub weekday: Option<i8>,
}

impl Day {
    pub fn of(date: Date) -> Self {
        Self { year: Some(date.year()), month: date.month(), day: Some(date.day()), weekday: None }
    }

    /// Whether the calendar has it: no February 30, and none on the 29th but in a leap year.
    pub fn exists(&self) -> bool {
        self.day.is_none_or(|day| Date::new(self.year.unwrap_or(2024), self.month, day).is_ok())
    }

    /// The day of the week, where the year is known.
    fn weekday_in(&self, year: Option<i16>) -> Option<i8> {
        let date = Date::new(self.year.or(year)?, self.month, self.day?).ok()?;
        Some(date.weekday().to_monday_zero_offset())
    }
}

/// Whether days that are stated are the fact's. A year may be left out, and not put in.
pub(super) fn same(stated: &[Day], fact: &[Day]) -> bool {
    // "May 16–18, 2026": the year stands once
    let year = |days: &[Day]| days.iter().find_map(|day| day.year);
    let (said, known) = (year(stated), year(fact));
    stated.len() == fact.len()
        && stated.iter().zip(fact).all(|(stated, fact)| {
            let weekday = fact.weekday.or_else(|| fact.weekday_in(known));
            (stated.month, stated.day) == (fact.month, fact.day)
                && stated.year.or(said).is_none_or(|year| fact.year.or(known) == Some(year))
                && stated.weekday.is_none_or(|day| weekday.is_none_or(|known| known == day))
        })
}

type Parts = Vec<(Range<usize>, Part)>;

/// What was read, where it ends, and its parts.
struct Read {
    day: Day,
    or: Option<Day>,
    end: usize,
    parts: Parts,
}

pub(super) fn read(text: &str, at: usize, words: &ParticularWords, manner: Manner) -> Option<Particular> {
    if !scan::begins(text, at) {
        return None;
    }
    let first = one(text, at, words, manner).or_else(|| shared_month(text, at, words, manner))?;
    let mut days = vec![first.day];
    let (mut end, mut parts) = (first.end, first.parts);
    let is_month_first = matches!(parts.first(), Some((_, Part::Month { .. })));
    if let Some(next) = scan::through(text, end, &words.through) {
        let last = one(text, next, words, manner).or_else(|| {
            // "May 16 to 18"
            let (day, past, part) = of_month(text, next, words)?;
            let fits =
                is_month_first && first.day.day.is_some_and(|from| from < day) && scan::ends(text, past);
            let day = Day { day: Some(day), weekday: None, ..first.day };
            let mut read = Read { day, or: None, end: past, parts: vec![(next..past, part)] };
            read.with_year(text, words);
            fits.then_some(read)
        });
        if let Some(last) = last.filter(|last| last.day.day.is_some() == first.day.day.is_some()) {
            days.push(last.day);
            end = last.end;
            parts.extend(last.parts);
        }
    }
    if days.len() == 1 && first.day.day.is_none() && manner == Manner::Prose {
        return None;
    }
    let or = first.or.filter(|_| days.len() == 1).map(|day| Says::Days(vec![day]));
    Some(Particular { span: at..end, says: Says::Days(days), or, parts })
}

/// `16–18 May`: the first of two days whose month stands behind the second.
fn shared_month(text: &str, at: usize, words: &ParticularWords, manner: Manner) -> Option<Read> {
    let (day, end, part) = of_month(text, at, words)?;
    let next = scan::through(text, end, &words.through)?;
    let last = one(text, next, words, manner)?;
    let fits = matches!(last.parts.first(), Some((_, Part::Day { .. }))) && last.day.day > Some(day);
    fits.then(|| Read {
        day: Day { day: Some(day), weekday: None, ..last.day },
        or: None,
        end,
        parts: vec![(at..end, part)],
    })
}

fn one(text: &str, at: usize, words: &ParticularWords, manner: Manner) -> Option<Read> {
    if let Some((weekday, short, end)) = named(text, at, &words.weekdays, &words.weekdays_short) {
        let next = scan::spaces(text, text[end..].strip_prefix(',').map_or(end, |_| end + 1));
        let mut rest =
            plain(text, next, words, manner).filter(|rest| next > end && rest.day.day.is_some())?;
        rest.day.weekday = i8::try_from(weekday).ok();
        rest.parts.insert(0, (at..at + text[at..end].trim_end_matches('.').len(), Part::Weekday { short }));
        return Some(rest);
    }
    plain(text, at, words, manner)
}

fn plain(text: &str, at: usize, words: &ParticularWords, manner: Manner) -> Option<Read> {
    in_digits(text, at, words, manner)
        .or_else(|| month_first(text, at, words))
        .or_else(|| day_first(text, at, words))
}

/// A name of a list at a place, whole or short with its point.
fn named(text: &str, at: usize, whole: &[String], short: &[String]) -> Option<(usize, bool, usize)> {
    let past_point = |end: usize| text[end..].strip_prefix('.').map_or(end, |_| end + 1);
    if let Some((which, end)) = scan::any(text, at, whole) {
        return Some((which, false, end));
    }
    if let Some((which, end)) = scan::any(text, at, short) {
        return Some((which, true, past_point(end)));
    }
    // "Sept.": its first letters, three of them at least
    let end = scan::past_word(text, at);
    let word = text[at..end].to_lowercase();
    let begins = |name: &String| name.to_lowercase().starts_with(&word);
    let which = whole.iter().position(|name| word.chars().count() > 2 && begins(name))?;
    Some((which, true, past_point(end)))
}

fn month(text: &str, at: usize, words: &ParticularWords) -> Option<(i8, bool, usize)> {
    let (which, short, end) = named(text, at, &words.months, &words.months_short)?;
    // where months have capitals, "may" asks for leave
    let is_capital = |word: &str| word.starts_with(char::is_uppercase);
    let fits = !is_capital(&words.months[which]) || is_capital(&text[at..]);
    fits.then_some((i8::try_from(which + 1).ok()?, short, end))
}

/// Whether a day may stand in a text at all: each has a digit before what parts it from others, or a month by its first
/// letters. Most texts have neither, and are not gone through word by word.
pub(super) fn may_stand_in(text: &str, words: &ParticularWords) -> bool {
    const LETTERS: usize = 3;
    let mut letters = text.chars().peekable();
    while let Some(letter) = letters.next() {
        let parts =
            |next: &char| matches!(next, '/' | '.' | '-') || !next.is_ascii() && !next.is_alphanumeric();
        if letter.is_ascii_digit() && letters.peek().is_some_and(parts) {
            return true;
        }
    }
    let small = text.to_lowercase();
    let begins = |month: &String| month.to_lowercase().chars().take(LETTERS).collect::<String>();
    words.months.iter().chain(&words.months_short).any(|month| small.contains(&begins(month)))
}

/// The day of a month: `16`, `16th`, `1.º`.
fn of_month(text: &str, at: usize, words: &ParticularWords) -> Option<(i8, usize, Part)> {
    let digits = scan::digits(text, at).filter(|(number, end)| (1..=31).contains(number) && end - at < 3);
    let Some((number, end)) = digits else {
        let (day, end, ordinal) = of_month_in_words(text, at, words)?;
        return Some((day, end, Part::Day { width: 1, ordinal }));
    };
    let width = if text[at..].starts_with('0') { 2 } else { 1 };
    let dot = text[end..].strip_prefix('.').map_or(end, |_| end + 1);
    let is_ordinal =
        |mark: &&String| text[dot..].starts_with(mark.as_str()) && scan::ends(text, dot + mark.len());
    let ordinal = words.ordinals.values().filter(|mark| !mark.is_empty()).find(is_ordinal);
    let past = ordinal.map_or(end, |mark| dot + mark.len());
    Some((i8::try_from(number).ok()?, past, Part::Day { width, ordinal: ordinal.is_some() }))
}

/// "The first of November", "quince de octubre"; the second only where the day stands before its month.
fn of_month_in_words(text: &str, at: usize, words: &ParticularWords) -> Option<(i8, usize, bool)> {
    if let Some((which, end)) = scan::any(text, at, &words.ordinal_numbers) {
        return Some((i8::try_from(which + 1).ok()?, end, true));
    }
    let number = scan::number_word(text, at, &words.numbers).filter(|_| !words.month_first);
    let (day, end) = number.filter(|(day, _)| (1..=31).contains(day))?;
    Some((i8::try_from(day).ok()?, end, false))
}

fn year(text: &str, at: usize) -> Option<(i16, usize)> {
    let (number, end) = scan::digits(text, at)?;
    (end - at == 4 && (1900..2200).contains(&number) && scan::ends(text, end))
        .then_some((i16::try_from(number).ok()?, end))
}

/// A year behind a day: after a comma, a space, or "de".
fn year_behind(text: &str, at: usize, words: &ParticularWords) -> Option<(Range<usize>, i16)> {
    let comma = text[at..].strip_prefix(',').map_or(at, |_| at + 1);
    let next = scan::spaces(text, comma);
    let of = scan::any(text, next, &words.of).map(|(_, end)| scan::spaces(text, end));
    let start = of.unwrap_or(next);
    let (year, end) = year(text, start).filter(|_| start > at)?;
    Some((start..end, year))
}

fn month_first(text: &str, at: usize, words: &ParticularWords) -> Option<Read> {
    let (month, short, end) = month(text, at, words)?;
    let part = (at..at + text[at..end].trim_end_matches('.').len(), Part::Month { short });
    let mut read =
        Read { day: Day { year: None, month, day: None, weekday: None }, or: None, end, parts: vec![part] };
    let next = scan::spaces(text, end);
    // "October the tenth"
    let the = scan::any(text, next, &words.of).map(|(_, end)| scan::spaces(text, end));
    let next = the.filter(|the| words.month_first && *the > next).unwrap_or(next);
    if let Some((day, past, part)) =
        of_month(text, next, words).filter(|(_, past, _)| next > end && scan::ends(text, *past))
    {
        read.day.day = Some(day);
        read.parts.push((next..past, part));
        read.end = past;
    }
    read.with_year(text, words);
    Some(read)
}

fn day_first(text: &str, at: usize, words: &ParticularWords) -> Option<Read> {
    let (day, end, part) = of_month(text, at, words)?;
    let next = scan::spaces(text, end);
    let start = scan::any(text, next, &words.of).map_or(next, |(_, end)| scan::spaces(text, end));
    let (month, short, past) = month(text, start, words).filter(|_| start > end)?;
    let month_part = (start..start + text[start..past].trim_end_matches('.').len(), Part::Month { short });
    let day = Day { year: None, month, day: Some(day), weekday: None };
    let mut read = Read { day, or: None, end: past, parts: vec![(at..end, part), month_part] };
    read.with_year(text, words);
    Some(read)
}

impl Read {
    fn with_year(&mut self, text: &str, words: &ParticularWords) {
        if let Some((at, year)) = year_behind(text, self.end, words) {
            self.day.year = Some(year);
            self.end = at.end;
            self.parts.push((at, Part::Year { short: false }));
        }
    }
}

/// `2026-05-16`, `5/16/2026`, `16.05.2026`; `5/16` where it is known to be a day.
fn in_digits(text: &str, at: usize, words: &ParticularWords, manner: Manner) -> Option<Read> {
    let (first, end) = scan::digits(text, at)?;
    let sign = text[end..].chars().next().filter(|sign| matches!(sign, '-' | '/' | '.'))?;
    let start = end + 1;
    let (second, past) = scan::digits(text, start)?;
    let third = text[past..].strip_prefix(sign).and_then(|_| Some((past + 1, scan::digits(text, past + 1)?)));
    let width = |from: usize, to: usize| if text[from..].starts_with('0') { to - from } else { 1 };
    if sign == '-' {
        let (start_of_day, (day, end_of_day)) = third.filter(|_| end - at == 4 && past - start == 2)?;
        let date = day_in(Some(i16::try_from(first).ok()?), second, day)?;
        return scan::ends(text, end_of_day).then(|| Read {
            day: date,
            or: None,
            end: end_of_day,
            parts: vec![
                (at..end, Part::Year { short: false }),
                (start..past, Part::MonthNumber { width: 2 }),
                (start_of_day..end_of_day, Part::Day { width: 2, ordinal: false }),
            ],
        });
    }
    let (year, year_at, end_of_all) = match third {
        Some((from, (year, to))) if to - from == 4 => {
            (Some(i16::try_from(year).ok()?), Some((from, false)), to)
        }
        Some((from, (year, to))) if to - from == 2 => {
            (Some(2000 + i16::try_from(year).ok()?), Some((from, true)), to)
        }
        Some(_) => return None,
        None => (None, None, past),
    };
    if (year.is_none() && (manner == Manner::Prose || sign == '.')) || !scan::ends(text, end_of_all) {
        return None;
    }
    let day_of = |month: u32, day: u32| day_in(year, month, day);
    // a point stands between a day and its month in that order
    let month_first = words.month_first && sign == '/';
    let (usual, other) = match month_first {
        true => (day_of(first, second), day_of(second, first)),
        false => (day_of(second, first), day_of(first, second)),
    };
    let (day, is_usual) = usual.map(|day| (day, true)).or_else(|| other.map(|day| (day, false)))?;
    let or = other.filter(|other| is_usual && sign == '/' && *other != day);
    let month_part = |from, to| (from..to, Part::MonthNumber { width: width(from, to) });
    let day_part = |from, to| (from..to, Part::Day { width: width(from, to), ordinal: false });
    let mut parts = match month_first == is_usual {
        true => vec![month_part(at, end), day_part(start, past)],
        false => vec![day_part(at, end), month_part(start, past)],
    };
    parts.extend(year_at.map(|(from, short)| (from..end_of_all, Part::Year { short })));
    Some(Read { day, or, end: end_of_all, parts })
}

/// A day by its numbers, of which the month is one of twelve; whether it exists is for [`Day::exists`] to say.
fn day_in(year: Option<i16>, month: u32, day: u32) -> Option<Day> {
    let is_one = (1..=12).contains(&month) && (1..=31).contains(&day);
    let (month, day) = (i8::try_from(month).ok()?, i8::try_from(day).ok()?);
    is_one.then_some(Day { year, month, day: Some(day), weekday: None })
}

pub(super) fn say(days: &[Day], words: &ParticularWords) -> Option<String> {
    let one = |day: &Day| -> Option<String> {
        let month = words.months.get(usize::try_from(day.month - 1).ok()?)?;
        let year = day.year.map(|year| year.to_string()).unwrap_or_default();
        let Some(of_month) = day.day else {
            return Some(if year.is_empty() { month.clone() } else { format!("{month} {year}") });
        };
        let pattern = if year.is_empty() { &words.day } else { &words.date };
        let nth = format!("{of_month}{}", ordinal_of(of_month, words));
        let day = of_month.to_string();
        Some(scan::filled(pattern, &[("month", month), ("day", &day), ("nth", &nth), ("year", &year)]))
    };
    let said: Option<Vec<String>> = days.iter().map(one).collect();
    Some(said?.join(&format!(" {} ", words.through.first()?)))
}

pub(super) fn rewritten(
    text: &str,
    stated: &Particular,
    fact: &[Day],
    words: &ParticularWords,
) -> Option<String> {
    let Says::Days(old) = &stated.says else { return None };
    if old.len() != fact.len()
        || old.iter().zip(fact).any(|(old, new)| old.day.is_some() != new.day.is_some())
    {
        return None;
    }
    // which of the days a part is of: a second part of the same kind is of the second day
    let mut seen: Vec<std::mem::Discriminant<Part>> = Vec::new();
    let count = |part: &Part| stated.parts.iter().filter(|(_, other)| same_kind(other, part)).count();
    let mut now = Vec::new();
    for (_, part) in &stated.parts {
        let kind = std::mem::discriminant(part);
        let earlier = seen.iter().filter(|other| **other == kind).count();
        seen.push(kind);
        let shared = count(part) < fact.len();
        let day = fact[if shared { fact.len() - 1 } else { earlier.min(fact.len() - 1) }];
        // a month or a year that stands once is of both
        if shared && fact.iter().any(|other| !shares(part, other, &day)) {
            return None;
        }
        let known = day.year.or_else(|| fact.iter().find_map(|day| day.year));
        now.push(match *part {
            Part::Weekday { short } => {
                let which = usize::try_from(day.weekday.or_else(|| day.weekday_in(known))?).ok()?;
                let names = if short { &words.weekdays_short } else { &words.weekdays };
                names.get(which)?.clone()
            }
            Part::Month { short } => {
                let names = if short { &words.months_short } else { &words.months };
                names.get(usize::try_from(day.month - 1).ok()?)?.clone()
            }
            Part::MonthNumber { width } => format!("{:0width$}", day.month),
            Part::Day { width, ordinal } => {
                let number = day.day?;
                let mark = if ordinal { ordinal_of(number, words) } else { String::new() };
                format!("{number:0width$}{mark}")
            }
            Part::Year { short } => {
                let year = known?;
                if short { format!("{:02}", year % 100) } else { year.to_string() }
            }
            _ => return None,
        });
    }
    Some(with_parts(text, stated, &now))
}

fn same_kind(a: &Part, b: &Part) -> bool {
    std::mem::discriminant(a) == std::mem::discriminant(b)
}

/// Whether two days are alike in a part.
fn shares(part: &Part, a: &Day, b: &Day) -> bool {
    match part {
        Part::Month { .. } | Part::MonthNumber { .. } => a.month == b.month,
        Part::Year { .. } => a.year.is_none() || b.year.is_none() || a.year == b.year,
        _ => true,
    }
}

fn ordinal_of(day: i8, words: &ParticularWords) -> String {
    let whole = words.ordinals.get(&day.to_string());
    let last = || words.ordinals.get(&(day % 10).to_string());
    let other = || words.ordinals.get("other");
    whole.or_else(last).or_else(other).cloned().unwrap_or_default()
}
