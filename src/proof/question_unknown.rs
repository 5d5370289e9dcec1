//! A column of the answers looks like a question that is not in the questions file.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::program::answers::Unmatched;

pub static RULE: Rule = Rule {
    name: "question-unknown",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "A column of the answers is for a question that is not in the questions file.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

fn find(people: &PeopleContext) -> Vec<Finding> {
    let program = people.program;
    let finding = |heading: &Unmatched| {
        let place = &heading.place;
        let message = "No question goes with this heading, so the answers below it are not scored.";
        let finding = Finding::of(&RULE, place, message).says(program.sources.words(place));
        finding.mend(match &heading.near {
            Some(id) => format!("Did you mean “{id}”?"),
            None => "Write a question's id or its number on the sheet, or name the heading in program.toml under [answers.headings].".to_owned(),
        })
    };
    program.people.answers.unmatched.iter().map(finding).collect()
}
