//! Attendance: who came to which event.
//!
//! Private. One PDF by event, and the same as tables: a workbook with a sheet of counts and one of rows,
//! and a CSV file with the rows. `data` beside the common head: `events`, each as run sheets have it with
//! `people` (`name`, `companion`, `attended`, `passed`: `yes`, `no`, `waits`, `unsaid`) and the counts
//! `listed`, `came` and `passed`.

use super::run_sheet::event_data;
use super::{Selection, common};
use crate::job::{Cell, Job, Make, Piece, RosterCells, Sheet, Shelf, Table};
use crate::people;
use crate::people::scoring::{Passed, Scores};
use crate::program::roster::Participant;
use crate::program::settings::Event;
use crate::understand::Understood;
use serde_json::{Value, json};

pub fn plan(understood: &Understood, scores: &Scores, selection: &Selection) -> Vec<Job> {
    let program = understood.root;
    let events: Vec<Attended> = selection
        .scope
        .events(understood.content)
        .map(|event| Attended::of(understood, scores, event))
        .collect();
    if events.iter().all(|event| event.people.is_empty()) {
        return Vec::new();
    }
    let mut data = common::head(
        understood,
        selection,
        &common::title(understood, selection, "attendance", &program.content.settings.season),
    );
    data.insert("events".into(), events.iter().map(Attended::data).collect());
    let sheet = Sheet {
        template: "attendance.typ".into(),
        data: Value::Object(data),
        cells: events.iter().enumerate().flat_map(|(at, event)| event.cells(at)).collect(),
        ..Sheet::default()
    };
    let rows = rows_table(&events);
    vec![
        job("attendance.pdf", Make::Sheet(sheet)),
        job("attendance.csv", Make::Tables(vec![rows.clone()])),
        job("attendance.xlsx", Make::Tables(vec![counts_table(&events), rows])),
    ]
}

fn job(path: &str, make: Make) -> Job {
    Job { piece: Piece::Attendance, shelf: Shelf::Private, path: path.into(), make }
}

/// An event and who is on the roster for it, by name.
struct Attended<'p> {
    event: &'p Event,
    people: Vec<(&'p Participant, Passed)>,
}

impl<'p> Attended<'p> {
    fn of(understood: &Understood<'p>, scores: &Scores, event: &'p Event) -> Self {
        let people = people::registered(understood.root, event).into_iter();
        Self { event, people: people.map(|row| (row, scores.passed(row))).collect() }
    }

    fn came(&self) -> usize {
        self.people.iter().filter(|(row, _)| row.attended).count()
    }

    fn passed(&self) -> usize {
        self.people.iter().filter(|(row, passed)| row.attended && *passed == Passed::Yes).count()
    }

    fn data(&self) -> Value {
        let mut data = event_data(self.event);
        data["listed"] = json!(self.people.len());
        data["came"] = json!(self.came());
        data["passed"] = json!(self.passed());
        let people = self.people.iter().map(|(row, passed)| {
            json!({
                "name": row.name,
                "companion": row.companion,
                "attended": row.attended,
                "passed": word(*passed),
            })
        });
        data["people"] = people.collect();
        data
    }

    /// `event` is its number among the events of the piece.
    fn cells(&self, event: usize) -> Vec<RosterCells> {
        let of_row = |(at, (row, _)): (usize, &(&Participant, Passed))| {
            let keys = ["name", "companion"];
            let cells = keys.iter().map(|key| format!("/events/{event}/people/{at}/{key}"));
            common::roster_cells(row, cells.collect())
        };
        self.people.iter().enumerate().map(of_row).collect()
    }
}

/// By which a template finds its own word.
fn word(passed: Passed) -> &'static str {
    match passed {
        Passed::Yes => "yes",
        Passed::No => "no",
        Passed::Waits => "waits",
        Passed::Unsaid => "unsaid",
    }
}

fn counts_table(events: &[Attended]) -> Table {
    let mut table = Table::new("Events", &["Event", "Date", "On the roster", "Attended", "Passed"]);
    for event in events {
        table.rows.push(vec![
            Cell::Text(event.event.name.clone()),
            Cell::Date(event.event.date),
            Cell::count(event.people.len()),
            Cell::count(event.came()),
            Cell::count(event.passed()),
        ]);
    }
    table
}

fn rows_table(events: &[Attended]) -> Table {
    let mut table =
        Table::new("Attendance", &["Event", "Date", "Name", "E-mail", "Companion", "Attended", "Passed"]);
    for event in events {
        for (row, passed) in &event.people {
            table.rows.push(vec![
                Cell::Text(event.event.name.clone()),
                Cell::Date(event.event.date),
                Cell::Text(row.name.clone()),
                Cell::text(row.email.as_deref()),
                Cell::text(row.companion.as_deref()),
                Cell::yes(row.attended),
                match passed {
                    Passed::Yes | Passed::No => Cell::yes(*passed == Passed::Yes),
                    Passed::Waits => Cell::Text("to be looked at".to_owned()),
                    Passed::Unsaid => Cell::Empty,
                },
            ]);
        }
    }
    table
}
