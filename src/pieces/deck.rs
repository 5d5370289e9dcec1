//! The deck: a title slide, one slide a lesson, one slide a section that has something to show.
//!
//! What a slide shows of its section is said by [`Block::stands_on_slide`]; proofreading asks the same.

use super::tree::Trees;
use super::{Job, Make, Piece, Selection, Sheet, Shelf, common, excerpt, file_name};
use crate::program::lesson::{Block, Cue, Lesson};
use crate::understand::Understood;
use serde_json::{Value, json};

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

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let program = understood.program;
    let event = program.settings.events.iter().find(|event| Some(&event.id) == selection.event.as_ref());
    let understood = event.map_or(understood, |event| understood.at(&event.id));
    let lessons: Vec<Lesson> = excerpt::syllabus(program, event).into_iter().map(slides_of).collect();

    let trees = Trees::new(understood);
    let mut slide = 0;
    let mut next_slide = || {
        slide += 1;
        Value::from(slide)
    };
    let mut parts = Vec::new();
    for (at, lesson) in lessons.iter().enumerate() {
        let mut data = trees.lesson(lesson);
        // An event may have a shorter syllabus: the trail counts its lessons.
        data["turn"] = (at + 1).into();
        data["slide"] = next_slide();
        for section in data["sections"].as_array_mut().into_iter().flatten() {
            section["slide"] = next_slide();
        }
        parts.push((format!("lesson-{}", at + 1), data));
    }

    let title = format!("{}: slides, {}", program.settings.name, program.settings.season);
    let mut data = common::head(understood, selection, &title);
    data.insert("lessons".into(), parts.iter().map(|(part, lesson)| outline(part, lesson)).collect());
    let pictures = excerpt::pictures(&lessons);
    vec![Job {
        piece: Piece::Deck,
        shelf: Shelf::Open,
        path: match event {
            Some(event) => format!("decks/{}.pdf", file_name::of_id(&event.id)),
            None => "deck.pdf".into(),
        },
        make: Make::Sheet(Sheet {
            template: "deck.typ".into(),
            data: data.into(),
            parts,
            pictures: pictures.files,
            places: [pictures.places, excerpt::places(&lessons)].concat(),
        }),
    }]
}

/// A lesson with what its slides show, and only the sections that have a slide.
fn slides_of(lesson: &Lesson) -> Lesson {
    let mut lesson = excerpt::lesson(lesson, shown);
    lesson.opening.clear();
    lesson.sections.retain(|section| !section.blocks.is_empty());
    lesson
}

fn outline(part: &str, lesson: &Value) -> Value {
    let sections: Vec<&Value> =
        lesson["sections"].as_array().into_iter().flatten().map(|section| &section["id"]).collect();
    json!({"part": part, "id": lesson["id"], "sections": sections})
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::place::Place;

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
