//! The page of a lesson.

use super::downloads::DownloadLink;
use super::pages::PageAddress;
use super::reading::ProseWalker;
use super::tree::{PageBlock, PageInline, PageLink, PageSection};
use super::{PageHead, Site, glossary};
use crate::pieces::tree::{Lesson, Trees, words};
use schemars::JsonSchema;
use serde::Serialize;

/// What `lesson.html` is given.
#[derive(Serialize, JsonSchema)]
pub(in crate::pieces) struct LessonPage<'p> {
    #[serde(flatten)]
    head: PageHead<'p>,
    lesson: LessonOnPage,
    /// How many lessons there are.
    count: usize,
    /// The lesson before; null on the first one's page.
    before: Option<PageLink>,
    /// The lesson after; null on the last one's page.
    after: Option<PageLink>,
    /// The lesson's handout, to take away.
    handout: Option<DownloadLink>,
}

/// A lesson as its page shows it. Who presents it is not told: the page is for anyone.
#[derive(Serialize, JsonSchema)]
pub(super) struct LessonOnPage {
    /// The name of its file without the ending.
    id: String,
    /// Its number in the syllabus, from 1.
    number: Option<usize>,
    /// How long it takes, as the syllabus says; null where it is not in the syllabus.
    minutes: Option<u32>,
    title: Vec<PageInline>,
    /// What stands before the first section.
    pub opening: Vec<PageBlock>,
    pub sections: Vec<PageSection>,
    /// The blocks of each foot note; note 1 is the first.
    notes: Vec<Vec<PageBlock>>,
    /// The language of the lesson, where an edition has it in another than its own.
    language: Option<String>,
}

impl Site<'_> {
    pub(super) fn lesson_pages(&mut self) {
        let trees = Trees::new(self.understood);
        let lessons: Vec<Lesson> =
            self.understood.content.lessons.iter().map(|lesson| trees.lesson(lesson)).collect();
        for (at, lesson) in lessons.iter().enumerate() {
            let page = PageAddress::of_lesson(&lesson.id);
            let title = words(&lesson.title);
            let neighbor = |at: Option<usize>| {
                let lesson = lessons.get(at?)?;
                let path = PageAddress::of_lesson(&lesson.id).path;
                Some(PageLink { title: words(&lesson.title), href: page.link_to(&path, None) })
            };
            let handout = self.downloads.iter().find(|download| download.is_handout_of(&lesson.id));
            let terms = glossary::terms(&self.understood.content.settings.glossary);
            let mut reader =
                ProseWalker::new(self.pages, &page).with_terms(terms).with_sources(self.understood);
            let read = on_page(lesson.clone(), &mut reader);
            self.keep(reader, title.clone());
            self.index_lesson(&page, &title, &read);
            let data = LessonPage {
                head: self.head(&page, &title),
                lesson: read,
                count: lessons.len(),
                before: neighbor(at.checked_sub(1)),
                after: neighbor(Some(at + 1)),
                handout: handout.map(|download| download.data(&page)),
            };
            self.page(&page, "lesson.html", &data);
        }
    }
}

fn on_page(lesson: Lesson, reader: &mut ProseWalker) -> LessonOnPage {
    let title = reader.read(lesson.title);
    let opening = reader.read_blocks(lesson.opening);
    let sections = lesson.sections.into_iter().map(|section| reader.section(section)).collect();
    LessonOnPage {
        id: lesson.id,
        number: lesson.number,
        minutes: lesson.minutes,
        title,
        opening,
        sections,
        notes: reader.notes.clone(),
        language: lesson.language,
    }
}
