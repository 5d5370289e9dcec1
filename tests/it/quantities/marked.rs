//! Scores the reader on texts that others have marked, by the rule told in
//! `tests/reference/quantities/README.md`.

use packstring::quantity::{Amount, Exact, Figure, Language, plain};
use serde_json::Value;
use std::collections::BTreeMap;

#[derive(Debug, Default)]
pub struct Score {
    pub figures: usize,
    pub right: usize,
    pub wrong: usize,
}

impl Score {
    pub fn f1(&self) -> f64 {
        2.0 * self.right as f64 / (self.figures + self.right + self.wrong) as f64
    }
}

/// A figure as it was read: span in scalars, values, unit by name.
struct Reading {
    start: u64,
    end: u64,
    values: Vec<f64>,
    unit: Option<String>,
}

impl Reading {
    fn of(figure: &Figure, text: &str) -> Self {
        let scalars = |byte: usize| text[..byte].chars().count() as u64;
        let unit = &figure.quantity.unit;
        let name = unit.name();
        let counts = name.is_empty() || unit.counts_things() && !name.starts_with("time per ");
        let span = if counts { &figure.number } else { &figure.alone };
        let values = match &figure.quantity.amount {
            Amount::One(value) => vec![float(value)],
            Amount::Range(low, high) => vec![float(low), float(high)],
        };
        let unit = (!counts).then_some(name);
        Self { start: scalars(span.start), end: scalars(span.end), values, unit }
    }

    fn overlaps(&self, marked: &Value) -> bool {
        self.end.min(whole(marked, "end")) > self.start.max(whole(marked, "start"))
    }

    fn matches(&self, marked: &Value) -> bool {
        let no_others = Vec::new();
        let others = marked["alt"].as_array().unwrap_or(&no_others);
        self.overlaps(marked)
            && std::iter::once(marked).chain(others).any(|reading| {
                let unit = if reading.get("unit").is_some() { reading } else { marked };
                self.has_values(reading) && self.has_unit(unit["unit"].as_str(), marked["per_ok"] == true)
            })
    }

    fn has_values(&self, marked: &Value) -> bool {
        let expected: Vec<f64> = match marked["value"].as_f64() {
            Some(value) => vec![value],
            None => ["low", "high"].iter().filter_map(|key| marked[key].as_f64()).collect(),
        };
        let close = |a: f64, b: f64| (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1e-3);
        expected.len() == self.values.len() && self.values.iter().zip(expected).all(|(a, b)| close(*a, b))
    }

    fn has_unit(&self, expected: Option<&str>, per_ok: bool) -> bool {
        if self.unit.as_deref() == expected {
            return true;
        }
        let start = format!("{} per ", expected.unwrap_or("time"));
        per_ok && self.unit.as_deref().is_some_and(|unit| unit.starts_with(&start))
    }
}

fn float(value: &Exact) -> f64 {
    let text = plain(value);
    let part = |text: &str| text.parse::<f64>().expect("a number");
    match text.split_once('/') {
        Some((n, d)) => part(n) / part(d),
        None => part(&text),
    }
}

fn whole(marked: &Value, key: &str) -> u64 {
    marked[key].as_u64().expect("a place")
}

/// Reads every text and counts what is right and what is false.
pub fn score(language: &Language, records: &str, units: &str) -> Score {
    let dimensions: BTreeMap<String, String> = super::table(units)
        .into_iter()
        .map(|row| (row["canonical"].clone(), row["dimension"].clone()))
        .collect();
    let mut score = Score::default();
    for line in records.lines() {
        let record: Value = serde_json::from_str(line).expect("a record");
        one(language, &record, &dimensions, &mut score);
    }
    score
}

fn one(language: &Language, record: &Value, dimensions: &BTreeMap<String, String>, score: &mut Score) {
    let text = record["text"].as_str().expect("a text");
    let readings: Vec<Reading> = language
        .read(text)
        .iter()
        .flat_map(|figure| [Some(figure), figure.dual.as_deref()])
        .flatten()
        .map(|figure| Reading::of(figure, text))
        .collect();
    let marked = record["quantities"].as_array().expect("figures");
    let (asked, free): (Vec<_>, Vec<_>) = marked.iter().partition(|figure| {
        figure.get("optional").is_none_or(|reason| reason.is_null()) && figure["dimension"] != "ordinal"
    });
    let used = matched(&asked, &readings);
    score.figures += asked.len();
    score.right += used.right;
    for (at, reading) in readings.iter().enumerate() {
        if used.readings.contains(&at) {
            continue;
        }
        let on = |marked: &[&Value]| marked.iter().any(|figure| reading.overlaps(figure));
        if on(&asked) || (!on(&free) && in_scope(reading, record, dimensions)) {
            score.wrong += 1;
        }
    }
}

struct Matched {
    right: usize,
    readings: Vec<usize>,
}

/// The largest one-to-one matching of marked figures and readings.
fn matched(asked: &[&Value], readings: &[Reading]) -> Matched {
    let mut taken: Vec<usize> = Vec::new();
    let mut right = 0;
    let mut rest = Vec::new();
    for figure in asked {
        match by_parts(figure, readings, &taken) {
            Some(parts) => {
                taken.extend(parts);
                right += 1;
            }
            None => rest.push(*figure),
        }
    }
    let mut owner: BTreeMap<usize, usize> = BTreeMap::new();
    for figure in 0..rest.len() {
        let mut seen = taken.clone();
        find_place(figure, &rest, readings, &mut owner, &mut seen);
    }
    right += owner.len();
    taken.extend(owner.keys());
    Matched { right, readings: taken }
}

/// A composite figure that was read part by part.
fn by_parts(figure: &Value, readings: &[Reading], taken: &[usize]) -> Option<Vec<usize>> {
    let mut found = Vec::new();
    for part in figure["parts"].as_array()? {
        let at = (0..readings.len())
            .find(|at| !taken.contains(at) && !found.contains(at) && readings[*at].matches(part))?;
        found.push(at);
    }
    Some(found)
}

fn find_place(
    figure: usize,
    asked: &[&Value],
    readings: &[Reading],
    owner: &mut BTreeMap<usize, usize>,
    seen: &mut Vec<usize>,
) -> bool {
    for at in 0..readings.len() {
        if seen.contains(&at) || !readings[at].matches(asked[figure]) {
            continue;
        }
        seen.push(at);
        let free = match owner.get(&at) {
            None => true,
            Some(holder) => find_place(*holder, asked, readings, owner, seen),
        };
        if free {
            owner.insert(at, figure);
            return true;
        }
    }
    false
}

/// Whether figures of the reading's kind are marked in full in this text.
fn in_scope(reading: &Reading, record: &Value, dimensions: &BTreeMap<String, String>) -> bool {
    let scope: Vec<&str> = record["scope"]
        .as_array()
        .map(|scope| scope.iter().filter_map(Value::as_str).collect())
        .unwrap_or_default();
    let has = |dimension: &str| scope.contains(&dimension);
    let of = |unit: &str| dimensions.get(unit).map_or("other", String::as_str);
    let Some(unit) = &reading.unit else { return has("number") };
    let (base, rate) = match unit.split_once(" per ") {
        Some((base, _)) => (of(base), true),
        None => (of(unit), false),
    };
    match base {
        "degree" => has("degree") || (has("temperature") && has("angle")),
        _ if rate && dimensions.contains_key(unit) => has(of(unit)) || has(base),
        _ if rate => has("rate") || has(base),
        base => has(base),
    }
}
