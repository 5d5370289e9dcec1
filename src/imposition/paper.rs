//! Sheets of paper and lengths on them, in exact points: 1/72 inch, an inch being 25.4 mm exactly.

use crate::quantity::{self, Amount, Exact};
use num_bigint::BigInt;
use num_traits::Zero;

/// The sheets that office printers take.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Paper {
    Letter,
    A4,
}

/// Width and height of a sheet of paper in points (ISO 216, ASME Y14.1).
pub fn size(paper: Paper) -> (Exact, Exact) {
    let (width, height) = match paper {
        Paper::Letter => ("8.5 in", "11 in"),
        Paper::A4 => ("210 mm", "297 mm"),
    };
    (points(width).expect("a length"), points(height).expect("a length"))
}

/// A length as written, `2 5/8 in` or `63.5 mm`, in points; nothing where it is none, or negative.
pub fn points(text: &str) -> Option<Exact> {
    let figure = quantity::read_one(text).ok()?;
    let Amount::One(value) = &figure.quantity.amount else { return None };
    let inches = figure.quantity.unit.convert(value, &quantity::unit("in")?)?;
    (inches >= Exact::zero()).then(|| inches * whole(72))
}

/// Width and height as written, `4 1/8 x 9 1/2 in`, in points.
pub fn two_lengths(text: &str) -> Option<(Exact, Exact)> {
    let text = text.replace('×', "x");
    let (first, second) = text.split_once('x')?;
    let unit = second.trim().rsplit(' ').next()?;
    let unit = Some(unit).filter(|unit| unit.chars().all(char::is_alphabetic))?;
    Some((points(&format!("{} {unit}", first.trim()))?, points(second.trim())?))
}

pub(super) fn whole(value: u32) -> Exact {
    Exact::from_integer(BigInt::from(value))
}
