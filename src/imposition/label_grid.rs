//! Sheets of labels: how many in which places, exactly.
//!
//! A grid is known by size and count, `1 x 2 5/8 in, 3 by 10`; the common ones stand in
//! `label_grids.csv` beside this file (common practice by geometry, no source), each centered on its
//! sheet. Lengths are exact points: 1/72 inch, an inch being 25.4 mm exactly.

use super::paper::{Paper, points, size, whole};
use crate::quantity::Exact;
use num_traits::Zero;
use serde::Deserialize;
use std::sync::OnceLock;

/// Labels in columns and rows on a sheet of paper. All lengths in points.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LabelGrid {
    /// By size and count, as in print.
    pub name: String,
    pub sheet: Paper,
    pub columns: u32,
    pub rows: u32,
    pub width: Exact,
    pub height: Exact,
    pub gap_x: Exact,
    pub gap_y: Exact,
    /// From the edges of the sheet to the first label.
    pub left: Exact,
    pub top: Exact,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
struct Row {
    name: String,
    sheet: String,
    columns: u32,
    rows: u32,
    width: String,
    height: String,
    gap_x: String,
    gap_y: String,
}

impl LabelGrid {
    /// The grids that are built in, those for letter sheets first.
    pub fn built_in() -> &'static [Self] {
        static GRIDS: OnceLock<Vec<LabelGrid>> = OnceLock::new();
        GRIDS.get_or_init(|| {
            let rows =
                csv::Reader::from_reader(include_bytes!("label_grids.csv").as_slice()).into_deserialize();
            rows.map(|row: Result<Row, _>| Self::of_row(row.expect("a test reads the built-in table")))
                .collect()
        })
    }

    fn of_row(row: Row) -> Self {
        let length = |text: &str| points(text).expect("a test reads the built-in table");
        let mut grid = Self {
            name: row.name,
            sheet: if row.sheet == "a4" { Paper::A4 } else { Paper::Letter },
            columns: row.columns,
            rows: row.rows,
            width: length(&row.width),
            height: length(&row.height),
            gap_x: length(&row.gap_x),
            gap_y: length(&row.gap_y),
            left: Exact::zero(),
            top: Exact::zero(),
        };
        grid.center();
        grid
    }

    /// By its name; `×` for x and `⅝` for 5/8 do as well, and spaces do not count.
    pub fn find(name: &str) -> Option<&'static Self> {
        let wanted = plain(name);
        Self::built_in().iter().find(|grid| plain(&grid.name) == wanted)
    }

    /// The grid that is used where the program names none.
    pub fn usual(paper: Paper) -> &'static Self {
        let name = match paper {
            Paper::Letter => "1 x 2 5/8 in, 3 by 10",
            Paper::A4 => "63.5 x 38.1 mm, 3 by 7",
        };
        Self::find(name).expect("the usual grids are built in")
    }

    /// Gives equal margins on either side and above and below.
    pub fn center(&mut self) {
        let (width, height) = size(self.sheet);
        self.left = (width - self.width_of_all()) / whole(2);
        self.top = (height - self.height_of_all()) / whole(2);
    }

    fn width_of_all(&self) -> Exact {
        &self.width * whole(self.columns) + &self.gap_x * whole(self.columns - 1)
    }

    fn height_of_all(&self) -> Exact {
        &self.height * whole(self.rows) + &self.gap_y * whole(self.rows - 1)
    }

    /// Whether all labels lie on the sheet.
    pub fn fits(&self) -> bool {
        let (width, height) = size(self.sheet);
        let zero = Exact::zero();
        self.left >= zero
            && self.top >= zero
            && &self.left + self.width_of_all() <= width
            && &self.top + self.height_of_all() <= height
    }

    pub fn on_sheet(&self) -> usize {
        self.columns as usize * self.rows as usize
    }

    /// The upper left corner of a label from the sheet's upper left corner, by its place counted from
    /// 0 along the rows from the top left.
    pub fn corner(&self, place: usize) -> (Exact, Exact) {
        let columns = self.columns as usize;
        let (column, row) = ((place % columns) as u32, (place / columns) as u32);
        (
            &self.left + (&self.width + &self.gap_x) * whole(column),
            &self.top + (&self.height + &self.gap_y) * whole(row),
        )
    }

    /// Sheet and place, both from 0, of the label counted from 0, where the first one goes to place
    /// `start`, from 1.
    pub fn at(&self, label: usize, start: usize) -> (usize, usize) {
        let place = label + start.saturating_sub(1);
        (place / self.on_sheet(), place % self.on_sheet())
    }
}

