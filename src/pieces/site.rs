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
//! | [`reading`] | a lesson's tree → a page's tree: links, quotes, foot notes |
//! | [`facts`] | the facts page |
//! | [`slides`] | the deck for a browser |
//! | [`downloads`] | the printed pieces that pages link to |
//! | [`check`] | the page that checks a certificate |
//! | [`self_check`], [`figure_key`] | the questions with their answers, for whoever wants to try |
//! | [`answers`] | the form for answers that are sent in |
//! | [`questions`] | a question as both of them ask it |
//! | [`glossary`] | words of the trade, and where lessons use them first |
//! | [`search`], [`sitemap`] | what finds pages |
//! | [`editions`] | the same page in other languages |
//! | [`pages`], [`address`] | where pages stand, and what may stand in a link |

mod address;
mod answers;
mod check;
mod downloads;
mod editions;
mod facts;
mod figure_key;
mod glossary;
mod pages;
mod questions;
mod reading;
mod search;
mod self_check;
mod sitemap;
mod slides;

use super::tree::{Trees, words};
use super::{Selection, common, drawings};
use crate::imposition::Reading;
use crate::job::{Job, Make, Original, Piece, Shelf};
use crate::program::{Fact, PictureFile};
use crate::understand::Understood;
use downloads::Download;
use facts::FactsPage;
use glossary::Use;
use pages::{PageAddress, Pages};
use reading::{ProseWalker, Quote};
use serde_json::{Map, Value, json};
use std::collections::{BTreeMap, BTreeSet};

/// The site's folder on the open shelf.
const FOLDER: &str = "site";
const FRONT_PAGE: &str = "index.html";
const FACTS_PAGE: &str = "facts.html";
/// So that a page stays below 100 kB: a fact with its quotes takes about one.
const FACTS_ON_A_PAGE: usize = 75;
const STYLE_SHEET: &str = "site.css";

/// The drawings and pages of one edition's site; `offered` is what can be taken away beside it.
pub fn plan(understood: &Understood, selection: &Selection, offered: &[&Job]) -> Vec<Job> {
    let content = understood.content;
    let mut pages = Pages::default();
    for lesson in &content.lessons {
        pages.add_lesson(&lesson.id, lesson.sections.iter().map(|section| section.id.as_str()));
    }
    for (page, facts) in facts_pages(&content.facts) {
        facts.iter().for_each(|fact| pages.add_fact(&fact.name, &page));
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
        titles: BTreeMap::new(),
        quotes: Vec::new(),
        uses: Vec::new(),
        pictures: BTreeSet::new(),
        found: Vec::new(),
    };
    site.front_page();
    site.lesson_pages();
    site.glossary_page();
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
    titles: BTreeMap<String, String>,
    quotes: Vec<Quote>,
    /// Where lessons use the terms of the glossary first.
    uses: Vec<Use>,
    pictures: BTreeSet<String>,
    /// What search finds.
    found: Vec<search::Entry>,
}

