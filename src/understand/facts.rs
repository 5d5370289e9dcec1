//! What each fact is worth: values read, computed facts worked out in the order they need.

use crate::finding::{Finding, Place, rules};
use crate::nearest::nearest;
use crate::program::Written;
use crate::program::facts::{Fact, Stated};
use crate::quantity::{Held, Language, WorkError, Worked};
use std::collections::BTreeMap;

/// A fact's quantity and what it was worked from.
#[derive(Clone, Debug)]
pub struct FactValue {
    pub held: Held,
    /// The facts that its expression names, in order; empty for a stated value.
    pub worked_from: Vec<String>,
}

/// How far the working out of a fact has come.
enum State {
    /// Being worked out: meeting it again closes a circle.
    Open,
    Failed,
    Done(Box<FactValue>),
}

struct Evaluator<'p, 'f> {
    facts: &'f [&'p Fact],
    /// The language in which values are written.
    language: &'f Language,
    states: BTreeMap<&'p str, State>,
    /// The facts being worked out, outermost first.
    path: Vec<&'p str>,
    findings: &'f mut Vec<Finding>,
}

pub(super) fn work_out<'p>(
    facts: &[&'p Fact],
    language: &Language,
    findings: &mut Vec<Finding>,
) -> BTreeMap<&'p str, FactValue> {
    let mut bench = Evaluator { facts, language, states: BTreeMap::new(), path: Vec::new(), findings };
    for fact in facts {
        bench.visit(fact);
    }
    let done = |(name, state)| match state {
        State::Done(worth) => Some((name, *worth)),
        State::Open | State::Failed => None,
    };
    bench.states.into_iter().filter_map(done).collect()
}

impl<'p> Evaluator<'p, '_> {
    fn visit(&mut self, fact: &'p Fact) {
        match self.states.get(fact.name.as_str()) {
            Some(State::Done(_) | State::Failed) => return,
            Some(State::Open) => return self.tell_circle(fact),
            None => {}
        }
        self.states.insert(&fact.name, State::Open);
        self.path.push(&fact.name);
        let worth = match &fact.stated {
            Stated::Value(value) => self.read(fact, value),
            Stated::WorkedFrom(expression) => self.work(fact, expression),
            Stated::Series(_) => None,
        };
        self.path.pop();
        self.states.insert(&fact.name, worth.map_or(State::Failed, |worth| State::Done(Box::new(worth))));
    }

    fn read(&mut self, fact: &Fact, value: &Written) -> Option<FactValue> {
        match self.language.read_one(&value.text) {
            Ok(figure) => {
                let held = Held::stated(&figure, fact.limit);
                Some(FactValue { held, worked_from: Vec::new() })
            }
            Err(reason) => {
                self.findings.push(
                    Finding::of(
                        &rules::FACT_UNREADABLE,
                        value.place.clone(),
                        format!(
                            "The value of the fact “{}” cannot be read as one figure: {reason}",
                            fact.name
                        ),
                    )
                    .says(&value.text)
                    .stops_press(fact.safety)
                    .mend("Write one figure with its unit, such as \"10 ft\" or \"5 to 10 gallons a day\"."),
                );
                None
            }
        }
    }

    fn work(&mut self, fact: &'p Fact, expression: &Written) -> Option<FactValue> {
        let worked = match Worked::parse(&expression.text) {
            Ok(worked) => worked,
            Err(error) => return self.tell_unworkable(fact, expression, &error),
        };
        for other in self.facts.iter().filter(|other| worked.takes_for_unit(&other.name)) {
            self.tell_unit_name(fact, other);
        }
        let names = worked.names();
        let mut whole = true;
        for (name, range) in &names {
            match self.facts.iter().find(|other| &other.name == name) {
                Some(other) => {
                    self.visit(other);
                    whole &= matches!(self.states.get(other.name.as_str()), Some(State::Done(_)));
                }
                None => {
                    whole = false;
                    self.tell_unknown(fact, expression, name, range.clone());
                }
            }
        }
        if !whole {
            return None;
        }
        let named = |name: &str| match self.states.get(name) {
            Some(State::Done(worth)) => worth.held.clone(),
            _ => unreachable!("every name was worked out above"),
        };
        match worked.evaluate(&named) {
            Ok(mut held) => {
                held.limit = fact.limit.or(held.limit);
                Some(FactValue { held, worked_from: names.into_iter().map(|(name, _)| name).collect() })
            }
            Err(error) => self.tell_unworkable(fact, expression, &error),
        }
    }

    /// A fact that bears a unit's name, where an expression means the one or the other.
    fn tell_unit_name(&mut self, fact: &Fact, other: &Fact) {
        let (name, worked) = (&other.name, &fact.name);
        self.findings.push(
            Finding::of(
                &rules::NAME_UNFIT,
                other.place.clone(),
                format!("The fact “{name}” bears the name of a unit, and the fact “{worked}” is worked from “{name}”: one {name} was taken, and not the fact."),
            )
            .says(name)
            .stops_press(fact.safety || other.safety)
            .mend(format!("Give the fact a longer name, such as “{name}-size”; where the unit is meant, write “1 {name}”.")),
        );
    }

    fn tell_unworkable(&mut self, fact: &Fact, expression: &Written, error: &WorkError) -> Option<FactValue> {
        self.findings.push(
            Finding::of(
                &rules::FACT_UNREADABLE,
                within(expression, error.range.clone()),
                format!("The fact “{}” cannot be worked out: {}", fact.name, error.message),
            )
            .says(&expression.text)
            .stops_press(fact.safety)
            .mend("Use fact names, figures with units, + - * / and parentheses, with spaces around a minus."),
        );
        None
    }

    fn tell_unknown(&mut self, fact: &Fact, expression: &Written, name: &str, range: std::ops::Range<usize>) {
        let names = self.facts.iter().map(|fact| fact.name.as_str());
        let finding = Finding::of(
            &rules::FACT_UNREADABLE,
            within(expression, range),
            format!("The fact “{}” is worked from “{name}”, which is not in the facts file.", fact.name),
        )
        .says(&expression.text)
        .stops_press(fact.safety);
        self.findings.push(match nearest(name, names) {
            Some(near) => finding.mend(format!("Did you mean “{near}”?")),
            None => finding.mend(format!("Add a fact [{name}], or correct the name.")),
        });
    }

    fn tell_circle(&mut self, fact: &Fact) {
        let start = self.path.iter().position(|name| *name == fact.name).unwrap_or(0);
        let mut circle: Vec<&str> = self.path[start..].to_vec();
        circle.push(&fact.name);
        self.findings.push(
            Finding::of(
                &rules::FACT_CIRCLE,
                fact.place.clone(),
                format!("These facts are worked from one another in a circle: {}.", circle.join(" → ")),
            )
            .says(&fact.name)
            .stops_press(fact.safety)
            .mend("Give one of them a value of its own."),
        );
    }
}

/// The place of a range of a written expression; all of it where escapes make the two differ.
fn within(written: &Written, range: std::ops::Range<usize>) -> Place {
    let start = written.place.range.start;
    if written.place.range.len() == written.text.len() && range.end <= written.text.len() {
        Place { file: written.place.file.clone(), range: start + range.start..start + range.end }
    } else {
        written.place.clone()
    }
}
