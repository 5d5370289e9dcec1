//! What the reader keeps of a text. The forms that tables come in are held in `tests/it/tables.rs`.

use super::*;
use crate::finding::Sources;

fn table(text: &str) -> Table {
    let reading = read(&"people/roster.csv".into(), text.into(), &How::default());
    reading.table.unwrap_or_else(|| panic!("{:?}", reading.findings))
}

/// Each cell with the words at its place.
fn said(table: &Table) -> Vec<Vec<(String, String)>> {
    let mut sources = Sources::default();
    sources.add(table.file.clone(), table.text.clone());
    let said = |cell: Cell| (cell.text().into_owned(), sources.words(&cell.place()).to_owned());
    table.records().map(|row| row.cells().map(said).collect()).collect()
}

fn pair(text: &str, source: &str) -> (String, String) {
    (text.to_owned(), source.to_owned())
}

#[test]
fn cells_keep_their_places() {
    let table = table("\u{feff}event,name\r\n\r\nnorth,\"Ruiz, Ana \"\"Nita\"\"\"\r\nsouth,\r\n,x");
    let rows = said(&table);
    assert_eq!(rows[0], [pair("event", "event"), pair("name", "name")]);
    assert!(rows[1].is_empty());
    assert_eq!(rows[2], [pair("north", "north"), pair("Ruiz, Ana \"Nita\"", "Ruiz, Ana \"\"Nita\"\"")]);
    assert_eq!(rows[3], [pair("south", "south"), pair("", "")]);
    assert_eq!(rows[4], [pair("", ""), pair("x", "x")]);
    assert_eq!(table.rows().map(Row::number).collect::<Vec<_>>(), [3, 4, 5]);
}

#[test]
fn quoted_line_breaks_stay_in_their_cell() {
    let table = table("a,\"one\ntwo\",b\nc,d,e\n");
    assert_eq!(said(&table)[0][1], pair("one\ntwo", "one\ntwo"));
    assert_eq!(said(&table)[1][0], pair("c", "c"));
}

#[test]
fn a_cell_is_found_again_by_its_place_and_says_how_it_would_be_rewritten() {
    let table = table("event,name,note\nnorth,\"Ruiz, Ana\",\nsouth,,\"\"\n");
    for row in table.records() {
        for cell in row.cells() {
            let found = table.cell_at(&cell.place()).unwrap();
            assert_eq!(found.source_range(), cell.source_range());
        }
    }
    let name = table.row(2).unwrap().cell(1).unwrap();
    assert_eq!(name.rewritten("Ana").as_deref(), Some("\"Ana\""));
    assert_eq!(
        table.row(3).unwrap().cell(1).unwrap().rewritten("a,\"b\"").as_deref(),
        Some("\"a,\"\"b\"\"\"")
    );
    assert_eq!(table.row(2).unwrap().cell(0).unwrap().rewritten("south gate").as_deref(), Some("south gate"));
}

#[test]
fn a_mark_against_formulas_is_no_part_of_what_a_cell_means() {
    let table = table("name,note\nAda,'-40\nIvo,'tis\n");
    let value = |row, column| table.row(row).unwrap().cell(column).unwrap().value().into_owned();
    assert_eq!((value(2, 1).as_str(), value(3, 1).as_str()), ("-40", "'tis"));
}

#[test]
fn every_cell_is_found_by_its_row_and_heading() {
    let table = table("\u{feff}event,name,\r\n\r\nnorth,\"Ruiz, Ana \"\"Nita\"\"\",x\r\nsouth,\r\n,y,z,more");
    let headings = ["event", "name"];
    for row in table.records() {
        for (column, cell) in row.cells().enumerate() {
            let heading = headings.get(column).filter(|_| row.number() > 1).map(|it| (*it).to_owned());
            let found = Grid::cell(&table, cell.place().range.start);
            assert_eq!(found, Some(GridCell { row: row.number(), heading }), "{:?}", cell.text());
        }
    }
    assert_eq!(Grid::cell(&table, table.text.len() + 9), None);
}
