//! Name tags: one set an event, for each person with the companion, to be cut.
//!
//! Private. `data` beside the common head: `event` (`name`), `tag` (`width` and `height` in
//! millimeters), `tags` (`first`, the first word of the name; `rest`, the others or null; `companion`).

use super::{Selection, common};
use crate::job::{Job, Make, Piece, RosterCells, Sheet, Shelf, file_name};
use crate::people;
use crate::program::roster::Participant;
use crate::program::settings::Event;
use crate::quantity::{Exact, Half, plain, round_to};
use crate::understand::Understood;
use serde_json::{Value, json};

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    selection.scope.events(understood.content).filter_map(|event| job(understood, selection, event)).collect()
}

fn job(understood: &Understood, selection: &Selection, event: &Event) -> Option<Job> {
    let people = people::registered(understood.root, event);
    let asked = |row: &&Participant| {
        selection.scope.participant.as_ref().is_none_or(|name| people::same_name(name, &row.name))
    };
    let people: Vec<&Participant> = people.into_iter().filter(asked).collect();
    if people.is_empty() {
        return None;
    }
    let size = &understood.content.settings.name_tags;
    let tenth = Exact::new(1.into(), 10.into());
    let mut data =
        common::head(understood, selection, &common::title(understood, selection, "name-tags", &event.name));
    data.insert("event".into(), json!({"name": event.name}));
    data.insert("tag".into(), json!({"width": plain(&round_to(&size.width, &tenth, Half::Even)), "height": plain(&round_to(&size.height, &tenth, Half::Even))}));
    data.insert("tags".into(), people.iter().map(|row| tag(row)).collect());
    Some(Job {
        piece: Piece::NameTags,
        shelf: Shelf::Private,
        path: format!("name-tags/{}.pdf", file_name::of_id(&event.id)),
        make: Make::Sheet(Sheet {
            template: "name-tags.typ".into(),
            data: Value::Object(data),
            cells: people.iter().enumerate().map(|(at, row)| cells(at, row)).collect(),
            ..Sheet::default()
        }),
    })
}

fn tag(row: &Participant) -> Value {
    let (first, rest) = match row.name.split_once(char::is_whitespace) {
        Some((first, rest)) => (first, Some(rest.trim_start())),
        None => (row.name.as_str(), None),
    };
    json!({"first": first, "rest": rest, "companion": row.companion})
}

fn cells(at: usize, row: &Participant) -> RosterCells {
    let keys = ["first", "rest", "companion"];
    common::roster_cells(row, keys.iter().map(|key| format!("/tags/{at}/{key}")).collect())
}
