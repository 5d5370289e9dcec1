//! From the common tree of a lesson to the tree of a page.
//!
//! [`super::super::tree`] says what a passage holds; a page must know besides where each link leads,
//! under which id each quoted figure stands, and what its foot notes are. A [`Reader`] walks one
//! page's prose in reading order and fills that in. What the page leaves out (what the presenter says
//! and brings) is dropped here, so that no template can show it by mistake.

use super::address;
use super::glossary::{self, Use};
use super::pages::{PageAddress, Pages};
use crate::pieces::drawings::Form;
use crate::pieces::terms;
use crate::pieces::tree::words;
use serde_json::{Map, Value, json};
use std::collections::{BTreeMap, BTreeSet};

/// Templates walk a tree by components that call each other: at most twenty may be open at a time, and
/// each level of lists, cues or quotes takes two. Containers below this depth are opened and what they
/// hold is kept: no lesson is too deep to be made into a page.
const DEEPEST: usize = 8;

/// A table with more columns than this, or with a word of more letters than that, is set as a stack
/// of its rows on a narrow screen: two columns of such words are what 320 pixels hold.
const COLUMNS_SIDE_BY_SIDE: usize = 2;
const LETTERS_SIDE_BY_SIDE: usize = 15;

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
pub struct Reader<'p> {
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

impl<'p> Reader<'p> {
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

