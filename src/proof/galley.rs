//! The galley: the program laid out for proofreading, with every stated figure held against its fact.
//!
//! What several rules ask is worked out here once. The heart is [`Statement`]: a figure that is
//! printed, the fact it was held against, and the one [`Judgement`] that came of it.

use super::{called, walk};
use crate::place::Place;
use crate::program::Fact;
use crate::program::facts::Stated;
use crate::program::lesson::{Backed, Block, Inline, Picture, SeriesView};
use crate::quantity::{self, Figure, Held, Limit, Verdict};
use crate::understand::{Passage, Understood, series_column};
use jiff::civil::Date;
use std::collections::BTreeMap;
use std::ops::Range;

/// Everything that a rule may ask.
pub struct Galley<'u> {
    pub understood: &'u Understood<'u>,
    pub today: Date,
    pub statements: Vec<Statement<'u>>,
    facts: BTreeMap<&'u str, &'u Fact>,
}

/// A figure that stands in print, and what came of holding it against the facts.
pub struct Statement<'u> {
    pub place: Place,
    /// The words of the figure; of a backed figure, the words between the brackets.
    pub words: String,
    /// The link, if it is backed.
    pub backed: Option<&'u Backed>,
    /// The fact it was held against: the one that backs it, or the one that its sentence names.
    pub fact: Option<&'u Fact>,
    pub judgement: Judgement,
}

/// What is to be said of a stated figure. Each rule has its own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Judgement {
    /// It is what the fact rounds to.
    Agrees,
    /// Another value; `expected` is what it would have to be, in its own unit.
    Off {
        expected: String,
    },
    LimitTurned,
    /// A unit of another dimension than the fact's, or none.
    OtherUnit,
    /// The words of a backed figure hold no figure.
    NoFigure,
    TooFine {
        expected: String,
    },
    DualApart,
    /// The link names a fact that is not there.
    UnknownFact,
    /// The fact is a series in which the figure does not stand.
    NotInSeries,
    /// No fact backs it, and none is named in its sentence.
    Unbacked,
    /// The program says that it needs no fact, or its fact could not be read, which is told there.
    Exempt,
}

impl<'u> Galley<'u> {
    pub fn lay_out(understood: &'u Understood<'u>, today: Date) -> Self {
        let facts = understood.program.facts.iter().map(|fact| (fact.name.as_str(), fact)).collect();
        let mut galley = Self { understood, today, statements: Vec::new(), facts };
        for passage in &understood.passages {
            let backed = passage.backed.iter().map(|(range, backed)| galley.backed(passage, range, backed));
            let mut statements: Vec<_> = backed.collect();
            for figure in &passage.figures {
                if passage.backed.iter().all(|(range, _)| !overlap(range, &figure.span)) {
                    statements.push(galley.unbacked(passage, figure));
                }
            }
            galley.statements.append(&mut statements);
        }
        galley
    }

