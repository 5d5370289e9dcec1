//! What is wrong with the program, by file, each with how to mend it.

use super::frame::{self, Frame};
use super::state::{Desk, Trouble};
use super::today::told;
use super::web::Reply;
use crate::finding::{Finding, Level, Sources};
use crate::session::{Mend, Mends, Session};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// All findings; where the folder cannot be read just now, its mistakes.
pub(super) fn list(desk: &mut Desk, page: &Frame) -> Reply {
    let data = match desk.trouble() {
        Some(Trouble::Unread(unread)) => by_file(&unread.mistakes, &unread.sources, &|_| Value::Null),
        Some(Trouble::Said(_)) | None => {
            let view = match frame::view(desk, page) {
                Ok(view) => view,
                Err(told) => return told,
            };
            let Some(session) = desk.session() else { return frame::told(desk, page, 404, "nowhere") };
            let mends = session.mends();
            let mend = |finding: &Finding| mend(session, &mends, finding);
            by_file(&view.findings, &session.program().sources, &mend)
        }
    };
    frame::page(desk, page, "findings.html", "findings", data)
}

/// Where no program could be read at all yet.
pub(super) fn unread(desk: &mut Desk, page: &Frame) -> Reply {
    let data = match desk.trouble() {
        Some(Trouble::Unread(unread)) => by_file(&unread.mistakes, &unread.sources, &|_| Value::Null),
        Some(Trouble::Said(_)) | None => by_file(&[], &Sources::default(), &|_| Value::Null),
    };
    frame::page(desk, page, "findings.html", "findings", data).status(503)
}

/// What can be written at the place of a finding, for sure.
fn mend(session: &Session, mends: &Mends, finding: &Finding) -> Value {
    match session.mend_of(mends, finding) {
        Some(Mend::Text(mend)) => json!({
            "is_cell": false,
            "file": mend.file,
            "start": mend.start,
            "before": mend.before,
            "was": mend.was,
            "now": mend.now,
            "after": mend.after,
            "reread": mend.reread,
            "state": mend.state,
        }),
        Some(Mend::Cell(row, cell)) => json!({
            "is_cell": true,
            "row": row.row,
            "key": row.key,
            "event": session.roster().participant(row.row).map(|person| &person.event),
            "column": cell.column,
            "was": cell.was,
            "now": cell.now,
        }),
        None => Value::Null,
    }
}

/// Writes the mend of a finding, as it was shown.
pub(super) fn write(desk: &mut Desk, page: &Frame) -> Reply {
    let asked = page.asked;
    let Some(start) = asked.number("start") else { return frame::told(desk, page, 400, "not-understood") };
    let (file, now, state) = (asked.field("file"), asked.field("now"), asked.field("state"));
    let Some(session) = desk.session_mut() else { return frame::told(desk, page, 500, "nowhere") };
    match session.write_mend(file, start, now, state) {
        Ok(()) => {
            desk.has_changed();
            Reply::go_to("/findings?said=finding-written".to_owned())
        }
        Err(error) => frame::said(desk, page, 409, "not-done", &error.to_string()),
    }
}

fn by_file(findings: &[Finding], sources: &Sources, mend: &dyn Fn(&Finding) -> Value) -> Value {
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
        data["write"] = mend(finding);
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
