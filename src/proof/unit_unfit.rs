//! A figure is of another dimension than its fact, or a backed one holds no figure at all.

use super::{Check, Find, at};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::particulars::Kind;
use crate::program::facts::Stated;
use crate::quantity;
use crate::statements::judgement::Judgement;
use crate::statements::{PrintContext, Statement};

pub static RULE: Rule = Rule {
    name: "unit-unfit",
    level: Level::Error,
    settable: Settable::Yes,
    summary: "A figure lacks a unit of its fact's kind, or backed words hold no figure.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for statement in &print.statements {
        findings.extend(unbacked(print, statement));
        let (Some(backed), Some(fact)) = (statement.backed, statement.fact) else { continue };
        let held = print.understood.held(&fact.name);
        let (message, mend) = match &statement.judgement {
            // An open link is printed in the fact's own words; a unit that these cannot take on is the
            // link's mistake.
            _ if backed.is_open() => match (&backed.unit, held) {
                (Some(name), Some(held)) => match print.understood.language().unit_called(name) {
                    None => (
                        format!("packstring does not know the unit “{name}”."),
                        "Correct the unit after “?unit=”, or define it under [units] in facts.toml.",
                    ),
                    Some(unit) if quantity::say(held, Some(&unit)).is_err() => (
                        format!("The fact “{}” cannot be stated in “{name}”.", fact.name),
                        "Ask for a unit of the same kind as the fact's.",
                    ),
                    Some(_) => continue,
                },
                (Some(_), None) if fact.kind.is_some() => (
                    format!("The fact “{}” is no quantity, and has no units.", fact.name),
                    "Leave “?unit=” out.",
                ),
                _ if matches!(fact.stated, Stated::Series(_)) => (
                    format!(
                        "The fact “{}” is a series, which has no words of its own to print here.",
                        fact.name
                    ),
                    "Write the figure that is meant between the brackets.",
                ),
                _ => continue,
            },
            Judgement::OtherUnit => (
                format!("“{}” has no unit of the kind that the fact “{}” has.", statement.words, fact.name),
                "State the figure in a unit of the same kind, or link to the fact that is meant.",
            ),
            Judgement::LeavesOut { thing } => (
                format!(
                    "“{}” does not say that the fact “{}” is per {thing}, and nothing around it does.",
                    statement.words, fact.name
                ),
                "Say in the figure or beside it what it is per, or link to the fact that is meant.",
            ),
            Judgement::NoFigure if fact.kind.is_some() => (
                format!(
                    "“{}” is backed by the fact “{}”, but holds no {}, or more than one.",
                    statement.words,
                    fact.name,
                    fact.kind.map_or("figure", Kind::name)
                ),
                "Put it between the brackets in full, or take the link away.",
            ),
            Judgement::NoFigure => (
                format!("“{}” is backed by the fact “{}”, but holds no figure.", statement.words, fact.name),
                "Put the figure with its unit between the brackets, or take the link away.",
            ),
            _ => continue,
        };
        findings.push(at(&RULE, statement, message).fact_says(print.quote_for(statement, fact)).mend(mend));
    }
    findings
}

/// An unbacked figure in a sentence that names a fact: the fact's number, and a unit that it has not.
fn unbacked(print: &PrintContext, statement: &Statement) -> Option<Finding> {
    let (Judgement::OtherUnit, None, Some(fact)) = (&statement.judgement, statement.backed, statement.fact)
    else {
        return None;
    };
    let message = format!(
        "“{}” has the number of the fact “{}”, which its sentence names, but a unit of another kind.",
        statement.words, fact.name
    );
    let finding = at(&RULE, statement, message).fact_says(print.quote(fact)).mend(format!(
        "If this fact is meant, write “[…](fact:{})”; if not, back the figure by its own fact.",
        fact.name
    ));
    Some(finding.weighs(Level::Warning))
}
