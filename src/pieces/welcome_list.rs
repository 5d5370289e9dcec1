//! The welcome list: who asked to join the service unit, each person once.
//!
//! Private. `data` beside the common head: `people`, each with `name`, `email`, `companions`, `events`.

use super::{Cell, Job, Make, Piece, Selection, Sheet, Shelf, Table, common};
use crate::people::welcome::{Asked, asked};
use crate::understand::Understood;
use serde_json::{Value, json};

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let people = asked(understood.program);
    if people.is_empty() {
        return Vec::new();
    }
    let title = common::title(understood, selection, "welcome-list", &understood.program.settings.season);
    let mut data = common::head(understood, selection, &title);
    data.insert("people".into(), people.iter().map(person).collect());
    let sheet = Sheet { template: "welcome-list.typ".into(), data: Value::Object(data), ..Sheet::default() };
    vec![
        job("welcome-list.pdf", Make::Sheet(sheet)),
        job("welcome-list.csv", Make::Tables(vec![table(&people)])),
    ]
}

fn job(path: &str, make: Make) -> Job {
    Job { piece: Piece::WelcomeList, shelf: Shelf::Private, path: path.into(), make }
}

fn person(asked: &Asked) -> Value {
    json!({"name": asked.name, "email": asked.email, "companions": asked.companions, "events": asked.events})
}

fn table(people: &[Asked]) -> Table {
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
