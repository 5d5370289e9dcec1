//! Splits what is too much for one slide: lists and tables between their items, blocks between one another.
//!
//! How much a slide holds is reckoned here from the number of letters, so that the plan stays a pure
//! function; whether it fits in truth is found by laying it out, and told where it does not.

use crate::program::lesson::{Block, Cell, Inline, Item};
use crate::understand::plain_text;

/// Tenths of a line of the smallest type of a slide.
type Tenths = usize;

/// What a slide may hold below its heading. Up to here a section stays one slide.
const MOST: Tenths = 150;
/// What a slide surely holds: how much of a section that is split goes on each.
const SURELY: Tenths = 110;
/// Letters in a line of the smallest type, across the slide; beside a picture it has half of it.
const LETTERS: usize = 66;
/// Between blocks and between items.
const GAP: Tenths = 4;
/// Between the rows of a table, which have a rule.
const ROW_GAP: Tenths = 7;

/// The blocks of each slide, in order; what fits stays one, and what cannot be split stays whole.
pub fn parts(blocks: &[Block]) -> Vec<Vec<Block>> {
    if blocks.is_empty() {
        return Vec::new();
    }
    let drawn = blocks.iter().any(|block| matches!(block, Block::Picture(_) | Block::Series(_)));
    let letters = if drawn { LETTERS / 2 } else { LETTERS };
    let whole: Tenths = blocks.iter().map(|block| height(block, letters)).sum();
    if whole <= MOST {
        return vec![blocks.to_vec()];
    }
    let pieces: Vec<Block> = blocks.iter().flat_map(|block| pieces(block, letters)).collect();
    let whole: Tenths = pieces.iter().map(|piece| height(piece, letters)).sum();
    // Even shares look better than full slides and one with the rest: each piece goes to the share in
    // which its middle falls.
    let count = whole.div_ceil(SURELY);
    let mut parts = vec![Vec::new()];
    let (mut above, mut share) = (0, 0);
    for piece in pieces {
        let takes = height(&piece, letters);
        let its_share = (above + takes / 2) * count / whole;
        if its_share > share && above > 0 {
            open_part(&mut parts);
            share = its_share;
        }
        above += takes;
        join(parts.last_mut().expect("there is always a first part"), piece);
    }
    parts
}

/// Opens a new part; a heading that would end the one before goes with it.
fn open_part(parts: &mut Vec<Vec<Block>>) {
    let last = parts.last_mut().expect("there is always a first part");
    let heading = last.pop_if(|block| matches!(block, Block::Heading { .. }));
    let new = Vec::from_iter(heading);
    if last.is_empty() {
        *last = new;
    } else {
        parts.push(new);
    }
}

/// A block as what can be put on a slide by itself: a long list item by item, a long table row by row.
fn pieces(block: &Block, letters: usize) -> Vec<Block> {
    match block {
        Block::List { start, items, place } if height(block, letters) > SURELY / 2 => {
            let number = |at: usize| start.map(|first| first + at as u64);
            let alone = |(at, item): (usize, &Item)| Block::List {
                start: number(at),
                items: vec![item.clone()],
                place: place.clone(),
            };
            items.iter().enumerate().map(alone).collect()
        }
        Block::Table { align, head, rows, place } if height(block, letters) > SURELY / 2 => {
            let alone = |row: &Vec<Cell>| Block::Table {
                align: align.clone(),
                head: head.clone(),
                rows: vec![row.clone()],
                place: place.clone(),
            };
            rows.iter().map(alone).collect()
        }
        other => vec![other.clone()],
    }
}

/// Puts a piece behind a part; what was split off the same list or table goes together again.
fn join(part: &mut Vec<Block>, piece: Block) {
    match (part.last_mut(), piece) {
        (Some(Block::List { items, place, .. }), Block::List { items: more, place: from, .. })
            if *place == from =>
        {
            items.extend(more);
        }
        (Some(Block::Table { rows, place, .. }), Block::Table { rows: more, place: from, .. })
            if *place == from =>
        {
            rows.extend(more);
        }
        (_, piece) => part.push(piece),
    }
}

