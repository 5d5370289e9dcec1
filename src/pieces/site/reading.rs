//! From the common tree of a lesson to the tree of a page.
//!
//! [`super::super::tree`] says what a passage holds; a page must know besides where each link leads,
//! under which id each quoted figure stands, and what its foot notes are. A [`ProseWalker`] walks one
//! page's prose in reading order and fills that in. What the page leaves out (what the presenter says
//! and brings) is dropped here, so that no template can show it by mistake.

mod leads;
mod table;

use super::glossary::{self, Use};
use super::pages::{PageAddress, Pages};
use crate::pieces::terms;
use crate::pieces::tree::words;
use serde_json::{Map, Value, json};
use std::collections::{BTreeMap, BTreeSet};

/// Templates walk a tree by components that call each other: at most twenty may be open at a time, and
/// each level of lists, cues or quotes takes two. Containers below this depth are opened and what they
/// hold is kept: no lesson is too deep to be made into a page.
const DEEPEST: usize = 8;

/// A place on a page that quotes a fact.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Quote {
    pub fact: String,
    /// As they are printed.
    pub words: String,
    /// The path of the page below the site.
    pub page: String,
    /// The id at the place.
    pub id: String,
    /// The heading that it stands under; `None` for what stands before the first.
    pub section: Option<String>,
}

/// Walks the prose of one page.
pub struct ProseWalker<'p> {
    pages: &'p Pages,
    page: &'p PageAddress,
    section: Option<String>,
    /// The level of the last heading, so that no level is skipped.
    level: u64,
    quoted: BTreeMap<String, usize>,
    in_link: bool,
    /// Terms of the glossary that the page has not used yet, with their ids.
    terms: Vec<(&'p str, String)>,
    /// Whether what the presenter says and brings is kept.
    for_the_presenter: bool,
    /// Marks of notes inside a link, which must stand after it: a link cannot hold a link.
    held_back: Vec<Value>,
    /// Every quote on the page, in reading order.
    pub quotes: Vec<Quote>,
    /// The first use of each term on the page.
    pub uses: Vec<Use>,
    /// The blocks of each foot note; note 1 is the first.
    pub notes: Vec<Value>,
    /// Every picture of the program that the page shows.
    pub pictures: BTreeSet<String>,
}

impl<'p> ProseWalker<'p> {
    pub fn new(pages: &'p Pages, page: &'p PageAddress) -> Self {
        Self {
            pages,
            page,
            section: None,
            level: 1,
            quoted: BTreeMap::new(),
            in_link: false,
            terms: Vec::new(),
            for_the_presenter: false,
            held_back: Vec::new(),
            quotes: Vec::new(),
            uses: Vec::new(),
            notes: Vec::new(),
            pictures: BTreeSet::new(),
        }
    }

