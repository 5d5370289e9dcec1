//! The deck for a browser: one page with all slides, for the program and for each event.
//!
//! The slides are those of [`crate::pieces::slides`]. Beside each stand the presenter's notes and, on an
//! event's page, its lessons on the clock, for the presenter's window. Pictures, drawings and the way to
//! the facts are the site's own, so the page is read by the same [`ProseWalker`].

use super::Site;
use super::pages::{PageAddress, Pages};
use super::reading::ProseWalker;
use crate::job::{Make, Original, file_name};
use crate::pieces::slides::Slides;
use crate::pieces::tree::Trees;
use crate::pieces::{agenda, common, presenters_copy};
use crate::program::lesson::{Lesson, Section};
use crate::program::settings::Event;
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;
use std::sync::Arc;

pub const STYLE_SHEET: &str = "slides.css";
pub const SCRIPT: &str = "slides.js";

/// The page of a deck: of an event, or of the whole program.
pub fn address(event: Option<&Event>) -> PageAddress {
    PageAddress::new(match event {
        Some(event) => format!("slides/{}.html", file_name::of_id(&event.id)),
        None => "slides.html".into(),
    })
}

impl Site<'_> {
    pub(super) fn slides(&mut self) {
        self.deck(None);
        for event in &self.understood.content.settings.events {
            self.deck(Some(event));
        }
        self.job(STYLE_SHEET, Make::Page { template: STYLE_SHEET.into(), data: json!({}) });
        self.job(SCRIPT, Make::Copy { of: Original::Theme(format!("pages/{SCRIPT}")) });
    }

    fn deck(&mut self, event: Option<&Event>) {
        let settings = &self.understood.content.settings;
        let page = address(event);
        let understood = event.map_or(self.understood, |event| self.understood.at(&event.id));
        let Slides { data: lessons, by_video, .. } = Slides::new(understood, event);
        let ids = Ids::new(&lessons);
        let pages = self.pages.within(&page.path, &ids.lessons);
        let title = event.map_or(settings.name.as_str(), |event| event.name.as_str()).to_owned();
        let mut reader = ProseWalker::new(&pages, &page).with_the_presenters_cues();
        let notes = Notes { trees: Trees::new(understood), lessons: &understood.content.lessons };
        let lessons: Vec<Value> = lessons
            .into_iter()
            .map(|lesson| self.slides_of(lesson, event, &ids, &notes, &mut reader))
            .collect();
        self.pictures.extend(reader.pictures);
        let mut data = self.head(&page, &title);
        data.insert("event".into(), event.map_or(Value::Null, event_data));
        data.insert("lessons".into(), lessons.into());
        data.insert("by_video".into(), by_video.into());
        data.insert("send_to".into(), common::answers_go_to(settings).into());
        data.insert("style".into(), page.link_to(STYLE_SHEET, None).into());
        data.insert("script".into(), page.link_to(SCRIPT, None).into());
        self.page(&page, "slides.html", data);
    }

    /// A lesson's own slide and those of its sections.
    fn slides_of(
        &self,
        mut lesson: Value,
        event: Option<&Event>,
        ids: &Ids,
        notes: &Notes,
        reader: &mut ProseWalker,
    ) -> Value {
        let id = lesson["id"].as_str().unwrap_or_default().to_owned();
        let slot = event.and_then(|event| {
            let slots = agenda::slots(self.understood.content, event);
            slots.into_iter().find(|slot| slot.lesson.id == id)
        });
        let clock = slot.map(|slot| json!({"from": agenda::clock(slot.from), "to": agenda::clock(slot.to)}));
        let sections = lesson["sections"].take();
        let slides: Vec<Value> = sections
            .as_array()
            .into_iter()
            .flatten()
            .map(|slide| {
                let section = slide["id"].as_str().unwrap_or_default();
                // The script of a section stands with its first slide; the others go on with it.
                let script = if slide["first"] == true { notes.of(&id, section) } else { json!([]) };
                let mut read = reader.section(slide.clone());
                read["id"] = ids.of(&id, section, slide["slide"].as_u64().unwrap_or_default()).into();
                for key in ["part", "pause"] {
                    read[key] = slide[key].clone();
                }
                read["script"] = reader.read(script);
                read
            })
            .collect();
        json!({
            "id": id,
            "language": lesson["language"].take(),
            "title": reader.read(lesson["title"].take()),
            "title_text": lesson["title_text"].take(),
            "turn": lesson["turn"].take(),
            "minutes": lesson["minutes"].take(),
            "clock": clock,
            "script": reader.read(notes.opening(&id)),
            "slides": slides,
        })
    }
}

