//! Sign-in sheets: one an event, with who is on the roster and room for who walks in.
//!
//! Private. `data` beside the common head: `event` as run sheets have it, `people` (`name`, `companion`,
//! `email`) by name, and `blank`, how many empty rows are wanted; the sheet has as many as fill its last page.

use super::run_sheet::event_data;
use super::{Selection, common};
use crate::job::{Job, Make, Piece, RosterCells, Sheet, Shelf, file_name};
use crate::people;
use crate::program::roster::Participant;
use crate::program::settings::Event;
use crate::understand::Understood;
use serde_json::{Value, json};

/// Rows for who walks in, at least.
const BLANK: usize = 12;

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    selection.scope.events(understood.content).map(|event| job(understood, selection, event)).collect()
}

fn job(understood: &Understood, selection: &Selection, event: &Event) -> Job {
    let people = people::registered(understood.root, event);
    let mut data = common::head(
        understood,
        selection,
        &common::title(understood, selection, "sign-in-sheet", &event.name),
    );
    data.insert("event".into(), event_data(event));
    data.insert("people".into(), people.iter().map(|row| person(row)).collect());
    data.insert("blank".into(), json!(BLANK));
    Job {
        piece: Piece::SignInSheet,
        shelf: Shelf::Private,
        path: format!("sign-in-sheets/{}.pdf", file_name::of_id(&event.id)),
        make: Make::Sheet(Sheet {
            template: "sign-in-sheet.typ".into(),
            data: Value::Object(data),
            cells: people.iter().enumerate().map(|(at, row)| cells(at, row)).collect(),
            ..Sheet::default()
        }),
    }
}

fn person(row: &Participant) -> Value {
    json!({"name": row.name, "companion": row.companion, "email": row.email})
}

fn cells(at: usize, row: &Participant) -> RosterCells {
    let keys = ["name", "companion", "email"];
    common::roster_cells(row, keys.iter().map(|key| format!("/people/{at}/{key}")).collect())
}