/// How high a block stands where a line has so many letters. Signal boxes, asks and tables of many
/// columns run across the slide, also below a picture.
fn height(block: &Block, letters: usize) -> Tenths {
    let all = |blocks: &[Block], letters| blocks.iter().map(|block| height(block, letters)).sum::<Tenths>();
    match block {
        Block::Heading { inlines, .. } => lines(count(inlines), letters) + 3 * GAP,
        Block::Paragraph { inlines, .. } => lines(count(inlines), letters) + GAP,
        Block::List { items, .. } => items.iter().map(|item| all(&item.blocks, letters - 4)).sum(),
        Block::Table { head, rows, .. } => {
            let letters = if head.len() > 2 { LETTERS } else { letters };
            // Columns take what their words need, so that a row is as high as its words are long. The
            // head, which each slide repeats, is little beside them.
            let row = |cells: &[Cell]| {
                let all = cells.iter().map(|cell| count(&cell.inlines) + 2).sum();
                lines(all, letters) + ROW_GAP
            };
            rows.iter().map(|cells| row(cells)).sum()
        }
        Block::Cue { blocks, .. } => all(blocks, LETTERS - 8) + 2 * GAP,
        Block::Quote { blocks, .. } => all(blocks, letters - 4),
        Block::Code { text, .. } => text.lines().count() * 10 + GAP,
        Block::Rule { .. } => 10,
        // They stand beside the text, or alone and take what room there is.
        Block::Picture(_) | Block::Series(_) => 0,
    }
}

fn count(inlines: &[Inline]) -> usize {
    plain_text(inlines).chars().count()
}

fn lines(count: usize, letters: usize) -> Tenths {
    count.div_ceil(letters.max(8)).max(1) * 10
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Place;

    fn place() -> Place {
        Place::whole("lessons/a.md")
    }

    fn item(text: &str) -> Item {
        let inlines = vec![Inline::Text { text: text.into(), place: place() }];
        Item { task: None, blocks: vec![Block::Paragraph { inlines, place: place() }], place: place() }
    }

    fn list(count: usize, start: Option<u64>) -> Block {
        let items = (1..=count).map(|at| item(&format!("thing {at}"))).collect();
        Block::List { start, items, place: place() }
    }

    fn items(part: &[Block]) -> Vec<usize> {
        let count = |block: &Block| if let Block::List { items, .. } = block { items.len() } else { 0 };
        part.iter().map(count).collect()
    }

    #[test]
    fn what_fits_stays_one_slide() {
        assert_eq!(parts(&[list(9, None)]), [vec![list(9, None)]]);
        assert!(parts(&[]).is_empty());
    }

    #[test]
    fn a_long_list_is_split_evenly_and_counts_on() {
        let parts = parts(&[list(22, Some(1))]);
        let counts: Vec<Vec<usize>> = parts.iter().map(|part| items(part)).collect();
        assert_eq!(counts, [[7], [8], [7]]);
        let Block::List { start, .. } = &parts[1][0] else { panic!("a list") };
        assert_eq!(*start, Some(8));
    }

    #[test]
    fn nothing_is_lost_and_a_heading_goes_with_what_follows_it() {
        let heading = Block::Heading { level: 3, inlines: vec![], place: Place::whole("lessons/b.md") };
        let long = Block::List {
            start: None,
            items: vec![item(&"word ".repeat(120))],
            place: Place::whole("lessons/c.md"),
        };
        let blocks = [list(8, None), heading, long];
        let parts = parts(&blocks);
        let mut all = Vec::new();
        parts.concat().into_iter().for_each(|piece| join(&mut all, piece));
        assert!(all == blocks);
        assert!(parts.len() > 1);
        assert!(!parts.iter().any(|part| matches!(part.last(), Some(Block::Heading { .. }))), "{parts:#?}");
    }
}
