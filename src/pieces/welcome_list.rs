//! The welcome list: who asked to join the service unit, each person once.
//!
//! Private: it holds names.

use super::common::{Head, RosterWord};
use super::table_words::TableWords;
use super::{Selection, common};
use crate::job::{Cell, Job, Make, Piece, RosterCells, Sheet, Shelf, Table};
use crate::people::welcome::{JoinRequest, asked};
use crate::program::roster::Participant;
use crate::understand::Understood;
use schemars::JsonSchema;
use serde::Serialize;

/// What `welcome-list.typ` is given.
#[derive(Serialize, JsonSchema)]
pub(super) struct WelcomeList<'p> {
    #[serde(flatten)]
    head: Head<'p>,
    people: Vec<WelcomeRow<'p>>,
}

/// Who asked to join the service unit.
#[derive(Serialize, JsonSchema)]
struct WelcomeRow<'p> {
    name: RosterWord<'p>,
    /// An e-mail address, or null.
    email: Option<RosterWord<'p>>,
    companions: Vec<RosterWord<'p>>,
    /// The names of the events at which they asked.
    events: &'p [&'p str],
}

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let people = asked(understood.root);
    if people.is_empty() {
        return Vec::new();
    }
    let title = common::title(understood, selection, "welcome-list", &understood.content.settings.season);
    let list = WelcomeList {
        head: common::head(understood, selection, &title),
        people: people.iter().map(person).collect(),
    };
    let sheet = Sheet {
        cells: people.iter().enumerate().flat_map(|(at, asked)| cells(at, asked)).collect(),
        ..Sheet::of("welcome-list.typ", &list)
    };
    vec![
        job("welcome-list.pdf", Make::Sheet(sheet)),
        job("welcome-list.csv", Make::Tables(vec![table(&people, &TableWords::of(understood, selection))])),
    ]
}

fn job(path: &str, make: Make) -> Job {
    Job { piece: Piece::WelcomeList, shelf: Shelf::Private, path: path.into(), make }
}

fn person<'a>(asked: &'a JoinRequest) -> WelcomeRow<'a> {
    WelcomeRow {
        name: RosterWord::new(asked.name),
        email: RosterWord::maybe(asked.email),
        companions: asked.companions.iter().map(|companion| RosterWord::new(companion)).collect(),
        events: &asked.events,
    }
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

fn table(people: &[JoinRequest], words: &TableWords) -> Table {
    let mut table = words.table("welcome", &["name", "email", "companion", "event"]);
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
