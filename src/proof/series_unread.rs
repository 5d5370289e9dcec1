//! A chart is asked of a fact that is no series.

use super::{Check, Find};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::program::facts::Stated;
use crate::statements::PrintContext;

pub static RULE: Rule = Rule {
    name: "series-unread",
    level: Level::Error,
    settable: Settable::Yes,
    summary: "A lesson asks for a chart or a table of a fact that is not a series.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for view in print.series_views() {
        let Some(fact) = print.fact(&view.fact) else { continue };
        if !matches!(fact.stated, Stated::Series(_)) {
            findings.push(
                Finding::of(
                    &RULE,
                    &view.place,
                    format!("The fact “{}” is not a series, so it cannot be drawn.", fact.name),
                )
                .says(print.source_words(&view.place))
                .fact_says(print.quote(fact))
                .mend("Link to a fact with columns and rows, or quote this one in a sentence."),
            );
        }
    }
    findings
}
