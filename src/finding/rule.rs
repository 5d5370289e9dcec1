//! A rule: a condition that a person is told of, by its name.

use super::Level;
use serde::{Serialize, Serializer};
use std::cmp::Ordering;
use std::fmt;

/// A condition that an editor wants to know of. Each is a constant at one place, to which findings point.
pub struct Rule {
    /// States the condition: `figure-drift`. Its page is `docs/rules/NAME.md`.
    pub name: &'static str,
    /// How much its findings weigh as a rule.
    pub level: Level,
    pub settable: Settable,
    /// One line for the list of rules.
    pub summary: &'static str,
}

/// Whether a program may set the level of a rule.
pub enum Settable {
    Yes,
    /// Why its level is fixed: what follows "The level is fixed:".
    No(&'static str),
}

// A rule is its name: so it is compared, put in order and written down.

impl PartialEq for Rule {
    fn eq(&self, other: &Self) -> bool {
        self.name == other.name
    }
}

impl Eq for Rule {}

impl PartialOrd for Rule {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Rule {
    fn cmp(&self, other: &Self) -> Ordering {
        self.name.cmp(other.name)
    }
}

impl fmt::Display for Rule {
    fn fmt(&self, out: &mut fmt::Formatter) -> fmt::Result {
        out.write_str(self.name)
    }
}

impl fmt::Debug for Rule {
    fn fmt(&self, out: &mut fmt::Formatter) -> fmt::Result {
        fmt::Debug::fmt(self.name, out)
    }
}

impl Serialize for Rule {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.name)
    }
}