fn event_data(event: &Event) -> Value {
    json!({"name": event.name, "place": event.venue, "start": agenda::clock(event.start)})
}

/// The address of each slide: the section's name, with the lesson's before it where two lessons have a
/// section of one name, and with a number where a section has several slides.
struct Ids {
    /// By lesson and section.
    sections: BTreeMap<(String, String), (String, u64)>,
    /// For links: the sections of each lesson by the names that they have in it, and here.
    lessons: BTreeMap<String, BTreeMap<String, String>>,
}

impl Ids {
    fn new(lessons: &[Value]) -> Self {
        let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
        let mut first: Vec<(String, String, u64)> = Vec::new();
        for lesson in lessons {
            for slide in
                lesson["sections"].as_array().into_iter().flatten().filter(|slide| slide["first"] == true)
            {
                let number = slide["slide"].as_u64().unwrap_or_default();
                first.push((text(&lesson["id"]), text(&slide["id"]), number));
            }
        }
        let is_taken = |name: &str| {
            let lesson = lessons.iter().any(|lesson| lesson["id"] == name);
            lesson || first.iter().filter(|(_, section, _)| section == name).count() > 1
        };
        let mut ids = Self { sections: BTreeMap::new(), lessons: BTreeMap::new() };
        for lesson in lessons {
            ids.lessons.insert(text(&lesson["id"]), BTreeMap::new());
        }
        for (lesson, section, number) in &first {
            let id = if is_taken(section) { format!("{lesson}.{section}") } else { section.clone() };
            ids.lessons.entry(lesson.clone()).or_default().insert(section.clone(), id.clone());
            ids.sections.insert((lesson.clone(), section.clone()), (id, *number));
        }
        ids
    }

    fn of(&self, lesson: &str, section: &str, slide: u64) -> String {
        match self.sections.get(&(lesson.to_owned(), section.to_owned())) {
            Some((id, first)) if *first == slide => id.clone(),
            Some((id, first)) => format!("{id}.{}", slide - first + 1),
            None => section.to_owned(),
        }
    }
}

/// What the presenter is given to say, ask, bring and try.
struct Notes<'n> {
    trees: Trees<'n>,
    lessons: &'n [Arc<Lesson>],
}

impl Notes<'_> {
    fn lesson(&self, id: &str) -> Option<&Lesson> {
        self.lessons.iter().map(|lesson| &**lesson).find(|lesson| lesson.id == id)
    }

    fn opening(&self, lesson: &str) -> Value {
        let Some(lesson) = self.lesson(lesson) else { return json!([]) };
        self.trees.blocks(&presenters_copy::cues(&lesson.opening), &lesson.id)
    }

    fn of(&self, lesson: &str, section: &str) -> Value {
        let Some(lesson) = self.lesson(lesson) else { return json!([]) };
        let found = lesson.sections.iter().find(|found: &&Section| found.id == section);
        let cues = found.map(|section| presenters_copy::cues(&section.blocks)).unwrap_or_default();
        self.trees.blocks(&cues, &lesson.id)
    }
}

/// The decks that the front page leads to: the program's, and each event's by its name.
pub fn list(site: &Site, page: &PageAddress) -> Value {
    let settings = &site.understood.content.settings;
    let one = |event: Option<&Event>| {
        let mut link = Map::new();
        link.insert("href".into(), page.link_to(&address(event).path, None).into());
        link.insert("event".into(), event.map(|event| event.name.as_str()).into());
        Value::Object(link)
    };
    std::iter::once(None).chain(settings.events.iter().map(Some)).map(one).collect()
}

/// The pages of the site as links on a deck's page see them: what is shown in the deck is led to there.
impl Pages {
    fn within(&self, deck: &str, lessons: &BTreeMap<String, BTreeMap<String, String>>) -> Self {
        let mut pages = self.clone();
        for (lesson, sections) in lessons {
            pages.lead_lesson_to(lesson, deck, sections);
        }
        pages
    }
}
