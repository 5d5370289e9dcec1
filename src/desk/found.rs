//! What is wrong with the program, by file, each with how to mend it.

use super::frame::{self, Frame};
use super::state::{Desk, Trouble};
use super::today::told;
use super::web::Reply;
use crate::finding::{Finding, Level, Sources};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// All findings; where the folder cannot be read just now, its mistakes.
pub(super) fn list(desk: &mut Desk, page: &Frame) -> Reply {
    let data = match desk.trouble() {
        Some(Trouble::Unread(unread)) => by_file(&unread.mistakes, &unread.sources),
        Some(Trouble::Said(_)) | None => {
            let view = match frame::view(desk, page) {
                Ok(view) => view,
                Err(told) => return told,
            };
            let Some(session) = desk.session() else { return frame::told(desk, page, 404, "nowhere") };
            by_file(&view.findings, &session.program().sources)
        }
    };
    frame::page(desk, page, "findings.html", "findings", data)
}

/// Where no program could be read at all yet.
pub(super) fn unread(desk: &mut Desk, page: &Frame) -> Reply {
    let data = match desk.trouble() {
        Some(Trouble::Unread(unread)) => by_file(&unread.mistakes, &unread.sources),
        Some(Trouble::Said(_)) | None => by_file(&[], &Sources::default()),
    };
    frame::page(desk, page, "findings.html", "findings", data).status(503)
}

fn by_file(findings: &[Finding], sources: &Sources) -> Value {
    let mut files: BTreeMap<&str, Vec<&Finding>> = BTreeMap::new();
    for finding in findings {
        files.entry(&finding.place.file).or_default().push(finding);
    }
    let count = |level: Level| findings.iter().filter(|finding| finding.level == level).count();
    let one = |finding: &Finding| {
        let mut data = told(finding);
        let place = sources.line_column(&finding.place);
        data["line"] = json!(sources.row(&finding.place));
        data["column"] = json!(place.column);
        data["heading"] = json!(sources.cell(&finding.place).and_then(|cell| cell.heading));
        data["is_row"] = json!(sources.cell(&finding.place).is_some());
        data["says"] = json!(finding.says);
        data["fact_says"] = json!(finding.fact_says);
        data["stops"] = json!(finding.stops_press);
        data
    };
    let of_file = |(file, findings): (&&str, &Vec<&Finding>)| json!({ "name": file, "findings": findings.iter().map(|finding| one(finding)).collect::<Vec<_>>() });
    json!({
        "files": files.iter().map(of_file).collect::<Vec<_>>(),
        "count": {
            "all": findings.len(),
            "errors": count(Level::Error),
            "warnings": count(Level::Warning),
            "notes": count(Level::Note),
        },
    })
}
