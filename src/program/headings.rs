//! Headings of the people files, as far as they are alike in all of them: how they are compared, a name in
//! two columns, and a heading that looks like a slip.
//!
//! What the other columns mean is for the reader of each file.

use super::Written;
use super::mistakes::{Mistakes, offer};
use super::tables::Table;
use crate::finding::{Finding, Place, rules};
use crate::languages::{Vocabulary, everywhere, fold, folded_words, in_all, without_accents};
use crate::nearest::nearest;

/// A heading for comparing: in lower case, straight apostrophes, without what a form puts around it.
pub(crate) fn plain(heading: &str) -> String {
    let heading = heading.to_lowercase().replace('’', "'");
    // "Horse's name (as on the certificate)", "E-mail: *"
    let heading = heading.split(['(', '[']).next().unwrap_or("");
    let words = heading.split(|letter: char| {
        letter.is_whitespace()
            || matches!(
                letter,
                '_' | '/' | ':' | '*' | '?' | '¿' | '!' | '¡' | ',' | '.' | ';' | '#' | '&' | '"' | '“' | '”'
            )
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
    without_accents(&plain(heading))
}

fn is_one(plain: &str, mut known: impl Iterator<Item = String>) -> bool {
    let folded = fold(plain);
    known.any(|known| known == folded)
}

fn is_given_name(plain: &str) -> bool {
    is_one(plain, folded_words(|language| &language.headings.given_name))
}

fn is_family_name(plain: &str) -> bool {
    is_one(plain, folded_words(|language| &language.headings.family_name))
}

fn is_second_family_name(plain: &str) -> bool {
    is_one(plain, folded_words(|language| &language.headings.second_family_name))
}

/// Whether a heading is that of one of a name's parts.
pub(super) fn is_part_of_name(heading: &str) -> bool {
    let plain = plain(heading);
    is_given_name(&plain) || is_family_name(&plain) || is_second_family_name(&plain)
}

/// The columns of a name in parts, in the order in which it is written: "First name" and "Last name", "Nombre", "Primer
/// apellido" and "Segundo apellido"; nothing where another column than the first of them has the whole name.
///
/// What is the whole name by itself may be a part beside another: "Nom" and "Prénom", "Name" and "Surname". It is
/// where the two are of one language and `holds(whole, part)` says that no row repeats the part in it.
/// `meant` says what each column was found to hold; one that holds anything but the name is no part of it.
pub(super) fn name_in_parts<M: PartialEq>(
    headings: &[&str],
    meant: &[Option<M>],
    name: M,
    holds: impl Fn(usize, usize) -> bool,
) -> Option<Vec<usize>> {
    let name = Some(name);
    let whole = meant.iter().position(|column| *column == name);
    let is_open = |at: usize| meant[at].is_none() || meant[at] == name;
    let plain: Vec<String> = headings.iter().map(|heading| plain(heading)).collect();
    let part = |is_it: &dyn Fn(&str) -> bool| (0..plain.len()).find(|at| is_open(*at) && is_it(&plain[*at]));
    let (given, family) = (part(&is_given_name), part(&is_family_name));
    let mut parts = match (given, family) {
        (Some(given), Some(family)) => (whole.is_none_or(|at| at == given)).then(|| vec![given, family]),
        (Some(part), None) | (None, Some(part)) => {
            let is_given = given.is_some();
            let is_beside = |at: usize| {
                let of_one_language = |language: &'static Vocabulary| {
                    let headings = &language.headings;
                    let (parts, beside) = match is_given {
                        true => (&headings.given_name, &headings.family_beside_given),
                        false => (&headings.family_name, &headings.given_beside_family),
                    };
                    let has = |words: &[String], at: usize| {
                        let folded = fold(&plain[at]);
                        words.iter().any(|word| fold(word) == folded)
                    };
                    has(parts, part) && has(beside, at)
                };
                at != part && is_open(at) && everywhere().any(of_one_language)
            };
            let beside = whole.map_or_else(|| (0..plain.len()).find(|at| is_beside(*at)), Some);
            let beside = beside.filter(|at| is_beside(*at) && !holds(*at, part));
            beside.map(|at| if is_given { vec![part, at] } else { vec![at, part] })
        }
        (None, None) => None,
    }?;
    parts.extend(part(&is_second_family_name));
    Some(parts)
}

/// Whether any row of a table has in one column what stands in another, which is a part of it.
pub(super) fn holds(table: &Table, whole: usize, part: usize) -> bool {
    table.rows().any(|row| {
        let cells = row.cell(whole).zip(row.cell(part));
        cells.is_some_and(|(whole, part)| repeats(&whole.value(), &part.value()))
    })
}

/// Whether a row has a part of a name in its whole name too, by the words of both.
pub(super) fn repeats(whole: &str, part: &str) -> bool {
    let words: Vec<String> = whole.split_whitespace().map(fold).collect();
    let part: Vec<String> = part.split_whitespace().map(fold).collect();
    !part.is_empty() && words.len() > part.len() && part.iter().all(|word| words.contains(word))
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
