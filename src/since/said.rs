//! What a job says, sentence by sentence: read from the data that its template is given, whatever the piece.
//!
//! Prose comes apart into sentences; a table's row, an item of a list of things, a contact are one each, for a cell by
//! itself says little. What a template does with data nobody can tell from the data: some of it is never printed. So
//! each sentence keeps the way of keys that leads to it (its [role](Said::role)), and [`super::pages`] finds which
//! roles come out on paper.

use crate::job::{Cell, Imposed, Job, Make};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};
use unicode_segmentation::UnicodeSegmentation;

/// Words that stand together in a piece.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Said {
    pub says: String,
    pub quotes: Vec<Quoted>,
    /// The lesson and the section that they come from, by their ids.
    pub lesson: Option<String>,
    pub section: Option<String>,
    /// `warning`: the signal box that they stand in.
    pub signal: Option<String>,
    /// Whether they are drawn, and need not stand on the page as they are read.
    pub drawn: bool,
    /// The keys that lead to them in the data: `lessons.sections.blocks.inlines`.
    pub role: String,
}

/// A figure that a fact backs.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Quoted {
    /// The fact's name.
    pub fact: String,
    /// As they are printed.
    pub words: String,
}

/// Parts the cells of a row.
pub const GAP: &str = " | ";

/// Keys of words that are never printed as they stand: names, addresses, how something is set. What else a template does
/// not print is found once it is laid out.
const NEVER: [&str; 36] = [
    "align",
    "alt",
    "anchor",
    "anchors",
    "as",
    "draw",
    "fact",
    "file",
    "fit",
    "heading_text",
    "here",
    "how",
    "href",
    "id",
    "ink",
    "key",
    "kind",
    "language",
    "mark",
    "panels",
    "paper",
    "part",
    "path",
    "reading",
    "root",
    "rule",
    "script",
    "scripts",
    "season",
    "section",
    "size",
    "src",
    "style",
    "title_text",
    "to",
    "url",
];

/// Keys of numbers that are printed nowhere, or as often as other things are.
const COUNTERS: [&str; 12] = [
    "day",
    "kilobytes",
    "level",
    "month",
    "number",
    "seed",
    "slide",
    "slides",
    "start",
    "turn",
    "weekday",
    "year",
];

/// All that a job says, in the order of its data.
pub fn of_job(job: &Job) -> Vec<Said> {
    let mut walker = Walker::default();
    match &job.make {
        Make::Sheet(sheet) | Make::Drawing(sheet) | Make::Imposed(Imposed { pages: sheet, .. }) => {
            walker.value(&sheet.data);
            for (_, part) in &sheet.parts {
                walker.within("parts", |walker| walker.value(part));
            }
        }
        Make::Run(run) => {
            walker.value(&run.data);
            for entry in &run.entries {
                walker.within("entries", |walker| walker.value(&entry.data));
            }
        }
        Make::Page { data, .. } => walker.value(data),
        Make::Tables(tables) => {
            for row in tables.iter().flat_map(|table| &table.rows) {
                walker.row(row.iter().filter_map(cell).map(Words::plain).collect(), GAP);
            }
        }
        // Files for other software, and copies.
        Make::Text(_) | Make::Copy { .. } => {}
    }
    walker.said
}

fn cell(cell: &Cell) -> Option<String> {
    match cell {
        Cell::Text(text) => Some(text.clone()),
        Cell::Number(number) => Some(number.to_string()),
        Cell::Date(date) => Some(date.to_string()),
        Cell::Empty => None,
    }
}

#[derive(Default)]
struct Walker {
    said: Vec<Said>,
    role: Vec<String>,
    lesson: Option<String>,
    section: Option<String>,
    signal: Option<String>,
}

impl Walker {
    fn within(&mut self, key: &str, walk: impl FnOnce(&mut Self)) {
        self.role.push(key.to_owned());
        walk(self);
        self.role.pop();
    }

    fn value(&mut self, value: &Value) {
        match value {
            Value::Object(node) => self.node(node),
            Value::Array(values) if is_prose(values) => self.prose(values),
            Value::Array(values) => values.iter().for_each(|value| self.value(value)),
            Value::String(text) => self.sentences(Words::plain(text.clone())),
            Value::Number(_) => {
                if let Some(words) = self.role.last().and_then(|key| number(key, value)) {
                    self.push(Words::plain(words));
                }
            }
            Value::Bool(_) | Value::Null => {}
        }
    }

