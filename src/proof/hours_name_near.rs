//! A person of the hours file is nearly one of another row, so that hours may be counted apart.
//!
//! Nothing here repeats a name or an address: findings may leave the machine that holds the files.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Place, Rule, Settable};
use crate::people::plain_name;
use crate::people::tally::in_order;
use crate::program::hours::Service;
use std::collections::HashMap;

pub static RULE: Rule = Rule {
    name: "hours-name-near",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "A person in the hours file is almost the same as one in another row: a name spelled differently, or one address with two names.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

/// Letters that may be otherwise in two spellings of one name, and the shortest name for which.
const SLIPS: [(usize, usize); 2] = [(12, 2), (6, 1)];

fn find(people: &PeopleContext) -> Vec<Finding> {
    let program = people.program;
    if program.people.hours.is_empty() {
        return Vec::new();
    }
    let mut known = Known::default();
    for row in &program.people.roster.rows {
        known.add(Person::new(&row.name, row.email.as_deref(), &row.place));
    }
    let mut findings = Vec::new();
    for entries in people.served.iter() {
        let entry = entries[0];
        let person = Person::new(&entry.name, people.served.email_of(entry), &entry.place);
        findings.extend(
            entries.iter().find(|entry| people.served.is_undecided(entry)).map(|entry| undecided(entry)),
        );
        findings
            .extend(known.nearly(&person).into_iter().map(|(other, how)| tell(people, &person, other, how)));
        known.add(person);
    }
    findings
}

fn undecided(entry: &Service) -> Finding {
    Finding::of(
        &RULE,
        &entry.place,
        "Two people have this name, and the row does not say which of them is meant.",
    )
    .mend("Write the person's e-mail address into the row.")
}

fn tell(people: &PeopleContext, person: &Person, other: &Person, how: How) -> Finding {
    let row = people.program.sources.row(&other.place);
    let place = format!("row {row} of {}", other.place.file);
    let (message, mend) = match how {
        How::SameEmail => (
            format!(
                "This e-mail address has another name on {place}, so their hours are counted separately."
            ),
            "If it is one person, write one name in both places.",
        ),
        How::OtherEmail => (
            format!(
                "This name has another e-mail address on {place}, so their hours are counted separately."
            ),
            "If it is one person, write one address in both places.",
        ),
        How::NearName => (
            format!(
                "This name is nearly the same as the one on {place}, and their hours are counted separately."
            ),
            "If it is one person, write one name in both places; if not, give both rows an e-mail address.",
        ),
    };
    Finding::of(&RULE, &person.place, message).mend(mend)
}

#[derive(Clone)]
struct Person {
    /// As names are compared.
    name: String,
    /// Without accents.
    bare: String,
    email: Option<String>,
    place: Place,
}

impl Person {
    fn new(name: &str, email: Option<&str>, place: &Place) -> Self {
        let name = plain_name(name);
        Self { bare: in_order(&name), name, email: email.map(plain_name), place: place.clone() }
    }
}

#[derive(Clone, Copy)]
enum How {
    SameEmail,
    OtherEmail,
    NearName,
}

/// The people who are known so far, found by address, by name, and by either end of a name: a slip is
/// seldom at both.
#[derive(Default)]
struct Known {
    people: Vec<Person>,
    by_email: HashMap<String, Vec<usize>>,
    by_name: HashMap<String, Vec<usize>>,
    by_end: HashMap<String, Vec<usize>>,
}

impl Known {
    fn add(&mut self, person: Person) {
        let at = self.people.len();
        let same_name = self.by_name.entry(person.name.clone()).or_default();
        if same_name.iter().any(|known| self.people[*known].email == person.email) {
            return;
        }
        same_name.push(at);
        for end in ends(&person.bare) {
            self.by_end.entry(end).or_default().push(at);
        }
        if let Some(email) = &person.email {
            self.by_email.entry(email.clone()).or_default().push(at);
        }
        self.people.push(person);
    }

    /// Who is nearly this person, and how: at most one of each way. Nobody where the person is known.
    fn nearly(&self, person: &Person) -> Vec<(&Person, How)> {
        let named = self.found(&self.by_name, &person.name);
        if named.iter().any(|known| known.email == person.email) {
            return Vec::new();
        }
        let by_email =
            person.email.as_ref().map(|email| self.found(&self.by_email, email)).unwrap_or_default();
        let by_email = by_email.into_iter().find(|other| other.name != person.name);
        let named_otherwise =
            named.iter().copied().find(|other| person.email.is_some() && other.email.is_some());
        let ways = [
            by_email.map(|other| (other, How::SameEmail)),
            named_otherwise.map(|other| (other, How::OtherEmail)),
            self.spelled_nearly(person).map(|other| (other, How::NearName)),
        ];
        ways.into_iter().flatten().collect()
    }

    fn spelled_nearly(&self, person: &Person) -> Option<&Person> {
        let same_end = ends(&person.bare).into_iter().flat_map(|end| self.found(&self.by_end, &end));
        same_end
            .filter(|other| other.name != person.name && (person.email.is_none() || other.email.is_none()))
            .map(|other| (strsim::osa_distance(&person.bare, &other.bare), other))
            .filter(|(slips, other)| *slips <= may_slip(person.bare.len().min(other.bare.len())))
            .min_by_key(|(slips, _)| *slips)
            .map(|(_, other)| other)
    }

    fn found(&self, index: &HashMap<String, Vec<usize>>, key: &str) -> Vec<&Person> {
        index.get(key).into_iter().flatten().map(|at| &self.people[*at]).collect()
    }
}

fn may_slip(letters: usize) -> usize {
    SLIPS.iter().find(|(shortest, _)| letters >= *shortest).map_or(0, |(_, slips)| *slips)
}

fn ends(name: &str) -> [String; 2] {
    let letters: Vec<char> = name.chars().collect();
    let few = letters.len().min(3);
    let first: String = letters[..few].iter().collect();
    let last: String = letters[letters.len() - few..].iter().collect();
    [format!("{first}…"), format!("…{last}")]
}
