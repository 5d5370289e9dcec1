//! Blocks: paragraphs, lists, tables, quotes and the rest.

use super::super::lesson::{Align, Block, Cell, Inline, Item};
use super::{TreeBuilder, is_block};
use crate::finding::rules;
use pulldown_cmark::{Alignment, Event, HeadingLevel, Tag, TagEnd};
use std::ops::Range;

impl TreeBuilder<'_> {
    /// Reads blocks up to the end of the element that they stand in, which is left.
    pub(super) fn blocks(&mut self) -> Vec<Block> {
        let mut blocks = Vec::new();
        while let Some(event) = self.peek() {
            match event {
                Event::End(_) => break,
                event if is_block(event) => blocks.extend(self.block()),
                _ => blocks.extend(self.tight_paragraph()),
            }
        }
        blocks
    }

    fn block(&mut self) -> Option<Block> {
        let (event, range) = self.next()?;
        let place = self.place(range.clone());
        Some(match event {
            Event::Rule => Block::Rule { place },
            Event::Start(Tag::Paragraph) => {
                let inlines = self.inside(range.clone(), Self::inlines);
                return self.paragraph(inlines, range);
            }
            Event::Start(Tag::Heading { level, .. }) => self.heading(level, range),
            Event::Start(Tag::BlockQuote(_)) => {
                let blocks = self.inside(range, Self::blocks);
                self.quote_or_cue(blocks, place)
            }
            Event::Start(Tag::CodeBlock(_)) => Block::Code { text: self.inside(range, Self::code), place },
            Event::Start(Tag::List(start)) => {
                Block::List { start, items: self.inside(range, Self::items), place }
            }
            Event::Start(Tag::Table(align)) => {
                let (head, rows) = self.inside(range, Self::table);
                Block::Table { align: align.into_iter().map(side).collect(), head, rows, place }
            }
            Event::Start(Tag::HtmlBlock) => {
                self.tell_raw_html(range);
                self.skip_to_end();
                return None;
            }
            // A footnote is read where its mark stands.
            Event::Start(_) => {
                self.skip_to_end();
                return None;
            }
            _ => return None,
        })
    }

    /// Inlines that stand in a list item or a footnote without a paragraph of their own.
    fn tight_paragraph(&mut self) -> Option<Block> {
        let start = self.peek_range().start;
        let inlines = self.inlines();
        let end = self.events[self.at - 1].1.end;
        self.paragraph(inlines, start..end)
    }

    /// A paragraph, or the one picture or series that it consists of.
    fn paragraph(&mut self, mut inlines: Vec<Inline>, range: Range<usize>) -> Option<Block> {
        let mut series = std::mem::take(&mut self.series);
        if inlines.is_empty() && series.len() == 1 {
            return series.pop().map(Block::Series);
        }
        self.series = series;
        self.refuse_series();
        if let [Inline::Picture(_)] = inlines[..]
            && let Some(Inline::Picture(picture)) = inlines.pop()
        {
            return Some(Block::Picture(picture));
        }
        (!inlines.is_empty()).then(|| Block::Paragraph { inlines, place: self.place(range) })
    }

    /// Tells the series that stand where none may.
    fn refuse_series(&mut self) {
        for series in std::mem::take(&mut self.series) {
            self.mistakes.tell(
                &rules::SERIES_IN_LINE,
                series.place,
                "A series is drawn as a chart or a table, so nothing else may stand in its paragraph.",
                "Put empty lines above and below it.",
            );
        }
    }

    /// Inlines where no series may stand.
    fn words(&mut self) -> Vec<Inline> {
        let inlines = self.inlines();
        self.refuse_series();
        inlines
    }

    fn heading(&mut self, level: HeadingLevel, range: Range<usize>) -> Block {
        let is_empty = matches!(self.peek(), Some(Event::End(_)));
        let inlines = self.inside(range.clone(), Self::words);
        if is_empty {
            self.tell(
                &rules::HEADING_EMPTY,
                range.clone(),
                "This heading has no words.",
                "Write them, or delete the “#”.",
            );
        }
        if self.depth > 0 && level <= HeadingLevel::H2 {
            self.tell(
                &rules::HEADING_MISPLACED,
                range.clone(),
                "A title or section cannot start inside a list, a quote or a footnote.",
                "Start the line at its left edge, with an empty line above it, or use ### here.",
            );
        }
        Block::Heading { level: level as u8, inlines, place: self.place(range) }
    }

    fn code(&mut self) -> String {
        let mut text = String::new();
        while let Some(Event::Text(line)) = self.peek() {
            text.push_str(line);
            self.at += 1;
        }
        text
    }

    fn items(&mut self) -> Vec<Item> {
        let outer = self.tick.take();
        let mut items = Vec::new();
        while let Some(Event::Start(Tag::Item)) = self.peek() {
            let range = self.peek_range();
            self.at += 1;
            let blocks = self.inside(range.clone(), Self::blocks);
            items.push(Item { task: self.tick.take(), blocks, place: self.place(range) });
        }
        self.tick = outer;
        items
    }

    fn table(&mut self) -> (Vec<Cell>, Vec<Vec<Cell>>) {
        let mut head = Vec::new();
        let mut rows = Vec::new();
        while let Some(Event::Start(tag)) = self.peek() {
            let is_head = tag.to_end() == TagEnd::TableHead;
            let range = self.peek_range();
            self.at += 1;
            let cells = self.inside(range, Self::cells);
            if is_head { head = cells } else { rows.push(cells) }
        }
        (head, rows)
    }

    fn cells(&mut self) -> Vec<Cell> {
        let mut cells = Vec::new();
        while let Some(Event::Start(Tag::TableCell)) = self.peek() {
            let range = self.peek_range();
            self.at += 1;
            let inlines = self.inside(range.clone(), Self::words);
            cells.push(Cell { inlines, place: self.place(range) });
        }
        cells
    }

    pub(super) fn tell_raw_html(&self, range: Range<usize>) {
        self.tell(
            &rules::RAW_HTML,
            range,
            "Raw HTML cannot be printed in every piece.",
            "Write it in Markdown. To print a “<”, put a backslash before it.",
        );
    }
}

fn side(alignment: Alignment) -> Align {
    match alignment {
        Alignment::None | Alignment::Left => Align::Start,
        Alignment::Center => Align::Center,
        Alignment::Right => Align::End,
    }
}