    fn node(&mut self, node: &Map<String, Value>) {
        let (lesson, section, signal) = (self.lesson.clone(), self.section.clone(), self.signal.clone());
        let id = node.get("id").and_then(Value::as_str);
        if node.contains_key("sections") {
            self.lesson = id.map(str::to_owned);
        } else if node.contains_key("heading") || node.contains_key("blocks") {
            self.section = id.map(str::to_owned).or(self.section.take());
        }
        match kind(node) {
            Some("table") => self.table(node),
            Some("series") => self.series(node),
            Some("cue") => {
                let cue = node.get("cue").and_then(Value::as_str);
                let is_signal = |cue: &&str| ["caution", "warning", "danger"].contains(cue);
                self.signal = cue.filter(is_signal).map(str::to_owned);
                self.keys(node);
            }
            Some(inline) if INLINES.contains(&inline) => {
                self.prose(std::slice::from_ref(&Value::Object(node.clone())))
            }
            None if is_row(node) => {
                let cells = node.iter().filter(|(key, value)| is_printed(key, value));
                let cells = cells.filter_map(|(key, value)| scalar(key, value)).collect();
                self.row(cells, GAP);
            }
            _ => self.keys(node),
        }
        (self.lesson, self.section, self.signal) = (lesson, section, signal);
    }

    fn keys(&mut self, node: &Map<String, Value>) {
        for (key, value) in node.iter().filter(|(key, value)| is_printed(key, value)) {
            // A cue's word is in the signal, and its own keys say no more.
            if key != "cue" {
                self.within(key, |walker| walker.value(value));
            }
        }
    }

    fn table(&mut self, node: &Map<String, Value>) {
        let rows = node.get("rows").and_then(Value::as_array).into_iter().flatten();
        for row in node.get("head").into_iter().chain(rows).filter_map(Value::as_array) {
            let cells = row.iter().map(|cell| {
                let inlines = cell.get("inlines").unwrap_or(cell);
                Words::of(inlines.as_array().map_or(&[], Vec::as_slice))
            });
            self.within("rows", |walker| walker.row(cells.collect(), GAP));
        }
    }

    /// Each row of a series says what its fact says.
    fn series(&mut self, node: &Map<String, Value>) {
        let fact = node.get("fact").and_then(Value::as_str).unwrap_or_default();
        if let Some(title) = node.get("title").and_then(Value::as_str) {
            self.within("title", |walker| walker.push(Words::plain(title.to_owned())));
        }
        let columns: Vec<(&str, &str)> =
            node.get("columns").and_then(Value::as_array).map_or_else(Vec::new, |columns| {
                columns
                    .iter()
                    .map(|column| {
                        let word = |key: &str| column.get(key).and_then(Value::as_str).unwrap_or_default();
                        (word("name"), word("unit"))
                    })
                    .collect()
            });
        for row in node.get("rows").and_then(Value::as_array).into_iter().flatten() {
            let cells = row.as_array().into_iter().flatten().zip(&columns).map(|(cell, (name, unit))| {
                let value = format!("{} {unit}", cell.as_str().unwrap_or_default());
                format!("{name} {}", value.trim_end())
            });
            let says = cells.collect::<Vec<_>>().join(GAP);
            let quotes = vec![Quoted { fact: fact.to_owned(), words: says.clone() }];
            self.within("rows", |walker| {
                let before = walker.said.len();
                walker.push(Words { text: says, quotes: Vec::new(), whole: quotes });
                walker.said[before..].iter_mut().for_each(|said| said.drawn = true);
            });
        }
    }

    fn row(&mut self, cells: Vec<Words>, gap: &str) {
        let mut row = Words::default();
        for cell in cells.into_iter().filter(|cell| !cell.text.trim().is_empty()) {
            if !row.text.is_empty() {
                row.text.push_str(gap);
            }
            row.append(cell);
        }
        self.push(row);
    }

    fn prose(&mut self, inlines: &[Value]) {
        self.sentences(Words::of(inlines));
        for blocks in footnotes(inlines) {
            self.within("notes", |walker| walker.value(blocks));
        }
    }

    /// Each sentence of some words by itself.
    fn sentences(&mut self, words: Words) {
        let words = words.tidied();
        for (at, sentence) in words.text.split_sentence_bound_indices() {
            let here = at..at + sentence.len();
            let quotes = words.quotes.iter().filter(|(start, _)| here.contains(start));
            let quotes = quotes.map(|(_, quoted)| quoted.clone()).collect();
            self.push(Words { text: sentence.to_owned(), quotes: Vec::new(), whole: quotes });
        }
    }

    fn push(&mut self, words: Words) {
        let words = words.tidied();
        let says = words.text.trim();
        // Marks by themselves say nothing.
        if !says.chars().any(char::is_alphanumeric) {
            return;
        }
        let quotes =
            words.whole.into_iter().chain(words.quotes.into_iter().map(|(_, quoted)| quoted)).collect();
        self.said.push(Said {
            says: says.to_owned(),
            quotes,
            lesson: self.lesson.clone(),
            section: self.section.clone(),
            signal: self.signal.clone(),
            drawn: false,
            role: self.role.join("."),
        });
    }
}

