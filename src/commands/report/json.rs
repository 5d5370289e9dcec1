//! Findings as JSON, for other programs. The form is published as `docs/findings.schema.json`.

use super::{Coverage, LocatedFinding, Report};
use serde_json::{Value, json};

/// The number of the form; it grows when a reader of the old form would be misled.
const FORMAT: u32 = 1;

pub(super) fn report(report: &Report) -> Value {
    let read = report.looked.map(self::read);
    let findings: Vec<Value> = report.told().map(|told| one(&told)).collect();
    json!({ "format": FORMAT, "read": read, "findings": findings })
}

/// How much was looked at; null where the program could not be read.
pub(super) fn read(looked: Coverage) -> Value {
    json!({
        "lessons": looked.lessons,
        "figures": looked.figures,
        "facts": looked.facts,
        "questions": looked.questions,
        "roster_rows": looked.roster_rows,
    })
}

fn one(told: &LocatedFinding) -> Value {
    let finding = told.finding;
    json!({
        "rule": finding.rule,
        "level": finding.level,
        "file": &*finding.place.file,
        "line": told.start.line,
        "column": told.start.column,
        "end_line": told.end.line,
        "end_column": told.end.column,
        "says": told.says(),
        "fact_says": finding.fact_says,
        "instead": told.instead(),
        "message": finding.message,
        "mend": finding.mend,
        "stops_press": finding.stops_press,
    })
}
