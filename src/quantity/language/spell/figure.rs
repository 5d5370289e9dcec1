//! A number with what it counts, put into a language as its grammar asks: `dos horas y media`, `media milla`, `un
//! millón de libras`, `un demi-mille`, `1,5 pied`.
//!
//! The reader's English for it is taken apart into the number and the words behind it; those keep the writer's own
//! spelling where they are of the same number as before.

use super::super::super::restate::tail::renumbered;
use super::super::super::words::classify;
use super::super::super::{Amount, Exact, Unit, read_one};
use super::super::Lexicon;
use super::{as_it_is, es, fr, words};
use crate::quantity::number::{last_place, whole, with_decimals};
use num_traits::{One, Signed, ToPrimitive, Zero};
use std::ops::Range;

/// What stood in the place of a figure's own words.
pub(in super::super) struct Stood<'s> {
    /// The reader's English for it.
    pub english: &'s str,
    /// The English behind it.
    pub after: &'s str,
    /// The writer's words for a part of the English, where they are parted there.
    pub own: &'s dyn Fn(Range<usize>) -> Option<&'s str>,
}

/// A number in the reader's English.
enum Number {
    Digits { digits: String, value: Exact, scale: Option<Scale> },
    Words { full: u64, part: Option<(u32, u32)>, scale: Option<Scale>, minus: bool },
}

