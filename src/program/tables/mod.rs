//! Tables: the people files as people send them, CSV in many forms or a workbook, as rows of cells with
//! their places.
//!
//! [`read`] takes bytes and gives a [`Table`], the text that its places point into, and what was odd or
//! wrong. The steps, a file each: [`encoding`] turns bytes into text, `delimiter` finds what parts the
//! cells, `records` parts them (RFC 4180, and what forms and spreadsheets make of it), `headings` finds
//! the row of headings, `oddities` says what is to be told. `workbook` gives an .xlsx or .ods file the
//! same shape: a text of one line a row, with tabs between the cells, that exists in memory only.
//!
//! What the columns mean is for the readers of each file ([`super::roster`]). Nothing is trimmed,
//! corrected or dropped here: a record that is no row of data is passed over by [`Table::rows`] and
//! stays in [`Table::records`].
//!
//! A table of 200,000 rows must be light: a cell is eight bytes that point into the text.

mod delimiter;
pub mod edit;
pub mod encoding;
mod headings;
mod marks;
mod oddities;
mod records;
mod unpacking;
mod workbook;

use super::Written;
use super::bounds;
use super::files::Files;
use super::mistakes::Mistakes;
use crate::disk::{Kind, kind_at};
use crate::finding::{FileName, Finding, Grid, GridCell, Place, rules};
use crate::limits;
use crate::spreadsheet;
pub use edit::{Change, EditError, Edited, Splice, SpliceError};
use encoding::Encoding;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

/// A table as it stands in its file.
#[derive(Clone, Debug)]
pub struct Table {
    pub file: FileName,
    pub form: Form,
    /// As in [`crate::finding::Sources`].
    text: Arc<str>,
    /// Where each cell stands in the text, with its quotation marks.
    cells: Vec<Range32>,
    /// The first cell of each record, and at the end the number of all cells.
    starts: Vec<u32>,
    headings: Option<usize>,
    /// The records after the headings that hold data.
    data: Vec<u32>,
    /// The whole text of a cell of a workbook that does not fit on the line of its row.
    broken_over: BTreeMap<u32, String>,
    /// Records that a workbook hides, by hand or by a filter.
    hidden: Vec<Range<u32>>,
    /// Formulas of a workbook that hold no value: the cell, and its place as a spreadsheet shows it.
    without_value: Vec<(u32, String)>,
}

type Range32 = (u32, u32);

/// How a table is written down: what a writer must keep.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Form {
    Text(TextForm),
    /// A workbook is only read.
    Workbook {
        sheet: String,
    },
}

/// How a text file was written, so that it can be written back in the same way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TextForm {
    pub encoding: Encoding,
    /// The text then starts with U+FEFF, so that [`Encoding::encode`] writes the mark again.
    pub byte_order_mark: bool,
    /// `,`, `;`, `|` or a tab.
    pub delimiter: char,
    /// That of most lines; each line keeps its own where cells are changed in place.
    pub line_end: LineEnd,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LineEnd {
    Lf,
    CrLf,
    Cr,
}

/// What a caller knows of the file before it is read.
#[derive(Clone, Copy)]
pub struct How<'h> {
    /// For a file that is neither marked nor UTF-8.
    pub encoding: Option<&'static encoding_rs::Encoding>,
    /// Whether a heading is one that the caller understands: tells headings from title lines above them.
    pub knows: &'h dyn Fn(&str) -> bool,
}

impl Default for How<'_> {
    fn default() -> Self {
        Self { encoding: None, knows: &|_| false }
    }
}

/// What came of reading a file.
pub struct Reading {
    /// `None` where nothing can be parted. Where a finding stops the press there may be one all the same,
    /// so that what else is wrong in it can be told.
    pub table: Option<Table>,
    /// What the places point into.
    pub text: Arc<str>,
    pub findings: Vec<Finding>,
}

/// Reads the bytes of a file whose name says whether it is text or a workbook.
pub fn read(file: &FileName, bytes: Vec<u8>, how: &How) -> Reading {
    let mut reading = match file.rsplit_once('.').map(|(_, ending)| ending.to_lowercase()).as_deref() {
        Some("xlsx" | "ods") => workbook::read(file, bytes),
        _ => text(file, bytes, how),
    };
    if let Some(beyond) = reading.table.as_ref().and_then(oddities::beyond_limits) {
        return Reading { table: None, findings: vec![beyond], ..reading };
    }
    if let Some(table) = &mut reading.table {
        headings::find(table, how.knows);
        reading.findings.extend(oddities::of_rows(table));
        reading.findings.extend(oddities::of_formulas(table, how.knows));
        reading.findings.extend(oddities::of_hidden(table));
    }
    reading
}

