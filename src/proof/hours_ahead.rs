//! Hours are logged for a day that has not come yet.

use super::people::PeopleContext;
use super::{Find, Rule};
use crate::finding::{Finding, Level};

pub const RULE: Rule = Rule {
    name: "hours-ahead",
    level: Level::Warning,
    summary: "Hours of service are logged for a day that has not come yet.",
    find: Find::People(find),
};

fn find(people: &PeopleContext) -> Vec<Finding> {
    let ahead = people.program.people.hours.iter().filter(|entry| entry.date > people.today);
    ahead
        .map(|entry| {
            let message = format!("These hours are of {}, which has not come yet.", entry.date);
            RULE.finding(&entry.date_place, message).mend("Write the day on which the work was done.")
        })
        .collect()
}
