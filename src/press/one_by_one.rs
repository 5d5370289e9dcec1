//! Entries of one sheet that are held one by one: a label with a letter that no font has stays empty, a cell of
//! a list says in its place which row of the roster is held, and the rest of the sheet is made.

use super::letters::{Letters, letters_missing};
use super::strings;
use crate::finding::{Finding, Place};
use crate::job::{Job, RosterCells, Sheet};
use serde_json::{Value, json};

/// The data of a sheet without what cannot be printed of its entries, and why that is held; nothing where all
/// entries are printed as they are.
pub(super) fn hold(letters: &Letters, job: &Job, sheet: &Sheet) -> Option<(Value, Vec<Finding>)> {
    if sheet.one_by_one.is_none() && sheet.cells.is_empty() {
        return None;
    }
    let mut data = sheet.data.clone();
    let mut findings = Vec::new();
    if let Some(list) = sheet.one_by_one {
        hold_entries(letters, job, sheet, &mut data[list], &mut findings);
    }
    hold_cells(letters, &sheet.cells, &mut data, &mut findings);
    (!findings.is_empty()).then_some((data, findings))
}

fn hold_entries(
    letters: &Letters,
    job: &Job,
    sheet: &Sheet,
    entries: &mut Value,
    findings: &mut Vec<Finding>,
) {
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

/// A name that several sheets hold is told of in the same words by each, so that it is told once.
fn hold_cells(letters: &Letters, rows: &[RosterCells], data: &mut Value, findings: &mut Vec<Finding>) {
    for row in rows {
        let mut is_held = false;
        for at in &row.at {
            let cell = data.pointer_mut(at);
            if let Some(cell) = cell.filter(|cell| strings(cell).iter().any(|it| letters.lack(it))) {
                *cell = json!({"held": row.row});
                is_held = true;
            }
        }
        if is_held {
            let words: Vec<&str> = row.words.iter().map(String::as_str).collect();
            findings.extend(letters.told_of(&words, &row.place));
        }
    }
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
