//! Tables as forms and spreadsheets export them: every case of `tests/reference/csv` (its README tells
//! the origin) is read as its expected file says, or refused, or asked, or read with something told.

use packstring::finding::{Finding, Place, Sources};
use packstring::program::tables::encoding::Encoding;
use packstring::program::tables::{Form, How, Reading, Table, TextForm, read};
use packstring::spreadsheet::{guarded, is_risky, unguarded};
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};

fn reference() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/csv")
}

fn reading(file: &str, how: &How) -> Reading {
    read(&file.into(), fs::read(reference().join("files").join(file)).unwrap(), how)
}

fn records(table: &Table) -> Vec<Vec<String>> {
    table.records().map(|row| row.cells().map(|cell| cell.text().into_owned()).collect()).collect()
}

fn form(table: &Table) -> TextForm {
    match table.form {
        Form::Text(form) => form,
        Form::Workbook { .. } => panic!("{} is no workbook", table.file),
    }
}

/// Cases whose rows are to be told of by what their cells say: names by the rules of the roster, days and
/// hours by the reader of hours. The table itself has nothing to tell of them.
const BY_CONTENT: [&str; 6] = ["mojibake", "nbsp", "zero-width", "nfd-nfc", "hours-forms", "date-forms"];

/// Cases of grammar alone, which a people file must be told of: nobody is on it.
const NOBODY: [&str; 2] = ["rfc-7-quote", "empty-quoted"];

/// The encoding as the reference names it.
fn encoding(table: &Table) -> &'static str {
    match form(table).encoding {
        Encoding::Utf8 => "utf-8",
        Encoding::Utf16Le | Encoding::Utf16Be => "utf-16",
        Encoding::Other(other) if other.name() == "windows-1250" => "cp1250",
        Encoding::Other(other) if other.name() == "windows-1252" => "cp1252",
        Encoding::Other(other) => other.name(),
    }
}

fn rows(expected: &Value) -> Option<Vec<Vec<String>>> {
    let skipped = expected["skip_first_records"].as_u64().unwrap() as usize;
    let rows: Vec<Vec<String>> = serde_json::from_value(expected["rows"].clone()).ok()?;
    Some(rows[skipped..].to_vec())
}

#[test]
fn every_form_of_a_table_is_read_refused_asked_or_told_as_expected() {
    let mut looked_at = 0;
    for row in csv::Reader::from_path(reference().join("cases.csv")).unwrap().records() {
        let row = row.unwrap();
        let (id, verdict) = (&row[0], &row[5]);
        let file = format!("{id}.csv");
        let text = fs::read_to_string(reference().join(&row[2])).unwrap();
        let expected: Value = serde_json::from_str(&text).unwrap();
        let mut got = reading(&file, &How::default());
        let stopping = |findings: &[Finding]| {
            findings.iter().find(|finding| finding.stops_press).map(|finding| finding.rule.name)
        };
        match verdict {
            "read" if NOBODY.contains(&id) => {
                assert_eq!(
                    got.findings.iter().map(|finding| finding.rule.name).collect::<Vec<_>>(),
                    ["rows-missing"]
                )
            }
            "read" => assert!(got.findings.is_empty(), "{id}: {:?}", got.findings),
            "read with finding" => {
                assert_eq!(stopping(&got.findings), None, "{id}");
                assert_eq!(got.findings.is_empty(), BY_CONTENT.contains(&id), "{id}: {:?}", got.findings);
            }
            "refuse" => assert!(stopping(&got.findings).is_some(), "{id} is not refused"),
            "ask" => {
                assert_eq!(stopping(&got.findings), Some("encoding-unclear"), "{id}");
                let named = encoding_rs::Encoding::for_label(row[3].as_bytes());
                got = reading(&file, &How { encoding: named, ..How::default() });
                assert!(got.findings.is_empty(), "{id}: {:?}", got.findings);
            }
            other => panic!("{id}: what is “{other}”?"),
        }
        for finding in &got.findings {
            let named = finding.message.contains("ow ") || finding.message.contains("ine ");
            let as_whole = ["table-empty", "rows-missing", "file-unreadable"].contains(&finding.rule.name);
            assert!(named || as_whole, "{id}: no row is named in “{}”", finding.message);
        }
        if verdict != "refuse" {
            let table = got.table.unwrap_or_else(|| panic!("{id} gives no table"));
            if let Some(rows) = rows(&expected) {
                assert_eq!(records(&table), rows, "{id}");
            }
            assert_eq!(encoding(&table), &row[3], "{id}");
            let delimiter = expected["delimiter"].as_str().unwrap();
            assert_eq!(form(&table).delimiter.to_string(), delimiter, "{id}");
        }
        looked_at += 1;
    }
    assert_eq!(looked_at, 62);
}

