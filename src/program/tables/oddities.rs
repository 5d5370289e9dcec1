//! What is to be told of a table: why it cannot be read, and what in it a careful clerk would mention.
//!
//! The first stop the program from being read; the second do not. No message repeats what a cell says,
//! for findings go further than a people file does. Where many rows are odd in one way, the first few
//! are told and the rest are counted.

use super::encoding::Confidence;
use super::headings::{is_end_mark, repeats};
use super::records::{Stray, StrayKind};
use super::{Row, Table};
use crate::finding::{FileName, Finding, Level, Place, Rule, rules};
use crate::limits;
use crate::program::bounds;
use crate::program::mistakes::few;

fn refusal(rule: &'static Rule, place: Place, message: impl Into<String>, mend: &str) -> Finding {
    Finding::of(rule, place, message).mend(mend).stops_press(true)
}

/// Why the bytes of a file cannot be a table as text.
pub(super) fn no_text(file: &FileName, bytes: &[u8]) -> Option<Finding> {
    let name = file.rsplit('/').next().unwrap_or(file);
    let stem = name.split('.').next().unwrap_or(name);
    let (is, mend) = if bytes.starts_with(b"PK\x03\x04") {
        (
            "a workbook or another packed file",
            format!("Give it the ending of a workbook, {stem}.xlsx or {stem}.ods, or save it as CSV."),
        )
    } else if bytes.starts_with(&[0xd0, 0xcf, 0x11, 0xe0]) {
        ("an old kind of workbook", format!("Save it as {stem}.xlsx, {stem}.ods or CSV."))
    } else if bytes.starts_with(b"%PDF") {
        ("a PDF", "Ask for the table as CSV, .xlsx or .ods.".to_owned())
    } else if is_page(bytes) {
        ("a web page", "Open it in a spreadsheet and save it as CSV, .xlsx or .ods.".to_owned())
    } else {
        return None;
    };
    let message = format!("{file} is named as a table in plain text, but holds {is}.");
    Some(refusal(&rules::FILE_UNREADABLE, Place::whole(file), message, &mend))
}

/// Whether the bytes start as a web page does, which some programs save under the name of a table.
fn is_page(bytes: &[u8]) -> bool {
    let start = String::from_utf8_lossy(&bytes[..bytes.len().min(256)]).to_lowercase();
    let start = start.trim_start_matches('\u{feff}').trim_start();
    ["<html", "<!doctype", "<table", "<head", "<meta", "<?xml", "<body"]
        .iter()
        .any(|tag| start.starts_with(tag))
}

/// What the text as a whole shows.
pub(super) fn of_text(file: &FileName, text: &str, sureness: &Confidence) -> Vec<Finding> {
    let place = |at: usize| {
        let word = text[at..].find([',', ';', '\t', '|', '"', '\n', '\r']).unwrap_or(text.len() - at);
        Place::new(file, at..at + word)
    };
    let mut findings = Vec::new();
    if let Some(at) = text.find('\0') {
        let message = format!("{file} is no text: line {} holds a zero byte.", line(text, at));
        let mend = "Export the table again as CSV; part of this file may be lost.";
        return vec![refusal(&rules::FILE_UNREADABLE, Place::new(file, at..at + 1), message, mend)];
    }
    match *sureness {
        Confidence::Sure => {}
        Confidence::Guessed(at) => findings.push(guessed(text, place(at))),
        Confidence::Unclear(at) => {
            let message = format!(
                "{file} is not UTF-8, and the letters in line {} could be of several encodings.",
                line(text, at)
            );
            let mend = "Save it as CSV in UTF-8, or name its encoding in program.toml under [roster], such as encoding = \"windows-1250\" (Central Europe), \"windows-1251\" (Cyrillic), \"windows-1252\" (Western Europe), \"macintosh\".";
            findings.push(refusal(&rules::ENCODING_UNCLEAR, place(at), message, mend));
        }
        Confidence::Broken(at) => {
            let message =
                format!("{file} is damaged: line {} has something that is not a letter.", line(text, at));
            let mend = "Export the table again as CSV in UTF-8.";
            findings.push(refusal(&rules::FILE_UNREADABLE, place(at), message, mend));
        }
    }
    findings
}

/// What a table has more of than packstring takes: columns, letters in a cell, marks upon a letter.
pub(super) fn beyond_limits(table: &Table) -> Option<Finding> {
    table.records().find_map(|row| {
        if row.len() > limits::PEOPLE_COLUMNS {
            let what = format!("Row {} has {} columns", row.number(), row.len());
            let mend = "Delete the columns that nobody needs, also empty ones far to the right.";
            return Some(bounds::beyond(row.place(), &what, limits::PEOPLE_COLUMNS, mend));
        }
        row.cells().find_map(|cell| {
            let length = cell.source_range().len();
            if length > limits::CELL_BYTES {
                let what = format!("A cell in row {} has {length} bytes", row.number());
                let mend = "Shorten it; a quotation mark that is never closed also joins cells.";
                return Some(bounds::beyond(cell.place(), &what, limits::CELL_BYTES, mend));
            }
            bounds::heaped(cell.source()).map(|_| bounds::heap(cell.place()))
        })
    })
}

