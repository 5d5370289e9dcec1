//! What each fact is worth: values read, computed facts worked out in the order they need.

use crate::finding::{Finding, Place, rules};
use crate::languages::ParticularWords;
use crate::nearest::nearest;
use crate::particulars::{self, Says};
use crate::program::Written;
use crate::program::facts::{Fact, Stated, given};
use crate::quantity::{Hedge, Held, Language, WorkError, Worked};
use std::collections::{BTreeMap, HashMap};
use std::ops::Range;

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

/// A fact that is being worked out, and those that it needs.
struct Bench<'p> {
    fact: &'p Fact,
    expression: &'p Written,
    worked: Worked,
    /// The facts that its expression names, in order.
    names: Vec<(String, Range<usize>)>,
    /// The name that is looked at next.
    next: usize,
    /// Whether all that were looked at so far are known and could be worked out.
    is_whole: bool,
}

struct Evaluator<'p, 'f> {
    named: HashMap<&'p str, &'p Fact>,
    facts: &'f [&'p Fact],
    /// The language in which values are written.
    language: &'f Language,
    states: BTreeMap<&'p str, State>,
    /// The facts being worked out, outermost first. They wait here and not on the machine's own stack, for a chain of
    /// facts may be as long as the facts file.
    waiting: Vec<Bench<'p>>,
    findings: &'f mut Vec<Finding>,
}

pub(super) fn work_out<'p>(
    facts: &[&'p Fact],
    language: &Language,
    findings: &mut Vec<Finding>,
) -> BTreeMap<&'p str, FactValue> {
    // Of facts with one name the first counts.
    let named = facts.iter().rev().map(|fact| (fact.name.as_str(), *fact)).collect();
    let states = BTreeMap::new();
    let mut evaluator = Evaluator { named, facts, language, states, waiting: Vec::new(), findings };
    for fact in facts {
        evaluator.begin(fact);
        while evaluator.step() {}
    }
    let done = |(name, state)| match state {
        State::Done(worth) => Some((name, *worth)),
        State::Open | State::Failed => None,
    };
    evaluator.states.into_iter().filter_map(done).collect()
}

