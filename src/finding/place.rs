//! Places: where in which input file something stands.
//!
//! A [`Place`] is made once, when a file is read, and carried unchanged to whatever is said about
//! it. Line and column are worked out only when somebody is told, by [`Sources::line_column`].

use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::fmt;
use std::ops::Range;
use std::sync::{Arc, OnceLock};

/// A file of the program folder, by its path relative to that folder, with `/` between the parts.
pub type FileName = Arc<str>;

/// A range of bytes in one file of the program folder.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Place {
    pub file: FileName,
    pub range: Range<usize>,
}

/// By file, then in the order of the file.
impl Ord for Place {
    fn cmp(&self, other: &Self) -> Ordering {
        fn key(place: &Place) -> (&str, usize, usize) {
            (&place.file, place.range.start, place.range.end)
        }
        key(self).cmp(&key(other))
    }
}

impl PartialOrd for Place {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl From<&Place> for Place {
    fn from(place: &Place) -> Self {
        place.clone()
    }
}

impl Place {
    pub fn new(file: &FileName, range: Range<usize>) -> Self {
        Self { file: file.clone(), range }
    }

    /// The start of a file: for what concerns it as a whole, or a file that is not there.
    pub fn whole(file: &str) -> Self {
        Self { file: file.into(), range: 0..0 }
    }
}

/// The text of every file that was read, so that places can be turned into lines and words.
#[derive(Clone, Debug, Default)]
pub struct Sources {
    texts: BTreeMap<FileName, Text>,
    tables: BTreeMap<FileName, Arc<dyn Grid>>,
}

/// A table as who reads it knows its cells: people have them before their eyes in a spreadsheet, where a line and a
/// column of its text help nobody.
pub trait Grid: fmt::Debug + Send + Sync {
    /// The cell that a byte of the table's text lies in.
    fn cell(&self, at: usize) -> Option<GridCell>;
}

/// A cell by its row and the heading of its column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GridCell {
    /// From 1, with the headings, as a spreadsheet counts.
    pub row: usize,
    /// `None`: of the headings themselves, or of a column without one.
    pub heading: Option<String>,
}

#[derive(Clone, Debug)]
struct Text {
    text: Arc<str>,
    /// Where each line starts. Worked out once somebody asks, for a roster may have very many.
    lines: OnceLock<Arc<[usize]>>,
}

impl Text {
    fn lines(&self) -> &[usize] {
        self.lines.get_or_init(|| line_starts(&self.text))
    }
}

/// A line ends with a line feed, a carriage return or both.
fn line_starts(text: &str) -> Arc<[usize]> {
    let bytes = text.as_bytes();
    let ends = bytes.iter().enumerate().filter(|(at, byte)| match byte {
        b'\n' => true,
        b'\r' => bytes.get(at + 1) != Some(&b'\n'),
        _ => false,
    });
    std::iter::once(0).chain(ends.map(|(at, _)| at + 1)).collect()
}

/// Whether a file is a workbook. Its text has one line a row, with tabs between the cells.
fn is_workbook(file: &str) -> bool {
    file.ends_with(".xlsx") || file.ends_with(".ods")
}

/// A position as an editor counts: line and column from 1, columns in Unicode scalars.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct LineColumn {
    pub line: usize,
    pub column: usize,
}

impl Sources {
    pub fn add(&mut self, file: FileName, text: Arc<str>) {
        self.texts.insert(file, Text { text, lines: OnceLock::new() });
    }

    /// Forgets a file.
    pub fn take_out(&mut self, file: &str) {
        self.texts.remove(file);
    }

    pub fn text(&self, file: &str) -> Option<&Arc<str>> {
        self.texts.get(file).map(|text| &text.text)
    }

    pub fn files(&self) -> impl Iterator<Item = (&FileName, &Arc<str>)> {
        self.texts.iter().map(|(file, text)| (file, &text.text))
    }

    /// Where `place` starts. A file that was not read gives line 1, column 1.
    pub fn line_column(&self, place: &Place) -> LineColumn {
        let Some(text) = self.texts.get(&place.file) else {
            return LineColumn { line: 1, column: 1 };
        };
        let start = floor_char_boundary(&text.text, place.range.start);
        let line = text.lines().partition_point(|line| *line <= start);
        let line_start = text.lines()[line - 1];
        let before = &text.text[line_start..start];
        if is_workbook(&place.file) {
            // The column as the spreadsheet counts it.
            return LineColumn { line, column: before.matches('\t').count() + 1 };
        }
        let mark = usize::from(line == 1 && before.starts_with('\u{feff}'));
        LineColumn { line, column: before.chars().count() + 1 - mark }
    }

    /// Names the cells of a table that was read.
    pub fn add_table(&mut self, file: FileName, table: Arc<dyn Grid>) {
        self.tables.insert(file, table);
    }

    /// The cell that `place` stands in, where its file is a table.
    pub fn cell(&self, place: &Place) -> Option<GridCell> {
        // What concerns the file as a whole is in no cell.
        let table = self.tables.get(&place.file).filter(|_| place.range.end > 0)?;
        table.cell(place.range.start)
    }

    /// The row that `place` stands in, as people count it: that of its cell, else its line.
    pub fn row(&self, place: &Place) -> usize {
        self.cell(place).map_or_else(|| self.line_column(place).line, |cell| cell.row)
    }

    /// The words that stand at `place`; empty where there are none.
    pub fn words(&self, place: &Place) -> &str {
        self.text(&place.file).and_then(|text| text.get(place.range.clone())).unwrap_or("")
    }
}

fn floor_char_boundary(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_letters_and_not_bytes() {
        let mut sources = Sources::default();
        let file: FileName = "a.md".into();
        sources.add(file.clone(), "one\n½ café 6 ft\n".into());
        let start = "one\n½ café ".len();
        let place = Place::new(&file, start..start + 4);
        assert_eq!(sources.line_column(&place), LineColumn { line: 2, column: 8 });
        assert_eq!(sources.words(&place), "6 ft");
    }

    #[test]
    fn a_byte_order_mark_is_no_column() {
        let mut sources = Sources::default();
        let file: FileName = "a.toml".into();
        sources.add(file.clone(), "\u{feff}key = 1".into());
        assert_eq!(sources.line_column(&Place::new(&file, 3..6)), LineColumn { line: 1, column: 1 });
    }
}
