//! Attendance: who came to which event.
//!
//! Private. One PDF by event, and the same as tables: a workbook with a sheet of counts and one of rows,
//! and a CSV file with the rows.

use super::common::{Head, RosterWord};
use super::run_sheet::StaffEvent;
use super::table_words::TableWords;
use super::{Selection, common};
use crate::job::{Cell, Job, Make, Piece, RosterCells, Sheet, Shelf, Table};
use crate::people;
use crate::people::scoring::{Passed, Scores};
use crate::program::roster::Participant;
use crate::program::settings::Event;
use crate::understand::Understood;
use crate::words::filled_in;
use schemars::JsonSchema;
use serde::Serialize;

/// What `attendance.typ` is given.
#[derive(Serialize, JsonSchema)]
pub(super) struct Attendance<'p> {
    #[serde(flatten)]
    head: Head<'p>,
    /// How other columns of the roster are called that the program keeps; mostly none.
    kept: Vec<&'p str>,
    events: Vec<AttendedEvent<'p>>,
}

/// An event with who came.
#[derive(Serialize, JsonSchema)]
struct AttendedEvent<'p> {
    #[serde(flatten)]
    event: StaffEvent<'p>,
    /// How many are on the roster.
    listed: usize,
    /// How many of them came.
    came: usize,
    /// How many of those passed.
    passed: usize,
    /// By name.
    people: Vec<AttendanceRow<'p>>,
}

/// Who is on the roster for an event.
#[derive(Serialize, JsonSchema)]
struct AttendanceRow<'p> {
    name: RosterWord<'p>,
    /// The animal, boat or child that takes part too; null where there is none.
    companion: Option<RosterWord<'p>>,
    attended: bool,
    /// Of an event over several days, on which the person came, from 1, where not on all of them; else null.
    days: Option<CameOn>,
    passed: Outcome,
    /// What stands in each column that is kept; null where nothing does.
    kept: Vec<Option<RosterWord<'p>>>,
}

/// Some of an event's days.
#[derive(Serialize, JsonSchema)]
struct CameOn {
    days: Vec<usize>,
    /// How many the event has.
    all: usize,
}

impl CameOn {
    fn of(row: &Participant) -> Option<Self> {
        let came = row.days.iter().enumerate().filter(|(_, came)| **came);
        let days: Vec<usize> = came.map(|(at, _)| at + 1).collect();
        (row.attended && days.len() < row.days.len()).then_some(Self { days, all: row.days.len() })
    }

    /// In the words that the sheet has too.
    fn cell(&self, words: &TableWords) -> Cell {
        let days: Vec<String> = self.days.iter().map(usize::to_string).collect();
        let (days, all) = (days.join(", "), self.all.to_string());
        let pattern = words.all()["attendance"]["on-days"].as_str().unwrap_or("{days} / {all}");
        let known = |name: &str| match name {
            "days" => Some(days.as_str()),
            "all" => Some(all.as_str()),
            _ => None,
        };
        Cell::Text(filled_in(pattern, known))
    }
}

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
    let title = common::title(understood, selection, "attendance", &program.content.settings.season);
    let volumes = volumes(&events);
    let sheet = |(number, volume): (usize, &Volume)| {
        let attendance = Attendance {
            head: common::head(understood, selection, &title),
            kept: common::kept_headings(understood),
            events: volume.iter().map(|(event, people)| event.data(people)).collect(),
        };
        let cells = volume.iter().enumerate().flat_map(|(at, (_, people))| cells(at, people));
        let sheet = Sheet { cells: cells.collect(), ..Sheet::of("attendance.typ", &attendance) };
        job(&common::volume_path("attendance.pdf", number, volumes.len()), Make::Sheet(sheet))
    };
    let words = TableWords::of(understood, selection);
    let rows = rows_table(&events, &common::kept_headings(understood), &words);
    let tables = [
        job("attendance.csv", Make::Tables(vec![rows.clone()])),
        job("attendance.xlsx", Make::Tables(vec![counts_table(&events, &words), rows])),
    ];
    volumes.iter().enumerate().map(sheet).chain(tables).collect()
}