impl<'p> Evaluator<'p, '_> {
    /// Works a fact out where it needs no other; else puts it on the bench.
    fn begin(&mut self, fact: &'p Fact) {
        if self.states.contains_key(fact.name.as_str()) {
            return;
        }
        let worth = match &fact.stated {
            // what is no quantity is read by itself
            _ if fact.kind.is_some() => None,
            Stated::Value(value) => self.read(fact, value),
            Stated::WorkedFrom(expression) => match self.language.worked(&expression.text) {
                Ok(worked) => {
                    let names = worked.names();
                    self.states.insert(&fact.name, State::Open);
                    self.waiting.push(Bench { fact, expression, worked, names, next: 0, is_whole: true });
                    return;
                }
                Err(error) => self.tell_unworkable(fact, expression, &error),
            },
            Stated::Series(_) => None,
        };
        self.settle(fact, worth);
    }

    fn settle(&mut self, fact: &'p Fact, worth: Option<FactValue>) {
        self.states.insert(&fact.name, worth.map_or(State::Failed, |worth| State::Done(Box::new(worth))));
    }

    /// Looks at the next name that the innermost fact needs, or works it out. Gives whether one is left.
    fn step(&mut self) -> bool {
        let Some(bench) = self.waiting.last() else { return false };
        let Some((name, range)) = bench.names.get(bench.next).cloned() else {
            if let Some(bench) = self.waiting.pop() {
                let fact = bench.fact;
                let worth = bench.is_whole.then(|| self.work(bench)).flatten();
                self.settle(fact, worth);
            }
            return true;
        };
        let (fact, expression) = (bench.fact, bench.expression);
        let other = self.named.get(name.as_str()).copied();
        match (other, other.and_then(|other| self.states.get(other.name.as_str()))) {
            // It is begun the first time; the second time it is seen what came of it.
            (Some(other), None) => self.begin(other),
            (Some(_), Some(State::Done(_))) => self.look_at_next(true),
            (Some(other), Some(State::Failed)) => {
                self.look_at_next(false);
                if let Some(kind) = other.kind {
                    let message = format!(
                        "“{name}” is of the kind {}, and nothing can be worked from it.",
                        kind.name()
                    );
                    self.tell_unworkable(fact, expression, &WorkError { range, message });
                }
            }
            (Some(other), Some(State::Open)) => {
                self.look_at_next(false);
                self.tell_circle(other);
            }
            (None, _) => {
                self.look_at_next(false);
                self.tell_unknown(fact, expression, &name, range);
            }
        }
        true
    }

    fn look_at_next(&mut self, is_done: bool) {
        if let Some(bench) = self.waiting.last_mut() {
            bench.is_whole &= is_done;
            bench.next += 1;
        }
    }

    fn read(&mut self, fact: &Fact, value: &Written) -> Option<FactValue> {
        // The facts file is packstring's own form: its English is read in a program of any language.
        let read = self.language.read_one(&value.text);
        let in_english = || self.language.read_one_in_english(&value.text).ok();
        match read.or_else(|reason| in_english().ok_or(reason)) {
            Ok(figure) => {
                let own = figure.limit.or(figure.hedge.and_then(Hedge::limit));
                if own.zip(fact.limit).is_some_and(|(own, limit)| own == limit.turned() && own != limit) {
                    self.tell_both_ways(fact, value);
                    return None;
                }
                let mut held = Held::stated(&figure, fact.limit);
                held.leans = held.leans.or_else(|| self.leans_by_wording(fact));
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

    /// Which way a threshold leads by the words in which it is to be printed: "above 102.5 °F".
    fn leans_by_wording(&self, fact: &Fact) -> Option<Hedge> {
        let figure = self.language.read_one(&fact.wording.as_ref()?.text).ok()?;
        figure.hedge.filter(|hedge| matches!(hedge, Hedge::Over | Hedge::Under))
    }

    /// A value that binds by its own words otherwise than `limit` has it.
    fn tell_both_ways(&mut self, fact: &Fact, value: &Written) {
        let message = format!(
            "The value of the fact “{}” says one limit and its “limit” says the opposite, so it is not clear which is right.",
            fact.name
        );
        self.findings.push(
            Finding::of(&rules::FACT_UNREADABLE, value.place.clone(), message)
                .says(&value.text)
                .stops_press(fact.safety)
                .mend(
                    "Write the value without words such as “at most”, and set “limit” as the source has it.",
                ),
        );
    }

    /// Works a fact out whose every name was worked out before.
    fn work(&mut self, bench: Bench<'p>) -> Option<FactValue> {
        // Which of the two is meant, nobody can tell.
        let units = bench.worked.bare_units();
        let text = &bench.expression.text;
        if let Some(range) = units.iter().find(|range| self.named.contains_key(&text[(*range).clone()])) {
            let message = format!(
                "“{}” is a unit and also the name of a fact, so that one cannot be told from the other. Give the fact another name.",
                &text[range.clone()]
            );
            let error = WorkError { range: range.clone(), message };
            return self.tell_unworkable(bench.fact, bench.expression, &error);
        }
        let named = |name: &str| match self.states.get(name) {
            Some(State::Done(worth)) => worth.held.clone(),
            _ => unreachable!("every name was worked out above"),
        };
        match bench.worked.evaluate(&named) {
            Ok(mut held) => {
                held.limit = bench.fact.limit.or(held.limit);
                let worked_from = bench.names.into_iter().map(|(name, _)| name).collect();
                Some(FactValue { held, worked_from })
            }
            Err(error) => self.tell_unworkable(bench.fact, bench.expression, &error),
        }
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

    fn tell_unknown(&mut self, fact: &Fact, expression: &Written, name: &str, range: Range<usize>) {
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
        /// So many names of a circle are told, and as many of its end.
        const TOLD: usize = 6;
        let path = || self.waiting.iter().map(|bench| bench.fact.name.as_str());
        let start = path().position(|name| name == fact.name).unwrap_or(0);
        let mut circle: Vec<String> = path().skip(start).map(str::to_owned).collect();
        circle.push(fact.name.clone());
        if circle.len() > 2 * TOLD {
            let left_out = circle.len() - 2 * TOLD;
            circle.splice(TOLD..TOLD + left_out, [format!("… ({left_out} more) …")]);
        }
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

/// What each fact says that is of a kind of its own, by name.
pub(super) fn says<'p>(
    facts: &[&'p Fact],
    words: &ParticularWords,
    findings: &mut Vec<Finding>,
) -> BTreeMap<&'p str, Says> {
    let mut said = BTreeMap::new();
    for fact in facts {
        let (Some(kind), Stated::Value(value)) = (fact.kind, &fact.stated) else { continue };
        let read = particulars::read_one(kind, &value.text, words);
        let why = match read {
            // What program.toml says is known, however it is written.
            Ok(read) if read.or.is_some() && !given::is_named_so(&fact.name) => {
                "It can be read in two ways.".to_owned()
            }
            Ok(read) if read.says.exists().is_err() => read.says.exists().err().unwrap_or_default(),
            Ok(read) => {
                said.entry(fact.name.as_str()).or_insert(read.says);
                continue;
            }
            Err(why) => why,
        };
        let message = format!("The value of the fact “{}” is not a clear {}. {why}", fact.name, kind.name());
        findings.push(
            Finding::of(&rules::FACT_UNREADABLE, value.place.clone(), message)
                .says(&value.text)
                .stops_press(fact.safety)
                .mend(format!("Write it in full, such as {}.", kind.example())),
        );
    }
    said
}

/// The place of a range of a written expression; all of it where escapes make the two differ.
fn within(written: &Written, range: Range<usize>) -> Place {
    let start = written.place.range.start;
    if written.place.range.len() == written.text.len() && range.end <= written.text.len() {
        Place { file: written.place.file.clone(), range: start + range.start..start + range.end }
    } else {
        written.place.clone()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(text: &str) -> Written {
        Written { text: text.into(), place: Place::whole("facts.toml") }
    }

    fn fact(name: &str, stated: Stated) -> Fact {
        Fact::stating(name.into(), Place::whole("facts.toml"), stated)
    }

    fn worked(facts: &[Fact]) -> (usize, Vec<String>) {
        let mut findings = Vec::new();
        let facts: Vec<&Fact> = facts.iter().collect();
        let done = work_out(&facts, &Language::of("en", &[]), &mut findings).len();
        (done, findings.into_iter().map(|finding| finding.message).collect())
    }

    #[test]
    fn a_chain_of_facts_may_be_as_long_as_it_likes() {
        let mut facts: Vec<Fact> = (0..10_000)
            .map(|at| fact(&format!("c{at}"), Stated::WorkedFrom(written(&format!("c{} + 1 ft", at + 1)))))
            .collect();
        facts.push(fact("c10000", Stated::Value(written("1 ft"))));
        assert_eq!(worked(&facts), (10_001, Vec::new()));
    }

    #[test]
    fn a_circle_is_told_once_and_in_short() {
        let circle = |count: usize| -> Vec<Fact> {
            let next = |at: usize| Stated::WorkedFrom(written(&format!("c{} * 2", (at + 1) % count)));
            (0..count).map(|at| fact(&format!("c{at}"), next(at))).collect()
        };
        let (done, told) = worked(&circle(10_000));
        assert_eq!((done, told.len()), (0, 1));
        assert!(
            told[0].ends_with("c4 → c5 → … (9989 more) … → c9995 → c9996 → c9997 → c9998 → c9999 → c0."),
            "{}",
            told[0]
        );
        assert_eq!(
            worked(&circle(2)).1,
            ["These facts are worked from one another in a circle: c0 → c1 → c0."]
        );
        assert_eq!(worked(&circle(1)).1, ["These facts are worked from one another in a circle: c0 → c0."]);
    }

    #[test]
    fn what_is_too_long_or_grows_beyond_measure_is_told() {
        let long = vec!["1 ft"; 8_000].join(" + ");
        let told = worked(&[fact("long", Stated::WorkedFrom(written(&long)))]).1;
        assert!(told[0].contains("more than 400 parts"), "{}", told[0]);
        let mut powers = vec![fact("p0", Stated::Value(written("3")))];
        powers.extend(
            (0..12)
                .map(|at| fact(&format!("p{}", at + 1), Stated::WorkedFrom(written(&format!("p{at}^12"))))),
        );
        let told = worked(&powers).1;
        assert_eq!(told.len(), 1, "{told:?}");
        assert!(told[0].contains("too many digits"), "{}", told[0]);
    }
}
