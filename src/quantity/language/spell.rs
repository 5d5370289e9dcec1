//! Restated words put into Spanish: number words spelled out, with the gender of what they count, digits with the
//! marks of the place, and phrases by the table.

use super::super::words::classify;
use super::super::{Amount, read_one};
use super::Lexicon;
use num_traits::ToPrimitive;

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
    Some(format!("{before}{}{behind}", said.join(" ")))
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
                '.' => ',',
                ',' => '.',
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
    let part = match (words[at + 2], is_feminine(&noun)) {
        ("half", true) => "media",
        ("half", false) => "medio",
        _ => "un cuarto",
    };
    Some((at + 3 + of_noun, format!("{number} {noun} y {part}")))
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
        Some((count, spelled(value, counted.map(String::as_str))?))
    })
}

const SMALL: [&str; 30] = [
    "cero",
    "uno",
    "dos",
    "tres",
    "cuatro",
    "cinco",
    "seis",
    "siete",
    "ocho",
    "nueve",
    "diez",
    "once",
    "doce",
    "trece",
    "catorce",
    "quince",
    "dieciséis",
    "diecisiete",
    "dieciocho",
    "diecinueve",
    "veinte",
    "veintiuno",
    "veintidós",
    "veintitrés",
    "veinticuatro",
    "veinticinco",
    "veintiséis",
    "veintisiete",
    "veintiocho",
    "veintinueve",
];

const TENS: [&str; 7] = ["treinta", "cuarenta", "cincuenta", "sesenta", "setenta", "ochenta", "noventa"];

const HUNDREDS: [&str; 9] = [
    "ciento",
    "doscientos",
    "trescientos",
    "cuatrocientos",
    "quinientos",
    "seiscientos",
    "setecientos",
    "ochocientos",
    "novecientos",
];

/// A number below a million in words, as it stands before what it counts: `veintiún pies`, `doscientas
/// libras`, `mil quinientos metros`. Without anything counted it is the number itself: `veintiuno`.
pub(super) fn spelled(value: u32, counted: Option<&str>) -> Option<String> {
    let feminine = counted.is_some_and(is_feminine);
    let thousands = value / 1000;
    let mut parts = Vec::new();
    match thousands {
        0 => {}
        1 => parts.push("mil".to_owned()),
        2..1000 => parts.push(format!("{} mil", below_thousand(thousands, feminine, true))),
        _ => return None,
    }
    if !value.is_multiple_of(1000) || value == 0 {
        parts.push(below_thousand(value % 1000, feminine, counted.is_some()));
    }
    Some(parts.join(" "))
}

fn below_thousand(value: u32, feminine: bool, before_noun: bool) -> String {
    let (hundreds, rest) = (value / 100, value % 100);
    let one = |plain: &str| match (feminine, before_noun) {
        (true, _) => plain.replace("uno", "una"),
        (false, true) => {
            if plain == "veintiuno" {
                "veintiún".to_owned()
            } else {
                plain.replace("uno", "un")
            }
        }
        (false, false) => plain.to_owned(),
    };
    let small = |value: u32| SMALL[value as usize];
    let low = match rest {
        0 if hundreds > 0 => String::new(),
        1 | 21 => one(small(rest)),
        0..30 => small(rest).to_owned(),
        _ => {
            let ten = TENS[(rest / 10 - 3) as usize];
            match rest % 10 {
                0 => ten.to_owned(),
                unit => format!("{ten} y {}", if unit == 1 { one("uno") } else { small(unit).to_owned() }),
            }
        }
    };
    let high = match hundreds {
        0 => return low,
        1 if rest == 0 => return "cien".to_owned(),
        1 => "ciento".to_owned(),
        _ if feminine => format!("{}as", HUNDREDS[hundreds as usize - 1].trim_end_matches("os")),
        _ => HUNDREDS[hundreds as usize - 1].to_owned(),
    };
    if low.is_empty() { high } else { format!("{high} {low}") }
}

/// By the ending of its first word, with those that have another: common knowledge of the language.
fn is_feminine(noun: &str) -> bool {
    let first = noun.split(' ').next().unwrap_or_default();
    match first {
        "día" | "días" => false,
        "noche" | "noches" | "vez" | "veces" => true,
        other => {
            other.ends_with('a')
                || other.ends_with("as")
                || other.ends_with("ión")
                || other.ends_with("iones")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_spelled_and_read_back() {
        for (value, counted, words) in [
            (1, Some("pie"), "un"),
            (1, Some("milla"), "una"),
            (21, Some("pies"), "veintiún"),
            (21, None, "veintiuno"),
            (31, Some("libras"), "treinta y una"),
            (35, Some("pies"), "treinta y cinco"),
            (100, Some("pies"), "cien"),
            (120, Some("minutos"), "ciento veinte"),
            (200, Some("libras"), "doscientas"),
            (500, Some("días"), "quinientos"),
            (1200, Some("libras"), "mil doscientas"),
            (2000, Some("millas"), "dos mil"),
            (21_000, Some("pies"), "veintiún mil"),
        ] {
            assert_eq!(spelled(value, counted).as_deref(), Some(words));
        }
        let language = crate::quantity::language::Language::of("es-US", &[]);
        for value in (1..400).chain([401, 555, 999, 1000, 1001, 1999, 12_345, 999_999]) {
            let words = spelled(value, Some("pies")).unwrap();
            let figure =
                language.read_one(&format!("{words} pies")).unwrap_or_else(|why| panic!("{words}: {why}"));
            assert_eq!(
                figure.quantity.amount,
                Amount::One(crate::quantity::number::whole(value.into())),
                "{words}"
            );
        }
    }
}
