//! The number of a certificate: how it is made, printed and read back.
//!
//! Seven characters and a check character, printed as `K7M3-P2QX`. The seven are drawn from what the
//! roster says of the person and the event, so that a second making prints the same number and the
//! number gives nothing away about the person. The check character follows ISO/IEC 7064 MOD 37-2:
//! every single wrong character and every swap of two neighbors is noticed.
//!
//! Only characters that are not taken for one another in print or by hand are used (`0`, `1`, `B`, `I`,
//! `L`, `O`, `S`, `U` and `Z` are left out), and no vowels, so that no number spells a word. A draw whose
//! check character would be one of those is drawn again.

use serde::de::{Deserialize, Deserializer, Error};
use serde::ser::{Serialize, Serializer};
use sha2::{Digest, Sha256};
use std::fmt;

/// The characters of a number.
const ALPHABET: &[u8] = b"23456789CDFGHJKMNPQRTVWXY";
/// The characters of ISO/IEC 7064 MOD 37-2, in the order of their values.
const MOD_37_2: &[u8] = b"0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*";
const BASE: u64 = ALPHABET.len() as u64;
const BODY: usize = 7;
const GROUP: usize = 4;

/// The number of one certificate, with its check character.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Number(String);

impl Number {
    /// Draws a number from what tells one certificate from every other. The same parts and the same
    /// `draw` always give the same number; `draw` counts up where a number is taken already.
    pub fn from_parts(parts: &[&str], draw: u32) -> Self {
        (0u32..)
            .find_map(|again| {
                let body = body(parts, draw, again);
                let check = check_character(&body)?;
                ALPHABET.contains(&(check as u8)).then(|| Self(format!("{body}{check}")))
            })
            .expect("two draws of three have a check character of the alphabet")
    }

    /// Reads a number as a person gives it: in any case, with or without spaces and hyphens.
    /// The error is a sentence that says what is wrong with it.
    pub fn parse(given: &str) -> Result<Self, String> {
        let plain: String = given
            .chars()
            .filter(|letter| !letter.is_whitespace() && !matches!(letter, '-' | '\u{2010}'..='\u{2013}'))
            .map(|letter| letter.to_ascii_uppercase())
            .collect();
        if let Some(odd) =
            plain.chars().find(|letter| !letter.is_ascii() || !ALPHABET.contains(&(*letter as u8)))
        {
            return Err(format!("No certificate number has the character “{odd}”."));
        }
        if plain.len() != BODY + 1 {
            return Err(format!(
                "A certificate number has {} characters; “{}” has {}.",
                BODY + 1,
                given.trim(),
                plain.len()
            ));
        }
        if !checks(&plain) {
            return Err(
                "The number does not check: one of its characters is wrong, or two are swapped.".into()
            );
        }
        Ok(Self(plain))
    }

    /// As a number in five bytes: the check character follows from the others.
    pub fn to_bytes(&self) -> [u8; 5] {
        let digit = |letter| ALPHABET.iter().position(|known| *known == letter).unwrap_or_default() as u64;
        let value = self.0.bytes().take(BODY).fold(0, |value, letter| value * BASE + digit(letter));
        let [_, _, _, bytes @ ..] = value.to_be_bytes();
        bytes
    }

    /// Reads what [`Number::to_bytes`] gives; nothing where the bytes are no number's.
    pub fn from_bytes(bytes: [u8; 5]) -> Option<Self> {
        let mut value = bytes.into_iter().fold(0, |value, byte| value << 8 | u64::from(byte));
        let mut body = [0; BODY];
        for letter in body.iter_mut().rev() {
            *letter = ALPHABET[(value % BASE) as usize];
            value /= BASE;
        }
        let body: String = body.into_iter().map(char::from).collect();
        let check = check_character(&body).filter(|check| ALPHABET.contains(&(*check as u8)))?;
        (value == 0).then(|| Self(format!("{body}{check}")))
    }

    /// The characters without the hyphen, for files and records.
    pub fn plain(&self) -> &str {
        &self.0
    }
}

/// As it is printed: in two groups of four.
impl fmt::Display for Number {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (left, right) = self.0.split_at(GROUP);
        write!(out, "{left}-{right}")
    }
}

impl Serialize for Number {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Number {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        Self::parse(&String::deserialize(from)?).map_err(D::Error::custom)
    }
}

/// Seven characters out of SHA-256 over the parts, each with its length before it so that no two
/// lists of parts run together into the same text.
fn body(parts: &[&str], draw: u32, again: u32) -> String {
    let mut hash = Sha256::new();
    hash.update(b"packstring certificate number 1\n");
    for part in parts {
        hash.update((part.len() as u64).to_be_bytes());
        hash.update(part.as_bytes());
    }
    hash.update(draw.to_be_bytes());
    hash.update(again.to_be_bytes());
    let digest = hash.finalize();
    let mut value = digest.iter().take(16).fold(0u128, |value, byte| value << 8 | u128::from(*byte));
    (0..BODY)
        .map(|_| {
            let base = ALPHABET.len() as u128;
            let letter = ALPHABET[(value % base) as usize];
            value /= base;
            char::from(letter)
        })
        .collect()
}

