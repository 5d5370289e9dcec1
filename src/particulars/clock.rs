//! Clock times, and all from one to another.

use super::{Manner, Part, Particular, Says, scan, with_parts};
use crate::languages::ParticularWords;
use jiff::civil::Time;
use std::ops::Range;

/// A time of the clock, in minutes from midnight.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Clock(pub u16);

impl Clock {
    pub fn of(time: Time) -> Self {
        Self(u16::from(time.hour().unsigned_abs()) * 60 + u16::from(time.minute().unsigned_abs()))
    }

    /// `09:00`
    pub fn in_digits(self) -> String {
        format!("{:02}:{:02}", self.0 / 60, self.0 % 60)
    }

    pub fn later(self, minutes: u32) -> Self {
        Self(u16::try_from((u32::from(self.0) + minutes) % (24 * 60)).unwrap_or(0))
    }
}

const HALF: u16 = 12 * 60;

struct Read {
    minutes: u16,
    /// Whether the half of the day is known.
    is_sure: bool,
    /// Whether it can be nothing but a clock time.
    is_whole: bool,
    end: usize,
    parts: Vec<(Range<usize>, Part)>,
}

pub(super) fn read(text: &str, at: usize, words: &ParticularWords, manner: Manner) -> Option<Particular> {
    if !scan::begins(text, at)
        || text[..at].ends_with([':', '.'])
            && text[..at].trim_end_matches([':', '.']).ends_with(char::is_numeric)
    {
        return None;
    }
    let mut first = one(text, at, words, manner)?;
    let mut times = vec![first.minutes];
    let mut end = first.end;
    let next = scan::through(text, end, &words.through);
    if let Some(last) =
        next.and_then(|next| one(text, next, words, Manner::Known)).filter(|last| last.is_whole)
    {
        if !first.is_whole && last.is_sure && !first.is_sure {
            // "9 to 11 a.m."
            let later = last.minutes >= HALF && first.minutes < HALF && first.minutes + HALF <= last.minutes;
            times[0] += if later { HALF } else { 0 };
            first.is_sure = true;
        }
        first.is_whole = true;
        times.push(last.minutes);
        end = last.end;
        first.parts.extend(last.parts);
    }
    let is_sure = first.is_sure;
    let says = |times: &[u16]| Says::Times(times.iter().copied().map(Clock).collect());
    let evening = [times[0] + HALF];
    let or = (!is_sure && times.len() == 1 && times[0] < HALF).then(|| says(&evening));
    first.is_whole.then(|| Particular { span: at..end, says: says(&times), or, parts: first.parts })
}

