//! What is to be said of a stated figure once it is held against its fact.

use super::series::Table;
use crate::program::facts::Series;
use crate::quantity::{self, Agreement, Figure, Held, Language, Unit};
use crate::understand::Passage;
use std::ops::Range;

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
    /// Words within the link that its fact does not say.
    Beyond {
        words: String,
    },
    /// What stands right beside the link makes another figure of it: "1[6 ft]", "twice [six feet]".
    Changed {
        words: String,
    },
    /// It binds, and its fact does not say that it does.
    BindsUnsaid,
    /// It can be read in two ways, of which one is the fact's; `clear` is a writing that cannot.
    Unclear {
        or: String,
        clear: String,
    },
    /// What its fact is per, which neither the words nor the text around them say.
    LeavesOut {
        thing: String,
    },
    /// The link names a fact that is not there.
    UnknownFact,
    /// The fact is a series in which the figure does not stand.
    NotInSeries(Apart),
    /// No fact backs it, and none is named in its sentence.
    Unbacked,
    /// Nothing is to be said here: the program says that it needs no fact, its fact could not be read,
    /// or its words are the fact's own.
    Exempt,
}

impl From<Agreement> for Judgement {
    fn from(verdict: Agreement) -> Self {
        match verdict {
            Agreement::Agrees => Self::Agrees,
            Agreement::Off { expected } => Self::Off { expected },
            Agreement::LimitTurned => Self::LimitTurned,
            Agreement::OtherUnit => Self::OtherUnit,
            Agreement::TooFine { expected } => Self::TooFine { expected },
            Agreement::DualDisagrees => Self::DualApart,
        }
    }
}

/// Holds the words of a link against its fact.
///
/// A reader takes in the words together with what stands around them ("at most [ten feet](…)",
/// "[0.6 lb](…) a day"), so the figure is read in its passage; where that is not the fact's, the words
/// count by themselves ("[200 horses](…) a day"), with what the passage says of limit and unit.
pub fn against_its_fact(passage: &Passage, range: &Range<usize>, held: &Held) -> Judgement {
    let around: Vec<&Figure> = passage.figures.iter().filter(|figure| overlap(range, &figure.span)).collect();
    let agree = |figure: &Figure| Judgement::from(agree_where_it_stands(passage, range, figure, held));
    let in_passage =
        around.iter().map(|figure| agree(figure)).find(|judgement| *judgement != Judgement::Agrees);
    let in_passage = match in_passage {
        None if !around.is_empty() => return Judgement::Agrees,
        None => Judgement::NoFigure,
        Some(judgement) => judgement,
    };
    if in_passage.is_off() && around.iter().any(|figure| takes_in_more(passage, range, figure)) {
        return in_passage;
    }
    let is_inside = |figure: &&Figure| range.start <= figure.span.start && figure.span.end <= range.end;
    let is_rate = |unit: &Unit| unit.per_time().is_some();
    // Of a fact that is per a time, the words beside a time of the text's own say nothing by themselves.
    let says_rate = is_rate(&held.quantity.unit) && around.iter().any(|it| is_rate(&it.quantity.unit));
    if !around.is_empty() && (says_rate || around.iter().all(is_inside)) {
        return in_passage;
    }
    let alone = figures_of(passage, range).iter().map(agree).collect::<Vec<_>>();
    match alone.iter().find(|judgement| **judgement != Judgement::Agrees) {
        None if alone.is_empty() => in_passage,
        // Its other half stands outside of the link, and is printed all the same.
        None if in_passage == Judgement::DualApart => in_passage,
        None => Judgement::Agrees,
        Some(Judgement::OtherUnit) => in_passage,
        Some(judgement) => judgement.clone(),
    }
}

/// Whether the number itself goes on outside of a link, in words that no link backs: "[six feet] six inches", "between
/// 100 and [200 feet]".
fn takes_in_more(passage: &Passage, range: &Range<usize>, figure: &Figure) -> bool {
    let (start, end) = (figure.alone.start.min(figure.number.start), figure.number.end);
    let is_backed = |part: &Range<usize>| passage.backed.iter().any(|(link, _)| overlap(link, part));
    let before = start..range.start;
    let after = range.end..end;
    let says = |part: &Range<usize>| {
        part.start < part.end && passage.text[part.clone()].chars().any(char::is_alphanumeric)
    };
    [before, after].iter().any(|part| says(part) && !is_backed(part))
}

