//! `[[events]]`: the season's workshops.

use super::Design;
use crate::finding::Place;
use crate::program::Written;
use crate::program::form::Form;
use jiff::civil::{Date, Time};

/// A workshop: when, where, how long, and in which form. A fact may be otherwise there.
#[derive(Clone, Debug)]
pub struct Event {
    pub id: String,
    pub name: String,
    pub date: Date,
    pub start: Time,
    pub minutes: u32,
    pub venue: String,
    pub form: EventForm,
    /// A shorter syllabus for this event: lesson ids. Empty means the whole syllabus.
    pub lessons: Vec<Written>,
    /// Where its certificates look otherwise than those of the program.
    pub certificate: Option<Design>,
    /// Ids that it had when certificates were given for it.
    pub was: Vec<Written>,
    /// Whether it is another workshop than the earlier one that it looks like: the same people came again.
    pub again: bool,
    pub place: Place,
}

/// Whether people meet, or see each other on screens: a deck for video pauses at each ask.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EventForm {
    InPerson,
    Video,
}

impl Event {
    pub(super) fn read(mut table: Form) -> Self {
        let id = table.need_id("id", "north-camp");
        let forms = [("in person", EventForm::InPerson), ("video", EventForm::Video)];
        let event = Self {
            id: id.text,
            name: table.need_text("name", "North Camp Spring Workshop").text,
            date: table.need_date("date", "2026-05-16"),
            start: table.need_time("start", "09:00"),
            minutes: table.need_count("minutes", "150"),
            venue: table.need_text("place", "North Camp shelter").text,
            form: table.need_choice("form", &forms).unwrap_or(EventForm::InPerson),
            lessons: table.texts("lessons"),
            certificate: Design::read(&mut table, "certificate"),
            was: table.one_or_more("was"),
            again: table.flag("again"),
            place: id.place,
        };
        table.finish();
        event
    }

    /// Where it is held, as certificates say it: a workshop by video is at no place.
    pub fn printed_venue(&self) -> Option<&str> {
        (self.form == EventForm::InPerson).then_some(self.venue.as_str())
    }
}