impl Site<'_> {
    fn front_page(&mut self) {
        let page = PageAddress::new(FRONT_PAGE);
        let settings = &self.understood.content.settings;
        let trees = Trees::new(self.understood);
        let mut reader = ProseWalker::new(self.pages, &page);
        let summary = settings.summary.as_ref().map(|prose| reader.read(trees.inlines(&prose.inlines)));
        let lessons: Vec<Value> = self
            .understood
            .content
            .lessons
            .iter()
            .map(|lesson| {
                let lesson = trees.lesson(lesson);
                let id = lesson["id"].as_str().unwrap_or_default();
                json!({
                    "title": words(&lesson["title"]),
                    "language": lesson["language"],
                    "minutes": lesson["minutes"],
                    "href": page.link_to(&PageAddress::of_lesson(id).path, None),
                })
            })
            .collect();
        let minutes: u64 = lessons.iter().filter_map(|lesson| lesson["minutes"].as_u64()).sum();
        let downloads: Vec<Value> = self.downloads.iter().map(|download| download.data(&page)).collect();
        let notes = reader.notes.clone();
        self.keep(reader, settings.name.clone());
        let mut data = self.head(&page, &settings.name);
        data.insert("summary".into(), summary.into());
        data.insert("notes".into(), notes.into());
        data.insert("lessons".into(), lessons.into());
        data.insert("minutes".into(), minutes.into());
        data.insert("downloads".into(), downloads.into());
        data.insert("decks".into(), slides::list(self, &page));
        self.page(&page, "index.html", data);
    }

    fn lesson_pages(&mut self) {
        let trees = Trees::new(self.understood);
        let lessons: Vec<Value> =
            self.understood.content.lessons.iter().map(|lesson| trees.lesson(lesson)).collect();
        for (at, lesson) in lessons.iter().enumerate() {
            let id = lesson["id"].as_str().unwrap_or_default();
            let page = PageAddress::of_lesson(id);
            let title = words(&lesson["title"]);
            let neighbor = |at: Option<usize>| {
                let lesson = lessons.get(at?)?;
                let path = PageAddress::of_lesson(lesson["id"].as_str().unwrap_or_default()).path;
                Some(json!({"title": words(&lesson["title"]), "href": page.link_to(&path, None)}))
            };
            let handout = self.downloads.iter().find(|download| download.is_handout_of(id));
            let terms = glossary::terms(&self.understood.content.settings.glossary);
            let mut reader = ProseWalker::new(self.pages, &page).with_terms(terms);
            let mut read = lesson_data(lesson.clone(), &mut reader);
            read["language"] = self.language_of(id).into();
            self.keep(reader, title.clone());
            self.index_lesson(&page, &title, &read);
            let mut data = self.head(&page, &title);
            data.insert("lesson".into(), read);
            data.insert("count".into(), lessons.len().into());
            data.insert("before".into(), neighbor(at.checked_sub(1)).into());
            data.insert("after".into(), neighbor(Some(at + 1)).into());
            data.insert("handout".into(), handout.map(|download| download.data(&page)).into());
            self.page(&page, "lesson.html", data);
        }
    }

    fn facts_pages(&mut self) {
        let all = facts_pages(&self.understood.content.facts);
        for (at, (path, facts)) in all.iter().enumerate() {
            let page = PageAddress::new(path);
            let told = FactsPage {
                understood: self.understood,
                page: &page,
                pages: self.pages,
                titles: &self.titles,
                quotes: &self.quotes,
                downloads: self.downloads,
            };
            let (told, list) = (told.data(facts), told.list());
            let neighbor = |at: Option<usize>| Some(page.link_to(&all.get(at?)?.0, None));
            let mut data = self.head(&page, &self.understood.content.settings.name);
            data.insert("facts".into(), told);
            data.insert("list".into(), list);
            data.insert("number".into(), (at + 1).into());
            data.insert("count".into(), all.len().into());
            data.insert("before".into(), neighbor(at.checked_sub(1)).into());
            data.insert("after".into(), neighbor(Some(at + 1)).into());
            self.page(&page, "facts.html", data);
        }
    }

    fn check_page(&mut self) {
        let page = PageAddress::new(check::PAGE);
        let mut data = self.head(&page, &self.understood.content.settings.name);
        data.extend(check::data(&self.understood.root.people.register));
        data.insert("script".into(), page.link_to(check::SCRIPT, None).into());
        self.page(&page, check::PAGE, data);
        let script = Original::Theme(format!("pages/{}", check::SCRIPT));
        self.job(check::SCRIPT, Make::Copy { of: script });
    }

    /// The files that pages need beside them. The drawings of series are jobs of their own.
    fn companions(&mut self) {
        let style = Make::Page { template: STYLE_SHEET.into(), data: json!({}) };
        self.job(STYLE_SHEET, style);
        for file in std::mem::take(&mut self.pictures) {
            if let Some(path) = self.pages.picture(&file) {
                self.job(path, Make::Copy { of: Original::Program(file.clone()) });
            }
        }
    }

    /// What every page shows: the program, whom to call, and the way to the other pages.
    fn head(&self, page: &PageAddress, title: &str) -> Map<String, Value> {
        let mut head = common::head(self.understood, self.selection, title);
        let program = head.get_mut("program").map(Value::take).unwrap_or_default();
        let contacts = program["contacts"].as_array().cloned().unwrap_or_default();
        let language = program["language"].as_str().unwrap_or_default();
        let direction = match Reading::of(language) {
            Reading::LeftToRight => "ltr",
            Reading::RightToLeft => "rtl",
        };
        let page = json!({
            "here": here_name(&page.path),
            "language": program["language"],
            "direction": direction,
            "front": page.link_to(FRONT_PAGE, None),
            "facts": page.link_to(FACTS_PAGE, None),
            "slides": page.link_to(&slides::address(None).path, None),
            "glossary": self.has_glossary().then(|| page.link_to(glossary::PAGE, None)),
            "self_check": self.has_self_check().then(|| page.link_to(self_check::PAGE, None)),
            "answers": self.has_answer_form().then(|| page.link_to(answers::PAGE, None)),
            "check": page.link_to(check::PAGE, None),
            "search": page.link_to(search::PAGE, None),
            "canonical": self.base().map(|base| address::whole(&base, &page.path)),
            "editions": self.editions(page),
            "style": page.link_to(STYLE_SHEET, None),
        });
        let (emergency, contacts): (Vec<Value>, Vec<Value>) =
            contacts.into_iter().map(reachable).partition(|contact| contact["emergency"] == true);
        let program = json!({
            "language": program["language"], "name": program["name"], "agency": program["agency"], "season": program["season"],
            "emergency": emergency,
            "contacts": contacts,
        });
        Map::from_iter([
            ("title".to_owned(), title.into()),
            ("program".to_owned(), program),
            ("page".to_owned(), page),
        ])
    }

    /// The language of a lesson, where an edition has it in another one than its own.
    fn language_of(&self, lesson: &str) -> Option<&str> {
        let content = self.understood.content;
        let language = content.language_of(&self.understood.lesson(lesson)?.file);
        Some(language).filter(|language| *language != content.settings.language)
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

    fn page(&mut self, page: &PageAddress, template: &str, data: Map<String, Value>) {
        self.job(&page.path, Make::Page { template: template.into(), data: data.into() });
    }

    fn job(&mut self, path: &str, make: Make) {
        let path = format!("{FOLDER}/{path}");
        self.jobs.push(Job { piece: Piece::Site, shelf: Shelf::Open, path, make });
    }
}

