//! Particulars: what print states beside quantities. Telephone numbers, days, clock times, addresses, ratios, fixed
//! words.
//!
//! Text in, particulars out; nothing here knows of programs. A particular is held exactly: no rounding, no hedge. What
//! is free is its writing, and each kind says which writings are the same. The words of a language (its months, the
//! halves of its day) are in [`crate::languages`].
//!
//! | file | holds |
//! | --- | --- |
//! | `scan` | walking over a text by words, digits and spaces |
//! | `phone`, `days`, `clock`, `ratio`, `address` | a kind each: read, compared, written |

mod address;
mod clock;
mod days;
mod phone;
mod ratio;
mod scan;
#[cfg(test)]
mod tests;

pub use clock::Clock;
pub use days::Day;

use crate::languages::ParticularWords;
use std::ops::Range;

/// What a fact is, where it is no quantity.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    Phone,
    /// A day, a month, or all from one to another.
    Date,
    Time,
    /// Of a house, of the web, or of e-mail.
    Address,
    Ratio,
    /// Words that are said as they are.
    Text,
}

/// What a particular says, whatever its writing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Says {
    Phone(phone::Number),
    /// One, or the first and the last.
    Days(Vec<Day>),
    Times(Vec<Clock>),
    /// The words of a house's address, shortened as far as they may be.
    House(Vec<String>),
    /// Of the web or of e-mail, in one writing.
    Web(String),
    Ratio(ratio::Ratio),
    Text(Vec<String>),
}

/// A particular that stands in a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Particular {
    pub span: Range<usize>,
    pub says: Says,
    /// What its writing may as well mean: 5/6/2026 is the fifth of June or the sixth of May.
    pub or: Option<Says>,
    /// Its parts, in order, and how each is written.
    parts: Vec<(Range<usize>, Part)>,
}

/// A part of a particular that changes with what it says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Part {
    Weekday {
        short: bool,
    },
    Month {
        short: bool,
    },
    /// In digits, of so many at least.
    MonthNumber {
        width: usize,
    },
    Day {
        width: usize,
        ordinal: bool,
    },
    Year {
        short: bool,
    },
    Hour {
        width: usize,
        of_half: bool,
    },
    Minute,
    /// By its writing.
    Half {
        writing: usize,
    },
    Number {
        in_words: bool,
        capital: bool,
    },
}

/// What comes of holding a particular against what a fact says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    Agrees,
    /// One way to read it agrees, and another does not.
    Unsure,
    Off,
}

/// How strictly a text is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Manner {
    /// In running prose: only what can be nothing else.
    Prose,
    /// Where it is known that one stands there.
    Known,
}

impl Kind {
    /// As a facts file and messages call it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Phone => "telephone number",
            Self::Date => "date",
            Self::Time => "clock time",
            Self::Address => "address",
            Self::Ratio => "ratio",
            Self::Text => "text",
        }
    }

    /// Two examples of its writing.
    pub fn example(self) -> &'static str {
        match self {
            Self::Phone => "\"555-0100\" or \"(775) 555-0100\"",
            Self::Date => "\"May 16, 2026\" or \"May 1 to September 30\"",
            Self::Time => "\"9 a.m.\" or \"09:00\"",
            Self::Address => "\"1 Basin Road, Dry Fork\" or \"www.example.org\"",
            Self::Ratio => "\"1:4\" or \"1 in 5\"",
            Self::Text => "\"call before you dig\"",
        }
    }
}

/// Every particular of a kind in running prose, in order. Of texts none is found: any words could be one.
pub fn find(kind: Kind, text: &str, words: &ParticularWords) -> Vec<Particular> {
    in_manner(kind, text, words, Manner::Prose)
}

/// The particular of a kind that words are known to hold: those of a link, or of a fact's value.
///
/// # Errors
/// A sentence that says why there is none, or not one.
pub fn read_one(kind: Kind, text: &str, words: &ParticularWords) -> Result<Particular, String> {
    if kind == Kind::Text {
        let says = Says::Text(address::plain_words(text));
        return Ok(Particular { span: 0..text.len(), says, or: None, parts: Vec::new() });
    }
    let mut found = in_manner(kind, text, words, Manner::Known);
    match (found.pop(), found.pop()) {
        (Some(one), None) => Ok(one),
        (None, _) => Err(format!("No {} can be read in “{}”.", kind.name(), text.trim())),
        (Some(_), Some(_)) => Err(format!("There is more than one {} in it.", kind.name())),
    }
}

