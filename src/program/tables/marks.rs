//! What a sheet of a workbook says beside the values of its cells, and what the reader of values leaves out: which rows
//! are hidden, and which formulas hold no value.
//!
//! A spreadsheet stores beside each formula what it gave last. A program that only writes workbooks does not, and such
//! a cell looks empty to whoever does not work the formula out. A row may be hidden by hand or by a filter: who looks at
//! the sheet does not see it, and it is there all the same. Both stand in the parts of the archive (ISO/IEC 29500 for
//! .xlsx, ISO/IEC 26300 for .ods), which [`super::unpacking`] has found to be of a bearable size before.

use crate::limits;
use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::io::{BufReader, Cursor};
use std::ops::Range;
use zip::ZipArchive;
use zip::read::ZipFile;

/// The marks of a sheet; rows and columns from 0.
#[derive(Debug, Default, PartialEq, Eq)]
pub(super) struct Marks {
    /// In order.
    pub hidden: Vec<Range<u32>>,
    /// Formulas without a stored value, by row and column, in order.
    pub unworked: Vec<(u32, u32)>,
}

impl Marks {
    fn hide(&mut self, rows: Range<u32>) {
        match self.hidden.last_mut() {
            Some(last) if last.end == rows.start => last.end = rows.end,
            _ => self.hidden.push(rows),
        }
    }
}

/// The archive of a workbook, and where its sheets lie in it.
pub(super) struct Parts<'b> {
    archive: ZipArchive<Cursor<&'b [u8]>>,
    /// Of .xlsx: the path of each sheet by its name.
    sheets: BTreeMap<String, String>,
}

type Part<'a, 'b> = Reader<BufReader<ZipFile<'a, Cursor<&'b [u8]>>>>;

impl<'b> Parts<'b> {
    pub fn of(bytes: &'b [u8]) -> Option<Self> {
        let archive = ZipArchive::new(Cursor::new(bytes)).ok()?;
        let mut parts = Self { archive, sheets: BTreeMap::new() };
        parts.sheets = parts.paths().unwrap_or_default();
        Some(parts)
    }

    fn names(&self) -> impl Iterator<Item = String> {
        self.archive.file_names().flatten().map(Cow::into_owned)
    }

    fn open(&mut self, path: &str) -> Option<Part<'_, 'b>> {
        let name = self.names().find(|name| name.eq_ignore_ascii_case(path))?;
        let part = self.archive.by_name(&name).ok()?;
        Some(Reader::from_reader(BufReader::new(part)))
    }

    /// The path of each sheet of an .xlsx file: the workbook gives it an id, and its relations say what that is.
    fn paths(&mut self) -> Option<BTreeMap<String, String>> {
        let mut named = None;
        if let Some(mut relations) = self.open("_rels/.rels") {
            elements(&mut relations, |element| {
                if said(element, "Type").is_some_and(|kind| kind.ends_with("/relationships/officeDocument")) {
                    named = said(element, "Target");
                }
            });
        }
        let book = named.unwrap_or_else(|| "xl/workbook.xml".to_owned());
        let book = book.trim_start_matches('/');
        let (folder, name) = book.rfind('/').map_or(("", book), |at| book.split_at(at + 1));
        let relations = format!("{folder}_rels/{name}.rels");
        let mut targets = BTreeMap::new();
        elements(&mut self.open(&relations)?, |element| {
            if let (Some(id), Some(target)) = (said(element, "Id"), said(element, "Target")) {
                let path =
                    target.strip_prefix('/').map_or_else(|| format!("{folder}{target}"), str::to_owned);
                targets.insert(id, path);
            }
        });
        let mut paths = BTreeMap::new();
        elements(&mut self.open(book)?, |element| {
            if local(element) == "sheet"
                && let (Some(name), Some(id)) = (said(element, "name"), said(element, "id"))
                && let Some(path) = targets.get(&id)
            {
                paths.insert(name, path.clone());
            }
        });
        Some(paths)
    }

