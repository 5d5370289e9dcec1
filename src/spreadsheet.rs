//! Cells that a spreadsheet could run as a formula, and how they are written so that they stay text.
//!
//! Stands beside the rooms, because reading takes the mark off again ([`crate::program`]) and making
//! puts it on ([`crate::press`]). Nothing is read or written here.
//!
//! The mark is one apostrophe. A text that has apostrophes of its own before what is risky gets one
//! more, so that every text comes back as it was: `=1+1` is written `'=1+1`, and `'=1+1` is written
//! `''=1+1`.
//!
//! Source of the rule: OWASP ASVS 5.0, requirement 1.2.10, and CWE-1236 (neutralization of formula
//! elements in a CSV file); the full-width forms are taken for the plain ones by some spreadsheets.

use std::borrow::Cow;

const RISKY: [char; 12] =
    ['=', '+', '-', '@', '\t', '\r', '\n', '\0', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}'];

const MARK: char = '\'';

/// Whether a spreadsheet could take the text for a formula.
pub fn is_risky(text: &str) -> bool {
    text.starts_with(RISKY)
}

/// Whether the text is risky, or could be taken for a risky one that was marked.
fn needs_mark(text: &str) -> bool {
    is_risky(text.trim_start_matches(MARK))
}

/// The text as a cell, with a mark before it where it needs one.
pub fn guarded(text: &str) -> Cow<'_, str> {
    if needs_mark(text) { Cow::Owned(format!("{MARK}{text}")) } else { Cow::Borrowed(text) }
}

/// The text of a cell that [`guarded`] wrote.
pub fn unguarded(cell: &str) -> &str {
    cell.strip_prefix(MARK).filter(|text| needs_mark(text)).unwrap_or(cell)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_text_comes_back_as_it_was() {
        for text in ["=1", "'=1", "''=1", "'", "''", "'a", "a", "", "-", "'-", "\t", "'\u{ff1d}"] {
            let cell = guarded(text);
            assert!(!is_risky(&cell), "{cell:?}");
            assert_eq!(unguarded(&cell), text);
        }
    }

    #[test]
    fn what_is_an_apostrophe_of_a_name_is_left() {
        for text in ["'t Hart", "'Buck'", "O'Dowd"] {
            assert_eq!(guarded(text), text);
            assert_eq!(unguarded(text), text);
        }
    }
}
