//! An event's lessons on the clock: for the run sheet and whoever else tells when a lesson starts.
//!
//! Times go to templates as `09:15`; the theme's words decide how a clock time is printed.

use crate::program::settings::{Event, SyllabusEntry};
use crate::program::{Content, Lesson};
use jiff::ToSpan;
use jiff::civil::Time;

/// One lesson of an event, with the clock time at which it starts and ends.
pub struct Slot<'p> {
    pub lesson: &'p Lesson,
    pub entry: &'p SyllabusEntry,
    /// Its number in the whole syllabus, from 1, as every piece counts it.
    pub number: usize,
    pub from: Time,
    pub to: Time,
}

/// The lessons of an event one after the other from its start: in the order in which the event lists
/// them, or the whole syllabus. What the program does not know is passed over; reading reports it.
pub fn slots<'p>(content: &'p Content, event: &'p Event) -> Vec<Slot<'p>> {
    let syllabus = &content.settings.syllabus;
    let entries: Vec<&SyllabusEntry> = if event.lessons.is_empty() {
        syllabus.iter().collect()
    } else {
        let entry_of = |id: &str| syllabus.iter().find(|entry| entry.lesson == id);
        event.lessons.iter().filter_map(|lesson| entry_of(&lesson.text)).collect()
    };
    let mut from = event.start;
    entries
        .into_iter()
        .filter_map(|entry| {
            let number = syllabus.iter().position(|other| other.lesson == entry.lesson)? + 1;
            let lesson = content.lessons.iter().find(|lesson| lesson.id == entry.lesson)?;
            let slot = Slot { lesson, entry, number, from, to: after(from, entry.minutes) };
            from = slot.to;
            Some(slot)
        })
        .collect()
}

/// So many minutes later on the clock; an evening that runs past midnight goes on from 00:00.
pub fn after(time: Time, minutes: u32) -> Time {
    time.wrapping_add(i64::from(minutes).minutes())
}

/// A clock time for a template: `09:15`.
pub fn clock(time: Time) -> String {
    format!("{:02}:{:02}", time.hour(), time.minute())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_clock_runs_on_past_midnight() {
        let start = jiff::civil::time(23, 30, 0, 0);
        assert_eq!(clock(after(start, 45)), "00:15");
        assert_eq!(clock(after(start, 0)), "23:30");
    }
}
