//! The welcome list: who asked to join the service unit, each person once.
//!
//! Private. `data` beside the common head: `people`, each with `name`, `email`, `companions`, `events`.

use super::{Selection, common};
use crate::job::{Cell, Job, Make, Piece, RosterCells, Sheet, Shelf, Table};
use crate::people::welcome::{JoinRequest, asked};
use crate::program::roster::Participant;
use crate::understand::Understood;
use serde_json::{Value, json};

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let people = asked(understood.root);
    if people.is_empty() {
        return Vec::new();
    }
    let title = common::title(understood, selection, "welcome-list", &understood.content.settings.season);
    let mut data = common::head(understood, selection, &title);
    data.insert("people".into(), people.iter().map(person).collect());
    let sheet = Sheet {
        template: "welcome-list.typ".into(),
        data: Value::Object(data),
        cells: people.iter().enumerate().flat_map(|(at, asked)| cells(at, asked)).collect(),
        ..Sheet::default()
    };
    vec![
        job("welcome-list.pdf", Make::Sheet(sheet)),
        job("welcome-list.csv", Make::Tables(vec![table(&people)])),
    ]
}

fn job(path: &str, make: Make) -> Job {
    Job { piece: Piece::WelcomeList, shelf: Shelf::Private, path: path.into(), make }
}

fn person(asked: &JoinRequest) -> Value {
    json!({"name": asked.name, "email": asked.email, "companions": asked.companions, "events": asked.events})
}

/// Name and address are printed as the first row has them, a companion as the first row that names it.
fn cells(at: usize, asked: &JoinRequest) -> Vec<RosterCells> {
    let mut told = 0;
    let of_row = |(number, row): (usize, &&Participant)| {
        let mut cells = Vec::new();
        if number == 0 {
            cells.extend(["name", "email"].map(|key| format!("/people/{at}/{key}")));
        }
        if asked.companions.get(told).is_some_and(|companion| row.companion.as_deref() == Some(companion)) {
            cells.push(format!("/people/{at}/companions/{told}"));
            told += 1;
        }
        common::roster_cells(row, cells)
    };
    asked.rows.iter().enumerate().map(of_row).collect()
}

fn table(people: &[JoinRequest]) -> Table {
    let mut table = Table::new("Welcome", &["Name", "E-mail", "Companion", "Event"]);
    for asked in people {
        table.rows.push(vec![
            Cell::Text(asked.name.to_owned()),
            Cell::text(asked.email),
            Cell::Text(asked.companions.join("; ")),
            Cell::Text(asked.events.join("; ")),
        ]);
    }
    table
}