impl Number {
    /// The same in digits, where it has an end as a decimal.
    fn in_digits(&self) -> Option<Self> {
        let Self::Words { full, part, scale: None, minus } = self else { return None };
        let part = part.map_or_else(Exact::zero, |(n, d)| whole(n.into()) / whole(d.into()));
        let value = whole(i64::try_from(*full).ok()?) + part;
        let decimals = last_place(&value).filter(|place| *place >= -3)?;
        let digits = with_decimals(&value, usize::try_from(-decimals.min(0)).ok()?);
        let (sign, value) = if *minus { ("−", -value) } else { ("", value) };
        Some(Self::Digits { digits: format!("{sign}{digits}"), value, scale: None })
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Scale {
    Million,
    Billion,
    Trillion,
}

impl Scale {
    fn of(word: &str) -> Option<Self> {
        match word {
            "million" => Some(Self::Million),
            "billion" => Some(Self::Billion),
            "trillion" => Some(Self::Trillion),
            _ => None,
        }
    }
}

/// Shares by their names: how many of them make one.
const SHARES: [(&str, u32); 8] = [
    ("half", 2),
    ("third", 3),
    ("quarter", 4),
    ("fifth", 5),
    ("sixth", 6),
    ("eighth", 8),
    ("tenth", 10),
    ("sixteenth", 16),
];

fn share_of(word: &str) -> Option<u32> {
    let one = word.strip_suffix('s').unwrap_or(word);
    SHARES.iter().find(|(name, _)| *name == one).map(|(_, parts)| *parts)
}

/// A figure's words in the language, in number words where it has them, and then in digits, for what no reader takes
/// for a number ("un caballo"); none where they are of a form that is not taken apart here.
pub(in super::super) fn said(
    foreign: &Lexicon,
    english: &str,
    unit: &Unit,
    stood: &Stood<'_>,
) -> Vec<String> {
    let ways = [false, true];
    ways.into_iter().filter_map(|in_digits| said_so(foreign, english, unit, stood, in_digits)).collect()
}

fn said_so(
    foreign: &Lexicon,
    english: &str,
    unit: &Unit,
    stood: &Stood<'_>,
    in_digits: bool,
) -> Option<String> {
    let tokens: Vec<(usize, &str)> =
        english.split(' ').map(|word| (word.as_ptr() as usize - english.as_ptr() as usize, word)).collect();
    let as_asked = |number: Number| if in_digits { number.in_digits() } else { Some(number) };
    let (first, mut next) = number(&tokens, 0)?;
    let first = as_asked(first)?;
    let word = |at: usize| tokens.get(at).map_or("", |(_, word)| *word);
    let mut joined: Option<(&str, Number)> = None;
    if ["to", "and", "or"].contains(&word(next)) {
        let (second, end) = number(&tokens, next + 1)?;
        joined = Some((word(next), as_asked(second)?));
        next = end;
    }
    let counts = tokens.get(next).map_or(english.len(), |(at, _)| *at);
    let last = joined.as_ref().map_or(&first, |(_, second)| second);
    let many = joined.is_some() || is_many(foreign, last);
    let behind = behind(foreign, &english[counts..], unit, many, stood)?;
    let noun = behind.noun.as_deref();
    let own = |number: &Number, counted: Option<&str>| said_of(foreign, number, noun, counted);
    let mut text = match &joined {
        None => own(&first, Some(&behind.words)).filter(|_| !behind.words.is_empty()),
        Some((joint, second)) => {
            let low = own(&first, None)?;
            let high = own(second, Some(&behind.words)).filter(|_| !behind.words.is_empty());
            let high = high.or_else(|| own(second, None))?;
            Some(format!("{low} {} {high}", joint_before(foreign, joint, &high)?))
        }
    };
    if text.is_none() {
        text = own(&first, None).filter(|_| joined.is_none());
    }
    let text = text?;
    let text = format!("{text}{}", behind.rest);
    Some(if foreign.is_french() { fr::elided(&text) } else { text })
}

/// "de una **a** dos", "siete **u** ocho".
fn joint_before(foreign: &Lexicon, english: &str, next: &str) -> Option<&'static str> {
    let is_o = next.starts_with(['o', '8']) || next == "11" || next.starts_with("11 ");
    Some(match (english, foreign.is_french()) {
        ("to", false) => "a",
        ("and", false) => "y",
        ("or", false) if is_o => "u",
        ("or", false) => "o",
        ("to", true) => "à",
        ("and", true) => "et",
        ("or", true) => "ou",
        _ => return None,
    })
}

/// What stands behind a number: the words for what it counts, and those after them.
struct Behind {
    /// What gives its gender to the number.
    noun: Option<String>,
    words: String,
    rest: String,
}

fn behind(foreign: &Lexicon, english: &str, unit: &Unit, many: bool, stood: &Stood<'_>) -> Option<Behind> {
    let words_of: Vec<&str> = english.split(' ').filter(|word| !word.is_empty()).collect();
    if words_of.is_empty() {
        let after: Vec<&str> = stood.after.split_whitespace().collect();
        let noun = foreign.own_phrase(&after, 0).map(|(_, own)| own);
        return Some(Behind { noun, words: String::new(), rest: String::new() });
    }
    // what stood at the end of the figure before, with what follows it there
    let stands = |phrase: &str, rest: &str| {
        let head = stood.english.strip_suffix(rest)?;
        let start = head.strip_suffix(phrase).filter(|before| before.is_empty() || before.ends_with(' '))?;
        let own = (stood.own)(start.len()..head.len())?.to_owned();
        let end = if rest.is_empty() { "" } else { (stood.own)(head.len()..stood.english.len())? };
        Some((own, end.to_owned()))
    };
    if let Some((count, _)) = foreign.own_phrase(&words_of, 0) {
        let phrase = words_of[..count].join(" ");
        let rest = &english[english.find(&phrase)? + phrase.len()..];
        let phrase = renumbered(&phrase, unit, many);
        let from_table = || {
            let words: Vec<&str> = phrase.split(' ').collect();
            foreign.own_phrase(&words, 0).filter(|(count, _)| *count == words.len()).map(|(_, own)| own)
        };
        let stood_there = stands(&phrase, rest);
        let own = stood_there.as_ref().map(|(own, _)| own.clone()).or_else(from_table)?;
        let kept_rest = || {
            let head = stood.english.strip_suffix(rest)?;
            (stood.own)(head.len()..stood.english.len()).map(str::to_owned)
        };
        let rest = match stood_there {
            Some((_, rest)) => rest,
            None if rest.is_empty() => String::new(),
            None => kept_rest().or_else(|| words(foreign, rest, "", ""))?,
        };
        return Some(Behind { noun: Some(own.clone()), words: own, rest });
    }
    // a symbol, or a word that no table has
    let (own, _) = stands(english, "")?;
    Some(Behind { noun: None, words: own, rest: String::new() })
}

/// Whether what is counted stands in the plural.
fn is_many(foreign: &Lexicon, number: &Number) -> bool {
    let two = whole(2);
    match number {
        Number::Digits { scale: Some(_), .. } | Number::Words { scale: Some(_), .. } => true,
        Number::Digits { value, .. } if foreign.is_french() => value.abs() >= two,
        Number::Digits { digits, value, .. } => {
            let is_share = value.abs() < Exact::one() && !digits.contains('.') && !value.is_zero();
            !value.abs().is_one() && !is_share
        }
        Number::Words { full: 0, part: None, .. } => !foreign.is_french(),
        Number::Words { full, .. } => *full > 1,
    }
}

/// A number with the words for what it counts; `None` for these where they stand outside.
fn said_of(foreign: &Lexicon, number: &Number, noun: Option<&str>, counted: Option<&str>) -> Option<String> {
    let french = foreign.is_french();
    let feminine =
        noun.is_some_and(|noun| if french { fr::is_feminine(noun) } else { es::is_feminine(noun) });
    match number {
        Number::Digits { digits, value, scale } => {
            let plain = |digits: &str| as_it_is(foreign, digits, "");
            let Some(scale) = scale else {
                let number = plain(digits)?;
                return Some(counted.map_or_else(|| number.clone(), |counted| format!("{number} {counted}")));
            };
            let one = if french { value.abs() < whole(2) } else { value.abs().is_one() };
            let (number, word) = match (scale, french) {
                // Spanish has no word for it
                (Scale::Billion, false) => {
                    let millions = value * whole(1000);
                    let millions = millions.is_integer().then(|| millions.to_integer().to_u32())??;
                    (plain(&grouped(millions))?, "millones")
                }
                _ => (plain(digits)?, scale_word(*scale, one, french)),
            };
            Some(of_scale(&format!("{number} {word}"), counted))
        }
        Number::Words { full, part, scale: Some(scale), minus } => {
            let one = *full <= 1;
            let word = scale_word(*scale, one && (*full == 1 || part.is_some()), french);
            let number = match (full, french) {
                (0, _) => match (part, french) {
                    (Some((1, 2)), false) => format!("medio {word}"),
                    (Some((1, 2)), true) => format!("un demi-{word}"),
                    _ => return None,
                },
                (1, false) if *scale == Scale::Billion => word.to_owned(),
                (full, false) => {
                    format!("{} {word}", es::spelled(u32::try_from(*full).ok()?, Some("millones"))?)
                }
                (full, true) => format!("{} {word}", fr::spelled(u32::try_from(*full).ok()?, None)?),
            };
            let number = match part {
                Some(part) if *full > 0 => format!("{number} {}", added(*part, false, french)?),
                _ => number,
            };
            Some(with_sign(*minus, of_scale(&number, counted), french))
        }
        Number::Words { full: 0, part: Some((1, 2)), minus, .. } => {
            let half = match (feminine, french) {
                (false, false) => "medio ",
                (true, false) => "media ",
                (false, true) => "un demi-",
                (true, true) => "une demi-",
            };
            Some(with_sign(*minus, format!("{half}{}", counted?), french))
        }
        Number::Words { full: 0, part: Some(part), minus, .. } => {
            let share = share(*part, french)?;
            Some(with_sign(*minus, format!("{share} de {}", counted?), french))
        }
        Number::Words { full, part, minus, .. } => {
            let number = spelled(*full, noun, french)?;
            let number = match (part, counted) {
                (None, None) => number,
                (None, Some(counted)) => format!("{number} {counted}"),
                (Some(part), Some(counted)) => {
                    format!("{number} {counted} {}", added(*part, feminine, french)?)
                }
                (Some(part), None) if !french => {
                    let number = if *full == 1 && !feminine { "uno".to_owned() } else { number };
                    format!("{number} {}", added(*part, feminine, french)?)
                }
                (Some(_), None) => return None,
            };
            Some(with_sign(*minus, number, french))
        }
    }
}

fn with_sign(minus: bool, said: String, french: bool) -> String {
    match (minus, french) {
        (false, _) => said,
        (true, false) => format!("menos {said}"),
        (true, true) => format!("moins {said}"),
    }
}

/// "dos millones de libras"; what is bare goes without "de".
fn of_scale(number: &str, counted: Option<&str>) -> String {
    counted.map_or_else(|| number.to_owned(), |counted| format!("{number} de {counted}"))
}

fn scale_word(scale: Scale, one: bool, french: bool) -> &'static str {
    match (scale, one, french) {
        (Scale::Million, true, false) => "millón",
        (Scale::Million, false, false) => "millones",
        (Scale::Billion, _, false) => "mil millones",
        (Scale::Trillion, true, false) => "billón",
        (Scale::Trillion, false, false) => "billones",
        (Scale::Million, true, true) => "million",
        (Scale::Million, false, true) => "millions",
        (Scale::Billion, true, true) => "milliard",
        (Scale::Billion, false, true) => "milliards",
        (Scale::Trillion, true, true) => "billion",
        (Scale::Trillion, false, true) => "billions",
    }
}

