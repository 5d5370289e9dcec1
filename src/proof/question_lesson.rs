//! A question says that it is taught in a lesson that is not there.

use super::Rule;
use super::galley::Galley;
use crate::finding::{Finding, Level};
use crate::nearest::nearest;

pub const RULE: Rule = Rule {
    name: "question-lesson",
    level: Level::Error,
    summary: "A question names a lesson that the syllabus does not have.",
    find,
};

fn find(galley: &Galley) -> Vec<Finding> {
    let program = galley.understood.program;
    let lessons = || program.lessons.iter().map(|lesson| lesson.id.as_str());
    let named =
        program.questions.list.iter().filter_map(|question| Some((question, question.lesson.as_ref()?)));
    named
        .filter(|(_, lesson)| !lessons().any(|id| id == lesson.text))
        .map(|(question, lesson)| {
            let message = format!(
                "The question {} names a lesson “{}” that the syllabus does not have.",
                question.id, lesson.text
            );
            let finding = RULE.finding(&lesson.place, message).says(&*lesson.text);
            match nearest(&lesson.text, lessons()) {
                Some(known) => finding.mend(format!("Did you mean “{known}”?")),
                None => finding.mend("Name a lesson as the syllabus in program.toml does."),
            }
        })
        .collect()
}
