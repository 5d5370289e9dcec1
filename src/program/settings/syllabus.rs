//! `[[syllabus]]` and `[[habits]]`: what is taught and in what order, and the lines of the wall chart.

use super::optional;
use crate::finding::Place;
use crate::program::Written;
use crate::program::form::Form;
use crate::program::lesson::Prose;

/// A lesson that is taught, how long it takes, and who gives it.
#[derive(Clone, Debug)]
pub struct SyllabusEntry {
    /// The lesson's [`super::Lesson::id`].
    pub lesson: String,
    pub minutes: u32,
    pub who: Option<String>,
    /// Where the lesson's name stands.
    pub place: Place,
}

impl SyllabusEntry {
    pub(super) fn read(mut table: Form) -> Self {
        let lesson = table.need_text("lesson", "before-the-ride");
        let entry = Self {
            lesson: lesson.text,
            minutes: table.need_count("minutes", "12"),
            who: optional(table.text("who")),
            place: lesson.place,
        };
        table.finish();
        entry
    }
}

/// A line of the wall chart.
#[derive(Clone, Debug)]
pub struct Habit {
    pub words: String,
    pub text: Option<Prose>,
    pub lesson: Option<Written>,
    pub place: Place,
}

impl Habit {
    pub(super) fn read(mut table: Form) -> Self {
        let words = table.need_text("words", "Plan at the table");
        let habit = Self {
            words: words.text,
            text: table.prose("text"),
            lesson: table.text("lesson"),
            place: words.place,
        };
        table.finish();
        habit
    }
}