    pub fn fact(&self, name: &str) -> Option<&'u Fact> {
        self.facts.get(name).copied()
    }

    /// Every picture that lessons and prose show.
    pub fn pictures(&self) -> impl Iterator<Item = &'u Picture> {
        let program = self.understood.program;
        let blocks = program.lessons.iter().flat_map(walk::blocks);
        let set_off = blocks.filter_map(|block| match block {
            Block::Picture(picture) => Some(picture),
            _ => None,
        });
        let inlines = program.lessons.iter().flat_map(walk::inlines).chain(walk::prose_inlines(program));
        set_off.chain(inlines.filter_map(|inline| match inline {
            Inline::Picture(picture) => Some(picture),
            _ => None,
        }))
    }

    /// Every place where a series is to be drawn.
    pub fn series_views(&self) -> impl Iterator<Item = &'u SeriesView> {
        let blocks = self.understood.program.lessons.iter().flat_map(walk::blocks);
        blocks.filter_map(|block| match block {
            Block::Series(view) => Some(view),
            _ => None,
        })
    }

    /// What stands at a place of an input file.
    pub fn source_words(&self, place: &Place) -> &'u str {
        self.understood.program.sources.words(place).trim()
    }

    /// A fact as it is quoted to the editor: `at most 10 ft (lead-length)`.
    pub fn quote(&self, fact: &Fact) -> String {
        format!("{} ({})", self.words_of(fact), fact.name)
    }

    fn words_of(&self, fact: &Fact) -> String {
        match &fact.stated {
            Stated::Value(value) => with_limit(&value.text, fact.limit),
            Stated::WorkedFrom(expression) => {
                let held = self.understood.held(&fact.name);
                match held.and_then(|held| quantity::say(held, None).ok()) {
                    Some(words) => format!("{words}, worked from {}", expression.text),
                    None => format!("worked from {}", expression.text),
                }
            }
            Stated::Series(series) => format!("a series of {} rows", series.rows.len()),
        }
    }

    fn backed(&self, passage: &'u Passage<'u>, range: &Range<usize>, backed: &'u Backed) -> Statement<'u> {
        let fact = self.fact(&backed.fact);
        let judgement = match fact {
            None => Judgement::UnknownFact,
            Some(fact) => match (&fact.stated, self.understood.held(&fact.name)) {
                (Stated::Series(_), _) => self.in_series(passage, range, fact),
                (_, Some(held)) => against_its_fact(passage, range, held),
                (_, None) => Judgement::Exempt,
            },
        };
        Statement {
            place: backed.words_place.clone(),
            words: passage.text[range.clone()].to_owned(),
            backed: Some(backed),
            fact,
            judgement,
        }
    }

    fn unbacked(&self, passage: &'u Passage<'u>, figure: &Figure) -> Statement<'u> {
        let (fact, judgement) = if dual_is_apart(figure) {
            (None, Judgement::DualApart)
        } else if self.is_exempt(&passage.text, &figure.span) {
            (None, Judgement::Exempt)
        } else {
            self.nearest_fact(passage, figure)
        };
        Statement {
            place: passage.place_of(&figure.span),
            words: passage.text[figure.span.clone()].to_owned(),
            backed: None,
            fact,
            judgement,
        }
    }

    /// Whether one of the program's exempt words stands in the figure or right beside it.
    fn is_exempt(&self, text: &str, figure: &Range<usize>) -> bool {
        let start = text[..figure.start].trim_end().rfind(char::is_whitespace).map_or(0, |at| at + 1);
        let after = &text[figure.end..];
        let word_start = after.len() - after.trim_start().len();
        let word_end =
            after[word_start..].find(char::is_whitespace).map_or(after.len(), |at| word_start + at);
        let around = &text[floor(text, start)..figure.end + word_end];
        self.understood.program.settings.exempt.iter().any(|words| called::find(around, words).is_some())
    }

    /// Of the facts that the figure's sentence names and that have a unit of its kind, the one that
    /// it agrees with, or else the one that is named nearest to it.
    fn nearest_fact(&self, passage: &'u Passage<'u>, figure: &Figure) -> (Option<&'u Fact>, Judgement) {
        let sentence = called::sentence(&passage.text, &figure.span);
        let words = &passage.text[sentence.clone()];
        let span = figure.span.start - sentence.start..figure.span.end - sentence.start;
        let mut named: Vec<(bool, usize, &'u Fact, Judgement)> = Vec::new();
        for fact in &self.understood.program.facts {
            let Some(held) = self.understood.held(&fact.name) else { continue };
            let nearest = fact.called.iter().filter_map(|phrase| called::find(words, phrase));
            let Some(away) = nearest.map(|at| called::distance(&at, &span)).min() else { continue };
            let judgement = Judgement::from(quantity::agree(figure, held));
            if judgement != Judgement::OtherUnit {
                named.push((judgement != Judgement::Agrees, away, fact, judgement));
            }
        }
        // Stable, so that of equals the first in the facts file is taken.
        named.sort_by_key(|(off, away, ..)| (*off, *away));
        match named.into_iter().next() {
            Some((_, _, fact, judgement)) => (Some(fact), judgement),
            None => (None, Judgement::Unbacked),
        }
    }

    /// Whether the figures in a link to a series stand in one of its columns, and those that a
    /// passage quotes from one series one after the other stand in one row.
    fn in_series(&self, passage: &Passage, range: &Range<usize>, fact: &Fact) -> Judgement {
        let Stated::Series(series) = &fact.stated else { return Judgement::NotInSeries };
        let figures: Vec<Figure> = figures_of(passage, range);
        if figures.is_empty() {
            return Judgement::NoFigure;
        }
        let units: Vec<String> = series.columns.iter().map(|column| series_column(&column.text).1).collect();
        let row_holds = |figure: &Figure, row: &Vec<crate::program::facts::Written>| {
            row.iter().zip(&units).any(|(cell, unit)| cell_agrees(figure, &cell.text, unit))
        };
        let holds_all = series.rows.iter().any(|row| figures.iter().all(|figure| row_holds(figure, row)));
        if holds_all { Judgement::Agrees } else { Judgement::NotInSeries }
    }
}

