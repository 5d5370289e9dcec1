//! What the program says of an event is otherwise than what its certificates say.
//!
//! The register, the signed record and the paper keep what was certified; which is right only the ranger knows.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::people::credit::changed::{What, changed};
use crate::people::credit::record;

pub static RULE: Rule = Rule {
    name: "event-changed",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "The program and the certificates of an event say different things about it.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

fn find(people: &PeopleContext) -> Vec<Finding> {
    let found = changed(people.program, &people.program.people.register).into_iter().map(|changed| {
        let first = changed.given[0];
        let said = changed.what.iter().map(|what| match what {
            What::Name => format!("name “{}”", first.occasion.name()),
            What::Date => format!("date {}", first.occasion.date()),
            What::Place => format!("place {}", first.venue.as_deref().map_or("none".into(), |it| format!("“{it}”"))),
            What::Agency => format!("agency “{}”", first.agency().unwrap_or_default()),
            What::Until => first.until.map_or("none".to_owned(), |until| format!("until {until}")),
            What::Title => format!("title “{}”", record::title_of(first).unwrap_or_default()),
            What::Program => format!("program “{}”", record::program_of(first).unwrap_or_default()),
        });
        let said = said.collect::<Vec<_>>().join(", ");
        let certificates = match changed.given.len() {
            1 => "1 certificate of this event says".to_owned(),
            count => format!("{count} certificates of this event say"),
        };
        let words: Vec<&str> = changed.what.iter().map(|what| what.word()).collect();
        let message = format!(
            "{certificates} another {} than program.toml: {said}. They are printed as they were given.",
            words.join(", ")
        );
        Finding::of(&RULE, &changed.event.place, message).mend(format!(
            "If program.toml is right, `packstring certificates replace --event {}` gives new ones for all of them; if the certificates are, put program.toml back.",
            changed.event.id
        ))
    });
    found.collect()
}
