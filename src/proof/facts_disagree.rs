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
use std::collections::HashMap;
use std::rc::Rc;

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
    // Of each word the first fact of each kind that goes by it, against which those that follow are held.
    let mut known: HashMap<String, Vec<(&Fact, &Held)>> = HashMap::new();
    for (fact, held) in &facts {
        let mut told = false;
        for words in &fact.called {
            let first = known.entry(key_of(print, fact, words)).or_default();
            let apart_from = first.iter().find(|(_, other)| disagree(held, other));
            if let Some((earlier, _)) = apart_from.filter(|_| !told) {
                findings.push(apart(print, words, fact, earlier));
                told = true;
            }
            if apart_from.is_none() && !first.iter().any(|(_, other)| is_of_kind(held, other)) {
                first.push((*fact, *held));
            }
        }
    }
    findings.extend(beside_series(print, &facts));
    findings
}

fn key_of(print: &PrintContext, fact: &Fact, words: &str) -> String {
    let language = languages::of_or_english(print.understood.content.language_of(&fact.place.file));
    called::key(words, language)
}

/// Whether one of two quantities can be held against the other.
fn is_of_kind(a: &Held, b: &Held) -> bool {
    !matches!(quantity::agree(&as_stated(a), b), Agreement::OtherUnit)
}

/// The facts that go by the words of a series, but are none of its values.
fn beside_series(print: &PrintContext, facts: &[(&Fact, &Held)]) -> Vec<Finding> {
    let mut tables: HashMap<String, Vec<(&Fact, Rc<Table>)>> = HashMap::new();
    for series in &print.understood.facts {
        let Stated::Series(rows) = &series.stated else { continue };
        let Some(table) = Table::read(rows, print.understood.language()).map(Rc::new) else { continue };
        for words in &series.called {
            tables.entry(key_of(print, series, words)).or_default().push((*series, Rc::clone(&table)));
        }
    }
    let mut findings = Vec::new();
    for (fact, held) in facts {
        let figure = as_stated(held);
        let is_apart =
            |table: &Table| table.has_kind_of(&figure) && !table.holds(std::slice::from_ref(&figure));
        // of series with the same words the first that it is apart from
        let told = fact.called.iter().find_map(|words| {
            let named = tables.get(&key_of(print, fact, words))?;
            named
                .iter()
                .find(|(_, table)| is_apart(table))
                .map(|(series, _)| apart(print, words, fact, series))
        });
        findings.extend(told);
    }
    findings
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
