//! The code on a certificate: the signed record where there is one and the design has room for it,
//! else a few words that a telephone shows.
//!
//! A record takes a symbol of about 117 modules a side (ISO/IEC 18004, version 25), 63 mm with its quiet
//! zone at the smallest module that reads at arm's length, 0.5 mm. It is written at the lowest level of
//! error correction: the paper is new when it is scanned, and the signature tells a wrong reading.

use crate::credential::canonical;
use crate::program::settings::Design;
use fast_qr::{ECL, QRBuilder};
use serde_json::{Value, json};

/// A symbol of more modules than this takes more room than any design has (version 30).
const MOST_MODULES: usize = 137;

/// The code for a template; null where even the few words are too long for one.
pub fn code(record: Option<&Value>, words: &str, design: Design) -> Value {
    let room = design != Design::Child;
    let record = record.filter(|_| room).map(canonical::text);
    record.and_then(|record| symbol(&record, ECL::L)).or_else(|| symbol(words, ECL::M)).unwrap_or(Value::Null)
}

fn symbol(text: &str, level: ECL) -> Option<Value> {
    let code = QRBuilder::new(text).ecl(level).build().ok().filter(|code| code.size <= MOST_MODULES)?;
    let modules: String = (0..code.size)
        .flat_map(|row| code[row][..code.size].iter().map(|module| if module.value() { '1' } else { '0' }))
        .collect();
    Some(json!({"size": code.size, "modules": modules}))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::credential::{Claims, SecretKey, sign_given};

    const WORDS: &str = "Trail Rider Stewards 2026\nNorth Camp Spring Workshop\n2026-05-16\nJRHY-4P87";

    fn size(code: &Value) -> u64 {
        code["size"].as_u64().unwrap()
    }

    #[test]
    fn a_code_is_square_and_starts_with_its_corner_mark() {
        let code = code(None, WORDS, Design::Landscape);
        let size = size(&code) as usize;
        let modules = code["modules"].as_str().unwrap().as_bytes();
        assert_eq!(modules.len(), size * size);
        let dark = |row: usize, column: usize| modules[row * size + column] == b'1';
        assert!((0..7).all(|at| dark(0, at) && dark(at, 0) && dark(0, size - 1 - at)));
        assert!((0..5).all(|at| !dark(1, 1 + at) && !dark(7, at)));
    }

    #[test]
    fn words_too_long_for_a_code_give_none() {
        assert!(code(None, &"long ".repeat(1000), Design::Landscape).is_null());
    }

    #[test]
    fn a_record_is_in_the_code_where_there_is_room_for_it() {
        let given = Claims {
            agency: "Juniper Basin Open Lands",
            title: "Certificate of Completion",
            number: "JRHY-4P87",
            holder: "Wilhelmina Featherstonehaugh-Montgomery",
            companion: Some("Biscuit"),
            achievement: "North Camp Spring Workshop",
            description: "Trail Rider Stewards, 2026",
            criteria: "Attended and passed.",
            date: jiff::civil::date(2026, 5, 16),
        };
        let record = sign_given(&given, &SecretKey::from_seed([9; 32]));
        let words_only = size(&code(None, WORDS, Design::Child));
        let with_record = size(&code(Some(&record), WORDS, Design::HalfSheet));
        // Version 25 or 26: 117 or 121 modules; 62.5 or 64.5 mm with the quiet zone.
        assert!((117..=121).contains(&with_record), "{with_record}");
        assert_eq!(size(&code(Some(&record), WORDS, Design::Child)), words_only);
    }
}