/// Which entry of the way between pages is the reader's own page.
fn here_name(path: &str) -> &'static str {
    match path {
        FRONT_PAGE => "front",
        check::PAGE => "check",
        glossary::PAGE => "glossary",
        self_check::PAGE => "self_check",
        answers::PAGE => "answers",
        search::PAGE => "search",
        path if path.contains('/') => "lesson",
        _ => "facts",
    }
}

/// The theme's words for a page that has no title of the program's: `self_check`.
fn named_by_theme(path: &str) -> Option<&'static str> {
    Some(here_name(path)).filter(|name| matches!(*name, "self_check" | "answers" | "glossary"))
}

/// The facts in even shares, with the path of the page that tells of each share. There is always
/// a first page.
fn facts_pages(facts: &[Fact]) -> Vec<(String, &[Fact])> {
    let count = facts.len().div_ceil(FACTS_ON_A_PAGE).max(1);
    let share = facts.len().div_ceil(count).max(1);
    let mut shares: Vec<&[Fact]> = facts.chunks(share).collect();
    shares.resize(count, &[]);
    let path = |number: usize| match number {
        1 => FACTS_PAGE.to_owned(),
        _ => format!("facts-{number}.html"),
    };
    shares.into_iter().enumerate().map(|(at, share)| (path(at + 1), share)).collect()
}

/// A lesson as its page shows it. Who presents it is not told: the page is for anyone.
fn lesson_data(mut lesson: Value, reader: &mut ProseWalker) -> Value {
    let title = reader.read(lesson["title"].take());
    let opening = reader.read(lesson["opening"].take());
    let sections: Vec<Value> = match lesson["sections"].take() {
        Value::Array(sections) => sections.into_iter().map(|section| reader.section(section)).collect(),
        _ => Vec::new(),
    };
    json!({
        "id": lesson["id"].take(),
        "number": lesson["number"].take(),
        "minutes": lesson["minutes"].take(),
        "title": title,
        "opening": opening,
        "sections": sections,
        "notes": reader.notes,
    })
}

/// A contact with the links that call and write to it.
fn reachable(mut contact: Value) -> Value {
    contact["call"] = contact["phone"].as_str().and_then(address::call_to).into();
    contact["write"] = contact["email"].as_str().and_then(address::letter_to).into();
    contact
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
