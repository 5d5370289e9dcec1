//! `facts.toml`: the one file that says what each figure is and where it comes from.
//!
//! A [`Fact`] here is what was written, not what it is worth: values are still text, with places, and
//! become held values in [`crate::understand`].

use crate::place::Place;
use crate::quantity::Limit;
use jiff::civil::Date;

#[derive(Clone, Debug)]
pub struct Fact {
    /// The table's name: `lead-length`.
    pub name: String,
    /// Where the name stands.
    pub place: Place,
    pub stated: Stated,
    pub limit: Option<Limit>,
    /// Words that name it in prose.
    pub called: Vec<String>,
    pub wording: Option<Written>,
    pub source: Option<Written>,
    pub url: Option<String>,
    pub as_of: Option<Date>,
    pub review_by: Option<(Date, Place)>,
    pub safety: bool,
    pub note: Option<String>,
}

/// Text from the file and where it stands (inside the quotation marks).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written {
    pub text: String,
    pub place: Place,
}

/// What the fact's figure is made from.
#[derive(Clone, Debug)]
pub enum Stated {
    /// `value = "10 ft"`
    Value(Written),
    /// `worked-from = "horses * manure-daily * 365 days"`
    WorkedFrom(Written),
    Series(Series),
}

/// Rows of numbers under headings with units.
#[derive(Clone, Debug)]
pub struct Series {
    /// Headings as written: `air temperature (°F)`.
    pub columns: Vec<Written>,
    /// Each cell as its decimal text, so that no precision is lost.
    pub rows: Vec<Vec<Written>>,
    /// Whether it may be read between its rows.
    pub linear: bool,
    pub draw: Draw,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Draw {
    #[default]
    Line,
    Bars,
}
