//! Figures held against a series: cells of one row, or what lies on the line between two rows where the
//! series may be read there.
//!
//! Which row is meant is not told by a link, so its figures must all stand in one. They are held against
//! every column that has a unit of their kind.

use crate::program::facts::Series;
use crate::program::series_column;
use crate::quantity::{self, Agreement, Amount, Exact, Figure, Held, Language, Quantity, Unit};
use num_traits::{One, Signed, Zero};

/// A series as numbers with units.
pub struct Table<'s> {
    series: &'s Series,
    units: Vec<Unit>,
    /// By row; a row that is not whole was told when the file was read.
    rows: Vec<Vec<Exact>>,
}

impl<'s> Table<'s> {
    /// `None` where a cell with its column's unit is no figure.
    pub fn read(series: &'s Series, language: &Language) -> Option<Self> {
        let names: Vec<String> = series.columns.iter().map(|column| series_column(&column.text).1).collect();
        let mut units = Vec::new();
        let mut rows = Vec::new();
        for row in &series.rows {
            let mut cells = Vec::new();
            for (cell, unit) in row.iter().zip(&names) {
                let figure = language.read_one_in_english(format!("{} {unit}", cell.text).trim()).ok()?;
                let Amount::One(value) = figure.quantity.amount else { return None };
                if units.len() < names.len() {
                    units.push(figure.quantity.unit);
                }
                cells.push(value);
            }
            rows.push(cells);
        }
        Some(Self { series, units, rows })
    }

    /// Whether all figures stand in one row, or on the lines between two where it may be read there.
    pub fn holds(&self, figures: &[Figure]) -> bool {
        let in_row = |row: &Vec<Exact>| figures.iter().all(|figure| self.stands_in(row, figure));
        self.rows.iter().any(in_row) || (self.series.linear && self.holds_between(figures))
    }

    /// The one figure whose place on the line tells where all the others must be.
    fn holds_between(&self, figures: &[Figure]) -> bool {
        self.rows.windows(2).any(|rows| {
            let shares = figures.iter().flat_map(|figure| self.shares(&rows[0], &rows[1], figure));
            shares.into_iter().any(|share| {
                let between = |(a, b): (&Exact, &Exact)| a + (b - a) * &share;
                let row: Vec<Exact> = rows[0].iter().zip(&rows[1]).map(between).collect();
                figures.iter().all(|figure| self.stands_in(&row, figure))
            })
        })
    }

    /// How far from one row to the next a figure stands, in each column where it stands between them.
    fn shares(&self, from: &[Exact], to: &[Exact], figure: &Figure) -> Vec<Exact> {
        let Amount::One(stated) = &figure.quantity.amount else { return Vec::new() };
        let columns = self.units.iter().zip(from.iter().zip(to));
        columns
            .filter_map(|(unit, (a, b))| {
                let value = figure.quantity.unit.convert(stated, unit)?;
                if a == b {
                    return None;
                }
                let share = (value - a) / (b - a);
                (!share.is_negative() && share <= Exact::one()).then_some(share)
            })
            .collect()
    }

    fn stands_in(&self, row: &[Exact], figure: &Figure) -> bool {
        row.iter().zip(&self.units).any(|(value, unit)| agrees(value, unit, figure))
    }

    /// Whether each figure by itself stands in the series, though not together with the others.
    pub fn holds_each(&self, figures: &[Figure]) -> bool {
        figures.iter().all(|figure| self.holds(std::slice::from_ref(figure)))
    }

    /// Whether a column has a unit of the figure's kind.
    pub fn has_kind_of(&self, figure: &Figure) -> bool {
        self.units.iter().any(|unit| figure.quantity.unit.convert(&Exact::zero(), unit).is_some())
    }

