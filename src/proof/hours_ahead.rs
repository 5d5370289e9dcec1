//! Hours are logged for a day that has not come yet.

use super::roll::Roll;
use super::{Find, Rule};
use crate::finding::{Finding, Level};

pub const RULE: Rule = Rule {
    name: "hours-ahead",
    level: Level::Warning,
    summary: "Hours of service are logged for a day that has not come yet.",
    find: Find::People(find),
};

fn find(roll: &Roll) -> Vec<Finding> {
    let ahead = roll.program.hours.iter().filter(|entry| entry.date > roll.today);
    ahead
        .map(|entry| {
            let message = format!("These hours are of {}, which has not come yet.", entry.date);
            RULE.finding(&entry.date_place, message).mend("Write the day on which the work was done.")
        })
        .collect()
}