/// Where a finding stands, by the row that its message names.
#[test]
fn what_is_odd_is_told_with_its_row() {
    for (id, rule, words) in [
        ("bad-utf8-byte", "encoding-guessed", "Line 2"),
        ("windows-1252", "encoding-guessed", "Line 2"),
        ("nul-byte", "file-unreadable", "line 2"),
        ("unclosed-quote", "syntax", "row 2"),
        ("bare-quote", "quote-stray", "Row 2"),
        ("text-after-quote", "quote-stray", "Row 2"),
        ("space-before-quote", "row-ragged", "Row 2 has 3 cells"),
        ("backslash-quote", "quote-stray", "Row 2 has a backslash"),
        ("ragged-short", "row-ragged", "Row 2"),
        ("ragged-long", "row-ragged", "Row 2"),
        ("repeated-header", "passed-over", "Row 3"),
        ("title-lines", "passed-over", "row 4"),
        ("ctrl-z", "passed-over", "Row 3"),
        ("duplicate-headings", "heading-doubled", "Columns 2 and 3"),
        ("html-export", "file-unreadable", "a web page"),
        ("xlsx-named-csv", "file-unreadable", "a workbook"),
    ] {
        let findings = reading(&format!("{id}.csv"), &How::default()).findings;
        let told =
            findings.iter().any(|finding| finding.rule.name == rule && finding.message.contains(words));
        assert!(told, "{id}: {findings:?}");
    }
}

/// What is no row of data is not among the rows, and rows keep their numbers.
#[test]
fn rows_are_those_with_data_and_keep_their_numbers() {
    for (id, numbers) in [
        ("blank-lines", &[3, 6][..]),
        ("comma-only-rows", &[3]),
        ("repeated-header", &[2, 4]),
        ("title-lines", &[5]),
        ("ctrl-z", &[2]),
        ("sep-line", &[2]),
        ("quoted-newline-address", &[2, 3]),
        ("header-only", &[]),
        ("one-column", &[2, 3]),
    ] {
        let table = reading(&format!("{id}.csv"), &How::default()).table.unwrap();
        let got: Vec<usize> = table.rows().map(|row| row.number()).collect();
        assert_eq!(got, numbers, "{id}");
    }
}

/// A write that changes nothing gives the same bytes, and one that changes a cell changes nothing else.
#[test]
fn a_table_can_be_written_back_cell_by_cell() {
    let mut changed_ones = 0;
    for row in csv::Reader::from_path(reference().join("cases.csv")).unwrap().records() {
        let id = row.unwrap()[0].to_owned();
        let bytes = fs::read(reference().join(format!("files/{id}.csv"))).unwrap();
        let Reading { table: Some(table), text, .. } = reading(&format!("{id}.csv"), &How::default()) else {
            continue;
        };
        let encoding = form(&table).encoding;
        assert_eq!(&*encoding.encode(&text).unwrap(), bytes, "{id}");
        let Some(cell) = table.rows().last().and_then(|row| row.cell(0)) else { continue };
        let mut changed = text.to_string();
        changed.replace_range(cell.source_range(), &cell.rewritten("É, \"B\"; C").unwrap());
        let bytes = encoding.encode(&changed).unwrap().into_owned();
        let again = read(&table.file, bytes, &How::default());
        let mut expected = records(&table);
        let at = table.rows().last().unwrap().number() - 1;
        expected[at][0] = "É, \"B\"; C".into();
        let again = again.table.unwrap();
        assert_eq!((records(&again), form(&again)), (expected, form(&table)), "{id}");
        changed_ones += 1;
    }
    assert!(changed_ones > 40, "only {changed_ones} tables have a cell to change");
}

