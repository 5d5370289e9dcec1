//! Quantities: exact numbers with units, the figures that stand in prose, and whether two agree.
//!
//! Text in, figures out; nothing here knows of programs, facts files or places in them. Offsets are
//! bytes of the text that was handed in. All arithmetic is on rational numbers; there is no floating
//! point between the page and the verdict.

use num_rational::BigRational;
use std::ops::Range;

/// An exact number.
pub type Exact = BigRational;

/// A quantity stated in prose.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// From the number or currency sign to the end of the unit; of a dual statement, to the end of
    /// its second half.
    pub span: Range<usize>,
    pub quantity: Quantity,
    /// The place at which the statement is rounded: 1 for `22`, 1,000,000 for `22 million`,
    /// 1/10 for `1.5`, 100 for `200` (trailing zeros of a whole number are not shown to be exact).
    pub shown_to: Exact,
    pub hedge: Option<Hedge>,
    /// Never `Limit::About`: that is a hedge.
    pub limit: Option<Limit>,
    /// The second half of `200 ft (60 m)`.
    pub dual: Option<Box<Figure>>,
}

/// One value or a range, with its unit.
#[derive(Clone, Debug, PartialEq)]
pub struct Quantity {
    pub amount: Amount,
    pub unit: Unit,
}

#[derive(Clone, Debug, PartialEq)]
pub enum Amount {
    One(Exact),
    /// Low first.
    Range(Exact, Exact),
}

/// A product of powers of units, such as pound per day. Nouns that are counted are units too.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Unit {/* for the room's owner */}

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

/// Which way a figure binds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Limit {
    AtMost,
    AtLeast,
    About,
    Exactly,
}

/// A fact's quantity as statements are held against it.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    pub quantity: Quantity,
    /// The finest place at which it is known; a statement may not show more. `None`: exact.
    pub known_to: Option<Exact>,
    pub limit: Option<Limit>,
}

/// What comes of holding a stated figure against a held one.
#[derive(Clone, Debug, PartialEq)]
pub enum Verdict {
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

/// Every figure in a text, in order; spans do not overlap.
pub fn read(_text: &str) -> Vec<Figure> {
    Vec::new()
}

/// The one figure that a text consists of (`at most 10 ft`): for facts' values and given answers.
/// The error is a sentence that says why it is not one figure.
pub fn read_one(_text: &str) -> Result<Figure, String> {
    Err("not built yet".into())
}

/// Holds a stated figure against a held one.
pub fn agree(_stated: &Figure, _held: &Held) -> Verdict {
    Verdict::Agrees
}

/// Writes a held quantity for print: `about 22 million pounds a year`, `3 m`.
/// `unit` asks for another unit of the same dimension, rounded so that [`agree`] takes it.
/// The error is a sentence.
pub fn say(_held: &Held, _unit: Option<&Unit>) -> Result<String, String> {
    Err("not built yet".into())
}

/// Reads the name of a unit: `ft`, `square feet`, `lb/day`, `gallons per horse per day`.
pub fn unit(_name: &str) -> Option<Unit> {
    None
}

/// An expression over named quantities: `horses * manure-daily * 365 days`.
#[derive(Clone, Debug)]
pub struct Worked {/* for the room's owner */}

/// Why an expression cannot be worked, in a sentence, and where in its text.
#[derive(Clone, Debug, PartialEq)]
pub struct WorkError {
    pub range: Range<usize>,
    pub message: String,
}

impl Worked {
    pub fn parse(_text: &str) -> Result<Self, WorkError> {
        Ok(Self {})
    }

    /// The names it needs, each once, with where it first stands.
    pub fn names(&self) -> Vec<(String, Range<usize>)> {
        Vec::new()
    }

    /// Works it out; `named` gives the quantity of a name, which was checked to be known.
    /// What is known only to some place makes the result known only to a place.
    pub fn evaluate(&self, _named: &dyn Fn(&str) -> Held) -> Result<Held, WorkError> {
        Err(WorkError { range: 0..0, message: "not built yet".into() })
    }
}
