//! Bring lists: everything that the lessons' `Bring:` cues name, to tick off while packing. One for
//! the whole program and one for each event.
//!
//! A thing that several lessons name is packed once: it stands with the first of them and says for
//! which others it is needed too.

use super::agenda::slots;
use super::common::Head;
use super::run_sheet::StaffEvent;
use super::tree::{self, Trees};
use super::{Selection, bring, common};
use crate::job::{Job, Make, Piece, Sheet, Shelf, file_name};
use crate::program::lesson::Inline;
use crate::program::settings::Event;
use crate::program::{Content, Lesson};
use crate::understand::{Understood, plain_text};
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;

/// What `bring-list.typ` is given.
#[derive(Serialize, JsonSchema)]
pub(super) struct BringList<'p> {
    #[serde(flatten)]
    head: Head<'p>,
    /// Null on the list of the whole program.
    event: Option<StaffEvent<'p>>,
    groups: Vec<BringGroup>,
}

/// A lesson that needs anything, with what it is the first to need.
#[derive(Serialize, JsonSchema)]
struct BringGroup {
    /// The lesson's number in the syllabus, from 1.
    number: usize,
    title: Vec<tree::Inline>,
    things: Vec<BringThing>,
    /// What the cues say beside naming things.
    remarks: Vec<Vec<tree::Inline>>,
}

/// A thing to bring.
#[derive(Serialize, JsonSchema)]
struct BringThing {
    words: Vec<tree::Inline>,
    /// The titles of the other lessons that need it.
    also: Vec<String>,
}

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let content = understood.content;
    let whole = selection.scope.event.is_none().then(|| {
        let title = common::title(understood, selection, "bring-list", "");
        let list = BringList {
            head: common::head(understood, selection, &title),
            event: None,
            groups: groups(understood, &syllabus(content)),
        };
        job("bring-list.pdf".into(), &list)
    });
    let of_events = selection.scope.events(content).map(|event| {
        let understood = understood.at(&event.id);
        let title = common::title(understood, selection, "bring-list-of", &event.name);
        let list = BringList {
            head: common::head(understood, selection, &title),
            event: Some(StaffEvent::new(event)),
            groups: groups(understood, &lessons_of(content, event)),
        };
        job(format!("bring-lists/{}.pdf", file_name::of_id(&event.id)), &list)
    });
    whole.into_iter().chain(of_events).collect()
}

fn job(path: String, list: &BringList) -> Job {
    Job {
        piece: Piece::BringList,
        shelf: Shelf::Staff,
        path,
        make: Make::Sheet(Sheet::of("bring-list.typ", list)),
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
fn groups(understood: &Understood, lessons: &[Numbered]) -> Vec<BringGroup> {
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
            let thing = |thing: &Thing| BringThing { words: prose(&thing.words), also: thing.also.clone() };
            BringGroup {
                number: *number,
                title: prose(&lesson.title),
                things: things.iter().map(thing).collect(),
                remarks: remarks.iter().map(|remark| prose(remark)).collect(),
            }
        })
        .collect()
}
