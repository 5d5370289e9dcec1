//! A chart is asked of a fact that is no series, or a figure is backed by a series that does not hold it.

use super::Rule;
use super::galley::Galley;
use super::judgement::Judgement;
use crate::finding::{Finding, Level};
use crate::program::facts::Stated;

pub const RULE: Rule = Rule {
    name: "series-unread",
    level: Level::Error,
    summary: "A chart is asked of a fact that is no series, or a figure does not stand in its series.",
    find,
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
    for statement in &galley.statements {
        let (Judgement::NotInSeries, Some(fact)) = (&statement.judgement, statement.fact) else { continue };
        let message = format!("“{}” does not stand in the series “{}”.", statement.words, fact.name);
        findings.push(
            RULE.at(statement, message)
                .fact_says(galley.quote(fact))
                .mend("Quote a value as one of its rows has it, with the unit of its column."),
        );
    }
    findings
}
