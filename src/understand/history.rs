//! What the facts say now, held against what the history says that they were.

use super::Understood;
use crate::particulars;
use crate::program::facts::{Fact, Series, SourceRead, Stated};
use crate::program::history::{Entry, Gone, History, State, Which};
use crate::quantity::{self, Held, Limit};
use jiff::civil::Date;
use std::collections::BTreeSet;

/// What is to be added to a history so that it says what the facts are on this day. Facts that cannot be read are left
/// out: nobody can say what they are.
pub fn news(understood: &Understood, history: &History, day: Date) -> Vec<Entry> {
    let mut there: BTreeSet<Which> = BTreeSet::new();
    let mut news = Vec::new();
    for (understood, fact) in all(understood) {
        there.insert(which(fact));
        let Some(now) = state(understood, fact, day) else { continue };
        if history.last(&now.which()).is_none_or(|last| !last.is_same(&now)) {
            news.push(Entry::Fact(Box::new(now)));
        }
    }
    for (name, at) in history.standing().filter(|which| !there.contains(*which)) {
        news.push(Entry::Gone(Gone { name: name.clone(), at: at.clone(), day }));
    }
    news
}

/// What every fact is, that of the program and those of its events, and whether it is one of safety. Facts that cannot
/// be read are left out.
pub fn states(understood: &Understood, day: Date) -> Vec<(State, bool)> {
    all(understood).filter_map(|(there, fact)| Some((state(there, fact, day)?, fact.safety))).collect()
}

/// Whether a fact is what it was when pieces were made last. One that the history does not know is not.
pub fn is_as_it_was(understood: &Understood, fact: &Fact) -> bool {
    let history = &understood.root.history;
    let last = history.last(&which(fact)).filter(|_| !history.is_broken);
    last.is_some_and(|last| has_value_of(understood, fact, last))
}

/// What a fact was by the same source as of the same day, where its value is another now.
pub fn otherwise_by_its_source<'u>(understood: &'u Understood, fact: &Fact) -> Option<&'u State> {
    let history = &understood.root.history;
    if history.is_broken {
        return None;
    }
    let (source, as_of) = (source(fact), as_of(fact));
    if matches!(fact.stated, Stated::WorkedFrom(_)) && source.is_none() && as_of.is_none() {
        // The facts that it is worked from have sources.
        return None;
    }
    let which = which(fact);
    let mut states = history.of(&which).filter_map(Entry::state);
    // What its source said is what was first written down of it: later lines may be the very slip that is looked for.
    let first = states.find(|state| state.source == source && state.as_of == as_of)?;
    let stated = state(understood, fact, Date::ZERO)?;
    let moved = match (&first.worked_from, &stated.worked_from) {
        // What they come to follows what they are worked from.
        (Some(was), Some(now)) => was.split_whitespace().ne(now.split_whitespace()),
        _ => !has_value_of(understood, fact, first),
    };
    moved.then_some(first)
}

/// The facts, and after them those of events, each where it is to be understood.
fn all<'u, 'p>(common: &'u Understood<'p>) -> impl Iterator<Item = (&'u Understood<'p>, &'p Fact)> {
    let here = common.facts.iter().copied().chain(&common.content.given).map(move |fact| (common, fact));
    let local = common.at_events.values();
    here.chain(local.flat_map(|local| {
        local.facts.iter().filter(|fact| fact.at.is_some()).map(move |fact| (local, *fact))
    }))
}

fn which(fact: &Fact) -> Which {
    (fact.name.clone(), fact.at.clone())
}

/// What a fact is; `None` where it cannot be read.
fn state(understood: &Understood, fact: &Fact, day: Date) -> Option<State> {
    let (value, worked_from) = match &fact.stated {
        Stated::Value(value) => {
            let is_read = understood.says(&fact.name).is_some() || understood.held(&fact.name).is_some();
            (is_read.then(|| value.text.clone())?, None)
        }
        Stated::WorkedFrom(expression) => {
            let held = understood.held(&fact.name)?;
            (quantity::say(held, None).ok()?, Some(expression.text.clone()))
        }
        Stated::Series(series) => (rows(series), None),
    };
    Some(State {
        name: fact.name.clone(),
        at: fact.at.clone(),
        value,
        limit: fact.limit.map(|limit| limit_words(limit).to_owned()),
        worked_from,
        source: source(fact),
        as_of: as_of(fact),
        read: fact.read.as_ref().map(SourceRead::words),
        day,
    })
}

fn source(fact: &Fact) -> Option<String> {
    fact.source.as_ref().map(|source| source.text.clone())
}

/// Of several sources, the day of the one that was looked up last.
fn as_of(fact: &Fact) -> Option<Date> {
    fact.as_of.or_else(|| fact.sources.iter().filter_map(|source| source.as_of).max())
}

/// A series in one line.
fn rows(series: &Series) -> String {
    let columns = series.columns.iter().map(|column| column.text.as_str()).collect::<Vec<_>>().join(" | ");
    let row = |row: &Vec<crate::program::Written>| {
        row.iter().map(|cell| cell.text.as_str()).collect::<Vec<_>>().join(" | ")
    };
    std::iter::once(columns).chain(series.rows.iter().map(row)).collect::<Vec<_>>().join("; ")
}

/// Whether a fact's value is what a line says, in whatever writing.
pub fn has_value_of(understood: &Understood, fact: &Fact, was: &State) -> bool {
    let Some(now) = state(understood, fact, was.day) else { return false };
    if (&now.value, &now.limit) == (&was.value, &was.limit) {
        return true;
    }
    if let (Some(kind), Some(says)) = (fact.kind, understood.says(&fact.name)) {
        let words = &understood.vocabulary_of_values().particulars;
        return particulars::read_one(kind, &was.value, words).is_ok_and(|was| was.says == *says);
    }
    let limit = was.limit.as_deref().and_then(limit_of);
    let read = understood.languages.main.read_one(&was.value);
    let read = read.or_else(|_| understood.languages.main.read_one_in_english(&was.value));
    let held = understood.held(&fact.name).filter(|_| limit.is_some() == was.limit.is_some());
    let is_worth = |held: &Held| read.as_ref().is_ok_and(|figure| Held::stated(figure, limit) == *held);
    was.worked_from.is_none() && held.is_some_and(is_worth)
}

const LIMITS: [(Limit, &str); 4] = [
    (Limit::AtMost, "at most"),
    (Limit::AtLeast, "at least"),
    (Limit::About, "about"),
    (Limit::Exactly, "exactly"),
];

/// A limit as the history writes it down.
pub fn limit_words(limit: Limit) -> &'static str {
    LIMITS.iter().find(|(known, _)| *known == limit).map_or("", |(_, words)| words)
}

fn limit_of(words: &str) -> Option<Limit> {
    LIMITS.iter().find(|(_, known)| *known == words).map(|(limit, _)| *limit)
}
