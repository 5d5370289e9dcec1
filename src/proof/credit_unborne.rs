//! A certificate counts, and the roster does not bear it out any more.
//!
//! Nothing here repeats a name: findings may leave the machine that holds the roster.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::people::credit::unborne::{Unborne, unborne};
use crate::program::register::Given;
use std::collections::BTreeMap;

pub static RULE: Rule = Rule {
    name: "credit-unborne",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "A certificate counts, but the roster no longer supports it: its row says no, or is gone.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

fn find(people: &PeopleContext) -> Vec<Finding> {
    let register = &people.program.people.register;
    let Some(due) = people.due() else { return Vec::new() };
    let mut findings = Vec::new();
    // What was taken out whole is told once.
    let mut groups: BTreeMap<(Gone, String), Vec<&Given>> = BTreeMap::new();
    for (given, why) in unborne(people.laid(), people.scores, due) {
        let (place, message) = match why {
            Unborne::Absent(row) => {
                (people.place(row, "attended"), "this row says that the person did not attend")
            }
            Unborne::Failed(row) => {
                (people.place(row, "passed"), "neither this row nor the answers say that the person passed")
            }
            Unborne::Lacking(row) => {
                (people.place(row, "attended"), "the roster no longer says that everything it needs is done")
            }
            Unborne::Gone => {
                (register.place(&given.number), "the roster no longer has a row for this person")
            }
            Unborne::TooFewHours(place) => {
                (place.clone(), "this person now has fewer hours than the award asks for")
            }
            Unborne::Beside | Unborne::EventGone | Unborne::EventUnknown | Unborne::HoursGone => {
                groups.entry((Gone::of(why), given.occasion.key())).or_default().push(given);
                continue;
            }
        };
        let Given { number, .. } = given;
        let message = format!("Certificate {number} is valid, but {message}.");
        findings.push(Finding::of(&RULE, place, message).mend(format!(
            "If it was given in error, `packstring certificates withdraw {number} --because \"…\"`; otherwise put the row right again."
        )));
    }
    for ((what, _), given) in groups {
        let message = what.told(given[0].occasion.name(), given.len());
        let finding = Finding::of(&RULE, register.place(&given[0].number), message).weighs(Level::Note);
        findings.push(finding.mend(what.mend()));
    }
    findings
}

/// What is not there any more as a whole.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Gone {
    /// Its rows are those of another event's certificates too.
    OwnRows,
    Rows,
    Event,
    Hours,
}

impl Gone {
    fn of(why: Unborne) -> Self {
        match why {
            Unborne::EventUnknown => Self::Event,
            Unborne::HoursGone => Self::Hours,
            Unborne::Beside => Self::OwnRows,
            _ => Self::Rows,
        }
    }

    fn told(self, name: &str, certificates: usize) -> String {
        let given = match certificates {
            1 => "1 certificate was given".to_owned(),
            count => format!("{count} certificates were given"),
        };
        match self {
            Self::OwnRows => format!(
                "“{name}” is one with another event by now, and its people have a certificate of each: {given} for it."
            ),
            Self::Rows => format!("The roster no longer has rows of “{name}”, for which {given}."),
            Self::Event => format!("program.toml no longer has the event “{name}”, for which {given}."),
            Self::Hours => {
                format!("The hours no longer have everybody who holds “{name}”: {given} to others.")
            }
        }
    }

    fn mend(self) -> &'static str {
        match self {
            Self::OwnRows => {
                "Nothing, if they came to both; otherwise take back one of each person's two with `packstring certificates withdraw NUMBER --because \"…\"`."
            }
            Self::Rows | Self::Event | Self::Hours => {
                "Keep the whole season in program.toml, the roster and the hours: packets, hours and the season report come from them."
            }
        }
    }
}
