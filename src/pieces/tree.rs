//! Lesson trees as plain data for templates.
//!
//! Templates walk this data; nothing in it is ever parsed as their code. What the words leave to the
//! facts file is filled in here: an open backed figure gets the fact's own wording, a series its
//! rows. Places are left behind.

mod model;

pub use model::{
    Align, Block, Column, CueWord, Draw, Inline, Item, Lesson, Picture, Section, Series, SeriesAlone,
    SeriesForm, Target,
};

use crate::finding::Place;
use crate::program::facts::{self, Fact};
use crate::program::lesson::{self as written, Backed, SeriesView};
use crate::program::series_column;
use crate::quantity::Language;
use crate::understand::{Understood, plain_text};

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

    /// A lesson with everything in it.
    pub fn lesson(&self, lesson: &written::Lesson) -> Lesson {
        let section = |section: &written::Section| self.section(section, &lesson.id);
        self.lesson_with(lesson, lesson.sections.iter().map(section).collect())
    }

    /// A lesson with sections of another form in the place of its own.
    pub fn lesson_with<S>(&self, lesson: &written::Lesson, sections: Vec<S>) -> Lesson<S> {
        let syllabus = &self.understood.content.settings.syllabus;
        let position = syllabus.iter().position(|entry| entry.lesson == lesson.id);
        let entry = position.map(|at| &syllabus[at]);
        Lesson {
            id: lesson.id.clone(),
            language: self.language_of(lesson).map(str::to_owned),
            title: self.inlines_in(&lesson.title, &lesson.id),
            title_text: plain_text(&lesson.title),
            minutes: entry.map(|entry| entry.minutes),
            who: entry.and_then(|entry| entry.who.clone()),
            number: position.map(|at| at + 1),
            opening: self.blocks(&lesson.opening, &lesson.id),
            sections,
        }
    }

    /// The language (BCP 47) of a lesson that an edition has from the main one.
    pub fn language_of(&self, lesson: &written::Lesson) -> Option<&str> {
        self.other_language(&lesson.file)
    }

    /// A section of the lesson `home`.
    pub fn section(&self, section: &written::Section, home: &str) -> Section {
        Section {
            id: section.id.clone(),
            heading: self.nodes(&section.heading, home),
            heading_text: plain_text(&section.heading),
            blocks: self.blocks(&section.blocks, home),
        }
    }

    /// Blocks of the lesson `home`, which links without a lesson's name point into.
    pub fn blocks(&self, blocks: &[written::Block], home: &str) -> Vec<Block> {
        blocks.iter().map(|block| self.block(block, home)).collect()
    }

    /// Prose that stands in no lesson.
    pub fn inlines(&self, inlines: &[written::Inline]) -> Vec<Inline> {
        self.inlines_in(inlines, "")
    }

    /// Words of the lesson `home` that stand by themselves. Those that an edition has from the main one keep
    /// their language: one [`Inline::Language`] holds them.
    pub fn inlines_in(&self, inlines: &[written::Inline], home: &str) -> Vec<Inline> {
        let inlines_here = self.nodes(inlines, home);
        match place_of(inlines).and_then(|place| self.other_language(&place.file)) {
            Some(language) => {
                vec![Inline::Language { language: language.to_owned(), inlines: inlines_here }]
            }
            None => inlines_here,
        }
    }

    fn nodes(&self, inlines: &[written::Inline], home: &str) -> Vec<Inline> {
        inlines.iter().map(|inline| self.inline(inline, home)).collect()
    }

    /// The language of what stands in a file, where it is not that of the piece.
    fn other_language(&self, file: &str) -> Option<&str> {
        let content = self.understood.content;
        Some(content.language_of(file)).filter(|language| *language != content.settings.language)
    }

    fn block(&self, block: &written::Block, home: &str) -> Block {
        match block {
            written::Block::Heading { level, inlines, .. } => {
                Block::Heading { level: *level, inlines: self.nodes(inlines, home) }
            }
            written::Block::Paragraph { inlines, .. } => {
                Block::Paragraph { inlines: self.nodes(inlines, home) }
            }
            written::Block::List { start, items, .. } => {
                let item =
                    |item: &written::Item| Item { task: item.task, blocks: self.blocks(&item.blocks, home) };
                Block::List { start: *start, items: items.iter().map(item).collect() }
            }
            written::Block::Table { align, head, rows, .. } => {
                let cells = |row: &[written::Cell]| -> Vec<Vec<Inline>> {
                    row.iter().map(|cell| self.nodes(&cell.inlines, home)).collect()
                };
                Block::Table {
                    align: align.iter().map(align_of).collect(),
                    head: cells(head),
                    rows: rows.iter().map(|row| cells(row)).collect(),
                }
            }
            written::Block::Cue { cue, blocks, .. } => {
                Block::Cue { cue: (*cue).into(), blocks: self.blocks(blocks, home), anchor: None }
            }
            written::Block::Quote { blocks, .. } => Block::Quote { blocks: self.blocks(blocks, home) },
            written::Block::Code { text, .. } => Block::Code { text: text.clone() },
            written::Block::Rule { .. } => Block::Rule,
            written::Block::Picture(shown) => Block::Picture(picture(shown)),
            written::Block::Series(view) => self.series_view(view),
        }
    }

    fn inline(&self, inline: &written::Inline, home: &str) -> Inline {
        match inline {
            written::Inline::Text { text, place } => {
                Inline::Text { text: figures_joined(self.understood.language_for(&place.file), text) }
            }
            written::Inline::Emphasis { inlines } => Inline::Emphasis { inlines: self.nodes(inlines, home) },
            written::Inline::Strong { inlines } => Inline::Strong { inlines: self.nodes(inlines, home) },
            written::Inline::Struck { inlines } => Inline::Struck { inlines: self.nodes(inlines, home) },
            written::Inline::Code { text, .. } => Inline::Code { text: text.clone() },
            written::Inline::Link { target, inlines, .. } => {
                Inline::Link { to: self.target(target, home), inlines: self.nodes(inlines, home) }
            }
            written::Inline::Backed(backed) => {
                Inline::Figure { fact: backed.fact.clone(), words: self.words_of(backed) }
            }
            written::Inline::Picture(shown) => Inline::Picture(picture(shown)),
            written::Inline::Footnote { blocks, .. } => {
                Inline::Footnote { blocks: self.blocks(blocks, home) }
            }
            written::Inline::SoftBreak => Inline::SoftBreak,
            written::Inline::HardBreak => Inline::HardBreak,
        }
    }

    fn words_of(&self, backed: &Backed) -> String {
        // Closed words are in the language of their file, open ones in the program's.
        let language = if backed.is_open() {
            self.understood.language()
        } else {
            self.understood.language_for(&backed.place.file)
        };
        join_number_and_unit(language, &self.understood.printed_words_of(backed))
    }

    fn target(&self, target: &written::Target, home: &str) -> Target {
        let (lesson, section) = match target {
            written::Target::Address(address) => return Target::Address { address: address.clone() },
            written::Target::Lesson { id, section } => (id.clone(), section.clone()),
            written::Target::Section(section) => (home.to_owned(), Some(section.clone())),
        };
        let title = self.understood.lesson(&lesson).map(|lesson| plain_text(&lesson.title));
        Target::Lesson { lesson, section, title }
    }

    fn series_view(&self, view: &SeriesView) -> Block {
        match (self.understood.fact(&view.fact), self.understood.series(&view.fact)) {
            (Some(fact), Some(series)) => {
                let form = if view.as_table { SeriesForm::Table } else { SeriesForm::Chart };
                Block::Series(series_data(fact, series, &view.title, form))
            }
            // Proof tells of it; the words are printed so that nothing is lost.
            _ => Block::Paragraph { inlines: vec![Inline::Text { text: view.title.clone() }] },
        }
    }
}

