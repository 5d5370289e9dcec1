//! What every piece hands to its template, whatever it is: the head of its data.

use super::tree::Trees;
use super::{Ink, Selection};
use crate::imposition::Paper;
use crate::job::RosterCells;
use crate::program::roster::Participant;
use crate::program::settings::{Event, Settings};
use crate::understand::Understood;
use serde_json::{Map, Value, json};

/// The common part of a piece's data; the piece adds its own keys beside.
pub fn head(understood: &Understood, selection: &Selection, title: &str) -> Map<String, Value> {
    let settings = &understood.content.settings;
    let trees = Trees::new(understood);
    let contacts: Vec<Value> = settings
        .contacts
        .iter()
        .map(|contact| {
            json!({
                "name": contact.name,
                "for": contact.purpose,
                "phone": contact.phone,
                "hours": contact.hours,
                "email": contact.email,
                "emergency": contact.emergency,
            })
        })
        .collect();
    let signatures: Vec<Value> = settings
        .signatures
        .iter()
        .map(|signature| json!({"name": signature.name, "title": signature.title}))
        .collect();
    let head = json!({
        "title": title,
        "program": {
            "name": settings.name,
            "agency": settings.agency,
            "season": settings.season,
            "language": settings.language,
            "summary": settings.summary.as_ref().map(|prose| trees.inlines(&prose.inlines)),
            "contacts": contacts,
            "signatures": signatures,
        },
        "paper": paper_name(selection.paper.unwrap_or(settings.paper)),
        "ink": match selection.ink {
            Ink::Color => "color",
            Ink::Black => "black",
        },
    });
    match head {
        Value::Object(map) => map,
        _ => unreachable!("the head is written as an object above"),
    }
}

/// The event whose own facts a common piece states: it is printed on it, for its figures hold there alone.
pub fn own_event<'p>(understood: &Understood<'p>, selection: &Selection) -> Option<&'p Event> {
    let content = understood.content;
    let id = selection.scope.event.as_ref()?;
    let event = content.settings.events.iter().find(|event| event.id == *id)?;
    content.at_events.iter().any(|at| at.event.text == *id).then_some(event)
}

/// The title of a piece in the program's language, from the theme's words.
pub fn title(understood: &Understood, selection: &Selection, piece: &str, name: &str) -> String {
    selection.words.title(&understood.content.settings.language, piece, name)
}

/// Who takes answers that come in by mail: the first contact with an e-mail address.
pub fn answers_go_to(settings: &Settings) -> Option<Value> {
    let contact = settings.contacts.iter().find(|contact| contact.email.is_some())?;
    Some(json!({"name": contact.name, "email": contact.email}))
}

pub(super) fn paper_name(paper: Paper) -> &'static str {
    match paper {
        Paper::Letter => "letter",
        Paper::A4 => "a4",
    }
}

/// The page of a booklet: half a sheet of the paper.
pub(super) fn half_paper_name(paper: Paper) -> &'static str {
    match paper {
        Paper::Letter => "half-letter",
        Paper::A4 => "a5",
    }
}

/// Cells of a sheet that print words of one row of the roster, each by its JSON Pointer (RFC 6901).
pub(super) fn roster_cells(row: &Participant, at: Vec<String>) -> RosterCells {
    let words = std::iter::once(&row.name).chain(&row.companion).chain(&row.email).cloned().collect();
    RosterCells { row: row.row, place: row.place.clone(), words, at }
}