fn job(path: &str, make: Make) -> Job {
    Job { piece: Piece::Attendance, shelf: Shelf::Private, path: path.into(), make }
}

/// Events, or parts of them, that stand in one file.
type Volume<'e, 'p> = Vec<(&'e Attended<'p>, &'e [(&'p Participant, Passed)])>;

/// The events in as few files as hold them, in their order.
fn volumes<'e, 'p>(events: &'e [Attended<'p>]) -> Vec<Volume<'e, 'p>> {
    let mut volumes: Vec<Volume> = vec![Vec::new()];
    let mut room = common::LIST;
    for event in events {
        let mut left = &event.people[..];
        loop {
            let (here, rest) = left.split_at(left.len().min(room));
            volumes.last_mut().expect("there is one from the beginning").push((event, here));
            room -= here.len();
            left = rest;
            if left.is_empty() {
                break;
            }
            volumes.push(Vec::new());
            room = common::LIST;
        }
    }
    volumes
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

    /// With these of its people.
    fn data(&self, people: &[(&'p Participant, Passed)]) -> AttendedEvent<'p> {
        let person = |(row, passed): &(&'p Participant, Passed)| AttendanceRow {
            name: RosterWord::new(&row.name),
            companion: RosterWord::maybe(row.companion.as_deref()),
            attended: row.attended,
            days: CameOn::of(row),
            passed: (*passed).into(),
            kept: common::kept(row),
        };
        AttendedEvent {
            event: StaffEvent::new(self.event),
            listed: self.people.len(),
            came: self.came(),
            passed: self.passed(),
            people: people.iter().map(person).collect(),
        }
    }
}

/// `event` is its number among the events of the file.
fn cells(event: usize, people: &[(&Participant, Passed)]) -> Vec<RosterCells> {
    let of_row = |(at, (row, _)): (usize, &(&Participant, Passed))| {
        let keys = ["name", "companion"];
        let cells = keys.iter().map(|key| format!("/events/{event}/people/{at}/{key}"));
        let kept = (0..row.kept.len()).map(|column| format!("/events/{event}/people/{at}/kept/{column}"));
        common::roster_cells(row, cells.chain(kept).collect())
    };
    people.iter().enumerate().map(of_row).collect()
}

/// Whether somebody passed, by which a template finds its own word; `waits` for the ranger's eye, `unsaid` where
/// there is nothing to tell it from.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub(super) enum Outcome {
    Yes,
    No,
    Waits,
    Unsaid,
}

impl From<Passed> for Outcome {
    fn from(passed: Passed) -> Self {
        match passed {
            Passed::Yes => Self::Yes,
            Passed::No => Self::No,
            Passed::Waits => Self::Waits,
            Passed::Unsaid => Self::Unsaid,
        }
    }
}

fn counts_table(events: &[Attended], words: &TableWords) -> Table {
    let mut table = words.table("events", &["event", "date", "on-the-roster", "attended", "passed"]);
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

fn rows_table(events: &[Attended], kept: &[&str], words: &TableWords) -> Table {
    let headings = ["event", "date", "name", "email", "companion", "attended", "passed"];
    let mut table = words.table("attendance", &headings);
    table.headings.extend(kept.iter().map(|kept| (*kept).to_owned()));
    for event in events {
        for (row, passed) in &event.people {
            let mut cells = vec![
                Cell::Text(event.event.name.clone()),
                Cell::Date(event.event.date),
                Cell::Text(row.name.clone()),
                Cell::text(row.email.as_deref()),
                Cell::text(row.companion.as_deref()),
                CameOn::of(row).map_or_else(|| words.yes(row.attended), |came| came.cell(words)),
                match passed {
                    Passed::Yes | Passed::No => words.yes(*passed == Passed::Yes),
                    Passed::Waits => words.cell("to-be-looked-at"),
                    Passed::Unsaid => Cell::Empty,
                },
            ];
            cells.extend(
                row.kept.iter().map(|text| Cell::text(Some(text.as_str()).filter(|it| !it.is_empty()))),
            );
            table.rows.push(cells);
        }
    }
    table
}