    /// For pages on which a term of the glossary leads to its meaning where it is first used.
    pub fn with_terms(mut self, terms: Vec<(&'p str, String)>) -> Self {
        self.terms = terms;
        self
    }

    /// For pages that the presenter reads: keeps what is said and brought.
    pub fn with_the_presenters_cues(mut self) -> Self {
        self.for_the_presenter = true;
        self
    }

    pub fn page_path(&self) -> &str {
        &self.page.path
    }

    /// Prose outside sections: a title, a summary, an opening.
    pub fn read(&mut self, nodes: Value) -> Value {
        self.nodes(nodes, 1)
    }

    /// Prose under a heading that the page gives it.
    pub fn read_under(&mut self, heading: &str, nodes: Value) -> Value {
        self.section = Some(heading.to_owned());
        self.read(nodes)
    }

    /// A section of a lesson, with its heading's words beside it.
    pub fn section(&mut self, mut section: Value) -> Value {
        let heading = section["heading"].take();
        let words = words(&heading);
        self.level = 2;
        self.section = Some(words.clone());
        let heading = self.heading_words(heading, 1);
        let blocks = self.nodes(section["blocks"].take(), 1);
        let id = section["id"].take();
        let href = self.page.link_to(&self.page.path, id.as_str());
        json!({"id": id, "href": href, "heading": heading, "heading_text": words, "blocks": blocks})
    }

    fn nodes(&mut self, nodes: Value, depth: usize) -> Value {
        let mut read = Vec::new();
        self.nodes_into(nodes, depth, &mut read);
        Value::Array(read)
    }

    fn nodes_into(&mut self, nodes: Value, depth: usize, into: &mut Vec<Value>) {
        let Value::Array(nodes) = nodes else { return };
        for node in nodes {
            if let Value::Object(node) = node {
                self.node(node, depth, into);
            }
        }
    }

    fn node(&mut self, mut node: Map<String, Value>, depth: usize, into: &mut Vec<Value>) {
        match text_of(&node, "kind").as_str() {
            "cue" if !self.for_the_presenter && is_for_the_presenter(&node) => {}
            "cue" | "quote" => self.container(node, "blocks", depth, into),
            "emphasis" | "strong" | "struck" | "language" => self.container(node, "inlines", depth, into),
            "link" => self.link(node, depth, into),
            "list" => self.list(node, depth, into),
            "table" => self.table(node, depth, into),
            "heading" => self.heading(node, depth, into),
            "paragraph" => {
                take_and(&mut node, "inlines", |inlines| self.nodes(inlines, depth + 1));
                into.push(Value::Object(node));
            }
            "text" => self.text(&text_of(&node, "text"), into),
            "figure" => self.figure(node, into),
            // A slide has no foot for notes; the handbook prints them.
            "footnote" if self.for_the_presenter => {}
            "footnote" => self.note(node, into),
            "picture" => self.picture(node, into),
            "series" => self.series(node, into),
            _ => into.push(Value::Object(node)),
        }
    }

    fn container(&mut self, mut node: Map<String, Value>, key: &str, depth: usize, into: &mut Vec<Value>) {
        if depth >= DEEPEST {
            return self.nodes_into(node.remove(key).unwrap_or_default(), depth, into);
        }
        take_and(&mut node, key, |inner| self.nodes(inner, depth + 1));
        into.push(Value::Object(node));
    }

    fn list(&mut self, mut node: Map<String, Value>, depth: usize, into: &mut Vec<Value>) {
        let items = node.remove("items").unwrap_or_default();
        let Value::Array(items) = items else { return };
        if depth >= DEEPEST {
            for mut item in items {
                self.nodes_into(item["blocks"].take(), depth, into);
            }
            return;
        }
        let items: Vec<Value> = items
            .into_iter()
            .map(|mut item| {
                let blocks = self.nodes(item["blocks"].take(), depth + 1);
                json!({"task": item["task"].take(), "blocks": blocks})
            })
            .collect();
        let tasks = items.iter().any(|item| !item["task"].is_null());
        node.insert("tasks".into(), tasks.into());
        node.insert("items".into(), items.into());
        into.push(Value::Object(node));
    }

    fn heading(&mut self, mut node: Map<String, Value>, depth: usize, into: &mut Vec<Value>) {
        if node.get("inlines").is_none_or(|inlines| words(inlines).trim().is_empty()) {
            return;
        }
        let asked = node.get("level").and_then(Value::as_u64).unwrap_or(3);
        self.level = asked.min(self.level + 1).clamp(2, 6);
        node.insert("level".into(), self.level.into());
        take_and(&mut node, "inlines", |inlines| self.heading_words(inlines, depth + 1));
        into.push(Value::Object(node));
    }

    /// A heading is no place to look words up from.
    fn heading_words(&mut self, inlines: Value, depth: usize) -> Value {
        let terms = std::mem::take(&mut self.terms);
        let read = self.nodes(inlines, depth);
        self.terms = terms;
        read
    }

    /// A text, in which a term of the glossary leads to its meaning where the page uses it first.
    fn text(&mut self, text: &str, into: &mut Vec<Value>) {
        let mut rest = text;
        while !self.in_link {
            let waiting: Vec<&str> = self.terms.iter().map(|(word, _)| *word).collect();
            let Some((found, word)) = terms::next(rest, &waiting) else { break };
            let Some(at) = self.terms.iter().position(|(waits, _)| *waits == word) else { break };
            let (_, term) = self.terms.remove(at);
            if found.start > 0 {
                into.push(json!({"kind": "text", "text": rest[..found.start]}));
            }
            let id = format!("use.{term}");
            let href = self.page.link_to(glossary::PAGE, Some(&term));
            into.push(json!({"kind": "term", "id": id, "href": href, "words": rest[found.clone()]}));
            self.uses.push(Use { term, page: self.page.path.clone(), id });
            rest = &rest[found.end..];
        }
        if !rest.is_empty() {
            into.push(json!({"kind": "text", "text": rest}));
        }
    }

    fn note(&mut self, mut node: Map<String, Value>, into: &mut Vec<Value>) {
        let at = self.notes.len();
        self.notes.push(Value::Null);
        let in_link = std::mem::replace(&mut self.in_link, false);
        let held_back = std::mem::take(&mut self.held_back);
        let level = self.level;
        self.notes[at] = self.nodes(node.remove("blocks").unwrap_or_default(), 1);
        (self.in_link, self.held_back, self.level) = (in_link, held_back, level);
        let mark = json!({"kind": "note", "number": at + 1});
        if self.in_link { self.held_back.push(mark) } else { into.push(mark) }
    }
}

fn is_for_the_presenter(cue: &Map<String, Value>) -> bool {
    matches!(text_of(cue, "cue").as_str(), "say" | "bring")
}

fn text_of(node: &Map<String, Value>, key: &str) -> String {
    node.get(key).and_then(Value::as_str).unwrap_or_default().to_owned()
}

fn take_and(node: &mut Map<String, Value>, key: &str, change: impl FnOnce(Value) -> Value) {
    if let Some(value) = node.get_mut(key) {
        *value = change(value.take());
    }
}

#[cfg(test)]
mod tests;
