//! An event looks like one that certificates were given for under another id or in another season.
//!
//! Nobody is credited for it until it is said which it is: nobody gets two certificates for one workshop.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::people::credit::{Likeness, RenamedAward};

pub static RULE: Rule = Rule {
    name: "event-renamed",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "Certificates were given for this event under another name, it seems, so nobody is credited for it.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

fn find(people: &PeopleContext) -> Vec<Finding> {
    let Some(due) = people.due() else { return Vec::new() };
    let events = due.renamed.iter().map(|(like, waiting)| event_renamed(like, *waiting));
    events.chain(due.renamed_awards.iter().map(award_renamed)).collect()
}

/// What is told of an event that is held; so many people wait for it.
pub fn event_renamed(like: &Likeness, waiting: usize) -> Finding {
    let Likeness { event, season, id, date, shared, stands } = like;
    let waiting = match waiting {
        1 => "1 person is".to_owned(),
        count => format!("{count} people are"),
    };
    let why = match shared {
        0 => "it was on the same day".to_owned(),
        1 => "1 of its people is the same".to_owned(),
        count => format!("{count} of its people are the same"),
    };
    if *stands {
        let people = match shared {
            1 => "1 person in its rows has that certificate and is".to_owned(),
            count => format!("{count} people in its rows have that certificate and are"),
        };
        let message = format!(
            "This event may be a part of “{id}” ({date}), for which certificates were given on the same day: {people} not credited for this one."
        );
        return Finding::of(&RULE, &event.place, message).mend(format!(
            "If one workshop was made two, add to this event: was = \"{id}\"; if it is another workshop to which they came too: again = true. If the rows have the wrong event, put them right."
        ));
    }
    let message = format!(
        "This event may be “{id}” of season {season} ({date}), for which certificates were given: {why}. So {waiting} not credited."
    );
    Finding::of(&RULE, &event.place, message).mend(format!(
        "If it is that one, add to the event: was = \"{id}\"; if it is another workshop to which they came again: again = true. Take out the rows of an earlier season."
    ))
}

/// What is told of an award that is held.
pub fn award_renamed(renamed: &RenamedAward) -> Finding {
    let RenamedAward { award, was, waiting } = renamed;
    let people = match waiting {
        1 => "1 person has that one, reached on the same day, and is not credited for this one".to_owned(),
        count => format!(
            "{count} people have that one, reached on the same day, and are not credited for this one"
        ),
    };
    let message = format!("This award may be “{was}”, which the program no longer has: {people}.");
    Finding::of(&RULE, &award.place, message).mend(format!(
        "If it is that one, add to the award: was = \"{was}\"; if it is another, give it with `packstring make --participant` and each name."
    ))
}
