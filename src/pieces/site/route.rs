//! The lessons as the front page leads along them: a route with its minutes, and the first picture of each.

use super::pages::{PageAddress, Pages};
use crate::pieces::tree::{Trees, words};
use crate::program::lesson::Lesson;
use crate::program::walk;
use crate::understand::Understood;
use schemars::JsonSchema;
use serde::Serialize;

/// A lesson that the front page leads to.
#[derive(Serialize, JsonSchema)]
pub struct LessonLink {
    /// In plain words.
    title: String,
    /// The language of the lesson, where an edition has it in another than its own.
    language: Option<String>,
    /// How long it takes, as the syllabus says; null where it is not in the syllabus.
    pub minutes: Option<u32>,
    /// Relative to this page.
    href: String,
    /// The address of its first picture, an ornament here; null where it has none.
    picture: Option<String>,
}

/// In the order of the syllabus.
pub fn lessons(understood: &Understood, pages: &Pages, page: &PageAddress) -> Vec<LessonLink> {
    let trees = Trees::new(understood);
    let link = |lesson: &Lesson| LessonLink {
        title: words(&trees.inlines_in(&lesson.title, &lesson.id)),
        language: trees.language_of(lesson).map(str::to_owned),
        minutes: trees.lesson_with(lesson, Vec::<()>::new()).minutes,
        href: page.link_to(&PageAddress::of_lesson(&lesson.id).path, None),
        picture: first_picture(lesson, pages).map(|path| page.link_to(path, None)),
    };
    understood.content.lessons.iter().map(|lesson| link(lesson)).collect()
}

/// The first picture of a lesson that its page shows.
fn first_picture<'p>(lesson: &Lesson, pages: &'p Pages) -> Option<&'p str> {
    walk::lesson(lesson)
        .into_iter()
        .filter_map(walk::Met::picture)
        .find_map(|picture| pages.picture(&picture.file))
}