/// A part that is added to whole ones: "dos horas **y media**", "deux heures **et quart**".
fn added(part: (u32, u32), feminine: bool, french: bool) -> Option<&'static str> {
    Some(match (part, french) {
        ((1, 2), false) if feminine => "y media",
        ((1, 2), false) => "y medio",
        ((1, 4), false) => "y un cuarto",
        ((3, 4), false) => "y tres cuartos",
        ((1, 3), false) => "y un tercio",
        ((2, 3), false) => "y dos tercios",
        ((1, 2), true) if feminine => "et demie",
        ((1, 2), true) => "et demi",
        ((1, 4), true) => "et quart",
        ((3, 4), true) => "et trois quarts",
        ((1, 3), true) => "et un tiers",
        ((2, 3), true) => "et deux tiers",
        _ => return None,
    })
}

/// A part of one: "un tercio de milla", "trois quarts de mille".
fn share(part: (u32, u32), french: bool) -> Option<&'static str> {
    Some(match (part, french) {
        ((1, 4), false) => "un cuarto",
        ((3, 4), false) => "tres cuartos",
        ((1, 3), false) => "un tercio",
        ((2, 3), false) => "dos tercios",
        ((1, 8), false) => "un octavo",
        ((1, 4), true) => "un quart",
        ((3, 4), true) => "trois quarts",
        ((1, 3), true) => "un tiers",
        ((2, 3), true) => "deux tiers",
        ((1, 8), true) => "un huitième",
        _ => return None,
    })
}

