//! A certificate that was given is withdrawn: with a reason, and asked once more before it is done.

use super::frame::{self, Frame};
use super::state::{Desk, View};
use super::web::Reply;
use crate::credential::number::Number;
use crate::session::{Paper, row_key};
use serde_json::json;

/// A given certificate, as the row's page shows it.
struct Given {
    number: Number,
    key: String,
    name: String,
    companion: Option<String>,
    event: String,
}

fn given(desk: &Desk, view: &View, row: usize) -> Option<Given> {
    let Some(Paper::Given { number, .. }) = view.papers.rows.get(&row) else { return None };
    let session = desk.session()?;
    let roster = session.roster();
    let person = roster.participant(row)?;
    Some(Given {
        number: Number::parse(number).ok()?,
        key: roster.row(row).map(|there| row_key(roster, there))?,
        name: person.name.clone(),
        companion: person.companion.clone(),
        event: person.event.clone(),
    })
}

/// What withdrawing means, and the reason to be written.
pub(super) fn ask(desk: &mut Desk, page: &Frame, row: &str) -> Reply {
    let view = match frame::view(desk, page) {
        Ok(view) => view,
        Err(told) => return told,
    };
    let Ok(row) = row.parse() else { return frame::told(desk, page, 404, "no-row") };
    match given(desk, &view, row) {
        Some(given) => shown(desk, page, row, &given, (false, "")),
        None => frame::told(desk, page, 404, "not-given"),
    }
}

fn shown(desk: &mut Desk, page: &Frame, row: usize, given: &Given, (sure, why): (bool, &str)) -> Reply {
    let data = json!({
        "row": row,
        "key": given.key,
        "number": given.number.to_string(),
        "name": given.name,
        "companion": given.companion,
        "event": given.event,
        "sure": sure,
        "why": why,
    });
    frame::page(desk, page, "withdraw.html", "today", data)
}

/// Asks once more with the reason, and then does it.
pub(super) fn withdraw(desk: &mut Desk, page: &Frame) -> Reply {
    let view = match frame::view(desk, page) {
        Ok(view) => view,
        Err(told) => return told,
    };
    let asked = page.asked;
    let Some(row) = asked.number("row") else { return frame::told(desk, page, 400, "not-understood") };
    // The row still has to be the one that was shown with this certificate.
    let given = given(desk, &view, row)
        .filter(|given| given.number.to_string() == asked.field("number") && given.key == asked.field("key"));
    let Some(given) = given else { return frame::told(desk, page, 409, "withdraw-changed") };
    let why = asked.field("why").split_whitespace().collect::<Vec<_>>().join(" ");
    if why.is_empty() {
        return frame::told(desk, page, 400, "no-reason");
    }
    if asked.field("sure") != "yes" {
        return shown(desk, page, row, &given, (true, &why));
    }
    let Some(session) = desk.session_mut() else { return frame::told(desk, page, 500, "nowhere") };
    match session.withdraw_certificate(&given.number, &why) {
        Ok(()) => Reply::go_to(format!("/row/{row}?said=withdrawn")),
        Err(error) => frame::said(desk, page, 409, "not-done", &error.to_string()),
    }
}
