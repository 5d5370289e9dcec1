//! The page that checks a certificate in the browser, with no server and no network.
//!
//! It is on the open shelf, so it knows no names: of the program's register only the public keys, and the
//! numbers that were withdrawn or replaced, which say nothing of a person.

use super::PageHead;
use crate::program::register::{Register, State};
use schemars::JsonSchema;
use serde::Serialize;

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

/// What `check-certificate.html` is given. Lists of numbers and keys are text, for a template prints text into an
/// attribute.
#[derive(Serialize, JsonSchema)]
pub struct CheckPage<'p> {
    #[serde(flatten)]
    head: PageHead<'p>,
    /// The public keys, with a space between them.
    keys: String,
    /// The numbers that were withdrawn, with a space between them.
    withdrawn: String,
    /// Each number that was replaced, with = and the number in its place, and a space between them.
    replaced: String,
    /// What the script can say, by the names in the theme's words.
    verdicts: &'static [&'static str],
    /// What of a certificate it can tell, by the names in the theme's words.
    says: &'static [&'static str],
    /// The address of the script.
    script: String,
}

pub fn data<'p>(head: PageHead<'p>, register: &Register, script: String) -> CheckPage<'p> {
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
    CheckPage {
        head,
        keys: keys.join(" "),
        withdrawn: withdrawn.join(" "),
        replaced: replaced.join(" "),
        verdicts: &VERDICTS,
        says: &SAYS,
        script,
    }
}
