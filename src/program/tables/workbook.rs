//! A sheet of a workbook (.xlsx: ISO/IEC 29500, .ods: ISO/IEC 26300) as a text of one line a row, with
//! tabs between the cells, so that line and row are one number and the places in it are like any other.
//!
//! Cells are said as a person would write them: numbers in plain digits and with the zeros that their
//! format puts before them, days as 2026-05-16, times of day as 09:30, durations as 2:30. What a formula
//! gave when the workbook was last saved counts, never the formula. Of several sheets the first that can
//! be seen and has something in it is read.

use super::marks::{Marks, Parts, shown};
use super::{Form, Reading, Table, unpacking};
use crate::caught::caught;
use crate::finding::{FileName, Finding, Place, rules};
use crate::limits;
use crate::program::mistakes::few;
use crate::program::roster::columns;
use calamine::{Data, DataRef, ExcelDateTime, Ods, Reader, SheetVisible, Style, Xlsx};
use std::collections::{BTreeMap, HashSet};
use std::io::Cursor;
use std::ops::Range;
use std::sync::Arc;

/// A cell as it is said, by row and column from 0: one that is filled, or a formula without a value.
type Said = (u32, u32, String);

/// A sheet as it was read.
#[derive(Default)]
struct Sheet {
    name: String,
    cells: Vec<Said>,
    marks: Marks,
}

pub(super) fn read(file: &FileName, bytes: Vec<u8>) -> Reading {
    // The library that reads workbooks may stumble over what nobody has thought of.
    let read = caught(|| sheet(file, bytes)).unwrap_or_else(|_| Err("it is damaged or no workbook".into()));
    match read {
        Ok((sheet, others)) => rendered(file, sheet, &others),
        Err(why) => {
            let message = format!("{file} cannot be read as a workbook: {why}.");
            let mend =
                "Open it in a spreadsheet and save it again as .xlsx, .ods or CSV, without a password.";
            let finding = Finding::of(&rules::FILE_UNREADABLE, Place::whole(file), message);
            Reading { table: None, text: "".into(), findings: vec![finding.mend(mend).stops_press(true)] }
        }
    }
}

/// The sheet that is read, and the names of those that are passed over.
fn sheet(file: &str, bytes: Vec<u8>) -> Result<(Sheet, Vec<Other>), String> {
    if !bytes.starts_with(b"PK") && !bytes.starts_with(&[0xd0, 0xcf, 0x11, 0xe0]) {
        return Err("it is not a workbook, although its name says so".into());
    }
    if let Some(why) = unpacking::unfit(&bytes) {
        return Err(why.into());
    }
    let mut parts = Parts::of(&bytes);
    let bytes = Cursor::new(bytes.as_slice());
    if file.to_lowercase().ends_with(".ods") {
        let mut book: Ods<_> = Ods::new(bytes).map_err(|error| plain(&error))?;
        chosen(&visible(&book), |name| {
            let marks = parts.as_mut().map(|parts| parts.of_ods(name)).unwrap_or_default();
            Ok((of_ods(&mut book, name)?, marks))
        })
    } else {
        let mut book: Xlsx<_> = Xlsx::new(bytes).map_err(|error| plain(&error))?;
        chosen(&visible(&book), |name| {
            let marks = parts.as_mut().map(|parts| parts.of_xlsx(name)).unwrap_or_default();
            Ok((of_xlsx(&mut book, name)?, marks))
        })
    }
}

fn visible<'b, B: Reader<Cursor<&'b [u8]>>>(book: &B) -> Vec<String> {
    let sheets = book.sheets_metadata().iter();
    sheets.filter(|sheet| sheet.visible == SheetVisible::Visible).map(|sheet| sheet.name.clone()).collect()
}

/// The first sheet that has something in it, and the others that have.
fn chosen(
    names: &[String],
    mut read: impl FnMut(&str) -> Result<(Vec<Said>, Marks), String>,
) -> Result<(Sheet, Vec<Other>), String> {
    let mut filled = Vec::new();
    for name in names {
        let (cells, marks) = read(name)?;
        let cells = with_unworked(cells, &marks);
        if !cells.is_empty() {
            filled.push(Sheet { name: name.clone(), cells, marks });
        }
    }
    let other = |sheet: &Sheet| Other { name: sheet.name.clone(), has_people: has_people(&sheet.cells) };
    let others = filled.iter().skip(1).map(other).collect();
    Ok((filled.into_iter().next().unwrap_or_default(), others))
}

