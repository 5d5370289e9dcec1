//! How large a workbook is once it is unpacked, counted in one pass over its parts before anything is filled.
//!
//! A file of a few kilobytes can say that it has four thousand million rows, spaces or strings, and a reader that
//! believes it fills the memory of the machine. So what the parts say is added up here first: cells and where they
//! stand (ISO/IEC 29500 for .xlsx), and how often rows, cells and spaces are repeated (ISO/IEC 26300 for .ods). The
//! bytes count as they come out of the archive, whatever it says of itself.

use crate::limits;
use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};
use std::io::{BufRead, BufReader, Cursor, Read};
use zip::ZipArchive;

const DAMAGED: &str = "it is damaged or no workbook";
const LARGE: &str = "it would fill this machine's memory once it is unpacked";
const FAR: &str = "it says that cells stand farther away than any sheet reaches";
const MANY: &str = "it says that it repeats cells, rows or spaces more often than any list of people does";

/// Why a workbook cannot be unpacked; nothing where it can, or where it is no archive at all.
pub(super) fn unfit(bytes: &[u8]) -> Option<&'static str> {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).ok()?;
    let mut left = limits::WORKBOOK_BYTES;
    let mut book = Book::default();
    for at in 0..archive.len() {
        let Ok(part) = archive.by_index(at) else { continue };
        if part.size() > left {
            return Some(LARGE);
        }
        let is_xml = part.name().is_ok_and(|name| name.to_ascii_lowercase().ends_with(".xml"));
        let mut part = Counted { of: part.take(left + 1), read: 0 };
        // Whatever it is called: a sheet may lie under any name.
        if let Some(why) = book.part(BufReader::new(&mut part), is_xml) {
            return Some(why);
        }
        // What is left of a part that is no XML, or breaks off: pictures and the like.
        let _ = std::io::copy(&mut part, &mut std::io::sink());
        if part.read > left {
            return Some(LARGE);
        }
        left -= part.read;
    }
    None
}

struct Counted<R> {
    of: R,
    read: u64,
}

impl<R: Read> Read for Counted<R> {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        let read = self.of.read(into)?;
        self.read += read as u64;
        Ok(read)
    }
}

/// What was counted so far, over all parts.
#[derive(Default)]
struct Book {
    cells: u64,
    /// Bytes of text, as often as it is repeated.
    text: u64,
    sheet: Sheet,
}

/// Where a sheet is that is being counted.
struct Sheet {
    /// Rows from the first that has something in it.
    rows: u64,
    /// The most cells up to one with something in it.
    width: u64,
    /// Of the row that is being counted: how often it stands there, and its cells so far.
    row_times: u64,
    columns: u64,
    cell_times: u64,
}

impl Default for Sheet {
    fn default() -> Self {
        Self { rows: 0, width: 0, row_times: 1, columns: 0, cell_times: 1 }
    }
}

