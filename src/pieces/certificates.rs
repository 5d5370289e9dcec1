//! Certificates: one run an event, one page for each person who attended and passed.
//!
//! Private: the data holds names. The QR code holds program, event, date and number, and no name, so
//! that a photograph of it gives away nothing about the person.
//!
//! `data` beside the common head: `event` (`name`, `date`, `place`), `certificate` (`title` and
//! `text`, each may be null: the theme has its own words). Each entry: `name`, `companion` (may be
//! null), `number` (as printed, `K7M3-P2QX`), `qr` (may be null): `{"size": n, "modules": "1011…"}`,
//! n × n digits row by row, 1 a dark module and 0 a light one, without the quiet zone.

use super::tree::Trees;
use super::{Job, Make, Piece, RunEntry, RunOfSheets, Selection, Shelf, common, file_name};
use crate::people::{Credit, credited};
use crate::program::settings::Event;
use crate::understand::Understood;
use fast_qr::{ECL, QRBuilder};
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
    let words = &understood.program.settings.certificate;
    let title = words.title.as_deref().unwrap_or(DEFAULT_TITLE);
    let mut data = common::head(understood, selection, &format!("{title}: {}", event.name));
    data.insert("event".into(), event_data(event));
    data.insert(
        "certificate".into(),
        json!({
            "title": words.title,
            "text": words.text.as_ref().map(|prose| Trees::new(understood).inlines(&prose.inlines)),
        }),
    );
    let folder = format!("certificates/{}", file_name::of_id(&event.id));
    let entries = credits.iter().map(|credit| entry(understood, title, &folder, credit)).collect();
    Job {
        piece: Piece::Certificates,
        shelf: Shelf::Private,
        path: format!("{folder}.pdf"),
        make: Make::Run(RunOfSheets {
            template: "certificate.typ".into(),
            data: Value::Object(data),
            entries,
            pictures: Vec::new(),
        }),
    }
}

fn event_data(event: &Event) -> Value {
    json!({"name": event.name, "date": event.date.to_string(), "place": event.venue})
}

fn entry(understood: &Understood, title: &str, folder: &str, credit: &Credit) -> RunEntry {
    let person = credit.participant;
    let number = credit.number.to_string();
    RunEntry {
        path: format!("{folder}/{}.pdf", file_name::of_person(&person.name, &credit.number)),
        title: format!("{title}: {}", person.name),
        data: json!({
            "name": person.name,
            "companion": person.companion,
            "number": number,
            "qr": qr(&qr_text(understood, credit)),
        }),
        place: Some(person.place.clone()),
    }
}

/// What the code says, for a person with a telephone to read.
fn qr_text(understood: &Understood, credit: &Credit) -> String {
    let program = &understood.program.settings;
    let Credit { event, number, .. } = credit;
    format!("{} {}\n{}\n{}\n{number}", program.name, program.season, event.name, event.date)
}

/// A QR code of error correction M; nothing where the text is too long for one.
fn qr(text: &str) -> Value {
    let Ok(code) = QRBuilder::new(text).ecl(ECL::M).build() else { return Value::Null };
    let modules: String = (0..code.size)
        .flat_map(|row| code[row][..code.size].iter().map(|module| if module.value() { '1' } else { '0' }))
        .collect();
    json!({"size": code.size, "modules": modules})
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_square_and_starts_with_its_corner_mark() {
        let code = qr("Trail Rider Stewards 2026\nNorth Camp Spring Workshop\n2026-05-16\nJRHY-4P87");
        let size = code["size"].as_u64().unwrap() as usize;
        let modules = code["modules"].as_str().unwrap().as_bytes();
        assert_eq!(modules.len(), size * size);
        let dark = |row: usize, column: usize| modules[row * size + column] == b'1';
        assert!((0..7).all(|at| dark(0, at) && dark(at, 0) && dark(0, size - 1 - at)));
        assert!((0..5).all(|at| !dark(1, 1 + at) && !dark(7, at)));
    }

    #[test]
    fn a_text_too_long_for_a_code_gives_none() {
        assert!(qr(&"long ".repeat(1000)).is_null());
    }
}
