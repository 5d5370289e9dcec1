//! Cells that a spreadsheet could run as a formula, and how they are written so that they stay text.
//!
//! Stands beside the rooms, because reading takes the mark off again ([`crate::program`]) and making
//! puts it on ([`crate::press`]). Nothing is read or written here.
//!
//! Source of the rule: OWASP ASVS 5.0, requirement 1.2.10, and CWE-1236 (neutralization of formula
//! elements in a CSV file); the full-width forms are taken for the plain ones by some spreadsheets.

use std::borrow::Cow;

const RISKY: [char; 12] =
    ['=', '+', '-', '@', '\t', '\r', '\n', '\0', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}'];

/// Whether a spreadsheet could take the text for a formula.
pub fn is_risky(text: &str) -> bool {
    text.starts_with(RISKY)
}

/// The text with an apostrophe before it where it is risky.
pub fn guarded(text: &str) -> Cow<'_, str> {
    if is_risky(text) { Cow::Owned(format!("'{text}")) } else { Cow::Borrowed(text) }
}

/// The text of a cell that [`guarded`] wrote.
pub fn unguarded(cell: &str) -> &str {
    cell.strip_prefix('\'').filter(|text| is_risky(text)).unwrap_or(cell)
}
