//! Certificates: one run an event, one page for each person whose certificate counts by the register.
//!
//! Where an event's certificates were given on several days, each day is a run of its own as well, so
//! that what was newly credited can be printed by itself.
//!
//! Private: the data holds names. What a certificate looks like and says beside the names is in
//! [`look`], what its code holds in [`code`].
//!
//! `data` beside the common head: `event` (`name`, `date`, `place`), `certificate` ([`look::look`]).
//! Each entry: `name`, `companion` (may be null), `number` (as printed, `K7M3-P2QX`), `qr` (may be
//! null): `{"size": n, "modules": "1011…"}`, n × n digits row by row, 1 a dark module and 0 a light
//! one, without the quiet zone.

mod code;
mod look;

use super::{Job, Make, Piece, RunEntry, RunOfSheets, Selection, Shelf, common, file_name};
use crate::people::credit::{Credit, credited};
use crate::people::number::Number;
use crate::program::register::Given;
use crate::program::settings::Event;
use crate::understand::Understood;
use jiff::civil::Date;
use look::Kind;
use serde_json::{Value, json};
use std::collections::BTreeSet;

const DEFAULT_TITLE: &str = "Certificate";

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let credits = credited(understood.program, selection);
    let events = understood.program.settings.events.iter();
    events
        .flat_map(|event| {
            let of_event: Vec<&Credit> =
                credits.iter().filter(|credit| credit.event.id == event.id).collect();
            jobs(understood, selection, event, &of_event)
        })
        .collect()
}

/// The event's run, and where there are several days, one for each of them.
fn jobs(understood: &Understood, selection: &Selection, event: &Event, credits: &[&Credit]) -> Vec<Job> {
    if credits.is_empty() {
        return Vec::new();
    }
    let mut jobs = vec![job(understood, selection, event, credits, None)];
    let days: BTreeSet<Date> = credits.iter().map(|credit| credit.given.day).collect();
    for day in days.iter().filter(|_| days.len() > 1) {
        let of_day: Vec<&Credit> = credits.iter().copied().filter(|it| it.given.day == *day).collect();
        jobs.push(job(understood, selection, event, &of_day, Some(*day)));
    }
    jobs
}

/// Below the private shelf.
pub const FOLDER: &str = "certificates/";

/// Where the certificates for awards stand.
pub const AWARDS: &str = "certificates/awards.pdf";

/// Where the certificates of an event stand that were given on one day, or on every day.
pub fn run_path(event: &str, day: Option<Date>) -> String {
    let event = file_name::of_id(event);
    match day {
        Some(day) => format!("certificates/{event}/{day}.pdf"),
        None => format!("certificates/{event}.pdf"),
    }
}

/// The run of one day holds no files of its own: those stand in the event's run.
fn job(
    understood: &Understood,
    selection: &Selection,
    event: &Event,
    credits: &[&Credit],
    day: Option<Date>,
) -> Job {
    let understood = understood.at(&event.id);
    let settings = &understood.program.settings;
    let kind = Kind::Event(event);
    let title = kind.title(settings).unwrap_or(DEFAULT_TITLE);
    let mut data = common::head(understood, selection, &format!("{title}: {}", event.name));
    data.insert("event".into(), event_data(event));
    data.insert("certificate".into(), look::look(&understood, kind));
    let folder = format!("certificates/{}", file_name::of_id(&event.id));
    let entries = credits.iter().map(|credit| entry(&understood, title, &folder, credit)).collect();
    let pictures = settings.pictures().map(|picture| picture.text.clone()).collect();
    Job {
        piece: Piece::Certificates,
        shelf: Shelf::Private,
        path: run_path(&event.id, day),
        make: Make::Run(RunOfSheets {
            template: "certificate.typ".into(),
            data: Value::Object(data),
            entries,
            pictures,
            places: look::places(settings, kind),
            alone: day.is_none(),
        }),
    }
}

fn event_data(event: &Event) -> Value {
    json!({"name": event.name, "date": event.date.to_string(), "place": event.venue})
}

fn entry(understood: &Understood, title: &str, folder: &str, credit: &Credit) -> RunEntry {
    let Given { number, name, companion, .. } = credit.given;
    let row = credit.participant.map(|row| row.place.clone());
    let design = Kind::Event(credit.event).design(&understood.program.settings);
    RunEntry {
        path: format!("{folder}/{}.pdf", file_name::of_person(name, number)),
        title: format!("{title}: {name}"),
        data: json!({
            "name": name,
            "companion": companion,
            "number": number.to_string(),
            "qr": code::code(credit.given.credential.as_ref(), &code_words(understood, credit.event, number), design),
        }),
        place: Some(row.unwrap_or_else(|| understood.program.register.place(number))),
    }
}

/// What the code says, for a person with a telephone to read.
fn code_words(understood: &Understood, event: &Event, number: &Number) -> String {
    let program = &understood.program.settings;
    format!("{} {}\n{}\n{}\n{number}", program.name, program.season, event.name, event.date)
}
