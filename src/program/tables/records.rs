//! Parting a text into records and cells: RFC 4180, with any delimiter and any line end, and going on
//! where the text leaves its grammar.
//!
//! Written here and not taken from a library, because three things are needed that none at hand gives:
//! the bytes of each cell, quotation marks that stand where the grammar has none, and empty lines, which
//! are rows in the eyes of whoever counts them in a spreadsheet. What it makes of each record is held
//! against the readers named in `tests/reference/csv`.

use super::{LineEnd, Range32};
use std::borrow::Cow;

pub(super) struct Scanned {
    pub cells: Vec<Range32>,
    /// The first cell of each record, and at the end the number of all cells.
    pub starts: Vec<u32>,
    pub line_end: LineEnd,
    pub strays: Vec<Stray>,
    /// The cell whose quotation mark is never closed.
    pub open: Option<u32>,
}

/// A quotation mark where the grammar has none.
pub(super) struct Stray {
    pub cell: u32,
    pub record: u32,
    pub kind: StrayKind,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum StrayKind {
    /// In a cell that does not start with one.
    Within,
    /// After white space at the start of a cell.
    AfterSpace,
    /// Something follows the one that closes the cell.
    TextBehind,
    /// It was to be kept by a backslash, which is no CSV.
    Backslash,
}

/// Parts `text` from byte `start` on.
pub(super) fn scan(text: &str, start: usize, delimiter: u8) -> Scanned {
    let bytes = text.as_bytes();
    let mut scan = Scan {
        bytes,
        delimiter,
        cells: Vec::with_capacity(bytes.len() / 8),
        starts: vec![0],
        strays: Vec::new(),
        open: None,
    };
    let mut ends = [0usize; 3];
    let mut at = start;
    // A line break ends the record before it, so that the text after the last one is no record.
    while at < bytes.len() {
        if !matches!(bytes[at], b'\r' | b'\n') {
            at = scan.record(at);
        }
        scan.starts.push(scan.cells.len() as u32);
        let end = bytes.get(at..).unwrap_or_default();
        let kind = usize::from(end.starts_with(b"\r")) + usize::from(end.starts_with(b"\r\n"));
        if !end.is_empty() {
            ends[kind] += 1;
        }
        at += if kind == 2 { 2 } else { 1 };
    }
    let most = (0..3).rev().max_by_key(|kind| ends[*kind]).unwrap_or(0);
    Scanned {
        cells: scan.cells,
        starts: scan.starts,
        line_end: [LineEnd::Lf, LineEnd::Cr, LineEnd::CrLf][most],
        strays: scan.strays,
        open: scan.open,
    }
}

struct Scan<'b> {
    bytes: &'b [u8],
    delimiter: u8,
    cells: Vec<Range32>,
    starts: Vec<u32>,
    strays: Vec<Stray>,
    open: Option<u32>,
}

impl Scan<'_> {
    /// Reads one record; gives where its line break stands, or the end of the text.
    fn record(&mut self, mut at: usize) -> usize {
        loop {
            let start = at;
            at = if self.bytes.get(at) == Some(&b'"') { self.quoted(at) } else { self.plain(at, true) };
            self.cells.push((start as u32, at as u32));
            if self.bytes.get(at) != Some(&self.delimiter) {
                return at;
            }
            at += 1;
        }
    }

    /// Reads a cell, or the rest of one, up to what ends it. A quotation mark in it is noted.
    fn plain(&mut self, start: usize, is_noted: bool) -> usize {
        let mut at = start;
        let mut is_stray = false;
        while let Some(&byte) = self.bytes.get(at) {
            if byte == self.delimiter || byte == b'\n' || byte == b'\r' {
                break;
            }
            is_stray |= byte == b'"';
            at += 1;
        }
        if is_stray && is_noted {
            let cell = std::str::from_utf8(&self.bytes[start..at]).unwrap_or("");
            let after_space = cell.trim_start().starts_with('"');
            self.note(if after_space { StrayKind::AfterSpace } else { StrayKind::Within });
        }
        at
    }

    /// Reads a cell from its quotation mark on.
    fn quoted(&mut self, start: usize) -> usize {
        let mut at = start + 1;
        loop {
            let Some(next) = self.bytes[at..].iter().position(|byte| *byte == b'"') else {
                self.open = Some(self.cells.len() as u32);
                return self.bytes.len();
            };
            at += next + 1;
            match self.bytes.get(at) {
                Some(b'"') => at += 1,
                Some(byte) if *byte != self.delimiter && !matches!(byte, b'\r' | b'\n') => {
                    let escaped = at >= start + 3 && self.bytes[at - 2] == b'\\';
                    self.note(if escaped { StrayKind::Backslash } else { StrayKind::TextBehind });
                    return self.plain(at, false);
                }
                _ => return at,
            }
        }
    }

    fn note(&mut self, kind: StrayKind) {
        let (cell, record) = (self.cells.len() as u32, self.starts.len() as u32 - 1);
        self.strays.push(Stray { cell, record, kind });
    }
}

/// The text of a cell from its source.
pub(super) fn unquoted(source: &str) -> Cow<'_, str> {
    let Some(rest) = source.strip_prefix('"') else { return source.into() };
    if let Some(inner) = rest.strip_suffix('"')
        && !inner.contains('"')
    {
        return inner.into();
    }
    let mut text = String::with_capacity(rest.len());
    let mut rest = rest;
    while let Some(at) = rest.find('"') {
        text.push_str(&rest[..at]);
        rest = &rest[at + 1..];
        let Some(doubled) = rest.strip_prefix('"') else { break };
        text.push('"');
        rest = doubled;
    }
    // What stands behind the closing mark belongs to the cell, as lenient readers have it.
    text.push_str(rest);
    text.into()
}
