//! What leads away from its place on a page: links, quoted figures and charts of facts, pictures of the program.

use super::{DEEPEST, ProseWalker, Quote, text_of};
use crate::pieces::drawings::Form;
use crate::pieces::site::{address, drawing_path};
use crate::pieces::tree::words;
use serde_json::{Map, Value, json};

impl ProseWalker<'_> {
    pub(super) fn link(&mut self, mut node: Map<String, Value>, depth: usize, into: &mut Vec<Value>) {
        let to = node.remove("to").unwrap_or_default();
        let inlines = node.remove("inlines").unwrap_or_default();
        let href = if self.in_link { None } else { self.href(&to) };
        match href {
            Some(href) if depth < DEEPEST => {
                self.in_link = true;
                let inlines = self.nodes(inlines, depth + 1);
                self.in_link = false;
                into.push(json!({"kind": "link", "href": href, "inlines": inlines}));
                into.append(&mut self.held_back);
            }
            _ => {
                // The words stay; an address that is not followed is told beside them.
                let said = words(&inlines);
                self.nodes_into(inlines, depth, into);
                if let Some(address) = to["address"].as_str().filter(|address| *address != said) {
                    into.push(json!({"kind": "text", "text": format!(" ({address})")}));
                }
            }
        }
    }

    fn href(&self, to: &Value) -> Option<String> {
        match (to["address"].as_str(), to["lesson"].as_str()) {
            (Some(address), _) => address::followable(address),
            (None, Some(lesson)) => {
                let (page, id) = self.pages.lesson(lesson, to["section"].as_str())?;
                Some(self.page.link_to(page, id))
            }
            (None, None) => None,
        }
    }

    pub(super) fn figure(&mut self, node: Map<String, Value>, into: &mut Vec<Value>) {
        let fact = text_of(&node, "fact");
        let words = text_of(&node, "words");
        let facts_page = self.pages.fact(&fact).filter(|_| !self.in_link);
        let Some(facts_page) = facts_page else {
            return into.push(json!({"kind": "text", "text": words}));
        };
        let href = self.page.link_to(facts_page, Some(&fact));
        let id = self.quote(&fact, &words);
        into.push(json!({"kind": "figure", "fact": fact, "id": id, "href": href, "words": words}));
    }

    fn quote(&mut self, fact: &str, words: &str) -> String {
        let count = self.quoted.entry(fact.to_owned()).or_insert(0);
        *count += 1;
        let id = format!("quote.{fact}.{count}");
        self.quotes.push(Quote {
            fact: fact.to_owned(),
            words: words.to_owned(),
            page: self.page.path.clone(),
            id: id.clone(),
            section: self.section.clone(),
        });
        id
    }

    pub(super) fn picture(&mut self, mut node: Map<String, Value>, into: &mut Vec<Value>) {
        let file = text_of(&node, "file");
        match self.pages.picture(&file) {
            Some(path) => {
                node.insert("src".into(), self.page.link_to(path, None).into());
                node.remove("file");
                self.pictures.insert(file);
                into.push(Value::Object(node));
            }
            // A file that cannot be shown is told of by the reader; its words stand in for it.
            None => into.push(json!({"kind": "missing-picture", "alt": text_of(&node, "alt")})),
        }
    }

    pub(super) fn series(&mut self, mut node: Map<String, Value>, into: &mut Vec<Value>) {
        let fact = text_of(&node, "fact");
        let id = self.quote(&fact, &text_of(&node, "title"));
        node.insert("id".into(), id.into());
        let keys = ["src", "src_narrow", "src_night", "src_narrow_night"];
        for (key, form) in keys.into_iter().zip(Form::ALL) {
            node.insert(key.into(), self.page.link_to(&drawing_path(&fact, form), None).into());
        }
        let facts_page = self.pages.fact(&fact);
        node.insert("href".into(), facts_page.map(|page| self.page.link_to(page, Some(&fact))).into());
        into.push(Value::Object(node));
    }
}
