//! Markdown: CommonMark events become the typed tree of [`super::lesson`].
//!
//! The parser is pulldown-cmark; here its events are read by descent: [`blocks`] reads blocks,
//! [`inlines`] what stands in them, [`targets`] what links and pictures point to, [`cues`] the block
//! quotes that are cues, [`headings`] the names of sections. Each node keeps the bytes it was read
//! from, by way of [`SourceMap`].

mod blocks;
mod cues;
mod headings;
mod inlines;
mod targets;

pub(super) use inlines::plain_text;

use super::Written;
use super::bounds;
use super::files::Page;
use super::lesson::{Block, Inline, Lesson, Prose, SeriesView};
use super::mistakes::{Mistakes, offer};
use super::source_map::SourceMap;
use crate::finding::{FileName, Place, Rule, rules};
use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};
use std::collections::BTreeMap;
use std::ops::Range;

/// How deep lists, quotes and emphasis may lie in one another.
const DEEPEST: usize = 24;

/// Reads a lesson; `id` is its file's name without folder and ending.
pub(super) fn lesson(page: &Page, id: &str, mistakes: &Mistakes) -> Lesson {
    let (start, front) = front_matter(page.text());
    if let Some(front) = front {
        mistakes.tell(
            &rules::FRONT_MATTER,
            page.place(front),
            "A lesson starts with its title and has no settings above it.",
            "Delete these lines; minutes and order are in program.toml.",
        );
    }
    let options = Options::ENABLE_TABLES
        | Options::ENABLE_FOOTNOTES
        | Options::ENABLE_STRIKETHROUGH
        | Options::ENABLE_TASKLISTS;
    let offsets = SourceMap::shifted(page.mark + start);
    let text = bounds::lesson(page, start, mistakes);
    let mut reader = TreeBuilder::new(&text, options, page.file.clone(), offsets, mistakes);
    let blocks = reader.blocks();
    reader.tell_unused_footnotes();
    headings::lesson(id, page.file.clone(), blocks, &reader)
}

/// Reads inline CommonMark from a string of a TOML file.
pub(super) fn prose(page: &Page, written: &Written, offsets: SourceMap, mistakes: &Mistakes) -> Prose {
    let mut reader =
        TreeBuilder::new(&written.text, Options::ENABLE_STRIKETHROUGH, page.file.clone(), offsets, mistakes);
    let mut blocks = reader.blocks().into_iter();
    let inlines = match (blocks.next(), blocks.next()) {
        (Some(Block::Paragraph { inlines, .. }), None) => inlines,
        (Some(Block::Picture(picture)), None) => vec![Inline::Picture(picture)],
        (None, None) => Vec::new(),
        _ => {
            mistakes.tell(
                &rules::PROSE_UNFIT,
                written.place.clone(),
                "This text can only be one paragraph, and it has a list, a heading or several paragraphs.",
                "Write it as one paragraph; a “\\\\” before a sign such as # or - makes it a plain letter.",
            );
            Vec::new()
        }
    };
    Prose { inlines, place: written.place.clone() }
}

/// Where the lesson proper starts, and the lines above it that are front matter.
fn front_matter(text: &str) -> (usize, Option<Range<usize>>) {
    let mut lines = text.split_inclusive('\n');
    let first = lines.next().unwrap_or("");
    if first.trim_end() != "---" {
        return (0, None);
    }
    let mut end = first.len();
    for line in lines {
        end += line.len();
        if matches!(line.trim_end(), "---" | "...") {
            return (end, Some(0..first.trim_end().len()));
        }
    }
    (first.len(), Some(0..first.trim_end().len()))
}

/// Reads events into the tree.
struct TreeBuilder<'a> {
    text: &'a str,
    file: FileName,
    offsets: SourceMap,
    mistakes: &'a Mistakes,
    /// Whether this is a lesson's file and not a string of another.
    in_lesson: bool,
    events: Vec<(Event<'a>, Range<usize>)>,
    /// The next event.
    at: usize,
    depth: usize,
    footnotes: BTreeMap<String, Footnote>,
    /// Fact series that were met in the paragraph that is being read.
    series: Vec<SeriesView>,
    /// Whether the list item that is being read is ticked, where it can be.
    tick: Option<bool>,
}

/// A footnote's definition.
struct Footnote {
    /// The event after its start.
    at: usize,
    place: Place,
    used: bool,
}

impl<'a> TreeBuilder<'a> {
    fn new(
        text: &'a str,
        options: Options,
        file: FileName,
        offsets: SourceMap,
        mistakes: &'a Mistakes,
    ) -> Self {
        let events = Parser::new_ext(text, options).into_offset_iter().collect();
        let mut reader = Self {
            text,
            file,
            offsets,
            mistakes,
            in_lesson: options.contains(Options::ENABLE_FOOTNOTES),
            events,
            at: 0,
            depth: 0,
            footnotes: BTreeMap::new(),
            series: Vec::new(),
            tick: None,
        };
        reader.find_footnotes();
        reader
    }

