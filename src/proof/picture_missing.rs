//! A picture is not there, or is not what its name says.

use super::{Check, Find};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::program::PictureFile;
use crate::statements::PrintContext;

pub static RULE: Rule = Rule {
    name: "picture-missing",
    level: Level::Error,
    settable: Settable::Yes,
    summary: "A picture is not in the program folder, or is not what its name says.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    let shown = print.pictures().map(|picture| (&picture.file, &picture.place));
    let settings = &print.understood.content.settings;
    let named = settings.pictures().map(|picture| (&picture.text, &picture.place));
    for (file, place) in shown.chain(named) {
        let (message, mend) = match print.understood.content.pictures.get(file) {
            // One that the reader did not look at is in prose that no piece prints pictures of.
            Some(PictureFile::Sound) | None => continue,
            Some(PictureFile::Missing(near)) => (
                format!("There is no picture {file} in the program folder."),
                match near {
                    Some(near) => format!("Did you mean “{near}”? Capital and small letters count."),
                    None => "Add the file, or correct its name; capital and small letters count.".to_owned(),
                },
            ),
            Some(PictureFile::Unfit(why)) => (
                format!("The picture {file} {why}."),
                "Save it again as PNG, JPEG or SVG under this name.".to_owned(),
            ),
        };
        findings.push(Finding::of(&RULE, place, message).says(print.source_words(place)).mend(mend));
    }
    findings
}
