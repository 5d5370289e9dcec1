//! What people write who are new to TOML, and what to write instead: an American date, `yes`, a heading with a space.

use crate::program::form::slug;
use jiff::civil::{Date, Time};
use std::borrow::Cow;
use std::ops::Range;

/// Where a slip stands in its line, what is told of it, and the mend.
type Told = (Range<usize>, &'static str, Cow<'static, str>);

const DATE: &str = "Write the date as year, month and day, such as 2026-05-16, without quotation marks.";

/// The slip of a line that is not TOML; `None` where it is of no kind that is known here.
pub(super) fn slip(line: &str) -> Option<Told> {
    hard_space(line).or_else(|| heading(line)).or_else(|| value(line))
}

/// A space that is none to TOML, before any text in quotation marks.
fn hard_space(line: &str) -> Option<Told> {
    let before = line.find(['"', '\'', '#']).unwrap_or(line.len());
    let (at, space) = line[..before].char_indices().find(|(_, c)| c.is_whitespace() && !c.is_ascii())?;
    let message = "There is a hard (no-break) space here.";
    Some((at..at + space.len_utf8(), message, "Replace it with an ordinary space.".into()))
}

/// `[Group Size]`
fn heading(line: &str) -> Option<Told> {
    let trimmed = line.trim();
    let inner = trimmed.strip_prefix('[')?.strip_suffix(']')?;
    let (open, close, inner) = match inner.strip_prefix('[').and_then(|inner| inner.strip_suffix(']')) {
        Some(inner) => ("[[", "]]", inner),
        None => ("[", "]", inner),
    };
    if inner.contains(['[', ']', '"', '\'', '.', '=', '#']) || slug(inner).is_empty() {
        return None;
    }
    let start = line.find('[')?;
    let message = "The name in a heading has only letters, digits and hyphens.";
    Some((start..start + trimmed.len(), message, format!("Write {open}{}{close}.", slug(inner)).into()))
}

/// What stands bare after an equals sign.
fn value(line: &str) -> Option<Told> {
    let (key, rest) = line.split_once('=')?;
    if let Some(text) = rest.trim().strip_prefix('"') {
        return text_within_text(text).then(|| {
            let start = line.len() - rest.trim_start().len();
            let end = line.trim_end().len();
            let mend = "Write \\\" for each quotation mark inside the text.";
            (start..end, "A quotation mark inside this text ends it.", mend.into())
        });
    }
    let bare = rest.split('#').next().unwrap_or_default();
    let start = key.len() + 1 + (bare.len() - bare.trim_start().len());
    let bare = bare.trim();
    let at = start..start + bare.len();
    let (message, mend): (_, Cow<'static, str>) = match bare.to_lowercase().as_str() {
        "yes" | "on" => ("This is neither true nor false.", "Write true.".into()),
        "no" | "off" => ("This is neither true nor false.", "Write false.".into()),
        _ if numbers(bare).is_some() => {
            let mend = match date(bare) {
                Some(day) => format!("Write {day}.").into(),
                // The form is right, and the calendar has no such day.
                None if numbers(bare).is_some_and(|[year, ..]| year > 31) => return None,
                None => DATE.into(),
            };
            ("This is not the form of a date.", mend)
        }
        _ => {
            let time = time(bare)?;
            ("This is not the form of a time.", format!("Write {}.", time.strftime("%H:%M")).into())
        }
    };
    Some((at, message, mend))
}

/// Whether the text after a first quotation mark has one of its own before the last: `A "vet" or two"`.
fn text_within_text(text: &str) -> bool {
    let plain = text.replace("\\\"", "");
    let Some((before, behind)) = plain.split_once('"') else { return false };
    before.ends_with(' ') && behind.starts_with(char::is_alphanumeric) && plain.trim_end().ends_with('"')
}

/// Three numbers with the same mark between them.
fn numbers(bare: &str) -> Option<[i16; 3]> {
    let mark = bare.chars().find(|c| !c.is_ascii_digit()).filter(|c| "/.-".contains(*c))?;
    let parts: Vec<i16> = bare.split(mark).map(|part| part.parse().ok()).collect::<Option<_>>()?;
    parts.try_into().ok()
}

/// The day, where only one can be meant.
fn date(bare: &str) -> Option<Date> {
    let day =
        |year: i16, month: i16, day: i16| Date::new(year, month.try_into().ok()?, day.try_into().ok()?).ok();
    match numbers(bare)? {
        [year, month, of_month] if year > 31 => day(year, month, of_month),
        [first, second, year] if first > 12 => day(year, second, first),
        [first, second, year] if second > 12 || first == second => day(year, first, second),
        _ => None,
    }
}

/// `9:00`, `9:30 pm`
pub(in crate::program) fn time(bare: &str) -> Option<Time> {
    let lower = bare.to_lowercase().replace('.', "");
    let (clock, half) = match lower.strip_suffix("am").map(|clock| (clock, 0)) {
        Some(found) => (found.0, Some(found.1)),
        None => match lower.strip_suffix("pm") {
            Some(clock) => (clock, Some(12)),
            None => (lower.as_str(), None),
        },
    };
    let (hour, minute) = clock.trim().split_once(':')?;
    let (hour, minute): (i8, i8) = (hour.parse().ok()?, minute.parse().ok()?);
    let hour = match half {
        Some(_) if !(1..=12).contains(&hour) => return None,
        Some(half) => hour % 12 + half,
        None => hour,
    };
    Time::new(hour, minute, 0, 0).ok()
}