/// Whether the words of a range by themselves say what is held.
pub fn says_by_itself(passage: &Passage, range: &Range<usize>, held: &Held) -> bool {
    let alone = passage.language.read(&passage.text[range.clone()]);
    !alone.is_empty() && alone.iter().all(|figure| quantity::agree(figure, held) == Agreement::Agrees)
}

/// Whether the same fact stands before a range of its passage in its own unit, as a link or a figure: what is said
/// behind it in another unit gives an idea of what was just stated.
fn stands_beside(passage: &Passage, range: &Range<usize>, held: &Held) -> bool {
    let own = passage.backed.iter().find(|(at, _)| overlap(at, range)).map(|(_, own)| &own.fact);
    let mut links = passage.backed.iter().filter(|(at, _)| at.end <= range.start);
    let is_linked = links.any(|(_, other)| Some(&other.fact) == own && other.unit.is_none());
    let mut figures = passage.figures.iter().filter(|other| other.span.end <= range.start);
    is_linked
        || figures.any(|other| {
            other.quantity.unit == held.quantity.unit && quantity::agree(other, held) == Agreement::Agrees
        })
}

/// A bound may be rounded to the nearest in another unit where it stands just before `range` in its own, and where the
/// words do not state it as a bound again.
pub(super) fn agree_where_it_stands(
    passage: &Passage,
    range: &Range<usize>,
    figure: &Figure,
    held: &Held,
) -> Agreement {
    let may_be_nearest = figure.quantity.unit != held.quantity.unit && figure.limit.is_none();
    match may_be_nearest && stands_beside(passage, range, held) {
        true => quantity::agree_beside(figure, held),
        false => quantity::agree(figure, held),
    }
}

/// Words that say what a fact does, for those of a range that do not, in the writer's form: put in place
/// they agree.
///
/// # Errors
/// A sentence that says why there are none by rule.
pub fn put_right(passage: &Passage, range: &Range<usize>, held: &Held) -> Result<String, String> {
    let now = passage.language.restate_in(&passage.text, range, held)?;
    let (read, place) = passage.with_words(range, &now);
    match against_its_fact(&read, &place, held) {
        Judgement::Agrees => Ok(now),
        _ => Err("What stands around the link has to be changed with it.".into()),
    }
}

impl Judgement {
    /// Whether it is another figure than the fact's, and not something that cannot be held against it.
    pub fn is_off(&self) -> bool {
        matches!(self, Self::Off { .. } | Self::TooFine { .. } | Self::LimitTurned | Self::DualApart)
    }

    /// What it expects, in the words of a language.
    pub fn put_into(self, language: &Language) -> Self {
        match self {
            Self::Off { expected } => Self::Off { expected: language.put(&expected) },
            Self::TooFine { expected } => Self::TooFine { expected: language.put(&expected) },
            other => other,
        }
    }
}

/// The figures of a link's words by themselves, with hedge, limit and unit of the figure around them.
pub(super) fn figures_of(passage: &Passage, range: &Range<usize>) -> Vec<Figure> {
    let around = passage.figures.iter().find(|figure| overlap(range, &figure.span));
    let read = passage.language.read(&passage.text[range.clone()]);
    let mut figures: Vec<Figure> = read.iter().map(|figure| figure.clone().further_on(range.start)).collect();
    if let ([figure], Some(around)) = (&mut figures[..], around) {
        figure.hedge = figure.hedge.or(around.hedge);
        figure.limit = figure.limit.or(around.limit);
        if figure.quantity.unit == quantity::Unit::default() {
            figure.quantity.unit = around.quantity.unit.clone();
        }
    }
    figures
}

/// How figures stand apart from the series that they are quoted from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Apart {
    /// The columns that have a unit of their kind.
    pub columns: Vec<String>,
    /// Each stands in the series, but no row has them all.
    pub rows_only: bool,
    /// The cell that was most likely meant.
    pub nearest: Option<String>,
}

/// Holds the figures of a link against its series.
pub fn in_series(passage: &Passage, range: &Range<usize>, series: &Series, language: &Language) -> Judgement {
    let figures = figures_of(passage, range);
    if figures.is_empty() {
        return Judgement::NoFigure;
    }
    let Some(table) = Table::read(series, language) else { return Judgement::Exempt };
    if table.holds(&figures) {
        return Judgement::Agrees;
    }
    Judgement::NotInSeries(Apart {
        columns: table.columns(&figures),
        rows_only: table.holds_each(&figures),
        nearest: table.nearest(&figures),
    })
}

/// Whether two ranges share a byte.
pub fn overlap(a: &Range<usize>, b: &Range<usize>) -> bool {
    a.start < b.end && b.start < a.end
}
