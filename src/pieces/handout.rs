//! Handouts: one sheet a lesson, to take home. Lists, tables, checklists, signal boxes, charts and pictures,
//! and the first paragraph of the lesson and of each section.

use super::common::Head;
use super::tree::{self, Trees};
use super::{Selection, common, excerpt};
use crate::job::{Fit, Job, Make, Piece, Sheet, Shelf, file_name, fit_key};
use crate::program::lesson::{Block, Cue, Lesson};
use crate::understand::{Understood, plain_text};
use schemars::JsonSchema;
use serde::Serialize;

/// What `handout.typ` is given.
#[derive(Serialize, JsonSchema)]
pub(super) struct Handout<'p> {
    #[serde(flatten)]
    head: Head<'p>,
    /// The event that it is made for, whose own figures it states; null where it is everybody's.
    event: Option<&'p str>,
    lesson: tree::Lesson,
    /// Stands for all that decides how it is fitted: `/data/fits/FIT.json` has what was found before.
    fit: String,
}

fn kept(blocks: &[Block]) -> Vec<Block> {
    let mut paragraphs = 0;
    let kept: Vec<Block> = blocks
        .iter()
        .filter(|block| match block {
            Block::Paragraph { .. } => {
                paragraphs += 1;
                paragraphs == 1
            }
            Block::List { .. }
            | Block::Table { .. }
            | Block::Picture(_)
            | Block::Series(_)
            | Block::Heading { .. } => true,
            Block::Cue { cue, .. } => cue.is_signal(),
            Block::Quote { .. } | Block::Code { .. } | Block::Rule { .. } => false,
        })
        .cloned()
        .collect();
    with_something_below(excerpt::without(&kept, &[Cue::Say, Cue::Ask, Cue::Bring, Cue::Try]))
}

/// Without the headings of which nothing is left but themselves.
fn with_something_below(mut blocks: Vec<Block>) -> Vec<Block> {
    let mut at = blocks.len();
    while at > 0 {
        at -= 1;
        let Block::Heading { level, .. } = blocks[at] else { continue };
        let is_empty = match blocks.get(at + 1) {
            Some(Block::Heading { level: next, .. }) => *next <= level,
            Some(_) => false,
            None => true,
        };
        if is_empty {
            blocks.remove(at);
        }
    }
    blocks
}

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let content = understood.content;
    let event =
        content.settings.events.iter().find(|event| Some(&event.id) == selection.scope.event.as_ref());
    excerpt::syllabus(content, event)
        .into_iter()
        .map(|lesson| job(understood, selection, &handed_out(lesson)))
        .collect()
}

/// The handout of one lesson.
pub(super) fn of_lesson(understood: &Understood, selection: &Selection, lesson: &Lesson) -> Job {
    job(understood, selection, &handed_out(lesson))
}

/// What of a lesson is handed out. A section of cues alone belongs to the presenter.
fn handed_out(lesson: &Lesson) -> Lesson {
    let mut lesson = excerpt::lesson(lesson, kept);
    lesson.sections.retain(|section| !section.blocks.is_empty());
    lesson
}

fn job(understood: &Understood, selection: &Selection, lesson: &Lesson) -> Job {
    let event = common::own_event(understood, selection);
    let of = event.map_or(&understood.content.settings.name, |event| &event.name);
    let of = common::title(understood, selection, "handout", of);
    let title = format!("{}: {of}", plain_text(&lesson.title));
    let mut data = Handout {
        head: common::head(understood, selection, &title),
        event: event.map(|event| event.name.as_str()),
        lesson: Trees::new(understood).lesson(lesson),
        fit: String::new(),
    };
    data.fit = fit_key(&data);
    let pictures = excerpt::pictures([lesson]);
    let fit = Fit { key: data.fit.clone(), pictures: pictures.files.clone() };
    Job {
        piece: Piece::Handout,
        shelf: Shelf::Open,
        path: format!("handouts/{}.pdf", file_name::of_id(&lesson.id)),
        make: Make::Sheet(Sheet {
            parts: Vec::new(),
            pictures: pictures.files,
            places: [pictures.places, excerpt::places([lesson])].concat(),
            fits: vec![fit],
            ..Sheet::of("handout.typ", &data)
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Place;
    use crate::program::lesson::{Section, SeriesView};

    #[test]
    fn only_the_first_paragraph_and_every_chart() {
        let place = || Place::whole("lessons/a.md");
        let paragraph = || Block::Paragraph { inlines: vec![], place: place() };
        let series = |as_table| {
            Block::Series(SeriesView { fact: "heat".into(), title: "Heat".into(), as_table, place: place() })
        };
        let blocks = [paragraph(), paragraph(), series(false), series(true)];
        assert_eq!(kept(&blocks), [paragraph(), series(false), series(true)]);
    }

    #[test]
    fn a_section_of_cues_alone_is_left_out() {
        let place = || Place::whole("lessons/a.md");
        let cue = Block::Cue { cue: Cue::Try, blocks: vec![], place: place() };
        let list = Block::List { start: None, items: vec![], place: place() };
        let section = |id: &str, blocks: &[Block]| Section {
            id: id.into(),
            heading: vec![],
            blocks: blocks.to_vec(),
            place: place(),
        };
        let lesson = Lesson {
            id: "a".into(),
            file: "lessons/a.md".into(),
            title: vec![],
            title_place: place(),
            opening: vec![],
            sections: vec![section("both", &[list.clone(), cue.clone()]), section("cues", &[cue])],
        };
        let left = handed_out(&lesson).sections;
        assert_eq!(left.iter().map(|section| &*section.id).collect::<Vec<_>>(), ["both"]);
        assert_eq!(left[0].blocks, [list]);
    }

    #[test]
    fn a_heading_stays_where_something_is_left_below_it() {
        let place = || Place::whole("lessons/a.md");
        let heading = |level| Block::Heading { level, inlines: vec![], place: place() };
        let list = || Block::List { start: None, items: vec![], place: place() };
        let rule = || Block::Rule { place: place() };
        let blocks = [heading(3), heading(4), list(), heading(4), rule(), heading(3), rule()];
        assert_eq!(kept(&blocks), [heading(3), heading(4), list()]);
    }
}