/// The check character of ISO/IEC 7064 MOD 37-2 for a text of digits and capital letters; it can be
/// `*`. `None` where the text holds anything else.
pub fn check_character(body: &str) -> Option<char> {
    let mut remainder = 0;
    for letter in body.bytes() {
        let value = value_of(letter).filter(|value| *value < 36)?;
        remainder = (remainder + value) * 2 % 37;
    }
    Some(char::from(MOD_37_2[(38 - remainder) % 37]))
}

/// Whether the last character of `full` is the check character of those before it, by ISO/IEC 7064
/// MOD 37-2.
pub fn checks(full: &str) -> bool {
    let Some((at, last)) = full.char_indices().next_back() else { return false };
    at > 0 && check_character(&full[..at]) == Some(last)
}

fn value_of(letter: u8) -> Option<usize> {
    MOD_37_2.iter().position(|known| *known == letter)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    /// Published and computed values, with their origin in the folder's README.
    const REFERENCE: &str = include_str!("../../tests/reference/credentials/check_characters.csv");

    #[test]
    fn check_characters_are_those_of_the_reference() {
        let mut looked_at = 0;
        let mut reader = csv::Reader::from_reader(REFERENCE.as_bytes());
        for row in reader.records() {
            let row = row.unwrap();
            let (id, system, body, check, full, valid) =
                (&row[0], &row[1], &row[2], &row[3], &row[4], &row[5]);
            if system != "MOD 37-2" {
                continue;
            }
            assert_eq!(checks(full), valid == "yes", "{id}");
            if valid == "yes" {
                assert_eq!(check_character(body).unwrap().to_string(), check, "{id}");
            }
            looked_at += 1;
        }
        assert_eq!(looked_at, 29);
    }

    #[test]
    fn a_slip_of_the_pen_is_noticed() {
        let number = Number::from_parts(&["Stewards", "2026", "north-camp", "Elena Márquez"], 0);
        let plain = number.plain().to_owned();
        for at in 0..plain.len() {
            for letter in ALPHABET {
                let mut other = plain.clone().into_bytes();
                other[at] = *letter;
                let other = String::from_utf8(other).unwrap();
                assert_eq!(Number::parse(&other).is_ok(), other == plain, "{other}");
            }
        }
    }

    #[test]
    fn numbers_stay_the_same_from_run_to_run() {
        // A change here changes the number of every certificate that was ever handed out.
        let parts = ["Trail Rider Stewards", "2026", "north-camp", "Elena Márquez", "", "Biscuit"];
        // Both were worked out a second time by a few lines of Python.
        assert_eq!(Number::from_parts(&parts, 0).to_string(), "JRHY-4P87");
        assert_eq!(Number::from_parts(&parts, 1).to_string(), "6H4T-PXW6");
    }

    #[test]
    fn parts_do_not_run_together() {
        assert_ne!(Number::from_parts(&["ab", "c"], 0), Number::from_parts(&["a", "bc"], 0));
    }

    #[test]
    fn numbers_use_letters_that_are_not_taken_for_others_and_read_back() {
        let numbers: BTreeSet<Number> =
            (0..20_000).map(|person| Number::from_parts(&["season", &person.to_string()], 0)).collect();
        assert_eq!(numbers.len(), 20_000);
        for number in &numbers {
            assert!(number.plain().bytes().all(|letter| ALPHABET.contains(&letter)), "{number}");
            let by_hand = number.to_string().to_lowercase().replace('-', " ");
            assert_eq!(Number::parse(&by_hand).as_ref(), Ok(number));
        }
    }

    #[test]
    fn a_number_goes_into_five_bytes_and_comes_back() {
        let (mut first, mut last) = ([0; 5], [0; 5]);
        for person in 0..5_000 {
            let number = Number::from_parts(&["season", &person.to_string()], 0);
            assert_eq!(Number::from_bytes(number.to_bytes()), Some(number.clone()));
            (first, last) = (number.to_bytes().min(first), number.to_bytes().max(last));
        }
        // 25 to the seventh power, and one more.
        let beyond = 6_103_515_625u64.to_be_bytes();
        assert_eq!(Number::from_bytes(beyond[3..].try_into().unwrap()), None);
        assert_eq!(Number::from_bytes([0xff; 5]), None);
        assert!(first < last && last < beyond[3..].try_into().unwrap());
        // Of all fives of bytes below that, those whose check character no number has are none.
        let numbers =
            (0..1000u64).filter_map(|it| Number::from_bytes(it.to_be_bytes()[3..].try_into().unwrap()));
        let numbers: Vec<Number> = numbers.collect();
        assert!(numbers.len() > 600 && numbers.len() < 1000, "{}", numbers.len());
        assert!(numbers.iter().all(|number| Number::parse(number.plain()).as_ref() == Ok(number)));
    }

    #[test]
    fn what_is_no_number_is_told_in_a_sentence() {
        assert!(Number::parse("K7M3").unwrap_err().contains("has 4"));
        assert!(Number::parse("K7M3-P2O2").unwrap_err().contains("“O”"));
        assert!(Number::parse("").is_err());
    }
}