#[test]
fn the_published_spectrum_is_read() {
    let mut looked_at = 0;
    for row in csv::Reader::from_path(reference().join("spectrum.csv")).unwrap().records() {
        let row = row.unwrap();
        let expected = fs::read_to_string(reference().join(&row[2])).unwrap();
        let expected: Vec<Value> = serde_json::from_str(&expected).unwrap();
        let table = read(&row[1].into(), fs::read(reference().join(&row[1])).unwrap(), &How::default());
        let table = table.table.unwrap();
        let headings: Vec<String> =
            table.headings().unwrap().cells().map(|cell| cell.text().into_owned()).collect();
        let rows: Vec<Value> = table
            .rows()
            .map(|row| {
                let cells =
                    headings.iter().cloned().zip(row.cells().map(|cell| cell.text().into_owned().into()));
                Value::Object(cells.collect())
            })
            .collect();
        assert_eq!(rows, expected, "{}", &row[0]);
        looked_at += 1;
    }
    assert_eq!(looked_at, 11);
}

/// What is written so that no spreadsheet runs it reads back as it was. The reference leaves a text that
/// starts with such a mark already (inj-20) as it is; it gets one more, since its own would be lost.
#[test]
fn cells_that_could_run_are_marked_and_read_back() {
    let mut looked_at = 0;
    for row in csv::Reader::from_path(reference().join("injection.csv")).unwrap().records() {
        let row = row.unwrap();
        let value: String = serde_json::from_str(&row[1]).unwrap();
        let written: String = serde_json::from_str(&row[3]).unwrap();
        assert_eq!(is_risky(&value), &row[2] == "yes", "{}", &row[0]);
        let written = if &row[0] == "inj-20" { "''=1+1".to_owned() } else { written };
        assert_eq!(guarded(&value), written, "{}", &row[0]);
        assert_eq!(unguarded(&written), value, "{}", &row[0]);
        looked_at += 1;
    }
    assert_eq!(looked_at, 29);
}

#[test]
fn lines_are_counted_by_every_kind_of_line_end() {
    for (text, line) in [("a,b\r1,2\r3,4\r", 3), ("a,b\r\n1,2\n3,4\r", 3), ("a,b\n1,\"x\ry\"\n3,4", 4)] {
        let file = "people/roster.csv".into();
        let reading = read(&file, text.into(), &How::default());
        let table = reading.table.unwrap();
        let mut sources = Sources::default();
        sources.add(file, reading.text);
        let place: Place = table.rows().last().unwrap().place();
        assert_eq!(sources.line_column(&place).line, line, "{text:?}");
    }
}

// ---- workbooks ----

fn values(table: &Table) -> Vec<Vec<String>> {
    table.rows().map(|row| row.cells().map(|cell| cell.value().into_owned()).collect()).collect()
}

