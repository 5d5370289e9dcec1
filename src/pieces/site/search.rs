//! Search without a server: every section, fact and question of the site as a line of an index.
//!
//! A page from disk may not fetch a file but may load a script, so the index is scripts. They hold the text
//! itself, once; its words are put into small letters without accents where they are looked up, in the
//! browser, since an index of words beside the text that results show would be as heavy again. They come in
//! parts, so that none is heavier than a page.

use super::Site;
use super::facts::title_of;
use super::pages::PageAddress;
use crate::job::{Make, Original};
use serde_json::{Value, json};

pub const PAGE: &str = "search.html";
pub const SCRIPT: &str = "search.js";

/// Bytes after which a part of the index is full.
const PART: usize = 80_000;

/// What can be found: a place on a page.
pub struct Entry {
    /// The page's title.
    pub page: String,
    /// The heading there; empty where the page itself is meant.
    pub heading: String,
    /// Relative to the site's folder.
    pub href: String,
    pub text: String,
}

impl Site<'_> {
    pub(super) fn search(&mut self) {
        let page = PageAddress::new(PAGE);
        self.index_facts(&page);
        let entries = std::mem::take(&mut self.found);
        let parts = parts(&entries);
        let bytes: usize = parts.iter().map(String::len).sum();
        let mut links = Vec::new();
        for (at, part) in parts.into_iter().enumerate() {
            let path = format!("search-index-{}.js", at + 1);
            links.push(page.link_to(&path, None));
            self.job(&path, Make::Text(part));
        }
        let mut data = self.head(&page, &self.understood.content.settings.name);
        data.insert("parts".into(), links.join(" ").into());
        data.insert("places".into(), entries.len().into());
        data.insert("kilobytes".into(), bytes.div_ceil(1000).into());
        data.insert("script".into(), page.link_to(SCRIPT, None).into());
        self.page(&page, PAGE, data);
        self.job(SCRIPT, Make::Copy { of: Original::Theme(format!("pages/{SCRIPT}")) });
    }

    /// A lesson page, as it was read for it: its opening, then its sections.
    pub(super) fn index_lesson(&mut self, page: &PageAddress, title: &str, lesson: &Value) {
        let entry = |heading: &str, id: Option<&str>, blocks: &Value| Entry {
            page: title.to_owned(),
            heading: heading.to_owned(),
            href: PageAddress::new(PAGE).link_to(&page.path, id),
            text: text_of(blocks),
        };
        self.found.push(entry("", None, &lesson["opening"]));
        for section in lesson["sections"].as_array().into_iter().flatten() {
            let heading = section["heading_text"].as_str().unwrap_or_default();
            self.found.push(entry(heading, section["id"].as_str(), &section["blocks"]));
        }
    }

    fn index_facts(&mut self, page: &PageAddress) {
        for fact in &self.understood.content.facts {
            let Some(path) = self.pages.fact(&fact.name) else { continue };
            let mut text = self.understood.own_words(&fact.name).unwrap_or_default();
            let source = fact.source.as_ref().map(|source| source.text.as_str());
            for more in fact.called.iter().map(String::as_str).chain(source) {
                text.push_str(if text.is_empty() { "" } else { " · " });
                text.push_str(more);
            }
            self.found.push(Entry {
                page: String::new(),
                heading: title_of(fact),
                href: page.link_to(path, Some(&fact.name)),
                text,
            });
        }
    }
}

/// The entries as scripts, each of which hands its part over.
fn parts(entries: &[Entry]) -> Vec<String> {
    let mut parts: Vec<String> = Vec::new();
    for entry in entries {
        let line = json!([entry.page, entry.heading, entry.href, entry.text]).to_string();
        match parts.last_mut() {
            Some(part) if part.len() + line.len() < PART => {
                part.push_str(",\n");
                part.push_str(&line);
            }
            _ => parts.push(format!("searchPart([\n{line}")),
        }
    }
    parts.iter_mut().for_each(|part| part.push_str("\n]);\n"));
    parts
}

/// What a page's tree says, as one line. What ends without a full stop is parted from what follows it.
fn text_of(nodes: &Value) -> String {
    let mut lines = vec![String::new()];
    push_text(nodes, &mut lines);
    let mut text = String::new();
    for line in lines {
        let line = line.split_whitespace().collect::<Vec<_>>().join(" ");
        if line.is_empty() {
            continue;
        }
        if !text.is_empty() {
            text.push_str(if text.ends_with(['.', '!', '?', ':', ';']) { " " } else { " · " });
        }
        text.push_str(&line);
    }
    text
}

/// Adds what a node says to the last line, or in lines of its own.
fn push_text(node: &Value, lines: &mut Vec<String>) {
    if let Value::Array(nodes) = node {
        return nodes.iter().for_each(|node| push_text(node, lines));
    }
    let said = |key: &str| node[key].as_str().unwrap_or_default();
    let is_inline = matches!(
        said("kind"),
        "text"
            | "code"
            | "figure"
            | "term"
            | "link"
            | "emphasis"
            | "strong"
            | "struck"
            | "soft-break"
            | "hard-break"
            | "note"
    );
    if !is_inline {
        lines.push(String::new());
    }
    let words = match said("kind") {
        "text" | "code" => said("text"),
        "figure" | "term" => said("words"),
        "picture" | "missing-picture" => said("alt"),
        "series" => said("title"),
        "soft-break" | "hard-break" => " ",
        _ => "",
    };
    if let Some(line) = lines.last_mut() {
        line.push_str(words);
    }
    // Cells of a table are objects with inlines, items of a list objects with blocks.
    for key in ["inlines", "blocks", "items", "head", "rows"] {
        if node[key].is_array() {
            push_text(&node[key], lines);
        }
    }
    if !is_inline {
        lines.push(String::new());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn entry(text: &str) -> Entry {
        Entry {
            page: "Ropes".into(),
            heading: "Knots".into(),
            href: "lessons/ropes.html#knots".into(),
            text: text.into(),
        }
    }

    #[test]
    fn a_part_is_a_call_with_text_alone() {
        let parts = parts(&[entry("a \"quick\" </script> one\\"), entry("\u{2028}")]);
        let [part] = parts.as_slice() else { panic!("{parts:?}") };
        let list = part.strip_prefix("searchPart(").and_then(|rest| rest.strip_suffix(");\n")).unwrap();
        let list: Value = serde_json::from_str(list).unwrap();
        assert_eq!(list[0][3], "a \"quick\" </script> one\\");
        assert_eq!(list[1][3], "\u{2028}");
    }

    #[test]
    fn no_part_is_heavier_than_a_page() {
        let entries: Vec<Entry> = (0..300).map(|_| entry(&"rope ".repeat(200))).collect();
        let parts = parts(&entries);
        assert!(parts.len() > 1 && parts.iter().all(|part| part.len() < 100_000));
    }

    #[test]
    fn a_tree_is_one_line() {
        let tree = json!([
            {"kind": "paragraph", "inlines": [
                {"kind": "text", "text": "Keep to "}, {"kind": "figure", "words": "ten feet"},
                {"kind": "note", "number": 1}, {"kind": "text", "text": "."},
            ]},
            {"kind": "list", "items": [{"task": null, "blocks": [
                {"kind": "paragraph", "inlines": [{"kind": "strong", "inlines": [{"kind": "text", "text": "Knots"}]}]},
            ]}, {"task": null, "blocks": [
                {"kind": "paragraph", "inlines": [{"kind": "text", "text": "Bends"}]},
            ]}]},
        ]);
        assert_eq!(text_of(&tree), "Keep to ten feet. Knots · Bends");
    }
}
