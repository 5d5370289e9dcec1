//! A series does not contain a value that is quoted from it.

use super::{Check, Find, at};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::statements::PrintContext;
use crate::statements::judgement::Judgement;

pub static RULE: Rule = Rule {
    name: "series-apart",
    level: Level::Error,
    settable: Settable::Yes,
    summary: "A lesson quotes a value that is not in the series.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for statement in &print.statements {
        let (Judgement::NotInSeries(apart), Some(fact)) = (&statement.judgement, statement.fact) else {
            continue;
        };
        let (words, name) = (&statement.words, &fact.name);
        let message = match &apart.columns[..] {
            [] => format!("“{words}” is in no unit that the series “{name}” has."),
            _ if apart.rows_only => {
                format!("No single row of the series “{name}” has both figures of “{words}”.")
            }
            [column] => format!("The series “{name}” has no “{words}” under “{column}”."),
            columns => format!(
                "“{words}” does not stand in the series “{name}”, neither under “{}”.",
                columns.join("” nor under “")
            ),
        };
        let mend = match &apart.nearest {
            Some(nearest) => {
                format!("Quote a value of its rows; the nearest is {nearest}. Or correct the series.")
            }
            None => "Quote the values of one row, with the units of their columns.".to_owned(),
        };
        findings.push(at(&RULE, statement, message).fact_says(print.quote(fact)).mend(mend));
    }
    findings
}
