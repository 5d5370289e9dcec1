//! A fact's value is another than its source said, and neither the source nor its day has changed.
//!
//! Either somebody looked the value up again and did not write that down, or it is a slip of the keyboard. What the
//! source said is what the history first has of it.

use super::{Check, Find};
use crate::finding::{Finding, Level, Place, Rule, Settable};
use crate::program::facts::{Fact, Stated};
use crate::statements::PrintContext;
use crate::understand::{Understood, history};

pub static RULE: Rule = Rule {
    name: "change-unsourced",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "A fact's value has changed, and neither its source nor its day has.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    // An edition has words of its own for sources and headings of series; the history is the main one's.
    match print.understood.content.fallback_language {
        Some(_) => Vec::new(),
        None => change_unsourced(print.understood),
    }
}

/// What is asked about facts whose value has changed by itself.
pub fn change_unsourced(understood: &Understood) -> Vec<Finding> {
    understood.facts.iter().filter_map(|fact| asked(understood, fact)).collect()
}

fn asked(understood: &Understood, fact: &Fact) -> Option<Finding> {
    let was = history::otherwise_by_its_source(understood, fact)?;
    let (place, says): (&Place, &str) = match &fact.stated {
        Stated::Value(text) | Stated::WorkedFrom(text) => (&text.place, &text.text),
        Stated::Series(_) => (&fact.place, &fact.name),
    };
    let value = match &fact.stated {
        Stated::Value(_) => format!("was “{}”", was.words()),
        Stated::WorkedFrom(_) => {
            format!("was worked from “{}”", was.worked_from.as_deref().unwrap_or(&was.value))
        }
        Stated::Series(_) => "had other rows".to_owned(),
    };
    let by = match (&was.source, was.as_of) {
        (Some(source), Some(day)) => format!("Its source is still “{source}” as of {day}."),
        (Some(source), None) => format!("Its source is still “{source}”, of no day."),
        (None, Some(day)) => format!("It is still as of {day}, and names no source."),
        (None, None) => "It names no source and no day.".to_owned(),
    };
    let message = format!(
        "The fact “{}” {value} when pieces were made on {}. {by} Was it looked up again?",
        fact.name, was.day
    );
    Some(
        Finding::of(&RULE, place, message)
            .says(says)
            .mend("If it was, set as-of to that day, or name the new source; if not, put the value back."),
    )
}
