//! Lesson trees as plain data for templates.
//!
//! Templates walk this data; nothing in it is ever parsed as their code. What the words leave to the
//! facts file is filled in here: an open backed figure gets the fact's own wording, a series its
//! rows. Places are left behind.

use crate::finding::Place;
use crate::program::facts::{Draw, Fact, Series};
use crate::program::lesson::{Align, Backed, Block, Cue, Inline, Lesson, Picture, SeriesView, Target};
use crate::program::series_column;
use crate::quantity::Language;
use crate::understand::{Understood, plain_text};
use serde_json::{Value, json};

/// Turns trees into data, with the facts and lessons that they point to at hand.
pub struct Trees<'u> {
    understood: &'u Understood<'u>,
}

impl<'u> Trees<'u> {
    pub fn new(understood: &'u Understood<'u>) -> Self {
        Self { understood }
    }

    /// The language that packstring itself says figures in.
    pub fn language(&self) -> &'u Language {
        self.understood.language()
    }

    /// A lesson with everything in it; `number` counts from 1 in the syllabus.
    pub fn lesson(&self, lesson: &Lesson) -> Value {
        let syllabus = &self.understood.content.settings.syllabus;
        let position = syllabus.iter().position(|entry| entry.lesson == lesson.id);
        let entry = position.map(|at| &syllabus[at]);
        let sections: Vec<Value> = lesson
            .sections
            .iter()
            .map(|section| {
                json!({
                    "id": section.id,
                    "heading": self.nodes(&section.heading, &lesson.id),
                    "heading_text": plain_text(&section.heading),
                    "blocks": self.blocks(&section.blocks, &lesson.id),
                })
            })
            .collect();
        json!({
            "id": lesson.id,
            "language": self.other_language(&lesson.file),
            "title": self.inlines_in(&lesson.title, &lesson.id),
            "title_text": plain_text(&lesson.title),
            "minutes": entry.map(|entry| entry.minutes),
            "who": entry.and_then(|entry| entry.who.as_deref()),
            "number": position.map(|at| at + 1),
            "opening": self.blocks(&lesson.opening, &lesson.id),
            "sections": sections,
        })
    }

    /// Blocks of the lesson `home`, which links without a lesson's name point into.
    pub fn blocks(&self, blocks: &[Block], home: &str) -> Value {
        Value::Array(blocks.iter().map(|block| self.block(block, home)).collect())
    }

    /// Prose that stands in no lesson.
    pub fn inlines(&self, inlines: &[Inline]) -> Value {
        self.inlines_in(inlines, "")
    }

    /// Words of the lesson `home` that stand by themselves. Those that an edition has from the main one keep
    /// their language: `{"kind": "language", "language": "en", "inlines": […]}`.
    pub fn inlines_in(&self, inlines: &[Inline], home: &str) -> Value {
        let nodes = self.nodes(inlines, home);
        match place_of(inlines).and_then(|place| self.other_language(&place.file)) {
            Some(language) => json!([{"kind": "language", "language": language, "inlines": nodes}]),
            None => nodes,
        }
    }

    fn nodes(&self, inlines: &[Inline], home: &str) -> Value {
        Value::Array(inlines.iter().map(|inline| self.inline(inline, home)).collect())
    }

    /// The language of what stands in a file, where it is not that of the piece.
    fn other_language(&self, file: &str) -> Option<&str> {
        let content = self.understood.content;
        Some(content.language_of(file)).filter(|language| *language != content.settings.language)
    }

    fn block(&self, block: &Block, home: &str) -> Value {
        match block {
            Block::Heading { level, inlines, .. } => {
                json!({"kind": "heading", "level": level, "inlines": self.nodes(inlines, home)})
            }
            Block::Paragraph { inlines, .. } => {
                json!({"kind": "paragraph", "inlines": self.nodes(inlines, home)})
            }
            Block::List { start, items, .. } => {
                let items: Vec<Value> = items
                    .iter()
                    .map(|item| json!({"task": item.task, "blocks": self.blocks(&item.blocks, home)}))
                    .collect();
                json!({"kind": "list", "start": start, "items": items})
            }
            Block::Table { align, head, rows, .. } => {
                let align: Vec<&str> = align.iter().map(align_name).collect();
                let cells = |row: &[crate::program::lesson::Cell]| {
                    Value::Array(row.iter().map(|cell| self.nodes(&cell.inlines, home)).collect())
                };
                let rows: Vec<Value> = rows.iter().map(|row| cells(row)).collect();
                json!({"kind": "table", "align": align, "head": cells(head), "rows": rows})
            }
            Block::Cue { cue, blocks, .. } => {
                json!({"kind": "cue", "cue": cue_name(*cue), "blocks": self.blocks(blocks, home)})
            }
            Block::Quote { blocks, .. } => json!({"kind": "quote", "blocks": self.blocks(blocks, home)}),
            Block::Code { text, .. } => json!({"kind": "code", "text": text}),
            Block::Rule { .. } => json!({"kind": "rule"}),
            Block::Picture(shown) => picture(shown),
            Block::Series(view) => self.series_view(view),
        }
    }

    fn inline(&self, inline: &Inline, home: &str) -> Value {
        match inline {
            Inline::Text { text, place } => {
                let language = self.understood.language_for(&place.file);
                json!({"kind": "text", "text": figures_joined(language, text)})
            }
            Inline::Emphasis { inlines } => {
                json!({"kind": "emphasis", "inlines": self.nodes(inlines, home)})
            }
            Inline::Strong { inlines } => {
                json!({"kind": "strong", "inlines": self.nodes(inlines, home)})
            }
            Inline::Struck { inlines } => {
                json!({"kind": "struck", "inlines": self.nodes(inlines, home)})
            }
            Inline::Code { text, .. } => json!({"kind": "code", "text": text}),
            Inline::Link { target, inlines, .. } => json!({
                "kind": "link",
                "to": self.target(target, home),
                "inlines": self.nodes(inlines, home),
            }),
            Inline::Backed(backed) => json!({
                "kind": "figure",
                "fact": backed.fact,
                "words": self.words_of(backed),
            }),
            Inline::Picture(shown) => picture(shown),
            Inline::Footnote { blocks, .. } => {
                json!({"kind": "footnote", "blocks": self.blocks(blocks, home)})
            }
            Inline::SoftBreak => json!({"kind": "soft-break"}),
            Inline::HardBreak => json!({"kind": "hard-break"}),
        }
    }

    fn words_of(&self, backed: &Backed) -> String {
        // Closed words are in the language of their file, open ones in the program's.
        let language = if backed.is_open() {
            self.understood.language()
        } else {
            self.understood.language_for(&backed.place.file)
        };
        join_number_and_unit(language, &self.understood.words_of(backed))
    }

    fn target(&self, target: &Target, home: &str) -> Value {
        match target {
            Target::Address(address) => json!({"address": address}),
            Target::Lesson { id, section } => json!({
                "lesson": id,
                "section": section,
                "title": self.understood.lesson(id).map(|lesson| plain_text(&lesson.title)),
            }),
            Target::Section(section) => json!({
                "lesson": home,
                "section": section,
                "title": self.understood.lesson(home).map(|lesson| plain_text(&lesson.title)),
            }),
        }
    }

    fn series_view(&self, view: &SeriesView) -> Value {
        match (self.understood.fact(&view.fact), self.understood.series(&view.fact)) {
            (Some(fact), Some(series)) => series_data(fact, series, &view.title, view.as_table),
            // Proof tells of it; the words are printed so that nothing is lost.
            _ => json!({"kind": "paragraph", "inlines": [{"kind": "text", "text": view.title}]}),
        }
    }
}

