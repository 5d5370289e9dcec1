//! Walks through a program's prose: every block and every inline, however deep it stands.

use crate::program::Program;
use crate::program::lesson::{Block, Inline, Lesson, Prose, Section};
use crate::program::questions::Questions;

/// Every block of a lesson, in the order in which it is read, and those within before the next.
pub fn blocks(lesson: &Lesson) -> Vec<&Block> {
    let mut found = Vec::new();
    let sections = lesson.sections.iter().flat_map(|section| &section.blocks);
    for block in lesson.opening.iter().chain(sections) {
        collect_blocks(block, &mut found);
    }
    found
}

/// Every block of a section.
pub fn section_blocks(section: &Section) -> Vec<&Block> {
    let mut found = Vec::new();
    section.blocks.iter().for_each(|block| collect_blocks(block, &mut found));
    found
}

/// Every inline of a lesson: title, headings, blocks and footnotes.
pub fn inlines(lesson: &Lesson) -> Vec<&Inline> {
    let mut found = Vec::new();
    collect_inlines(&lesson.title, &mut found);
    lesson.sections.iter().for_each(|section| collect_inlines(&section.heading, &mut found));
    for block in blocks(lesson) {
        match block {
            Block::Heading { inlines, .. } | Block::Paragraph { inlines, .. } => {
                collect_inlines(inlines, &mut found);
            }
            Block::Table { head, rows, .. } => {
                for cell in head.iter().chain(rows.iter().flatten()) {
                    collect_inlines(&cell.inlines, &mut found);
                }
            }
            _ => {}
        }
    }
    found
}

/// Every inline of the prose that stands in TOML files.
pub fn prose_inlines(program: &Program) -> Vec<&Inline> {
    let mut found = Vec::new();
    prose(program).into_iter().for_each(|prose| collect_inlines(&prose.inlines, &mut found));
    found
}

fn prose(program: &Program) -> Vec<&Prose> {
    let settings = &program.settings;
    let mut found: Vec<&Prose> = settings.summary.iter().chain(&settings.certificate.text).collect();
    found.extend(settings.principles.iter().filter_map(|principle| principle.text.as_ref()));
    let Questions { list, .. } = &program.questions;
    found.extend(list.iter().flat_map(|question| [Some(&question.ask), question.because.as_ref()]).flatten());
    for kit in &program.kits {
        found.extend(&kit.purpose);
        found.extend(kit.items.iter().flat_map(|item| [Some(&item.item), item.note.as_ref()]).flatten());
    }
    found
}

fn collect_blocks<'p>(block: &'p Block, found: &mut Vec<&'p Block>) {
    found.push(block);
    match block {
        Block::List { items, .. } => {
            items.iter().flat_map(|item| &item.blocks).for_each(|block| collect_blocks(block, found));
        }
        Block::Cue { blocks, .. } | Block::Quote { blocks, .. } => {
            blocks.iter().for_each(|block| collect_blocks(block, found));
        }
        _ => {}
    }
}

fn collect_inlines<'p>(inlines: &'p [Inline], found: &mut Vec<&'p Inline>) {
    for inline in inlines {
        found.push(inline);
        match inline {
            Inline::Emphasis { inlines }
            | Inline::Strong { inlines }
            | Inline::Struck { inlines }
            | Inline::Link { inlines, .. } => collect_inlines(inlines, found),
            Inline::Footnote { blocks, .. } => {
                for block in blocks {
                    if let Block::Paragraph { inlines, .. } = block {
                        collect_inlines(inlines, found);
                    }
                }
            }
            _ => {}
        }
    }
}
