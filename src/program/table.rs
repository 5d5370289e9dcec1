//! Tables: the rows of a CSV file (RFC 4180), each cell with the bytes that it stands in.

use super::files::Page;
use super::mistakes::Mistakes;
use crate::place::Place;
use csv_core::{ReadFieldResult, Reader};

pub(super) struct Cell {
    pub text: String,
    /// Between the quotation marks where there are some.
    pub place: Place,
}

/// Reads every row that is not empty. An open quotation mark is told.
pub(super) fn rows(page: &Page, mistakes: &Mistakes) -> Vec<Vec<Cell>> {
    let bytes = page.text().as_bytes();
    let mut reader = Reader::new();
    let mut at = 0;
    let mut rows = Vec::new();
    let mut row = Vec::new();
    // A cell is never longer unquoted than quoted.
    let mut unquoted = vec![0; bytes.len() + 1];
    loop {
        let (mut read, mut written) = (0, 0);
        let result = loop {
            let (result, more_read, more_written) =
                reader.read_field(&bytes[at + read..], &mut unquoted[written..]);
            read += more_read;
            written += more_written;
            if !matches!(result, ReadFieldResult::InputEmpty | ReadFieldResult::OutputFull) {
                break result;
            }
        };
        let ReadFieldResult::Field { record_end } = result else { break };
        let text = String::from_utf8_lossy(&unquoted[..written]).into_owned();
        row.push(cell(page, mistakes, at, &page.text()[at..at + read], text));
        at += read;
        if record_end {
            rows.push(std::mem::take(&mut row));
        }
    }
    rows.retain(|row| row.iter().any(|cell| !cell.text.trim().is_empty()));
    rows
}

/// A cell from the bytes that were read for it, which may have line ends before and the comma behind.
fn cell(page: &Page, mistakes: &Mistakes, at: usize, read: &str, text: String) -> Cell {
    let source = read.trim_start_matches(['\r', '\n']);
    let start = at + (read.len() - source.len());
    let is_quoted = source.starts_with('"');
    let source = source.trim_end_matches(['\r', '\n']);
    let source = if source.matches('"').count().is_multiple_of(2) {
        source.strip_suffix(',').unwrap_or(source)
    } else {
        source
    };
    if is_quoted {
        if source.matches('"').count() % 2 == 1 {
            mistakes.tell(
                "syntax",
                page.place(start..start + source.len()),
                "The quotation mark that opens this cell is never closed.",
                "Add a quotation mark (\") where the cell ends.",
            );
        }
        let inner = source[1..].strip_suffix('"').unwrap_or(&source[1..]);
        return Cell { text, place: page.place(start + 1..start + 1 + inner.len()) };
    }
    Cell { text, place: page.place(start..start + source.len()) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::place::Sources;

    fn read(text: &str) -> (Vec<Vec<(String, String)>>, usize) {
        let mistakes = Mistakes::default();
        let page = Page::new("people/roster.csv".into(), text.into());
        let mut sources = Sources::default();
        sources.add(page.file.clone(), text.into());
        let rows = rows(&page, &mistakes);
        let said = rows
            .iter()
            .map(|row| {
                row.iter().map(|cell| (cell.text.clone(), sources.words(&cell.place).to_owned())).collect()
            })
            .collect();
        (said, mistakes.into_findings(&sources).len())
    }

    fn pair(text: &str, source: &str) -> (String, String) {
        (text.to_owned(), source.to_owned())
    }

    #[test]
    fn cells_keep_their_places() {
        let (rows, mistakes) =
            read("\u{feff}event,name\r\n\r\nnorth,\"Ruiz, Ana \"\"Nita\"\"\"\r\nsouth,\r\n,x");
        assert_eq!(rows[0], [pair("event", "event"), pair("name", "name")]);
        assert_eq!(rows[1], [pair("north", "north"), pair("Ruiz, Ana \"Nita\"", "Ruiz, Ana \"\"Nita\"\"")]);
        assert_eq!(rows[2], [pair("south", "south"), pair("", "")]);
        assert_eq!(rows[3], [pair("", ""), pair("x", "x")]);
        assert_eq!(mistakes, 0);
    }

    #[test]
    fn quoted_line_breaks_stay_in_their_cell() {
        let (rows, mistakes) = read("a,\"one\ntwo\",b\nc,d,e\n");
        assert_eq!(rows[0][1], pair("one\ntwo", "one\ntwo"));
        assert_eq!(rows[1][0], pair("c", "c"));
        assert_eq!(mistakes, 0);
    }

    #[test]
    fn an_open_quotation_mark_is_told() {
        let (_, mistakes) = read("a,b\n\"one,two\nthree,four\n");
        assert_eq!(mistakes, 1);
    }
}
