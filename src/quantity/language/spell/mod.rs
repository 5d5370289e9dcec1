//! Restated words put into the language: number words spelled out, with the gender of what they count, digits with the
//! marks of the place, and phrases by the table.

mod es;
pub(super) mod figure;
pub(super) mod fr;

use super::super::words::classify;
use super::super::{Amount, read_one};
use super::Lexicon;
use num_traits::ToPrimitive;

/// The word of a scale behind one of it: `millón` of `millones`.
pub(super) fn of_one(scale: &str, french: bool) -> String {
    match french {
        true => scale.trim_end_matches('s').to_owned(),
        false => scale.replace("millones", "millón"),
    }
}

/// Words of the reader's English in the language, where all of them have a form in it. `after` is what
/// follows them in English, `stood` what they take the place of.
pub(super) fn words(foreign: &Lexicon, english: &str, after: &str, stood: &str) -> Option<String> {
    let (before, rest) = english.split_at(english.len() - english.trim_start().len());
    let (core, behind) = rest.split_at(rest.trim_end().len());
    let words: Vec<&str> = core.split(' ').filter(|word| !word.is_empty()).collect();
    let mut said: Vec<String> = Vec::new();
    let mut at = 0;
    while at < words.len() {
        let (count, own) = mixed(foreign, &words[at..])
            .or_else(|| number(foreign, &words[at..], after))
            .or_else(|| foreign.own_phrase(&words, at))
            .or_else(|| as_it_is(foreign, words[at], stood).map(|own| (1, own)))?;
        said.push(own);
        at += count;
    }
    let said = said.join(" ");
    let said = if foreign.is_french() { fr::elided(&said) } else { said };
    Some(format!("{before}{said}{behind}"))
}

/// A number in digits, or a unit by its symbol that stood there before.
fn as_it_is(foreign: &Lexicon, word: &str, stood: &str) -> Option<String> {
    let letters: String = word.chars().filter(|letter| letter.is_alphabetic()).collect();
    let known =
        letters.is_empty() || stood.split(|letter: char| !letter.is_alphabetic()).any(|own| own == letters);
    if !known {
        return None;
    }
    if foreign.decimal == '.' {
        return Some(word.to_owned());
    }
    Some(
        word.chars()
            .map(|letter| match letter {
                '.' => foreign.decimal,
                ',' => foreign.grouping.unwrap_or('.'),
                other => other,
            })
            .collect(),
    )
}

/// `two and a half hours`: what is counted stands before the part of it, `dos horas y media`.
fn mixed(foreign: &Lexicon, words: &[&str]) -> Option<(usize, String)> {
    let at = words.windows(3).position(|three| matches!(three, ["and", "a", "half" | "quarter"]))?;
    let (of_noun, noun) = foreign.own_phrase(words, at + 3)?;
    let (count, number) = number(foreign, words, words[at + 3])?;
    if count != at {
        return None;
    }
    let french = foreign.is_french();
    let feminine = if french { fr::is_feminine(&noun) } else { es::is_feminine(&noun) };
    let part = match (words[at + 2], feminine, french) {
        ("half", true, false) => "y media",
        ("half", false, false) => "y medio",
        (_, _, false) => "y un cuarto",
        ("half", true, true) => "et demie",
        ("half", false, true) => "et demi",
        (_, _, true) => "et quart",
    };
    Some((at + 3 + of_noun, format!("{number} {noun} {part}")))
}

/// The longest run of number words that a text starts with, spelled out.
fn number(foreign: &Lexicon, words: &[&str], after: &str) -> Option<(usize, String)> {
    let is_number = |word: &str| word.split('-').all(|part| classify(part).is_some());
    let run = words.iter().take_while(|word| is_number(word) || **word == "and").count();
    (1..=run).rev().filter(|count| words[count - 1] != "and").find_map(|count| {
        let figure = read_one(&format!("{} feet", words[..count].join(" "))).ok()?;
        let Amount::One(value) = &figure.quantity.amount else { return None };
        let value = value.is_integer().then(|| value.to_integer().to_u32())??;
        let next = words.get(count).copied().or_else(|| after.split_whitespace().next());
        let next = next.map(|word| word.trim_matches(|letter: char| !letter.is_alphabetic()));
        let counted =
            next.and_then(|word| {
                foreign.table.says.get(word).or_else(|| {
                    foreign.nouns.iter().find(|(_, english)| *english == word).map(|(own, _)| own)
                })
            });
        let counted = counted.map(String::as_str);
        let spelled =
            if foreign.is_french() { fr::spelled(value, counted) } else { es::spelled(value, counted) };
        Some((count, spelled?))
    })
}
