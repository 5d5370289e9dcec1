//! Tables are read back by readers of their own: CSV by a CSV reader, workbooks by a reader of workbooks.

use super::*;
use crate::spreadsheet::{is_risky, unguarded};
use calamine::{Data, DataType, Reader, Xlsx};
use std::io::Cursor;
use std::path::Path;

fn table(rows: Vec<Vec<Cell>>) -> Table {
    Table { rows, ..Table::new("Rows", &["First", "Second"]) }
}

fn texts(texts: &[String]) -> Table {
    table(texts.iter().map(|text| vec![Cell::Text(text.clone()), Cell::Text("x".into())]).collect())
}

fn csv_rows(bytes: &[u8]) -> Vec<Vec<String>> {
    let text = std::str::from_utf8(bytes).unwrap().strip_prefix('\u{feff}').expect("a byte order mark");
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(text.as_bytes());
    reader.records().map(|row| row.unwrap().iter().map(str::to_owned).collect()).collect()
}

fn book(bytes: Vec<u8>) -> Xlsx<Cursor<Vec<u8>>> {
    Xlsx::new(Cursor::new(bytes)).unwrap()
}

/// The cells of a workbook's first sheet below its headings.
fn book_rows(bytes: Vec<u8>) -> Vec<Vec<Data>> {
    let mut book = book(bytes);
    let name = book.sheet_names()[0].clone();
    assert!(book.worksheet_formula(&name).unwrap().is_empty(), "no cell is a formula");
    book.worksheet_range(&name).unwrap().rows().skip(1).map(<[Data]>::to_vec).collect()
}

fn reference(file: &str) -> Vec<csv::StringRecord> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/csv").join(file);
    csv::Reader::from_path(path).unwrap().records().map(Result::unwrap).collect()
}

fn json_text(cell: &str) -> String {
    serde_json::from_str(cell).unwrap()
}

/// tests/reference/csv/injection.csv: OWASP ASVS 5.0, requirement 1.2.10, and CWE-1236.
#[test]
fn what_could_run_as_a_formula_stays_text_and_reads_back_the_same() {
    let cases = reference("injection.csv");
    assert_eq!(cases.len(), 29);
    let cells: Vec<String> = cases.iter().map(|case| json_text(&case[1])).collect();
    let written = csv_rows(&bytes("a.csv", &[texts(&cells)]).unwrap());
    let in_book = book_rows(bytes("a.xlsx", &[texts(&cells)]).unwrap());
    for (at, case) in cases.iter().enumerate() {
        let (id, cell, in_csv) = (&case[0], &cells[at], &written[at + 1][0]);
        assert!(!is_risky(in_csv), "{id}");
        assert_eq!(unguarded(in_csv), cell, "{id} in CSV");
        // A cell that stands marked in a file is read without the mark, and written with it again.
        assert_eq!(crate::spreadsheet::guarded(unguarded(cell)), json_text(&case[3]), "{id}");
        let back = match &in_book[at][0] {
            Data::String(text) => text.clone(),
            Data::Empty => String::new(),
            other => panic!("{id} is no text: {other:?}"),
        };
        assert_eq!(&back, cell, "{id} in the workbook");
    }
}

/// tests/reference/csv/write.csv: RFC 4180, with the quotation marks that it needs and no more.
#[test]
fn lines_are_quoted_after_rfc_4180() {
    let cases = reference("write.csv");
    assert!(cases.len() > 10);
    for case in cases {
        let bytes = bytes("a.csv", &[texts(&[json_text(&case[1])])]).unwrap();
        let text = String::from_utf8(bytes).unwrap();
        let (_, line) = text.split_once("\r\n").unwrap();
        assert_eq!(line, json_text(&case[2]), "{}", &case[0]);
    }
}

#[test]
fn numbers_and_days_keep_their_kind() {
    let exact = |n: i64, d: i64| Cell::Number(BigRational::new(n.into(), d.into()));
    let rows = vec![
        vec![exact(957, 4), Cell::Date(jiff::civil::date(2026, 5, 16))],
        vec![exact(-5, 2), Cell::Date(jiff::civil::date(1899, 12, 31))],
        vec![exact(1, 3), Cell::Empty],
        vec![exact(12_345_678, 1), Cell::Text("2026-05-16".into())],
        vec![exact(199_999, 200_000), Cell::Text("007".into())],
    ];
    let written = csv_rows(&bytes("a.csv", &[table(rows.clone())]).unwrap());
    assert_eq!(
        written[1..],
        [
            ["239.25", "2026-05-16"],
            ["-2.5", "1899-12-31"],
            ["0.3333", ""],
            ["12345678", "2026-05-16"],
            ["1", "007"],
        ]
    );
    let rows = book_rows(bytes("a.xlsx", &[table(rows)]).unwrap());
    let numbers: Vec<f64> = rows.iter().map(|row| row[0].get_float().unwrap()).collect();
    assert_eq!(numbers, [239.25, -2.5, 1.0 / 3.0, 12_345_678.0, 0.999_995]);
    let Data::DateTime(day) = &rows[0][1] else { panic!("a day was expected, not {:?}", rows[0][1]) };
    // Days since the end of 1899, as workbooks count them.
    assert_eq!(day.as_f64(), 46158.0);
    for (row, text) in [(1, "1899-12-31"), (3, "2026-05-16"), (4, "007")] {
        assert_eq!(rows[row][1], Data::String(text.into()));
    }
}

#[test]
fn odd_texts_come_back_from_a_workbook() {
    let odd = ["_x0041_", "a\u{1}b", "two\nlines", "\u{1f434}", " both ends ", "<b>&amp;</b>", "]]>"]
        .map(String::from);
    let rows = book_rows(bytes("a.xlsx", &[texts(&odd)]).unwrap());
    assert_eq!(rows.len(), odd.len());
    for (row, text) in rows.iter().zip(&odd) {
        assert_eq!(row[0], Data::String(text.clone()));
    }
}

#[test]
fn a_text_too_long_for_a_workbook_is_cut_there_and_whole_in_csv() {
    let long = ["🐴".repeat(20_000)];
    let Data::String(in_book) = &book_rows(bytes("a.xlsx", &[texts(&long)]).unwrap())[0][0] else { panic!() };
    assert!(in_book.ends_with('…') && in_book.encode_utf16().count() <= CELL_TEXT);
    assert_eq!(csv_rows(&bytes("a.csv", &[texts(&long)]).unwrap())[1][0], long[0]);
}

#[test]
fn any_name_is_made_one_for_a_sheet() {
    let names = [
        "Sand Creek: a/b [c]",
        "sand creek  a b  c ",
        "",
        "'quoted'",
        &"long ".repeat(20),
        &"long ".repeat(21),
    ];
    let tables: Vec<Table> = names.iter().map(|name| Table::new(name, &["A"])).collect();
    let names = book(bytes("a.xlsx", &tables).unwrap()).sheet_names();
    assert_eq!(names.len(), tables.len());
    assert_eq!(names[..4], ["Sand Creek  a b  c", "sand creek  a b  c 2", "Sheet", "quoted"]);
}

#[test]
fn the_same_rows_give_the_same_bytes() {
    let rows =
        || vec![table(vec![vec![Cell::Text("a".into()), Cell::count(3)]]), Table::new("Other", &["B"])];
    for path in ["a.csv", "a.xlsx"] {
        assert_eq!(bytes(path, &rows()).unwrap(), bytes(path, &rows()).unwrap());
    }
}