fn guessed(text: &str, place: Place) -> Finding {
    let message = if place.range.start == 0 {
        "This file is UTF-16 without the mark that says so, and was read as that.".to_owned()
    } else {
        let number = line(text, place.range.start);
        format!(
            "This file is not UTF-8; it was read as Windows-1252. Line {number} is the first where that matters."
        )
    };
    let mend = "Look at the names; if they are right, add encoding = \"windows-1252\" under [roster] in program.toml, or save the file as CSV in UTF-8.";
    Finding::of(&rules::ENCODING_GUESSED, place, message).mend(mend)
}

/// From 1, counting every kind of line break.
fn line(text: &str, at: usize) -> usize {
    let before = &text.as_bytes()[..at];
    let ends = before.iter().enumerate();
    1 + ends
        .filter(|(at, byte)| **byte == b'\n' || (**byte == b'\r' && before.get(at + 1) != Some(&b'\n')))
        .count()
}

/// Quotation marks where the grammar has none, and one that is never closed.
pub(super) fn of_marks(table: &Table, strays: &[Stray], open: Option<u32>) -> Vec<Finding> {
    let cell = |at: u32| super::Cell { table, at: at as usize };
    let mut findings = few(strays.len(), strays.iter().map(|stray| {
        let (is, mend) = match stray.kind {
            StrayKind::Within => (
                "has a quotation mark in a cell that does not start with one; it was read as it stands",
                "Nothing, if it belongs there (as for inches); else put the whole cell in quotation marks, and write one within it twice (\"\").",
            ),
            StrayKind::AfterSpace => (
                "has a space before a quotation mark, so the mark was read as part of the cell",
                "Take the white space away.",
            ),
            StrayKind::TextBehind => (
                "has more text behind the quotation mark that closes a cell; both were taken together",
                "Write a quotation mark within a cell twice (\"\").",
            ),
            StrayKind::Backslash => (
                "has a backslash before a quotation mark, which CSV does not know: the cell ended there",
                "Write a quotation mark within a cell twice (\"\"), without a backslash.",
            ),
        };
        let message = format!("Row {} {is}.", stray.record + 1);
        Finding::of(&rules::QUOTE_STRAY, cell(stray.cell).place(), message).mend(mend)
    }));
    if let Some(open) = open {
        let row = table.starts.partition_point(|start| *start <= open);
        let message = format!("The quotation mark that opens this cell in row {row} is never closed.");
        let mend = "Add a quotation mark (\") where the cell ends.";
        findings.push(refusal(&rules::SYNTAX, cell(open).place(), message, mend));
    }
    findings
}

/// What the rows show, once the headings are found.
pub(super) fn of_rows(table: &Table) -> Vec<Finding> {
    let Some(headings) = table.headings() else {
        let message = format!("There is nothing in {}.", table.file);
        let mend = "Put the headings into its first row, or take the file away.";
        return vec![refusal(&rules::TABLE_EMPTY, Place::whole(&table.file), message, mend)];
    };
    let mut findings = of_headings(table, headings);
    findings.extend(passed_over(table, headings));
    findings.extend(ragged(table, headings));
    if table.rows().len() == 0 {
        let message = format!("{} has headings and no rows.", table.file);
        findings.push(
            Finding::of(&rules::ROWS_MISSING, headings.place(), message)
                .mend("If nobody has signed up yet, you need not do anything."),
        );
    }
    findings
}

/// Formulas that hold no value. In a column that is read, what they give is needed: no such cell is taken as empty.
pub(super) fn of_formulas(table: &Table, knows: &dyn Fn(&str) -> bool) -> Vec<Finding> {
    let headings = table.headings();
    let column_of = |cell: u32| {
        let row = table.starts.partition_point(|start| *start <= cell);
        (cell - table.starts[row - 1]) as usize
    };
    let is_read = |column: usize| {
        headings.and_then(|row| row.cell(column)).is_some_and(|heading| knows(&heading.value()))
    };
    let first = headings.map_or(0, |row| table.starts[row.at]);
    let cells = table.without_value.iter().filter(|(cell, _)| *cell >= first);
    let told: Vec<Finding> = cells
        .map(|(cell, shown)| {
            let place = super::Cell { table, at: *cell as usize }.place();
            let message = format!(
                "Cell {shown} has a formula but no value: no spreadsheet has calculated it yet."
            );
            let finding = Finding::of(&rules::FORMULA_UNWORKED, place, message).mend(
                "Open the workbook in a spreadsheet and save it again, or write into the cell what it should say.",
            );
            match is_read(column_of(*cell)) {
                true => finding.stops_press(true),
                false => finding.weighs(Level::Note),
            }
        })
        .collect();
    let (needed, other): (Vec<Finding>, Vec<Finding>) =
        told.into_iter().partition(|finding| finding.stops_press);
    let mut findings = few(needed.len(), needed.into_iter());
    findings.extend(few(other.len(), other.into_iter()));
    findings
}

