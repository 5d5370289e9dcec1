//! The presenter's copy: the script of every slide, with what stands on it, props and the clock.
//!
//! One for each event, by its clock and its lessons; one that counts from zero where the program has
//! no event.

use super::tree::Trees;
use super::{Job, Make, Piece, Selection, Sheet, Shelf, common, deck, excerpt, file_name};
use crate::program::lesson::{Block, Cue, Lesson};
use crate::program::settings::Event;
use crate::understand::Understood;
use jiff::civil::Time;
use serde_json::{Value, json};

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let events = &understood.program.settings.events;
    if events.is_empty() {
        return vec![job(understood, selection, None)];
    }
    events
        .iter()
        .filter(|event| selection.event.as_ref().is_none_or(|id| *id == event.id))
        .map(|event| job(understood, selection, Some(event)))
        .collect()
}

fn job(understood: &Understood, selection: &Selection, event: Option<&Event>) -> Job {
    let program = understood.program;
    let lessons = excerpt::syllabus(program, event);
    let mut minutes = 0;
    let mut parts = Vec::new();
    for (at, lesson) in lessons.iter().enumerate() {
        let planned = planned_minutes(understood, lesson);
        let mut data = script(understood, lesson, event.map(|event| event.start), minutes, planned);
        data["number"] = (at + 1).into();
        minutes += planned;
        parts.push((format!("lesson-{}", at + 1), data));
    }

    let whose = event.map_or(program.settings.season.as_str(), |event| event.name.as_str());
    let title = format!("{}: presenter’s copy, {whose}", program.settings.name);
    let mut data = common::head(understood, selection, &title);
    data.insert(
        "event".into(),
        event.map_or(Value::Null, |event| {
            json!({
                "name": event.name,
                "date": event.date.to_string(),
                "place": event.venue,
                "minutes": event.minutes,
            })
        }),
    );
    data.insert("minutes".into(), minutes.into());
    data.insert("parts".into(), parts.iter().map(|(part, _)| Value::from(part.as_str())).collect());
    let pictures = excerpt::pictures(lessons.iter().copied());
    Job {
        piece: Piece::PresentersCopy,
        shelf: Shelf::Staff,
        path: match event {
            Some(event) => format!("presenters-copy/{}.pdf", file_name::of_id(&event.id)),
            None => "presenters-copy.pdf".into(),
        },
        make: Make::Sheet(Sheet {
            template: "presenters-copy.typ".into(),
            data: data.into(),
            parts,
            pictures: pictures.files,
            places: [pictures.places, excerpt::places(lessons.iter().copied())].concat(),
        }),
    }
}

fn planned_minutes(understood: &Understood, lesson: &Lesson) -> u32 {
    let syllabus = &understood.program.settings.syllabus;
    syllabus.iter().find(|entry| entry.lesson == lesson.id).map_or(0, |entry| entry.minutes)
}

/// A lesson with the script and the slide of each section, apart, and the clock. The lesson's minutes
/// are shared out evenly among its sections.
fn script(understood: &Understood, lesson: &Lesson, start: Option<Time>, before: u32, planned: u32) -> Value {
    let trees = Trees::new(understood);
    let mut data = trees.lesson(lesson);
    let clock = |minutes: u32| clock_words(start, before + minutes);
    data["from"] = clock(0).into();
    data["until"] = clock(planned).into();
    data["opening"] = trees.blocks(&cues(&lesson.opening), &lesson.id);
    let count = lesson.sections.len().max(1) as u32;
    let sections = data["sections"].as_array_mut().into_iter().flatten();
    for ((at, section), shown) in sections.enumerate().zip(&lesson.sections) {
        section["clock"] = clock(planned * at as u32 / count).into();
        section["shown"] = trees.blocks(&deck::shown(&shown.blocks), &lesson.id);
        section["script"] = trees.blocks(&cues(&shown.blocks), &lesson.id);
        if let Some(section) = section.as_object_mut() {
            section.remove("blocks");
        }
    }
    data
}

/// The presenter's own part: the cues that are no signal boxes, wherever they stand.
fn cues(blocks: &[Block]) -> Vec<Block> {
    let mut found = Vec::new();
    for block in blocks {
        match block {
            Block::Cue { cue: Cue::Say | Cue::Ask | Cue::Bring | Cue::Try, .. } => found.push(block.clone()),
            Block::Quote { blocks, .. } => found.extend(cues(blocks)),
            Block::List { items, .. } => {
                found.extend(items.iter().flat_map(|item| cues(&item.blocks)));
            }
            _ => {}
        }
    }
    found
}

/// `9:15`, by the event's clock; `0:15`, from its start, where there is no event.
fn clock_words(start: Option<Time>, minutes: u32) -> String {
    let from = start.map_or(0, |start| start.hour() as u32 * 60 + start.minute() as u32);
    let at = (from + minutes) % (24 * 60);
    format!("{}:{:02}", at / 60, at % 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_clock_runs_from_the_events_start() {
        let start = jiff::civil::time(9, 0, 0, 0);
        assert_eq!(clock_words(Some(start), 75), "10:15");
        assert_eq!(clock_words(Some(jiff::civil::time(23, 50, 0, 0)), 15), "0:05");
        assert_eq!(clock_words(None, 75), "1:15");
    }
}
