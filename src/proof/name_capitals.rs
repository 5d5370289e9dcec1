//! A name is written all in capitals, or with none, as some forms leave it.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::spelling::capitals::{self, Odd};

pub static RULE: Rule = Rule {
    name: "name-capitals",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "A name is written all in capital letters, or with none.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

fn find(people: &PeopleContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for row in people.rows() {
        let companion = row.companion.as_deref().map(|companion| ("companion", companion));
        for (field, words) in std::iter::once(("name", row.name.as_str())).chain(companion) {
            let Some(odd) = capitals::odd(words) else { continue };
            let is = match odd {
                Odd::AllCapitals => "is written all in capital letters",
                Odd::NoCapital => "is written without a capital letter",
            };
            findings.push(
                Finding::of(
                    &RULE,
                    people.place(row, field),
                    format!("This {field} {is}, and would be printed so."),
                )
                .says(words)
                .instead(capitals::usual(words))
                .mend("Write it as the person does; the capitals that are offered are a guess."),
            );
        }
    }
    findings
}
