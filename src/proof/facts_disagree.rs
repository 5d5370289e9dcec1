//! Two facts go by the same words and are of one kind, but have different values.
//!
//! A series is held against a fact beside it in the same way: the fact must be a value of it. Facts that
//! share no words are never compared, since nothing says that they are of the same day or place.

use super::{Check, Find};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::languages::{self, Vocabulary};
use crate::program::Fact;
use crate::program::facts::Stated;
use crate::quantity::{self, Agreement, Figure, Held};
use crate::statements::series::Table;
use crate::statements::{PrintContext, called};
use std::collections::BTreeMap;

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
    let names = Names::of(print, facts.iter().map(|(fact, _)| *fact));
    let mut findings = Vec::new();
    for (at, (fact, held)) in facts.iter().enumerate() {
        for (earlier, words) in names.shared(print, fact).range(..at) {
            let (earlier, earlier_held) = facts[*earlier];
            if disagree(held, earlier_held) {
                findings.push(apart(print, words, fact, earlier));
            }
        }
    }
    findings.extend(beside_series(print, &facts));
    findings
}

/// Facts by what they are called, so that only those are held against each other that share words.
struct Names(BTreeMap<(&'static str, String), Vec<usize>>);

impl Names {
    /// Of facts by their places in the list. In which language two names are the same is said by the later one, so that
    /// each stands here in every language of the facts.
    fn of<'f>(print: &PrintContext, facts: impl Iterator<Item = &'f Fact> + Clone) -> Self {
        let languages: BTreeMap<&'static str, &'static Vocabulary> =
            facts.clone().map(|fact| language(print, fact)).map(|words| (words.tag, words)).collect();
        let mut names: BTreeMap<_, Vec<usize>> = BTreeMap::new();
        for (at, fact) in facts.enumerate() {
            for (words, (tag, language)) in
                fact.called.iter().flat_map(|words| languages.iter().map(move |it| (words, it)))
            {
                let places = names.entry((*tag, called::name(words, language))).or_default();
                if places.last() != Some(&at) {
                    places.push(at);
                }
            }
        }
        Self(names)
    }

    /// The places of facts that go by words of this one, with the first of those words.
    fn shared<'f>(&self, print: &PrintContext, fact: &'f Fact) -> BTreeMap<usize, &'f String> {
        let language = language(print, fact);
        let mut shared = BTreeMap::new();
        for words in &fact.called {
            let places = self.0.get(&(language.tag, called::name(words, language)));
            for at in places.into_iter().flatten() {
                shared.entry(*at).or_insert(words);
            }
        }
        shared
    }
}

fn language(print: &PrintContext, fact: &Fact) -> &'static Vocabulary {
    languages::of_or_english(print.understood.content.language_of(&fact.place.file))
}

/// The facts that go by the words of a series, but are none of its values.
fn beside_series(print: &PrintContext, facts: &[(&Fact, &Held)]) -> Vec<Finding> {
    let is_series = |fact: &&&Fact| matches!(fact.stated, Stated::Series(_));
    let series: Vec<&Fact> = print.understood.facts.iter().filter(is_series).copied().collect();
    let tables: Vec<Option<Table>> = series
        .iter()
        .map(|series| match &series.stated {
            Stated::Series(rows) => Table::read(rows),
            _ => None,
        })
        .collect();
    let names = Names::of(print, series.iter().copied());
    let mut found: BTreeMap<(usize, usize), Finding> = BTreeMap::new();
    for (at, (fact, held)) in facts.iter().enumerate() {
        for (of, words) in names.shared(print, fact) {
            let Some(table) = &tables[of] else { continue };
            let figure = as_stated(held);
            if table.has_kind_of(&figure) && !table.holds(std::slice::from_ref(&figure)) {
                found.insert((of, at), apart(print, words, fact, series[of]));
            }
        }
    }
    found.into_values().collect()
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
