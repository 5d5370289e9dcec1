//! A safety fact of the wider world is to be looked at again too late, or at no day.

use super::{Check, Find};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::program::facts::{Fact, Stated};
use crate::statements::PrintContext;
use jiff::ToSpan;

pub static RULE: Rule = Rule {
    name: "review-late",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "A safety fact from outside has no review date within two years.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

/// Common practice, no source: guides to first aid and animal care are revised every few years.
const YEARS: i32 = 2;

fn find(print: &PrintContext) -> Vec<Finding> {
    let facts = print.understood.facts.iter();
    facts.filter(|fact| fact.safety && fact.is_from_outside()).filter_map(|fact| late(fact)).collect()
}

fn late(fact: &Fact) -> Option<Finding> {
    if matches!(fact.stated, Stated::WorkedFrom(_)) {
        return None; // As old as what it is worked from, which is looked at by itself.
    }
    let name = &fact.name;
    let (place, says, message, mend) = match (fact.as_of, &fact.review_by) {
        (None, _) => (
            &fact.place,
            name.clone(),
            format!("The safety fact “{name}” comes from outside and does not say when it was last checked."),
            "Look it up at its source, and add that day: as-of = 2026-03-01.".to_owned(),
        ),
        (Some(as_of), review) => {
            let last = as_of.checked_add(YEARS.years()).ok()?;
            match review {
                Some((day, _)) if *day <= last => return None,
                Some((day, place)) => (
                    place,
                    day.to_string(),
                    format!(
                        "The safety fact “{name}” comes from outside, was last checked on {as_of}, and is to be \
                         reviewed only by {day}, more than {YEARS} years later."
                    ),
                    format!("Set review-by to {last} or an earlier day."),
                ),
                None => (
                    &fact.place,
                    name.clone(),
                    format!(
                        "The safety fact “{name}” comes from outside and has no day by which to review it."
                    ),
                    format!("Add review-by = {last} or an earlier day."),
                ),
            }
        }
    };
    Some(Finding::of(&RULE, place, message).says(says).mend(mend))
}