/// Words with the figures in them.
#[derive(Clone, Debug, Default)]
struct Words {
    text: String,
    /// Each with the byte at which it stands.
    quotes: Vec<(usize, Quoted)>,
    /// Those of the text as a whole.
    whole: Vec<Quoted>,
}

impl Words {
    fn plain(text: String) -> Self {
        Self { text, ..Self::default() }
    }

    fn of(inlines: &[Value]) -> Self {
        let mut words = Self::default();
        words.take(inlines);
        words
    }

    fn take(&mut self, inlines: &[Value]) {
        for inline in inlines.iter().filter_map(Value::as_object) {
            let word = |key: &str| inline.get(key).and_then(Value::as_str);
            match kind(inline) {
                Some("soft-break" | "hard-break") => self.text.push(' '),
                Some("figure") => {
                    let (fact, words) = (word("fact").unwrap_or_default(), word("words").unwrap_or_default());
                    let quoted = Quoted { fact: fact.to_owned(), words: spaced(words) };
                    self.quotes.push((self.text.len(), quoted));
                    self.text.push_str(words);
                }
                Some("footnote" | "note" | "index-mark" | "picture" | "missing-picture") => {}
                _ => {
                    self.text.push_str(word("text").or(word("words")).unwrap_or_default());
                    if let Some(Value::Array(inner)) = inline.get("inlines") {
                        self.take(inner);
                    }
                }
            }
        }
    }

    fn append(&mut self, other: Self) {
        let here = self.text.len();
        self.text.push_str(&other.text);
        self.quotes.extend(other.quotes.into_iter().map(|(at, quoted)| (at + here, quoted)));
        self.whole.extend(other.whole);
    }

    /// With single plain spaces, and without what only tells where a line may break.
    fn tidied(self) -> Self {
        let mut text = String::with_capacity(self.text.len());
        let mut moved = Vec::with_capacity(self.quotes.len());
        let mut quotes = self.quotes.into_iter().peekable();
        for (at, letter) in self.text.char_indices() {
            while let Some((_, quoted)) = quotes.next_if(|(start, _)| *start <= at) {
                moved.push((text.len(), quoted));
            }
            match letter {
                '\u{ad}' | '\u{200b}' | '\u{2060}' | '\u{feff}' => {}
                // What stands for words that a fact has not.
                '\u{fdd0}' | '\u{fdd1}' => text.push('…'),
                letter if letter.is_whitespace() => {
                    if !text.ends_with(' ') {
                        text.push(' ');
                    }
                }
                letter => text.push(letter),
            }
        }
        moved.extend(quotes.map(|(_, quoted)| (text.len(), quoted)));
        Self { text, quotes: moved, whole: self.whole }
    }
}

