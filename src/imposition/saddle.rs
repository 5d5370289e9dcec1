//! Saddle stitch: sheets printed on both sides, laid into each other, folded once and stapled through the
//! fold.
//!
//! Sheet 1 is the outer one. Its front carries the cover. The back is what is seen after the sheet is
//! turned on its short edge. Of N pages, a multiple of four, sheet s carries N−2(s−1) and 2s−1 in front and
//! 2s and N−2s+1 behind; each pair adds up to N+1 (common practice; checked against tables from outside).

use super::Reading;
use crate::quantity::Exact;

/// One side of a sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Face {
    /// From 1, the outermost first.
    pub sheet: usize,
    pub side: Side,
    /// Pages from 1; nothing where the page is blank.
    pub left: Option<usize>,
    pub right: Option<usize>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    Front,
    Back,
}

/// The sides in the order in which they are printed. Blank pages are added at the end up to a multiple of
/// four.
pub fn faces(pages: usize, reading: Reading) -> Vec<Face> {
    let all = pages.next_multiple_of(4);
    let page = |number: usize| Some(number).filter(|number| *number <= pages);
    let face = |sheet, side, low: usize| {
        let (low, high) = (page(low), page(all + 1 - low));
        // Bound at the left, a front has its lower page at the right and a back at the left.
        let (left, right) = match (side, reading) {
            (Side::Front, Reading::LeftToRight) | (Side::Back, Reading::RightToLeft) => (high, low),
            (Side::Back, Reading::LeftToRight) | (Side::Front, Reading::RightToLeft) => (low, high),
        };
        Face { sheet, side, left, right }
    };
    (1..=all / 4)
        .flat_map(|sheet| [face(sheet, Side::Front, 2 * sheet - 1), face(sheet, Side::Back, 2 * sheet)])
        .collect()
}

/// How far the pages of a sheet (from 1, the outermost) are moved toward the fold.
///
/// Folded into each other, each sheet stands out by one more thickness of paper than the one around it, and
/// what stands out is trimmed off. Moved by as much, the pages keep an even margin (common practice, no source).
pub fn creep(sheet: usize, thickness: &Exact) -> Exact {
    thickness * Exact::from_integer(sheet.saturating_sub(1).into())
}
