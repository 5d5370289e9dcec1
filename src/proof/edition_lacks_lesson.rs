//! An edition has no lesson of its own where the syllabus has one.

use super::{Check, Find, some_of};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::statements::PrintContext;

pub static RULE: Rule = Rule {
    name: "edition-lacks-lesson",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "An edition in another language lacks a lesson, and prints the main edition's.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let program = print.understood.root;
    let mut findings = Vec::new();
    for edition in &program.editions {
        let syllabus = program.content.settings.syllabus.iter();
        let lacking: Vec<_> = syllabus.filter(|entry| !edition.lessons.contains(&entry.lesson)).collect();
        let Some(first) = lacking.first() else { continue };
        let language = &edition.language;
        let (message, whose) = match lacking.len() {
            1 => {
                let message = format!("The edition “{language}” has no lesson “{}”.", first.lesson);
                (message, "the lesson")
            }
            several => {
                let message = format!(
                    "The edition “{language}” lacks {several} lessons of the syllabus; the first is “{}”.",
                    first.lesson
                );
                (message, "those")
            }
        };
        let files: Vec<String> = lacking.iter().map(|entry| edition.lesson_file(&entry.lesson)).collect();
        let files = some_of(files.iter().map(String::as_str));
        let mend = format!("Add {files}; until then the edition prints {whose} of the main one.");
        findings.push(Finding::of(&RULE, &first.place, message).says(&*first.lesson).mend(mend));
    }
    findings
}
