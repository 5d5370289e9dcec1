//! `[[events]]`: the season's workshops.

use super::{Design, SignUp};
use crate::finding::{Place, rules};
use crate::program::Written;
use crate::program::form::Form;
use jiff::civil::{Date, Time};

/// A workshop: when, where, how long, and in which form. A fact may be otherwise there.
#[derive(Clone, Debug)]
pub struct Event {
    pub id: String,
    pub name: String,
    /// The day on which it begins.
    pub date: Date,
    /// Its other days in order; mostly none.
    pub later_days: Vec<Date>,
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
    /// Ids of events that a person must have finished too before being credited for this one.
    pub needs: Vec<Written>,
    /// Whether people are credited for it; not where it is only a part of what another event needs.
    pub certified: bool,
    /// Where people sign up for it, where it is elsewhere than for the others.
    pub sign_up: Option<SignUp>,
    pub place: Place,
}

/// Whether people meet, or see each other on screens: a deck for video pauses at each ask.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EventForm {
    InPerson,
    Video,
}

impl Event {
    /// An event, and whether it has its date yet: `date = ""` says that it is still to be set.
    pub(super) fn read(mut table: Form) -> (Self, bool) {
        let id = table.need_id("id", "north-camp");
        let is_dated = !table.take_blank("date");
        let mut days = if is_dated { days(&mut table) } else { undated(&mut table) };
        let certificate = Design::read_or_none(&mut table, "certificate");
        let forms = [("in person", EventForm::InPerson), ("video", EventForm::Video)];
        let event = Self {
            id: id.text,
            name: table.need_text("name", "North Camp Spring Workshop").text,
            date: days.remove(0),
            later_days: days,
            start: table.need_time("start", "09:00"),
            minutes: table.need_count("minutes", "150"),
            venue: table.need_text("place", "North Camp shelter").text,
            form: table.need_choice("form", &forms).unwrap_or(EventForm::InPerson),
            lessons: table.texts("lessons"),
            certificate: certificate.flatten(),
            certified: certificate != Some(None),
            needs: table.one_or_more("needs"),
            was: table.one_or_more("was"),
            again: table.flag("again"),
            sign_up: SignUp::read(&mut table),
            place: id.place,
        };
        table.finish();
        (event, is_dated)
    }

    /// All its days in order.
    pub fn days(&self) -> Vec<Date> {
        std::iter::once(self.date).chain(self.later_days.iter().copied()).collect()
    }

    /// The day on which it is over.
    pub fn last_day(&self) -> Date {
        self.later_days.last().copied().unwrap_or(self.date)
    }

    /// Where it is held, as certificates say it: a workshop by video is at no place.
    pub fn printed_venue(&self) -> Option<&str> {
        (self.form == EventForm::InPerson).then_some(self.venue.as_str())
    }
}

/// A day that stands in where none is set.
fn undated(table: &mut Form) -> Vec<Date> {
    table.refuse(&["days"], "This event has no date yet: “date” is empty");
    vec![Date::default()]
}

/// `date`, or `days` where there are several; one at least.
fn days(table: &mut Form) -> Vec<Date> {
    if !table.has("days") {
        return vec![table.need_date("date", "2026-05-16")];
    }
    table.refuse(&["date"], "All days of this event stand under “days”");
    let of = "dates without quotation marks, such as [2026-05-16, 2026-05-17]";
    let listed = table.few("days", of, (MOST_DAYS, "days of an event"));
    let mut days: Vec<Date> = listed.into_iter().filter_map(|day| Some(day.date()?.0)).collect();
    if days.is_empty() {
        let message = "“days” names no day that can be read.";
        table.tell(&rules::VALUE_EMPTY, table.place.clone(), message, format!("Write {of}."));
        days.push(Date::default());
    }
    days.sort_unstable();
    days.dedup();
    days
}

/// Days of one event, at most: what takes longer is a course of several events.
const MOST_DAYS: usize = 31;