fn one(text: &str, at: usize, words: &ParticularWords, manner: Manner) -> Option<Read> {
    for (named, minutes) in [(&words.noon, HALF), (&words.midnight, 0)] {
        if let Some((_, end)) = scan::any(text, at, named) {
            return Some(Read { minutes, is_sure: true, is_whole: true, end, parts: Vec::new() });
        }
    }
    let digits = scan::digits(text, at).filter(|(hour, end)| *hour < 25 && end - at < 3);
    let in_words = || scan::number_word(text, at, &words.numbers).filter(|(hour, _)| (1..24).contains(hour));
    let (hour, end, is_word) = match digits {
        Some((hour, end)) => (u16::try_from(hour).ok()?, end, false),
        None => in_words().and_then(|(hour, end)| Some((u16::try_from(hour).ok()?, end, true)))?,
    };
    let width = if text[at..end].starts_with('0') { 2 } else { 1 };
    let minute = text[end..].strip_prefix([':', '.']).and_then(|_| scan::digits(text, end + 1));
    let minute = minute.filter(|(minute, past)| *minute < 60 && past - end == 3);
    let minute = minute.filter(|(_, past)| scan::ends(text, *past) && !goes_on(text, *past));
    let has_colon = text[end..].starts_with(':') && minute.is_some();
    if hour == 24 && minute.is_some_and(|(minute, _)| minute > 0) {
        return None;
    }
    let signed = if minute.is_none() { hour_sign(text, end, words) } else { None };
    let minute = minute.or(signed.and_then(|(_, minute)| minute));
    let past = signed.map_or_else(|| minute.map_or(end, |(_, past)| past), |(past, _)| past);
    let mut parts = vec![(at..end, Part::Hour { width, of_half: false })];
    parts.extend(minute.map(|(_, past)| (past - 2..past, Part::Minute)));
    let minutes = hour * 60 + minute.map_or(0, |(minute, _)| u16::try_from(minute).unwrap_or(0));
    let next = scan::spaces(text, past);
    for (half, writings) in words.halves.iter().enumerate() {
        let Some((writing, end)) = scan::any(text, next, writings).filter(|_| (1..=12).contains(&hour))
        else {
            continue;
        };
        parts[0].1 = Part::Hour { width, of_half: true };
        parts.push((next..end, Part::Half { writing }));
        // "12 at night" begins a day, and so does "2 at night"
        let is_early = (hour == 12 || hour < 5) && words.night.contains(&writings[writing]);
        let minutes = minutes % HALF + if half == 1 && !is_early { HALF } else { 0 };
        return Some(Read { minutes, is_sure: true, is_whole: true, end, parts });
    }
    if let Some((_, end)) = scan::any(text, next, &words.oclock) {
        return Some(Read { minutes: minutes % (2 * HALF), is_sure: false, is_whole: true, end, parts });
    }
    if !scan::ends(text, past) || is_word && signed.is_none() {
        return None;
    }
    if signed.is_some() {
        // "22 h" by itself may be how long something lasts
        let is_clock = !is_word && (minute.is_some() || is_led(text, at, words)) || manner == Manner::Known;
        let minutes = minutes % (2 * HALF);
        return is_clock.then_some(Read { minutes, is_sure: true, is_whole: true, end: past, parts });
    }
    let is_sure = width == 2 || hour > 12 || hour == 0;
    Some(Read { minutes: minutes % (2 * HALF), is_sure, is_whole: has_colon, end: past, parts })
}

/// A sign of hours behind a number (`22 h`, `22h30`): where it ends, and the minutes behind it.
fn hour_sign(text: &str, at: usize, words: &ParticularWords) -> Option<(usize, Option<(u32, usize)>)> {
    let next = scan::spaces(text, at);
    let glued =
        words.hours.iter().filter_map(|sign| text[next..].strip_prefix(sign.as_str()).map(|_| sign.len()));
    let glued =
        glued.filter(|length| text[next + length..].starts_with(|letter: char| letter.is_ascii_digit()));
    let end = scan::any(text, next, &words.hours)
        .map(|(_, end)| end)
        .or(glued.max().map(|length| next + length))?;
    let from = scan::spaces(text, end);
    let minute = scan::digits(text, from).filter(|(minute, past)| *minute < 60 && past - from == 2);
    let minute = minute.filter(|(_, past)| scan::ends(text, *past) && !goes_on(text, *past));
    Some((minute.map_or(end, |(_, past)| past), minute))
}

/// Whether a word before it says that a clock time follows: "à 22 h".
pub(super) fn is_led(text: &str, at: usize, words: &ParticularWords) -> bool {
    let before = text[..at].trim_end();
    let start = before.rfind(|letter: char| !letter.is_alphanumeric());
    let start = start.map_or(0, |at| at + before[at..].chars().next().map_or(1, char::len_utf8));
    let word = before[start..].to_lowercase();
    let listed = [&words.starts, &words.terms, &words.through];
    !word.is_empty() && listed.into_iter().flatten().any(|known| *known == word)
}

