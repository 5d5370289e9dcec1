//! From the common tree of a lesson to the tree of a page.
//!
//! [`super::super::tree`] says what a passage holds; a page must know besides where each link leads,
//! under which id each quoted figure stands, and what its foot notes are. A [`ProseWalker`] walks one
//! page's prose in reading order and fills that in. What the page leaves out (what the presenter says
//! and brings) is dropped here, so that no template can show it by mistake.

mod leads;
mod table;

use super::glossary::{self, Use};
use super::pages::{PageAddress, Pages};
use super::tree::{PageBlock, PageInline, PageItem, PageSection, PageSource};
use crate::pieces::terms;
use crate::pieces::tree::{Block, CueWord, Inline, Item, Section, words};
use crate::understand::Understood;
use std::collections::{BTreeMap, BTreeSet};

/// Templates walk a tree by components that call each other: at most twenty may be open at a time, and
/// each level of lists, cues or quotes takes two. Containers below this depth are opened and what they
/// hold is kept: no lesson is too deep to be made into a page.
const DEEPEST: usize = 8;

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
pub struct ProseWalker<'p> {
    pages: &'p Pages,
    page: &'p PageAddress,
    section: Option<String>,
    /// The level of the last heading, so that no level is skipped.
    level: u8,
    quoted: BTreeMap<String, usize>,
    in_link: bool,
    /// What backs the figures, for pages that tell it beside the text.
    facts: Option<&'p Understood<'p>>,
    /// The sources of the block that is being read.
    sources: Vec<PageSource>,
    /// Terms of the glossary that the page has not used yet, with their ids.
    terms: Vec<(&'p str, String)>,
    /// Whether what the presenter says and brings is kept.
    for_the_presenter: bool,
    /// Marks of notes inside a link, which must stand after it: a link cannot hold a link.
    held_back: Vec<PageInline>,
    /// Every quote on the page, in reading order.
    pub quotes: Vec<Quote>,
    /// The first use of each term on the page.
    pub uses: Vec<Use>,
    /// The blocks of each foot note; note 1 is the first.
    pub notes: Vec<Vec<PageBlock>>,
    /// Every picture of the program that the page shows.
    pub pictures: BTreeSet<String>,
}