/// A whole number in words, with the millions that it may have.
fn spelled(value: u64, noun: Option<&str>, french: bool) -> Option<String> {
    let mut parts = Vec::new();
    let mut left = value;
    let scales: &[(u64, Scale)] = match french {
        true => &[(1_000_000_000, Scale::Billion), (1_000_000, Scale::Million)],
        // Spanish counts a thousand millions
        false => &[(1_000_000, Scale::Million)],
    };
    for (size, scale) in scales {
        let count = u32::try_from(left / size).ok()?;
        left %= size;
        if count > 0 {
            let number =
                if french { fr::spelled(count, None) } else { es::spelled(count, Some("millones")) }?;
            parts.push(format!("{number} {}", scale_word(*scale, count == 1, french)));
        }
    }
    if left > 0 || value == 0 {
        let left = u32::try_from(left).ok()?;
        parts.push(if french { fr::spelled(left, noun) } else { es::spelled(left, noun) }?);
    } else {
        // nothing follows but what is counted, which wants "de": that is for who knows the scale
        return None;
    }
    Some(parts.join(" "))
}

/// A whole number with English marks.
fn grouped(value: u32) -> String {
    with_decimals(&whole(value.into()), 0)
}

/// The number that some words start with, and the word after it.
fn number(tokens: &[(usize, &str)], start: usize) -> Option<(Number, usize)> {
    let lower = |at: usize| tokens.get(at).map_or_else(String::new, |(_, word)| word.to_lowercase());
    let scale_at = |at: usize| Scale::of(&lower(at));
    let first = lower(start);
    if first.starts_with(|letter: char| !letter.is_alphabetic()) {
        return in_digits(tokens, start);
    }
    if ["minus", "negative"].contains(&&*first) {
        let (number, next) = number(tokens, start + 1)?;
        return match number {
            Number::Words { full, part, scale, .. } => {
                Some((Number::Words { full, part, scale, minus: true }, next))
            }
            Number::Digits { .. } => None,
        };
    }
    let is_article = |at: usize| ["a", "an"].contains(&&*lower(at));
    // behind a share: "of a mile", "an hour"
    let past = |at: usize| {
        let at = at + usize::from(lower(at) == "of");
        at + usize::from(is_article(at))
    };
    let words = |full, part, scale: Option<Scale>, at: usize| {
        let next = at + usize::from(scale.is_some());
        Some((Number::Words { full, part, scale, minus: false }, next))
    };
    if first == "half" {
        let at = past(start + 1);
        return words(0, Some((1, 2)), scale_at(at), at);
    }
    let count = |at: usize| -> Option<u32> {
        if is_article(at) { Some(1) } else { u32::try_from(value_of(&lower(at))?).ok() }
    };
    if let (Some(count), Some(parts)) = (count(start), share_of(&lower(start + 1)))
        && lower(start + 1) != "seconds"
    {
        let at = past(start + 2);
        return words(0, Some((count, parts)), scale_at(at), at);
    }
    let is_number = |at: usize| {
        let word = lower(at);
        !word.is_empty() && share_of(&word).is_none() && word.split('-').all(|part| classify(part).is_some())
    };
    let mut end = start + usize::from(is_article(start));
    while is_number(end)
        || lower(end) == "and"
            && end > start
            && is_number(end + 1)
            && share_of(&lower(end + 2)).is_none()
            && !is_article(end + 1)
    {
        end += 1;
    }
    // "two million", but "two million five hundred thousand" and "two and a half million"
    let scale =
        scale_at(end - 1).filter(|_| end > start + 1 && (start..end - 1).all(|at| scale_at(at).is_none()));
    end -= usize::from(scale.is_some());
    let run = (start..end).map(lower).collect::<Vec<_>>().join(" ");
    let full = if ["a", "an"].contains(&&*run) { 1 } else { value_of(&run)? };
    if scale.is_some() {
        return words(full, None, scale, end);
    }
    let mut part = None;
    if lower(end) == "and"
        && let (Some(count), Some(parts)) = (count(end + 1), share_of(&lower(end + 2)))
    {
        part = Some((count, parts));
        end += 3;
    }
    words(full, part, scale_at(end), end)
}

/// The value of whole number words.
fn value_of(words: &str) -> Option<u64> {
    if words.is_empty() {
        return None;
    }
    let figure = read_one(&format!("{words} feet")).ok()?;
    let Amount::One(value) = figure.quantity.amount else { return None };
    value.is_integer().then(|| value.to_integer().to_u64())?
}

fn in_digits(tokens: &[(usize, &str)], start: usize) -> Option<(Number, usize)> {
    let word = |at: usize| tokens.get(at).map_or("", |(_, word)| *word);
    let is_digits = |word: &str| !word.is_empty() && !word.contains(char::is_alphabetic);
    let mut digits = word(start).to_owned();
    let mut next = start + 1;
    // "2 1/2"
    if is_digits(word(next)) && word(next).contains('/') {
        digits = format!("{digits} {}", word(next));
        next += 1;
    }
    let figure = read_one(&format!("{digits} feet")).ok().filter(|_| is_digits(word(start)))?;
    let Amount::One(value) = figure.quantity.amount else { return None };
    let scale = Scale::of(word(next));
    next += usize::from(scale.is_some());
    Some((Number::Digits { digits, value, scale }, next))
}
