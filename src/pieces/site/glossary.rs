//! The glossary's page: each term, what it means, the lesson that tells more, and where lessons use it first.

use super::pages::PageAddress;
use super::reading::ProseWalker;
use super::search::Entry;
use super::tree::{PageBlock, PageInline, PageLink};
use super::{PageHead, Site, search};
use crate::pieces::terms::{key, wanted};
use crate::pieces::tree::Trees;
use crate::program::settings::Term;
use crate::understand::plain_text;
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeSet;

pub const PAGE: &str = "glossary.html";

/// What `glossary.html` is given.
#[derive(Serialize, JsonSchema)]
pub(in crate::pieces) struct GlossaryPage<'p> {
    #[serde(flatten)]
    head: PageHead<'p>,
    /// By the alphabet.
    terms: Vec<TermOnPage<'p>>,
    /// The blocks of each foot note; note 1 is the first.
    notes: Vec<Vec<PageBlock>>,
}

/// A term of the glossary.
#[derive(Serialize, JsonSchema)]
struct TermOnPage<'p> {
    /// Its id on this page.
    id: String,
    term: &'p str,
    meaning: Vec<PageInline>,
    /// The lesson that tells more; null where the program names none.
    lesson: Option<PageLink>,
    /// Where each lesson uses it first.
    uses: Vec<TermUse>,
}

/// A lesson's first use of a term, as the glossary leads to it.
#[derive(Serialize, JsonSchema)]
struct TermUse {
    /// Of the lesson.
    title: Option<String>,
    /// Relative to this page.
    href: String,
}

/// A lesson's first use of a term.
#[derive(Clone, Debug)]
pub struct Use {
    /// The term's id on the page of the glossary.
    pub term: String,
    /// The path of the lesson's page.
    pub page: String,
    /// The id at the place.
    pub id: String,
}

/// The terms by their words as they are looked for, and their ids.
pub fn terms(glossary: &[Term]) -> Vec<(&str, String)> {
    let ids = ids(glossary);
    let id_of = |word: &str| glossary.iter().position(|term| term.term == word).map(|at| ids[at].clone());
    let words = wanted(glossary.iter().map(|term| term.term.as_str()));
    words.into_iter().filter_map(|word| Some((word, id_of(word)?))).collect()
}

/// `term.high-line`; with a number where two terms would have the same.
fn ids(glossary: &[Term]) -> Vec<String> {
    let mut taken = BTreeSet::new();
    let id = |term: &Term| {
        let words = key(&term.term);
        let words: Vec<&str> = words.split(|letter: char| !letter.is_alphanumeric()).collect();
        let plain = format!("term.{}", words.join("-"));
        let numbered = (2..).map(|number| format!("{plain}.{number}"));
        let id = std::iter::once(plain.clone()).chain(numbered).find(|id| taken.insert(id.clone()));
        id.unwrap_or(plain)
    };
    glossary.iter().map(id).collect()
}

impl Site<'_> {
    pub(super) fn has_glossary(&self) -> bool {
        !self.understood.content.settings.glossary.is_empty()
    }

    pub(super) fn glossary_page(&mut self) {
        if !self.has_glossary() {
            return;
        }
        let page = PageAddress::new(PAGE);
        let settings = &self.understood.content.settings;
        let trees = Trees::new(self.understood);
        let mut reader = ProseWalker::new(self.pages, &page);
        let ids = ids(&settings.glossary);
        let mut terms: Vec<(&Term, String)> = settings.glossary.iter().zip(ids).collect();
        terms.sort_by_key(|(term, _)| key(&term.term));
        let told: Vec<TermOnPage> = terms
            .iter()
            .map(|(term, id)| {
                let lesson = term.lesson.as_ref().and_then(|lesson| self.understood.lesson(&lesson.text));
                let more = lesson.map(|lesson| {
                    let path = PageAddress::of_lesson(&lesson.id).path;
                    PageLink { title: plain_text(&lesson.title), href: page.link_to(&path, None) }
                });
                TermOnPage {
                    id: id.clone(),
                    term: &term.term,
                    meaning: reader.read_under(&term.term, trees.inlines(&term.meaning.inlines)),
                    lesson: more,
                    uses: self.uses_of(id, &page),
                }
            })
            .collect();
        let title = self.word("glossary", "title");
        for (term, id) in &terms {
            self.found.push(Entry {
                page: title.clone(),
                heading: term.term.clone(),
                href: PageAddress::new(search::PAGE).link_to(PAGE, Some(id)),
                text: self.understood.text_of(&term.meaning.inlines),
            });
        }
        let notes = reader.notes.clone();
        self.keep(reader, String::new());
        let data = GlossaryPage { head: self.head(&page, &settings.name), terms: told, notes };
        self.page(&page, PAGE, &data);
    }

    fn uses_of(&self, term: &str, page: &PageAddress) -> Vec<TermUse> {
        let uses = self.uses.iter().filter(|used| used.term == term);
        let told = uses.map(|used| TermUse {
            title: self.titles.get(&used.page).cloned(),
            href: page.link_to(&used.page, Some(&used.id)),
        });
        told.collect()
    }
}
