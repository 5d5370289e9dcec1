//! Mends: what may be put right in the user's roster without asking, because nobody could want it
//! otherwise: stray white space, and letters whose wrong decoding can be undone with certainty.
//!
//! [`cells`] looks at the cells that hold words of people, and gives those in which something is odd;
//! the rules of [`crate::proof`] tell of them. [`plan`] gives what to write; it is pure, and
//! [`crate::program::tables`] turns it into the bytes of the file.

use crate::finding::Place;
use crate::program::roster::{Field, Roster};
use crate::program::tables::{Cell, Change};
use crate::spelling::mojibake::{self, Undone};
use crate::spelling::spaces::{self, Lines};
use crate::spreadsheet;
use std::borrow::Cow;

/// A cell whose words have something odd.
#[derive(Clone, Debug)]
pub struct OddCell<'t> {
    pub cell: Cell<'t>,
    /// As a spreadsheet counts, from 1.
    pub row: usize,
    pub field: Field,
    pub place: Place,
    /// As it stands in the file, white space around it too.
    pub text: Cow<'t, str>,
    /// Before the wrong decoding, where there was one.
    pub garbled: Option<Undone>,
}

impl OddCell<'_> {
    /// Whether the cell may hold several lines.
    pub fn lines(&self) -> Lines {
        if self.field == Field::Street { Lines::Several } else { Lines::One }
    }

    /// What the cell holds, for a sentence.
    pub fn what(&self) -> &'static str {
        if self.field == Field::Email { "e-mail address" } else { self.field.word() }
    }

    /// Whether lines stand in the cell that may be several people, companions or addresses: nobody but the ranger knows.
    pub fn has_lines_of_several(&self) -> bool {
        let lines = self.text.trim().split(['\n', '\r']).filter(|line| !line.trim().is_empty());
        // A tab between two words is a space; between two whole names it is what a line break is.
        let parts: Vec<&str> = self.text.split('\t').map(str::trim).filter(|part| !part.is_empty()).collect();
        let has_tabs = parts.len() > 1 && parts.iter().any(|part| part.contains(char::is_whitespace));
        matches!(self.field, Field::Name | Field::Companion | Field::Email) && (lines.count() > 1 || has_tabs)
    }

    /// What to write into the cell: nothing where it would stay as it is, or where there is any doubt.
    pub fn mended(&self) -> Option<String> {
        let words = match &self.garbled {
            Some(undone) if !undone.is_certain => return None,
            Some(undone) => undone.words.as_str(),
            None => &self.text,
        };
        // A letter that was lost may have left white space behind, which is the only trace of it.
        if words.contains('\u{fffd}') {
            return None;
        }
        if self.has_lines_of_several() {
            return None;
        }
        let mended = spaces::tidy(words, self.lines());
        // The mark that keeps a text from being run as a formula is put on again in writing.
        (mended != self.text).then(|| spreadsheet::unguarded(&mended).to_owned())
    }
}

/// A cell that is put right.
#[derive(Clone, Debug)]
pub struct Mend<'t> {
    pub cell: OddCell<'t>,
    pub now: String,
}

/// The cells of the roster's fields whose words have something odd, in the order of the file.
pub fn cells(roster: &Roster) -> impl Iterator<Item = OddCell<'_>> {
    let columns: Vec<(usize, Field)> = roster
        .columns
        .iter()
        .filter_map(|column| Some((column.at, column.field()?)))
        .filter(|(_, field)| *field != Field::Note)
        .collect();
    let rows = roster.table.iter().flat_map(|table| table.rows());
    rows.flat_map(move |row| {
        let cells = columns.iter().filter_map(|(at, field)| Some((row.cell(*at)?, *field)));
        let odd = cells.filter(|(cell, _)| !is_plain(cell.source())).map(|(cell, field)| OddCell {
            row: row.number(),
            field,
            place: cell.place(),
            garbled: mojibake::undo(&cell.text()),
            text: cell.text(),
            cell,
        });
        odd.collect::<Vec<_>>()
    })
}

/// Everything that may be put right in the roster.
pub fn plan(roster: &Roster) -> Vec<Mend<'_>> {
    cells(roster).filter_map(|cell| cell.mended().map(|now| Mend { cell, now })).collect()
}

/// The changes to the table that a plan comes to.
pub fn changes<'t>(mends: &[Mend<'t>]) -> Vec<Change<'t>> {
    mends.iter().map(|mend| Change { cell: mend.cell.cell, text: mend.now.clone() }).collect()
}

/// Nearly all cells: printable ASCII in which nothing hints at anything.
fn is_plain(source: &str) -> bool {
    let bytes = source.as_bytes();
    bytes.iter().all(|byte| (0x20..0x7f).contains(byte) && !matches!(byte, b'&' | b'?'))
        && bytes.first() != Some(&b' ')
        && bytes.last() != Some(&b' ')
        && !bytes.windows(2).any(|pair| matches!(pair, b"  " | b"\" " | b" \""))
}
