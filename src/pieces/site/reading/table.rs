//! Tables of a page, which become stacks of their rows on a narrow screen.

use super::ProseWalker;
use crate::pieces::site::tree::{PageBlock, PageCell};
use crate::pieces::tree::{Align, Inline, words};

/// A table with more columns than this, or with a word of more letters than that, is set as a stack
/// of its rows on a narrow screen: two columns of such words are what 320 pixels hold.
const COLUMNS_SIDE_BY_SIDE: usize = 2;
const LETTERS_SIDE_BY_SIDE: usize = 15;

impl ProseWalker<'_> {
    /// The words of a column's head go with each of its cells, for screens on which a row is a stack.
    pub(super) fn table(
        &mut self,
        align: &[Align],
        head: Vec<Vec<Inline>>,
        rows: Vec<Vec<Vec<Inline>>>,
        depth: usize,
    ) -> PageBlock {
        let column_words: Vec<String> = head.iter().map(|cell| words(cell).trim().to_owned()).collect();
        let long_words = head.iter().chain(rows.iter().flatten()).any(|cell| has_long_word(cell));
        let stacks = column_words.len() > COLUMNS_SIDE_BY_SIDE || long_words;
        let row = |cells: Vec<Vec<Inline>>, reader: &mut Self| -> Vec<PageCell> {
            let cells = cells.into_iter().enumerate().map(|(column, inlines)| PageCell {
                align: align.get(column).copied().unwrap_or(Align::Start),
                column: column_words.get(column).cloned(),
                inlines: reader.inlines(inlines, depth + 1),
            });
            cells.collect()
        };
        let head = row(head, self);
        let rows = rows.into_iter().map(|cells| row(cells, self)).collect();
        PageBlock::Table { stacks, head, rows }
    }
}

fn has_long_word(cell: &[Inline]) -> bool {
    // Not at no-break spaces: a number and its unit are one word to a line.
    words(cell).split([' ', '-']).any(|word| word.chars().count() > LETTERS_SIDE_BY_SIDE)
}
