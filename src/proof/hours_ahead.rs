//! Hours are logged for a day that has not come yet.

use super::Rule;
use super::galley::Galley;
use crate::finding::{Finding, Level};

pub const RULE: Rule = Rule {
    name: "hours-ahead",
    level: Level::Warning,
    summary: "Hours of service are logged for a day that has not come yet.",
    find,
};

fn find(galley: &Galley) -> Vec<Finding> {
    let ahead = galley.understood.program.hours.iter().filter(|entry| entry.date > galley.today);
    ahead
        .map(|entry| {
            let message = format!("These hours are of {}, which has not come yet.", entry.date);
            RULE.finding(&entry.date_place, message).mend("Write the day on which the work was done.")
        })
        .collect()
}
