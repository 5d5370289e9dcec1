//! Days, years and clock times, which are no figures.

use super::asides::{end_of_run, past_labels};
use super::forms::{self, Beside};
use super::tokens::{Kind, Text};

const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

/// The number of a month, from 1, by its name or the first three letters of it, in whatever case.
pub fn month(word: &str) -> Option<i8> {
    let is = |known: &str| word.eq_ignore_ascii_case(known);
    let at = MONTHS.iter().position(|name| is(name) || is(&name[..3]));
    at.and_then(|at| i8::try_from(at + 1).ok()).or_else(|| is("sept").then_some(9))
}

/// `2:30`, `2:30:15`, `2pm`, `2.13 am`, `10 o'clock`; also scales such as `1:50,000`.
pub(super) fn clock(text: &Text, at: usize) -> Option<usize> {
    let mut next = at + 1;
    while text.mark(next) == ':'
        && text.glued(next)
        && text.kind(next + 1) == Some(Kind::Digits)
        && text.glued(next + 1)
    {
        next += 2;
    }
    let colon = next > at + 1;
    if let Some(next) = hour_of_day(text, at) {
        return Some(next);
    }
    let hour = is_half_of_day(text, next).or_else(|| {
        let oclock =
            text.is(next, "o") && matches!(text.mark(next + 1), '\'' | '’') && text.is(next + 2, "clock");
        oclock.then_some(next + 3)
    });
    // the first half of "10 to 11 a.m."
    let later = || {
        let to = next + 1;
        let joins = text.is(next, "to") || text.is(next, "and") || text.is_dash(next);
        let end = (joins && text.kind(to) == Some(Kind::Digits)).then(|| clock_end(text, to))?;
        is_half_of_day(text, end).map(|_| next)
    };
    hour.or(colon.then_some(next)).or_else(later)
}

/// `at 14 h 30`, `to 8 h`: an hour of the day as it is written where the day has twenty-four.
fn hour_of_day(text: &Text, at: usize) -> Option<usize> {
    let before = at.checked_sub(1)?;
    let leads = text.is(before, "at")
        || text.is(before, "to")
            && !before.checked_sub(1).is_some_and(|first| {
                text.kind(first) == Some(Kind::Digits)
                    || text.is_any(first, &["up", "h", "hour", "hours", "min"])
                    || super::words::classify(text.word(first)).is_some()
            });
    let hour = text.str(at).parse::<u32>().is_ok_and(|hour| hour < 25);
    if !leads || !hour || !text.is_any(at + 1, &["h", "hours"]) {
        return None;
    }
    let minutes = text.kind(at + 2) == Some(Kind::Digits) && text.str(at + 2).len() == 2;
    // "a 1 h 40 min", "à 2 h de marche" tell how long
    if minutes && text.is_any(at + 3, &["min", "minutes"]) || text.is_any(at + 2, &["of", "from", "on"]) {
        return None;
    }
    Some(at + 2 + usize::from(minutes && text.is(at + 1, "h")))
}

fn clock_end(text: &Text, at: usize) -> usize {
    let colon = text.mark(at + 1) == ':' && text.kind(at + 2) == Some(Kind::Digits);
    if colon { at + 3 } else { at + 1 }
}

fn is_half_of_day(text: &Text, at: usize) -> Option<usize> {
    if text.is_any(at, &["am", "pm"]) {
        return Some(at + 1);
    }
    let stops = text.is_any(at, &["a", "p"])
        && text.mark(at + 1) == '.'
        && text.is(at + 2, "m")
        && text.glued(at + 2);
    stops.then(|| at + 3 + usize::from(text.mark(at + 3) == '.'))
}

/// Days and years: `May 25`, `25 May`, `3/1/2026`, `11/20`, `in 2026`, `1960s`, `1981–2008`.
pub(super) fn date(text: &Text, at: usize) -> Option<usize> {
    let digits = text.str(at);
    if !digits.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    match digits.len() {
        _ if is_slash(text, at + 1) => slashed(text, at),
        1 | 2 => day_of_month(text, at),
        4 => year(text, at),
        _ => None,
    }
}

