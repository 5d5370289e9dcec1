//! Inlines: text, emphasis, links, backed figures and pictures in a line.

use super::super::lesson::{Backed, Inline, Picture, SeriesView};
use super::targets::{FactLink, Unfit};
use super::{TreeBuilder, is_block, targets};
use crate::finding::{Place, rules};
use pulldown_cmark::{CowStr, Event, LinkType, Tag};
use std::ops::Range;

impl TreeBuilder<'_> {
    /// Reads inlines up to the end of the element that they stand in or the next block, which are left.
    pub(super) fn inlines(&mut self) -> Vec<Inline> {
        let mut inlines = Vec::new();
        let first = self.at;
        while let Some(event) = self.peek() {
            if matches!(event, Event::End(_)) || is_block(event) {
                break;
            }
            inlines.extend(self.inline());
        }
        self.tell_unread_marks(first..self.at);
        inlines
    }

    fn inline(&mut self) -> Option<Inline> {
        let (event, range) = self.next()?;
        Some(match event {
            Event::Text(text) => Inline::Text { text: text.into_string(), place: self.exact(range) },
            Event::Code(text) => {
                let place = self.code_place(&text, range);
                Inline::Code { text: text.into_string(), place }
            }
            Event::SoftBreak => Inline::SoftBreak,
            Event::HardBreak => Inline::HardBreak,
            Event::FootnoteReference(label) => {
                let place = self.place(range.clone());
                Inline::Footnote { blocks: self.footnote(&label, range), place }
            }
            Event::TaskListMarker(ticked) => {
                self.tick = Some(ticked);
                return None;
            }
            Event::InlineHtml(tag) => {
                if !tag.starts_with("</") {
                    self.tell_raw_html(range);
                }
                return None;
            }
            Event::Start(Tag::Emphasis) => Inline::Emphasis { inlines: self.inside(range, Self::inlines) },
            Event::Start(Tag::Strong) => Inline::Strong { inlines: self.inside(range, Self::inlines) },
            Event::Start(Tag::Strikethrough) => Inline::Struck { inlines: self.inside(range, Self::inlines) },
            Event::Start(Tag::Link { link_type, dest_url, .. }) => {
                return self.link(link_type, &dest_url, range);
            }
            Event::Start(Tag::Image { dest_url, title, .. }) => return self.image(&dest_url, title, range),
            _ => return None,
        })
    }

    /// The place of text; white space at its end belongs to it.
    fn exact(&self, range: Range<usize>) -> Place {
        Place::new(&self.file, self.offsets.range(range))
    }

    /// The place between the backticks, where the text stands there as it is.
    fn code_place(&self, text: &str, range: Range<usize>) -> Place {
        let at = self.text[range.clone()].find(text);
        self.exact(at.map_or(range.clone(), |at| range.start + at..range.start + at + text.len()))
    }

    fn link(&mut self, kind: LinkType, address: &str, range: Range<usize>) -> Option<Inline> {
        let first = self.at;
        let inlines = self.inside(range.clone(), Self::inlines);
        let words = self.words_range(first, &range);
        let place = self.place(range.clone());
        if let Some(link) = address.strip_prefix("fact:") {
            if matches!(kind, LinkType::Autolink) {
                let mend =
                    format!("Write [words](fact:{link}), or […](fact:{link}) for the fact's own words.");
                self.tell(&rules::LINK_UNFIT, range, "A backed figure has words of its own.", mend);
                return None;
            }
            return self.backed(link, &inlines, words, range).map(Inline::Backed);
        }
        let email;
        let address = if matches!(kind, LinkType::Email) {
            email = format!("mailto:{address}");
            &email
        } else {
            address
        };
        match targets::link(address) {
            Ok(target) => Some(Inline::Link { target, inlines, place }),
            Err(Unfit { rule, message, mend }) => {
                self.tell(rule, range, message, mend);
                None
            }
        }
    }

    /// The bytes between a link's brackets; its inner events run from `first` to the one before the end.
    fn words_range(&self, first: usize, link: &Range<usize>) -> Range<usize> {
        let start = link.start + 1;
        let last = self
            .events
            .get(first..self.at.saturating_sub(1))
            .and_then(|inner| inner.iter().map(|(_, range)| range.end).max());
        start..last.unwrap_or(start).max(start)
    }

    fn backed(
        &mut self,
        link: &str,
        inlines: &[Inline],
        words: Range<usize>,
        range: Range<usize>,
    ) -> Option<Backed> {
        // What is unfit of the link is told, and its figure is held against its fact all the same.
        let FactLink { fact, query } = match targets::fact(link, "unit") {
            Ok(link) => link,
            Err(Unfit { rule, message, mend }) => {
                self.tell(rule, range.clone(), message, mend);
                let fact = link.split('?').next().filter(|name| !name.is_empty())?.to_owned();
                FactLink { fact, query: None }
            }
        };
        // What is printed must be what stands in the file, so that it can be restated there.
        if inlines.iter().any(|inline| !matches!(inline, Inline::Text { .. } | Inline::SoftBreak)) {
            let message = "A backed figure can have only plain words between its brackets.";
            let mend = "Put asterisks and the like around the whole link: **[ten feet](fact:…)**.";
            self.tell(&rules::LINK_UNFIT, range.clone(), message, mend);
        }
        let spoken = plain_text(inlines);
        if spoken.trim().is_empty() {
            let mend = "Write the figure between the brackets, or “…” for the fact's own words.";
            self.tell(&rules::WORDS_MISSING, range, "This backed figure has no words.", mend);
            return None;
        }
        Some(Backed {
            fact,
            unit: query,
            words: spoken,
            words_place: self.place(words),
            place: self.place(range),
        })
    }

    fn image(&mut self, address: &str, title: CowStr, range: Range<usize>) -> Option<Inline> {
        let words = plain_text(&self.inside(range.clone(), Self::inlines));
        let place = self.place(range.clone());
        if let Some(link) = address.strip_prefix("fact:") {
            match targets::series(link) {
                Ok((fact, as_table)) => self.series.push(SeriesView { fact, title: words, as_table, place }),
                Err(Unfit { rule, message, mend }) => self.tell(rule, range, message, mend),
            }
            return None;
        }
        match targets::picture(address, self.in_lesson) {
            Ok(file) => {
                let caption = (!title.trim().is_empty()).then(|| title.into_string());
                Some(Inline::Picture(Picture { file, alt: words, caption, place }))
            }
            Err(Unfit { rule, message, mend }) => {
                self.tell(rule, range, message, mend);
                None
            }
        }
    }

    /// A mark without a footnote is read as plain text (`[^x]`), and must not be printed as such.
    /// `events` are those of one sequence of inlines, with what lies inside them.
    fn tell_unread_marks(&self, events: Range<usize>) {
        let mut depth = 0;
        let mut run: Option<Range<usize>> = None;
        let mut runs = Vec::new();
        for (event, range) in self.events.get(events).unwrap_or_default() {
            match (event, &mut run) {
                (Event::Text(_), Some(run)) if depth == 0 && run.end == range.start => run.end = range.end,
                (Event::Text(_), _) if depth == 0 => runs.extend(run.replace(range.clone())),
                (Event::Start(_), _) => depth += 1,
                (Event::End(_), _) => depth -= 1,
                _ => {}
            }
        }
        runs.extend(run);
        for run in runs {
            let text = &self.text[run.clone()];
            for (at, _) in text.match_indices("[^") {
                let is_escaped = self.text[..run.start + at].ends_with('\\');
                let label = text[at + 2..].split(']').next().unwrap_or("");
                let is_mark = at + 2 + label.len() < text.len() && !label.is_empty();
                if is_mark && !is_escaped {
                    let end = run.start + at + label.len() + 3;
                    self.tell_unknown_footnote(label, run.start + at..end);
                }
            }
        }
    }
}

/// The words of inlines without their markup.
pub(in crate::program) fn plain_text(inlines: &[Inline]) -> String {
    let mut text = String::new();
    for inline in inlines {
        match inline {
            Inline::Text { text: words, .. } | Inline::Code { text: words, .. } => text.push_str(words),
            Inline::Emphasis { inlines }
            | Inline::Strong { inlines }
            | Inline::Struck { inlines }
            | Inline::Link { inlines, .. } => text.push_str(&plain_text(inlines)),
            Inline::Backed(backed) => text.push_str(&backed.words),
            Inline::Picture(picture) => text.push_str(&picture.alt),
            Inline::SoftBreak | Inline::HardBreak => text.push(' '),
            Inline::Footnote { .. } => {}
        }
    }
    text
}
