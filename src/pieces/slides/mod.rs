//! Slides: a title, one a lesson, and one a section that has something to show. The deck for print and the
//! deck for a browser are made from these.
//!
//! What a slide shows of its section is said by [`Block::stands_on_slide`]; proofreading asks the same. A
//! section with more than a slide holds is split ([`split`]). For a workshop by video each ask stands on a
//! slide of its own, where the presenter pauses.
//!
//! A lesson's data is that of [`Trees::lesson`] with `turn` (its place in this deck, from 1) and `slide`
//! (counted over the deck, the title is 0). Its `sections` are slides: each with `slide`, `first` (of its
//! section), `blocks`, `pause` (an ask to stop at) and `part`, null or `{"n","of"}` where a section has several.

mod said;
mod split;

pub use said::in_words;

use super::excerpt;
use super::tree::Trees;
use crate::program::lesson::{Block, Cue, Lesson, Section};
use crate::program::settings::{Event, EventForm};
use crate::understand::Understood;
use serde_json::{Value, json};

/// The slides of a program, or of one event.
pub struct Slides {
    /// The lessons as they are shown.
    pub lessons: Vec<Lesson>,
    /// The data of each lesson.
    pub data: Vec<Value>,
    /// Whether asks are pauses.
    pub by_video: bool,
}

impl Slides {
    /// `understood` as it is at the event.
    pub fn new(understood: &Understood, event: Option<&Event>) -> Self {
        let lessons: Vec<Lesson> =
            excerpt::syllabus(understood.content, event).into_iter().map(slides_of).collect();
        let by_video = event.is_some_and(|event| event.form == EventForm::Video);
        let trees = Trees::new(understood);
        let mut slide = 0;
        let mut next_slide = || {
            slide += 1;
            Value::from(slide)
        };
        let data = lessons.iter().enumerate().map(|(at, lesson)| {
            let mut data = trees.lesson(lesson);
            // An event may have a shorter syllabus: the trail counts its lessons.
            data["turn"] = (at + 1).into();
            data["slide"] = next_slide();
            let sections = lesson.sections.iter().zip(data["sections"].as_array().into_iter().flatten());
            let slides: Vec<Value> = sections
                .flat_map(|(section, data)| section_slides(&trees, lesson, section, data, by_video))
                .map(|mut slide| {
                    slide["slide"] = next_slide();
                    slide
                })
                .collect();
            data["sections"] = slides.into();
            data
        });
        let data = data.collect();
        Self { lessons, data, by_video }
    }

    /// How many slides there are, with the title's and, for video, the one that tells where answers go.
    pub fn count(&self) -> usize {
        let sections = |lesson: &Value| lesson["sections"].as_array().map_or(0, Vec::len);
        let lessons: usize = self.data.iter().map(|lesson| 1 + sections(lesson)).sum();
        1 + lessons + usize::from(self.by_video)
    }
}

/// The slides of one section; `data` is the section's own.
fn section_slides(
    trees: &Trees,
    lesson: &Lesson,
    section: &Section,
    data: &Value,
    by_video: bool,
) -> Vec<Value> {
    let is_pause = |block: &Block| by_video && matches!(block, Block::Cue { cue: Cue::Ask, .. });
    let (pauses, shown): (Vec<Block>, Vec<Block>) = section.blocks.iter().cloned().partition(is_pause);
    let parts = split::parts(&shown);
    let of = parts.len();
    let mut first = true;
    let mut slide = |blocks: &[Block], part: Value, pause: bool| {
        let mut slide = data.clone();
        slide["first"] = std::mem::replace(&mut first, false).into();
        slide["blocks"] = trees.blocks(blocks, &lesson.id);
        slide["part"] = part;
        slide["pause"] = pause.into();
        slide
    };
    let mut slides = Vec::new();
    for (at, blocks) in parts.iter().enumerate() {
        let part = if of > 1 { json!({"n": at + 1, "of": of}) } else { Value::Null };
        slides.push(slide(blocks, part, false));
    }
    for ask in &pauses {
        slides.push(slide(std::slice::from_ref(ask), Value::Null, true));
    }
    slides
}

/// What of a section's blocks stands on its slide; a heading inside the section stays where something
/// follows it before the next. Empty: the section has no slide.
pub fn shown(blocks: &[Block]) -> Vec<Block> {
    let mut shown: Vec<Block> = Vec::new();
    let mut heading: Option<&Block> = None;
    for block in blocks {
        match block {
            Block::Heading { .. } => heading = Some(block),
            _ if block.stands_on_slide() => {
                shown.extend(heading.take().cloned());
                shown.push(block.clone());
            }
            _ => {}
        }
    }
    excerpt::without(&shown, &[Cue::Say, Cue::Bring, Cue::Try])
}

/// A lesson with what its slides show, and only the sections that have a slide.
fn slides_of(lesson: &Lesson) -> Lesson {
    let mut lesson = excerpt::lesson(lesson, shown);
    lesson.opening.clear();
    lesson.sections.retain(|section| !section.blocks.is_empty());
    lesson
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Place;

    fn at() -> Place {
        Place::whole("lessons/a.md")
    }

    fn paragraph() -> Block {
        Block::Paragraph { inlines: vec![], place: at() }
    }

    fn heading(level: u8) -> Block {
        Block::Heading { level, inlines: vec![], place: at() }
    }

    fn list() -> Block {
        Block::List { start: None, items: vec![], place: at() }
    }

    fn cue(cue: Cue) -> Block {
        Block::Cue { cue, blocks: vec![], place: at() }
    }

    #[test]
    fn paragraphs_and_the_presenters_cues_stay_off_the_slide() {
        let blocks = [paragraph(), cue(Cue::Say), cue(Cue::Ask), cue(Cue::Bring), cue(Cue::Danger), list()];
        assert_eq!(shown(&blocks), [cue(Cue::Ask), cue(Cue::Danger), list()]);
        assert_eq!(shown(&[paragraph(), cue(Cue::Try)]), []);
    }

    #[test]
    fn a_heading_is_shown_with_what_follows_it() {
        let blocks = [heading(3), paragraph(), heading(4), paragraph(), list(), heading(3), paragraph()];
        assert_eq!(shown(&blocks), [heading(4), list()]);
    }
}
