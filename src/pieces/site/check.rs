//! The page that checks a certificate in the browser, with no server and no network.
//!
//! It is on the open shelf, so it knows no names: of the program's register only the public keys, the
//! numbers that were withdrawn or replaced, and what certificates were given for and when, which say nothing of a
//! person. The last is what the code on a certificate leaves out of its signed record.

use super::PageHead;
use crate::credential::packed::Occasion;
use crate::digest::hex;
use crate::program::register::{Register, State};
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};

pub const PAGE: &str = "check-certificate.html";
pub const SCRIPT: &str = "check-certificate.js";

/// What the script can say, by the names in the theme's words.
const VERDICTS: [&str; 21] = [
    "empty",
    "good",
    "over",
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
    "code-unread",
    "code-unknown",
    "number-right",
    "number-wrong",
    "number-withdrawn",
    "number-replaced",
];
const SAYS: [&str; 8] = ["holder", "companion", "title", "achievement", "date", "until", "agency", "number"];

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
    /// What certificates were given for, as JSON: `words`, and `occasions`, each a list of the start of its hash, the
    /// places in `words` of agency, title, achievement, description, criteria and key, and the date and the last day
    /// (or null).
    occasions: String,
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
        occasions: occasions(register).to_string(),
        verdicts: &VERDICTS,
        says: &SAYS,
        script,
    }
}

/// Every occasion once, in the order of the register. Many share their words, and each of those is written once.
fn occasions(register: &Register) -> Value {
    let (mut words, mut places) = (Vec::new(), BTreeMap::new());
    let mut place = |word: String| {
        *places.entry(word).or_insert_with_key(|word| {
            words.push(word.clone());
            words.len() - 1
        })
    };
    let mut known = BTreeSet::new();
    let mut rows = Vec::new();
    for record in register.all_given().filter_map(|given| given.credential.as_ref()) {
        let Some(occasion) = Occasion::of(record) else { continue };
        let id = hex(occasion.id());
        let Occasion { agency, title, achievement, description, criteria, date, until, key } = occasion;
        let of = [agency, title, achievement, description, criteria, key].map(&mut place);
        if known.insert((of, date, until)) {
            let [agency, title, achievement, description, criteria, key] = of;
            rows.push(json!([id, agency, title, achievement, description, criteria, key, date, until]));
        }
    }
    json!({"words": words, "occasions": rows})
}