/// A workbook as spreadsheets write it: title, headings, a gap, cells of every kind, a second sheet.
fn workbook() -> Vec<u8> {
    let mut book = rust_xlsxwriter::Workbook::new();
    let sheet = book.add_worksheet().set_name("Riders").unwrap();
    sheet.write(0, 0, "Spring roster").unwrap();
    for (column, heading) in ["event", "name", "attended", "zip", "hours", "date", "note"].iter().enumerate()
    {
        sheet.write(2, column as u16, *heading).unwrap();
    }
    let zip = rust_xlsxwriter::Format::new().set_num_format("00000");
    let day = rust_xlsxwriter::Format::new().set_num_format("d mmm yyyy");
    let time = rust_xlsxwriter::Format::new().set_num_format("[h]:mm");
    sheet.write(4, 0, "north").unwrap();
    sheet.write(4, 1, "Zoë Ångström").unwrap();
    sheet.write(4, 2, true).unwrap();
    sheet.write_with_format(4, 3, 7001, &zip).unwrap();
    sheet.write(4, 4, 2.5).unwrap();
    let date = rust_xlsxwriter::ExcelDateTime::from_ymd(2031, 5, 4).unwrap();
    sheet.write_with_format(4, 5, &date, &day).unwrap();
    sheet.write(4, 6, "two\nlines").unwrap();
    sheet.write(5, 1, "Ada Wren").unwrap();
    sheet.write(5, 3, "00501").unwrap();
    sheet.write_with_format(5, 4, 26.5 / 24.0, &time).unwrap();
    sheet.write(5, 6, "=1+1").unwrap();
    book.add_worksheet().write(0, 0, "Elsewhere").unwrap();
    book.save_to_buffer().unwrap()
}

#[test]
fn a_workbook_reads_as_a_person_would_write_it() {
    let file = "people/roster.xlsx".into();
    let reading = read(&file, workbook(), &How::default());
    let table = reading.table.unwrap();
    assert_eq!(
        values(&table),
        [
            vec!["north", "Zoë Ångström", "TRUE", "07001", "2.5", "2031-05-04", "two\nlines"],
            vec!["", "Ada Wren", "", "00501", "26:30", "", "=1+1"],
        ]
    );
    assert_eq!(table.rows().map(|row| row.number()).collect::<Vec<_>>(), [5, 6]);
    let rules: Vec<&str> = reading.findings.iter().map(|finding| finding.rule.name).collect();
    assert_eq!(rules, ["passed-over", "passed-over"], "{:?}", reading.findings);
    let mut sources = Sources::default();
    sources.add(file, reading.text);
    let name = table.row(6).unwrap().cell(1).unwrap();
    let at = sources.line_column(&name.place());
    assert_eq!((at.line, at.column, sources.words(&name.place())), (6, 2, "Ada Wren"));
    assert_eq!(name.rewritten("Ada"), None);
    assert_eq!(table.cell_at(&name.place()).unwrap().text(), "Ada Wren");
}

#[test]
fn an_open_document_reads_the_same() {
    let bytes = fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/tables/riders.ods")).unwrap();
    let reading = read(&"people/hours.ods".into(), bytes, &How::default());
    assert!(reading.findings.is_empty(), "{:?}", reading.findings);
    let table = reading.table.unwrap();
    assert_eq!(
        values(&table),
        [
            ["north", "Zoë Ångström", "TRUE", "07001", "2.5", "2031-05-04"],
            ["south", "Ada Wren", "FALSE", "45", "2:30", "2031-05-04 09:30:00"],
        ]
    );
    assert_eq!(table.rows().map(|row| row.number()).collect::<Vec<_>>(), [3, 4]);
}

#[test]
fn what_is_no_workbook_is_refused() {
    for bytes in
        [&b"event,name\n"[..], b"PK\x03\x04rest", &[0xd0, 0xcf, 0x11, 0xe0, 0xa1, 0xb1, 0x1a, 0xe1, 0]]
    {
        for name in ["people/roster.xlsx", "people/roster.ods"] {
            let reading = read(&name.into(), bytes.to_vec(), &How::default());
            assert!(reading.table.is_none());
            assert_eq!(reading.findings[0].rule.name, "file-unreadable");
        }
    }
}

// ---- headings ----

