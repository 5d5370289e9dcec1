//! Search without a server: every section, fact and question of the site as a line of an index.
//!
//! A page from disk may not fetch a file but may load a script, so the index is scripts. They hold the text
//! itself, once; its words are put into small letters without accents where they are looked up, in the
//! browser, since an index of words beside the text that results show would be as heavy again. They come in
//! parts, so that none is heavier than a page.

use super::facts::title_of;
use super::lesson_page::LessonOnPage;
use super::pages::PageAddress;
use super::tree::{PageBlock, PageCell, PageInline};
use super::{PageHead, Site};
use crate::job::{Make, Original};
use schemars::JsonSchema;
use serde::Serialize;

pub const PAGE: &str = "search.html";
pub const SCRIPT: &str = "search.js";

/// Bytes after which a part of the index is full.
const PART: usize = 80_000;

/// What `search.html` is given.
#[derive(Serialize, JsonSchema)]
pub(in crate::pieces) struct SearchPage<'p> {
    #[serde(flatten)]
    head: PageHead<'p>,
    /// The addresses of the index's parts, with a space between them.
    parts: String,
    /// How many places can be found.
    places: usize,
    /// How heavy the index is.
    kilobytes: usize,
    /// The address of the script.
    script: String,
}

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
        let data = SearchPage {
            head: self.head(&page, &self.understood.content.settings.name),
            parts: links.join(" "),
            places: entries.len(),
            kilobytes: bytes.div_ceil(1000),
            script: page.link_to(SCRIPT, None),
        };
        self.page(&page, PAGE, &data);
        self.job(SCRIPT, Make::Copy { of: Original::Theme(format!("pages/{SCRIPT}")) });
    }

    /// A lesson page, as it was read for it: its opening, then its sections.
    pub(super) fn index_lesson(&mut self, page: &PageAddress, title: &str, lesson: &LessonOnPage) {
        let entry = |heading: &str, id: Option<&str>, blocks: &[PageBlock]| Entry {
            page: title.to_owned(),
            heading: heading.to_owned(),
            href: PageAddress::new(PAGE).link_to(&page.path, id),
            text: text_of(blocks),
        };
        self.found.push(entry("", None, &lesson.opening));
        for section in &lesson.sections {
            self.found.push(entry(&section.heading_text, Some(&section.id), &section.blocks));
        }
    }

    fn index_facts(&mut self, page: &PageAddress) {
        for fact in &self.understood.content.facts {
            let Some(path) = self.pages.fact(&fact.name) else { continue };
            let mut text = self.understood.own_words(&fact.name).unwrap_or_default();
            // Sources are long and stand on the facts' own page, whose filter finds them.
            for more in &fact.called {
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

/// The places of one page in a part of the index: its title and address stand once.
#[derive(Serialize)]
struct OnePage<'e>(&'e str, &'e str, Vec<OnePlace<'e>>);

/// A place there: its heading, its anchor (empty for the page itself), and its text.
#[derive(Serialize)]
struct OnePlace<'e>(&'e str, &'e str, &'e str);

/// The entries as scripts, each of which hands its part over.
fn parts(entries: &[Entry]) -> Vec<String> {
    let mut parts: Vec<Vec<OnePage>> = Vec::new();
    let mut filled = PART;
    for entry in entries {
        let (path, anchor) = entry.href.split_once('#').unwrap_or((&entry.href, ""));
        let place = OnePlace(&entry.heading, anchor, &entry.text);
        let weight = json(&place).len();
        if filled + weight > PART {
            parts.push(Vec::new());
            filled = 0;
        }
        filled += weight;
        let Some(pages) = parts.last_mut() else { continue };
        match pages.last_mut() {
            Some(page) if (page.0, page.1) == (&*entry.page, path) => page.2.push(place),
            _ => pages.push(OnePage(&entry.page, path, vec![place])),
        }
    }
    let script = |pages: &Vec<OnePage>| {
        let lines: Vec<String> = pages.iter().map(json).collect();
        format!("searchPart([\n{}\n]);\n", lines.join(",\n"))
    };
    parts.iter().map(script).collect()
}

fn json(said: &impl Serialize) -> String {
    serde_json::to_string(said).expect("texts have a form as JSON")
}

/// What a page's tree says, as one line. What ends without a full stop is parted from what follows it.
fn text_of(blocks: &[PageBlock]) -> String {
    let mut said = Lines(vec![String::new()]);
    said.blocks(blocks);
    let mut text = String::new();
    for line in said.0 {
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

/// What a tree says, in lines.
struct Lines(Vec<String>);

impl Lines {
    /// To the last line.
    fn say(&mut self, words: &str) {
        if let Some(line) = self.0.last_mut() {
            line.push_str(words);
        }
    }

    /// In lines of its own.
    fn apart(&mut self, say: impl FnOnce(&mut Self)) {
        self.0.push(String::new());
        say(self);
        self.0.push(String::new());
    }

    fn blocks(&mut self, blocks: &[PageBlock]) {
        blocks.iter().for_each(|block| self.block(block));
    }

    fn block(&mut self, block: &PageBlock) {
        match block {
            PageBlock::Code { text } => self.say(text),
            PageBlock::Heading { inlines, .. } | PageBlock::Paragraph { inlines } => {
                self.apart(|lines| lines.inlines(inlines));
            }
            PageBlock::List { items, .. } => {
                items.iter().for_each(|item| self.apart(|lines| lines.blocks(&item.blocks)));
            }
            PageBlock::Table { head, rows, .. } => {
                let cell = |cell: &PageCell| self.apart(|lines| lines.inlines(&cell.inlines));
                head.iter().chain(rows.iter().flatten()).for_each(cell);
            }
            PageBlock::Cue { blocks, .. } | PageBlock::Quote { blocks } => {
                self.apart(|lines| lines.blocks(blocks));
            }
            PageBlock::Rule | PageBlock::Sources { .. } => self.apart(|_| {}),
            PageBlock::Picture(picture) => self.apart(|lines| lines.say(&picture.alt)),
            PageBlock::MissingPicture { alt } => self.apart(|lines| lines.say(alt)),
            PageBlock::Series(series) => self.apart(|lines| lines.say(&series.series.title)),
        }
    }

    fn inlines(&mut self, inlines: &[PageInline]) {
        inlines.iter().for_each(|inline| self.inline(inline));
    }

    fn inline(&mut self, inline: &PageInline) {
        match inline {
            PageInline::Text { text } | PageInline::Code { text } => self.say(text),
            PageInline::Figure { words, .. } | PageInline::Term { words, .. } => self.say(words),
            PageInline::Emphasis { inlines }
            | PageInline::Strong { inlines }
            | PageInline::Struck { inlines }
            | PageInline::Link { inlines, .. } => self.inlines(inlines),
            PageInline::Language { inlines, .. } => self.apart(|lines| lines.inlines(inlines)),
            PageInline::Picture(picture) => self.apart(|lines| lines.say(&picture.alt)),
            PageInline::MissingPicture { alt } => self.apart(|lines| lines.say(alt)),
            PageInline::SoftBreak | PageInline::HardBreak => self.say(" "),
            PageInline::Note { .. } => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pieces::site::tree::PageItem;

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
        let list: serde_json::Value = serde_json::from_str(list).unwrap();
        let places = |first: &str, second: &str| {
            serde_json::json!([[
                "Ropes",
                "lessons/ropes.html",
                [["Knots", "knots", first], ["Knots", "knots", second]]
            ]])
        };
        assert_eq!(list, places("a \"quick\" </script> one\\", "\u{2028}"));
    }

    #[test]
    fn no_part_is_heavier_than_a_page() {
        let entries: Vec<Entry> = (0..300).map(|_| entry(&"rope ".repeat(200))).collect();
        let parts = parts(&entries);
        assert!(parts.len() > 1 && parts.iter().all(|part| part.len() < 100_000));
    }

    #[test]
    fn a_tree_is_one_line() {
        let text = |text: &str| PageInline::Text { text: text.into() };
        let paragraph = |inlines| PageBlock::Paragraph { inlines };
        let figure = PageInline::Figure {
            fact: "lead-length".into(),
            id: "quote.lead-length.1".into(),
            href: "../facts.html#lead-length".into(),
            words: "ten feet".into(),
        };
        let item = |inlines| PageItem { task: None, blocks: vec![paragraph(inlines)] };
        let strong = PageInline::Strong { inlines: vec![text("Knots")] };
        let tree = [
            paragraph(vec![text("Keep to "), figure, PageInline::Note { number: 1 }, text(".")]),
            PageBlock::List {
                start: None,
                tasks: false,
                items: vec![item(vec![strong]), item(vec![text("Bends")])],
            },
        ];
        assert_eq!(text_of(&tree), "Keep to ten feet. Knots · Bends");
    }
}
