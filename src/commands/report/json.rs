//! Findings as JSON, for other programs. The form is published as `docs/findings.schema.json`.

use super::{LocatedFinding, Report};
use crate::finding::Level;
use crate::job;
use crate::session::Coverage;
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

/// The number of the form; it grows when a reader of the old form would be misled.
const FORMAT: u32 = 1;

/// Lines and columns are counted from 1, columns in Unicode scalars; the end is the first column after the words. Words
/// of a roster are left out.
#[derive(Serialize, JsonSchema)]
#[schemars(title = "The output of packstring proofread --as json")]
pub struct FindingsRecord {
    /// The number of this form. It grows when a reader of the old form would be misled.
    #[schemars(extend("const" = FORMAT))]
    format: u32,
    /// How much was looked at; null where the program could not be read.
    read: Option<CoverageRecord>,
    /// By file and place; notes after the rest.
    findings: Vec<FindingRecord>,
}

/// How much was looked at.
#[derive(Serialize, JsonSchema)]
pub struct CoverageRecord {
    lessons: usize,
    figures: usize,
    facts: usize,
    questions: usize,
    roster_rows: usize,
}

/// What is odd or wrong.
#[derive(Serialize, JsonSchema)]
pub struct FindingRecord {
    /// The rule's name; its page is docs/rules/NAME.md.
    rule: String,
    level: Level,
    /// Relative to the program folder, with / between the parts.
    file: String,
    #[schemars(range(min = 1))]
    line: usize,
    #[schemars(range(min = 1))]
    column: usize,
    #[schemars(range(min = 1))]
    end_line: usize,
    #[schemars(range(min = 1))]
    end_column: usize,
    /// Of a people file, the row as a spreadsheet counts it, with the headings; null elsewhere.
    #[schemars(range(min = 1))]
    row: Option<usize>,
    /// The heading of the cell's column, where packstring knows it; null elsewhere.
    heading: Option<String>,
    /// The words at the place. Empty where there are none, and in a roster.
    says: String,
    /// What the fact says, where a fact is concerned.
    fact_says: Option<String>,
    /// The words to put at the place, where other words there are all that it takes.
    instead: Option<String>,
    /// What is wrong, in a sentence that stands alone.
    message: String,
    /// How to mend it.
    mend: Option<String>,
    /// Whether nothing is printed while this stands.
    stops_press: bool,
}

pub(super) fn report(report: &Report) -> Value {
    let read = report.looked.map(CoverageRecord::from);
    job::data(&FindingsRecord { format: FORMAT, read, findings: findings(report) })
}

pub(super) fn findings(report: &Report) -> Vec<FindingRecord> {
    report.told().map(|told| one(&told)).collect()
}

impl From<Coverage> for CoverageRecord {
    fn from(looked: Coverage) -> Self {
        Self {
            lessons: looked.lessons,
            figures: looked.figures,
            facts: looked.facts,
            questions: looked.questions,
            roster_rows: looked.roster_rows,
        }
    }
}

fn one(told: &LocatedFinding) -> FindingRecord {
    let finding = told.finding;
    FindingRecord {
        rule: finding.rule.to_string(),
        level: finding.level,
        file: finding.place.file.to_string(),
        line: told.start.line,
        column: told.start.column,
        end_line: told.end.line,
        end_column: told.end.column,
        row: told.cell.as_ref().map(|cell| cell.row),
        heading: told.cell().and_then(|cell| cell.heading),
        says: told.says().to_owned(),
        fact_says: finding.fact_says.clone(),
        instead: told.instead().map(str::to_owned),
        message: finding.message.clone(),
        mend: finding.mend.clone(),
        stops_press: finding.stops_press,
    }
}
