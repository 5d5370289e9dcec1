//! Walks through a program's prose: every block and every inline in reading order, however deep it
//! stands, in footnotes too. Who looks for something in the prose looks here.

use super::Content;
use super::lesson::{Backed, Block, Inline, Lesson, Picture, Prose, Section, SeriesView};

/// Something met on a walk.
#[derive(Clone, Copy, Debug)]
pub enum Met<'p> {
    Block(&'p Block),
    Inline(&'p Inline),
}

impl<'p> Met<'p> {
    /// A picture, set off or in a line.
    pub fn picture(self) -> Option<&'p Picture> {
        match self {
            Self::Block(Block::Picture(picture)) | Self::Inline(Inline::Picture(picture)) => Some(picture),
            _ => None,
        }
    }

    /// A place where a series is to be drawn.
    pub fn series(self) -> Option<&'p SeriesView> {
        match self {
            Self::Block(Block::Series(view)) => Some(view),
            _ => None,
        }
    }

    pub fn backed(self) -> Option<&'p Backed> {
        match self {
            Self::Inline(Inline::Backed(backed)) => Some(backed),
            _ => None,
        }
    }
}

/// Everything in a lesson, titles and headings too.
pub fn lesson(lesson: &Lesson) -> Vec<Met<'_>> {
    let mut met = Vec::new();
    meet_inlines(&lesson.title, &mut met);
    meet_blocks(&lesson.opening, &mut met);
    lesson.sections.iter().for_each(|section| meet_section(section, &mut met));
    met
}

/// Everything in a section, its heading too.
pub fn section(section: &Section) -> Vec<Met<'_>> {
    let mut met = Vec::new();
    meet_section(section, &mut met);
    met
}

/// Everything in prose of a TOML file.
pub fn prose(prose: &Prose) -> Vec<Met<'_>> {
    let mut met = Vec::new();
    meet_inlines(&prose.inlines, &mut met);
    met
}

/// Everything in a program's lessons.
pub fn lessons(content: &Content) -> impl Iterator<Item = Met<'_>> {
    content.lessons.iter().flat_map(|own| lesson(own))
}

/// Everything in the prose that stands in TOML files.
pub fn settings(content: &Content) -> impl Iterator<Item = Met<'_>> {
    let settings = &content.settings;
    let mut found: Vec<&Prose> = settings.summary.iter().chain(settings.certificate.prose()).collect();
    found.extend(settings.habits.iter().filter_map(|habit| habit.text.as_ref()));
    found.extend(settings.glossary.iter().map(|term| &term.meaning));
    let questions = content.questions.list.iter();
    found.extend(questions.flat_map(|question| [Some(&question.ask), question.because.as_ref()]).flatten());
    for kit in &content.kits {
        found.extend(&kit.purpose);
        found.extend(kit.items.iter().flat_map(|item| [Some(&item.item), item.note.as_ref()]).flatten());
    }
    found.into_iter().flat_map(prose)
}

fn meet_section<'p>(section: &'p Section, met: &mut Vec<Met<'p>>) {
    meet_inlines(&section.heading, met);
    meet_blocks(&section.blocks, met);
}

fn meet_blocks<'p>(blocks: &'p [Block], met: &mut Vec<Met<'p>>) {
    for block in blocks {
        met.push(Met::Block(block));
        match block {
            Block::Heading { inlines, .. } | Block::Paragraph { inlines, .. } => meet_inlines(inlines, met),
            Block::List { items, .. } => items.iter().for_each(|item| meet_blocks(&item.blocks, met)),
            Block::Table { head, rows, .. } => {
                let cells = head.iter().chain(rows.iter().flatten());
                cells.for_each(|cell| meet_inlines(&cell.inlines, met));
            }
            Block::Cue { blocks, .. } | Block::Quote { blocks, .. } => meet_blocks(blocks, met),
            Block::Code { .. } | Block::Rule { .. } | Block::Picture(_) | Block::Series(_) => {}
        }
    }
}

fn meet_inlines<'p>(inlines: &'p [Inline], met: &mut Vec<Met<'p>>) {
    for inline in inlines {
        met.push(Met::Inline(inline));
        match inline {
            Inline::Emphasis { inlines }
            | Inline::Strong { inlines }
            | Inline::Struck { inlines }
            | Inline::Link { inlines, .. } => meet_inlines(inlines, met),
            Inline::Footnote { blocks, .. } => meet_blocks(blocks, met),
            Inline::Text { .. }
            | Inline::Code { .. }
            | Inline::Backed(_)
            | Inline::Picture(_)
            | Inline::SoftBreak
            | Inline::HardBreak => {}
        }
    }
}