/// With single plain spaces.
fn spaced(words: &str) -> String {
    words.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The kinds of what stands within a line.
const INLINES: [&str; 14] = [
    "text",
    "emphasis",
    "strong",
    "struck",
    "code",
    "link",
    "figure",
    "footnote",
    "note",
    "soft-break",
    "hard-break",
    "language",
    "index-mark",
    "term",
];

fn kind(node: &Map<String, Value>) -> Option<&str> {
    node.get("kind").and_then(Value::as_str)
}

fn is_inline(value: &Value) -> bool {
    let is_picture = |node: &Map<String, Value>| matches!(kind(node), Some("picture" | "missing-picture"));
    // A picture may stand in a line and by itself.
    let node = value.as_object();
    node.is_some_and(|node| kind(node).is_some_and(|kind| INLINES.contains(&kind)) || is_picture(node))
}

fn is_prose(values: &[Value]) -> bool {
    let is_picture = |value: &Value| value.as_object().and_then(kind) == Some("picture");
    !values.is_empty() && values.iter().all(is_inline) && !values.iter().all(is_picture)
}

fn is_printed(key: &str, value: &Value) -> bool {
    let is_name = |value: &Value| value.is_string();
    match value {
        Value::Number(number) => (number.is_i64() || number.is_u64()) && !COUNTERS.contains(&key),
        // By their ids.
        Value::String(_) => !NEVER.contains(&key) && key != "lesson",
        Value::Array(values) if values.iter().all(is_name) => !NEVER.contains(&key) && key != "sections",
        Value::Array(_) | Value::Object(_) => true,
        Value::Bool(_) | Value::Null => false,
    }
}

/// Whether a node is one thing told in a few words: each of its values is words or a number.
fn is_row(node: &Map<String, Value>) -> bool {
    let mut cells = 0;
    for (_, value) in node.iter().filter(|(key, value)| is_printed(key, value)) {
        match value {
            Value::String(_) | Value::Number(_) => cells += 1,
            Value::Array(values) if values.is_empty() => {}
            Value::Array(values) if is_prose(values) || values.iter().all(Value::is_string) => cells += 1,
            Value::Bool(_) | Value::Null => {}
            Value::Array(_) | Value::Object(_) => return false,
        }
    }
    cells > 1
}

fn scalar(key: &str, value: &Value) -> Option<Words> {
    match value {
        Value::String(text) => Some(Words::plain(text.clone())),
        Value::Number(_) => number(key, value).map(Words::plain),
        Value::Array(values) if is_prose(values) => Some(Words::of(values)),
        Value::Array(values) => {
            let words: Vec<&str> = values.iter().filter_map(Value::as_str).collect();
            (!words.is_empty()).then(|| Words::plain(words.join(", ")))
        }
        Value::Bool(_) | Value::Null | Value::Object(_) => None,
    }
}

/// `minutes 13`
fn number(key: &str, value: &Value) -> Option<String> {
    let number = value.as_i64()?;
    Some(format!("{} {number}", key.replace(['_', '-'], " ")))
}

/// The foot notes whose marks stand in some words.
fn footnotes(inlines: &[Value]) -> Vec<&Value> {
    let mut notes = Vec::new();
    for inline in inlines.iter().filter_map(Value::as_object) {
        match (kind(inline), inline.get("inlines")) {
            (Some("footnote"), _) => notes.extend(inline.get("blocks")),
            (_, Some(Value::Array(inner))) => notes.extend(footnotes(inner)),
            _ => {}
        }
    }
    notes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Piece, Shelf};
    use serde_json::json;

    fn said(data: Value) -> Vec<Said> {
        let make = Make::Page { template: "a".into(), data };
        of_job(&Job { piece: Piece::Site, shelf: Shelf::Open, path: "a".into(), make })
    }

    fn words(data: Value) -> Vec<String> {
        said(data).into_iter().map(|said| said.says).collect()
    }

    #[test]
    fn prose_comes_apart_into_sentences_with_their_figures() {
        let data = json!({"opening": [{"kind": "paragraph", "inlines": [
            {"kind": "text", "text": "Tie high. Keep it at\u{a0}"},
            {"kind": "strong", "inlines": [{"kind": "figure", "fact": "rope", "words": "ten\u{a0}feet"}]},
            {"kind": "soft-break"},
            {"kind": "text", "text": "at most."},
            {"kind": "footnote", "blocks": [{"kind": "paragraph", "inlines": [{"kind": "text", "text": "Rule 4."}]}]},
        ]}]});
        let said = said(data);
        let told: Vec<(&str, usize)> = said.iter().map(|it| (&*it.says, it.quotes.len())).collect();
        assert_eq!(told, [("Tie high.", 0), ("Keep it at ten feet at most.", 1), ("Rule 4.", 0)]);
        assert_eq!(said[1].quotes[0], Quoted { fact: "rope".into(), words: "ten feet".into() });
    }

    #[test]
    fn a_row_is_one_and_names_of_things_are_none() {
        let data = json!({"title": "Pocket Kit", "items": [
            {"item": [{"kind": "text", "text": "Bottle"}], "count": 2, "each": "2.3 lb", "note": null, "id": "b"},
        ]});
        assert_eq!(words(data), ["Pocket Kit", "Bottle | count 2 | 2.3 lb"]);
        let table = json!({"kind": "table", "align": ["start"], "head": [[{"kind": "text", "text": "Rope"}]],
            "rows": [[[{"kind": "text", "text": "Lead"}], [{"kind": "figure", "fact": "a", "words": "6 ft"}]]]});
        assert_eq!(words(table), ["Rope", "Lead | 6 ft"]);
        let series = json!({"kind": "series", "fact": "heat", "title": "Heat", "alt": "x", "source": "y",
            "columns": [{"name": "air", "unit": "°F"}, {"name": "ground", "unit": ""}], "rows": [["77", "125"]]});
        assert_eq!(words(series), ["Heat", "air 77 °F | ground 125"]);
    }

    #[test]
    fn words_know_their_lesson_their_section_and_their_box() {
        let data = json!({"id": "water", "title": [{"kind": "text", "text": "Water"}], "sections": [
            {"id": "boil", "heading": [{"kind": "text", "text": "Boil"}], "blocks": [
                {"kind": "cue", "cue": "warning", "blocks": [
                    {"kind": "paragraph", "inlines": [{"kind": "text", "text": "Hot!"}]}]}]}]});
        let said = said(data);
        assert_eq!(said[2].says, "Hot!");
        assert_eq!(said[2].lesson.as_deref(), Some("water"));
        assert_eq!((said[2].section.as_deref(), said[2].signal.as_deref()), (Some("boil"), Some("warning")));
        assert_eq!(said[0].signal, None);
    }
}
