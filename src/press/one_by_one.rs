//! Entries of one sheet that are held one by one: a label with a letter that no font has stays empty,
//! and the rest of the sheet is made.

use super::letters::{Letters, letters_missing};
use super::strings;
use crate::finding::Finding;
use crate::pieces::{Job, Sheet};
use crate::place::Place;
use serde_json::{Value, json};

/// The data of a sheet without the entries that cannot be printed, and why they are held.
pub(super) fn hold(letters: &Letters, job: &Job, sheet: &Sheet, list: &str) -> (Value, Vec<Finding>) {
    let mut data = sheet.data.clone();
    let mut findings = Vec::new();
    if let Some(entries) = data.get_mut(list) {
        walk(entries, &mut |entry| {
            let texts = || strings(entry).into_iter().map(|text| (text, letters.missing(text)));
            let mut missing: Vec<char> = texts().flat_map(|(_, missing)| missing).collect();
            missing.sort_unstable();
            missing.dedup();
            if missing.is_empty() {
                return None;
            }
            let words: Vec<&str> =
                texts().filter(|(_, missing)| !missing.is_empty()).map(|(text, _)| text).collect();
            let key = entry["key"].as_str().unwrap_or_default();
            let place = sheet.places.iter().find(|(name, _)| name == key).map(|(_, place)| place.clone());
            let place = place.unwrap_or_else(|| Place::whole(&job.path));
            findings.push(letters_missing(&missing, &words, place, "this label is held"));
            Some(json!({"key": key}))
        });
    }
    (data, findings)
}

/// Calls for every object in a list and the lists in it, and puts what comes back in its place.
fn walk(value: &mut Value, call: &mut dyn FnMut(&Value) -> Option<Value>) {
    match value {
        Value::Array(values) => values.iter_mut().for_each(|value| walk(value, call)),
        entry => {
            if let Some(held) = call(entry) {
                *entry = held;
            }
        }
    }
}
