//! The roster has another name for somebody who was given a certificate.
//!
//! Such a row is held: nobody is credited twice, and a wrong name in print is put right by a replacement.
//! Nothing here repeats a name: findings may leave the machine that holds the roster.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::people::credit::Corrected;
use crate::program::Program;

pub static RULE: Rule = Rule {
    name: "certificate-corrected",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "The roster has another name or companion for somebody who already has a certificate.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

fn find(people: &PeopleContext) -> Vec<Finding> {
    let program = people.program;
    let Some(due) = people.due() else { return Vec::new() };
    let corrected = due.corrected.iter().map(|row| certificate_corrected(row, program));
    corrected.chain(due.unsure.iter().map(|row| certificate_unsure(row, program))).collect()
}

/// What is told of a row that may be the person of a certificate whose own row is gone.
pub fn certificate_unsure(unsure: &Corrected, program: &Program) -> Finding {
    let Corrected { place, name, number } = unsure;
    let line = program.people.register.line_of(number).unwrap_or_default();
    let message = format!(
        "Certificate {number} (line {line} of the register) was given for this event, and its row is gone. packstring cannot tell whether this row is that person with everything corrected, so the row is not credited."
    );
    Finding::of(&RULE, *place, message).says(*name).mend(format!(
        "If so, run `packstring certificates replace {number}`; if this is somebody else, `packstring make --participant` with this name. A certificate that was given in error is taken back with `packstring certificates withdraw {number}`."
    ))
}

/// What is told of a row that is held.
pub fn certificate_corrected(corrected: &Corrected, program: &Program) -> Finding {
    let Corrected { place, name, number } = corrected;
    let line = program.people.register.line_of(number).unwrap_or_default();
    Finding::of(
&RULE,
        *place,
        format!(
            "This row looks like the person who has certificate {number} (line {line} of the register), spelled differently, so it is not credited."
        ),
    )
    .says(*name)
    .mend(format!(
        "If so, run `packstring certificates replace {number}`; if this is somebody else, `packstring make --participant` with this name."
    ))
}