/// Where the first of some words stands.
fn place_of(inlines: &[written::Inline]) -> Option<&Place> {
    inlines.iter().find_map(|inline| match inline {
        written::Inline::Text { place, .. } | written::Inline::Code { place, .. } => Some(place),
        written::Inline::Emphasis { inlines }
        | written::Inline::Strong { inlines }
        | written::Inline::Struck { inlines } => place_of(inlines),
        written::Inline::Link { place, .. } => Some(place),
        written::Inline::Backed(backed) => Some(&backed.place),
        written::Inline::Picture(picture) => Some(&picture.place),
        written::Inline::Footnote { .. } | written::Inline::SoftBreak | written::Inline::HardBreak => None,
    })
}

/// A series as data: for a chart or a table in a piece, and for a drawing by itself.
pub fn series_data(fact: &Fact, series: &facts::Series, title: &str, shown: SeriesForm) -> Series {
    let columns: Vec<(String, String)> =
        series.columns.iter().map(|column| series_column(&column.text)).collect();
    let rows: Vec<Vec<String>> =
        series.rows.iter().map(|row| row.iter().map(|cell| cell.text.clone()).collect()).collect();
    Series {
        fact: fact.name.clone(),
        title: title.to_owned(),
        shown,
        draw: match series.draw {
            facts::Draw::Line => Draw::Line,
            facts::Draw::Bars => Draw::Bars,
        },
        alt: series_in_words(title, &columns, &rows),
        columns: columns.into_iter().map(|(name, unit)| Column { name, unit }).collect(),
        rows,
        source: fact.source.as_ref().map(|source| source.text.clone()).unwrap_or_default(),
    }
}

/// The data of a series as a sentence, for who cannot see the drawing.
fn series_in_words(title: &str, columns: &[(String, String)], rows: &[Vec<String>]) -> String {
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

fn picture(picture: &written::Picture) -> Picture {
    Picture { file: picture.file.clone(), alt: picture.alt.clone(), caption: picture.caption.clone() }
}

fn align_of(align: &written::Align) -> Align {
    match align {
        written::Align::Start => Align::Start,
        written::Align::Center => Align::Center,
        written::Align::End => Align::End,
    }
}

/// What inlines say, as one line without markup.
pub fn words(inlines: &[Inline]) -> String {
    let mut said = String::new();
    push_words(inlines, &mut said);
    said
}

fn push_words(inlines: &[Inline], said: &mut String) {
    for inline in inlines {
        match inline {
            Inline::Text { text } | Inline::Code { text } => said.push_str(text),
            Inline::Figure { words, .. } => said.push_str(words),
            Inline::Picture(picture) => said.push_str(&picture.alt),
            Inline::SoftBreak | Inline::HardBreak => said.push(' '),
            Inline::Emphasis { inlines }
            | Inline::Strong { inlines }
            | Inline::Struck { inlines }
            | Inline::Link { inlines, .. }
            | Inline::Language { inlines, .. } => push_words(inlines, said),
            Inline::Footnote { .. } | Inline::IndexMark { .. } => {}
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
            series_in_words(
                "Ground heat",
                &columns,
                &[["77", "125"], ["86", "135"]].map(|row| row.map(str::to_owned).into())
            ),
            "Ground heat: air 77 °F, asphalt 125 °F; air 86 °F, asphalt 135 °F."
        );
    }
}
