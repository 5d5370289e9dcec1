//! Codes drawn: one byte a module, 0 a dark one and 255 a light one, row by row, without the quiet zone.
//!
//! A template reads them from `/data/codes/N.luma`, N being the place of its entry in the list, from 0. They go there
//! as they are: as text in the entry's data they would take longer to read than all the rest of the sheet.

use crate::job::{Code, Correction};
use fast_qr::{ECL, Mode, QRBuilder};
use typst::foundations::Bytes;

/// The path of the code of an entry.
pub(super) fn path(at: usize) -> String {
    format!("data/codes/{at}.luma")
}

pub(super) fn draw(code: &Code) -> Bytes {
    let level = match code.correction() {
        Correction::Low => ECL::L,
        Correction::Medium => ECL::M,
    };
    let drawn = QRBuilder::new(code.says()).ecl(level).mode(Mode::Byte).build();
    let drawn = drawn.expect("what a code says fits it");
    let modules =
        |row: usize| drawn[row][..drawn.size].iter().map(|module| if module.value() { 0 } else { 255 });
    Bytes::new((0..drawn.size).flat_map(modules).collect::<Vec<u8>>())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_square_and_starts_with_its_corner_mark() {
        let words = "Trail Rider Stewards 2026\nNorth Camp Spring Workshop\n2026-05-16\nJRHY-4P87";
        let code = Code::of(words.to_owned(), Correction::Medium).unwrap();
        let (size, drawn) = (code.size(), draw(&code));
        assert_eq!(drawn.len(), size * size);
        let dark = |row: usize, column: usize| drawn[row * size + column] == 0;
        assert!((0..7).all(|at| dark(0, at) && dark(at, 0) && dark(0, size - 1 - at)));
        assert!((0..5).all(|at| !dark(1, 1 + at) && !dark(7, at)));
    }

    /// The size that a plan gives room to is the size that is drawn, on both sides of every bound.
    #[test]
    fn a_code_is_as_large_as_was_said_before_it_was_drawn() {
        for (version, correction) in
            (1..=40).flat_map(|version| [(version, Correction::Low), (version, Correction::Medium)])
        {
            let size = 17 + 4 * version;
            let fits = |length: &usize| {
                Code::of("a".repeat(*length), correction).is_some_and(|code| code.size() == size)
            };
            let lengths: Vec<usize> = (1..=2953).filter(fits).collect();
            for length in [lengths.first(), lengths.last()].into_iter().flatten() {
                let code = Code::of("a".repeat(*length), correction).unwrap();
                assert_eq!(draw(&code).len(), size * size, "{length} bytes");
            }
        }
    }
}
