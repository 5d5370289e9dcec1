//! Which record holds the headings, and which records after it hold data.

use super::{Row, Table};

/// Filled records among which the headings are sought.
const LOOKED_AT: usize = 20;

/// Finds the headings: the first record with two headings that the caller knows, or else the first with
/// two filled cells (a title above a table stands alone), or else the first that is filled.
pub(super) fn find(table: &mut Table, knows: &dyn Fn(&str) -> bool) {
    let first = |fits: &dyn Fn(Row) -> bool| {
        let mut filled = table.records().filter(|row| !row.is_blank()).take(LOOKED_AT);
        filled.find(|row| fits(*row)).map(|row| row.at)
    };
    let known = |row: Row| row.cells().filter(|cell| knows(&cell.value())).count();
    let filled = |row: Row| row.cells().filter(|cell| !cell.value().is_empty()).count();
    let found =
        first(&|row| known(row) > 1).or_else(|| first(&|row| filled(row) > 1)).or_else(|| first(&|_| true));
    let Some(headings) = found else { return };
    let data = (headings + 1..table.records().len())
        .filter(|at| is_data(Row { table, at: *at }, Row { table, at: headings }))
        .map(|at| at as u32)
        .collect();
    table.headings = Some(headings);
    table.data = data;
}

fn is_data(row: Row, headings: Row) -> bool {
    !row.is_blank() && !repeats(row, headings) && !is_end_mark(row)
}

/// Whether a row says the headings once more, as where two exports were joined.
pub(super) fn repeats(row: Row, headings: Row) -> bool {
    // In a table of one column, somebody may be called what the column is called.
    let one = headings.cells().filter(|cell| !cell.value().is_empty()).count() < 2;
    !one && row.cell(0).map(|cell| cell.source()) == headings.cell(0).map(|cell| cell.source())
        && row.cells().map(|cell| cell.value()).eq(headings.cells().map(|cell| cell.value()))
}

/// Whether a row holds nothing but the mark with which old systems ended a text (U+001A).
pub(super) fn is_end_mark(row: Row) -> bool {
    row.len() == 1 && row.cell(0).is_some_and(|cell| cell.source() == "\u{1a}")
}