impl From<Verdict> for Judgement {
    fn from(verdict: Verdict) -> Self {
        match verdict {
            Verdict::Agrees => Self::Agrees,
            Verdict::Off { expected } => Self::Off { expected },
            Verdict::LimitTurned => Self::LimitTurned,
            Verdict::OtherUnit => Self::OtherUnit,
            Verdict::TooFine { expected } => Self::TooFine { expected },
            Verdict::DualDisagrees => Self::DualApart,
        }
    }
}

/// Holds the words of a link against its fact.
///
/// A reader takes in the words together with what stands around them ("at most [ten feet](…)",
/// "[0.6 lb](…) a day"), so the figure is read in its passage; where that is not the fact's, the words
/// count by themselves ("[200 horses](…) a day"), with what the passage says of limit and unit.
fn against_its_fact(passage: &Passage, range: &Range<usize>, held: &Held) -> Judgement {
    let around: Vec<&Figure> = passage.figures.iter().filter(|figure| overlap(range, &figure.span)).collect();
    let in_passage = around
        .iter()
        .map(|figure| Judgement::from(quantity::agree(figure, held)))
        .find(|judgement| *judgement != Judgement::Agrees);
    let in_passage = match in_passage {
        None if !around.is_empty() => return Judgement::Agrees,
        None => Judgement::NoFigure,
        Some(judgement) => judgement,
    };
    if around.iter().all(|figure| range.start <= figure.span.start && figure.span.end <= range.end)
        && !around.is_empty()
    {
        return in_passage;
    }
    let alone = figures_of(passage, range)
        .iter()
        .map(|figure| Judgement::from(quantity::agree(figure, held)))
        .collect::<Vec<_>>();
    match alone.iter().find(|judgement| **judgement != Judgement::Agrees) {
        None if alone.is_empty() => in_passage,
        // Its other half stands outside of the link, and is printed all the same.
        None if in_passage == Judgement::DualApart => in_passage,
        None => Judgement::Agrees,
        Some(Judgement::OtherUnit) => in_passage,
        Some(judgement) => judgement.clone(),
    }
}

/// The figures of a link's words by themselves, with hedge, limit and unit of the figure around them.
fn figures_of(passage: &Passage, range: &Range<usize>) -> Vec<Figure> {
    let around = passage.figures.iter().find(|figure| overlap(range, &figure.span));
    let mut figures = quantity::read(&passage.text[range.clone()]);
    if let ([figure], Some(around)) = (&mut figures[..], around) {
        figure.hedge = figure.hedge.or(around.hedge);
        figure.limit = figure.limit.or(around.limit);
        if figure.quantity.unit == quantity::Unit::default() {
            figure.quantity.unit = around.quantity.unit.clone();
        }
    }
    figures
}

/// Whether the halves of a dual statement are not the same quantity.
fn dual_is_apart(figure: &Figure) -> bool {
    !quantity::halves_agree(figure)
}

fn cell_agrees(figure: &Figure, cell: &str, unit: &str) -> bool {
    quantity::read_one(format!("{cell} {unit}").trim()).is_ok_and(|held| {
        let held = Held::new(held.quantity, None);
        quantity::agree(figure, &held) == Verdict::Agrees
    })
}

/// `at most 10 ft`, unless the words already begin so.
fn with_limit(words: &str, limit: Option<Limit>) -> String {
    let limit = match limit {
        Some(Limit::AtMost) => "at most",
        Some(Limit::AtLeast) => "at least",
        Some(Limit::About) => "about",
        Some(Limit::Exactly) => "exactly",
        None => return words.to_owned(),
    };
    if words.to_lowercase().starts_with(limit) { words.to_owned() } else { format!("{limit} {words}") }
}

fn overlap(a: &Range<usize>, b: &Range<usize>) -> bool {
    a.start < b.end && b.start < a.end
}

fn floor(text: &str, mut at: usize) -> usize {
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}
