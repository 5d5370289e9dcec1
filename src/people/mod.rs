//! What is worked out of persons: what their answers are worth, who is credited, who has how many hours, and
//! who is meant by a name.
//!
//! | file | holds |
//! | --- | --- |
//! | [`scoring`] | what each answer is worth, and who passes |
//! | [`credit`], [`number`], [`credential`] | who is given a certificate, its number, its signed record |
//! | [`tally`], [`rewards`], [`sizes`] | hours of service, what they and completing earn, in which size |
//! | [`season`], [`items`], [`withheld`] | a season counted, how its questions did, which counts may be told |
//! | [`mail`], [`email`] | what stands on a packet, and whether an address can be one |
//! | [`spelling`], [`mends`] | how the roster's words came out wrong, and what may be put right unasked |
//! | [`welcome`] | who asked to join |
//!
//! Here stands who is meant by a name. People are given by reference into the [`Program`], so that each finding
//! keeps its row. How a sheet says any of this is planned in [`crate::pieces`]; nothing is read, printed or
//! written here.

pub mod credit;
pub mod packets;
pub mod repairs;
pub mod rewards;
pub mod scope;
pub mod scoring;
pub mod season;
pub mod tally;
#[cfg(test)]
mod trial;
pub mod welcome;

use crate::program::Program;
use crate::program::roster::Participant;
use crate::program::settings::Event;
use std::collections::BTreeMap;
use unicode_normalization::UnicodeNormalization;

/// Who is on the roster for an event, each row, by name.
pub fn registered<'p>(program: &'p Program, event: &Event) -> Vec<&'p Participant> {
    let mut rows: Vec<&Participant> =
        program.people.roster.rows.iter().filter(|row| row.event == event.id).collect();
    rows.sort_by_cached_key(|row| {
        let name = plain_name(&row.name);
        (tally::in_order(&name), name)
    });
    rows
}

/// The rows of a name, as `--participant` asks for it: in any case and spacing, whether accents are
/// written as one character or two, and of every person who has that name.
pub fn find<'p>(program: &'p Program, name: &str) -> Vec<&'p Participant> {
    program.people.roster.rows.iter().filter(|row| same_name(name, &row.name)).collect()
}

/// The names on the roster that come nearest to one that is not on it, best first, at most `most`.
pub fn nearest_names<'p>(program: &'p Program, name: &str, most: usize) -> Vec<&'p str> {
    let wanted = plain_name(name);
    let mut near: BTreeMap<&str, u32> = BTreeMap::new();
    for row in &program.people.roster.rows {
        let closeness = closeness(&wanted, &plain_name(&row.name));
        if closeness >= 550 {
            near.insert(&row.name, closeness);
        }
    }
    let mut near: Vec<(&str, u32)> = near.into_iter().collect();
    near.sort_by_key(|(_, closeness)| std::cmp::Reverse(*closeness));
    near.into_iter().take(most).map(|(name, _)| name).collect()
}

/// From 0 to 1000: of the whole name, or of one of its words, so that "Elena" comes near to
/// "Elena Márquez".
fn closeness(wanted: &str, name: &str) -> u32 {
    let alike = |left: &str, right: &str| {
        (strsim::normalized_damerau_levenshtein(left, right) * 1000.0).round() as u32
    };
    let by_word = name.split(' ').map(|word| alike(wanted, word)).max().unwrap_or(0);
    // A word of a name is a weaker hint than the whole of it.
    alike(wanted, name).max(by_word.saturating_sub(50))
}

/// Whether two names are one, in any case and spacing, however their accents are written.
pub(crate) fn same_name(left: &str, right: &str) -> bool {
    plain_name(left) == plain_name(right)
}

/// A name for comparing: in composed form, lower case, single spaces.
pub(crate) fn plain_name(name: &str) -> String {
    let mut plain = composed(name);
    if plain.is_ascii() {
        plain.make_ascii_lowercase();
        return plain;
    }
    plain.to_lowercase()
}

/// A text in composed form with single spaces. Asked of every cell of a long roster, so that plain
/// letters take the short way.
fn composed(text: &str) -> String {
    let mut single = String::with_capacity(text.len());
    for word in text.split_whitespace() {
        if !single.is_empty() {
            single.push(' ');
        }
        match word.is_ascii() {
            true => single.push_str(word),
            false => single.extend(word.nfc()),
        }
    }
    single
}

/// What tells one person at one event from every other.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
struct Identity {
    event: String,
    name: String,
    email: String,
    companion: String,
}

impl Identity {
    fn of(row: &Participant) -> Self {
        Self::new(&row.event, &row.name, row.email.as_deref(), row.companion.as_deref())
    }

    fn new(event: &str, name: &str, email: Option<&str>, companion: Option<&str>) -> Self {
        // A name keeps its capitals: they are printed, so they belong to what was certified.
        Self {
            event: event.to_owned(),
            name: composed(name),
            email: email.map(plain_name).unwrap_or_default(),
            companion: companion.map(composed).unwrap_or_default(),
        }
    }

    /// What a certificate's number is drawn from.
    fn parts(&self) -> [&str; 4] {
        [&self.event, &self.name, &self.email, &self.companion]
    }
}

#[cfg(test)]
mod tests {
    use super::trial::{NORTH, program, row};
    use super::*;

    #[test]
    fn a_name_is_found_in_any_case_and_form() {
        let program =
            program(&["Elena Márquez", "Jon Ortega", "अनन्या जोशी"].map(|name| row(NORTH, name, "", "")));
        assert_eq!(find(&program, "  ELENA ma\u{301}rquez").len(), 1);
        assert_eq!(find(&program, "अनन्या जोशी").len(), 1);
        assert!(find(&program, "Elena").is_empty());
    }

    #[test]
    fn the_nearest_names_come_first() {
        let program = program(
            &["Elena Márquez", "Elaine Marks", "Jon Ortega", "Jon Ortega"]
                .map(|name| row(NORTH, name, "", "")),
        );
        assert_eq!(nearest_names(&program, "Elena Marquez", 1), ["Elena Márquez"]);
        assert_eq!(nearest_names(&program, "elena", 2)[0], "Elena Márquez");
        assert_eq!(nearest_names(&program, "John Ortega", 3), ["Jon Ortega"]);
        assert!(nearest_names(&program, "Wilhelmina Q", 3).is_empty());
    }
}
