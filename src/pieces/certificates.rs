//! Certificates: one run an event, one page for each person who attended and passed.
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
use crate::people::{Credit, credited};
use crate::program::settings::Event;
use crate::understand::Understood;
use look::Kind;
use serde_json::{Value, json};

const DEFAULT_TITLE: &str = "Certificate";

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let credits = credited(understood.program, selection);
    let events = understood.program.settings.events.iter();
    events
        .filter_map(|event| {
            let of_event: Vec<&Credit> =
                credits.iter().filter(|credit| credit.event.id == event.id).collect();
            (!of_event.is_empty()).then(|| job(understood, selection, event, &of_event))
        })
        .collect()
}

fn job(understood: &Understood, selection: &Selection, event: &Event, credits: &[&Credit]) -> Job {
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
        path: format!("{folder}.pdf"),
        make: Make::Run(RunOfSheets {
            template: "certificate.typ".into(),
            data: Value::Object(data),
            entries,
            pictures,
            places: look::places(settings, kind),
        }),
    }
}

fn event_data(event: &Event) -> Value {
    json!({"name": event.name, "date": event.date.to_string(), "place": event.venue})
}

fn entry(understood: &Understood, title: &str, folder: &str, credit: &Credit) -> RunEntry {
    let person = credit.participant;
    let number = credit.number.to_string();
    let design = Kind::Event(credit.event).design(&understood.program.settings);
    RunEntry {
        path: format!("{folder}/{}.pdf", file_name::of_person(&person.name, &credit.number)),
        title: format!("{title}: {}", person.name),
        data: json!({
            "name": person.name,
            "companion": person.companion,
            "number": number,
            "qr": code::code(None, &code_words(understood, credit), design),
        }),
        place: Some(person.place.clone()),
    }
}

/// What the code says, for a person with a telephone to read.
fn code_words(understood: &Understood, credit: &Credit) -> String {
    let program = &understood.program.settings;
    let Credit { event, number, .. } = credit;
    format!("{} {}\n{}\n{}\n{number}", program.name, program.season, event.name, event.date)
}