fn in_manner(kind: Kind, text: &str, words: &ParticularWords, manner: Manner) -> Vec<Particular> {
    let read = |at| match kind {
        Kind::Phone => phone::read(text, at, manner),
        Kind::Date => days::read(text, at, words, manner),
        Kind::Time => clock::read(text, at, words, manner),
        Kind::Address => address::read(text, at, words, manner),
        Kind::Ratio => ratio::read(text, at, words, manner),
        Kind::Text => None,
    };
    let mut found = Vec::new();
    if kind == Kind::Date && !days::may_stand_in(text, words) {
        return found;
    }
    let mut at = 0;
    while let Some(start) = scan::next_word(text, at) {
        match read(start) {
            Some(particular) => {
                at = particular.span.end.max(start + 1);
                found.push(particular);
            }
            None => at = scan::past_word(text, start),
        }
    }
    found
}

/// Those of the days found in running prose that the calendar does not have, and the times in it that no clock shows:
/// where they stand.
pub fn impossible(days: &[Particular], text: &str, words: &ParticularWords) -> Vec<(Kind, Range<usize>)> {
    let days = days.iter().filter(|found| found.says.exists().is_err());
    let mut all: Vec<(Kind, Range<usize>)> = days.map(|found| (Kind::Date, found.span.clone())).collect();
    let starts = text.match_indices(':').filter_map(|(colon, _)| {
        let digits = text[..colon].bytes().rev().take_while(u8::is_ascii_digit).count();
        (digits > 0).then(|| colon - digits)
    });
    all.extend(starts.filter_map(|at| Some((Kind::Time, clock::impossible(text, at, words)?))));
    all
}

impl Says {
    /// # Errors
    /// A sentence: the calendar has no such day.
    pub fn exists(&self) -> Result<(), String> {
        let Self::Days(days) = self else { return Ok(()) };
        let year = days.iter().find_map(|day| day.year);
        match days.iter().all(|day| Day { year: day.year.or(year), ..*day }.exists()) {
            true => Ok(()),
            false => Err("The calendar has no such day.".to_owned()),
        }
    }
}

/// Holds a stated particular against what a fact says. A telephone number without its area code is the fact's only
/// `nearby`.
pub fn agree(stated: &Particular, fact: &Says, nearby: bool) -> Verdict {
    let same = |stated: &Says| match (stated, fact) {
        (Says::Phone(stated), Says::Phone(fact)) => stated.is(fact, nearby),
        (Says::Days(stated), Says::Days(fact)) => days::same(stated, fact),
        (Says::House(stated), Says::House(fact)) => {
            stated == fact || (stated.len() > 1 && fact.starts_with(stated))
        }
        (stated, fact) => stated == fact,
    };
    match (same(&stated.says), stated.or.as_ref().map(same)) {
        (true, None | Some(true)) => Verdict::Agrees,
        (true, Some(false)) | (false, Some(true)) => Verdict::Unsure,
        (false, None | Some(false)) => Verdict::Off,
    }
}

/// What a fact says, in the usual writing of a language; `None` for what is written as the facts file has it.
pub fn say(fact: &Says, words: &ParticularWords) -> Option<String> {
    match fact {
        Says::Days(listed) => days::say(listed, words),
        Says::Times(listed) => clock::say(listed, words),
        Says::Ratio(ratio) => ratio.say(words),
        Says::Phone(_) | Says::House(_) | Says::Web(_) | Says::Text(_) => None,
    }
}

/// A stated particular written anew so that it says what a fact says, in its own writing; `value` is the fact's.
///
/// # Errors
/// A sentence: its writing has no room for that.
pub fn restate(
    text: &str,
    stated: &Particular,
    fact: &Says,
    value: &str,
    words: &ParticularWords,
) -> Result<String, String> {
    let now = match fact {
        Says::Phone(number) => phone::rewritten(text, stated, number, value),
        Says::Days(listed) => days::rewritten(text, stated, listed, words),
        Says::Times(listed) => clock::rewritten(text, stated, listed, words),
        Says::Ratio(ratio) => ratio::rewritten(text, stated, ratio, words),
        Says::House(_) | Says::Web(_) | Says::Text(_) => Some(value.to_owned()),
    };
    now.ok_or_else(|| "Its writing has no room for what the fact says.".to_owned())
}

/// A text with some of its parts in other words; what stands around the particular is left out.
fn with_parts(text: &str, stated: &Particular, now: &[String]) -> String {
    let mut written = String::new();
    let mut done = stated.span.start;
    for ((at, _), now) in stated.parts.iter().zip(now) {
        written.push_str(&text[done..at.start]);
        written.push_str(now);
        done = at.end;
    }
    written.push_str(&text[done..stated.span.end]);
    written
}