fn is_slash(text: &Text, at: usize) -> bool {
    text.mark(at) == '/' && text.glued(at) && text.kind(at + 1) == Some(Kind::Digits) && text.glued(at + 1)
}

/// `3/1/2026`, `11/20` and `24/7`, but neither `3/4` nor `5/32 inch`.
fn slashed(text: &Text, at: usize) -> Option<usize> {
    const PARTS: [u32; 14] = [2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 16, 32, 64, 100];
    let next = end_of_run(text, at);
    let number = |at: usize| text.str(at).parse::<u32>().unwrap_or(u32::MAX);
    let (n, d) = (number(at), number(at + 2));
    let measured = forms::simple(text, at + 3, Beside::NAME).is_some();
    let dated = text.is_any(at.wrapping_sub(1), &["on", "by", "until"])
        && (1..=12).contains(&n)
        && (1..=31).contains(&d)
        && !measured;
    let fraction = PARTS.contains(&d) && (n < d || measured) && !dated && !is_slash(text, at + 3);
    // "14/47 of the herd" can be no day
    let no_day = n < d && (d > 31 || n > 12 && d > 12) && d <= 1000 && !is_slash(text, at + 3);
    let range = super::numeral::slash_range(text, at);
    let is_none = fraction || range || no_day && !text.glued(at + 3);
    (!is_none).then_some(next)
}

/// `May 25`, `May 5–8`, `25 May`, `5–8 May`.
fn day_of_month(text: &Text, at: usize) -> Option<usize> {
    let before = at.wrapping_sub(1);
    if is_month(text, before) || (text.mark(before) == '.' && is_month(text, at.wrapping_sub(2))) {
        return Some(past_labels(text, at + 1));
    }
    let joint = usize::from(text.is_dash(at + 1) || text.is_any(at + 1, &["and", "to"]));
    let month = if joint == 1 && text.kind(at + 2) == Some(Kind::Digits) { at + 3 } else { at + 1 };
    // "12 may ride" asks for leave
    (is_month(text, month) && text.word(month) != "may").then_some(month + 1)
}

/// A year that stands by itself; "1,600 feet" and "1600 feet" are none, nor are "1500 horses".
fn year(text: &Text, at: usize) -> Option<usize> {
    const BEFORE: &[&str] = &[
        "in", "since", "during", "until", "till", "year", "early", "late", "spring", "summer", "fall",
        "autumn", "winter", "season", "©", "circa", "of",
    ];
    let mut next = at + 1;
    if text.is(next, "s") && text.glued(next) {
        return Some(next + 1);
    }
    if !is_year(text.str(at)) {
        return None;
    }
    let range = text.is_dash(next) || text.is_any(next, &["to", "and"]);
    if range && is_year(text.str(next + 1)) {
        next += 2;
    }
    let before = at.wrapping_sub(1);
    let dated = text.is_any(before, BEFORE)
        || is_month(text, before)
        || (text.mark(before) == ',' && text.kind(before.wrapping_sub(1)) == Some(Kind::Digits));
    let word = text.word(next).to_lowercase();
    let measured = forms::simple(text, next, Beside::NAME).is_some();
    let counted = super::noun::is_plural(&word) && !dated;
    let hyphen = text.is_hyphen(next) && text.glued(next);
    let letters = text.glued(next) && text.kind(next) == Some(Kind::Word);
    let joins = text.is_dash(next) || text.is_any(next, &["to", "and"]);
    let ranges_on = !dated && joins && text.kind(next + 1) == Some(Kind::Digits);
    let scaled = super::words::classify(&word).is_some();
    (!(measured || counted || hyphen || letters || ranges_on || scaled)).then_some(next)
}

pub(super) fn is_year(digits: &str) -> bool {
    digits.len() == 4
        && digits.bytes().all(|byte| byte.is_ascii_digit())
        && ("1500".."2100").contains(&digits)
}

fn is_month(text: &Text, at: usize) -> bool {
    let word = text.word(at);
    // in small letters "may", "mar" and "march" are mostly other words
    let is_name = word.starts_with(char::is_uppercase) || (word.len() > 3 && !text.is(at, "march"));
    is_name && month(word).is_some()
}
