//! Headings of the people files, as far as they are alike in all of them: how they are compared, a name in
//! two columns, and a heading that looks like a slip.
//!
//! What the other columns mean is for the reader of each file.

use super::mistakes::Mistakes;
use crate::finding::{Place, rules};
use crate::nearest::nearest;

/// Headings of a name's two parts, in the order in which they are printed. Common usage of forms and
/// spreadsheets, no source.
const GIVEN: [&str; 7] = ["first name", "firstname", "given name", "first", "nombre", "nombres", "forename"];
const FAMILY: [&str; 8] =
    ["last name", "lastname", "family name", "surname", "last", "apellido", "apellidos", "second name"];

/// A heading for comparing: in lower case, straight apostrophes, without what a form puts around it.
pub(crate) fn plain(heading: &str) -> String {
    let heading = heading.to_lowercase().replace('’', "'");
    // "Horse's name (as on the certificate)", "E-mail: *"
    let heading = heading.split(['(', '[']).next().unwrap_or("");
    let words = heading.split(|letter: char| {
        letter.is_whitespace() || matches!(letter, '_' | '/' | ':' | '*' | '?' | ',' | '.' | '#' | '&')
    });
    let words: Vec<&str> = words.filter(|word| !word.is_empty()).collect();
    let rest = match words.as_slice() {
        ["what", "is", "your", rest @ ..]
        | ["please", "enter", "your", rest @ ..]
        | ["enter", "your", rest @ ..] => rest,
        ["your", rest @ ..] | ["su", rest @ ..] | ["tu", rest @ ..] if !rest.is_empty() => rest,
        rest => rest,
    };
    rest.join(" ")
}

/// Whether a heading is that of one of a name's two parts.
pub(super) fn is_part_of_name(heading: &str) -> bool {
    let plain = plain(heading);
    GIVEN.contains(&plain.as_str()) || FAMILY.contains(&plain.as_str())
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
    let part = |of: &[&str]| {
        let mut columns = headings.iter().enumerate();
        columns.find(|(at, heading)| is_open(*at) && of.contains(&plain(heading).as_str())).map(|(at, _)| at)
    };
    let parts = part(&GIVEN).zip(part(&FAMILY));
    parts.filter(|(given, _)| whole.is_none_or(|at| at == *given))
}

/// Tells a heading that nobody knows and that looks like a slip of one of the words that no column has.
pub(super) fn tell_slip<'w>(
    heading: &str,
    place: &Place,
    absent: impl IntoIterator<Item = &'w str>,
    mistakes: &Mistakes,
) {
    if let Some(word) = nearest(&heading.to_lowercase(), absent) {
        let message = "packstring does not know this heading, and would pass over its column.";
        mistakes.tell(&rules::HEADING_UNKNOWN, place.clone(), message, format!("Did you mean “{word}”?"));
    }
}