    /// The marks of a sheet of an .xlsx file.
    pub fn of_xlsx(&mut self, sheet: &str) -> Marks {
        let path = self.sheets.get(sheet).cloned();
        let Some(mut part) = path.and_then(|path| self.open(&path)) else { return Marks::default() };
        let mut marks = Marks::default();
        let (mut row, mut column) = (None::<u32>, 0_u32);
        let mut cell = XlsxCell::default();
        let mut buffer = Vec::new();
        loop {
            buffer.clear();
            let Ok(event) = part.read_event_into(&mut buffer) else { return marks };
            let is_empty = matches!(event, Event::Empty(_));
            match event {
                Event::Start(start) | Event::Empty(start) => match local(&start).as_str() {
                    "row" => {
                        let number = said(&start, "r").and_then(|said| said.trim().parse::<u32>().ok());
                        let at = number.and_then(|number| number.checked_sub(1));
                        let at = at.unwrap_or_else(|| row.map_or(0, |row| row.saturating_add(1)));
                        (row, column) = (Some(at), 0);
                        let is_flat =
                            || said(&start, "ht").is_some_and(|height| height.parse() == Ok(0.0_f64));
                        if said(&start, "hidden").is_some_and(|it| is_true(&it)) || is_flat() {
                            marks.hide(at..at.saturating_add(1));
                        }
                    }
                    "c" => {
                        let at = said(&start, "r").and_then(|place| place_of(&place));
                        let (of_row, of_column) = at.unwrap_or((row.unwrap_or_default(), column));
                        column = of_column.saturating_add(1);
                        let is_text = said(&start, "t").is_some_and(|kind| kind == "str");
                        cell = XlsxCell { at: (of_row, of_column), is_text, ..XlsxCell::default() };
                        if is_empty {
                            cell = XlsxCell::default();
                        }
                    }
                    "f" => cell.has_formula = true,
                    // A formula may well give a text without letters; a number has digits.
                    "v" => (cell.has_value, cell.is_in_value) = (cell.is_text, !is_empty),
                    "is" => cell.has_value = true,
                    _ => {}
                },
                Event::Text(text) if cell.is_in_value && !text.trim().is_empty() => cell.has_value = true,
                Event::End(end) => match local_of(end.name().into_inner()) {
                    "v" => cell.is_in_value = false,
                    "c" => {
                        if cell.has_formula && !cell.has_value {
                            marks.unworked.push(cell.at);
                        }
                        cell = XlsxCell::default();
                    }
                    "sheetData" => return marks,
                    _ => {}
                },
                Event::Eof => return marks,
                _ => {}
            }
        }
    }

    /// The marks of a sheet of an .ods file.
    pub fn of_ods(&mut self, sheet: &str) -> Marks {
        let Some(mut part) = self.open("content.xml") else { return Marks::default() };
        let mut marks = Marks::default();
        let mut is_it = false;
        // For each group of rows that is open, whether it is folded up.
        let mut groups: Vec<bool> = Vec::new();
        let (mut next_row, mut rows, mut column) = (0_u32, 0_u32..0_u32, 0_u32);
        let mut buffer = Vec::new();
        loop {
            buffer.clear();
            let Ok(event) = part.read_event_into(&mut buffer) else { return marks };
            let is_empty = matches!(event, Event::Empty(_));
            match event {
                Event::Start(start) | Event::Empty(start) => match start.name().into_inner() {
                    "table:table" => {
                        is_it = said(&start, "name").is_some_and(|name| name == sheet);
                        next_row = 0;
                    }
                    "table:table-row-group" if is_it && !is_empty => {
                        groups.push(said(&start, "display").is_some_and(|it| it == "false"));
                    }
                    "table:table-row" if is_it => {
                        rows = next_row..next_row.saturating_add(times(&start, "number-rows-repeated"));
                        (next_row, column) = (rows.end, 0);
                        let shown = said(&start, "visibility").is_none_or(|it| it == "visible");
                        if !shown || groups.contains(&true) {
                            marks.hide(rows.clone());
                        }
                    }
                    "table:table-cell" | "table:covered-table-cell" if is_it => {
                        let cells = column..column.saturating_add(times(&start, "number-columns-repeated"));
                        column = cells.end;
                        if said(&start, "formula").is_some() && said(&start, "value-type").is_none() {
                            let all = rows.clone().flat_map(|row| cells.clone().map(move |cell| (row, cell)));
                            let left = limits::PEOPLE_CELLS.saturating_sub(marks.unworked.len());
                            marks.unworked.extend(all.take(left));
                        }
                    }
                    _ => {}
                },
                Event::End(end) => match end.name().into_inner() {
                    "table:table" if is_it => return marks,
                    "table:table-row-group" if is_it => {
                        groups.pop();
                    }
                    _ => {}
                },
                Event::Eof => return marks,
                _ => {}
            }
        }
    }
}

