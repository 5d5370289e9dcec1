//! One person has more hours on one day than a day has.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::program::hours::Service;
use crate::quantity::Exact;
use jiff::civil::Date;
use std::collections::BTreeMap;

pub static RULE: Rule = Rule {
    name: "hours-overlong",
    level: Level::Error,
    settable: Settable::Yes,
    summary: "A person has more than 24 hours of service on one day.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

fn find(people: &PeopleContext) -> Vec<Finding> {
    let program = people.program;
    let day = Exact::from_integer(24.into());
    let mut findings = Vec::new();
    for entries in people.served.iter() {
        let mut days: BTreeMap<Date, Vec<&Service>> = BTreeMap::new();
        entries.iter().for_each(|entry| days.entry(entry.date).or_default().push(entry));
        for of_day in days.values() {
            let sum: Exact = of_day.iter().map(|entry| &entry.hours).sum();
            if sum <= day {
                continue;
            }
            let last = of_day[of_day.len() - 1];
            let with = match &of_day[..of_day.len() - 1] {
                [] => String::new(),
                earlier => {
                    let row = |entry: &&Service| program.sources.row(&entry.place).to_string();
                    let rows: Vec<String> = earlier.iter().map(row).collect();
                    let rows = if rows.len() == 1 {
                        format!("row {}", rows[0])
                    } else {
                        format!("rows {}", rows.join(", "))
                    };
                    format!(", counted with {rows}")
                }
            };
            let message = format!("This person has more than 24 hours on {}{with}.", last.date);
            let mend = "Write the hours that were worked; give each day of a longer stay a row of its own.";
            findings.push(Finding::of(&RULE, &last.hours_place, message).mend(mend));
        }
    }
    findings
}
