//! An event looks like one that certificates were given for under another id or in another season.
//!
//! Nobody is credited for it until it is said which it is: nobody gets two certificates for one workshop.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::people::credit::Likeness;

pub static RULE: Rule = Rule {
    name: "event-renamed",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "Certificates were given for this event under another name, it seems, so nobody is credited for it.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

fn find(people: &PeopleContext) -> Vec<Finding> {
    let Some(due) = people.due() else { return Vec::new() };
    due.renamed.iter().map(|(like, waiting)| event_renamed(like, *waiting)).collect()
}

/// What is told of an event that is held; so many people wait for it.
pub fn event_renamed(like: &Likeness, waiting: usize) -> Finding {
    let Likeness { event, season, id, date, shared } = like;
    let people = match waiting {
        1 => "1 person".to_owned(),
        count => format!("{count} people"),
    };
    let message = format!(
        "This event may be “{id}” of season {season} ({date}), for which certificates were given: {shared} of its people are the same. So {people} are not credited."
    );
    Finding::of(&RULE, &event.place, message).mend(format!(
        "If it is that one, add to the event: was = \"{id}\"; if it is another workshop to which they came again: again = true. Take out the rows of an earlier season."
    ))
}
