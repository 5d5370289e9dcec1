//! What is counted of persons: who is credited, with which certificate number, and who is meant by a
//! name.
//!
//! Takes a [`Program`] and gives its participants by reference, in the order of the roster. What goes
//! into a certificate's sheet is planned in [`crate::pieces::certificates`]; nothing is read, printed
//! or written here.
//!
//! **Certificate numbers.** A number follows from the roster alone: program, season, event, name,
//! e-mail and companion ([`number::Number`]). Made twice, it is the same twice, whatever is added to
//! the roster below; two people of one name get two numbers as long as their e-mail addresses or
//! companions differ. Two rows that agree in all of these are taken for one person and get one
//! certificate. The other side of it: who corrects one of these in the roster changes the number, so
//! corrections belong before the certificate is handed out.

pub mod credential;
pub mod email;
pub mod items;
pub mod mail;
pub mod number;
pub mod rewards;
pub mod scoring;
pub mod sizes;
pub mod spelling;
pub mod tally;
pub mod welcome;
pub mod withheld;

use crate::pieces::Selection;
use crate::program::Program;
use crate::program::roster::Participant;
use crate::program::settings::Event;
use number::Number;
use std::collections::{BTreeMap, BTreeSet};
use unicode_normalization::UnicodeNormalization;

/// A certificate that is due.
#[derive(Clone, Debug)]
pub struct Credit<'p> {
    pub participant: &'p Participant,
    pub event: &'p Event,
    pub number: Number,
}

/// Who attended and passed, of the event and of the name that the selection asks for, each person
/// and event once, in the order of the roster.
///
/// Rows whose event the program does not know are passed over; reading reports them.
pub fn credited<'p>(program: &'p Program, selection: &Selection) -> Vec<Credit<'p>> {
    let numbers = numbers(program);
    let mut seen = BTreeSet::new();
    let earned = program.roster.rows.iter().filter(|row| row.attended && row.passed);
    earned
        .filter(|row| selection.event.as_ref().is_none_or(|event| *event == row.event))
        .filter(|row| selection.participant.as_ref().is_none_or(|name| same_name(name, &row.name)))
        .filter_map(|participant| {
            let event = program.settings.events.iter().find(|event| event.id == participant.event)?;
            let identity = Identity::of(participant);
            let number = numbers[&identity].clone();
            seen.insert(identity).then_some(Credit { participant, event, number })
        })
        .collect()
}

/// Who is on the roster for an event, each row, by name.
pub fn registered<'p>(program: &'p Program, event: &Event) -> Vec<&'p Participant> {
    let mut rows: Vec<&Participant> =
        program.roster.rows.iter().filter(|row| row.event == event.id).collect();
    rows.sort_by_cached_key(|row| {
        let name = plain_name(&row.name);
        (tally::in_order(&name), name)
    });
    rows
}

/// The rows of a name, as `--participant` asks for it: in any case and spacing, whether accents are
/// written as one character or two, and of every person who has that name.
pub fn find<'p>(program: &'p Program, name: &str) -> Vec<&'p Participant> {
    program.roster.rows.iter().filter(|row| same_name(name, &row.name)).collect()
}