/// Whether a sheet has a row of headings as lists of people have them, a name and something else, and rows below it.
fn has_people(cells: &[Said]) -> bool {
    const LOOKED_AT: usize = 20;
    let rows: Vec<&[Said]> = cells.chunk_by(|a, b| a.0 == b.0).take(LOOKED_AT + 1).collect();
    let is_heading = |row: &&&[Said]| {
        let known = |cell: &&Said| columns::is_usual(&cell.2);
        let has_name = row.iter().any(|cell| columns::is_of_a_name(&cell.2));
        has_name && row.iter().filter(known).count() > 1
    };
    rows.iter().position(|row| is_heading(&row)).is_some_and(|at| at + 1 < rows.len())
}

/// A sheet that is passed over.
struct Other {
    name: String,
    has_people: bool,
}

/// The filled cells and the formulas without a value, in order. Where the reader gave one of these a value, it has one.
fn with_unworked(mut cells: Vec<Said>, marks: &Marks) -> Vec<Said> {
    if !marks.unworked.is_empty() {
        cells.extend(marks.unworked.iter().map(|(row, column)| (*row, *column, String::new())));
        // Stable, so that what is filled stays before what is not.
        cells.sort_by_key(|(row, column, _)| (*row, *column));
        cells.dedup_by_key(|(row, column, _)| (*row, *column));
    }
    cells
}

/// The library's words where they tell a person something.
fn plain(error: &dyn std::error::Error) -> String {
    let words = error.to_string();
    if words.contains("password") {
        "it is protected by a password".into()
    } else {
        "it is damaged or no workbook".into()
    }
}

fn of_xlsx(book: &mut Xlsx<Cursor<&[u8]>>, name: &str) -> Result<Vec<Said>, String> {
    // A chart sheet has no cells.
    let Ok(mut reader) = book.worksheet_cells_reader(name) else { return Ok(Vec::new()) };
    let styles = reader.styles().to_vec();
    let mut cells = Vec::new();
    let mut bytes = 0;
    while let Some((cell, style)) = reader.next_cell_with_style_id().map_err(|error| plain(&error))? {
        let (row, column) = cell.get_position();
        let text = match cell.get_value() {
            DataRef::Float(number) => padded(number_in_words(*number), styles.get(style)),
            DataRef::SharedString(text) => (*text).to_owned(),
            value => said(&Data::from(value.clone())),
        };
        if !text.trim().is_empty() {
            bytes += text.len();
            if bytes > limits::WORKBOOK_TEXT {
                return Err("its cells hold more text than any list of people does".into());
            }
            cells.push((row, column, text));
        }
    }
    cells.sort_by_key(|(row, column, _)| (*row, *column));
    cells.dedup_by_key(|(row, column, _)| (*row, *column));
    Ok(cells)
}

fn of_ods(book: &mut Ods<Cursor<&[u8]>>, name: &str) -> Result<Vec<Said>, String> {
    let range = book.worksheet_range(name).map_err(|error| plain(&error))?;
    let (top, left) = range.start().unwrap_or_default();
    let cells =
        range.used_cells().map(|(row, column, value)| (top + row as u32, left + column as u32, said(value)));
    Ok(cells.filter(|(_, _, text)| !text.trim().is_empty()).collect())
}

fn said(value: &Data) -> String {
    match value {
        Data::Int(number) => number.to_string(),
        Data::Float(number) => number_in_words(*number),
        Data::String(text) => text.clone(),
        Data::Bool(yes) => if *yes { "TRUE" } else { "FALSE" }.into(),
        Data::DateTime(day) => day_in_words(day),
        Data::DateTimeIso(day) => day.strip_suffix("T00:00:00").unwrap_or(day).replacen('T', " ", 1),
        Data::DurationIso(duration) => duration_in_words(duration).unwrap_or_else(|| duration.clone()),
        Data::Error(error) => error.to_string(),
        Data::Empty => String::new(),
    }
}