fn text(file: &FileName, bytes: Vec<u8>, how: &How) -> Reading {
    if let Some(finding) = oddities::no_text(file, &bytes) {
        return Reading { table: None, text: "".into(), findings: vec![finding] };
    }
    let decoded = encoding::decode(bytes, how.encoding);
    let text: Arc<str> = decoded.text.into();
    let mut findings = oddities::of_text(file, &text, &decoded.sureness);
    if findings.iter().any(|finding| finding.rule == &rules::FILE_UNREADABLE) {
        return Reading { table: None, text, findings };
    }
    let mark = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
    let (delimiter, start) = delimiter::find(file, &text, mark);
    let ends = text.bytes().filter(|byte| *byte == delimiter || *byte == b'\n').count();
    if ends > limits::PEOPLE_CELLS {
        let what = "This file has cells in such numbers that it can be no list of people";
        let findings =
            vec![bounds::beyond(Place::whole(file), what, limits::PEOPLE_CELLS, "Delete the empty ones.")];
        return Reading { table: None, text, findings };
    }
    let scanned = records::scan(&text, start, delimiter);
    let form = TextForm {
        encoding: decoded.encoding,
        byte_order_mark: mark > 0,
        delimiter: delimiter.into(),
        line_end: scanned.line_end,
    };
    let mut table = Table {
        file: file.clone(),
        form: Form::Text(form),
        text: text.clone(),
        cells: scanned.cells,
        starts: scanned.starts,
        headings: None,
        data: Vec::new(),
        broken_over: BTreeMap::new(),
        hidden: Vec::new(),
        without_value: Vec::new(),
    };
    findings.extend(oddities::of_marks(&table, &scanned.strays, scanned.open));
    if scanned.open.is_some() {
        // The record runs to the end of the text, and says nothing sound.
        table.starts.pop();
    }
    Reading { table: Some(table), text, findings }
}

/// The endings of a table that can be read; a people file has one of them.
pub const ENDINGS: [&str; 5] = ["csv", "tsv", "txt", "xlsx", "ods"];

/// Finds `people/NAME` with any of the endings and reads it; what is wrong or odd is told.
pub(super) fn find(files: &mut Files, name: &str, how: &How, mistakes: &Mistakes) -> Option<Arc<Table>> {
    // Written in whatever capitals: "Roster.CSV". Files come in the order of their endings.
    let all = files.names("people", "");
    let of = |ending: &str| {
        let wanted = format!("{name}.{ending}");
        let found = all.iter().filter(move |name| name.to_lowercase() == wanted);
        found.map(|name| format!("people/{name}")).collect::<Vec<String>>()
    };
    let there: Vec<String> = ENDINGS.iter().flat_map(|ending| of(ending)).collect();
    for old in of("xls") {
        let message = format!("{old} is an old kind of workbook, which packstring cannot read.");
        let mend = "Save it as .xlsx or .ods, and take the old one away.";
        mistakes.tell(&rules::FILE_UNREADABLE, Place::whole(&old), message, mend);
    }
    if let [first, more @ ..] = there.as_slice() {
        for other in more {
            let message = format!("There is both {first} and {other}, and packstring reads only one.");
            mistakes.tell(&rules::NAME_DOUBLED, Place::whole(other), message, "Take one of them away.");
        }
    }
    let name = there.first()?;
    let file: FileName = name.as_str().into();
    let bytes = files.bytes(name)?;
    let reading = read(&file, bytes, how);
    files.sources.add(file.clone(), reading.text);
    reading.findings.into_iter().for_each(|finding| mistakes.add(finding));
    let table = Arc::new(reading.table?);
    files.sources.add_table(file, table.clone());
    Some(table)
}

/// The names that a people file may have, without its ending.
pub const NAMES: [&str; 3] = ["roster", "answers", "hours"];

