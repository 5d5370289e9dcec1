//! Edit: other words in some cells of a table, and every other byte of its file as it was.
//!
//! Encoding, byte order mark, delimiter, quotation marks, line ends, the order of columns and what nobody
//! understood stay. The bytes that the file holds now are asked for, so that an edit never writes over what
//! somebody else has changed since it was read. Nothing is written here; see `shelf::own_files`.

use super::{Cell, Form, LineEnd, Row, Table};
use crate::spreadsheet;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::ops::Range;

/// A cell and what it is to hold.
#[derive(Clone, Debug)]
pub struct Change<'t> {
    pub cell: Cell<'t>,
    pub text: String,
}

/// The file with the changes that could be made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edited {
    pub bytes: Vec<u8>,
    /// The changes, counted from 0, that need a letter which the file's encoding lacks, and that letter.
    pub left: Vec<(usize, char)>,
}

/// Why a file cannot be edited.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EditError {
    /// Workbooks are only read.
    Workbook,
    /// The file holds other bytes than those that were read.
    Changed,
}

/// A piece of the file's text and what is to stand there, letter by letter.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Splice {
    pub range: Range<usize>,
    pub text: String,
}

/// Why a file's text cannot be written otherwise.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SpliceError {
    File(EditError),
    /// The encoding of the file has no such letter.
    Letter(char),
}

impl Table {
    /// The bytes of the file with other text in some places, none of which lies over another.
    ///
    /// # Errors
    /// The table is a workbook, the file is no longer what was read, or its encoding lacks a letter.
    pub fn spliced(&self, there: &[u8], mut splices: Vec<Splice>) -> Result<Vec<u8>, SpliceError> {
        let Form::Text(form) = &self.form else { return Err(SpliceError::File(EditError::Workbook)) };
        let encode = |text: &str| form.encoding.encode(text).map(Cow::into_owned);
        // What was read is written back as the same bytes, or nothing is written at all.
        if encode(&self.text).as_deref() != Ok(there) {
            return Err(SpliceError::File(EditError::Changed));
        }
        splices.sort_by_key(|splice| splice.range.start);
        let mut text = String::with_capacity(self.text.len());
        let mut at = 0;
        for Splice { range, text: new } in &splices {
            text.push_str(&self.text[at..range.start]);
            text.push_str(new);
            at = range.end;
        }
        text.push_str(&self.text[at..]);
        encode(&text).map_err(SpliceError::Letter)
    }

    /// What puts other words into the cell of a column. A row that ends before the column gets the cells that it
    /// lacks. `None` in a workbook.
    pub fn put_into(&self, row: Row, column: usize, words: &str) -> Option<Splice> {
        let words = words.trim();
        if let Some(cell) = row.cell(column) {
            let text = cell.rewritten(&spreadsheet::guarded(words))?;
            return Some(Splice { range: cell.source_range(), text });
        }
        let mut lacking = vec![String::new(); column + 1 - row.len()];
        words.clone_into(lacking.last_mut()?);
        self.lengthen(row, &lacking)
    }

    /// What puts more cells behind the last one of a row. `None` in a workbook.
    pub fn lengthen(&self, row: Row, words: &[String]) -> Option<Splice> {
        let Form::Text(form) = &self.form else { return None };
        let end = row.cells().next_back()?.source_range().end;
        let cells = words.iter().map(|words| {
            format!("{}{}", form.delimiter, quoted(&spreadsheet::guarded(words.trim()), form.delimiter))
        });
        Some(Splice { range: end..end, text: cells.collect() })
    }

    /// What puts a new row behind the last one that holds anything. `None` in a workbook, and in a table without
    /// headings.
    pub fn add_row(&self, words: &[String]) -> Option<Splice> {
        let Form::Text(form) = &self.form else { return None };
        let last = self.rows().last().or_else(|| self.headings())?;
        let end = last.cells().next_back()?.source_range().end;
        let line_end = match form.line_end {
            LineEnd::Lf => "\n",
            LineEnd::CrLf => "\r\n",
            LineEnd::Cr => "\r",
        };
        let cells: Vec<String> =
            words.iter().map(|words| quoted(&spreadsheet::guarded(words.trim()), form.delimiter)).collect();
        let text = line_end.to_owned() + &cells.join(&form.delimiter.to_string());
        Some(Splice { range: end..end, text })
    }

