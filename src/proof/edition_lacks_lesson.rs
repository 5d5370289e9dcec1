//! An edition has no lesson of its own where the syllabus has one.

use super::{Check, Find};
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
        for entry in &program.content.settings.syllabus {
            if edition.lessons.contains(&entry.lesson) {
                continue;
            }
            let message = format!("The edition “{}” has no lesson “{}”.", edition.language, entry.lesson);
            let mend = format!(
                "Add {}; until then the edition prints the lesson of the main one.",
                edition.lesson_file(&entry.lesson)
            );
            findings.push(Finding::of(&RULE, &entry.place, message).says(&*entry.lesson).mend(mend));
        }
    }
    findings
}
