//! Which rows are one person's, over all events of a season and the seasons before it.
//!
//! By e-mail address, else by name. A row without an address belongs to the only person of its name that
//! has one; where there are several, it stands for a person of its own. An address that stands with
//! several names at one event is shared (a family's, say), and then address and name together tell.

use crate::people::plain_name;
use crate::program::Program;
use std::collections::{BTreeMap, BTreeSet};

/// One person, for comparing.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Person {
    email: Option<String>,
    /// Only where the address alone does not tell.
    name: Option<String>,
}

pub(super) struct Persons {
    /// Addresses that several people use.
    shared: BTreeSet<String>,
    /// The addresses that stand with each name.
    emails: BTreeMap<String, BTreeSet<String>>,
}

impl Persons {
    pub fn of(program: &Program) -> Self {
        let mut names: BTreeMap<(String, &str), BTreeSet<String>> = BTreeMap::new();
        let mut emails: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        for row in &program.people.roster.rows {
            let Some(email) = row.email.as_deref().map(plain_name) else { continue };
            emails.entry(plain_name(&row.name)).or_default().insert(email.clone());
            names.entry((email, &row.event)).or_default().insert(plain_name(&row.name));
        }
        for given in program.people.register.all_given() {
            let email = given.email.as_deref().map(plain_name);
            emails.entry(plain_name(&given.name)).or_default().extend(email);
        }
        let shared = names.into_iter().filter(|(_, names)| names.len() > 1);
        Self { shared: shared.map(|((email, _), _)| email).collect(), emails }
    }

    pub fn person(&self, name: &str, email: Option<&str>) -> Person {
        let name = plain_name(name);
        let only = || {
            let of_name = self.emails.get(&name).filter(|emails| emails.len() == 1)?;
            of_name.first().cloned()
        };
        match email.map(plain_name).or_else(only) {
            Some(email) if !self.shared.contains(&email) => Person { email: Some(email), name: None },
            email => Person { email, name: Some(name) },
        }
    }
}
