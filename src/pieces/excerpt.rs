//! Excerpts: what of a lesson a piece carries, and what stands in what it carries.
//!
//! Pieces choose from typed lessons here, before [`super::tree`] turns what is left into data.

use crate::finding::Place;
use crate::program::lesson::{Block, Cue, Lesson, Section};
use crate::program::settings::Event;
use crate::program::walk::{self, Met};
use crate::program::{Content, Written};

/// A copy of a lesson with each run of blocks, that of the opening and of each section, as `choose`
/// gives it back.
pub fn lesson(lesson: &Lesson, choose: impl Fn(&[Block]) -> Vec<Block>) -> Lesson {
    let section = |section: &Section| Section { blocks: choose(&section.blocks), ..section.clone() };
    Lesson {
        opening: choose(&lesson.opening),
        sections: lesson.sections.iter().map(section).collect(),
        ..lesson.clone()
    }
}

/// The blocks without some of the cues, however deep they stand.
pub fn without(blocks: &[Block], left_out: &[Cue]) -> Vec<Block> {
    let inner = |blocks: &[Block]| without(blocks, left_out);
    blocks
        .iter()
        .filter(|block| !matches!(block, Block::Cue { cue, .. } if left_out.contains(cue)))
        .map(|block| match block.clone() {
            Block::Cue { cue, blocks, place } => Block::Cue { cue, blocks: inner(&blocks), place },
            Block::Quote { blocks, place } => Block::Quote { blocks: inner(&blocks), place },
            Block::List { start, mut items, place } => {
                for item in &mut items {
                    item.blocks = inner(&item.blocks);
                }
                Block::List { start, items, place }
            }
            other => other,
        })
        .collect()
}

/// The lessons of an event in its order, each with its number there; of the whole program where
/// there is no event.
pub fn syllabus<'p>(content: &'p Content, event: Option<&Event>) -> Vec<&'p Lesson> {
    match event {
        Some(event) if !event.lessons.is_empty() => {
            let named = |id: &Written| {
                content.lessons.iter().map(|lesson| &**lesson).find(|lesson| lesson.id == id.text)
            };
            event.lessons.iter().filter_map(named).collect()
        }
        _ => content.lessons.iter().map(|lesson| &**lesson).collect(),
    }
}

/// The pictures of some lessons, each file once, with where it first stands.
#[derive(Debug, Default)]
pub struct Pictures {
    pub files: Vec<String>,
    pub places: Vec<(String, Place)>,
}

pub fn pictures<'l>(lessons: impl IntoIterator<Item = &'l Lesson>) -> Pictures {
    let mut pictures = Pictures::default();
    for lesson in lessons {
        for picture in walk::lesson(lesson).into_iter().filter_map(Met::picture) {
            if !pictures.files.contains(&picture.file) {
                pictures.files.push(picture.file.clone());
                pictures.places.push((picture.file.clone(), picture.place.clone()));
            }
        }
    }
    pictures
}

/// Where each lesson and section stands, by the names that templates give them.
pub fn places<'l>(lessons: impl IntoIterator<Item = &'l Lesson>) -> Vec<(String, Place)> {
    let mut places = Vec::new();
    for lesson in lessons {
        places.push((lesson.id.clone(), lesson.title_place.clone()));
        for section in &lesson.sections {
            places.push((format!("{}#{}", lesson.id, section.id), section.place.clone()));
        }
    }
    places
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::program::lesson::{Item, Picture};

    fn cue(cue: Cue, blocks: Vec<Block>) -> Block {
        Block::Cue { cue, blocks, place: Place::whole("a.md") }
    }

    fn picture(file: &str) -> Block {
        Block::Picture(Picture {
            file: file.into(),
            alt: "a mule".into(),
            caption: None,
            place: Place::whole("a.md"),
        })
    }

    #[test]
    fn cues_are_left_out_however_deep_they_stand() {
        let item = Item {
            task: None,
            blocks: vec![cue(Cue::Say, vec![]), picture("a.svg")],
            place: Place::whole("a.md"),
        };
        let list = Block::List { start: None, items: vec![item], place: Place::whole("a.md") };
        let quote = Block::Quote { blocks: vec![list], place: Place::whole("a.md") };
        let left = without(&[cue(Cue::Say, vec![]), quote, cue(Cue::Danger, vec![])], &[Cue::Say]);
        assert_eq!(left.len(), 2);
        let Block::Quote { blocks, .. } = &left[0] else { panic!("the quote stays") };
        let Block::List { items, .. } = &blocks[0] else { panic!("the list stays") };
        assert_eq!(items[0].blocks, vec![picture("a.svg")]);
    }

    #[test]
    fn a_picture_shown_twice_is_asked_for_once() {
        let lesson = Lesson {
            id: "a".into(),
            file: "lessons/a.md".into(),
            title: vec![],
            title_place: Place::whole("lessons/a.md"),
            opening: vec![picture("pictures/a.svg")],
            sections: vec![Section {
                id: "s".into(),
                heading: vec![],
                place: Place::whole("lessons/a.md"),
                blocks: vec![picture("pictures/b.svg"), cue(Cue::Danger, vec![picture("pictures/a.svg")])],
            }],
        };
        assert_eq!(pictures([&lesson]).files, ["pictures/a.svg", "pictures/b.svg"]);
    }
}
