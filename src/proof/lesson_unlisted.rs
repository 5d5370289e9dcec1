//! A lesson file that the syllabus does not name, so that nothing prints it.

use super::{Check, Find};
use crate::finding::{Finding, Level, Place, Rule, Settable};
use crate::nearest::nearest;
use crate::program::Program;
use crate::program::unlisted::{Unlisted, Why};
use crate::statements::PrintContext;

pub static RULE: Rule = Rule {
    name: "lesson-unlisted",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "The syllabus does not name a lesson file, so nothing prints it.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let program = print.understood.root;
    program.content.unlisted.iter().map(|unlisted| finding(program, unlisted)).collect()
}

fn finding(program: &Program, Unlisted { file, why }: &Unlisted) -> Finding {
    let (message, mend) = match why {
        Why::NoSuchLesson(name) => (
            format!("The syllabus has no lesson “{name}”, so nothing prints this file."),
            match nearest(name, lacking(program, file)) {
                Some(near) => format!("Did you mean “{near}”?"),
                None => "Add it under [[syllabus]] in program.toml, or move it to a folder of drafts.".into(),
            },
        ),
        Why::NoSuchEdition(language) => (
            format!("Nothing prints the lessons in {file}: program.toml names no such edition."),
            match *language == program.content.settings.language {
                true => "Lessons in the main language are in lessons/ itself.".into(),
                false => format!("Add “{language}” to editions in program.toml, or move the folder away."),
            },
        ),
    };
    Finding::of(&RULE, Place::whole(file), message).mend(mend)
}

/// The lessons that an edition lacks, one of which may be meant by a file of its own.
fn lacking<'p>(program: &'p Program, file: &str) -> Vec<&'p str> {
    let Some(edition) = program.editions.iter().find(|edition| edition.owns(file)) else { return Vec::new() };
    let syllabus = program.content.settings.syllabus.iter().map(|entry| entry.lesson.as_str());
    syllabus.filter(|lesson| !edition.lessons.contains(*lesson)).collect()
}