/// Tells files in `people/` that nobody reads: "responses.csv", "roster (1).csv", "roster.numbers", "roster" without an
/// ending, and tables in a folder. Where there is no roster either, a table is a mistake: the people are not gone,
/// they are called otherwise.
pub(super) fn tell_unread(files: &Files, has_roster: bool, mistakes: &Mistakes) {
    // No link is followed: what lies elsewhere is no business of the program.
    let is_own = |folder: &String| {
        matches!(kind_at(&files.folder.join("people").join(folder)), Ok(Some(Kind::Folder)))
    };
    let within = files.folders("people").into_iter().filter(is_own).flat_map(|folder| {
        let names = files.names(&format!("people/{folder}"), "");
        names.into_iter().map(move |name| format!("{folder}/{name}"))
    });
    let inner: Vec<String> = within.collect();
    for path in files.names("people", "").iter().chain(&inner) {
        let is_within = path.contains('/');
        let name = path.rsplit('/').next().unwrap_or(path);
        if name.starts_with(['.', '~']) || !is_for_people(name) {
            continue;
        }
        let is_read = name.rsplit_once('.').is_some_and(|(stem, ending)| {
            let ending = ending.to_lowercase();
            // An old workbook of one of these names is told where it is sought.
            NAMES.contains(&stem.to_lowercase().as_str())
                && (ENDINGS.contains(&ending.as_str()) || ending == "xls")
        });
        let is_folder = !is_within && files.folders("people").iter().any(|folder| folder == name);
        // What lies in a folder may be of earlier years, as long as there is a roster.
        if is_folder || is_read && !is_within || is_within && has_roster {
            continue;
        }
        let message = match has_roster {
            true => format!(
                "packstring reads people/roster, people/answers and people/hours, and not people/{path}."
            ),
            false => format!("There is no people/roster.csv, and packstring does not read people/{path}."),
        };
        let mend = "Save it as .csv, .xlsx or .ods under the name roster, answers or hours, whichever it is, or move it out of people/.";
        let place = Place::whole(format!("people/{path}").as_str());
        if has_roster {
            mistakes.add(Finding::of(&rules::PEOPLE_FILE_UNREAD, place, message).mend(mend));
        } else {
            mistakes.tell(&rules::PEOPLE_FILE_UNREAD, place, message, mend);
        }
    }
}

/// Whether a file may hold people: it is a table of any program, or has one of the names. Notes, pictures and letters
/// may lie beside the roster.
fn is_for_people(name: &str) -> bool {
    const TABLES: [&str; 16] = [
        "csv", "tsv", "tab", "xlsx", "ods", "fods", "xls", "xlsm", "xlsb", "xltx", "ots", "numbers",
        "gsheet", "htm", "html", "json",
    ];
    let (stem, ending) = name.rsplit_once('.').unwrap_or((name, ""));
    let (stem, ending) = (stem.to_lowercase(), ending.to_lowercase());
    TABLES.contains(&ending.as_str()) || NAMES.iter().any(|name| stem.contains(name))
}

/// A record of a table.
#[derive(Clone, Copy)]
pub struct Row<'t> {
    table: &'t Table,
    at: usize,
}

#[derive(Clone, Copy, Debug)]
pub struct Cell<'t> {
    table: &'t Table,
    at: usize,
}

impl Table {
    /// Every record as it was parted, headings and empty ones too.
    pub fn records(&self) -> impl ExactSizeIterator<Item = Row<'_>> {
        (0..self.starts.len().saturating_sub(1)).map(|at| Row { table: self, at })
    }

    /// The row of headings; there is one unless the table is empty.
    pub fn headings(&self) -> Option<Row<'_>> {
        Some(Row { table: self, at: self.headings? })
    }

    /// The rows that hold data: not the headings or what stands above them, no empty row, no repeated
    /// headings, no end mark.
    pub fn rows(&self) -> impl ExactSizeIterator<Item = Row<'_>> {
        self.data.iter().map(|at| Row { table: self, at: *at as usize })
    }

    /// The row with a [`Row::number`].
    pub fn row(&self, number: usize) -> Option<Row<'_>> {
        (1..self.starts.len()).contains(&number).then(|| Row { table: self, at: number - 1 })
    }

    /// Whether a workbook hides the row with a [`Row::number`].
    pub fn is_hidden(&self, number: usize) -> bool {
        number > 0 && self.hidden.iter().any(|rows| rows.contains(&(number as u32 - 1)))
    }

    /// The cell that a place stands in, for who holds only the place.
    pub fn cell_at(&self, place: &Place) -> Option<Cell<'_>> {
        let start = place.range.start;
        let at = self.cells.partition_point(|(_, end)| (*end as usize) < start);
        let cell = (at < self.cells.len()).then_some(Cell { table: self, at })?;
        (place.file == self.file && cell.place().range.start == start).then_some(cell)
    }
}

