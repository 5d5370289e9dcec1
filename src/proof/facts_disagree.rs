//! Two facts go by the same words and are of one kind, but have different values.
//!
//! A series is held against a fact beside it in the same way: the fact must be a value of it. Facts that
//! share no words are never compared, since nothing says that they are of the same day or place.

use super::{Check, Find};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::languages;
use crate::program::Fact;
use crate::program::facts::Stated;
use crate::quantity::{self, Agreement, Figure, Held};
use crate::statements::series::Table;
use crate::statements::{PrintContext, called};

pub static RULE: Rule = Rule {
    name: "facts-disagree",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "Two facts go by the same words, but have different values.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let facts: Vec<(&Fact, &Held)> = print
        .understood
        .facts
        .iter()
        .filter_map(|fact| Some((*fact, print.understood.held(&fact.name)?)))
        .collect();
    let mut findings = Vec::new();
    for (at, (fact, held)) in facts.iter().enumerate() {
        for (earlier, earlier_held) in &facts[..at] {
            if let Some(words) = shared(print, fact, earlier).filter(|_| disagree(held, earlier_held)) {
                findings.push(apart(print, words, fact, earlier));
            }
        }
    }
    findings.extend(beside_series(print, &facts));
    findings
}

/// The facts that go by the words of a series, but are none of its values.
fn beside_series(print: &PrintContext, facts: &[(&Fact, &Held)]) -> Vec<Finding> {
    let mut findings = Vec::new();
    for series in &print.understood.facts {
        let Stated::Series(rows) = &series.stated else { continue };
        let Some(table) = Table::read(rows) else { continue };
        for (fact, held) in facts {
            let figure = as_stated(held);
            let is_apart = || table.has_kind_of(&figure) && !table.holds(std::slice::from_ref(&figure));
            if let Some(words) = shared(print, fact, series).filter(|_| is_apart()) {
                findings.push(apart(print, words, fact, series));
            }
        }
    }
    findings
}

/// Words that name both facts.
fn shared<'f>(print: &PrintContext, fact: &'f Fact, other: &Fact) -> Option<&'f String> {
    let language = languages::of_or_english(print.understood.content.language_of(&fact.place.file));
    fact.called.iter().find(|words| other.called.iter().any(|known| called::same(words, known, language)))
}

fn apart(print: &PrintContext, words: &str, fact: &Fact, earlier: &Fact) -> Finding {
    let message = format!(
        "The facts “{}” and “{}” are both called “{words}”, but say different things.",
        earlier.name, fact.name
    );
    Finding::of(&RULE, &fact.place, message)
        .says(print.quote(fact))
        .fact_says(print.quote(earlier))
        .mend("Correct the one that is wrong, or give each words of its own under “called”.")
}

/// Whether neither of two quantities of one kind can stand for the other.
fn disagree(a: &Held, b: &Held) -> bool {
    let off = |stated: &Held, held: &Held| {
        !matches!(quantity::agree(&as_stated(stated), held), Agreement::Agrees | Agreement::OtherUnit)
    };
    off(a, b) && off(b, a)
}

/// A held quantity as if it stood in prose, to the place to which it is known.
fn as_stated(held: &Held) -> Figure {
    Figure::stating(held)
}
