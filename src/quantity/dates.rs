//! Days, years and clock times, which are no figures.

use super::asides::end_of_run;
use super::forms::{self, Beside};
use super::tokens::{Kind, Text};

const MONTHS: &[&str] = &[
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
    "jan",
    "feb",
    "mar",
    "apr",
    "jun",
    "jul",
    "aug",
    "sep",
    "sept",
    "oct",
    "nov",
    "dec",
];

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
    if text.mark(at + 1) == '/'
        && text.glued(at + 1)
        && text.kind(at + 2) == Some(Kind::Digits)
        && text.glued(at + 2)
    {
        let next = end_of_run(text, at);
        let parts = [2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 16, 32, 64, 100];
        // more than one whole ("24/7") is a fraction only before a unit
        let small = digits.parse::<u32>().ok() < text.str(at + 2).parse().ok()
            || forms::simple(text, at + 3, Beside::NAME).is_some();
        let day = text.is_any(at.wrapping_sub(1), &["on", "by", "until"])
            && digits.parse().is_ok_and(|month: u32| (1..=12).contains(&month))
            && text.str(at + 2).parse().is_ok_and(|day: u32| (1..=31).contains(&day));
        let fraction = small && !day && text.str(at + 2).parse().is_ok_and(|d: u32| parts.contains(&d));
        return (!fraction || text.mark(at + 3) == '/').then_some(next);
    }
    let day = digits.len() <= 2;
    if day && is_month(text, at.wrapping_sub(1)) {
        return Some(at + 1);
    }
    if day && is_month(text, at.wrapping_sub(2)) && text.mark(at.wrapping_sub(1)) == '.' {
        return Some(at + 1);
    }
    // "May 5–8", "25 May"
    let month_follows = is_month(text, at + 1) && !(text.is(at + 1, "may") && text.word(at + 1) == "may");
    if day && month_follows {
        return Some(at + 2);
    }
    if digits.len() != 4 {
        return None;
    }
    if text.is(at + 1, "s") && text.glued(at + 1) {
        return Some(at + 2);
    }
    let mut next = at + 1;
    if !is_year(digits) {
        return None;
    }
    if (text.is_dash(next) || text.is(next, "to") || text.is(next, "and")) && is_year(text.str(next + 1)) {
        next += 2;
    }
    let after_year_word = text.is_any(
        at.wrapping_sub(1),
        &[
            "in", "since", "during", "until", "till", "year", "early", "late", "spring", "summer", "fall",
            "autumn", "winter", "season", "©", "circa", "of",
        ],
    ) || is_month(text, at.wrapping_sub(1))
        || (text.mark(at.wrapping_sub(1)) == ',' && text.kind(at.wrapping_sub(2)) == Some(Kind::Digits));
    let measured = forms::simple(text, next, Beside::NAME).is_some();
    let word = text.word(next).to_lowercase();
    let counted = super::noun::is_plural(&word) && !after_year_word;
    let goes_on = text.is_hyphen(next) && text.glued(next)
        || text.glued(next) && text.kind(next) == Some(Kind::Word)
        || super::words::classify(&word).is_some();
    let range = !after_year_word && (text.is_dash(next) || text.is_any(next, &["to", "and"]));
    (!measured && !counted && !goes_on && !(range && text.kind(next + 1) == Some(Kind::Digits)))
        .then_some(next)
}

pub(super) fn is_year(digits: &str) -> bool {
    digits.len() == 4
        && digits.bytes().all(|byte| byte.is_ascii_digit())
        && ("1500".."2100").contains(&digits)
}

fn is_month(text: &Text, at: usize) -> bool {
    let word = text.word(at);
    word.starts_with(|c: char| c.is_uppercase())
        && MONTHS.iter().any(|month| word.eq_ignore_ascii_case(month))
        || (word.len() > 3
            && MONTHS.iter().any(|month| word.eq_ignore_ascii_case(month))
            && !text.is(at, "march"))
}
