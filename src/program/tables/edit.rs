//! Edit: other words in some cells of a table, and every other byte of its file as it was.
//!
//! Encoding, byte order mark, delimiter, quotation marks, line ends, the order of columns and what nobody
//! understood stay. The bytes that the file holds now are asked for, so that an edit never writes over what
//! somebody else has changed since it was read. Nothing is written here; see `shelf::own_files`.

use super::{Cell, Form, Table};
use crate::spreadsheet;
use std::borrow::Cow;

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

impl Table {
    /// The bytes of the file with other words in some cells. `there` is what the file holds now. Of two
    /// changes to one cell the last counts.
    ///
    /// # Errors
    /// The table is a workbook, or the file is no longer what was read.
    pub fn edited(&self, there: &[u8], changes: &[Change]) -> Result<Edited, EditError> {
        let Form::Text(form) = &self.form else { return Err(EditError::Workbook) };
        let encode = |text: &str| form.encoding.encode(text).map(Cow::into_owned);
        // What was read is written back as the same bytes, or nothing is written at all.
        if encode(&self.text).as_deref() != Ok(there) {
            return Err(EditError::Changed);
        }
        let mut left = Vec::new();
        let mut placed = Vec::new();
        for (number, change) in changes.iter().enumerate() {
            // White space around a cell's words is passed over in reading.
            let guarded = spreadsheet::guarded(change.text.trim());
            match form.encoding.encode(&guarded) {
                Err(letter) => left.push((number, letter)),
                Ok(_) => {
                    let text = change.cell.rewritten(&guarded).ok_or(EditError::Workbook)?;
                    placed.push((change.cell.source_range(), text));
                }
            }
        }
        placed.sort_by_key(|(range, _)| range.start);
        let mut text = String::with_capacity(self.text.len());
        let mut at = 0;
        for (number, (range, new)) in placed.iter().enumerate() {
            // The sort is stable: of several for one cell, the last was asked for last.
            if placed.get(number + 1).is_some_and(|(next, _)| next == range) {
                continue;
            }
            text.push_str(&self.text[at..range.start]);
            text.push_str(new);
            at = range.end;
        }
        text.push_str(&self.text[at..]);
        // Each part can be encoded, so the whole can.
        Ok(Edited { bytes: encode(&text).map_err(|_| EditError::Changed)?, left })
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