    /// Where a row stands in the text, with the end of the line before it: what taking it out takes.
    pub fn with_line_before(&self, row: Row) -> Option<Range<usize>> {
        let before = self.row(row.number().checked_sub(1)?)?;
        let start = before.cells().next_back()?.source_range().end;
        Some(start..row.cells().next_back()?.source_range().end)
    }

    /// What stands in a place of the text.
    pub fn source(&self, range: Range<usize>) -> &str {
        &self.text[range]
    }

    /// The bytes of the file with other words in some cells. `there` is what the file holds now. Of two
    /// changes to one cell the last counts.
    ///
    /// # Errors
    /// The table is a workbook, or the file is no longer what was read.
    pub fn edited(&self, there: &[u8], changes: &[Change]) -> Result<Edited, EditError> {
        let Form::Text(form) = &self.form else { return Err(EditError::Workbook) };
        let mut left = Vec::new();
        // By where it stands: of several for one cell, the last was asked for last.
        let mut splices = BTreeMap::new();
        for (number, change) in changes.iter().enumerate() {
            // White space around a cell's words is passed over in reading.
            let guarded = spreadsheet::guarded(change.text.trim());
            match form.encoding.encode(&guarded) {
                Err(letter) => left.push((number, letter)),
                Ok(_) => {
                    let text = change.cell.rewritten(&guarded).ok_or(EditError::Workbook)?;
                    let range = change.cell.source_range();
                    splices.insert(range.start, Splice { range, text });
                }
            }
        }
        let bytes = self.spliced(there, splices.into_values().collect()).map_err(|error| match error {
            SpliceError::File(error) => error,
            // Each part can be encoded, so the whole can.
            SpliceError::Letter(_) => EditError::Changed,
        })?;
        Ok(Edited { bytes, left })
    }
}