fn plain(name: &str) -> String {
    let mut plain = String::new();
    for letter in name.to_lowercase().replace('×', "x").chars().filter(|letter| !letter.is_whitespace()) {
        match letter {
            '½' => plain += "1/2",
            '⅓' => plain += "1/3",
            '⅜' => plain += "3/8",
            '⅝' => plain += "5/8",
            '¼' => plain += "1/4",
            '¾' => plain += "3/4",
            letter => plain.push(letter),
        }
    }
    plain
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::imposition::two_lengths;
    use num_traits::ToPrimitive;

    /// Geometry worked out outside the project, with its origin in the folder's README.
    fn reference(table: &str) -> Vec<csv::StringRecord> {
        csv::Reader::from_reader(table.as_bytes()).records().map(Result::unwrap).collect()
    }

    fn near(points: &Exact, written: &str, unit: &str, tolerance: f64) -> bool {
        let per_point = if unit == "mm" { 25.4 / 72.0 } else { 1.0 / 72.0 };
        (points.to_f64().unwrap() * per_point - written.parse::<f64>().unwrap()).abs() <= tolerance
    }

    /// The built-in grid for a row of the reference.
    fn grid_of(row: &csv::StringRecord) -> &'static LabelGrid {
        let number = |at: usize| row[at].parse::<u32>().unwrap();
        let same = |grid: &&LabelGrid| {
            (grid.columns, grid.rows) == (number(7), number(8))
                && near(&grid.width, &row[5], &row[2], 0.001)
                && near(&grid.height, &row[6], &row[2], 0.001)
        };
        LabelGrid::built_in().iter().find(same).unwrap_or_else(|| panic!("no grid for {}", &row[0]))
    }

    const GRIDS: &str = include_str!("../../tests/reference/print/label_grids.csv");

    #[test]
    fn the_built_in_grids_are_those_of_the_reference() {
        let rows = reference(GRIDS);
        assert_eq!(rows.len(), LabelGrid::built_in().len());
        for row in rows {
            let (grid, unit) = (grid_of(&row), &row[2]);
            assert!(grid.fits(), "{}", &row[0]);
            for (length, at) in [(&grid.gap_x, 9), (&grid.gap_y, 10), (&grid.left, 11), (&grid.top, 12)] {
                assert!(near(length, &row[at], unit, 0.001), "{}: {}", &row[0], &row[at]);
            }
            assert_eq!(grid.on_sheet().to_string(), row[13], "{}", &row[0]);
        }
    }

    #[test]
    fn corners_are_those_of_the_reference() {
        let grids = reference(GRIDS);
        let positions = reference(include_str!("../../tests/reference/print/label_positions.csv"));
        assert!(positions.len() > 90);
        for row in positions {
            let grid = grid_of(grids.iter().find(|grid| grid[0] == row[1]).unwrap());
            let (x, y) = grid.corner(row[2].parse::<usize>().unwrap() - 1);
            assert!(near(&x, &row[5], &row[7], 0.001) && near(&y, &row[6], &row[7], 0.001), "{}", &row[0]);
        }
    }

    #[test]
    fn a_half_used_sheet_is_used_up_as_the_reference_says() {
        let grids = reference(GRIDS);
        for row in reference(include_str!("../../tests/reference/print/label_start.csv")) {
            let grid = grid_of(grids.iter().find(|grid| grid[0] == row[1]).unwrap());
            let number = |at: usize| row[at].parse::<usize>().unwrap();
            let (sheet, place) = grid.at(number(2) - 1, number(3));
            assert_eq!((sheet + 1, place + 1), (number(4), number(5)), "{}", &row[0]);
        }
    }

    #[test]
    fn a_grid_is_found_by_size_and_count() {
        assert!(LabelGrid::find("1 × 2⅝ in, 3 by 10").is_some());
        assert!(LabelGrid::find("1 x 2 5/8 in").is_none());
        let (width, height) = two_lengths("9 1/2 × 4 1/8 in").unwrap();
        assert_eq!((width.to_f64(), height.to_f64()), (Some(684.0), Some(297.0)));
        assert!(two_lengths("big").is_none() && points("-2 in").is_none() && points("6 oz").is_none());
    }
}