impl<'p> ProseWalker<'p> {
    pub fn new(pages: &'p Pages, page: &'p PageAddress) -> Self {
        Self {
            pages,
            page,
            section: None,
            level: 1,
            quoted: BTreeMap::new(),
            in_link: false,
            facts: None,
            sources: Vec::new(),
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

    /// For pages that tell beside the text where figures come from.
    pub fn with_sources(mut self, understood: &'p Understood<'p>) -> Self {
        self.facts = Some(understood);
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

    /// Words outside sections: a title, a summary.
    pub fn read(&mut self, inlines: Vec<Inline>) -> Vec<PageInline> {
        self.inlines(inlines, 1)
    }

    /// Prose outside sections: an opening, a script.
    pub fn read_blocks(&mut self, blocks: Vec<Block>) -> Vec<PageBlock> {
        self.blocks_with_sources(blocks)
    }

    /// Words under a heading that the page gives them.
    pub fn read_under(&mut self, heading: &str, inlines: Vec<Inline>) -> Vec<PageInline> {
        self.section = Some(heading.to_owned());
        self.read(inlines)
    }

    /// A section of a lesson, with its heading's words beside it.
    pub fn section(&mut self, section: Section) -> PageSection {
        let heading_text = words(&section.heading);
        self.level = 2;
        self.section = Some(heading_text.clone());
        PageSection {
            heading: self.heading_words(section.heading, 1),
            heading_text,
            blocks: self.blocks_with_sources(section.blocks),
            href: self.page.link_to(&self.page.path, Some(&section.id)),
            id: section.id,
        }
    }

    /// Blocks that stand by themselves on the page, each after the sources of its figures.
    fn blocks_with_sources(&mut self, blocks: Vec<Block>) -> Vec<PageBlock> {
        let mut read = Vec::new();
        for block in blocks {
            let at = read.len();
            self.block(block, 1, &mut read);
            let sources = std::mem::take(&mut self.sources);
            if !sources.is_empty() {
                read.insert(at, PageBlock::Sources { sources });
            }
        }
        read
    }

    fn blocks(&mut self, blocks: Vec<Block>, depth: usize) -> Vec<PageBlock> {
        let mut read = Vec::new();
        self.blocks_into(blocks, depth, &mut read);
        read
    }

    fn blocks_into(&mut self, blocks: Vec<Block>, depth: usize, into: &mut Vec<PageBlock>) {
        for block in blocks {
            self.block(block, depth, into);
        }
    }

    fn block(&mut self, block: Block, depth: usize, into: &mut Vec<PageBlock>) {
        match block {
            Block::Cue { cue: CueWord::Say | CueWord::Bring, .. } if !self.for_the_presenter => {}
            Block::Cue { blocks, .. } | Block::Quote { blocks } if depth >= DEEPEST => {
                self.blocks_into(blocks, depth, into);
            }
            Block::Cue { cue, blocks, .. } => {
                into.push(PageBlock::Cue { cue, blocks: self.blocks(blocks, depth + 1) });
            }
            Block::Quote { blocks } => into.push(PageBlock::Quote { blocks: self.blocks(blocks, depth + 1) }),
            Block::List { start, items } => self.list(start, items, depth, into),
            Block::Table { align, head, rows } => into.push(self.table(&align, head, rows, depth)),
            Block::Heading { level, inlines } => into.extend(self.heading(level, inlines, depth)),
            Block::Paragraph { inlines } => {
                into.push(PageBlock::Paragraph { inlines: self.inlines(inlines, depth + 1) });
            }
            Block::Code { text } => into.push(PageBlock::Code { text }),
            Block::Rule => into.push(PageBlock::Rule),
            Block::Picture(picture) => into.push(match self.picture(picture) {
                Ok(picture) => PageBlock::Picture(picture),
                Err(alt) => PageBlock::MissingPicture { alt },
            }),
            Block::Series(series) => into.push(PageBlock::Series(Box::new(self.series(series)))),
        }
    }

    fn list(&mut self, start: Option<u64>, items: Vec<Item>, depth: usize, into: &mut Vec<PageBlock>) {
        if depth >= DEEPEST {
            return items.into_iter().for_each(|item| self.blocks_into(item.blocks, depth, into));
        }
        let tasks = items.iter().any(|item| item.task.is_some());
        let items = items
            .into_iter()
            .map(|item| PageItem { task: item.task, blocks: self.blocks(item.blocks, depth + 1) });
        let items = items.collect();
        into.push(PageBlock::List { start, tasks, items });
    }

    fn heading(&mut self, level: u8, inlines: Vec<Inline>, depth: usize) -> Option<PageBlock> {
        if words(&inlines).trim().is_empty() {
            return None;
        }
        self.level = level.min(self.level + 1).clamp(2, 6);
        let level = self.level;
        Some(PageBlock::Heading { level, inlines: self.heading_words(inlines, depth + 1) })
    }

    /// A heading is no place to look words up from.
    fn heading_words(&mut self, inlines: Vec<Inline>, depth: usize) -> Vec<PageInline> {
        let terms = std::mem::take(&mut self.terms);
        let read = self.inlines(inlines, depth);
        self.terms = terms;
        read
    }

    fn inlines(&mut self, inlines: Vec<Inline>, depth: usize) -> Vec<PageInline> {
        let mut read = Vec::new();
        self.inlines_into(inlines, depth, &mut read);
        read
    }

    fn inlines_into(&mut self, inlines: Vec<Inline>, depth: usize, into: &mut Vec<PageInline>) {
        for inline in inlines {
            self.inline(inline, depth, into);
        }
    }

    fn inline(&mut self, inline: Inline, depth: usize, into: &mut Vec<PageInline>) {
        match inline {
            Inline::Emphasis { inlines }
            | Inline::Strong { inlines }
            | Inline::Struck { inlines }
            | Inline::Language { inlines, .. }
                if depth >= DEEPEST =>
            {
                self.inlines_into(inlines, depth, into);
            }
            Inline::Emphasis { inlines } => {
                into.push(PageInline::Emphasis { inlines: self.inlines(inlines, depth + 1) });
            }
            Inline::Strong { inlines } => {
                into.push(PageInline::Strong { inlines: self.inlines(inlines, depth + 1) });
            }
            Inline::Struck { inlines } => {
                into.push(PageInline::Struck { inlines: self.inlines(inlines, depth + 1) });
            }
            Inline::Language { language, inlines } => {
                into.push(PageInline::Language { language, inlines: self.inlines(inlines, depth + 1) });
            }
            Inline::Link { to, inlines } => self.link(&to, inlines, depth, into),
            Inline::Text { text } => self.text(&text, into),
            Inline::Code { text } => into.push(PageInline::Code { text }),
            Inline::Figure { fact, words } => into.push(self.figure(fact, words)),
            // A slide has no foot for notes; the handbook prints them.
            Inline::Footnote { .. } if self.for_the_presenter => {}
            Inline::Footnote { blocks } => self.note(blocks, into),
            Inline::Picture(picture) => into.push(match self.picture(picture) {
                Ok(picture) => PageInline::Picture(picture),
                Err(alt) => PageInline::MissingPicture { alt },
            }),
            Inline::SoftBreak => into.push(PageInline::SoftBreak),
            Inline::HardBreak => into.push(PageInline::HardBreak),
            // Only the handbook has an index.
            Inline::IndexMark { .. } => {}
        }
    }

    /// A text, in which a term of the glossary leads to its meaning where the page uses it first.
    fn text(&mut self, text: &str, into: &mut Vec<PageInline>) {
        let mut rest = text;
        while !self.in_link {
            let waiting: Vec<&str> = self.terms.iter().map(|(word, _)| *word).collect();
            let Some((found, word)) = terms::next(rest, &waiting) else { break };
            let Some(at) = self.terms.iter().position(|(waits, _)| *waits == word) else { break };
            let (_, term) = self.terms.remove(at);
            if found.start > 0 {
                into.push(PageInline::Text { text: rest[..found.start].to_owned() });
            }
            let id = format!("use.{term}");
            let href = self.page.link_to(glossary::PAGE, Some(&term));
            into.push(PageInline::Term { id: id.clone(), href, words: rest[found.clone()].to_owned() });
            self.uses.push(Use { term, page: self.page.path.clone(), id });
            rest = &rest[found.end..];
        }
        if !rest.is_empty() {
            into.push(PageInline::Text { text: rest.to_owned() });
        }
    }

    fn note(&mut self, blocks: Vec<Block>, into: &mut Vec<PageInline>) {
        let at = self.notes.len();
        self.notes.push(Vec::new());
        let in_link = std::mem::replace(&mut self.in_link, false);
        let held_back = std::mem::take(&mut self.held_back);
        let level = self.level;
        self.notes[at] = self.blocks(blocks, 1);
        (self.in_link, self.held_back, self.level) = (in_link, held_back, level);
        let mark = PageInline::Note { number: at + 1 };
        if self.in_link { self.held_back.push(mark) } else { into.push(mark) }
    }
}

#[cfg(test)]
mod tests;
