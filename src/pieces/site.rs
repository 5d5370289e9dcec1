//! The site: static pages for the open shelf that need no server and no network. What they say can be read
//! without a script; scripts check answers and certificates, prepare a letter and search.
//!
//! One page a lesson, the facts on as few as stay light, and a front page. The plan gives each page the data of its
//! template in the theme's `pages/`: trees of prose in which every link is already an address
//! relative to that page. What is in the data may be shown to anyone; what only the presenter needs
//! is not in it.
//!
//! | file | holds |
//! | --- | --- |
//! | [`head`] | what every page is given |
//! | [`lesson_page`] | the page of a lesson |
//! | [`route`] | the lessons as the front page leads along them |
//! | [`tree`] | what stands on a page |
//! | [`reading`] | a lesson's tree → a page's tree: links, quotes, foot notes |
//! | [`facts`], [`by_lesson`] | the facts page, and which lesson each fact stands with |
//! | [`slides`] | the deck for a browser |
//! | [`downloads`] | the printed pieces that pages link to |
//! | [`check`] | the page that checks a certificate |
//! | [`self_check`], [`figure_key`] | the questions with their answers, for whoever wants to try |
//! | [`answers`] | the form for answers that are sent in |
//! | [`questions`] | a question as both of them ask it |
//! | [`glossary`] | words of the trade, and where lessons use them first |
//! | [`workshops`] | when and where workshops are, and calendars of them |
//! | [`search`], [`sitemap`] | what finds pages |
//! | [`editions`] | the same page in other languages |
//! | [`pages`], [`address`] | where pages stand, and what may stand in a link |

mod address;
mod answers;
mod by_lesson;
mod check;
mod downloads;
mod editions;
mod facts;
mod figure_key;
mod glossary;
mod head;
mod lesson_page;
mod pages;
mod questions;
mod reading;
mod route;
mod search;
mod self_check;
mod sitemap;
mod slides;
mod tree;
mod workshops;

use super::tree::Trees;
use super::{Selection, drawings};
use crate::job::{self, Job, Make, Original, Piece, Shelf};
use crate::program::PictureFile;
use crate::understand::Understood;
pub(super) use answers::AnswersPage;
pub(super) use check::CheckPage;
pub(super) use facts::FactsTold;
pub(super) use glossary::GlossaryPage;
pub(super) use lesson_page::LessonPage;
pub(super) use search::SearchPage;
pub(super) use self_check::SelfCheckPage;
pub(super) use slides::SlidesPage;
pub(super) use workshops::WorkshopsPage;

use by_lesson::{ByLesson, FactsOfPage};
use downloads::{Download, DownloadLink};
use facts::FactsPage;
use glossary::Use;
use head::PageHead;
use pages::{PageAddress, Pages};
use reading::{ProseWalker, Quote};
use route::LessonLink;
use schemars::JsonSchema;
use serde::Serialize;
use slides::DeckLink;
use std::collections::{BTreeMap, BTreeSet};
use tree::{PageBlock, PageInline};

/// The site's folder on the open shelf.
const FOLDER: &str = "site";
const FRONT_PAGE: &str = "index.html";
const FACTS_PAGE: &str = "facts.html";
const FACTS_SCRIPT: &str = "facts.js";
const STYLE_SHEET: &str = "site.css";

/// What `index.html` is given.
#[derive(Serialize, JsonSchema)]
pub(super) struct FrontPage<'p> {
    #[serde(flatten)]
    head: PageHead<'p>,
    /// What the program says of itself; null where it says nothing.
    summary: Option<Vec<PageInline>>,
    /// The blocks of each foot note; note 1 is the first.
    notes: Vec<Vec<PageBlock>>,
    /// In the order of the syllabus.
    lessons: Vec<LessonLink>,
    /// Of all lessons.
    minutes: u32,
    /// What lies beside the site, to take away.
    downloads: Vec<DownloadLink>,
    decks: Vec<DeckLink<'p>>,
}

/// A style sheet is given nothing but the theme's words and inks.
#[derive(Serialize, JsonSchema)]
pub(super) struct StyleSheet {}

