//! `[letters]`: the letters by e-mail that certificates go out with.

use super::optional;
use crate::addresses::email;
use crate::finding::{Place, rules};
use crate::program::Written;
use crate::program::form::Form;

/// The `[letters]` table.
#[derive(Clone, Debug)]
pub struct Letters {
    /// The address that they come from; else that of the first contact that has one.
    pub from: Option<String>,
    /// The theme has its own words where these are missing.
    pub subject: Option<String>,
    pub text: Option<String>,
    /// The text of a letter with a certificate for an award.
    pub award: Option<String>,
    pub place: Place,
}

/// What may stand in braces in a subject and in a text, to be filled in.
pub const FILLED_IN: [&str; 9] =
    ["name", "event", "date", "title", "number", "record", "agency", "program", "season"];

impl Letters {
    pub(super) fn read(mut table: Form) -> Self {
        let place = table.place.clone();
        let from = table.text("from").and_then(|written| address(&table, written));
        let (subject, text, award) = Self::words(&mut table);
        table.finish();
        Self { from, subject, text, award, place }
    }

    /// The words of a table of the main edition or of another.
    pub(in crate::program) fn words(table: &mut Form) -> (Option<String>, Option<String>, Option<String>) {
        let mut text = |key| {
            let written = table.text(key);
            written.iter().for_each(|written| check_braces(table, written));
            optional(written)
        };
        (text("subject"), text("text"), text("award"))
    }
}

fn address(table: &Form, written: Written) -> Option<String> {
    let Some(why) = email::unfit(&written.text) else { return Some(written.text) };
    let message = format!("“{}” cannot be the address that letters come from: {why}.", written.text);
    table.tell(
        &rules::VALUE_UNFIT,
        written.place,
        message,
        "Write one address, such as \"stewards@lands.example\".",
    );
    None
}

/// A word in braces that nothing fills in would stand so in every letter.
fn check_braces(table: &Form, written: &Written) {
    let mut rest = written.text.as_str();
    while let Some((_, after)) = rest.split_once('{') {
        rest = after;
        let Some((word, _)) = after.split_once('}') else { break };
        let is_word =
            !word.is_empty() && word.chars().all(|letter| letter.is_alphanumeric() || "-_ ".contains(letter));
        if is_word && !FILLED_IN.contains(&word) {
            let known = FILLED_IN.map(|word| format!("{{{word}}}")).join(", ");
            let message = format!("Nothing fills in “{{{word}}}” in a letter.");
            table.tell(
                &rules::VALUE_UNFIT,
                written.place.clone(),
                message,
                format!("Filled in are {known}."),
            );
        }
    }
}