    fn peek(&self) -> Option<&Event<'a>> {
        self.events.get(self.at).map(|(event, _)| event)
    }

    /// The bytes of the next event in [`TreeBuilder::text`]; the end of the text where there is none.
    fn peek_range(&self) -> Range<usize> {
        self.events.get(self.at).map_or(self.text.len()..self.text.len(), |(_, range)| range.clone())
    }

    fn next(&mut self) -> Option<(Event<'a>, Range<usize>)> {
        let event = self.events.get(self.at).cloned();
        self.at += 1;
        event
    }

    /// The place of a range of the text, without white space after it.
    fn place(&self, range: Range<usize>) -> Place {
        let words = self.text.get(range.clone()).unwrap_or("");
        let end = range.start + words.trim_end().len();
        Place::new(&self.file, self.offsets.range(range.start..end))
    }

    fn tell(
        &self,
        rule: &'static Rule,
        range: Range<usize>,
        message: impl Into<String>,
        mend: impl Into<String>,
    ) {
        self.mistakes.tell(rule, self.place(range), message, mend);
    }

    /// Reads what stands inside an element whose start was just taken, then takes its end. What lies
    /// too deep is told and passed over.
    fn inside<T: Default>(&mut self, range: Range<usize>, read: impl FnOnce(&mut Self) -> T) -> T {
        self.depth += 1;
        let value = if self.depth > DEEPEST {
            self.tell(
                &rules::NESTED_TOO_DEEP,
                range,
                format!("Lists, quotes or emphasis are nested more than {DEEPEST} deep here."),
                "Use fewer levels.",
            );
            T::default()
        } else {
            read(self)
        };
        self.depth -= 1;
        self.skip_to_end();
        value
    }

    /// Passes over what is left of an element, and its end.
    fn skip_to_end(&mut self) {
        let mut open = 1;
        while open > 0 {
            match self.next() {
                Some((Event::Start(_), _)) => open += 1,
                Some((Event::End(_), _)) => open -= 1,
                Some(_) => {}
                None => return,
            }
        }
    }

    fn find_footnotes(&mut self) {
        for at in 0..self.events.len() {
            let (Event::Start(Tag::FootnoteDefinition(label)), range) = &self.events[at] else { continue };
            let (label, range) = (label.to_lowercase(), range.clone());
            if self.footnotes.contains_key(&label) {
                let message = format!("There are two footnotes [^{label}].");
                self.tell(&rules::NAME_DOUBLED, range, message, "Give one of them another name.");
                continue;
            }
            let footnote = Footnote { at: at + 1, place: self.place(range), used: false };
            self.footnotes.insert(label, footnote);
        }
    }

    /// The blocks of a footnote, whose mark stands at `range`.
    fn footnote(&mut self, label: &str, range: Range<usize>) -> Vec<Block> {
        let Some(footnote) = self.footnotes.get_mut(&label.to_lowercase()) else {
            self.tell_unknown_footnote(label, range);
            return Vec::new();
        };
        if std::mem::replace(&mut footnote.used, true) {
            let message = format!(
                "The footnote [^{label}] has more than one mark, but is printed where its mark stands."
            );
            self.tell(&rules::FOOTNOTE_DOUBLED, range, message, "Give each mark a footnote of its own.");
            return Vec::new();
        }
        let back = std::mem::replace(&mut self.at, footnote.at);
        let blocks = self.inside(range, Self::blocks);
        self.at = back;
        blocks
    }

    fn tell_unknown_footnote(&self, label: &str, range: Range<usize>) {
        if !self.in_lesson {
            let mend = "Put the note into the text.";
            self.tell(&rules::FOOTNOTE_UNKNOWN, range, "Only lessons can have footnotes.", mend);
            return;
        }
        let message = format!("There is no footnote [^{label}].");
        let known = self.footnotes.keys().map(String::as_str);
        let otherwise = format!("Add a line that starts with [^{label}]: and the note.");
        let mend = offer(label, known, &otherwise);
        self.tell(&rules::FOOTNOTE_UNKNOWN, range, message, mend);
    }

    fn tell_unused_footnotes(&self) {
        for (label, footnote) in &self.footnotes {
            if !footnote.used {
                self.mistakes.tell(
                    &rules::FOOTNOTE_UNUSED,
                    footnote.place.clone(),
                    format!("The footnote [^{label}] has no mark in the text, so it would not be printed."),
                    format!("Put [^{label}] where the note belongs, or take the note out."),
                );
            }
        }
    }
}

/// Whether an event starts or is a block.
fn is_block(event: &Event) -> bool {
    match event {
        Event::Start(tag) => !matches!(
            tag.to_end(),
            TagEnd::Emphasis
                | TagEnd::Strong
                | TagEnd::Strikethrough
                | TagEnd::Superscript
                | TagEnd::Subscript
                | TagEnd::Link
                | TagEnd::Image
        ),
        Event::Rule => true,
        _ => false,
    }
}
