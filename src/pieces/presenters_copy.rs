//! The presenter's copy: every slide as it is on the screen, small, with its script, props and the clock.
//!
//! One for each event, by its clock and its lessons; one that counts from zero where the program has
//! no event.

use super::agenda::{self, Slot};
use super::slides::{self, Slides};
use super::tree::Trees;
use super::{Selection, bring, common, excerpt};
use crate::job::{Job, Make, Piece, Sheet, Shelf, file_name};
use crate::program::Content;
use crate::program::lesson::{Block, Cue, Lesson};
use crate::program::settings::Event;
use crate::understand::Understood;
use jiff::civil::Time;
use serde_json::{Value, json};

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    if understood.content.settings.events.is_empty() {
        return vec![job(understood, selection, None)];
    }
    selection.scope.events(understood.content).map(|event| job(understood, selection, Some(event))).collect()
}

/// A lesson on the clock.
struct Turn<'p> {
    lesson: &'p Lesson,
    number: usize,
    from: Time,
    minutes: u32,
}

/// The lessons of an event by its clock, or all of them counted from zero.
fn turns<'p>(content: &'p Content, event: Option<&'p Event>) -> Vec<Turn<'p>> {
    let turn = |slot: Slot<'p>| Turn {
        lesson: slot.lesson,
        number: slot.number,
        from: slot.from,
        minutes: slot.entry.minutes,
    };
    match event {
        Some(event) => agenda::slots(content, event).into_iter().map(turn).collect(),
        None => {
            let mut from = Time::midnight();
            let count = |(at, lesson): (usize, &'p Lesson)| {
                let planned = content.settings.syllabus.iter().find(|entry| entry.lesson == lesson.id);
                let minutes = planned.map_or(0, |entry| entry.minutes);
                let turn = Turn { lesson, number: at + 1, from, minutes };
                from = agenda::after(from, minutes);
                turn
            };
            content.lessons.iter().map(|lesson| &**lesson).enumerate().map(count).collect()
        }
    }
}

fn job(understood: &Understood, selection: &Selection, event: Option<&Event>) -> Job {
    let understood = event.map_or(understood, |event| understood.at(&event.id));
    let content = understood.content;
    let turns = turns(content, event);
    let slides = Slides::new(understood, event);
    let parts: Vec<(String, Value)> = turns
        .iter()
        .enumerate()
        .map(|(at, turn)| (format!("lesson-{}", at + 1), script(understood, turn, &slides)))
        .collect();

    let whose = event.map_or(content.settings.season.as_str(), |event| event.name.as_str());
    let title = format!(
        "{}: {}",
        content.settings.name,
        common::title(understood, selection, "presenters-copy", whose)
    );
    let mut data = common::head(understood, selection, &title);
    data.insert("event".into(), event.map_or(Value::Null, event_data));
    data.insert("minutes".into(), turns.iter().map(|turn| turn.minutes).sum::<u32>().into());
    data.insert("parts".into(), parts.iter().map(|(part, _)| Value::from(part.as_str())).collect());
    data.insert("slides".into(), slides.count().into());
    data.insert("by_video".into(), slides.by_video.into());
    data.insert("send_to".into(), common::answers_go_to(&content.settings).into());
    let lessons = || turns.iter().map(|turn| turn.lesson);
    let pictures = excerpt::pictures(lessons());
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
            places: [pictures.places, excerpt::places(lessons())].concat(),
            ..Sheet::default()
        }),
    }
}

fn event_data(event: &Event) -> Value {
    json!({
        "name": event.name,
        "date": event.date.to_string(),
        "place": event.venue,
        "minutes": event.minutes,
    })
}

/// A lesson with the script and the slides of each section, apart, and the clock. The lesson's minutes
/// are shared out evenly among its sections. What is counted of slides is that of [`slides`]; beside it each
/// slide has `alt`, what it shows in words.
fn script(understood: &Understood, turn: &Turn, slides: &Slides) -> Value {
    let trees = Trees::new(understood);
    let lesson = turn.lesson;
    let clock = |minutes| agenda::clock(agenda::after(turn.from, minutes));
    let count = lesson.sections.len().max(1);
    let deck = slides.data.iter().find(|data| data["id"] == lesson.id.as_str());
    let slides_of = |section: &str| -> Vec<Value> {
        let all = deck.and_then(|deck| deck["sections"].as_array()).into_iter().flatten();
        all.filter(|slide| slide["id"] == section).map(described).collect()
    };
    let sections: Vec<Value> = lesson
        .sections
        .iter()
        .enumerate()
        .map(|(at, section)| {
            json!({
                "id": section.id,
                "heading": trees.inlines_in(&section.heading, &lesson.id),
                "clock": clock((turn.minutes as usize * at / count) as u32),
                "slides": slides_of(&section.id),
                "script": trees.blocks(&cues(&section.blocks), &lesson.id),
            })
        })
        .collect();
    let things = bring::of_lesson(lesson).things;
    let mut data = trees.lesson(lesson);
    data["number"] = turn.number.into();
    data["turn"] = deck.map_or(Value::Null, |deck| deck["turn"].clone());
    data["slide"] = deck.map_or(Value::Null, |deck| deck["slide"].clone());
    data["from"] = clock(0).into();
    data["until"] = clock(turn.minutes).into();
    data["bring"] = things.iter().map(|thing| trees.inlines_in(thing, &lesson.id)).collect();
    data["opening"] = trees.blocks(&cues(&lesson.opening), &lesson.id);
    data["sections"] = sections.into();
    data
}

fn described(slide: &Value) -> Value {
    let mut slide = slide.clone();
    slide["alt"] = slides::in_words(&slide).into();
    slide
}

/// The presenter's own part: the cues that are no signal boxes, wherever they stand.
pub fn cues(blocks: &[Block]) -> Vec<Block> {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Place;
    use crate::program::lesson::Item;

    #[test]
    fn the_script_holds_cues_however_deep_they_stand_and_no_signal_box() {
        let place = || Place::whole("lessons/a.md");
        let cue = |cue| Block::Cue { cue, blocks: vec![], place: place() };
        let item = Item { task: None, blocks: vec![cue(Cue::Bring)], place: place() };
        let list = Block::List { start: None, items: vec![item], place: place() };
        let blocks = [cue(Cue::Say), cue(Cue::Danger), list, cue(Cue::Try)];
        assert_eq!(cues(&blocks), [cue(Cue::Say), cue(Cue::Bring), cue(Cue::Try)]);
    }
}
