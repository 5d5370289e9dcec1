//! Quantities: exact numbers with units, the figures that stand in prose, and whether two agree.
//!
//! Text in, figures out; nothing here knows of programs, facts files or places in them. SourceMap are
//! bytes of the text that was handed in. All arithmetic is on rational numbers; there is no floating
//! point between the page and the verdict.
//!
//! ```
//! use packstring::quantity::{Agreement, Held, Limit, agree, read};
//!
//! let text = "Lead with no more than 6 feet of rope.";
//! let figure = &read(text)[0];
//! assert_eq!(&text[figure.span.clone()], "6 feet");
//! assert_eq!(figure.limit, Some(Limit::AtMost));
//!
//! let rule = Held::stated(&read("at most 2 yards")[0], None);
//! assert_eq!(agree(figure, &rule), Agreement::Agrees);
//! assert_ne!(agree(&read("no more than 8 feet")[0], &rule), Agreement::Agrees);
//! ```

mod agree;
mod asides;
mod dates;
mod evaluate;
mod expression;
mod forms;
mod fractions;
mod hedges;
mod joining;
mod language;
mod measure;
mod noun;
mod number;
mod numeral;
mod own;
mod reader;
mod restate;
mod say;
mod seen;
mod tokens;
mod unit;
mod words;

pub use agree::{agree, agree_beside, halves_agree, is_within_parts, lies_within, passes};
pub use dates::month;
pub use evaluate::MOST_BITS;
pub use expression::{MOST_PARTS, WorkError, Worked};
pub use fractions::fractions;
pub use language::{Language, Phrasebook};
pub use number::{Half, plain, round_to, rounds_to};
pub use own::OwnUnits;
pub use reader::read;
pub use restate::{other_article, restate, restate_in};
pub use say::{bound, finer_time, say, say_plain};
pub use unit::{Atom, Unit, unit_names};

use num_rational::BigRational;
use num_traits::{One, Zero};
use std::ops::Range;
use std::sync::Arc;

/// An exact number.
pub type Exact = BigRational;

/// A quantity stated in prose.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// From the number or currency sign to the end of the unit; of a dual statement, to the end of
    /// its second half.
    pub span: Range<usize>,
    /// The span without the second half of a dual statement.
    pub alone: Range<usize>,
    /// The number's own words (of a range, both numbers): what a restatement changes.
    pub number: Range<usize>,
    /// The span with the words that loosen or bind it: `no more than 6 feet`.
    pub reach: Range<usize>,
    pub quantity: Quantity,
    /// The place at which the statement is rounded: 1 for `22`, 1,000,000 for `22 million`,
    /// 1/10 for `1.5`, 100 for `200` (trailing zeros of a whole number are not shown to be exact).
    pub shown_to: Exact,
    /// The place of the last digit that is written: 1 for `22` and for `200`, 1,000,000 for
    /// `20 million`, 1/2 for `two and a half`. Zero, here and in `shown_to`: exact.
    pub written_to: Exact,
    pub hedge: Option<Hedge>,
    /// Never `Limit::About`: that is a hedge.
    pub limit: Option<Limit>,
    /// One or the other, as "5 or 10 gallons" has it, and not what lies between.
    pub either: bool,
    /// Whether the words around it deny it, or bind it both ways: "need not be at least 200 feet", "six feet is too
    /// short", "at most six feet or more".
    pub denied: bool,
    /// The second half of `200 ft (60 m)`.
    pub dual: Option<Box<Figure>>,
}

impl Figure {
    /// A held quantity as if it stood in prose, to the place to which it is known.
    pub fn stating(held: &Held) -> Self {
        let place = held.known_to.clone().unwrap_or_else(Exact::zero);
        Self {
            span: 0..0,
            alone: 0..0,
            number: 0..0,
            reach: 0..0,
            quantity: held.quantity.clone(),
            shown_to: place.clone(),
            written_to: place,
            hedge: None,
            limit: held.limit.filter(|limit| *limit != Limit::About),
            either: false,
            denied: false,
            dual: None,
        }
    }

    /// The figure, read of a part of a text, with its places counted from the start of the whole text, `by` bytes
    /// further on.
    pub(crate) fn further_on(mut self, by: usize) -> Self {
        for place in [&mut self.span, &mut self.alone, &mut self.number, &mut self.reach] {
            *place = place.start + by..place.end + by;
        }
        self.dual = self.dual.map(|dual| Box::new(dual.further_on(by)));
        self
    }
}

/// One value or a range, with its unit.
#[derive(Clone, Debug, PartialEq)]
pub struct Quantity {
    pub amount: Amount,
    pub unit: Unit,
}

/// One value, or all from one to another.
#[derive(Clone, Debug, PartialEq)]
pub enum Amount {
    One(Exact),
    /// Low first.
    Range(Exact, Exact),
}

/// Words that loosen a figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hedge {
    /// about, around, roughly, some, nearly as much as
    About,
    /// nearly, almost, just under: the truth is a little less
    Nearly,
    /// over, more than: the truth is a little more
    Over,
    /// under, less than, fewer than
    Under,
}

impl Hedge {
    /// The limit that it comes to where it binds: more than is at least. None of what only comes near.
    pub(crate) fn limit(self) -> Option<Limit> {
        match self {
            Self::Over => Some(Limit::AtLeast),
            Self::Under => Some(Limit::AtMost),
            Self::About | Self::Nearly => None,
        }
    }
}

/// Which way a figure binds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Limit {
    AtMost,
    AtLeast,
    About,
    Exactly,
}

impl Limit {
    /// The other way.
    pub(crate) fn turned(self) -> Self {
        match self {
            Self::AtMost => Self::AtLeast,
            Self::AtLeast => Self::AtMost,
            other => other,
        }
    }
}

