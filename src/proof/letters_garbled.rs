//! Letters that a wrong decoding has left in a cell, or lost from it.

use super::{Check, Find, people::PeopleContext};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::people::repairs::OddCell;
use crate::program::roster::Field;
use crate::spelling::{marks, mojibake, scripts};

pub static RULE: Rule = Rule {
    name: "letters-garbled",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "A cell of the roster was once read in the wrong encoding and has wrong letters.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::People(find) };

fn has_lost_letters(cell: &OddCell) -> bool {
    match cell.field {
        Field::Name | Field::Companion => mojibake::has_lost_letters_of_name(&cell.text),
        _ => mojibake::has_lost_letters(&cell.text),
    }
}

fn find(people: &PeopleContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for cell in &people.odd_cells {
        let field = cell.what();
        let tell = |message: String| Finding::of(&RULE, &cell.place, message).says(cell.text.trim());
        if let Some(undone) = &cell.garbled {
            let message = match undone.is_html {
                true => format!("Characters of this {field} are in a web page's code, such as &amp;."),
                false => format!("The letters of this {field} were read with a wrong encoding."),
            };
            let mend = match undone.is_certain {
                true => {
                    "Export the file again in UTF-8, or let `packstring proofread --roster --save` put it right."
                }
                false => "Compare the suggestion with what the person wrote; it may be wrong.",
            };
            findings.push(tell(message).instead(&undone.words).mend(mend));
        } else if has_lost_letters(cell) {
            let message = format!("A letter of this {field} was lost when the file was saved.");
            findings.push(tell(message).mend("Export the file again in UTF-8, or ask how it is written."));
        } else if let Some(mixed) = scripts::mixed(&cell.text) {
            let message = format!(
                "One word of this {field} mixes {} with {} letters.",
                marks::told(mixed.letter),
                mixed.among
            );
            let mend = format!("Type the word again with {} letters only.", mixed.among);
            findings.push(tell(message).mend(mend));
        }
    }
    findings
}
