//! The page that checks a certificate in the browser, with no server and no network.
//!
//! It is on the open shelf, so it knows no names: of the program's register only the public keys, and the
//! numbers that were withdrawn or replaced, which say nothing of a person.

use crate::program::register::{Register, State};
use serde_json::{Map, Value};

pub const PAGE: &str = "check-certificate.html";
pub const SCRIPT: &str = "check-certificate.js";

/// What the script can say, by the names in the theme's words.
const VERDICTS: [&str; 18] = [
    "empty",
    "good",
    "withdrawn",
    "replaced",
    "other-key",
    "signature-wrong",
    "signature-unknown",
    "no-signature",
    "not-a-record",
    "not-json",
    "doubled",
    "number-too-long",
    "too-deep",
    "too-large",
    "number-right",
    "number-wrong",
    "number-withdrawn",
    "number-replaced",
];
const SAYS: [&str; 7] = ["holder", "companion", "title", "achievement", "date", "agency", "number"];

/// The page's own data, beside the head that every page has.
pub fn data(register: &Register) -> Map<String, Value> {
    let keys: Vec<&str> = register.keys().map(|key| key.public.as_str()).collect();
    let (mut withdrawn, mut replaced) = (Vec::new(), Vec::new());
    for given in register.all_given() {
        match register.state(&given.number) {
            State::Valid => {}
            State::Withdrawn(_) => withdrawn.push(given.number.plain().to_owned()),
            State::Replaced(_) => {
                let by = register.newest(&given.number);
                replaced.push(format!("{}={}", given.number.plain(), by.plain()));
            }
        }
    }
    Map::from_iter([
        ("keys".to_owned(), keys.join(" ").into()),
        ("withdrawn".to_owned(), withdrawn.join(" ").into()),
        ("replaced".to_owned(), replaced.join(" ").into()),
        ("verdicts".to_owned(), VERDICTS.iter().copied().collect()),
        ("says".to_owned(), SAYS.iter().copied().collect()),
    ])
}