    /// Cells become `{"align","words"?,"inlines"}`; the words of a column's head go with each of its
    /// cells, for screens on which a row is a stack.
    fn table(&mut self, mut node: Map<String, Value>, depth: usize, into: &mut Vec<Value>) {
        let align = node.remove("align").unwrap_or_default();
        let head = node.remove("head").unwrap_or_default();
        let rows = node.remove("rows").unwrap_or_default();
        let column_words: Vec<String> =
            elements(&head).iter().map(|cell| words(cell).trim().to_owned()).collect();
        let row = |cells: Value, reader: &mut Self| -> Value {
            let cells = into_elements(cells).into_iter().enumerate().map(|(column, inlines)| {
                json!({
                    "align": align.get(column).cloned().unwrap_or("start".into()),
                    "column": column_words.get(column),
                    "inlines": reader.nodes(inlines, depth + 1),
                })
            });
            cells.collect()
        };
        let long_words =
            elements(&head).iter().chain(elements(&rows).iter().flat_map(elements)).any(has_long_word);
        let stacks = column_words.len() > COLUMNS_SIDE_BY_SIDE || long_words;
        let head = row(head, self);
        let rows: Vec<Value> = into_elements(rows).into_iter().map(|cells| row(cells, self)).collect();
        node.insert("stacks".into(), stacks.into());
        node.insert("head".into(), head);
        node.insert("rows".into(), rows.into());
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

    fn link(&mut self, mut node: Map<String, Value>, depth: usize, into: &mut Vec<Value>) {
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

    fn figure(&mut self, node: Map<String, Value>, into: &mut Vec<Value>) {
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

    fn picture(&mut self, mut node: Map<String, Value>, into: &mut Vec<Value>) {
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

    fn series(&mut self, mut node: Map<String, Value>, into: &mut Vec<Value>) {
        let fact = text_of(&node, "fact");
        let id = self.quote(&fact, &text_of(&node, "title"));
        node.insert("id".into(), id.into());
        let keys = ["src", "src_narrow", "src_night", "src_narrow_night"];
        for (key, form) in keys.into_iter().zip(Form::ALL) {
            node.insert(key.into(), self.page.link_to(&super::drawing_path(&fact, form), None).into());
        }
        let facts_page = self.pages.fact(&fact);
        node.insert("href".into(), facts_page.map(|page| self.page.link_to(page, Some(&fact))).into());
        into.push(Value::Object(node));
    }
}

fn has_long_word(cell: &Value) -> bool {
    // Not at no-break spaces: a number and its unit are one word to a line.
    words(cell).split([' ', '-']).any(|word| word.chars().count() > LETTERS_SIDE_BY_SIDE)
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

fn elements(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}

fn into_elements(value: Value) -> Vec<Value> {
    match value {
        Value::Array(elements) => elements,
        _ => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pages() -> Pages {
        let mut pages = Pages::default();
        pages.add_lesson("heat", ["shade", "été"].into_iter());
        pages.add_lesson("ropes", ["knots"].into_iter());
        pages.add_fact("lead-length", "facts.html");
        pages.add_picture("pictures/a b.svg", "pictures/a b.svg".into());
        pages
    }

    /// What becomes of `nodes` on the page of the lesson `heat`, with its quotes and notes.
    fn read(nodes: Value) -> (Value, Vec<Quote>, Vec<Value>) {
        let (pages, page) = (pages(), PageAddress::of_lesson("heat"));
        let mut reader = Reader::new(&pages, &page);
        let read = reader.read(nodes);
        (read, reader.quotes, reader.notes)
    }

    fn text(words: &str) -> Value {
        json!({"kind": "text", "text": words})
    }

    fn link(to: Value) -> Value {
        json!({"kind": "link", "to": to, "inlines": [text("words")]})
    }

    #[test]
    fn links_lead_to_pages_and_sections() {
        let cases = [
            (json!({"lesson": "ropes", "section": "knots"}), "../lessons/ropes.html#knots"),
            (json!({"lesson": "ropes", "section": "gone"}), "../lessons/ropes.html"),
            (json!({"lesson": "heat", "section": "été"}), "#%C3%A9t%C3%A9"),
            (json!({"address": "https://basin.example/a b"}), "https://basin.example/a%20b"),
        ];
        for (to, href) in cases {
            let (read, ..) = read(json!([link(to)]));
            assert_eq!(read[0]["href"], href);
        }
    }

    #[test]
    fn what_cannot_be_followed_is_shown_as_letters() {
        let (read, ..) = read(json!([link(json!({"address": "javascript:alert(1)"}))]));
        assert_eq!(read, json!([text("words"), text(" (javascript:alert(1))")]));
        let (read, ..) = super::tests::read(json!([link(json!({"lesson": "gone", "section": null}))]));
        assert_eq!(read, json!([text("words")]));
    }

    #[test]
    fn each_quote_has_a_place_of_its_own() {
        let figure = json!({"kind": "figure", "fact": "lead-length", "words": "ten feet"});
        let (read, quotes, _) = read(json!([figure, {"kind": "strong", "inlines": [figure]}]));
        assert_eq!(read[0]["href"], "../facts.html#lead-length");
        assert_eq!(read[1]["inlines"][0]["id"], "quote.lead-length.2");
        let ids: Vec<&str> = quotes.iter().map(|quote| quote.id.as_str()).collect();
        assert_eq!(ids, ["quote.lead-length.1", "quote.lead-length.2"]);
        assert_eq!(quotes[0].page, "lessons/heat.html");
    }

    #[test]
    fn a_figure_of_an_unknown_fact_is_plain_words() {
        let (read, quotes, _) = read(json!([{"kind": "figure", "fact": "gone", "words": "6 ft"}]));
        assert_eq!(read, json!([text("6 ft")]));
        assert_eq!(quotes, []);
    }

    #[test]
    fn what_is_for_the_presenter_is_left_out() {
        let cue = |cue: &str| json!({"kind": "cue", "cue": cue, "blocks": []});
        let all = ["say", "ask", "bring", "try", "caution", "warning", "danger"].map(cue);
        let (read, ..) = read(json!([{"kind": "quote", "blocks": all}]));
        let kept: Vec<&str> =
            elements(&read[0]["blocks"]).iter().filter_map(|cue| cue["cue"].as_str()).collect();
        assert_eq!(kept, ["ask", "try", "caution", "warning", "danger"]);
    }

    #[test]
    fn no_level_of_heading_is_skipped() {
        let heading = |level: u8| json!({"kind": "heading", "level": level, "inlines": [text("x")]});
        let empty = json!({"kind": "heading", "level": 3, "inlines": []});
        let (read, ..) = read(json!([heading(4), empty, heading(3), heading(6), heading(3)]));
        let levels: Vec<u64> =
            elements(&read).iter().filter_map(|heading| heading["level"].as_u64()).collect();
        assert_eq!(levels, [2, 3, 4, 3]);
    }

    #[test]
    fn notes_are_numbered_in_reading_order_and_stand_outside_of_links() {
        let note = |blocks: Value| json!({"kind": "footnote", "blocks": blocks});
        let paragraph = |inlines: Value| json!([{"kind": "paragraph", "inlines": inlines}]);
        let nested = note(paragraph(json!([text("first"), note(paragraph(json!([text("nested")])))])));
        let linked = json!({
            "kind": "link", "to": {"lesson": "ropes", "section": null},
            "inlines": [text("knots"), note(paragraph(json!([text("third")])))],
        });
        let (read, _, notes) = read(json!([nested, linked]));
        assert_eq!(read[0], json!({"kind": "note", "number": 1}));
        assert_eq!(read[1]["inlines"], json!([text("knots")]));
        assert_eq!(read[2], json!({"kind": "note", "number": 3}));
        let said: Vec<String> = notes.iter().map(|note| words(&note[0]["inlines"])).collect();
        assert_eq!(said, ["first", "nested", "third"]);
    }

    #[test]
    fn cells_know_their_column_and_wide_tables_stack() {
        let cell = |words: &str| json!([text(words)]);
        let row: Vec<Value> = ["a", "b", "c", "d"].map(cell).into();
        let (read, ..) = read(json!([{"kind": "table", "align": ["end"], "head": row, "rows": [row]}]));
        assert_eq!(read[0]["stacks"], true);
        assert_eq!(read[0]["rows"][0][0]["align"], "end");
        assert_eq!(read[0]["rows"][0][3]["align"], "start");
        assert_eq!(read[0]["rows"][0][3]["column"], "d");
    }

    #[test]
    fn a_narrow_table_stacks_only_for_long_words() {
        let stacks = |words: &str| {
            let (read, ..) =
                read(json!([{"kind": "table", "align": [], "head": [], "rows": [[[text(words)]]]}]));
            read[0]["stacks"] == true
        };
        assert!(!stacks("Five seconds on the ground"));
        assert!(stacks("Incomprehensibly"));
        assert!(stacks("10\u{a0}US\u{a0}gallons\u{a0}a\u{a0}day"));
    }

    #[test]
    fn pictures_are_encoded_and_one_that_cannot_be_shown_is_told_in_words() {
        let picture = |file: &str| json!({"kind": "picture", "file": file, "alt": "A mule", "caption": null});
        let (read, ..) = read(json!([picture("pictures/a b.svg"), picture("pictures/gone.svg")]));
        assert_eq!(read[0]["src"], "../pictures/a%20b.svg");
        assert_eq!(read[1], json!({"kind": "missing-picture", "alt": "A mule"}));
    }

    #[test]
    fn no_depth_of_nesting_is_too_deep_for_a_page_and_no_words_are_lost() {
        let mut nodes = json!([{"kind": "paragraph", "inlines": [text("kernel")]}]);
        for level in 0..60 {
            nodes = match level % 3 {
                0 => json!([{"kind": "quote", "blocks": nodes}]),
                1 => json!([{"kind": "list", "start": null, "items": [{"task": null, "blocks": nodes}]}]),
                _ => json!([{"kind": "cue", "cue": "try", "blocks": nodes}]),
            };
        }
        fn deepest(value: &Value) -> usize {
            match value {
                Value::Array(values) => 1 + values.iter().map(deepest).max().unwrap_or(0),
                Value::Object(node) => node.values().map(deepest).max().unwrap_or(0),
                _ => 0,
            }
        }
        let (read, ..) = read(nodes);
        assert!(read.to_string().contains("kernel"));
        // A list has two arrays a level.
        assert!(deepest(&read) <= 2 * DEEPEST + 1, "{}", deepest(&read));
    }
}
