//! Run sheets: one an event, for who keeps the time. When each lesson starts, who gives it, what to
//! have at hand, and whether it all fits.

use super::agenda::{Slot, after, clock, slots};
use super::common::{Head, LaterDay};
use super::tree::{Inline, Trees};
use super::{Selection, bring, common};
use crate::job::{Job, Make, Piece, Sheet, Shelf, file_name};
use crate::program::settings::{Event, EventForm};
use crate::understand::Understood;
use jiff::civil::Date;
use schemars::JsonSchema;
use serde::Serialize;

/// What `run-sheet.typ` is given.
#[derive(Serialize, JsonSchema)]
pub(super) struct RunSheet<'p> {
    #[serde(flatten)]
    head: Head<'p>,
    event: StaffEvent<'p>,
    rows: Vec<RunRow<'p>>,
    /// The minutes of all lessons.
    planned: u32,
    /// When the last lesson ends.
    planned_end: String,
    /// Minutes of the event that no lesson takes.
    spare: u32,
    /// Minutes that the lessons take beyond the event's.
    over: u32,
}

/// A lesson on the clock.
#[derive(Serialize, JsonSchema)]
struct RunRow<'p> {
    /// A clock time: 09:15.
    from: String,
    to: String,
    /// The lesson's number in the syllabus, from 1.
    number: usize,
    title: Vec<Inline>,
    minutes: u32,
    /// Who gives it; null where nobody is named.
    who: Option<&'p str>,
    /// What to have at hand, thing by thing.
    bring: Vec<Vec<Inline>>,
}

/// An event as sheets for the staff show it.
#[derive(Serialize, JsonSchema)]
pub struct StaffEvent<'p> {
    name: &'p str,
    /// Year, month and day: 2026-05-16.
    date: String,
    /// From 1, Monday.
    weekday: i8,
    /// Its other days, where the sheet is for all of them; mostly none.
    later_days: Vec<LaterDay>,
    /// The clock time at which it starts: 09:15.
    start: String,
    end: String,
    minutes: u32,
    /// Where it is held; of a workshop by video, how to come in.
    place: &'p str,
    form: FormName,
}

/// Whether people come together.
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
enum FormName {
    InPerson,
    Video,
}

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    selection.scope.events(understood.content).map(|event| job(understood, selection, event)).collect()
}

fn job(understood: &Understood, selection: &Selection, event: &Event) -> Job {
    let understood = understood.at(&event.id);
    let slots = slots(understood.content, event);
    let planned: u32 = slots.iter().map(|slot| slot.entry.minutes).sum();
    let title = common::title(understood, selection, "run-sheet", &event.name);
    let sheet = RunSheet {
        head: common::head(understood, selection, &title),
        event: StaffEvent::new(event),
        rows: slots.iter().map(|slot| row(understood, slot)).collect(),
        planned,
        planned_end: clock(after(event.start, planned)),
        spare: event.minutes.saturating_sub(planned),
        over: planned.saturating_sub(event.minutes),
    };
    Job {
        piece: Piece::RunSheet,
        shelf: Shelf::Staff,
        path: format!("run-sheets/{}.pdf", file_name::of_id(&event.id)),
        make: Make::Sheet(Sheet::of("run-sheet.typ", &sheet)),
    }
}

impl<'p> StaffEvent<'p> {
    pub fn new(event: &'p Event) -> Self {
        Self { later_days: common::later_days(event), ..Self::on(event, event.date) }
    }

    /// The same on one of its days alone.
    pub fn on(event: &'p Event, day: Date) -> Self {
        Self {
            name: &event.name,
            date: day.to_string(),
            weekday: day.weekday().to_monday_one_offset(),
            later_days: Vec::new(),
            start: clock(event.start),
            end: clock(after(event.start, event.minutes)),
            minutes: event.minutes,
            place: &event.venue,
            form: match event.form {
                EventForm::InPerson => FormName::InPerson,
                EventForm::Video => FormName::Video,
            },
        }
    }
}

fn row<'p>(understood: &Understood, slot: &Slot<'p>) -> RunRow<'p> {
    let trees = Trees::new(understood);
    let props = bring::of_lesson(slot.lesson);
    RunRow {
        from: clock(slot.from),
        to: clock(slot.to),
        number: slot.number,
        title: trees.inlines_in(&slot.lesson.title, &slot.lesson.id),
        minutes: slot.entry.minutes,
        who: slot.entry.who.as_deref(),
        bring: props.things.iter().map(|thing| trees.inlines_in(thing, &slot.lesson.id)).collect(),
    }
}
