//! An unbacked figure is named like a fact and has its unit, but another value.

use crate::statements::judgement::Judgement;
use crate::statements::{PrintContext, Statement};

use super::{Check, Find, at};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::program::facts::Fact;
use crate::quantity::{Amount, Exact};
use num_traits::Signed;

pub static RULE: Rule = Rule {
    name: "figure-near-miss",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "An unbacked figure is named like a fact, but has another value.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for statement in &print.statements {
        let (Judgement::Off { expected }, None, Some(fact)) =
            (&statement.judgement, statement.backed, statement.fact)
        else {
            continue;
        };
        let anew = match &statement.anew {
            _ if statement.can_be_backed && (!statement.says_rate || is_odd(print, statement, fact)) => {
                OWN_WORDS
            }
            anew => anew.as_ref().unwrap_or(expected),
        };
        let message = format!(
            "“{}” is in a sentence that names the fact “{}”, which has another value.",
            statement.words, fact.name
        );
        let mend = if statement.can_be_backed {
            format!(
                "If this fact is meant, write “[{anew}](fact:{})”; if not, back the figure by its own fact.",
                fact.name
            )
        } else {
            format!(
                "If this fact is meant, write “{anew}”, without a link; if not, leave the figure out of the picture's words."
            )
        };
        findings.push(at(&RULE, statement, message).fact_says(print.quote_for(statement, fact)).mend(mend));
    }
    findings
}

/// Stands for the fact's own words.
const OWN_WORDS: &str = "…";

/// Whether the fact would be an odd number in the unit of the statement, such as 3,048 cm for 100 ft, where
/// neither the fact nor the statement is written so.
fn is_odd(print: &PrintContext, statement: &Statement, fact: &Fact) -> bool {
    let understood = print.understood;
    let (Some(held), Some(unit)) = (understood.held(&fact.name), &statement.unit) else { return false };
    let own = size(&held.quantity.amount);
    let Some(there) = held.quantity.unit.convert(&own, unit) else { return false };
    let written = understood.language().read_one(&statement.words);
    let written = written.ok().map(|figure| size(&figure.quantity.amount));
    is_unusual(&there) && !is_unusual(&own) && !written.is_some_and(|it| is_unusual(&it))
}

fn size(amount: &Amount) -> Exact {
    match amount {
        Amount::One(value) | Amount::Range(_, value) => value.abs(),
    }
}

/// Nobody says four digits, or a hundredth, where another unit is at hand.
fn is_unusual(size: &Exact) -> bool {
    *size >= Exact::from_integer(1000.into()) || *size < Exact::new(1.into(), 10.into())
}