    /// The cell that is nearest to the first figure that stands nowhere: `125 °F, under “asphalt surface”`.
    pub fn nearest(&self, figures: &[Figure]) -> Option<String> {
        let lost = figures.iter().find(|figure| !self.holds(std::slice::from_ref(figure)))?;
        let Amount::One(stated) = &lost.quantity.amount else { return None };
        let mut nearest: Option<(Exact, String)> = None;
        for (row, cells) in self.rows.iter().enumerate() {
            for (column, (value, unit)) in cells.iter().zip(&self.units).enumerate() {
                let Some(there) = unit.convert(value, &lost.quantity.unit) else { continue };
                let away = (there - stated).abs();
                if nearest.as_ref().is_none_or(|(least, _)| away < *least) {
                    let (name, unit) = series_column(&self.series.columns[column].text);
                    let cell = &self.series.rows[row][column].text;
                    nearest = Some((away, format!("{}, under “{name}”", format!("{cell} {unit}").trim())));
                }
            }
        }
        nearest.map(|(_, words)| words)
    }

    /// The names of the columns that have a unit of the figures' kind.
    pub fn columns(&self, figures: &[Figure]) -> Vec<String> {
        let fits = |unit: &Unit| {
            figures.iter().any(|figure| figure.quantity.unit.convert(&Exact::zero(), unit).is_some())
        };
        let columns = self.series.columns.iter().zip(&self.units);
        columns.filter(|(_, unit)| fits(unit)).map(|(column, _)| series_column(&column.text).0).collect()
    }
}

fn agrees(value: &Exact, unit: &Unit, figure: &Figure) -> bool {
    let quantity = Quantity { amount: Amount::One(value.clone()), unit: unit.clone() };
    quantity::agree(figure, &Held::new(quantity, None)) == Agreement::Agrees
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Place;
    use crate::program::Written;
    use crate::program::facts::Draw;

    fn series(linear: bool) -> Series {
        let written = |text: &str| Written { text: text.into(), place: Place::whole("facts.toml") };
        Series {
            columns: vec![
                written("air temperature (°F)"),
                written("asphalt surface (°F)"),
                written("wait (min)"),
            ],
            rows: vec![
                ["77", "125", "60"].map(written).into(),
                ["86", "135", "30"].map(written).into(),
                ["87", "143", "10"].map(written).into(),
            ],
            linear,
            draw: Draw::Line,
        }
    }

    fn holds(text: &str, linear: bool) -> bool {
        let figures = quantity::read(text);
        assert!(!figures.is_empty(), "{text}");
        Table::read(&series(linear), &Language::default()).unwrap().holds(&figures)
    }

    #[test]
    fn what_is_quoted_stands_in_one_row() {
        for right in ["125 °F", "52 °C", "77 °F and 125 °F", "30 minutes at 86 °F", "half an hour"] {
            assert!(holds(right, false), "{right}");
        }
        for wrong in ["130 °F", "77 °F and 135 °F", "125 minutes", "150 °F", "125 feet"] {
            assert!(!holds(wrong, false), "{wrong}");
        }
    }

    #[test]
    fn between_rows_it_is_read_exactly_and_only_on_the_line() {
        // half way from 77 to 86, and from 125 to 135
        for right in ["130 °F", "81.5 °F and 130 °F", "130 °F, 45 minutes", "86.5 °F and 139 °F"] {
            assert!(holds(right, true) && !holds(right, false), "{right}");
        }
        for wrong in ["81.5 °F and 131 °F", "130 °F, 30 minutes", "150 °F", "70 °F", "5 minutes"] {
            assert!(!holds(wrong, true), "{wrong}");
        }
    }

    #[test]
    fn the_nearest_cell_is_told_with_its_column() {
        let series = series(false);
        let table = Table::read(&series, &Language::default()).unwrap();
        let nearest = |text: &str| table.nearest(&quantity::read(text));
        assert_eq!(nearest("126 °F").as_deref(), Some("125 °F, under “asphalt surface”"));
        assert_eq!(nearest("12 minutes").as_deref(), Some("10 min, under “wait”"));
        assert_eq!(nearest("12 feet"), None);
        assert_eq!(table.columns(&quantity::read("126 °F")), ["air temperature", "asphalt surface"]);
    }
}