impl Grid for Table {
    fn cell(&self, at: usize) -> Option<GridCell> {
        let cell = self.cells.partition_point(|(_, end)| (*end as usize) < at);
        let record = self.starts.partition_point(|start| (*start as usize) <= cell).checked_sub(1)?;
        let row = self.row(record + 1)?;
        let column = cell - row.range().start;
        let headings = self.headings().filter(|headings| headings.at != record);
        let heading =
            headings.and_then(|headings| headings.cell(column)).map(|cell| cell.value().into_owned());
        Some(GridCell { row: row.number(), heading: heading.filter(|heading| !heading.is_empty()) })
    }
}

impl<'t> Row<'t> {
    /// From 1 as a spreadsheet shows it; a line break within a cell starts no row.
    pub fn number(self) -> usize {
        self.at + 1
    }

    pub fn len(self) -> usize {
        self.range().len()
    }

    /// Whether it has no cell at all: an empty line.
    pub fn is_empty(self) -> bool {
        self.range().is_empty()
    }

    /// Whether no cell has anything but white space.
    pub fn is_blank(self) -> bool {
        self.cells().all(|cell| cell.source().trim().is_empty() || cell.text().trim().is_empty())
    }

    /// From column 0.
    pub fn cell(self, column: usize) -> Option<Cell<'t>> {
        let range = self.range();
        (column < range.len()).then(|| Cell { table: self.table, at: range.start + column })
    }

    pub fn cells(self) -> impl ExactSizeIterator<Item = Cell<'t>> + DoubleEndedIterator {
        self.range().map(move |at| Cell { table: self.table, at })
    }

    /// That of the first cell which is filled.
    pub fn place(self) -> Place {
        let filled = self.cells().find(|cell| !cell.text().trim().is_empty());
        match filled.or(self.cell(0)) {
            Some(cell) => cell.place(),
            None => Place::whole(&self.table.file),
        }
    }

    /// What each cell means ([`Cell::value`]), as many as there are headings: a cell that the row lacks is
    /// empty and stands where the row does. That the row is ragged was told with the table.
    pub fn values(self) -> Vec<Written> {
        let width = self.table.headings().map_or(0, Row::len);
        let value = |cell: Cell| Written { text: cell.value().into_owned(), place: cell.place() };
        let lacking = || Written { text: String::new(), place: self.place() };
        (0..width).map(|column| self.cell(column).map_or_else(lacking, value)).collect()
    }

    fn range(self) -> Range<usize> {
        self.table.starts[self.at] as usize..self.table.starts[self.at + 1] as usize
    }
}

impl<'t> Cell<'t> {
    /// As parted: without the quotation marks around it, and otherwise letter by letter.
    pub fn text(self) -> Cow<'t, str> {
        if let Some(whole) = self.table.broken_over.get(&(self.at as u32)) {
            return whole.into();
        }
        match self.table.form {
            Form::Text(_) => records::unquoted(self.source()),
            Form::Workbook { .. } => self.source().into(),
        }
    }

    /// What the cell means: without white space around it, and without the mark that keeps a text from
    /// being run as a formula ([`spreadsheet`]).
    pub fn value(self) -> Cow<'t, str> {
        match self.text() {
            Cow::Borrowed(text) => Cow::Borrowed(spreadsheet::unguarded(text.trim())),
            Cow::Owned(text) => Cow::Owned(spreadsheet::unguarded(text.trim()).to_owned()),
        }
    }

    /// Between the quotation marks where there are some.
    pub fn place(self) -> Place {
        let Range { start, end } = self.source_range();
        let source = self.source();
        let is_quoted = matches!(self.table.form, Form::Text(_)) && source.starts_with('"');
        let inner = match source.strip_prefix('"').filter(|_| is_quoted) {
            Some(rest) if rest.ends_with('"') => start + 1..end - 1,
            Some(_) => start + 1..end,
            None => start..end,
        };
        Place::new(&self.table.file, inner)
    }

    /// Where it stands in the text of the file, with its quotation marks: what a writer replaces.
    pub fn source_range(self) -> Range<usize> {
        let (start, end) = self.table.cells[self.at];
        start as usize..end as usize
    }

    /// As it stands in the file, with its quotation marks.
    pub fn source(self) -> &'t str {
        &self.table.text[self.source_range()]
    }

    /// How another text would stand in its place: in quotation marks where it had some or needs them.
    /// `None` in a workbook.
    pub fn rewritten(self, text: &str) -> Option<String> {
        let Form::Text(form) = &self.table.form else { return None };
        let needs = text.contains(['"', '\r', '\n', form.delimiter]);
        Some(match needs || self.source().starts_with('"') {
            true => format!("\"{}\"", text.replace('"', "\"\"")),
            false => text.to_owned(),
        })
    }
}

#[cfg(test)]
mod tests;
