//! `[wall-chart]`: how large the wall chart is, and how it is cut to come out of an ordinary printer.

use crate::finding::rules;
use crate::imposition::{Paper, points, size, two_lengths};
use crate::program::form::Form;
use crate::program::measures::unfit;
use crate::quantity::Exact;

/// All lengths in points.
#[derive(Clone, Debug)]
pub struct WallChart {
    /// Width and height; nothing for one sheet of the program's paper.
    pub size: Option<(Exact, Exact)>,
    /// By how much one tile shows again what the one before it shows.
    pub overlap: Exact,
}

/// Sizes by name, standing (ISO 216; ASME Y14.1 for letter), besides any two lengths.
const SIZES: [(&str, &str); 7] = [
    ("letter", "8.5 x 11 in"),
    ("tabloid", "11 x 17 in"),
    ("A4", "210 x 297 mm"),
    ("A3", "297 x 420 mm"),
    ("A2", "420 x 594 mm"),
    ("A1", "594 x 841 mm"),
    ("A0", "841 x 1189 mm"),
];

/// A side is at least so long: half a sheet. And at most so: what no printer of a copy shop is wider than.
const SHORTEST: &str = "5 in";
const LONGEST: &str = "60 in";

const OVERLAP: &str = "0.5 in";
/// More would leave a tile too little of its own.
const MOST_OVERLAP: &str = "2 in";

impl Default for WallChart {
    fn default() -> Self {
        Self { size: None, overlap: known(OVERLAP) }
    }
}

impl WallChart {
    pub(super) fn read(mut table: Form) -> Self {
        let usual = Self::default();
        let chart =
            Self { size: chart_size(&mut table), overlap: overlap(&mut table).unwrap_or(usual.overlap) };
        table.finish();
        chart
    }

    /// Width and height where the program's paper is `paper`.
    pub fn size_on(&self, paper: Paper) -> (Exact, Exact) {
        self.size.clone().unwrap_or_else(|| size(paper))
    }
}

fn chart_size(table: &mut Form) -> Option<(Exact, Exact)> {
    let written = table.text("size")?;
    let name = written.text.trim();
    let named = SIZES.iter().find(|(known, _)| known.eq_ignore_ascii_case(name));
    let sides = two_lengths(named.map_or(name, |(_, sides)| sides));
    let fits = |side: &Exact| *side >= known(SHORTEST) && *side <= known(LONGEST);
    let sides = sides.filter(|(width, height)| fits(width) && fits(height));
    if sides.is_none() {
        let names: Vec<String> = SIZES.iter().map(|(name, _)| format!("\"{name}\"")).collect();
        let message = "“size” is not the size of a wall chart.";
        let mend = format!(
            "Write width and height, each from {SHORTEST} to {LONGEST}, such as \"24 x 36 in\", or one of {}.",
            names.join(", ")
        );
        table.tell(&rules::VALUE_UNFIT, written.place, message, mend);
    }
    sides
}

fn overlap(table: &mut Form) -> Option<Exact> {
    let written = table.text("overlap")?;
    let overlap = points(&written.text).filter(|overlap| *overlap <= known(MOST_OVERLAP));
    if overlap.is_none() {
        let message = unfit("“overlap” is not a length by which tiles of paper can overlap.", &written.text);
        let mend = format!("Write a length up to {MOST_OVERLAP}, such as \"{OVERLAP}\" or \"10 mm\".");
        table.tell(&rules::VALUE_UNFIT, written.place, message, mend);
    }
    overlap
}

fn known(length: &str) -> Exact {
    points(length).expect("a length of this file")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_length_of_this_file_is_one() {
        WallChart::default();
        for (name, sides) in SIZES {
            assert!(two_lengths(sides).is_some(), "{name}");
        }
        assert!([SHORTEST, LONGEST, MOST_OVERLAP].map(points).iter().all(Option::is_some));
    }
}
