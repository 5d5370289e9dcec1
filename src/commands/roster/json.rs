//! The roster for a program to read: rows, columns and findings, and nothing that people wrote. The
//! form is published as `docs/roster.schema.json`.

use super::{Line, Look, Saved};
use crate::finding::{Finding, Level};
use crate::job;
use crate::program::roster::{Column, ColumnMeaning};
use crate::program::tables::{self, LineEnd};
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

/// The number of the form; it grows when a reader of the old form would be misled.
const FORMAT: u32 = 1;

/// How the roster was read: its columns, its rows and what is odd in them. Nothing that people wrote is in it; rows are
/// counted from 1 as a spreadsheet shows them, with the headings.
#[derive(Serialize, JsonSchema)]
#[schemars(title = "What packstring proofread --roster --as json tells")]
pub struct RosterRecord<'p> {
    /// The number of this form. It grows when a reader of the old form would be misled.
    #[schemars(extend("const" = FORMAT))]
    format: u32,
    /// Relative to the program folder, with / between the parts.
    file: &'p str,
    read_as: ReadAs<'p>,
    columns: Vec<ColumnRecord<'p>>,
    /// Rows that were read.
    understood: usize,
    /// Rows with something that could not be read.
    not_understood: usize,
    rows: Vec<RowRecord<'p>>,
    /// Those of the file as a whole.
    findings: Vec<OddRecord<'p>>,
    /// With --save: the cells that were put right.
    saved: Vec<SavedRecord>,
}

/// How the file is written.
#[derive(Serialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
enum ReadAs<'p> {
    Workbook {
        sheet: &'p str,
    },
    Text {
        /// By its name in the WHATWG Encoding Standard.
        encoding: &'static str,
        byte_order_mark: bool,
        delimiter: char,
        line_end: LineEndName,
    },
}

/// How lines end.
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "UPPERCASE")]
enum LineEndName {
    Lf,
    CrLf,
    Cr,
}

/// A column.
#[derive(Serialize, JsonSchema)]
struct ColumnRecord<'p> {
    #[schemars(range(min = 1))]
    column: usize,
    /// As it stands there; null where nobody understood it, since it may be a row of data.
    heading: Option<&'p str>,
    /// What it was understood as; null where it is passed over.
    field: Option<&'static str>,
    /// Why it was understood so; null where it is passed over.
    by: Option<UnderstoodBy>,
}

/// As program.toml names it, by packstring's own word, or by a guess at usual headings.
#[derive(Serialize, JsonSchema)]
enum UnderstoodBy {
    #[serde(rename = "program.toml")]
    Settings,
    #[serde(rename = "name")]
    Name,
    #[serde(rename = "guess")]
    Guess,
}

/// A row.
#[derive(Serialize, JsonSchema)]
struct RowRecord<'p> {
    #[schemars(range(min = 1))]
    row: usize,
    understood: bool,
    /// Null where the row could not be read.
    attended: Option<bool>,
    /// Null where the roster does not say.
    passed: Option<bool>,
    findings: Vec<OddRecord<'p>>,
}

/// What is odd or wrong; the words at the place are left out.
#[derive(Serialize, JsonSchema)]
struct OddRecord<'p> {
    /// The rule's name; its page is docs/rules/NAME.md.
    rule: String,
    level: Level,
    #[schemars(range(min = 1))]
    line: usize,
    #[schemars(range(min = 1))]
    column: usize,
    /// What is wrong, without the words of the row.
    message: &'p str,
    /// How to mend it.
    mend: Option<&'p str>,
}

/// A cell that was put right.
#[derive(Serialize, JsonSchema)]
struct SavedRecord {
    #[schemars(range(min = 1))]
    row: usize,
    field: &'static str,
}

pub(super) fn look(look: &Look, saved: &Saved) -> Value {
    let understood = look.rows.iter().filter(|line| line.is_understood()).count();
    job::data(&RosterRecord {
        format: FORMAT,
        file: &look.table.file,
        read_as: read_as(&look.table.form),
        columns: look.roster.columns.iter().map(column).collect(),
        understood,
        not_understood: look.rows.len() - understood,
        rows: look.rows.iter().map(|line| row(look, line)).collect(),
        findings: look.file.iter().map(|finding| one(look, finding)).collect(),
        saved: saved.mends.iter().map(|mend| SavedRecord { row: mend.row, field: mend.field }).collect(),
    })
}

fn column(column: &Column) -> ColumnRecord<'_> {
    let (field, by) = match column.understood {
        ColumnMeaning::BySettings(field) => (Some(field.word()), Some(UnderstoodBy::Settings)),
        ColumnMeaning::ByName(field) => (Some(field.word()), Some(UnderstoodBy::Name)),
        ColumnMeaning::ByGuess(field) => (Some(field.word()), Some(UnderstoodBy::Guess)),
        ColumnMeaning::Day(_) => (Some("day"), Some(UnderstoodBy::Guess)),
        ColumnMeaning::Kept => (Some("kept"), Some(UnderstoodBy::Settings)),
        ColumnMeaning::PassedOver => (None, None),
    };
    // What nobody understood may be a row of data where headings belong.
    let heading = field.map(|_| column.heading.as_str());
    ColumnRecord { column: column.at + 1, heading, field, by }
}

fn read_as(form: &tables::Form) -> ReadAs<'_> {
    match form {
        tables::Form::Workbook { sheet } => ReadAs::Workbook { sheet },
        tables::Form::Text(text) => ReadAs::Text {
            encoding: text.encoding.name(),
            byte_order_mark: text.byte_order_mark,
            delimiter: text.delimiter,
            line_end: match text.line_end {
                LineEnd::Lf => LineEndName::Lf,
                LineEnd::CrLf => LineEndName::CrLf,
                LineEnd::Cr => LineEndName::Cr,
            },
        },
    }
}

fn row<'l>(look: &Look, line: &'l Line) -> RowRecord<'l> {
    RowRecord {
        row: line.number,
        understood: line.is_understood(),
        attended: line.participant.map(|person| person.attended),
        passed: line.participant.and_then(|person| person.passed),
        findings: line.findings.iter().map(|finding| one(look, finding)).collect(),
    }
}

fn one<'l>(look: &Look, finding: &'l Finding) -> OddRecord<'l> {
    let at = look.sources.line_column(&finding.place);
    OddRecord {
        rule: finding.rule.to_string(),
        level: finding.level,
        line: at.line,
        column: at.column,
        message: &finding.message,
        mend: finding.mend.as_deref(),
    }
}
