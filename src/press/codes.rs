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
        Correction::Quartile => ECL::Q,
    };
    let mode = if code.is_close() { Mode::Alphanumeric } else { Mode::Byte };
    let drawn = QRBuilder::new(code.says()).ecl(level).mode(mode).build();
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
        let corrections = [Correction::Low, Correction::Medium, Correction::Quartile];
        for (version, correction) in
            (1..=40).flat_map(|version| corrections.map(|correction| (version, correction)))
        {
            let size = 17 + 4 * version;
            for letter in ["a", "A"] {
                let all: Vec<usize> = (1..=4296).collect();
                let of = |length: usize| Code::of(letter.repeat(length), correction);
                let up_to =
                    |size| all.partition_point(|length| of(*length).is_some_and(|code| code.size() <= size));
                let (first, last) = (up_to(size - 4) + 1, up_to(size));
                assert!(first < last, "{version}, {correction:?}");
                for length in [first, last] {
                    let code = Code::of(letter.repeat(length), correction).unwrap();
                    assert_eq!(draw(&code).len(), size * size, "{length} letters {letter}");
                }
            }
        }
    }
}