/// The names on the roster that come nearest to one that is not on it, best first, at most `most`.
pub fn nearest_names<'p>(program: &'p Program, name: &str, most: usize) -> Vec<&'p str> {
    let wanted = plain_name(name);
    let mut near: BTreeMap<&str, u32> = BTreeMap::new();
    for row in &program.roster.rows {
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

pub(crate) fn same_name(left: &str, right: &str) -> bool {
    plain_name(left) == plain_name(right)
}

/// A name for comparing: in composed form, lower case, single spaces.
pub(crate) fn plain_name(name: &str) -> String {
    let composed: String = name.nfc().collect();
    composed.to_lowercase().split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What tells one person at one event from every other.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Identity {
    event: String,
    name: String,
    email: String,
    companion: String,
}

impl Identity {
    fn of(row: &Participant) -> Self {
        // A name keeps its capitals: they are printed, so they belong to what was certified.
        let composed = |text: &str| {
            let composed: String = text.nfc().collect();
            composed.split_whitespace().collect::<Vec<_>>().join(" ")
        };
        Self {
            event: row.event.clone(),
            name: composed(&row.name),
            email: row.email.as_deref().map(plain_name).unwrap_or_default(),
            companion: row.companion.as_deref().map(composed).unwrap_or_default(),
        }
    }
}

/// The number of every person on the roster, credited or not, so that who passes later does not
/// change the number of anybody else. Where two draws fall on one number, the lower row draws again.
fn numbers(program: &Program) -> BTreeMap<Identity, Number> {
    let mut numbers = BTreeMap::new();
    let mut taken = BTreeSet::new();
    for row in &program.roster.rows {
        let identity = Identity::of(row);
        if numbers.contains_key(&identity) {
            continue;
        }
        let settings = &program.settings;
        let Identity { event, name, email, companion } = &identity;
        let parts = [settings.name.as_str(), &settings.season, event, name, email, companion];
        let number = (0..)
            .map(|draw| Number::from_parts(&parts, draw))
            .find(|number| !taken.contains(number))
            .expect("a roster is far smaller than the numbers there are");
        taken.insert(number.clone());
        numbers.insert(identity, number);
    }
    numbers
}

#[cfg(test)]
mod tests {
    use super::*;

    const NORTH: &str = "north-camp";
    const SOUTH: &str = "south-gate";

    const SETTINGS: &str = r#"
[program]
name = "Trail Rider Stewards"
agency = "Juniper Basin Open Lands"
season = "2026"

[[syllabus]]
lesson = "welcome"
minutes = 10

[[events]]
id = "north-camp"
name = "North Camp"
date = 2026-05-16
start = 09:00
minutes = 90
place = "North Camp shelter"
form = "in person"

[[events]]
id = "south-gate"
name = "South Gate"
date = 2026-06-16
start = 09:00
minutes = 90
place = "South gate"
form = "in person"
"#;

    /// A program whose roster has these rows.
    fn program(rows: &[Row]) -> Program {
        let folder = tempfile::tempdir().unwrap();
        let write = |file: &str, text: &str| {
            let path = folder.path().join(file);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(path, text).unwrap();
        };
        write("program.toml", SETTINGS);
        write("facts.toml", "");
        write("lessons/welcome.md", "# Welcome\n\n## Who we are\n\n- Stewards\n");
        let mut roster = String::from("event,name,email,companion,attended,passed\n");
        for Row { event, name, email, companion, attended, passed } in rows {
            roster += &format!("{event},{name},{email},{companion},{attended},{passed}\n");
        }
        write("people/roster.csv", &roster);
        crate::program::open(folder.path()).unwrap_or_else(|unread| panic!("{:#?}", unread.mistakes))
    }

    #[derive(Clone)]
    struct Row {
        event: &'static str,
        name: &'static str,
        email: &'static str,
        companion: &'static str,
        attended: &'static str,
        passed: &'static str,
    }

    fn row(event: &'static str, name: &'static str, email: &'static str, companion: &'static str) -> Row {
        Row { event, name, email, companion, attended: "yes", passed: "yes" }
    }

    fn names_of(credits: &[Credit]) -> Vec<String> {
        credits.iter().map(|credit| credit.participant.name.clone()).collect()
    }

    #[test]
    fn only_who_attended_and_passed_is_credited_in_the_order_of_the_roster() {
        let absent = Row { attended: "no", ..row(NORTH, "Absent", "", "") };
        let failed = Row { passed: "", ..row(NORTH, "Failed", "", "") };
        let program = program(&[row(NORTH, "Zoe", "", ""), absent, failed, row(SOUTH, "Abe", "", "")]);
        assert_eq!(names_of(&credited(&program, &Selection::default())), ["Zoe", "Abe"]);
        let south = Selection { event: Some(SOUTH.into()), ..Selection::default() };
        assert_eq!(names_of(&credited(&program, &south)), ["Abe"]);
    }

    #[test]
    fn a_person_entered_twice_is_credited_once() {
        let again = row(NORTH, "Elena  Ma\u{301}rquez", "ELENA@basin.example", "Biscuit");
        let program = program(&[row(NORTH, "Elena Márquez", "elena@basin.example", "Biscuit"), again]);
        assert_eq!(credited(&program, &Selection::default()).len(), 1);
    }

    #[test]
    fn two_people_of_one_name_have_two_numbers() {
        let program = program(&[
            row(NORTH, "Sam Reed", "sam@basin.example", "Dot"),
            row(NORTH, "Sam Reed", "s.reed@basin.example", "Dot"),
            row(NORTH, "Sam Reed", "sam@basin.example", "Pepper"),
            row(SOUTH, "Sam Reed", "sam@basin.example", "Dot"),
        ]);
        let numbers: BTreeSet<Number> =
            credited(&program, &Selection::default()).into_iter().map(|credit| credit.number).collect();
        assert_eq!(numbers.len(), 4);
    }

    #[test]
    fn numbers_do_not_depend_on_who_else_passes_or_is_asked_for() {
        let first = row(NORTH, "Sam Reed", "", "");
        let all = program(&[Row { passed: "no", ..row(NORTH, "Ada", "", "") }, first.clone()]);
        let alone = program(&[first]);
        let selection = Selection { participant: Some(" sam  REED ".into()), ..Selection::default() };
        let of = |program| credited(program, &selection)[0].number.clone();
        assert_eq!(of(&all), of(&alone));
    }

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
