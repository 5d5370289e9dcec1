//! Tables for spreadsheets: CSV (RFC 4180) and XLSX (ISO/IEC 29500), the same bytes from the same rows.

use super::PressError;
use crate::job::{Cell, Table};
use crate::spreadsheet::guarded;
use jiff::civil::Date;
use num_rational::BigRational;
use num_traits::ToPrimitive;
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, Workbook, XlsxError};
use std::borrow::Cow;
use std::collections::BTreeSet;

/// Decimals of a number in a CSV file, at most.
const DECIMALS: usize = 4;

/// Letters of the name of a sheet, and of a cell, in a workbook, at most (in UTF-16 units).
const SHEET_NAME: usize = 31;
const CELL_TEXT: usize = 32_767;

/// A column is made no wider than this, in pixels: about sixty letters.
const COLUMN: u32 = 420;

/// The bytes of a file, CSV or XLSX after the ending of its path.
pub(super) fn bytes(path: &str, tables: &[Table]) -> Result<Vec<u8>, PressError> {
    let failed = |why: String| PressError::Tables { path: path.to_owned(), why };
    if path.ends_with(".xlsx") {
        return workbook(tables).map_err(|error| failed(error.to_string()));
    }
    csv(tables.first().unwrap_or(&Table::default())).map_err(|error| failed(error.to_string()))
}

/// With a byte order mark, without which spreadsheets take UTF-8 for something else, and the line
/// ends of RFC 4180.
fn csv(table: &Table) -> Result<Vec<u8>, csv::Error> {
    let mut writer = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer("\u{feff}".as_bytes().to_vec());
    writer.write_record(table.headings.iter().map(|heading| guarded(heading).into_owned()))?;
    for row in &table.rows {
        writer.write_record(row.iter().map(text))?;
    }
    writer.into_inner().map_err(|error| error.into_error().into())
}

fn text(cell: &Cell) -> String {
    match cell {
        Cell::Text(text) => guarded(text).into_owned(),
        Cell::Number(number) => decimal(number),
        Cell::Date(date) => date.to_string(),
        Cell::Empty => String::new(),
    }
}

/// As many decimals as it needs, at most [`DECIMALS`].
fn decimal(number: &BigRational) -> String {
    let scale = BigRational::from_integer(10i64.pow(DECIMALS as u32).into());
    let scaled = (number * scale).round().to_integer();
    let digits = format!("{:0>width$}", scaled.magnitude().to_string(), width = DECIMALS + 1);
    let (whole, decimals) = digits.split_at(digits.len() - DECIMALS);
    let decimals = decimals.trim_end_matches('0');
    let sign = if scaled.sign() == num_bigint::Sign::Minus { "-" } else { "" };
    if decimals.is_empty() { format!("{sign}{whole}") } else { format!("{sign}{whole}.{decimals}") }
}

/// Text cells are typed as text in a workbook, so that they need no mark; one that is longer than a
/// workbook's cell may be ends in an ellipsis. The day of making is left out, so that the same rows give
/// the same bytes.
fn workbook(tables: &[Table]) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    book.set_properties(&DocProperties::new().set_creation_datetime(&ExcelDateTime::from_ymd(2000, 1, 1)?));
    let head = Format::new().set_bold().set_text_wrap();
    let date_form = Format::new().set_num_format("yyyy-mm-dd");
    let mut names = BTreeSet::new();
    for table in tables {
        let sheet = book.add_worksheet().set_name(sheet_name(&table.name, &mut names))?;
        for (column, heading) in table.headings.iter().enumerate() {
            sheet.write_string_with_format(0, column as u16, heading, &head)?;
        }
        for (at, row) in table.rows.iter().enumerate() {
            let line = at as u32 + 1;
            for (column, cell) in row.iter().enumerate() {
                let column = column as u16;
                match cell {
                    Cell::Text(text) => sheet.write_string(line, column, cut(text, CELL_TEXT))?,
                    Cell::Number(number) => {
                        sheet.write_number(line, column, number.to_f64().unwrap_or_default())?
                    }
                    Cell::Date(date) => match day(*date) {
                        Some(day) => sheet.write_datetime_with_format(line, column, &day, &date_form)?,
                        None => sheet.write_string(line, column, date.to_string())?,
                    },
                    Cell::Empty => continue,
                };
            }
        }
        sheet.set_freeze_panes(1, 0)?;
        sheet.set_autofit_max_width(COLUMN).autofit();
    }
    book.save_to_buffer()
}

/// A day as workbooks count them; none before 1900, where they have no days.
fn day(date: Date) -> Option<ExcelDateTime> {
    let year = u16::try_from(date.year()).ok().filter(|year| *year >= 1900)?;
    ExcelDateTime::from_ymd(year, date.month().unsigned_abs(), date.day().unsigned_abs()).ok()
}

/// A name that a workbook takes for a sheet: without the marks that have a meaning in formulas, short, and
/// no other sheet's.
fn sheet_name(wanted: &str, taken: &mut BTreeSet<String>) -> String {
    let plain: String = wanted
        .chars()
        .map(|letter| if "[]:*?/\\".contains(letter) || letter.is_control() { ' ' } else { letter })
        .collect();
    let plain = plain.trim_matches(['\'', ' ']);
    let plain = if plain.is_empty() { "Sheet" } else { plain };
    (1..)
        .map(|count| match count {
            1 => cut(plain, SHEET_NAME).into_owned(),
            count => format!("{} {count}", cut(plain, SHEET_NAME - 4)),
        })
        .find(|name| taken.insert(name.to_lowercase()))
        .expect("there are more numbers than sheets")
}

/// Text of at most so many UTF-16 units; an ellipsis stands for what is cut.
fn cut(text: &str, most: usize) -> Cow<'_, str> {
    if text.len() <= most || text.encode_utf16().count() <= most {
        return Cow::Borrowed(text);
    }
    let mut units = 0;
    let kept: String = text
        .chars()
        .take_while(|letter| {
            units += letter.len_utf16();
            units < most
        })
        .collect();
    Cow::Owned(kept + "…")
}

#[cfg(test)]
mod tests;
