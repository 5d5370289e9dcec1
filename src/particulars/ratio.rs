//! Ratios: one part to so many others, and one of so many in all. The two are not the same.

use super::{Manner, Part, Particular, Says, scan, with_parts};
use crate::capital::capital;
use crate::languages::ParticularWords;
use std::ops::Range;

/// Two numbers in their lowest terms.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ratio {
    first: u32,
    second: u32,
    /// Whether the second holds the first: 1 in 5.
    of_all: bool,
}

impl Ratio {
    fn new(first: u32, second: u32, of_all: bool) -> Self {
        let lowest = num_rational::Ratio::new(first.max(1), second.max(1));
        Self { first: *lowest.numer(), second: *lowest.denom(), of_all }
    }

    pub(super) fn say(&self, words: &ParticularWords) -> Option<String> {
        match self.of_all {
            true => Some(format!("{} {} {}", self.first, words.of_all.first()?, self.second)),
            false => Some(format!("{}:{}", self.first, self.second)),
        }
    }
}

/// A number in digits or in a word.
fn number(text: &str, at: usize, words: &ParticularWords) -> Option<(u32, usize, Part)> {
    if let Some((number, end)) = scan::digits(text, at).filter(|(_, end)| scan::ends(text, *end)) {
        return Some((number, end, Part::Number { in_words: false, capital: false }));
    }
    let (which, end) = scan::number_word(text, at, &words.numbers)?;
    let capital = text[at..].starts_with(char::is_uppercase);
    Some((u32::try_from(which).ok()?, end, Part::Number { in_words: true, capital }))
}

pub(super) fn read(text: &str, at: usize, words: &ParticularWords, manner: Manner) -> Option<Particular> {
    if !scan::begins(text, at) {
        return None;
    }
    let (first, end, first_part) = number(text, at, words)?;
    let (joined, of_all, is_sign) = match joint(text, end, words) {
        Some(joint) => joint,
        None if manner == Manner::Known => of_all_behind(text, end, words)?,
        None => return None,
    };
    let (second, past, second_part) = number(text, joined, words)?;
    // "9:30" may be a clock time, and "5 to 10" a range
    let is_plain = is_sign || of_all || manner == Manner::Known;
    let is_clock = is_sign
        && manner == Manner::Prose
        && past - joined == 2
        && second < 60
        && stands_as_clock(text, at, words);
    if first == 0 || second == 0 || !is_plain || is_clock {
        return None;
    }
    let past = parts_behind(text, past, words).unwrap_or(past);
    let says = Says::Ratio(Ratio::new(first, second, of_all));
    let second_at: Range<usize> = joined..number(text, joined, words)?.1;
    Some(Particular {
        span: at..past,
        says,
        or: None,
        parts: vec![(at..end, first_part), (second_at, second_part)],
    })
}

/// Whether a word before it, or none, says that a clock time may stand there: "at 1:10".
fn stands_as_clock(text: &str, at: usize, words: &ParticularWords) -> bool {
    let before = text[..at].trim_end();
    let start = before.rfind(|letter: char| !letter.is_alphanumeric()).map_or(0, |at| at + 1);
    let word = before.get(start..).unwrap_or_default().to_lowercase();
    let listed = [&words.starts, &words.terms, &words.through];
    word.is_empty() || listed.into_iter().flatten().any(|known| *known == word)
}

/// "part", "parts of bleach": up to three words.
fn parts_behind(text: &str, at: usize, words: &ParticularWords) -> Option<usize> {
    let next = scan::spaces(text, at);
    scan::any(text, next, &words.parts).map(|(_, end)| end)
}

/// "One horse in five": up to two words stand between the number and what joins it to all.
fn of_all_behind(text: &str, at: usize, words: &ParticularWords) -> Option<(usize, bool, bool)> {
    let mut next = at;
    for _ in 0..2 {
        next = scan::past_word(text, scan::next_word(text, next)?);
        let joint = scan::spaces(text, next);
        if let Some((_, end)) = scan::any(text, joint, &words.of_all) {
            return Some((scan::spaces(text, end), true, false));
        }
    }
    None
}

/// What joins the two numbers: where the second starts, whether it holds the first, and whether it is a sign.
fn joint(text: &str, at: usize, words: &ParticularWords) -> Option<(usize, bool, bool)> {
    let next = scan::spaces(text, at);
    if text[next..].starts_with([':', '∶']) {
        let sign = text[next..].chars().next().map_or(1, char::len_utf8);
        return Some((scan::spaces(text, next + sign), false, true));
    }
    if let Some((_, end)) = scan::any(text, next, &words.of_all) {
        return Some((scan::spaces(text, end), true, false));
    }
    // "1 part bleach to 4 parts water"
    let mut next = next;
    if let Some((_, end)) = scan::any(text, next, &words.parts) {
        next = scan::spaces(text, end);
        for _ in 0..3 {
            if scan::any(text, next, &words.to).is_some() {
                break;
            }
            next = scan::spaces(text, scan::past_word(text, scan::next_word(text, next)?));
        }
    }
    let (_, end) = scan::any(text, next, &words.to)?;
    Some((scan::spaces(text, end), false, false))
}

pub(super) fn rewritten(
    text: &str,
    stated: &Particular,
    fact: &Ratio,
    words: &ParticularWords,
) -> Option<String> {
    let Says::Ratio(old) = &stated.says else { return None };
    if old.of_all != fact.of_all {
        return fact.say(words);
    }
    let now = stated.parts.iter().zip([fact.first, fact.second]).map(|((_, part), number)| match part {
        Part::Number { in_words: true, capital: is_capital } => {
            let word = usize::try_from(number).ok().and_then(|number| words.numbers.get(number));
            let word = word.and_then(|word| word.split('|').next());
            let word = word.map_or_else(|| number.to_string(), str::to_owned);
            if *is_capital { capital(&word) } else { word }
        }
        _ => number.to_string(),
    });
    Some(with_parts(text, stated, &now.collect::<Vec<_>>()))
}
