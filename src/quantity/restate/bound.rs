//! Turning a limit round: `at least six feet` for `at most six feet`.

use super::Edit;
use crate::capital::capital;
use crate::quantity::{Figure, Held, Limit};

/// Words that bind one way and their counterparts; each stands for the other.
const COUNTERPARTS: &[(&str, &str)] = &[
    ("at the least", "at the most"),
    ("at least", "at most"),
    ("minimum", "maximum"),
    ("as little as", "as much as"),
    ("as few as", "as many as"),
    ("more", "less"),
    ("over", "under"),
    ("above", "below"),
    ("longer", "shorter"),
    ("taller", "shorter"),
    ("higher", "lower"),
    ("farther", "closer"),
    ("further", "closer"),
    ("farther", "nearer"),
    ("heavier", "lighter"),
    ("hotter", "colder"),
    ("warmer", "cooler"),
    ("faster", "slower"),
    ("older", "younger"),
    ("larger", "smaller"),
    ("bigger", "smaller"),
    ("greater", "less"),
    ("later", "sooner"),
    ("≥", "≤"),
    (">", "<"),
];

/// Words that have no counterpart of their own, and what says the opposite.
const ONE_WAY: &[(&str, &str)] = &[
    ("no fewer than", "no more than"),
    ("not fewer than", "not more than"),
    ("fewer", "more"),
    ("in excess of", "less than"),
    ("up to", "at least"),
    ("within", "at least"),
    ("beyond", "within"),
    ("and up", "or less"),
];

/// What the words around a figure may be changed to so that it binds the other way, the likeliest first.
pub(super) fn turned(text: &str, figure: &Figure, held: &Held) -> Vec<Edit> {
    let around = [figure.reach.start..figure.span.start, figure.span.end..figure.reach.end];
    let mut edits = Vec::new();
    let both_ways = COUNTERPARTS.iter().flat_map(|(a, b)| [(*a, *b), (*b, *a)]);
    let flat = match held.limit {
        Some(Limit::AtMost) => "at most",
        Some(Limit::AtLeast) => "at least",
        _ => "exactly",
    };
    let to_flat = ["exactly", "precisely", "at least", "at most", "up to", "no more than", "no less than"];
    let to_flat = to_flat.into_iter().map(|from| (from, flat));
    for (from, to) in ONE_WAY.iter().copied().chain(both_ways).chain(to_flat) {
        for part in &around {
            let Some(words) = text.get(part.clone()) else { continue };
            if let Some(at) = find_whole(words, from) {
                let there = part.start + at..part.start + at + from.len();
                let to = like(&text[there.clone()], to);
                edits.push(Edit { at: there, to });
            }
        }
    }
    edits
}

/// Where a phrase stands as whole words, whatever its capitals.
fn find_whole(words: &str, phrase: &str) -> Option<usize> {
    let lower = words.to_ascii_lowercase();
    lower.match_indices(phrase).map(|(at, _)| at).find(|at| {
        let is_letter = |letter: char| letter.is_alphabetic();
        let glued = phrase.chars().all(is_letter_or_space)
            && (lower[..*at].ends_with(is_letter) || lower[at + phrase.len()..].starts_with(is_letter));
        !glued
    })
}

fn is_letter_or_space(letter: char) -> bool {
    letter.is_alphabetic() || letter == ' '
}

/// Words with a capital first where the old ones have one.
fn like(old: &str, new: &str) -> String {
    if old.starts_with(char::is_uppercase) { capital(new) } else { new.to_owned() }
}