/// The sound program with other settings and another roster.
fn roster(
    settings: &str,
    file: &str,
    bytes: &[u8],
) -> Result<std::sync::Arc<packstring::program::Roster>, Vec<String>> {
    let folder = crate::mistakes::sound_program();
    let path = folder.path().join("program.toml");
    let text = fs::read_to_string(&path).unwrap();
    fs::write(path, format!("{text}\n{settings}")).unwrap();
    fs::remove_file(folder.path().join("people/roster.csv")).unwrap();
    fs::write(folder.path().join("people").join(file), bytes).unwrap();
    match packstring::program::open(folder.path()) {
        Ok(program) => Ok(program.people.roster),
        Err(unread) => Err(unread.mistakes.into_iter().map(|finding| finding.message).collect()),
    }
}

#[test]
fn the_usual_headings_of_forms_are_guessed_and_the_guess_is_kept() {
    use packstring::program::roster::{ColumnMeaning, Field};
    let text = "Timestamp,Your e-mail address,First name,Last name,Workshop,Horse’s name (as on the certificate),Attended,Zip,T-shirt size\n\
        2026-05-16 9:12,ana@mail.example,Ana,Ruiz,north camp workshop,Bess,✓,07001,M\n";
    let roster = roster("", "roster.csv", text.as_bytes()).unwrap();
    let row = &roster.rows[0];
    assert_eq!((row.name.as_str(), row.event.as_str(), row.row), ("Ana Ruiz", "north", 2));
    assert_eq!((row.companion.as_deref(), row.attended, row.passed), (Some("Bess"), true, None));
    assert_eq!(row.address.as_ref().unwrap().postcode, "07001");
    let understood: Vec<ColumnMeaning> = roster.columns.iter().map(|column| column.understood).collect();
    let guess = ColumnMeaning::ByGuess;
    assert_eq!(
        understood,
        [
            ColumnMeaning::PassedOver,
            guess(Field::Email),
            guess(Field::Name),
            guess(Field::Name),
            guess(Field::Event),
            guess(Field::Companion),
            ColumnMeaning::ByName(Field::Attended),
            guess(Field::Postcode),
            guess(Field::Size),
        ]
    );
}

#[test]
fn settings_name_the_headings_and_the_encoding() {
    let settings = "[roster]\nencoding = \"windows-1250\"\n[roster.headings]\n\
        name = [\"Given\", \"Family\"]\ncompanion = \"Who comes with you?\"\nevent = \"Where\"\n";
    let text = "Family;Given;Where;Who comes with you?;attended\nŻak;Łukasz;north;Świt;sí\n";
    let roster_text = encoding_rs::WINDOWS_1250.encode(text).0;
    let read = roster(settings, "roster.csv", &roster_text).unwrap();
    assert_eq!((read.rows[0].name.as_str(), read.rows[0].companion.as_deref()), ("Łukasz Żak", Some("Świt")));
    let asked = roster("", "roster.csv", &roster_text).unwrap_err();
    assert!(asked.iter().any(|message| message.contains("could be of several encodings")), "{asked:?}");
    let unknown = roster(
        "[roster.headings]\nnmae = \"x\"\nname = \"Nobody\"\n",
        "roster.csv",
        b"event,name,attended\n",
    );
    let unknown = unknown.unwrap_err();
    assert!(
        unknown.iter().any(|message| message.contains("does not read “nmae” from a roster")),
        "{unknown:?}"
    );
    assert!(unknown.iter().any(|message| message.contains("no heading “Nobody”")), "{unknown:?}");
}

#[test]
fn a_roster_may_be_a_workbook_but_only_one_file() {
    let read = roster("", "roster.xlsx", &workbook()).unwrap_err();
    assert!(read.iter().any(|message| message.contains("Row 6 has no event")), "{read:?}");
    let folder = crate::mistakes::sound_program();
    fs::write(folder.path().join("people/roster.tsv"), "event\tname\tattended\n").unwrap();
    let unread = packstring::program::open(folder.path()).unwrap_err();
    assert!(unread.mistakes[0].message.contains("reads only one"), "{:?}", unread.mistakes);
}
