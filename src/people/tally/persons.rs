//! Who is meant in the hours file: entries put together by person.
//!
//! A name in any case and spacing is one name. An e-mail address tells two people of one name apart. An
//! entry without one belongs to the only person of its name; where there are two, to neither: it stands
//! for itself, and proofreading tells of it.

use crate::people::plain_name;
use crate::program::Program;
use crate::program::hours::Service;
use crate::program::roster::Participant;
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// The people of the hours file, and those of the roster to find them by.
pub struct Persons<'p> {
    /// By name without accents, then as told apart.
    entries: BTreeMap<Key, Vec<&'p Service>>,
    roster: HashMap<String, Vec<&'p Participant>>,
    /// The addresses of each name, in both files.
    emails: HashMap<String, BTreeMap<String, &'p str>>,
}

/// Sorts by how a name is spoken, and keeps apart what is written otherwise.
type Key = (String, String, Option<String>);

impl<'p> Persons<'p> {
    pub fn of(program: &'p Program) -> Self {
        let mut persons = Self { entries: BTreeMap::new(), roster: HashMap::new(), emails: HashMap::new() };
        if program.people.hours.is_empty() {
            return persons;
        }
        let hours = program.people.hours.iter().map(|entry| (&entry.name, &entry.email));
        let roster = program.people.roster.rows.iter().map(|row| (&row.name, &row.email));
        for (name, email) in hours.chain(roster) {
            let emails = persons.emails.entry(plain_name(name)).or_default();
            if let Some(email) = email {
                emails.entry(plain_name(email)).or_insert(email);
            }
        }
        for row in &program.people.roster.rows {
            persons.roster.entry(plain_name(&row.name)).or_default().push(row);
        }
        for entry in program.people.hours.iter() {
            let name = plain_name(&entry.name);
            let email = persons.email_of(entry).map(plain_name);
            persons.entries.entry((in_order(&name), name, email)).or_default().push(entry);
        }
        persons
    }

    /// The entries of each person, in the order of the file; people by name.
    pub fn iter(&self) -> impl Iterator<Item = &[&'p Service]> {
        self.entries.values().map(Vec::as_slice)
    }

    /// The address of the person of an entry: its own, or the only one that is known of the name.
    pub fn email_of(&self, entry: &'p Service) -> Option<&'p str> {
        if let Some(email) = &entry.email {
            return Some(email);
        }
        let emails = self.emails.get(&plain_name(&entry.name))?;
        (emails.len() == 1).then(|| emails.values().next().copied()).flatten()
    }

    /// Whether an entry's name has several people, and it does not say which.
    pub fn is_undecided(&self, entry: &Service) -> bool {
        entry.email.is_none()
            && self.emails.get(&plain_name(&entry.name)).is_some_and(|emails| emails.len() > 1)
    }

    /// The rows of the roster that are of a person.
    pub fn on_roster(&self, name: &str, email: Option<&str>) -> Vec<&'p Participant> {
        let rows = self.roster.get(&plain_name(name)).map(Vec::as_slice).unwrap_or_default();
        let people: BTreeSet<_> =
            rows.iter().filter_map(|row| row.email.as_deref().map(plain_name)).collect();
        if email.is_none() && people.len() > 1 {
            return Vec::new();
        }
        rows.iter().copied().filter(|row| same(&row.name, row.email.as_deref(), name, email)).collect()
    }
}

/// Whether two names, each with an address where one is known, are one person's.
pub(crate) fn same(name: &str, email: Option<&str>, other: &str, others: Option<&str>) -> bool {
    let same_email = match (email, others) {
        (Some(email), Some(others)) => plain_name(email) == plain_name(others),
        _ => true,
    };
    same_email && plain_name(name) == plain_name(other)
}

/// A name for putting in order: as it is compared, without accents.
pub(crate) fn in_order(plain: &str) -> String {
    if plain.is_ascii() {
        return plain.to_owned();
    }

    unicode_normalization::UnicodeNormalization::nfd(plain)
        .filter(|letter| !unicode_normalization::char::is_combining_mark(*letter))
        .collect()
}
