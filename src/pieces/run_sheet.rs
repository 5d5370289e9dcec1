//! Run sheets: one an event, for who keeps the time. When each lesson starts, who gives it, what to
//! have at hand, and whether it all fits.

use super::agenda::{Slot, after, clock, slots};
use super::tree::Trees;
use super::{Selection, bring, common};
use crate::job::{Job, Make, Piece, Sheet, Shelf, file_name};
use crate::program::settings::{Event, EventForm};
use crate::understand::Understood;
use serde_json::{Value, json};

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    selection.scope.events(understood.content).map(|event| job(understood, selection, event)).collect()
}

fn job(understood: &Understood, selection: &Selection, event: &Event) -> Job {
    let understood = understood.at(&event.id);
    let slots = slots(understood.content, event);
    let planned: u32 = slots.iter().map(|slot| slot.entry.minutes).sum();
    let rows: Vec<Value> = slots.iter().map(|slot| row(understood, slot)).collect();
    let mut data =
        common::head(understood, selection, &common::title(understood, selection, "run-sheet", &event.name));
    data.insert("event".into(), event_data(event));
    data.insert("rows".into(), Value::Array(rows));
    data.insert("planned".into(), json!(planned));
    data.insert("planned_end".into(), json!(clock(after(event.start, planned))));
    data.insert("spare".into(), json!(event.minutes.saturating_sub(planned)));
    data.insert("over".into(), json!(planned.saturating_sub(event.minutes)));
    Job {
        piece: Piece::RunSheet,
        shelf: Shelf::Staff,
        path: format!("run-sheets/{}.pdf", file_name::of_id(&event.id)),
        make: Make::Sheet(Sheet {
            template: "run-sheet.typ".into(),
            data: Value::Object(data),
            ..Sheet::default()
        }),
    }
}

/// An event as sheets for the staff show it. `weekday` counts from 1, Monday.
pub fn event_data(event: &Event) -> Value {
    json!({
        "name": event.name,
        "date": event.date.to_string(),
        "weekday": event.date.weekday().to_monday_one_offset(),
        "start": clock(event.start),
        "end": clock(after(event.start, event.minutes)),
        "minutes": event.minutes,
        "place": event.venue,
        "form": match event.form {
            EventForm::InPerson => "in-person",
            EventForm::Video => "video",
        },
    })
}

fn row(understood: &Understood, slot: &Slot) -> Value {
    let trees = Trees::new(understood);
    let props = bring::of_lesson(slot.lesson);
    let things: Vec<Value> =
        props.things.iter().map(|thing| trees.inlines_in(thing, &slot.lesson.id)).collect();
    json!({
        "from": clock(slot.from),
        "to": clock(slot.to),
        "number": slot.number,
        "title": trees.inlines_in(&slot.lesson.title, &slot.lesson.id),
        "minutes": slot.entry.minutes,
        "who": slot.entry.who,
        "bring": things,
    })
}
