//! A day that no calendar has, or a time that no clock shows, stands in print.

use super::{Check, Find};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::particulars::{self, Kind};
use crate::statements::PrintContext;

pub static RULE: Rule = Rule {
    name: "day-impossible",
    level: Level::Error,
    settable: Settable::Yes,
    summary: "A date that no calendar has, or a clock time that no clock shows: “February 30”, “25:00”.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let understood = print.understood;
    let mut findings = Vec::new();
    for (passage, days) in understood.passages.iter().zip(print.days()) {
        let words = &print.words_for(passage).particulars;
        for (kind, at) in particulars::impossible(days, &passage.text, words) {
            let words = &passage.text[at.clone()];
            let message = match kind {
                Kind::Time => format!("No clock shows “{words}”."),
                _ => format!("No calendar has the day “{words}”."),
            };
            findings.push(
                Finding::of(&RULE, passage.place_of(&at), message)
                    .says(words)
                    .mend("Look up which one is meant, and correct it."),
            );
        }
    }
    findings
}