/// Where the first of some words stands.
fn place_of(inlines: &[Inline]) -> Option<&Place> {
    inlines.iter().find_map(|inline| match inline {
        Inline::Text { place, .. } | Inline::Code { place, .. } => Some(place),
        Inline::Emphasis { inlines } | Inline::Strong { inlines } | Inline::Struck { inlines } => {
            place_of(inlines)
        }
        Inline::Link { place, .. } => Some(place),
        Inline::Backed(backed) => Some(&backed.place),
        Inline::Picture(picture) => Some(&picture.place),
        Inline::Footnote { .. } | Inline::SoftBreak | Inline::HardBreak => None,
    })
}

/// A series as data: for a chart or a table in a piece, and for a drawing by itself.
pub fn series_data(fact: &Fact, series: &Series, title: &str, as_table: bool) -> Value {
    let columns: Vec<(String, String)> =
        series.columns.iter().map(|column| series_column(&column.text)).collect();
    let rows: Vec<Vec<&str>> =
        series.rows.iter().map(|row| row.iter().map(|cell| cell.text.as_str()).collect()).collect();
    json!({
        "kind": "series",
        "fact": fact.name,
        "title": title,
        "as": if as_table { "table" } else { "chart" },
        "draw": match series.draw {
            Draw::Line => "line",
            Draw::Bars => "bars",
        },
        "columns": columns.iter().map(|(name, unit)| json!({"name": name, "unit": unit})).collect::<Vec<_>>(),
        "rows": rows,
        "source": fact.source.as_ref().map_or("", |source| source.text.as_str()),
        "alt": series_in_words(title, &columns, &rows),
    })
}

/// The data of a series as a sentence, for who cannot see the drawing.
fn series_in_words(title: &str, columns: &[(String, String)], rows: &[Vec<&str>]) -> String {
    let with_unit = |value: &str, unit: &str| {
        if unit.is_empty() { value.to_owned() } else { format!("{value} {unit}") }
    };
    let points: Vec<String> = rows
        .iter()
        .map(|row| {
            let cells: Vec<String> = row
                .iter()
                .zip(columns)
                .map(|(value, (name, unit))| format!("{name} {}", with_unit(value, unit)))
                .collect();
            cells.join(", ")
        })
        .collect();
    format!("{title}: {}.", points.join("; "))
}

