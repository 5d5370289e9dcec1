//! Whether a sentence may have to change around a figure that was written anew.
//!
//! Verbs, articles and words that point go with the number of what is counted: "these six hours count", "this one hour
//! counts". They stand outside of the words that are restated, and no rule here knows them all; so where the number
//! changes between one and several, the place is told as one to read again.

use crate::quantity::{Amount, Exact, Figure};
use num_traits::{One, Signed, Zero};
use std::ops::Range;

/// The languages whose grammar is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::quantity) enum Tongue {
    English,
    Spanish,
    French,
}

const NUMBER: &str = "The number changes between one and several: words around it, such as a verb or “these”, may have to change with it.";
const RANGE: &str = "A range and a single value go with other words around them, such as “from”.";
const SOUND: &str = "The word before it may be written otherwise before these sounds.";

/// Why the sentence has to be read again; each time a text, the words in it, and the figure in these.
pub(in crate::quantity) fn to_reread(
    tongue: Tongue,
    (was_text, was_words, was): (&str, &Range<usize>, &Figure),
    (text, words, is): (&str, &Range<usize>, &Figure),
) -> Option<&'static str> {
    let outside = [&text[..words.start], &text[words.end..]];
    if !outside.iter().any(|part| part.chars().any(char::is_alphabetic)) {
        return None;
    }
    // "a six-foot lead": the number goes with the noun behind it
    let hangs =
        |text: &str, figure: &Figure| tongue == Tongue::English && text[figure.number.end..].starts_with('-');
    if hangs(was_text, was) && hangs(text, is) {
        return None;
    }
    let is_range = |figure: &Figure| matches!(figure.quantity.amount, Amount::Range(..));
    if is_one(tongue, was) != is_one(tongue, is) {
        return Some(NUMBER);
    }
    if is_range(was) != is_range(is) && tongue != Tongue::English {
        return Some(RANGE);
    }
    let sounds = sound(&was_text[was_words.clone()]) != sound(&text[words.clone()]);
    (sounds && is_led(tongue, &text[..words.start])).then_some(SOUND)
}

/// Whether what is counted stands in the singular.
fn is_one(tongue: Tongue, figure: &Figure) -> bool {
    let Amount::One(value) = &figure.quantity.amount else { return false };
    let value = value.abs();
    match tongue {
        Tongue::English | Tongue::Spanish => value <= Exact::one() && !value.is_zero(),
        Tongue::French => value < Exact::one() + Exact::one(),
    }
}

/// The vowel that words begin with, if it is one: "une", "huit" with its silent but parting h aside.
fn sound(words: &str) -> Option<char> {
    let first = words.chars().next()?.to_ascii_lowercase();
    "aeiouéèêâîô".contains(first).then_some(first)
}

/// Whether a word stands before that goes with the sound behind it: "d'une heure", "de deux heures"; "siete u ocho".
fn is_led(tongue: Tongue, before: &str) -> bool {
    let last =
        before.trim_end().rsplit(|letter: char| !letter.is_alphabetic() && letter != '\'' && letter != '’');
    let last = last.into_iter().next().unwrap_or_default().to_lowercase();
    match tongue {
        Tongue::English => false,
        Tongue::Spanish => ["o", "u", "y", "e"].contains(&&*last),
        Tongue::French => {
            last.ends_with(['\'', '’'])
                || ["de", "que", "jusque", "le", "la", "ne", "se", "si", "lorsque", "puisque"]
                    .contains(&&*last)
        }
    }
}