/// A fact's quantity as statements are held against it.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    pub quantity: Quantity,
    /// The finest place at which it is known; a statement may not show more. `None`: exact.
    pub known_to: Option<Exact>,
    pub limit: Option<Limit>,
    /// For a total worked over a span of time (`* 365 days`): that span in seconds. Prose may then
    /// state the total as a rate for the span (`a year`).
    pub over: Option<Exact>,
    /// Which way its own words lead where it does not bind: over of "over 102.5 °F". A statement that leads the other
    /// way turns it round.
    pub leans: Option<Hedge>,
}

impl Held {
    /// A quantity that is known exactly.
    pub fn new(quantity: Quantity, limit: Option<Limit>) -> Self {
        Self { quantity, known_to: None, limit, over: None, leans: None }
    }

    /// The quantity that a fact's value states, with the fact's own limit where it has one. What is
    /// stated as about so much is known to the last digit that is written.
    pub fn stated(figure: &Figure, limit: Option<Limit>) -> Self {
        let limit = limit.or(figure.limit).or(figure.hedge.map(|_| Limit::About));
        let known_to = (limit == Some(Limit::About)).then(|| figure.written_to.clone());
        let leans = figure.hedge.filter(|hedge| matches!(hedge, Hedge::Over | Hedge::Under));
        Self { quantity: figure.quantity.clone(), known_to, limit, over: None, leans }
    }
}

/// What comes of holding a stated figure against a held one.
#[derive(Clone, Debug, PartialEq)]
pub enum Agreement {
    Agrees,
    /// Another value. `expected` is what the statement would have to be, in its own unit.
    Off {
        expected: String,
    },
    /// `at least` for `at most`, or the other way.
    LimitTurned,
    /// A unit of another dimension, or a figure without its unit.
    OtherUnit,
    /// Rounded finer than the fact is known.
    TooFine {
        expected: String,
    },
    /// The two halves of a dual statement are not the same quantity.
    DualDisagrees,
}

/// The one figure that a text consists of (`at most 10 ft`): for facts' values and given answers.
/// The error is a sentence that says why it is not one figure.
pub fn read_one(text: &str) -> Result<Figure, String> {
    read_one_by(text, &own::NONE)
}

/// The same in a program that has units of its own.
fn read_one_by(text: &str, units: &Arc<OwnUnits>) -> Result<Figure, String> {
    let mut figures = reader::read_by(text, units);
    let Some(figure) = figures.pop() else {
        return Err(if text.trim().is_empty() {
            "It is empty; a number with its unit belongs here, such as “10 ft”.".into()
        } else {
            format!("There is no figure in “{}”; write a number with its unit, such as “10 ft”.", text.trim())
        });
    };
    if let Some(first) = figures.first() {
        return Err(format!(
            "There is more than one figure in it: “{}” and “{}”.",
            &text[first.span.clone()],
            &text[figure.span.clone()]
        ));
    }
    let article = |word: &str| ["", "a", "an", "the"].contains(&word.trim().to_lowercase().as_str());
    let (before, after) = (&text[..figure.reach.start], &text[figure.reach.end.max(figure.span.end)..]);
    let left = [before, after].map(|rest| rest.trim().trim_matches(['.', ',', ';', ':', '!']).trim());
    match left.iter().find(|rest| !article(rest)) {
        Some(rest) if figure.quantity.unit.is_none() && *rest == left[1] && is_unit_like(rest) => Err(
            format!("packstring does not know the unit “{rest}”; define it under [units], or write another."),
        ),
        Some(rest) => Err(format!(
            "There is extra text, “{rest}”, beside “{}”. Write only the figure.",
            &text[figure.span.clone()]
        )),
        None => Ok(figure),
    }
}

/// The one figure of a text in whatever language that figures are read in, English first: for measures that stand
/// in files of settings, which have no language of their own.
///
/// # Errors
/// Why it is none in English.
pub fn read_one_anywhere(text: &str) -> Result<Figure, String> {
    let is_measure = |figure: &Figure| figure.quantity.unit.thing().is_none();
    let english = read_one(text);
    if english.as_ref().is_ok_and(is_measure) {
        return english;
    }
    let others = Language::all().into_iter().filter(|tag| *tag != "en");
    let mut read = others.filter_map(|tag| Language::of(tag, &[]).read_one(text).ok()).filter(is_measure);
    read.next().map_or(english, Ok)
}

/// Whether what stands behind a bare number can only be meant as its unit: one word, or a symbol with what it is per.
fn is_unit_like(rest: &str) -> bool {
    !rest.contains(char::is_whitespace) && rest.starts_with(char::is_alphabetic)
}

/// Whether a text states figures and each agrees with a held quantity: for answers to choose from.
pub fn states_only(text: &str, held: &Held) -> bool {
    let figures = read(text);
    !figures.is_empty() && figures.iter().all(|figure| agree(figure, held) == Agreement::Agrees)
}

/// Reads the name of a unit: `ft`, `square feet`, `lb/day`, `gallons per horse per day`.
pub fn unit(name: &str) -> Option<Unit> {
    unit_by(name, &own::NONE)
}

/// The same in a program that has units of its own.
fn unit_by(name: &str, units: &Arc<OwnUnits>) -> Option<Unit> {
    let text = tokens::Text::new(name.trim(), units);
    let (unit, next) = match forms::simple(&text, 0, forms::Beside::NAME) {
        Some((atom, next)) => (Unit::of(atom), next),
        None => measure::noun_unit(&text, 0)?,
    };
    let rates = measure::rates(&text, unit, next);
    (rates.next == text.tokens.len() && rates.each.is_one()).then_some(rates.unit)
}
