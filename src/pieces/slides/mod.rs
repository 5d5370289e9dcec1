//! Slides: a title, one a lesson, and one a section that has something to show. The deck for print and the
//! deck for a browser are made from these.
//!
//! What a slide shows of its section is said by [`Block::stands_on_slide`]; proofreading asks the same. A
//! section with more than a slide holds is split ([`split`]). For a workshop by video each ask stands on a
//! slide of its own, where the presenter pauses.

mod said;
mod split;

pub use said::in_words;

use super::excerpt;
use super::tree::{self, Trees};
use crate::job::{Fit, fit_key};
use crate::program::lesson::{Block, Cue, Lesson, Section};
use crate::program::settings::{Event, EventForm};
use crate::understand::{Understood, plain_text};
use schemars::JsonSchema;
use serde::Serialize;

/// A lesson as slides: one of its own, and those of its sections.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct SlidesOfLesson {
    #[serde(flatten)]
    pub lesson: tree::Lesson<Slide>,
    /// Its place in this deck, from 1: an event may have a shorter syllabus.
    pub turn: usize,
    /// The number of its own slide in this deck; the title's is 0.
    pub slide: usize,
}

/// A slide of a section: the section with what stands on this slide.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Slide {
    #[serde(flatten)]
    pub section: tree::Section,
    /// Whether it is the first of its section.
    pub first: bool,
    /// Which of several it is; null where the section has one slide, and for a pause.
    pub part: Option<Part>,
    /// Whether it is an ask to stop at.
    pub pause: bool,
    /// Its number in this deck; the title's is 0.
    pub slide: usize,
    /// Stands for all that decides how large it is set: `/data/fits/FIT.json` has what was found before.
    pub fit: String,
}

/// Which of several slides of a section it is.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct Part {
    /// From 1.
    pub n: usize,
    pub of: usize,
}

/// The slides of a program, or of one event.
pub struct Slides {
    /// The lessons as they are shown.
    pub lessons: Vec<Lesson>,
    /// The data of each lesson.
    pub data: Vec<SlidesOfLesson>,
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
        let mut last = 0;
        let mut data = Vec::new();
        for (at, lesson) in lessons.iter().enumerate() {
            last += 1;
            let slide = last;
            let mut sections = Vec::new();
            for section in &lesson.sections {
                sections.extend(section_slides(&trees, lesson, section, by_video, &mut last));
            }
            data.push(SlidesOfLesson { lesson: trees.lesson_with(lesson, sections), turn: at + 1, slide });
        }
        Self { lessons, data, by_video }
    }

    /// Says what else decides how they are fitted.
    pub fn fitted_beside(&mut self, what: &impl Serialize) {
        let beside = fit_key(what);
        for slide in self.data.iter_mut().flat_map(|lesson| &mut lesson.lesson.sections) {
            slide.fit = fit_key(&(&slide.fit, &beside));
        }
    }

    /// What is fitted of the slides of these lessons.
    pub fn fits(&self) -> Vec<Fit> {
        let pictures = |id: &str| {
            let lesson = self.lessons.iter().find(|lesson| lesson.id == id);
            excerpt::pictures(lesson).files
        };
        let of_lesson = |data: &SlidesOfLesson| -> Vec<Fit> {
            let pictures = pictures(&data.lesson.id);
            let slides = data.lesson.sections.iter();
            slides.map(|slide| Fit { key: slide.fit.clone(), pictures: pictures.clone() }).collect()
        };
        self.data.iter().flat_map(of_lesson).collect()
    }

    /// How many slides there are, with the title's and, for video, the one that tells where answers go.
    pub fn count(&self) -> usize {
        let lessons: usize = self.data.iter().map(|lesson| 1 + lesson.lesson.sections.len()).sum();
        1 + lessons + usize::from(self.by_video)
    }
}

/// The slides of one section; `last` is the number of the slide before them, and then of the last of them.
fn section_slides(
    trees: &Trees,
    lesson: &Lesson,
    section: &Section,
    by_video: bool,
    last: &mut usize,
) -> Vec<Slide> {
    let is_pause = |block: &Block| by_video && matches!(block, Block::Cue { cue: Cue::Ask, .. });
    let (pauses, shown): (Vec<Block>, Vec<Block>) = section.blocks.iter().cloned().partition(is_pause);
    let parts = split::parts(&shown);
    let of = parts.len();
    let mut first = true;
    let told_of = (trees.language_of(lesson), plain_text(&lesson.title));
    let mut slide = |blocks: &[Block], part: Option<Part>, pause: bool| {
        *last += 1;
        let section = Section { blocks: blocks.to_vec(), ..section.clone() };
        let section = trees.section(&section, &lesson.id);
        let fit = fit_key(&(&told_of, by_video, part, &section.heading, &section.blocks));
        Slide { section, first: std::mem::replace(&mut first, false), part, pause, slide: *last, fit }
    };
    let mut slides = Vec::new();
    for (at, blocks) in parts.iter().enumerate() {
        slides.push(slide(blocks, (of > 1).then_some(Part { n: at + 1, of }), false));
    }
    for ask in &pauses {
        slides.push(slide(std::slice::from_ref(ask), None, true));
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