/// Plain digits of at most 15 places, which is what a spreadsheet keeps: 0.1 + 0.2 is 0.3.
fn number_in_words(number: f64) -> String {
    let rounded = format!("{number:.14e}").parse().unwrap_or(number);
    format!("{rounded}")
}

/// A whole number with zeros before it, where its format is nothing but zeros: 7001 as 07001.
fn padded(number: String, style: Option<&Style>) -> String {
    let format =
        style.and_then(|style| style.number_format.as_ref()).map_or("", |format| &format.format_code);
    let is_zeros = !format.is_empty() && format.bytes().all(|byte| byte == b'0');
    let is_whole = number.bytes().all(|byte| byte.is_ascii_digit());
    if is_zeros && is_whole { format!("{number:0>width$}", width = format.len()) } else { number }
}

/// A day and a time of day, or the one of them that the cell has.
fn day_in_words(day: &ExcelDateTime) -> String {
    let (year, month, date, hour, minute, second, thousandths) = day.to_ymd_hms_milli();
    if day.is_duration() {
        let seconds = (day.as_f64() * 86_400.0).round() as i64;
        return clock(seconds / 3600, seconds / 60 % 60, seconds % 60);
    }
    let second = i64::from(second) + i64::from(thousandths >= 500);
    let time = clock(hour.into(), minute.into(), second);
    let time = if time.len() == 4 { format!("0{time}") } else { time };
    if (0.0..1.0).contains(&day.as_f64()) {
        return time;
    }
    let date = format!("{year:04}-{month:02}-{date:02}");
    if (hour, minute, second) == (0, 0, 0) { date } else { format!("{date} {time}") }
}

/// `2:30`, and with seconds where there are some.
fn clock(hours: i64, minutes: i64, seconds: i64) -> String {
    match seconds {
        0 => format!("{hours}:{minutes:02}"),
        _ => format!("{hours}:{minutes:02}:{seconds:02}"),
    }
}

/// `PT02H30M00S` as `2:30`.
fn duration_in_words(duration: &str) -> Option<String> {
    let span: jiff::SignedDuration = duration.parse().ok()?;
    let seconds = span.as_secs();
    Some(clock(seconds / 3600, seconds / 60 % 60, seconds % 60))
}

/// The text of a sheet and the table that points into it.
fn rendered(file: &FileName, sheet: Sheet, others: &[Other]) -> Reading {
    let Sheet { name, cells: said, marks } = sheet;
    let size: usize =
        said.chunk_by(|a, b| a.0 == b.0).map(|row| row.last().map_or(0, |last| last.1 as usize + 1)).sum();
    // Also where the counting took a place for another than the reader.
    let is_far = |(row, _, _): &Said| u64::from(*row) >= limits::WORKBOOK_ROWS;
    if size > limits::PEOPLE_CELLS || said.iter().any(is_far) {
        let message = format!("{file} has cells so far apart that it can be no list of people.");
        let mend = "Delete what stands far to the right of the table, and save the workbook again.";
        let finding = Finding::of(&rules::FILE_UNREADABLE, Place::whole(file), message).mend(mend);
        return Reading { table: None, text: "".into(), findings: vec![finding.stops_press(true)] };
    }
    let unworked = marks.unworked.iter().copied().collect();
    let mut lines = Lines { cells: Vec::with_capacity(size), starts: vec![0], unworked, ..Lines::default() };
    said.chunk_by(|a, b| a.0 == b.0).for_each(|row| lines.add(row));
    let findings = passed_over(file, &name, others).chain(wrong(file, &lines.errors)).collect();
    let Lines { text, cells, starts, broken_over, without_value, .. } = lines;
    let text: Arc<str> = text.into();
    let table = Table {
        file: file.clone(),
        form: Form::Workbook { sheet: name },
        text: text.clone(),
        cells,
        starts,
        headings: None,
        data: Vec::new(),
        broken_over,
        hidden: marks.hidden,
        without_value,
    };
    Reading { table: Some(table), text, findings }
}