/// The clock time at a place that no clock shows, "25:00" or "9:75": where it stands. A number of minutes and seconds
/// may be so; what a half of the day follows, or a word such as "at" leads, may not.
pub(super) fn impossible(text: &str, at: usize, words: &ParticularWords) -> Option<Range<usize>> {
    let (hour, end) = scan::digits(text, at).filter(|(_, end)| end - at < 3 && scan::begins(text, at))?;
    let (minute, past) = scan::digits(text, text[end..].strip_prefix(':').map(|_| end + 1)?)?;
    let is_whole = past - end == 3 && scan::ends(text, past) && !goes_on(text, past);
    let is_none = minute > 59 || hour > 24 || hour == 24 && minute > 0;
    let halves = words.halves.iter().flatten().filter(|writing| writing.len() < 6);
    let next = scan::spaces(text, past);
    let in_half = halves.into_iter().any(|writing| scan::phrase(text, next, writing).is_some());
    let joins = text[..at].ends_with(['-', '–', '—']);
    (is_whole && is_none && (in_half || joins || is_led(text, at, words))).then_some(at..past)
}

/// Whether a number goes on behind its digits: `1:50,000`, `9:30:15`.
fn goes_on(text: &str, at: usize) -> bool {
    let rest = text[at..].strip_prefix([',', '.', ':', '/']);
    rest.is_some_and(|rest| rest.starts_with(|next: char| next.is_ascii_digit()))
}

pub(super) fn say(times: &[Clock], words: &ParticularWords) -> Option<String> {
    let one = |time: &Clock| {
        let (hour, minute) = (time.0 / 60, time.0 % 60);
        if let Some(sign) = words.hours.first().filter(|_| words.says_hours) {
            return if minute == 0 { format!("{hour} {sign}") } else { format!("{hour} {sign} {minute:02}") };
        }
        let half = words.halves.get(usize::from(hour >= 12)).and_then(|writings| writings.first());
        let Some(half) = half else { return format!("{hour:02}:{minute:02}") };
        let hour = if hour % 12 == 0 { 12 } else { hour % 12 };
        if minute == 0 { format!("{hour} {half}") } else { format!("{hour}:{minute:02} {half}") }
    };
    Some(times.iter().map(one).collect::<Vec<_>>().join(&format!(" {} ", words.through.first()?)))
}

pub(super) fn rewritten(
    text: &str,
    stated: &Particular,
    fact: &[Clock],
    words: &ParticularWords,
) -> Option<String> {
    let Says::Times(old) = &stated.says else { return None };
    let hours = stated.parts.iter().filter(|(_, part)| matches!(part, Part::Hour { .. })).count();
    if old.len() != fact.len() {
        return None;
    }
    if hours != fact.len() {
        // noon or midnight
        return say(fact, words);
    }
    let mut now = Vec::new();
    let mut which = 0;
    let mut times = fact.iter();
    let mut time = *times.next()?;
    for (at, (_, part)) in stated.parts.iter().enumerate() {
        now.push(match *part {
            Part::Hour { width, of_half } => {
                if which > 0 {
                    time = *times.next()?;
                }
                which += 1;
                let (hour, minute) = (time.0 / 60, time.0 % 60);
                let of_half =
                    of_half || stated.parts.iter().any(|(_, part)| matches!(part, Part::Half { .. }));
                let hour = if of_half && hour % 12 == 0 {
                    12
                } else if of_half {
                    hour % 12
                } else {
                    hour
                };
                let has_minute = matches!(stated.parts.get(at + 1), Some((_, Part::Minute)));
                let tail = if minute > 0 && !has_minute { format!(":{minute:02}") } else { String::new() };
                format!("{hour:0width$}{tail}")
            }
            Part::Minute => format!("{:02}", time.0 % 60),
            Part::Half { writing } => {
                let writings = words.halves.get(usize::from(time.0 >= HALF))?;
                let (range, _) = &stated.parts[at];
                let own = text[range.clone()].to_lowercase();
                let is_capital = text[range.clone()].starts_with(char::is_uppercase);
                // "in the morning" has no other half by its place in the list
                let is_short = own.len() < 6;
                let half = writings.iter().find(|half| **half == own);
                let half = half.or(writings.get(writing).filter(|_| is_short)).or(writings.first())?;
                if is_capital { half.to_uppercase() } else { half.clone() }
            }
            _ => return None,
        });
    }
    Some(with_parts(text, stated, &now))
}
