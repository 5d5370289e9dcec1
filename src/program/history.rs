//! `records/facts.jsonl`: the history of facts, what each was, since when and by which source.
//!
//! A record that is only ever added to ([`super::chained`]), by `make`: what it printed is what the facts were. Here it
//! is read and asked; [`crate::understand::history`] says what is to be added, and [`crate::shelf::history`] adds it.
//! A history that is broken keeps nothing from print: it is told, and left as it is.

use super::chained::{self, Chained, Kind, Left, Unsealed};
use super::files::Files;
use super::mistakes::Mistakes;
use crate::finding::{Finding, Place, rules};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Relative to the program folder.
pub const FILE: &str = "records/facts.jsonl";
/// How many lines the history has, and the hash of the last: written after it.
pub const HEAD: &str = "records/facts-head.json";

static KIND: Kind = Kind {
    file: FILE,
    head: HEAD,
    called: "history of facts",
    format: 1,
    broken: &rules::HISTORY_BROKEN,
    cut: &rules::HISTORY_CUT,
    newer: &rules::HISTORY_NEWER,
    put_back: "Put records/facts.jsonl and records/facts-head.json back from a copy. Without one, move both away and keep them: the next make begins a new history.",
    update: "Use the newest packstring; this one leaves the history as it is.",
    only_plain: "The history of facts is written only into a plain folder of the program's own. Nothing was written.",
    unchanged: "The history of facts is as it was.",
};

/// What a line records.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Entry {
    /// What a fact is from here on.
    Fact(Box<State>),
    /// A fact that stands in the facts file no longer.
    Gone(Gone),
}

/// What a fact was.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct State {
    pub name: String,
    /// The event that it holds for, by id.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<String>,
    /// As the facts file had it; what it came to, where it was worked from others.
    pub value: String,
    /// `at most`
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limit: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub worked_from: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub as_of: Option<Date>,
    /// `at the source`
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub read: Option<String>,
    /// The day of the making that first printed it.
    pub day: Date,
}

/// A fact that was taken out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Gone {
    pub name: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<String>,
    pub day: Date,
}

/// A fact by its name, and the event at which it is otherwise.
pub type Which = (String, Option<String>);

pub type Line = chained::Line<Entry>;

/// The history, in the order of its lines.
#[derive(Clone, Debug, Default)]
pub struct History {
    lines: Vec<Line>,
    /// The lines of each fact.
    of: BTreeMap<Which, Vec<usize>>,
    /// Where an interrupted run left it.
    pub left: Left,
    /// Whether it is not as it was written: then nothing is added to it, and nothing held against it.
    pub is_broken: bool,
}

impl State {
    pub fn which(&self) -> Which {
        (self.name.clone(), self.at.clone())
    }

    /// Whether two lines say the same, whenever they were written.
    pub fn is_same(&self, other: &Self) -> bool {
        *self == Self { day: self.day, ..other.clone() }
    }

    /// `at most 6 ft`
    pub fn words(&self) -> String {
        match &self.limit {
            Some(limit) if !self.value.starts_with(limit.as_str()) => format!("{limit} {}", self.value),
            _ => self.value.clone(),
        }
    }
}

impl Entry {
    pub fn which(&self) -> Which {
        match self {
            Self::Fact(state) => state.which(),
            Self::Gone(gone) => (gone.name.clone(), gone.at.clone()),
        }
    }

    pub fn state(&self) -> Option<&State> {
        match self {
            Self::Fact(state) => Some(state),
            Self::Gone(_) => None,
        }
    }
}

impl Chained for History {
    type Entry = Entry;
    type Seal = Unsealed;

    fn kind() -> &'static Kind {
        &KIND
    }

    fn format_of(_entry: &Entry) -> u64 {
        1
    }

    fn lines(&self) -> &[Line] {
        &self.lines
    }

    fn push(&mut self, line: Line) -> Result<(), &'static str> {
        self.of.entry(line.entry.which()).or_default().push(self.lines.len());
        self.lines.push(line);
        Ok(())
    }

    fn left(&mut self) -> &mut Left {
        &mut self.left
    }
}

impl History {
    pub(super) fn read(files: &mut Files, mistakes: &Mistakes) -> Arc<Self> {
        // In this order, for another run may be adding lines just now: the head never runs ahead.
        let head = files.find(HEAD);
        let page = files.find_record(FILE);
        let text = page.as_ref().map(|page| page.text().to_owned());
        let head = head.map(|head| head.text().to_owned());
        let (mut history, faults) = chained::parse::<Self>(text.as_deref(), head.as_deref());
        history.is_broken = !faults.is_empty();
        if !history.is_broken {
            // Nothing is made from it, and nothing is found in it.
            files.sources.take_out(FILE);
            files.sources.take_out(HEAD);
        }
        for fault in faults {
            let place = match &page {
                Some(page) if fault.file == FILE => page.place(fault.at..fault.at),
                _ => Place::whole(fault.file),
            };
            mistakes.add(Finding::of(fault.rule, place, fault.message).mend(fault.mend));
        }
        Arc::new(history)
    }

    /// What was written down of a fact, in order.
    pub fn of(&self, which: &Which) -> impl DoubleEndedIterator<Item = &Entry> {
        self.of.get(which).into_iter().flatten().map(|at| &self.lines[*at].entry)
    }

    /// What was written down of a fact last; `None` where it was taken out since, or never stood there.
    pub fn last(&self, which: &Which) -> Option<&State> {
        self.of(which).next_back().and_then(Entry::state)
    }

    /// The facts that stood in the facts file when it was last written.
    pub fn standing(&self) -> impl Iterator<Item = &Which> {
        self.of.keys().filter(|which| self.last(which).is_some())
    }

    /// The facts of a name: the common one first, then those of events.
    pub fn of_name(&self, name: &str) -> impl Iterator<Item = &Which> {
        let from: Which = (name.to_owned(), None);
        self.of.range(from..).map(|(which, _)| which).take_while(move |which| which.0 == name)
    }
}