/// A sheet as it is said, a line a row, and where its cells stand in that, as [`Table`] keeps it.
#[derive(Default)]
struct Lines {
    text: String,
    cells: Vec<(u32, u32)>,
    starts: Vec<u32>,
    broken_over: BTreeMap<u32, String>,
    /// What formulas gave that went wrong: its row, from 1, and where it stands.
    errors: Vec<(u32, Range<usize>)>,
    /// Where formulas stand that hold no value.
    unworked: HashSet<(u32, u32)>,
    /// Those of them that gave none to the reader either: the cell, and its place as a spreadsheet shows it.
    without_value: Vec<(u32, String)>,
}

impl Lines {
    /// Adds a row that has something in it, after as many empty ones as stand before it.
    fn add(&mut self, row: &[Said]) {
        while self.starts.len() <= row[0].0 as usize {
            self.end_line();
        }
        let mut next = 0;
        for (number, column, words) in row {
            while next < *column {
                self.add_cell("");
                next += 1;
            }
            let start = self.text.len();
            if words.is_empty() && self.unworked.contains(&(*number, *column)) {
                self.without_value.push((self.cells.len() as u32, shown(*number, *column)));
            }
            self.add_cell(words);
            if is_error(words) {
                self.errors.push((number + 1, start..self.text.len() - 1));
            }
            next += 1;
        }
        self.text.pop();
        self.end_line();
    }

    /// A cell and the tab behind it; what would break the line is a space in the text.
    fn add_cell(&mut self, words: &str) {
        let start = self.text.len() as u32;
        if words.contains(['\n', '\r', '\t']) {
            self.broken_over.insert(self.cells.len() as u32, words.to_owned());
            let on_one_line = |letter: char| if letter.is_ascii_whitespace() { ' ' } else { letter };
            self.text.extend(words.chars().map(on_one_line));
        } else {
            self.text.push_str(words);
        }
        self.cells.push((start, self.text.len() as u32));
        self.text.push('\t');
    }

    fn end_line(&mut self) {
        self.text.push('\n');
        self.starts.push(self.cells.len() as u32);
    }
}

/// Tells of sheets that were not read.
fn passed_over(file: &FileName, sheet: &str, others: &[Other]) -> impl Iterator<Item = Finding> {
    others.iter().map(move |other| {
        let Other { name, has_people } = other;
        if *has_people {
            let message = format!(
                "{file} has people on more than one sheet. “{sheet}” was read, and nobody on “{name}” was."
            );
            let mend = "Put all of them on one sheet, the first; or take the other sheet out.";
            return Finding::of(&rules::SHEET_UNREAD, Place::whole(file), message).mend(mend);
        }
        let message = format!(
            "{file} has more than one sheet with something in it. “{sheet}” was read; “{name}” was skipped."
        );
        Finding::of(&rules::PASSED_OVER, Place::whole(file), message)
            .mend("Put the sheet that is meant first.")
    })
}

/// Tells of formulas that went wrong.
fn wrong(file: &FileName, errors: &[(u32, Range<usize>)]) -> Vec<Finding> {
    let told = errors.iter().map(|(row, range)| {
        let message = format!("A formula in row {row} gave an error.");
        let mend = "Mend the formula, or write what it should give.";
        Finding::of(&rules::CELL_BROKEN, Place::new(file, range.clone()), message).mend(mend)
    });
    few(errors.len(), told)
}

/// What a spreadsheet writes where a formula fails.
fn is_error(words: &str) -> bool {
    matches!(
        words,
        "#DIV/0!"
            | "#N/A"
            | "#NAME?"
            | "#NULL!"
            | "#NUM!"
            | "#REF!"
            | "#VALUE!"
            | "#GETTING_DATA"
            | "#SPILL!"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_read_as_a_person_writes_them() {
        for (number, words) in [
            (2.5, "2.5"),
            (45.0, "45"),
            (0.1 + 0.2, "0.3"),
            (7001.0, "7001"),
            (-3.0, "-3"),
            (5_550_100.0, "5550100"),
        ] {
            assert_eq!(number_in_words(number), words);
        }
    }

    #[test]
    fn durations_read_as_hours_and_minutes() {
        assert_eq!(duration_in_words("PT02H30M00S").as_deref(), Some("2:30"));
        assert_eq!(duration_in_words("PT26H05M00S").as_deref(), Some("26:05"));
    }
}