/// Rows of data that a workbook hides: told once, with all of them.
pub(super) fn of_hidden(table: &Table) -> Option<Finding> {
    let rows: Vec<usize> = table.rows().map(Row::number).filter(|number| table.is_hidden(*number)).collect();
    let first = table.row(*rows.first()?)?;
    let runs = rows.chunk_by(|before, after| before + 1 == *after);
    let mut said: Vec<String> = runs
        .map(|run| match run {
            [one] => one.to_string(),
            [first, second] => format!("{first}, {second}"),
            [first, .., last] => format!("{first} to {last}"),
            [] => String::new(),
        })
        .collect();
    if said.len() > RUNS {
        said.truncate(RUNS);
        said.push("…".to_owned());
    }
    let (is, were) = match rows.len() {
        1 => ("One row is hidden".to_owned(), "It was"),
        count => (format!("{count} rows are hidden"), "They were"),
    };
    let message =
        format!("{is}, by a filter or by hand: {}. {were} read as if nothing were hidden.", said.join(", "));
    let mend = "Show all rows, delete those that are not meant, and save the workbook again. Until then nobody is credited for a row of the roster that is hidden.";
    Some(Finding::of(&rules::ROWS_HIDDEN, first.place(), message).mend(mend))
}

/// As many runs of hidden rows are named; of more, how many there are says enough.
const RUNS: usize = 20;

fn of_headings(table: &Table, headings: Row) -> Vec<Finding> {
    let mut findings = Vec::new();
    if headings.at > 0 && table.records().take(headings.at).any(|row| !row.is_blank()) {
        let message =
            format!("The headings are in row {}; the rows above them were skipped.", headings.number());
        let mend = "If those rows are a title, you need not do anything.";
        findings.push(Finding::of(&rules::PASSED_OVER, headings.place(), message).mend(mend));
    }
    let words: Vec<String> = headings.cells().map(|cell| cell.value().to_lowercase()).collect();
    for (column, cell) in headings.cells().enumerate().filter(|(column, _)| !words[*column].is_empty()) {
        if let Some(first) = words[..column].iter().position(|word| *word == words[column]) {
            let message = format!(
                "Columns {} and {} of row {} have the same heading.",
                first + 1,
                column + 1,
                headings.number()
            );
            let mend = "Give one of them another heading; as it is, the first counts.";
            findings.push(Finding::of(&rules::HEADING_DOUBLED, cell.place(), message).mend(mend));
        }
    }
    findings
}

fn passed_over(table: &Table, headings: Row) -> Vec<Finding> {
    let after = table.records().skip(headings.at + 1);
    let (mut repeated, mut ends) = (Vec::new(), Vec::new());
    for row in after {
        if is_end_mark(row) {
            ends.push(row);
        } else if repeats(row, headings) {
            repeated.push(row);
        }
    }
    let told = |row: &Row, what: &str| {
        let message = format!("Row {} {what}, and was skipped.", row.number());
        Finding::of(&rules::PASSED_OVER, row.place(), message).mend("Delete the row, or leave it.")
    };
    let mut findings = few(repeated.len(), repeated.iter().map(|row| told(row, "repeats the headings")));
    findings.extend(few(
        ends.len(),
        ends.iter().map(|row| told(row, "holds nothing but the mark that once ended a file")),
    ));
    findings
}

/// Rows with fewer cells than there are headings, or with something where there is no heading.
fn ragged(table: &Table, headings: Row) -> Vec<Finding> {
    let width = 1 + headings.cells().rposition(|cell| !cell.value().is_empty()).unwrap_or(0);
    let is_filled = |cell: super::Cell| !cell.source().trim().is_empty() && !cell.value().is_empty();
    let short = |row: &Row| row.len() < width;
    let long = |row: &Row| (width..row.len()).filter_map(|column| row.cell(column)).any(is_filled);
    let is_text = matches!(table.form, super::Form::Text(_));
    let rows: Vec<Row> = table.rows().filter(|row| (is_text && short(row)) || long(row)).collect();
    few(
        rows.len(),
        rows.iter().map(|row| {
            let (is, mend) = if short(row) {
                ("; those that are missing were taken as empty", "Give each row one cell for each heading.")
            } else {
                (
                    "; cells without a heading were skipped",
                    "Put text with a comma in it in quotation marks, or add the heading.",
                )
            };
            let message =
                format!("Row {} has {} cells, but there are {width} headings{is}.", row.number(), row.len());
            Finding::of(&rules::ROW_RAGGED, row.place(), message).mend(mend)
        }),
    )
}
