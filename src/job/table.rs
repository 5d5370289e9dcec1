//! Tables for a spreadsheet, as a plan gives them.

use num_rational::BigRational;

/// A table for a spreadsheet.
#[derive(Clone, Debug, Default)]
pub struct Table {
    /// What its sheet is called in a workbook.
    pub name: String,
    pub headings: Vec<String>,
    pub rows: Vec<Vec<Cell>>,
}

/// A cell of a [`Table`].
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    Text(String),
    /// Exact; a workbook's own numbers are floating point, a CSV file has it with as many decimals
    /// as it needs, at most four.
    Number(BigRational),
    Date(jiff::civil::Date),
    Empty,
}

impl Table {
    pub fn new(name: &str, headings: &[&str]) -> Self {
        let headings = headings.iter().map(|&heading| heading.to_owned()).collect();
        Self { name: name.to_owned(), headings, rows: Vec::new() }
    }
}

impl Cell {
    /// Text, or nothing where there is none.
    pub fn text(text: Option<&str>) -> Self {
        text.map_or(Self::Empty, |text| Self::Text(text.to_owned()))
    }

    pub fn count(count: usize) -> Self {
        Self::Number(BigRational::from_integer(count.into()))
    }
}
