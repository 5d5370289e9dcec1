//! What was changed at this desk: told, and taken back; and what somebody else has changed meanwhile.

use super::frame::{self, Frame};
use super::state::{Desk, Kept};
use super::web::Reply;
use crate::session::{Differs, NotWritten, RowConflict, Written};
use serde_json::{Value, json};

/// The answer to a form that wrote to the roster. `kind` is what the form was for, and where it goes if it is sent again;
/// `back` the page that goes on from it.
pub(super) fn answer(
    desk: &mut Desk,
    page: &Frame,
    (event, back): (&str, &str),
    kind: &str,
    written: Result<Written, NotWritten>,
) -> Reply {
    match written {
        Ok(Written::Saved(change)) => {
            let row = change.row.row;
            let number = desk.keep(event, change);
            Reply::go_to(with(back, &format!("done={number}"), row))
        }
        Ok(Written::AsItWas) => Reply::go_to(back.to_owned()),
        Ok(Written::Conflict(conflict)) => told(desk, page, (event, back), kind, &conflict),
        Err(why) => not_written(desk, page, &why),
    }
}

/// An address with one more thing asked, at a row of the list.
fn with(path: &str, asks: &str, row: usize) -> String {
    let joint = if path.contains('?') { '&' } else { '?' };
    format!("{path}{joint}{asks}#r{row}")
}

fn not_written(desk: &mut Desk, page: &Frame, why: &NotWritten) -> Reply {
    let (key, words) = match why {
        NotWritten::NoRoster => ("no-roster", String::new()),
        NotWritten::Workbook(file) => ("workbook", file.to_string()),
        NotWritten::Letter(letter, file) => {
            ("letter", format!("{}, {file}", crate::spelling::marks::told(*letter)))
        }
        NotWritten::Busy(file) => ("busy", file.to_string()),
        NotWritten::Protected(file) => ("protected", file.to_string()),
        NotWritten::Outside(file) => ("outside", file.to_string()),
        NotWritten::Disk(file, why) => ("disk", format!("{file}: {why}")),
    };
    frame::said(desk, page, 409, key, &words)
}

/// The file holds something else by now: both are shown, and it is asked. Nothing was written.
fn told(
    desk: &mut Desk,
    page: &Frame,
    (event, back): (&str, &str),
    kind: &str,
    conflict: &RowConflict,
) -> Reply {
    let again: Vec<Value> = match &conflict.row {
        Some(row) if kind != "undo" => {
            let newer = |name: &str, value: &str| match name {
                "row" => row.row.to_string(),
                "key" => row.key.clone(),
                "was" => conflict.differs.first().map_or(value, |it| it.there.as_str()).to_owned(),
                name => {
                    let column = name.strip_prefix('w').and_then(|at| at.parse().ok());
                    let differs =
                        column.and_then(|at: usize| conflict.differs.iter().find(|it| it.column == at));
                    differs.map_or_else(|| value.to_owned(), |it| it.there.clone())
                }
            };
            let fields = page.asked.form.iter().filter(|(name, _)| name != "token");
            fields.map(|(name, value)| json!({ "name": name, "value": newer(name, value) })).collect()
        }
        _ => Vec::new(),
    };
    let there = conflict.row.as_ref().and_then(|row| {
        let person = desk.session()?.roster().participant(row.row)?;
        Some(json!({ "row": row.row, "name": person.name, "companion": person.companion }))
    });
    let file = desk.session().and_then(|it| it.roster().table.as_ref().map(|table| table.file.to_string()));
    let differs =
        |it: &Differs| json!({ "heading": it.heading, "was": it.was, "there": it.there, "asked": it.asked });
    let data = json!({
        "event": event,
        "back": back,
        "kind": kind,
        "file": file,
        "same": conflict.is_same_row,
        "there": there,
        "differs": conflict.differs.iter().map(differs).collect::<Vec<_>>(),
        "again": again,
    });
    frame::page(desk, page, "conflict.html", "today", data).status(409)
}

/// A change in words.
fn data(desk: &Desk, kept: &Kept) -> Value {
    let roster = desk.session().map(|session| session.roster().clone());
    let person = roster.as_ref().and_then(|roster| roster.participant(kept.change.row.row));
    json!({
        "number": kept.number,
        "event": kept.event,
        "row": kept.change.row.row,
        "name": person.map(|person| &person.name),
        "is_new_row": kept.change.is_new_row,
        "is_undone": kept.is_undone,
        "cells": kept.change.cells.iter().map(|cell| json!({
            "heading": cell.heading,
            "was": cell.was,
            "now": cell.now,
        })).collect::<Vec<_>>(),
    })
}

/// The change with a number.
pub(super) fn done(desk: &Desk, number: u64) -> Option<Value> {
    desk.change(number).map(|kept| data(desk, kept))
}

/// All changes since the desk was opened, the newest first.
pub(super) fn list(desk: &mut Desk, page: &Frame) -> Reply {
    let all: Vec<Value> = desk.changes().iter().rev().map(|kept| data(desk, kept)).collect();
    frame::page(desk, page, "changes.html", "changes", json!({ "list": all }))
}

/// Takes a change back.
pub(super) fn undo(desk: &mut Desk, page: &Frame) -> Reply {
    let number = page.asked.number("number").map(|number| number as u64);
    let kept = number.and_then(|number| desk.change(number));
    let Some((number, event, change, false)) =
        kept.map(|kept| (kept.number, kept.event.clone(), kept.change.clone(), kept.is_undone))
    else {
        return frame::told(desk, page, 404, "no-change");
    };
    let back = match page.asked.field("back") {
        "changes" => "/changes".to_owned(),
        "findings" => "/findings".to_owned(),
        "row" if !change.is_new_row => format!("/row/{}", change.row.row),
        _ => format!("/event/{event}"),
    };
    let Some(session) = desk.session_mut() else { return frame::told(desk, page, 500, "nowhere") };
    match session.take_back(&change) {
        Ok(Written::Saved(undone)) => {
            desk.is_undone(number);
            Reply::go_to(with(&back, &format!("done={number}"), undone.row.row))
        }
        Ok(Written::AsItWas) => Reply::go_to(back),
        Ok(Written::Conflict(conflict)) => told(desk, page, (&event, &back), "undo", &conflict),
        Err(why) => not_written(desk, page, &why),
    }
}
