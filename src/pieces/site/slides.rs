//! The deck for a browser: one page with all slides, for the program and for each event.
//!
//! The slides are those of [`crate::pieces::slides`]. Beside each stand the presenter's notes and, on an
//! event's page, its lessons on the clock, for the presenter's window. Pictures, drawings and the way to
//! the facts are the site's own, so the page is read by the same [`ProseWalker`].

use super::pages::{PageAddress, Pages};
use super::reading::ProseWalker;
use super::tree::{PageBlock, PageInline, PageSection};
use super::{PageHead, Site};
use crate::job::{Make, Original, file_name};
use crate::pieces::common::{self, SendTo};
use crate::pieces::slides::{Part, Slide, Slides, SlidesOfLesson};
use crate::pieces::tree::{Block, Trees};
use crate::pieces::{agenda, presenters_copy};
use crate::program::lesson::{Lesson, Section};
use crate::program::settings::Event;
use crate::understand::Understood;
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;
use std::sync::Arc;

pub const STYLE_SHEET: &str = "slides.css";
pub const SCRIPT: &str = "slides.js";

/// What `slides.html` is given.
#[derive(Serialize, JsonSchema)]
pub(in crate::pieces) struct SlidesPage<'p> {
    #[serde(flatten)]
    head: PageHead<'p>,
    /// The event whose deck it is; null for that of the whole program.
    event: Option<DeckEvent<'p>>,
    lessons: Vec<LessonOnSlides>,
    /// Whether asks are pauses.
    by_video: bool,
    /// Who takes answers that come in by mail; null where nobody does.
    send_to: Option<SendTo<'p>>,
    /// The address of the style sheet.
    style: String,
    /// The address of the script.
    script: String,
}

/// The event whose deck it is.
#[derive(Serialize, JsonSchema)]
struct DeckEvent<'p> {
    name: &'p str,
    /// Where it is held; of a workshop by video, how to come in.
    place: &'p str,
    /// The clock time at which it starts: 09:15.
    start: String,
}

/// A lesson's own slide and those of its sections.
#[derive(Serialize, JsonSchema)]
struct LessonOnSlides {
    id: String,
    /// The language of the lesson, where an edition has it in another than its own.
    language: Option<String>,
    title: Vec<PageInline>,
    /// The title in plain words.
    title_text: String,
    /// Its place in this deck, from 1.
    turn: usize,
    /// How long it takes, as the syllabus says; null where it is not in the syllabus.
    minutes: Option<u32>,
    /// When it is given; null in the deck of the whole program.
    clock: Option<OnTheClock>,
    /// What the presenter says, asks, brings and tries.
    script: Vec<PageBlock>,
    slides: Vec<SlideOnPage>,
}

/// When a lesson is given, in clock times: 09:15.
#[derive(Serialize, JsonSchema)]
struct OnTheClock {
    from: String,
    to: String,
}

/// A slide of a section.
#[derive(Serialize, JsonSchema)]
struct SlideOnPage {
    #[serde(flatten)]
    section: PageSection,
    /// Which of several it is; null where the section has one slide, and for a pause.
    part: Option<Part>,
    /// Whether it is an ask to stop at.
    pause: bool,
    /// What the presenter says, asks, brings and tries: it stands with the first slide of the section.
    script: Vec<PageBlock>,
}

/// A deck for a browser.
#[derive(Serialize, JsonSchema)]
pub struct DeckLink<'p> {
    /// Relative to this page.
    href: String,
    /// The name of the event; null for the deck of the whole program.
    event: Option<&'p str>,
}

/// The page of a deck: of an event, or of the whole program.
pub fn address(event: Option<&Event>) -> PageAddress {
    PageAddress::new(match event {
        Some(event) => format!("slides/{}.html", file_name::of_id(&event.id)),
        None => "slides.html".into(),
    })
}

impl<'u> Site<'u> {
    pub(super) fn slides(&mut self) {
        self.deck(None);
        for event in &self.understood.content.settings.events {
            self.deck(Some(event));
        }
        self.style_sheet(STYLE_SHEET);
        self.job(SCRIPT, Make::Copy { of: Original::Theme(format!("pages/{SCRIPT}")) });
    }

    fn deck(&mut self, event: Option<&'u Event>) {
        let settings = &self.understood.content.settings;
        let page = address(event);
        let understood = event.map_or(self.understood, |event| self.understood.at(&event.id));
        let Slides { data: lessons, by_video, .. } = Slides::new(understood, event);
        let ids = Ids::new(&lessons);
        let pages = self.pages.within(&page.path, &ids.lessons);
        let title = event.map_or(settings.name.as_str(), |event| event.name.as_str()).to_owned();
        let mut reader = ProseWalker::new(&pages, &page).with_the_presenters_cues();
        let notes = Notes { trees: Trees::new(understood), lessons: &understood.content.lessons };
        let lessons = lessons.into_iter();
        let lessons =
            lessons.map(|lesson| self.slides_of(lesson, event, &ids, &notes, &mut reader)).collect();
        self.pictures.extend(reader.pictures);
        let data = SlidesPage {
            head: self.head(&page, &title),
            event: event.map(event_data),
            lessons,
            by_video,
            send_to: common::answers_go_to(settings),
            style: page.link_to(STYLE_SHEET, None),
            script: page.link_to(SCRIPT, None),
        };
        self.page(&page, "slides.html", &data);
    }