/// The drawings and pages of one edition's site; `offered` is what can be taken away beside it.
pub fn plan(understood: &Understood, selection: &Selection, offered: &[&Job]) -> Vec<Job> {
    let content = understood.content;
    let mut pages = Pages::default();
    for lesson in &content.lessons {
        pages.add_lesson(&lesson.id, lesson.sections.iter().map(|section| section.id.as_str()));
    }
    let facts = by_lesson::pages(content);
    for FactsOfPage { path, groups } in &facts {
        groups.iter().flat_map(|group| &group.facts).for_each(|fact| pages.add_fact(&fact.name, path));
    }
    for (file, _) in content.pictures.iter().filter(|(_, found)| **found == PictureFile::Sound) {
        if let Some(path) = picture_path(file) {
            pages.add_picture(file, path);
        }
    }
    let downloads = downloads::gather(offered);
    let mut site = Site {
        understood,
        selection,
        pages: &pages,
        downloads: &downloads,
        jobs: drawings::plan(understood, selection),
        facts,
        titles: BTreeMap::new(),
        quotes: Vec::new(),
        uses: Vec::new(),
        pictures: BTreeSet::new(),
        found: Vec::new(),
    };
    site.front_page();
    site.lesson_pages();
    site.glossary_page();
    site.workshops_page();
    site.self_check();
    site.answer_form();
    site.facts_pages();
    site.slides();
    site.check_page();
    site.search();
    site.companions();
    site.sitemap();
    site.jobs
}

/// The site while it is planned: its jobs, and what later pages must know of earlier ones.
struct Site<'u> {
    understood: &'u Understood<'u>,
    selection: &'u Selection,
    pages: &'u Pages,
    downloads: &'u [Download],
    jobs: Vec<Job>,
    /// What each page of facts tells of.
    facts: Vec<FactsOfPage<'u>>,
    titles: BTreeMap<String, String>,
    quotes: Vec<Quote>,
    /// Where lessons use the terms of the glossary first.
    uses: Vec<Use>,
    pictures: BTreeSet<String>,
    /// What search finds.
    found: Vec<search::Entry>,
}

impl<'u> Site<'u> {
    fn front_page(&mut self) {
        let page = PageAddress::new(FRONT_PAGE);
        let settings = &self.understood.content.settings;
        let trees = Trees::new(self.understood);
        let mut reader = ProseWalker::new(self.pages, &page);
        let summary = settings.summary.as_ref().map(|prose| reader.read(trees.inlines(&prose.inlines)));
        let lessons = route::lessons(self.understood, self.pages, &page);
        let notes = reader.notes.clone();
        self.keep(reader, settings.name.clone());
        let data = FrontPage {
            head: self.head(&page, &settings.name),
            summary,
            notes,
            minutes: lessons.iter().filter_map(|lesson| lesson.minutes).sum(),
            lessons,
            downloads: self.downloads.iter().map(|download| download.data(&page)).collect(),
            decks: slides::list(self.understood, &page),
        };
        self.page(&page, "index.html", &data);
    }

    fn facts_pages(&mut self) {
        let all = std::mem::take(&mut self.facts);
        // These pages are the last that ask for them.
        let (titles, quotes) = (std::mem::take(&mut self.titles), std::mem::take(&mut self.quotes));
        for (at, FactsOfPage { path, groups }) in all.iter().enumerate() {
            let page = PageAddress::new(path);
            let told = FactsPage {
                understood: self.understood,
                page: &page,
                pages: self.pages,
                titles: &titles,
                quotes: &quotes,
                downloads: self.downloads,
            };
            let groups = groups.iter().map(|ByLesson { lesson, facts }| told.group(*lesson, facts)).collect();
            let neighbor = |at: Option<usize>| Some(page.link_to(&all.get(at?)?.path, None));
            let data = FactsTold {
                head: self.head(&page, &self.understood.content.settings.name),
                groups,
                list: told.list(),
                script: page.link_to(FACTS_SCRIPT, None),
                number: at + 1,
                count: all.len(),
                before: neighbor(at.checked_sub(1)),
                after: neighbor(Some(at + 1)),
            };
            self.page(&page, "facts.html", &data);
        }
        self.job(FACTS_SCRIPT, Make::Copy { of: Original::Theme(format!("pages/{FACTS_SCRIPT}")) });
    }