impl Book {
    /// What `is_xml` must be that to its end: readers wait for the end of what is begun.
    fn part(&mut self, part: impl BufRead, is_xml: bool) -> Option<&'static str> {
        let mut reader = Reader::from_reader(part);
        self.sheet = Sheet::default();
        let (mut has_begun, mut depth) = (false, 0_u64);
        let mut buffer = Vec::new();
        loop {
            buffer.clear();
            let event = reader.read_event_into(&mut buffer);
            match &event {
                Ok(Event::Start(_)) => (has_begun, depth) = (true, depth + 1),
                Ok(Event::End(_)) => depth = depth.saturating_sub(1),
                _ => {}
            }
            match event {
                Ok(Event::Start(start) | Event::Empty(start)) => {
                    if let Some(why) = self.element(&start) {
                        return Some(why);
                    }
                }
                Ok(Event::Text(text)) => self.add_text(text.len() as u64),
                Ok(Event::CData(text)) => self.add_text(text.len() as u64),
                Ok(Event::Eof) => return (is_xml && depth > 0).then_some(DAMAGED),
                Err(_) => return (is_xml && has_begun).then_some(DAMAGED),
                Ok(_) => {}
            }
            if self.cells > limits::PEOPLE_CELLS as u64 || self.text > limits::WORKBOOK_TEXT as u64 {
                return Some(MANY);
            }
        }
    }

    fn add_text(&mut self, bytes: u64) {
        let times = self.sheet.cell_times.saturating_mul(self.sheet.row_times);
        self.text = self.text.saturating_add(bytes.saturating_mul(times));
    }

    fn element(&mut self, start: &BytesStart) -> Option<&'static str> {
        let sheet = &mut self.sheet;
        match start.name().into_inner() {
            "table:table" => *sheet = Sheet::default(),
            "table:table-row" => {
                sheet.row_times = times(start, "table:number-rows-repeated");
                if sheet.width > 0 {
                    sheet.rows = sheet.rows.saturating_add(sheet.row_times);
                }
                sheet.columns = 0;
            }
            "table:table-cell" | "table:covered-table-cell" => {
                // What stands before it in its row is filled by who reads it, whatever is in it.
                self.cells = self.cells.saturating_add(sheet.cell_times.min(MOST_COLUMNS));
                sheet.cell_times = times(start, "table:number-columns-repeated");
                sheet.columns = sheet.columns.saturating_add(sheet.cell_times);
                let has_value = |key: &str| key.starts_with("office:") || key == "table:formula";
                if start.attributes().with_checks(false).flatten().any(|it| has_value(it.key.into_inner())) {
                    return self.filled();
                }
            }
            "text:p" => return self.filled(),
            "text:s" => {
                let spaces = times(start, "text:c");
                self.add_text(spaces);
            }
            name => match name.rsplit(':').next() {
                Some("c") => {
                    self.cells += 1;
                    sheet.columns += 1;
                    return (sheet.columns > MOST_COLUMNS || is_placed_far(start, "r")).then_some(FAR);
                }
                Some("row") => {
                    sheet.columns = 0;
                    return is_placed_far(start, "r").then_some(FAR);
                }
                Some("dimension") => return is_placed_far(start, "ref").then_some(FAR),
                Some("sst") => {
                    let says = ["count", "uniqueCount"].map(|key| times(start, key));
                    return (says.into_iter().max() > Some(limits::PEOPLE_CELLS as u64)).then_some(MANY);
                }
                _ => {}
            },
        }
        None
    }

    /// Something stands in the cell, and so all before it is filled.
    fn filled(&mut self) -> Option<&'static str> {
        let sheet = &mut self.sheet;
        if sheet.rows == 0 {
            sheet.rows = sheet.row_times;
        }
        sheet.width = sheet.width.max(sheet.columns);
        if sheet.rows > limits::WORKBOOK_ROWS || sheet.width > MOST_COLUMNS {
            return Some(FAR);
        }
        (sheet.rows.saturating_mul(sheet.width) > limits::PEOPLE_CELLS as u64).then_some(MANY)
    }
}

/// Columns of a sheet, as ISO/IEC 29500 has it.
const MOST_COLUMNS: u64 = 16_384;

/// The whole number that an attribute says; 1 where there is none, and very many where it is beyond counting.
fn times(start: &BytesStart, key: &str) -> u64 {
    let mut attributes = start.attributes();
    let mut attributes = attributes.with_checks(false).flatten();
    let Some(said) = attributes.find(|attribute| attribute.key.into_inner() == key) else { return 1 };
    let said = said.value.trim();
    let is_number = !said.is_empty() && said.bytes().all(|byte| byte.is_ascii_digit());
    // One that is no number is told by who reads it.
    if is_number { said.parse().unwrap_or(u64::MAX) } else { 1 }
}

/// Whether a place such as `A7` or `A1:C9` lies beyond any sheet.
fn is_placed_far(start: &BytesStart, key: &str) -> bool {
    let mut attributes = start.attributes();
    let mut attributes = attributes.with_checks(false).flatten();
    let Some(place) = attributes.find(|attribute| attribute.key.into_inner() == key) else { return false };
    place.value.split(':').any(is_far)
}

