//! A link leads to a lesson or a section that is not there.

use super::{Check, Find};
use crate::finding::{Finding, Level, Place, Rule, Settable};
use crate::nearest::nearest;
use crate::program::Lesson;
use crate::program::lesson::{Inline, Target};
use crate::program::walk::{self, Met};
use crate::statements::PrintContext;

pub static RULE: Rule = Rule {
    name: "link-broken",
    level: Level::Error,
    settable: Settable::Yes,
    summary: "A link leads to a lesson or a section that does not exist.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let content = print.understood.content;
    let of_lessons = content
        .lessons
        .iter()
        .flat_map(|lesson| walk::lesson(lesson).into_iter().map(move |met| (Some(&**lesson), met)));
    let of_prose = walk::settings(content).map(|met| (None, met));
    of_lessons
        .chain(of_prose)
        .filter_map(|(home, met)| match met {
            Met::Inline(Inline::Link { target, place, .. }) => broken(print, home, target, place),
            _ => None,
        })
        .collect()
}

/// What is wrong with a link that stands in the lesson `home`, or in a TOML file.
fn broken(print: &PrintContext, home: Option<&Lesson>, target: &Target, place: &Place) -> Option<Finding> {
    let lessons = &print.understood.content.lessons;
    let (lesson, section) = match target {
        Target::Address(_) => return None,
        Target::Section(section) => (home?, Some(section)),
        Target::Lesson { id, section } => match lessons.iter().find(|lesson| lesson.id == *id) {
            Some(lesson) => (&**lesson, section.as_ref()),
            None => {
                let finding = Finding::of(
                    &RULE,
                    place,
                    format!("The link leads to a lesson “{id}” that the syllabus does not have."),
                )
                .says(print.source_words(place));
                let known = nearest(id, lessons.iter().map(|lesson| lesson.id.as_str()));
                return Some(match known {
                    Some(known) => finding.mend(format!("Did you mean “{known}.md”?")),
                    None => {
                        finding.mend("Add the lesson to the syllabus in program.toml, or correct the link.")
                    }
                });
            }
        },
    };
    let section = section?;
    if lesson.sections.iter().any(|known| known.id == *section) {
        return None;
    }
    let finding =
        Finding::of(&RULE, place, format!("The lesson “{}” has no section “#{section}”.", lesson.id))
            .says(print.source_words(place));
    let known = nearest(section, lesson.sections.iter().map(|section| section.id.as_str()));
    Some(match known {
        Some(known) => finding.mend(format!("Did you mean “#{known}”?")),
        None => {
            finding.mend("A section's address is its heading in lower case, with hyphens: “#on-the-trail”.")
        }
    })
}
