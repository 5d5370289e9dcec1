//! Hours are logged for a day that has not come yet.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};

pub static RULE: Rule = Rule {
    name: "hours-ahead",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "Hours of service are logged for a day in the future.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

fn find(people: &PeopleContext) -> Vec<Finding> {
    let ahead = people.program.people.hours.iter().filter(|entry| entry.date > people.today);
    ahead
        .map(|entry| {
            let message = format!("These hours are for {}, which has not come yet.", entry.date);
            Finding::of(&RULE, &entry.date_place, message).mend("Write the day on which the work was done.")
        })
        .collect()
}