fn is_far(place: &str) -> bool {
    let (mut column, mut row) = (0_u64, 0_u64);
    for byte in place.bytes().filter(|byte| *byte != b'$') {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' => {
                let letter = u64::from(byte.to_ascii_uppercase() - b'A') + 1;
                column = column.saturating_mul(26).saturating_add(letter);
            }
            b'0'..=b'9' => row = row.saturating_mul(10).saturating_add(u64::from(byte - b'0')),
            _ => {}
        }
    }
    column > MOST_COLUMNS || row > limits::WORKBOOK_ROWS
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Write;

    fn packed(parts: &[(&str, &[&str])]) -> Vec<u8> {
        let mut archive = zip::ZipWriter::new(Cursor::new(Vec::new()));
        for (name, text) in parts {
            archive.start_file(*name, zip::write::SimpleFileOptions::default()).unwrap();
            text.iter().for_each(|text| archive.write_all(text.as_bytes()).unwrap());
        }
        archive.finish().unwrap().into_inner()
    }

    fn of_sheet(inside: &str) -> Option<&'static str> {
        unfit(&packed(&[(
            "xl/worksheets/sheet1.xml",
            &["<worksheet><sheetData>", inside, "</sheetData></worksheet>"],
        )]))
    }

    fn of_table(inside: &str) -> Option<&'static str> {
        unfit(&packed(&[("content.xml", &["<table:table>", inside, "</table:table>"])]))
    }

    #[test]
    fn places_beyond_any_sheet_are_told() {
        for place in
            ["A4294967295", "A4294967296", "A99999999999999999999999", "XFE1", "A1048577", "CCCCCCCC1"]
        {
            assert_eq!(of_sheet(&format!("<row><c r=\"{place}\"/></row>")), Some(FAR), "{place}");
            assert_eq!(of_sheet(&format!("<x:row><x:c r='{place}'><x:v>1</x:v></x:c></x:row>")), Some(FAR));
            assert_eq!(of_sheet(&format!("<dimension ref=\"A1:{place}\"/>")), Some(FAR), "{place}");
        }
        assert_eq!(of_sheet("<row r='4294967295'/>"), Some(FAR));
        assert_eq!(of_sheet(&format!("<row>{}</row>", "<c/>".repeat(16_385))), Some(FAR));
        assert_eq!(
            of_sheet("<dimension ref='A1:XFD1048576'/><row r='1048576'><c r='XFD1048576'/></row>"),
            None
        );
    }

    #[test]
    fn what_is_repeated_is_counted() {
        let cell = |times: &str, inside: &str| {
            format!("<table:table-cell table:number-columns-repeated=\"{times}\">{inside}</table:table-cell>")
        };
        let row = |times: &str, cells: &str| {
            format!("<table:table-row table:number-rows-repeated=\"{times}\">{cells}</table:table-row>")
        };
        let word = "<text:p>a</text:p>";
        for (table, told) in [
            (row("1", &cell("2147483647", word)), Some(FAR)),
            (row("2147483647", &cell("1", word)), Some(FAR)),
            (row("1000000", &cell("9", word)), Some(MANY)),
            (
                row("1", &cell("1", word)) + &row("1000000", &cell("1", "")) + &row("1", &cell("9", word)),
                Some(MANY),
            ),
            (row("1", &(cell("16384", "") + &cell("1", ""))).repeat(1000), Some(MANY)),
            (row("1", &cell("1", "<text:p><text:s text:c=\"2147483647\"/></text:p>")), Some(MANY)),
            (row("1", &cell("1", "<text:p><text:s text:c='99999999999999999999'/></text:p>")), Some(MANY)),
            (row("1000", &cell("1", &format!("<text:p>{}</text:p>", "a".repeat(200_000)))), Some(MANY)),
            // As spreadsheets write what is empty to the end of the sheet.
            (row("1", &(cell("3", word) + &cell("16381", ""))) + &row("1048575", &cell("16384", "")), None),
        ] {
            assert_eq!(of_table(&table), told, "{}", &table[..table.len().min(400)]);
        }
    }

    #[test]
    fn what_is_begun_must_end() {
        let of = |text: &str| unfit(&packed(&[("content.xml", &[text])]));
        for text in ["<table:table>", "x<a><b></a>", "<a><office:annotation></a>", "<a><b></a></b>"] {
            assert_eq!(of(text), Some(DAMAGED), "{text}");
        }
        // An encrypted part, which is told by its own name.
        assert_eq!(unfit(&packed(&[("content.xml", &["\u{1}\u{2}encrypted"])])), None);
        assert_eq!(unfit(&packed(&[("Pictures/a.png", &["<a>"])])), None);
    }

    #[test]
    fn strings_that_are_only_said_to_be_there_are_no_reason_to_make_room() {
        let strings =
            |says: &str| unfit(&packed(&[("xl/sharedStrings.xml", &["<sst uniqueCount='", says, "'/>"])]));
        assert_eq!(strings("4294967295"), Some(MANY));
        assert_eq!(strings("200000"), None);
    }

    #[test]
    fn bytes_count_as_they_come_out() {
        let nothing = " ".repeat(1 << 20);
        let much: Vec<&str> = (0..=limits::WORKBOOK_BYTES >> 20).map(|_| nothing.as_str()).collect();
        for name in ["xl/worksheets/sheet1.xml", "xl/media/image1.png"] {
            let bytes = packed(&[(name, &much)]);
            assert!(bytes.len() < 2_000_000, "{} bytes", bytes.len());
            assert_eq!(unfit(&bytes), Some(LARGE), "{name}");
        }
        assert_eq!(unfit(b"no archive"), None);
    }
}
