//! What follows a number: its unit or noun, in the singular or plural that the new number asks for.

use crate::quantity::unit::{Atom, TABLE, Unit};
use crate::quantity::{Exact, OwnUnits, noun};
use num_traits::{One, Signed, Zero};

/// The words behind a number that changes from `old` to `new`, which is written as `number`: ` feet` for
/// ` foot`, ` hours` for ` an hour`. `new` is `None` for a range.
pub(super) fn tail(tail: &str, unit: &Unit, old: &Exact, new: Option<&Exact>, number: &str) -> String {
    let rest = tail.trim_start();
    let gap = &tail[..tail.len() - rest.len()];
    let is_one = |value: &Exact| value.abs() <= Exact::one() && !value.is_zero();
    let (was_one, one) = (is_one(old), new.is_some_and(is_one));
    let share = new.is_some_and(|value| *value < Exact::one()) && number.starts_with(char::is_alphabetic);
    let article = ["of an ", "of a ", "an ", "a "].iter().find_map(|article| rest.strip_prefix(article));
    if gap.is_empty() {
        return tail.to_owned();
    }
    match article.filter(|_| *old < Exact::one()) {
        // "half an hour" becomes "two hours", "three quarters of an hour"
        Some(noun) if share => of_one(number, noun),
        Some(noun) => format!("{gap}{}", if one { noun.to_owned() } else { renumbered(noun, unit, true) }),
        None if share && *old >= Exact::one() => of_one(number, &renumbered(rest, unit, false)),
        None if was_one == one => tail.to_owned(),
        None => format!("{gap}{}", renumbered(rest, unit, !one)),
    }
}

/// ` an hour` after "half", ` of a mile` after other shares.
fn of_one(number: &str, noun: &str) -> String {
    let article = if noun.starts_with("hour") || noun.starts_with(['a', 'e', 'i', 'o']) { "an" } else { "a" };
    match number.eq_ignore_ascii_case("half") {
        true => format!(" {article} {noun}"),
        false => format!(" of {article} {noun}"),
    }
}

/// Words that begin with a unit or a noun, in the plural (`many`) or the singular. Symbols have none.
pub(in crate::quantity) fn renumbered(words: &str, unit: &Unit, many: bool) -> String {
    let own = OwnUnits::within(unit);
    let find = |form: &str| own.find(form).or_else(|| TABLE.find(form));
    let above = |atom: &Atom| unit.factors().iter().any(|(held, power)| held == atom && *power > 0);
    let ends = words.char_indices().filter(|(_, letter)| !letter.is_alphabetic()).map(|(at, _)| at);
    let mut ends: Vec<usize> = ends.chain([words.len()]).collect();
    ends.reverse();
    for end in ends {
        let form = &words[..end];
        let Some(atom) = find(form).filter(above) else { continue };
        let Some(known) = atom.known() else { continue };
        // A day and a cup have no symbol but their name.
        if known.symbol != known.name && form == known.symbol {
            return words.to_owned();
        }
        let by_name = match many {
            true if form.eq_ignore_ascii_case(&known.name) => Some(known.plural.clone()),
            false if form.eq_ignore_ascii_case(&known.plural) => Some(known.name.clone()),
            _ => None,
        };
        // "degrees F" goes by its first word
        let by_first = form.split_once(' ').map(|(first, rest)| format!("{} {rest}", in_number(first, many)));
        let by_first = by_first.filter(|changed| !changed.eq_ignore_ascii_case(form));
        let mut forms = by_name.into_iter().chain(by_first).chain([in_number(form, many)]);
        let fits = forms.find(|changed| find(changed).as_ref() == Some(&atom));
        return fits.map_or_else(|| words.to_owned(), |changed| format!("{changed}{}", &words[end..]));
    }
    let nouns = unit.factors().iter().filter(|(_, power)| *power > 0).filter_map(|(atom, _)| match atom {
        Atom::Noun(noun) => noun.rsplit(' ').next(),
        Atom::Known(_) | Atom::Own(_) => None,
    });
    for counted in nouns {
        let mut start = 0;
        for part in words.split_inclusive(|letter: char| !letter.is_alphabetic()) {
            let word = part.trim_end_matches(|letter: char| !letter.is_alphabetic());
            if noun::singular(word) == counted || word == counted {
                let changed = in_number(word, many);
                return format!("{}{changed}{}", &words[..start], &words[start + word.len()..]);
            }
            start += part.len();
        }
    }
    words.to_owned()
}

/// The last word of a form in the plural or singular.
fn in_number(form: &str, many: bool) -> String {
    let start = form.rfind(' ').map_or(0, |at| at + 1);
    let word = &form[start..];
    let lower = word.to_lowercase();
    let changed = match many {
        true if !noun::is_plural(&lower) => noun::plural(&lower),
        false => noun::singular(&lower),
        true => lower,
    };
    format!("{}{changed}", &form[..start])
}
