//! The roster for a program to read: rows, columns and findings, and nothing that people wrote. The
//! form is published as `docs/roster.schema.json`.

use super::{Line, Look, Saved};
use crate::finding::Finding;
use crate::program::roster::ColumnMeaning;
use crate::program::tables::{Form, LineEnd};
use serde_json::{Value, json};

/// The number of the form; it grows when a reader of the old form would be misled.
const FORMAT: u32 = 1;

pub(super) fn look(look: &Look, saved: &Saved) -> Value {
    let columns: Vec<Value> = look
        .roster
        .columns
        .iter()
        .map(|column| {
            let (field, by) = match column.understood {
                ColumnMeaning::BySettings(field) => (Some(field.word()), Some("program.toml")),
                ColumnMeaning::ByName(field) => (Some(field.word()), Some("name")),
                ColumnMeaning::ByGuess(field) => (Some(field.word()), Some("guess")),
                ColumnMeaning::PassedOver => (None, None),
            };
            // What nobody understood may be a row of data where headings belong.
            let heading = field.map(|_| column.heading.as_str());
            json!({ "column": column.at + 1, "heading": heading, "field": field, "by": by })
        })
        .collect();
    let understood = look.rows.iter().filter(|line| line.is_understood()).count();
    let written: Vec<Value> =
        saved.mends.iter().map(|mend| json!({ "row": mend.row, "field": mend.field })).collect();
    json!({
        "format": FORMAT,
        "file": &*look.table.file,
        "read_as": form(&look.table.form),
        "columns": columns,
        "understood": understood,
        "not_understood": look.rows.len() - understood,
        "rows": look.rows.iter().map(|line| row(look, line)).collect::<Vec<_>>(),
        "findings": look.file.iter().map(|finding| one(look, finding)).collect::<Vec<_>>(),
        "saved": written,
    })
}

fn form(form: &Form) -> Value {
    match form {
        Form::Workbook { sheet } => json!({ "kind": "workbook", "sheet": sheet }),
        Form::Text(text) => json!({
            "kind": "text",
            "encoding": text.encoding.name(),
            "byte_order_mark": text.byte_order_mark,
            "delimiter": text.delimiter,
            "line_end": match text.line_end {
                LineEnd::Lf => "LF",
                LineEnd::CrLf => "CRLF",
                LineEnd::Cr => "CR",
            },
        }),
    }
}

fn row(look: &Look, line: &Line) -> Value {
    json!({
        "row": line.number,
        "understood": line.is_understood(),
        "attended": line.participant.map(|person| person.attended),
        "passed": line.participant.and_then(|person| person.passed),
        "findings": line.findings.iter().map(|finding| one(look, finding)).collect::<Vec<_>>(),
    })
}

fn one(look: &Look, finding: &Finding) -> Value {
    let at = look.sources.line_column(&finding.place);
    json!({
        "rule": finding.rule,
        "level": finding.level,
        "line": at.line,
        "column": at.column,
        "message": finding.message,
        "mend": finding.mend,
    })
}