/// Words as a cell, in quotation marks where they need some.
fn quoted(words: &str, delimiter: char) -> String {
    match words.contains(['"', '\r', '\n', delimiter]) {
        true => format!("\"{}\"", words.replace('"', "\"\"")),
        false => words.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::program::tables::{How, read};
    use proptest::prelude::*;

    fn table(bytes: &[u8]) -> Table {
        read(&"people/roster.csv".into(), bytes.to_vec(), &How::default()).table.expect("a table")
    }

    fn set(bytes: &[u8], row: usize, column: usize, text: &str) -> Result<Edited, EditError> {
        let table = table(bytes);
        let cell = table.row(row).and_then(|row| row.cell(column)).expect("a cell");
        table.edited(bytes, &[Change { cell, text: text.to_owned() }])
    }

    #[test]
    fn only_the_cell_changes() {
        let file =
            b"\xef\xbb\xbf event ;Name;\"odd\"\r\nspring;\"Ada  Vell\";x y \r\n\r\nspring;Bo;\"a\nb\"\n";
        let edited = set(file, 2, 1, "Ada Vell").unwrap();
        assert_eq!(
            edited.bytes,
            b"\xef\xbb\xbf event ;Name;\"odd\"\r\nspring;\"Ada Vell\";x y \r\n\r\nspring;Bo;\"a\nb\"\n"
        );
    }

    #[test]
    fn what_needs_quotation_marks_or_a_guard_gets_them() {
        let file = b"event,name\nspring,Ada\n";
        assert_eq!(
            set(file, 2, 1, "Vell, \"Ada\"").unwrap().bytes,
            b"event,name\nspring,\"Vell, \"\"Ada\"\"\"\n"
        );
        assert_eq!(set(file, 2, 1, "=1+1").unwrap().bytes, b"event,name\nspring,'=1+1\n");
    }

    #[test]
    fn other_encodings_stay_and_a_letter_that_they_lack_is_told() {
        let file = b"event,name\nspring,Ren\xe9  Roux\n";
        assert_eq!(set(file, 2, 1, "René Roux").unwrap().bytes, b"event,name\nspring,Ren\xe9 Roux\n");
        let edited = set(file, 2, 1, "Łucja").unwrap();
        assert_eq!((edited.bytes.as_slice(), edited.left.as_slice()), (&file[..], &[(0, 'Ł')][..]));

        let utf_16: Vec<u8> =
            "\u{feff}event\tname\r\nspring\tZoë\r\n".encode_utf16().flat_map(u16::to_le_bytes).collect();
        let expected: Vec<u8> =
            "\u{feff}event\tname\r\nspring\tŁucja\r\n".encode_utf16().flat_map(u16::to_le_bytes).collect();
        assert_eq!(set(&utf_16, 2, 1, "Łucja").unwrap().bytes, expected);
    }

    #[test]
    fn a_cell_that_its_row_lacks_is_added_and_nothing_else() {
        let file = b"event;name;attended\r\nspring;Ada\r\nspring;Bo;yes\r\n";
        let table = table(file);
        let splice = table.put_into(table.row(2).unwrap(), 2, "yes; both").unwrap();
        let bytes = table.spliced(file, vec![splice]).unwrap();
        assert_eq!(bytes, b"event;name;attended\r\nspring;Ada;\"yes; both\"\r\nspring;Bo;yes\r\n");
    }

    #[test]
    fn a_row_is_added_behind_the_last_whether_its_line_is_ended_or_not() {
        let words = ["fall", "=Zo\u{eb}", "x"].map(str::to_owned);
        for (file, expected) in [
            (&b"event,name,note\nspring,Ada,\n"[..], "event,name,note\nspring,Ada,\nfall,'=Zo\u{eb},x\n"),
            (b"event,name,note\r\nspring,Ada,", "event,name,note\r\nspring,Ada,\r\nfall,'=Zo\u{eb},x"),
            (b"event,name,note\n\n\n", "event,name,note\nfall,'=Zo\u{eb},x\n\n\n"),
        ] {
            let table = table(file);
            let bytes = table.spliced(file, vec![table.add_row(&words).unwrap()]).unwrap();
            assert_eq!(String::from_utf8(bytes.clone()).unwrap(), expected);
            // And it is taken out again.
            let after = self::table(&bytes);
            let range = after.with_line_before(after.rows().last().unwrap()).unwrap();
            let back = after.spliced(&bytes, vec![Splice { range, text: String::new() }]).unwrap();
            assert_eq!(back, file);
        }
    }

    #[test]
    fn a_file_that_was_changed_since_is_left() {
        let table = table(b"event,name\nspring,Ada\n");
        assert_eq!(table.edited(b"event,name\nspring,Bo\n", &[]), Err(EditError::Changed));
    }

    proptest! {
        /// With nothing to change the bytes are the same, whatever the file looks like.
        #[test]
        fn nothing_to_change_changes_nothing(
            mark in proptest::bool::ANY,
            rows in proptest::collection::vec("[a-zé\" ,;\t]{0,12}(\r\n|\n|\r)", 1..8),
        ) {
            let text = format!("{}event,name\r\n{}", if mark { "\u{feff}" } else { "" }, rows.concat());
            if let Some(table) = read(&"people/roster.csv".into(), text.clone().into_bytes(), &How::default()).table {
                prop_assert_eq!(table.edited(text.as_bytes(), &[]).unwrap().bytes, text.into_bytes());
            }
        }

        /// A cell that was set reads back as what it was set to, and no other cell has changed.
        #[test]
        fn a_cell_reads_back(words in "[a-z='\", \n\u{e9}]{0,10}", quoted in proptest::bool::ANY) {
            let quote = if quoted { "\"" } else { "" };
            let file = format!("event,name,note\nspring,{quote}Ada{quote},\"x, y\"\nfall,Bo,z\n");
            let edited = set(file.as_bytes(), 2, 1, &words).unwrap();
            let after = table(&edited.bytes);
            let cells: Vec<String> = after.rows().flat_map(|row| row.cells().map(|cell| cell.value().into_owned()).collect::<Vec<_>>()).collect();
            prop_assert_eq!(cells, ["spring", words.trim(), "x, y", "fall", "Bo", "z"]);
        }
    }
}
