//! One row of the roster: what stands in it, to be mended, and the certificate as it would look.

use super::changed;
use super::frame::{self, Frame};
use super::printing::is_alone;
use super::state::Desk;
use super::today::{column_data, event_of, may_write, state, told, told_of};
use super::web::Reply;
use crate::program::roster::{Field, Participant, Roster};
use crate::program::tables::Form;
use crate::session::{CellAsked, RowAsked, Session, row_key};
use serde_json::{Value, json};

/// What can be mended here, besides name and companion.
const MORE: [Field; 11] = [
    Field::Email,
    Field::Street,
    Field::Town,
    Field::State,
    Field::Postcode,
    Field::Country,
    Field::Size,
    Field::Passed,
    Field::Join,
    Field::Language,
    Field::Note,
];

fn person_of<'s>(session: &'s Session, row: &str) -> Option<&'s Participant> {
    let number: usize = row.parse().ok()?;
    session.roster().participant(number)
}

/// The page of a row.
pub(super) fn row(desk: &mut Desk, page: &Frame, row: &str) -> Reply {
    let view = match frame::view(desk, page) {
        Ok(view) => view,
        Err(told) => return told,
    };
    let Some(session) = desk.session() else { return frame::told(desk, page, 404, "nowhere") };
    let roster = session.roster();
    let found = person_of(session, row);
    let (Some(person), Some(table)) = (found, &roster.table) else {
        return frame::told(desk, page, 404, "no-row");
    };
    let there = table.row(person.row);
    let fields = |fields: &[Field]| -> Vec<Value> {
        let one = |field: &Field| {
            let columns = roster.columns_of(*field);
            let several = columns.len() > 1;
            let field = *field;
            columns.into_iter().map(move |column| {
                let cell = there.and_then(|row| row.cell(column));
                let value = cell.map(|cell| cell.value().into_owned()).unwrap_or_default();
                column_data(roster, field, column, several, &value)
            })
        };
        fields.iter().flat_map(one).collect()
    };
    let event = event_of(session, &person.event);
    let data = json!({
        "event": { "id": person.event, "name": event.map(|event| event.name.as_str()) },
        "row": person.row,
        "key": there.map(|row| row_key(roster, row)),
        "name": person.name,
        "companion": person.companion,
        "state": state(&view, person),
        "told": told_of(&view, person),
        "main": fields(&[Field::Name, Field::Companion]),
        "more": fields(&MORE),
        "file": table.file.to_string(),
        "workbook": matches!(table.form, Form::Workbook { .. }),
        "picture": event.is_some_and(|event| event.certified),
        "alone": is_alone(session, person),
        "replaces": view.papers.replaces.get(&person.row).map(ToString::to_string),
    });
    frame::page(desk, page, "row.html", "today", data)
}

/// Writes what was mended in a row.
pub(super) fn mend(desk: &mut Desk, page: &Frame) -> Reply {
    let asked = page.asked;
    let Some(number) = asked.number("row") else { return frame::told(desk, page, 400, "not-understood") };
    let cells: Vec<CellAsked> = asked
        .form
        .iter()
        .filter_map(|(name, now)| {
            let column: usize = name.strip_prefix('c')?.parse().ok()?;
            let was = asked.field(&format!("w{column}")).to_owned();
            Some(CellAsked { column, was, now: now.clone() })
        })
        .collect();
    if cells.is_empty() || !may_write(desk, cells.iter().map(|cell| cell.column)) {
        return frame::told(desk, page, 400, "not-understood");
    }
    let roster = desk.session().map(|session| session.roster().clone());
    if roster.is_some_and(|roster| clears_name(&roster, &cells)) {
        return frame::told(desk, page, 400, "no-name");
    }
    let row = RowAsked { row: number, key: asked.field("key").to_owned() };
    let event = asked.field("event").to_owned();
    let Some(session) = desk.session_mut() else { return frame::told(desk, page, 500, "nowhere") };
    let written = session.write_row(&row, &cells);
    let back = match asked.field("back") {
        "findings" => "/findings".to_owned(),
        _ => format!("/row/{number}"),
    };
    changed::answer(desk, page, (&event, &back), "mend", written)
}

/// Whether nothing would be left of a name.
fn clears_name(roster: &Roster, cells: &[CellAsked]) -> bool {
    let columns = roster.columns_of(Field::Name);
    let of_name: Vec<&CellAsked> = cells.iter().filter(|cell| columns.contains(&cell.column)).collect();
    !of_name.is_empty() && of_name.len() == columns.len() && of_name.iter().all(|it| it.now.trim().is_empty())
}

/// The certificate of a name that is being typed: where its picture is, and what is wrong with it.
pub(super) fn typed(desk: &mut Desk, page: &Frame) -> Reply {
    let asked = page.asked;
    let words = |roster: &Roster, field| -> String {
        let columns = roster.columns_of(field).into_iter();
        let words = columns.map(|at| asked.field(&format!("c{at}")).trim().to_owned());
        words.filter(|words| !words.is_empty()).collect::<Vec<_>>().join(" ")
    };
    let drawn = desk.session().and_then(|session| {
        let roster = session.roster();
        drawn(session, asked.field("event"), (&words(roster, Field::Name), &words(roster, Field::Companion)))
    });
    let (picture, told) = match drawn {
        Some((Some(picture), told)) => (Some(format!("/picture/{}", desk.keep_picture(picture))), told),
        Some((None, told)) => (None, told),
        None => (None, Vec::new()),
    };
    let answer = json!({ "picture": picture, "told": told });
    Reply::of("application/json", answer.to_string().into_bytes())
}

/// The first page of a certificate with a name, and what the press tells of it. The register knows nothing of it.
fn drawn(
    session: &Session,
    event: &str,
    (name, companion): (&str, &str),
) -> Option<(Option<String>, Vec<Value>)> {
    let event = event_of(session, event)?;
    // Nobody's answers are asked for, nor what is wrong elsewhere: a key was pressed.
    let understood = session.understand(session.program());
    let companion = Some(companion).filter(|companion| !companion.is_empty());
    let shown = session.show_certificate(&understood, event, (name, companion)).ok()?;
    Some((shown.pages.into_iter().next(), shown.findings.iter().map(told).collect()))
}

/// A picture: of a name that was typed, or `row-7`, as the roster has it.
pub(super) fn picture(desk: &mut Desk, which: &str) -> Reply {
    let drawn = match which.strip_prefix("row-") {
        Some(row) => desk.session().and_then(|session| {
            let person = person_of(session, row)?;
            let words = (person.name.as_str(), person.companion.as_deref().unwrap_or_default());
            drawn(session, &person.event, words)?.0
        }),
        None => which.parse().ok().and_then(|number| desk.picture(number)).map(str::to_owned),
    };
    match drawn {
        Some(picture) => Reply::of("image/svg+xml", picture.into_bytes()),
        None => Reply::plain(404, "There is no such picture."),
    }
}
