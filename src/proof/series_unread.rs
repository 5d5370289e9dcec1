//! A chart is asked of a fact that is no series.

use super::galley::Galley;
use super::{Find, Rule};
use crate::finding::{Finding, Level};
use crate::program::facts::Stated;

pub const RULE: Rule = Rule {
    name: "series-unread",
    level: Level::Error,
    summary: "A chart or a table is asked of a fact that is no series.",
    find: Find::Print(find),
};

fn find(galley: &Galley) -> Vec<Finding> {
    let mut findings = Vec::new();
    for view in galley.series_views() {
        let Some(fact) = galley.fact(&view.fact) else { continue };
        if !matches!(fact.stated, Stated::Series(_)) {
            findings.push(
                RULE.finding(
                    &view.place,
                    format!("The fact “{}” is no series that can be drawn.", fact.name),
                )
                .says(galley.source_words(&view.place))
                .fact_says(galley.quote(fact))
                .mend("Link to a fact with columns and rows, or quote this one in a sentence."),
            );
        }
    }
    findings
}
