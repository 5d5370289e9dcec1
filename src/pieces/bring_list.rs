//! Bring lists: everything that the lessons' `Bring:` cues name, to tick off while packing. One for
//! the whole program and one for each event.
//!
//! A thing that several lessons name is packed once: it stands with the first of them and says for
//! which others it is needed too.

use super::agenda::slots;
use super::run_sheet::event_data;
use super::tree::Trees;
use super::{Selection, bring, common};
use crate::job::{Job, Make, Piece, Sheet, Shelf, file_name};
use crate::program::lesson::Inline;
use crate::program::settings::Event;
use crate::program::{Content, Lesson};
use crate::understand::{Understood, plain_text};
use serde_json::{Value, json};
use std::collections::BTreeMap;

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let content = understood.content;
    let whole = selection.scope.event.is_none().then(|| {
        let mut data =
            common::head(understood, selection, &common::title(understood, selection, "bring-list", ""));
        data.insert("event".into(), Value::Null);
        data.insert("groups".into(), groups(understood, &syllabus(content)));
        job("bring-list.pdf".into(), data.into())
    });
    let of_events = selection.scope.events(content).map(|event| {
        let understood = understood.at(&event.id);
        let mut data = common::head(
            understood,
            selection,
            &common::title(understood, selection, "bring-list-of", &event.name),
        );
        data.insert("event".into(), event_data(event));
        data.insert("groups".into(), groups(understood, &lessons_of(content, event)));
        job(format!("bring-lists/{}.pdf", file_name::of_id(&event.id)), data.into())
    });
    whole.into_iter().chain(of_events).collect()
}

fn job(path: String, data: Value) -> Job {
    Job {
        piece: Piece::BringList,
        shelf: Shelf::Staff,
        path,
        make: Make::Sheet(Sheet { template: "bring-list.typ".into(), data, ..Sheet::default() }),
    }
}

/// A lesson with its number in the syllabus.
type Numbered<'p> = (usize, &'p Lesson);

fn syllabus(content: &Content) -> Vec<Numbered<'_>> {
    let entries = content.settings.syllabus.iter().enumerate();
    entries
        .filter_map(|(at, entry)| {
            let lesson = content.lessons.iter().find(|lesson| lesson.id == entry.lesson)?;
            Some((at + 1, &**lesson))
        })
        .collect()
}

fn lessons_of<'p>(content: &'p Content, event: &'p Event) -> Vec<Numbered<'p>> {
    slots(content, event).iter().map(|slot| (slot.number, slot.lesson)).collect()
}

/// A thing to bring, where it stands and which further lessons need it.
struct Thing {
    words: Vec<Inline>,
    also: Vec<String>,
}

/// The lessons that need anything, in their order, each with what it is the first to need.
fn groups(understood: &Understood, lessons: &[Numbered]) -> Value {
    let trees = Trees::new(understood);
    // Where a thing stands: the position of its lesson, and in that lesson's list.
    let mut standing: BTreeMap<String, (usize, usize)> = BTreeMap::new();
    let mut things: Vec<Vec<Thing>> = Vec::new();
    let mut remarks = Vec::new();
    for (at, (_, lesson)) in lessons.iter().enumerate() {
        let props = bring::of_lesson(lesson);
        things.push(Vec::new());
        for words in props.things {
            let key = bring::key(&words);
            if let Some((group, place)) = standing.get(&key) {
                things[*group][*place].also.push(plain_text(&lesson.title));
            } else {
                standing.insert(key, (at, things[at].len()));
                things[at].push(Thing { words, also: Vec::new() });
            }
        }
        remarks.push(props.remarks);
    }
    lessons
        .iter()
        .zip(things.iter().zip(&remarks))
        .filter(|(_, (things, remarks))| !things.is_empty() || !remarks.is_empty())
        .map(|((number, lesson), (things, remarks))| {
            let prose = |inlines: &[Inline]| trees.inlines_in(inlines, &lesson.id);
            let things: Vec<Value> = things
                .iter()
                .map(|thing| json!({"words": prose(&thing.words), "also": thing.also}))
                .collect();
            json!({
                "number": number,
                "title": prose(&lesson.title),
                "things": things,
                "remarks": remarks.iter().map(|remark| prose(remark)).collect::<Vec<_>>(),
            })
        })
        .collect()
}
