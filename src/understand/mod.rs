//! Understand: what the program's files mean.
//!
//! Takes a [`Program`] and gives an [`Understood`]: each fact with the quantity that it holds
//! (computed where it is worked from others), and each passage of prose with the figures that stand
//! in it and the facts that back them. Nothing is judged here; what cannot be understood at all (a
//! value that is no figure, a circle of facts) is a finding that comes with the value.

use crate::finding::Finding;
use crate::place::Place;
use crate::program::Program;
use crate::program::lesson::Backed;
use crate::quantity::{Figure, Held};
use std::collections::BTreeMap;
use std::ops::Range;

/// A program and what it means.
pub struct Understood<'p> {
    pub program: &'p Program,
    /// The quantity of each fact, by name. A series or a fact that could not be worked has none.
    pub held: BTreeMap<&'p str, Held>,
    pub passages: Vec<Passage<'p>>,
    /// What could not be understood.
    pub findings: Vec<Finding>,
}

/// One run of prose that a reader takes in at once: a paragraph, a heading, a table cell, an item.
pub struct Passage<'p> {
    pub place: Place,
    /// Where it is printed, so that pieces can say which prose they carry.
    pub carrier: Carrier<'p>,
    /// The prose without its markup; an open backed figure stands in it by the fact's own wording.
    pub text: String,
    /// For each run of `text` that came straight from the file: its range there and where it starts
    /// in the file. Runs are in order.
    pub runs: Vec<Run>,
    /// Every figure that the reader finds in `text`.
    pub figures: Vec<Figure>,
    /// The backed figures: where their words stand in `text`.
    pub backed: Vec<(Range<usize>, &'p Backed)>,
}

/// A run of a passage that was taken over from the file as it stands.
#[derive(Clone, Debug)]
pub struct Run {
    pub text: Range<usize>,
    pub source: Range<usize>,
}

/// What a passage belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Carrier<'p> {
    /// Lesson and section; the section is `None` for the title and the opening.
    Lesson {
        lesson: &'p str,
        section: Option<&'p str>,
    },
    Question(&'p str),
    Kit(&'p str),
    /// A principle, the summary or the certificate's words in `program.toml`.
    Settings,
}

impl Passage<'_> {
    /// The place in the file of a range of [`Passage::text`]; the whole passage where the range does
    /// not lie in text taken over as it stands.
    pub fn place_of(&self, range: &Range<usize>) -> Place {
        let source_of = |at: usize, end: bool| {
            self.runs.iter().find_map(|run| {
                let inside =
                    if end { at > run.text.start && at <= run.text.end } else { run.text.contains(&at) };
                inside.then(|| run.source.start + (at - run.text.start))
            })
        };
        match (source_of(range.start, false), source_of(range.end, true)) {
            (Some(start), Some(end)) if start <= end => {
                Place { file: self.place.file.clone(), range: start..end }
            }
            _ => self.place.clone(),
        }
    }
}
