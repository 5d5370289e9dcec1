//! The code on a certificate: the signed record where there is one and the design has room for it,
//! else a few words that a telephone shows.
//!
//! A record takes a symbol of about 117 modules a side (ISO/IEC 18004, version 25), 63 mm with its quiet
//! zone at the smallest module that reads at arm's length, 0.5 mm. It is written at the lowest level of
//! error correction: the paper is new when it is scanned, and the signature tells a wrong reading.

use crate::credential::canonical;
use crate::job::{Code, Correction};
use crate::program::settings::Design;
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

/// A symbol of more modules than this takes more room than any design has (version 30).
const MOST_MODULES: usize = 137;

/// The code of a certificate; the press draws it beside the data.
#[derive(Serialize, JsonSchema)]
pub struct CodeSize {
    /// How many modules it has a side, without the quiet zone.
    pub size: usize,
}

/// The code of a certificate; none where even the few words are too long for one.
pub fn code(record: Option<&Value>, words: String, design: Design) -> Option<Code> {
    let room = design != Design::Child;
    let record = record.filter(|_| room).map(canonical::text);
    let fitting = |says, correction| Code::of(says, correction).filter(|code| code.size() <= MOST_MODULES);
    record.and_then(|says| fitting(says, Correction::Low)).or_else(|| fitting(words, Correction::Medium))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::credential::{Claims, SecretKey, sign_given};

    const WORDS: &str = "Trail Rider Stewards 2026\nNorth Camp Spring Workshop\n2026-05-16\nJRHY-4P87";

    fn size(record: Option<&Value>, words: &str, design: Design) -> Option<usize> {
        code(record, words.to_owned(), design).map(|code| code.size())
    }

    #[test]
    fn words_too_long_for_a_code_give_none() {
        assert_eq!(size(None, &"long ".repeat(1000), Design::Landscape), None);
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
            until: None,
        };
        let record = sign_given(&given, &SecretKey::from_seed([9; 32]));
        let words_only = size(None, WORDS, Design::Child);
        let with_record = size(Some(&record), WORDS, Design::HalfSheet).unwrap();
        // Version 25 or 26: 117 or 121 modules; 62.5 or 64.5 mm with the quiet zone.
        assert!((117..=121).contains(&with_record), "{with_record}");
        assert_eq!(size(Some(&record), WORDS, Design::Child), words_only);
    }
}
