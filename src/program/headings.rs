//! Headings of the people files, as far as they are alike in all of them: how they are compared, a name in
//! two columns, and a heading that looks like a slip.
//!
//! What the other columns mean is for the reader of each file.

use super::Written;
use super::mistakes::{Mistakes, offer};
use crate::finding::{Finding, Place, rules};
use crate::languages::{folded, in_all};
use crate::nearest::nearest;

/// A heading for comparing: in lower case, straight apostrophes, without what a form puts around it.
pub(crate) fn plain(heading: &str) -> String {
    let heading = heading.to_lowercase().replace('’', "'");
    // "Horse's name (as on the certificate)", "E-mail: *"
    let heading = heading.split(['(', '[']).next().unwrap_or("");
    let words = heading.split(|letter: char| {
        letter.is_whitespace()
            || matches!(letter, '_' | '/' | ':' | '*' | '?' | '¿' | '¡' | '!' | ',' | '.' | '#' | '&')
    });
    let words: Vec<&str> = words.filter(|word| !word.is_empty()).collect();
    let said = words.join(" ");
    let asked = in_all(|language| &language.headings.asking)
        .filter_map(|asking| said.strip_prefix(asking)?.strip_prefix(' '))
        .min_by_key(|rest| rest.len());
    asked.map(str::to_owned).unwrap_or(said)
}

/// A heading for comparing with those that a language knows: also without accents, which people leave out.
pub(crate) fn known_form(heading: &str) -> String {
    folded(&plain(heading))
}

fn is_given_name(plain: &str) -> bool {
    in_all(|language| &language.headings.given_name).any(|known| known == plain)
}

fn is_family_name(plain: &str) -> bool {
    in_all(|language| &language.headings.family_name).any(|known| known == plain)
}

/// Whether a heading is that of one of a name's two parts.
pub(super) fn is_part_of_name(heading: &str) -> bool {
    let heading = known_form(heading);
    is_given_name(&heading) || is_family_name(&heading)
}

/// The columns of "First name" and "Last name", unless another column than the first of them has the whole
/// name. `meant` says what each column was found to hold; one that holds anything but the name is no part of it.
pub(super) fn name_in_two<M: PartialEq>(
    headings: &[&str],
    meant: &[Option<M>],
    name: M,
) -> Option<(usize, usize)> {
    let name = Some(name);
    let whole = meant.iter().position(|column| *column == name);
    let is_open = |at: usize| meant[at].is_none() || meant[at] == name;
    let part = |is_it: fn(&str) -> bool| {
        let mut columns = headings.iter().enumerate();
        columns.find(|(at, heading)| is_open(*at) && is_it(&known_form(heading))).map(|(at, _)| at)
    };
    let parts = part(is_given_name).zip(part(is_family_name));
    parts.filter(|(given, _)| whole.is_none_or(|at| at == *given))
}

/// The headings that `program.toml` names, as they are compared.
pub(super) fn named<M>(settings: &[(M, Vec<Written>)]) -> Vec<&str> {
    settings.iter().flat_map(|(_, headings)| headings).map(|heading| heading.text.trim()).collect()
}

/// The place of the heading that `program.toml` names, among those of a `file` (`roster`, `hours file`); told where there
/// is none.
pub(super) fn find_named<'h>(
    headings: impl Iterator<Item = &'h str> + Clone,
    wanted: &Written,
    file: &str,
    mistakes: &Mistakes,
) -> Option<usize> {
    let lower = wanted.text.trim().to_lowercase();
    let found = headings.clone().position(|heading| heading.trim().to_lowercase() == lower);
    if found.is_none() {
        let message = format!("The {file} has no heading “{}”.", wanted.text);
        let otherwise = format!("Write the heading as it stands in the {file}, or take the line out.");
        let mend = offer(&wanted.text, headings.map(str::trim), &otherwise);
        mistakes.tell(&rules::NAME_UNKNOWN, wanted.place.clone(), message, mend);
    }
    found
}

/// Tells a heading that nobody knows and that looks like a slip of one of the words that no column has. It is a
/// mistake where that column is needed; else it may well be what it says: “Status” beside “state”.
pub(super) fn tell_slip<'w>(
    heading: &str,
    place: &Place,
    absent: impl IntoIterator<Item = &'w str>,
    needed: &[&str],
    mistakes: &Mistakes,
) {
    let Some(word) = nearest(&heading.to_lowercase(), absent) else { return };
    let mend = format!("Did you mean “{word}”?");
    if needed.contains(&word) {
        let message = "packstring does not know this heading, and would skip its column.";
        mistakes.tell(&rules::HEADING_UNKNOWN, place.clone(), message, mend);
    } else {
        let message = "packstring does not know this heading, and skips its column.";
        let finding = Finding::of(&rules::HEADING_UNKNOWN, place.clone(), message).mend(mend);
        mistakes.add(finding);
    }
}
