//! A question, an event or a principle names a lesson that is not there.

use super::Rule;
use super::galley::Galley;
use crate::finding::{Finding, Level};
use crate::nearest::nearest;
use crate::program::facts::Written;

pub const RULE: Rule = Rule {
    name: "lesson-unknown",
    level: Level::Error,
    summary: "A question, an event or a principle names a lesson that the syllabus does not have.",
    find,
};

fn find(galley: &Galley) -> Vec<Finding> {
    let program = galley.understood.program;
    let mut named: Vec<(String, &Written)> = Vec::new();
    for question in &program.questions.list {
        named.extend(question.lesson.iter().map(|lesson| (format!("question {}", question.id), lesson)));
    }
    for event in &program.settings.events {
        named.extend(event.lessons.iter().map(|lesson| (format!("event {}", event.id), lesson)));
    }
    for principle in &program.settings.principles {
        let what = || format!("principle “{}”", principle.words);
        named.extend(principle.lesson.iter().map(|lesson| (what(), lesson)));
    }
    let lessons = || program.lessons.iter().map(|lesson| lesson.id.as_str());
    let unknown = named.into_iter().filter(|(_, lesson)| !lessons().any(|id| id == lesson.text));
    unknown
        .map(|(what, lesson)| {
            let message =
                format!("The {what} names a lesson “{}” that the syllabus does not have.", lesson.text);
            let finding = RULE.finding(&lesson.place, message).says(&*lesson.text);
            match nearest(&lesson.text, lessons()) {
                Some(known) => finding.mend(format!("Did you mean “{known}”?")),
                None => finding.mend("Name a lesson as the syllabus in program.toml does."),
            }
        })
        .collect()
}
