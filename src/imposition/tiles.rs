//! Tiles: a large sheet printed on small ones that are cut, overlapped and joined.
//!
//! The first tile of a row shows all that its sheet can print; each further one adds that less the overlap
//! (common practice; checked against a table from outside).

use crate::quantity::Exact;
use num_traits::{One, Signed, ToPrimitive, Zero};

/// How a sheet is cut in one direction.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cuts {
    pub count: usize,
    /// How much of the whole a tile shows.
    pub shown: Exact,
    /// From where one tile begins to where the next does.
    pub stride: Exact,
}

/// Cuts for a whole of this `length` on sheets of length `sheet`, of which `margin` on each side cannot be
/// printed on. Nothing where the sheets are too small for their margins and overlap.
pub fn cuts(length: &Exact, sheet: &Exact, margin: &Exact, overlap: &Exact) -> Option<Cuts> {
    let shown = sheet - margin - margin;
    let stride = &shown - overlap;
    if !stride.is_positive() || overlap.is_negative() || margin.is_negative() {
        return None;
    }
    let more = ((length - &shown) / &stride).ceil().max(Exact::zero());
    let count = (more + Exact::one()).to_integer().to_usize()?;
    Some(Cuts { count, shown, stride })
}

/// A whole cut in both directions, on sheets of this width and height.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tiling {
    pub across: Cuts,
    pub down: Cuts,
    pub width: Exact,
    pub height: Exact,
}

impl Tiling {
    pub fn count(&self) -> usize {
        self.across.count * self.down.count
    }
}

/// The sheets stand or lie, whichever takes fewer of them. Nothing where they are too small either way.
pub fn fewest(whole: &[Exact; 2], sheet: &[Exact; 2], margin: &Exact, overlap: &Exact) -> Option<Tiling> {
    let [short, long] = sheet;
    let ways = [(short, long), (long, short)].into_iter().filter_map(|(width, height)| {
        let across = cuts(&whole[0], width, margin, overlap)?;
        let down = cuts(&whole[1], height, margin, overlap)?;
        Some(Tiling { across, down, width: width.clone(), height: height.clone() })
    });
    ways.min_by_key(Tiling::count)
}

impl Cuts {
    /// Where the tile begins in the whole, counted from 0.
    pub fn begin(&self, tile: usize) -> Exact {
        &self.stride * Exact::from_integer(tile.into())
    }
}