fn picture(picture: &Picture) -> Value {
    json!({"kind": "picture", "file": picture.file, "alt": picture.alt, "caption": picture.caption})
}

fn align_name(align: &Align) -> &'static str {
    match align {
        Align::Start => "start",
        Align::Center => "center",
        Align::End => "end",
    }
}

/// A cue's name in data: its word in lower case.
pub fn cue_name(cue: Cue) -> &'static str {
    match cue {
        Cue::Say => "say",
        Cue::Ask => "ask",
        Cue::Bring => "bring",
        Cue::Try => "try",
        Cue::Caution => "caution",
        Cue::Warning => "warning",
        Cue::Danger => "danger",
    }
}

/// What inlines as data say, as one line without markup.
pub fn words(inlines: &Value) -> String {
    let mut said = String::new();
    push_words(inlines, &mut said);
    said
}

fn push_words(inlines: &Value, said: &mut String) {
    for inline in inlines.as_array().into_iter().flatten() {
        match inline["kind"].as_str().unwrap_or_default() {
            "text" | "code" => said.push_str(inline["text"].as_str().unwrap_or_default()),
            "figure" => said.push_str(inline["words"].as_str().unwrap_or_default()),
            "picture" => said.push_str(inline["alt"].as_str().unwrap_or_default()),
            "soft-break" | "hard-break" => said.push(' '),
            _ => push_words(&inline["inlines"], said),
        }
    }
}

/// [`join_number_and_unit`] in each figure of a text, and nowhere else.
fn figures_joined(language: &Language, text: &str) -> String {
    let mut joined = String::with_capacity(text.len());
    let mut done = 0;
    for figure in language.read(text).iter() {
        joined.push_str(&text[done..figure.span.start]);
        joined.push_str(&join_number_and_unit(language, &text[figure.span.clone()]));
        done = figure.span.end;
    }
    joined.push_str(&text[done..]);
    joined
}

/// Puts a no-break space between a number and its unit, and between digits and whatever word follows them, so
/// that a line never ends between the two: `ten feet`, `22 million pounds`.
pub fn join_number_and_unit(language: &Language, words: &str) -> String {
    let figures = language.read(words);
    let numbers_end = |at: usize| {
        let both = figures.iter().flat_map(|figure| [Some(figure), figure.dual.as_deref()]).flatten();
        both.into_iter().any(|figure| figure.number.end == at && at < figure.span.end)
    };
    let mut joined = String::with_capacity(words.len());
    let mut chars = words.char_indices().peekable();
    let mut last = ' ';
    while let Some((at, letter)) = chars.next() {
        let digits_before = last.is_ascii_digit() || matches!(last, '½' | '¼' | '¾' | '⅓' | '⅔');
        let follows = chars.peek().is_some_and(|(_, next)| next.is_alphabetic() || matches!(next, '°' | '%'));
        let is_joined = letter == ' ' && (digits_before || numbers_end(at)) && follows;
        joined.push(if is_joined { '\u{a0}' } else { letter });
        last = letter;
    }
    joined
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn number_and_unit_stay_together() {
        let joined = |language: &str, words: &str| join_number_and_unit(&Language::of(language, &[]), words);
        assert_eq!(joined("en", "about 22 million pounds"), "about 22\u{a0}million\u{a0}pounds");
        assert_eq!(joined("en", "5 to 10 gallons"), "5\u{a0}to 10\u{a0}gallons");
        assert_eq!(joined("en", "at most ten feet"), "at most ten\u{a0}feet");
        assert_eq!(joined("en", "six to ten feet (3 m)"), "six to ten\u{a0}feet (3\u{a0}m)");
        assert_eq!(joined("en", "two hundred feet"), "two hundred\u{a0}feet");
        assert_eq!(joined("es", "como máximo diez pies"), "como máximo diez\u{a0}pies");
    }

    #[test]
    fn figures_of_prose_stay_together_and_other_numbers_do_not() {
        let said = "In 2026 a mule carried 150 pounds (68 kg) for three days; see page 12 there.";
        assert_eq!(
            figures_joined(&Language::of("en", &[]), said),
            "In 2026 a mule carried 150\u{a0}pounds (68\u{a0}kg) for three\u{a0}days; see page 12 there."
        );
    }

    #[test]
    fn a_series_is_told_in_words() {
        let columns = [("air".to_owned(), "°F".to_owned()), ("asphalt".to_owned(), "°F".to_owned())];
        assert_eq!(
            series_in_words("Ground heat", &columns, &[vec!["77", "125"], vec!["86", "135"]]),
            "Ground heat: air 77 °F, asphalt 125 °F; air 86 °F, asphalt 135 °F."
        );
    }
}
