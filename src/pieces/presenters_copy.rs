//! The presenter's copy: every slide as it is on the screen, small, with its script, props and the clock.
//!
//! One for each event, by its clock and its lessons; one that counts from zero where the program has
//! no event.

use super::agenda::{self, Slot};
use super::common::{Head, LaterDay, SendTo};
use super::slides::{self, Slide, Slides};
use super::tree::{self, Trees};
use super::{Selection, bring, common, excerpt};
use crate::job::{self, Job, Make, Piece, Sheet, Shelf, file_name};
use crate::program::Content;
use crate::program::lesson::{Block, Cue, Lesson};
use crate::program::settings::Event;
use crate::understand::Understood;
use jiff::civil::Time;
use schemars::JsonSchema;
use serde::Serialize;

/// What `presenters-copy.typ` is given; each lesson is a part of its own.
#[derive(Serialize, JsonSchema)]
pub(super) struct PresentersCopy<'p> {
    #[serde(flatten)]
    head: Head<'p>,
    /// Null where the program has no event.
    event: Option<PresentedEvent<'p>>,
    /// The minutes of all lessons.
    minutes: u32,
    /// The parts with the lessons: `/data/PART.json`.
    parts: Vec<String>,
    /// How many slides there are.
    slides: usize,
    /// Whether asks are pauses.
    by_video: bool,
    /// Null where no contact has an e-mail address.
    send_to: Option<SendTo<'p>>,
}

/// The event that is presented at.
#[derive(Serialize, JsonSchema)]
struct PresentedEvent<'p> {
    name: &'p str,
    /// Year, month and day: 2026-05-16.
    date: String,
    /// Its other days; mostly none.
    later_days: Vec<LaterDay>,
    /// Where it is held; of a workshop by video, how to come in.
    place: &'p str,
    minutes: u32,
}

/// A lesson with its script, its slides and the clock. `opening` has the presenter's cues alone.
#[derive(Serialize, JsonSchema)]
pub(super) struct ScriptOfLesson {
    #[serde(flatten)]
    lesson: tree::Lesson<ScriptOfSection>,
    /// Its place in the deck, from 1; null where the deck has it not.
    turn: Option<usize>,
    /// The number of its own slide; null where the deck has it not.
    slide: Option<usize>,
    /// A clock time: 09:15.
    from: String,
    until: String,
    /// What to have at hand, thing by thing.
    bring: Vec<Vec<tree::Inline>>,
}

/// A section with its script and its slides.
#[derive(Serialize, JsonSchema)]
struct ScriptOfSection {
    id: String,
    heading: Vec<tree::Inline>,
    /// When it starts, where the lesson's minutes are shared out evenly among its sections.
    clock: String,
    slides: Vec<DescribedSlide>,
    /// The presenter's cues.
    script: Vec<tree::Block>,
}

/// A slide with what it shows in words.
#[derive(Serialize, JsonSchema)]
struct DescribedSlide {
    #[serde(flatten)]
    slide: Slide,
    /// What it shows, in words; a template hands it on as alternative text.
    alt: String,
}

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
    let parts: Vec<(String, _)> = turns
        .iter()
        .enumerate()
        .map(|(at, turn)| (format!("lesson-{}", at + 1), job::data(&script(understood, turn, &slides))))
        .collect();

    let whose = event.map_or(content.settings.season.as_str(), |event| event.name.as_str());
    let title = format!(
        "{}: {}",
        content.settings.name,
        common::title(understood, selection, "presenters-copy", whose)
    );
    let data = PresentersCopy {
        head: common::head(understood, selection, &title),
        event: event.map(event_data),
        minutes: turns.iter().map(|turn| turn.minutes).sum(),
        parts: parts.iter().map(|(part, _)| part.clone()).collect(),
        slides: slides.count(),
        by_video: slides.by_video,
        send_to: common::answers_go_to(&content.settings),
    };
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
            parts,
            pictures: pictures.files,
            places: [pictures.places, excerpt::places(lessons())].concat(),
            fits: slides.fits(),
            ..Sheet::of("presenters-copy.typ", &data)
        }),
    }
}

fn event_data(event: &Event) -> PresentedEvent<'_> {
    PresentedEvent {
        name: &event.name,
        date: event.date.to_string(),
        later_days: common::later_days(event),
        place: &event.venue,
        minutes: event.minutes,
    }
}

fn script(understood: &Understood, turn: &Turn, slides: &Slides) -> ScriptOfLesson {
    let trees = Trees::new(understood);
    let lesson = turn.lesson;
    let clock = |minutes| agenda::clock(agenda::after(turn.from, minutes));
    let count = lesson.sections.len().max(1);
    let deck = slides.data.iter().find(|data| data.lesson.id == lesson.id);
    let slides_of = |section: &str| -> Vec<DescribedSlide> {
        let all = deck.into_iter().flat_map(|deck| &deck.lesson.sections);
        all.filter(|slide| slide.section.id == section).map(described).collect()
    };
    let sections = lesson.sections.iter().enumerate().map(|(at, section)| ScriptOfSection {
        id: section.id.clone(),
        heading: trees.inlines_in(&section.heading, &lesson.id),
        clock: clock((turn.minutes as usize * at / count) as u32),
        slides: slides_of(&section.id),
        script: trees.blocks(&cues(&section.blocks), &lesson.id),
    });
    let things = bring::of_lesson(lesson).things;
    ScriptOfLesson {
        lesson: tree::Lesson {
            number: Some(turn.number),
            opening: trees.blocks(&cues(&lesson.opening), &lesson.id),
            ..trees.lesson_with(lesson, sections.collect())
        },
        turn: deck.map(|deck| deck.turn),
        slide: deck.map(|deck| deck.slide),
        from: clock(0),
        until: clock(turn.minutes),
        bring: things.iter().map(|thing| trees.inlines_in(thing, &lesson.id)).collect(),
    }
}

fn described(slide: &Slide) -> DescribedSlide {
    DescribedSlide { alt: slides::in_words(&slide.section), slide: slide.clone() }
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