/// A cell of an .xlsx file that is being read.
#[derive(Default)]
struct XlsxCell {
    at: (u32, u32),
    /// What its formula gives is a text.
    is_text: bool,
    has_formula: bool,
    has_value: bool,
    is_in_value: bool,
}

/// Tells each element of a part; nothing more where it breaks off.
fn elements(part: &mut Part, mut tell: impl FnMut(&BytesStart)) {
    let mut buffer = Vec::new();
    loop {
        buffer.clear();
        match part.read_event_into(&mut buffer) {
            Ok(Event::Start(start) | Event::Empty(start)) => tell(&start),
            Ok(Event::Eof) | Err(_) => return,
            Ok(_) => {}
        }
    }
}

fn local(start: &BytesStart) -> String {
    local_of(start.name().into_inner()).to_owned()
}

fn local_of(name: &str) -> &str {
    name.rsplit(':').next().unwrap_or(name)
}

/// What an attribute says, whatever its prefix.
fn said(start: &BytesStart, key: &str) -> Option<String> {
    let mut attributes = start.attributes();
    let mut attributes = attributes.with_checks(false).flatten();
    let attribute = attributes.find(|attribute| local_of(attribute.key.into_inner()) == key)?;
    let value = quick_xml::escape::unescape(&attribute.value).ok()?;
    Some(value.into_owned())
}

fn times(start: &BytesStart, key: &str) -> u32 {
    said(start, key).and_then(|said| said.trim().parse().ok()).unwrap_or(1)
}

fn is_true(said: &str) -> bool {
    matches!(said.trim(), "1" | "true" | "on")
}

/// `B5` as row 4 and column 1.
fn place_of(place: &str) -> Option<(u32, u32)> {
    let digits = place.find(|c: char| c.is_ascii_digit())?;
    let (letters, number) = place.split_at(digits);
    let column = letters.bytes().try_fold(0_u32, |column, byte| {
        let letter = byte.is_ascii_alphabetic().then(|| u32::from(byte.to_ascii_uppercase() - b'A') + 1)?;
        column.checked_mul(26)?.checked_add(letter)
    })?;
    Some((number.parse::<u32>().ok()?.checked_sub(1)?, column.checked_sub(1)?))
}