    fn slides_of(
        &self,
        SlidesOfLesson { lesson, turn, .. }: SlidesOfLesson,
        event: Option<&Event>,
        ids: &Ids,
        notes: &Notes,
        reader: &mut ProseWalker,
    ) -> LessonOnSlides {
        let slot = event.and_then(|event| {
            let slots = agenda::slots(self.understood.content, event);
            slots.into_iter().find(|slot| slot.lesson.id == lesson.id)
        });
        let clock =
            slot.map(|slot| OnTheClock { from: agenda::clock(slot.from), to: agenda::clock(slot.to) });
        // In the order of the sections first, by which quotes are numbered.
        let slides = lesson.sections.into_iter().map(|slide| {
            let Slide { section, first, part, pause, slide, fit: _ } = slide;
            // The script of a section stands with its first slide; the others go on with it.
            let script = if first { notes.of(&lesson.id, &section.id) } else { Vec::new() };
            let id = ids.of(&lesson.id, &section.id, slide);
            let section = PageSection { id, ..reader.section(section) };
            SlideOnPage { section, part, pause, script: reader.read_blocks(script) }
        });
        let slides = slides.collect();
        LessonOnSlides {
            language: lesson.language,
            title: reader.read(lesson.title),
            title_text: lesson.title_text,
            turn,
            minutes: lesson.minutes,
            clock,
            script: reader.read_blocks(notes.opening(&lesson.id)),
            slides,
            id: lesson.id,
        }
    }
}

fn event_data(event: &Event) -> DeckEvent<'_> {
    DeckEvent { name: &event.name, place: &event.venue, start: agenda::clock(event.start) }
}

/// The address of each slide: the section's name, with the lesson's before it where two lessons have a
/// section of one name, and with a number where a section has several slides.
struct Ids {
    /// By lesson and section.
    sections: BTreeMap<(String, String), (String, usize)>,
    /// For links: the sections of each lesson by the names that they have in it, and here.
    lessons: BTreeMap<String, BTreeMap<String, String>>,
}

impl Ids {
    fn new(lessons: &[SlidesOfLesson]) -> Self {
        let mut first: Vec<(String, String, usize)> = Vec::new();
        for SlidesOfLesson { lesson, .. } in lessons {
            for slide in lesson.sections.iter().filter(|slide| slide.first) {
                first.push((lesson.id.clone(), slide.section.id.clone(), slide.slide));
            }
        }
        let is_taken = |name: &str| {
            let lesson = lessons.iter().any(|lesson| lesson.lesson.id == name);
            lesson || first.iter().filter(|(_, section, _)| section == name).count() > 1
        };
        let mut ids = Self { sections: BTreeMap::new(), lessons: BTreeMap::new() };
        for SlidesOfLesson { lesson, .. } in lessons {
            ids.lessons.insert(lesson.id.clone(), BTreeMap::new());
        }
        for (lesson, section, number) in &first {
            let id = if is_taken(section) { format!("{lesson}.{section}") } else { section.clone() };
            ids.lessons.entry(lesson.clone()).or_default().insert(section.clone(), id.clone());
            ids.sections.insert((lesson.clone(), section.clone()), (id, *number));
        }
        ids
    }

    fn of(&self, lesson: &str, section: &str, slide: usize) -> String {
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

    fn opening(&self, lesson: &str) -> Vec<Block> {
        let Some(lesson) = self.lesson(lesson) else { return Vec::new() };
        self.trees.blocks(&presenters_copy::cues(&lesson.opening), &lesson.id)
    }

    fn of(&self, lesson: &str, section: &str) -> Vec<Block> {
        let Some(lesson) = self.lesson(lesson) else { return Vec::new() };
        let found = lesson.sections.iter().find(|found: &&Section| found.id == section);
        let cues = found.map(|section| presenters_copy::cues(&section.blocks)).unwrap_or_default();
        self.trees.blocks(&cues, &lesson.id)
    }
}

/// The decks that the front page leads to: the program's, and each event's by its name.
pub fn list<'p>(understood: &Understood<'p>, page: &PageAddress) -> Vec<DeckLink<'p>> {
    let one = |event: Option<&'p Event>| DeckLink {
        href: page.link_to(&address(event).path, None),
        event: event.map(|event| event.name.as_str()),
    };
    std::iter::once(None).chain(understood.content.settings.events.iter().map(Some)).map(one).collect()
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
