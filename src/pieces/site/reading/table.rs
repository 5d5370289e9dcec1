//! Tables of a page, which become stacks of their rows on a narrow screen.

use super::ProseWalker;
use crate::pieces::tree::words;
use serde_json::{Map, Value, json};

/// A table with more columns than this, or with a word of more letters than that, is set as a stack
/// of its rows on a narrow screen: two columns of such words are what 320 pixels hold.
const COLUMNS_SIDE_BY_SIDE: usize = 2;
const LETTERS_SIDE_BY_SIDE: usize = 15;

impl ProseWalker<'_> {
    /// Cells become `{"align","words"?,"inlines"}`; the words of a column's head go with each of its
    /// cells, for screens on which a row is a stack.
    pub(super) fn table(&mut self, mut node: Map<String, Value>, depth: usize, into: &mut Vec<Value>) {
        let align = node.remove("align").unwrap_or_default();
        let head = node.remove("head").unwrap_or_default();
        let rows = node.remove("rows").unwrap_or_default();
        let column_words: Vec<String> =
            elements(&head).iter().map(|cell| words(cell).trim().to_owned()).collect();
        let row = |cells: Value, reader: &mut Self| -> Value {
            let cells = into_elements(cells).into_iter().enumerate().map(|(column, inlines)| {
                json!({
                    "align": align.get(column).cloned().unwrap_or("start".into()),
                    "column": column_words.get(column),
                    "inlines": reader.nodes(inlines, depth + 1),
                })
            });
            cells.collect()
        };
        let long_words =
            elements(&head).iter().chain(elements(&rows).iter().flat_map(elements)).any(has_long_word);
        let stacks = column_words.len() > COLUMNS_SIDE_BY_SIDE || long_words;
        let head = row(head, self);
        let rows: Vec<Value> = into_elements(rows).into_iter().map(|cells| row(cells, self)).collect();
        node.insert("stacks".into(), stacks.into());
        node.insert("head".into(), head);
        node.insert("rows".into(), rows.into());
        into.push(Value::Object(node));
    }
}

fn has_long_word(cell: &Value) -> bool {
    // Not at no-break spaces: a number and its unit are one word to a line.
    words(cell).split([' ', '-']).any(|word| word.chars().count() > LETTERS_SIDE_BY_SIDE)
}

pub(super) fn elements(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}

fn into_elements(value: Value) -> Vec<Value> {
    match value {
        Value::Array(elements) => elements,
        _ => Vec::new(),
    }
}