/// A place as a spreadsheet shows it: `B5`.
pub(super) fn shown(row: u32, column: u32) -> String {
    let mut letters = Vec::new();
    let mut left = column + 1;
    while left > 0 {
        letters.push(char::from(b'A' + ((left - 1) % 26) as u8));
        left = (left - 1) / 26;
    }
    let letters: String = letters.into_iter().rev().collect();
    format!("{letters}{}", u64::from(row) + 1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Write;

    fn packed(parts: &[(&str, &str)]) -> Vec<u8> {
        let mut archive = zip::ZipWriter::new(Cursor::new(Vec::new()));
        for (name, text) in parts {
            archive.start_file(*name, zip::write::SimpleFileOptions::default()).unwrap();
            archive.write_all(text.as_bytes()).unwrap();
        }
        archive.finish().unwrap().into_inner()
    }

    fn xlsx(rows: &str) -> Marks {
        let sheet = format!("<worksheet><sheetData>{rows}</sheetData></worksheet>");
        let bytes = packed(&[
            (
                "xl/workbook.xml",
                "<workbook><sheets><sheet name=\"A &amp; B\" r:id=\"r7\"/></sheets></workbook>",
            ),
            (
                "xl/_rels/workbook.xml.rels",
                "<Relationships><Relationship Id=\"r7\" Target=\"/xl/worksheets/seven.xml\"/></Relationships>",
            ),
            ("xl/worksheets/seven.xml", &sheet),
        ]);
        Parts::of(&bytes).unwrap().of_xlsx("A & B")
    }

    fn ods(rows: &str) -> Marks {
        let content = format!(
            "<office:document-content><table:table table:name=\"other\"><table:table-row table:visibility=\"filter\"/></table:table><table:table table:name=\"it\">{rows}</table:table></office:document-content>"
        );
        let bytes = packed(&[("content.xml", &content)]);
        Parts::of(&bytes).unwrap().of_ods("it")
    }

    /// ISO/IEC 29500-1, 18.3.1.4 (c), 18.3.1.40 (f), 18.3.1.73 (row), 18.18.11 (`str`: a formula's text).
    #[test]
    fn a_formula_without_a_value_is_told_from_one_that_gives_an_empty_text() {
        let marks = xlsx(
            "<row r=\"1\"><c r=\"A1\"><f>1+1</f><v>2</v></c><c r=\"B1\"><f>1+1</f><v></v></c><c r=\"C1\"><f>1+1</f></c>\
             <c r=\"D1\" t=\"str\"><f>IF(1,\"\",\"\")</f><v></v></c><c r=\"E1\" t=\"str\"><f>X1</f></c></row>\
             <row r=\"4\"><c r=\"AA4\"><f>1</f><v/></c><c r=\"AB4\"/><c r=\"AC4\"><v>1</v></c></row>\
             <row><c><f>1</f></c><c t=\"str\"><f>1</f><v/></c></row>",
        );
        assert_eq!(marks.unworked, [(0, 1), (0, 2), (0, 4), (3, 26), (4, 0)]);
        assert_eq!(shown(3, 26), "AA4");
        assert_eq!(shown(0, 701), "ZZ1");
        assert_eq!(place_of("AA4"), Some((3, 26)));
    }

    #[test]
    fn hidden_rows_are_found_with_and_without_a_number() {
        let marks = xlsx(
            "<row r=\"1\"/><row r=\"2\" hidden=\"1\"/><row hidden=\"true\"/><row/><row r=\"9\" ht=\"0\" customHeight=\"1\"/><row r=\"10\" hidden=\"0\"/>",
        );
        assert_eq!(marks.hidden, [1..3, 8..9]);
    }

    /// ISO/IEC 26300-1, 19.749 (`table:visibility`), 19.627 (`table:display`), 19.642 (`table:formula`).
    #[test]
    fn the_same_of_an_open_document() {
        let marks = ods(
            "<table:table-row><table:table-cell table:number-columns-repeated=\"2\"/><table:table-cell table:formula=\"of:=1\"/></table:table-row>\
             <table:table-row table:number-rows-repeated=\"2\" table:visibility=\"filter\"/>\
             <table:table-row table:visibility=\"collapse\"><table:table-cell table:formula=\"of:=1\" office:value-type=\"string\"/></table:table-row>\
             <table:table-row/>\
             <table:table-row-group table:display=\"false\"><table:table-row/></table:table-row-group>\
             <table:table-row table:number-rows-repeated=\"4294967295\" table:visibility=\"filter\"/>",
        );
        assert_eq!(marks.unworked, [(0, 2)]);
        assert_eq!(marks.hidden, [1..4, 5..u32::MAX]);
    }

    #[test]
    fn what_is_no_workbook_has_no_marks() {
        assert!(Parts::of(b"nothing").is_none());
        assert_eq!(Parts::of(&packed(&[])).unwrap().of_xlsx("a"), Marks::default());
        assert_eq!(Parts::of(&packed(&[("content.xml", "<a")])).unwrap().of_ods("a"), Marks::default());
    }
}