    fn check_page(&mut self) {
        let page = PageAddress::new(check::PAGE);
        let head = self.head(&page, &self.understood.content.settings.name);
        let script = page.link_to(check::SCRIPT, None);
        let data = check::data(head, &self.understood.root.people.register, script);
        self.page(&page, check::PAGE, &data);
        let script = Original::Theme(format!("pages/{}", check::SCRIPT));
        self.job(check::SCRIPT, Make::Copy { of: script });
    }

    /// The files that pages need beside them. The drawings of series are jobs of their own.
    fn companions(&mut self) {
        self.style_sheet(STYLE_SHEET);
        for face in &self.selection.faces {
            let path = face.strip_prefix("pages/").unwrap_or(face);
            self.job(path, Make::Copy { of: Original::Theme(face.clone()) });
        }
        for file in std::mem::take(&mut self.pictures) {
            if let Some(path) = self.pages.picture(&file) {
                self.job(path, Make::Copy { of: Original::Program(file.clone()) });
            }
        }
    }

    /// What the theme calls something.
    fn word(&self, table: &str, key: &str) -> String {
        let words = self.selection.words.of(&self.understood.content.settings.language);
        words[table][key].as_str().unwrap_or_default().to_owned()
    }

    fn keep(&mut self, reader: ProseWalker, title: String) {
        self.titles.insert(reader.page_path().to_owned(), title);
        self.quotes.extend(reader.quotes);
        self.uses.extend(reader.uses);
        self.pictures.extend(reader.pictures);
    }

    fn page(&mut self, page: &PageAddress, template: &str, model: &impl Serialize) {
        self.job(&page.path, Make::Page { template: template.into(), data: job::data(model) });
    }

    fn style_sheet(&mut self, name: &str) {
        self.job(name, Make::Page { template: name.into(), data: job::data(&StyleSheet {}) });
    }

    fn job(&mut self, path: &str, make: Make) {
        let path = format!("{FOLDER}/{path}");
        self.jobs.push(Job { piece: Piece::Site, shelf: Shelf::Open, path, make });
    }
}

/// A path below the open shelf as a relative link writes it.
pub(super) fn encoded_path(path: &str) -> String {
    address::encoded_path(path)
}

/// The address on the web of the page that checks certificates; `base` is that of the site's folder.
pub fn check_page_at(base: &str) -> String {
    address::whole(base, check::PAGE)
}

/// Which entry of the way between pages is the reader's own page.
fn here_name(path: &str) -> &'static str {
    match path {
        FRONT_PAGE => "front",
        check::PAGE => "check",
        glossary::PAGE => "glossary",
        workshops::PAGE => "workshops",
        self_check::PAGE => "self_check",
        answers::PAGE => "answers",
        search::PAGE => "search",
        path if path.contains('/') => "lesson",
        _ => "facts",
    }
}

/// The theme's words for a page that has no title of the program's: `self_check`.
fn named_by_theme(path: &str) -> Option<&'static str> {
    Some(here_name(path)).filter(|name| matches!(*name, "self_check" | "answers" | "glossary" | "workshops"))
}

/// Where a picture of the program stands below the site; `None` for a path that leaves the program's
/// folder, which the reader has told of.
fn picture_path(file: &str) -> Option<String> {
    let inside = |part: &str| !matches!(part, "" | "." | "..") && !part.contains(['\\', '\0', ':']);
    if !file.split('/').all(inside) {
        return None;
    }
    let elsewhere = if file.starts_with("pictures/") { "" } else { "pictures/elsewhere/" };
    Some(format!("{elsewhere}{file}"))
}

/// Where a drawing of a series stands below the site.
fn drawing_path(fact: &str, form: drawings::Form) -> String {
    let path = drawings::path(fact, form);
    path.strip_prefix(FOLDER).and_then(|rest| rest.strip_prefix('/')).unwrap_or(&path).to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_stays_inside_the_site() {
        assert_eq!(picture_path("pictures/a b.svg").as_deref(), Some("pictures/a b.svg"));
        assert_eq!(picture_path("maps/basin.png").as_deref(), Some("pictures/elsewhere/maps/basin.png"));
        for path in
            ["../secret.png", "pictures/../../x.png", "/etc/x.png", "pictures\\..\\x.png", "c:/x.png", ""]
        {
            assert_eq!(picture_path(path), None, "{path}");
        }
    }
}
