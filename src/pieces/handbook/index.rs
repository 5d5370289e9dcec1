//! The index of the handbook: which words are in it, and marks where they stand in the text.
//!
//! Three kinds of words lead somewhere: terms of the glossary, wherever they stand; the words that a
//! fact is called by and that name a thing ([`super::things`]), in the sections that quote it; and the headings of
//! sections. Pages are known only once the handbook is laid out: the marks are for the template, which gathers them by page.

use super::things::Things;
use crate::pieces::terms::{self, key, two_letters, wanted};
use crate::pieces::tree::{self, Block, Inline};
use crate::program::lesson::{Lesson, Section};
use crate::program::walk::{self, Met};
use crate::understand::{Understood, plain_text};
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// An entry of the index. Its pages are those of its marks in the text, and those on which its sections start.
#[derive(Serialize, JsonSchema)]
pub struct IndexEntry {
    words: String,
    /// The letter that it stands under; # where it begins with none.
    letter: String,
    /// The `word` of its marks in the text; null where it has none.
    mark: Option<String>,
    /// The sections that it heads: lesson#section.
    anchors: Vec<String>,
}

/// Marks the words of the index in the lessons' data, and gives its entries by the alphabet.
pub fn make(understood: &Understood, lessons: &[Lesson], told: &mut [tree::Lesson]) -> Vec<IndexEntry> {
    let terms: Vec<&str> =
        understood.content.settings.glossary.iter().map(|term| term.term.as_str()).collect();
    let things = Things::of(understood);
    let mut entries: BTreeMap<String, Entry> = BTreeMap::new();
    for term in &terms {
        entry(&mut entries, term).marked = true;
    }
    for (lesson, told) in lessons.iter().zip(told) {
        let words = wanted(terms.iter().copied());
        mark_blocks(&mut told.opening, &words, &mut entries);
        for (section, told) in lesson.sections.iter().zip(&mut told.sections) {
            let called = called_in(understood, section).filter(|words| things.has(words));
            let words = wanted(terms.iter().copied().chain(called));
            mark_blocks(&mut told.blocks, &words, &mut entries);
            let anchor = format!("{}#{}", lesson.id, section.id);
            entry(&mut entries, &plain_text(&section.heading)).anchors.push(anchor);
        }
    }
    join_plurals(&mut entries);
    entries.into_iter().filter(|(key, _)| two_letters(key)).map(|(key, entry)| entry.told(&key)).collect()
}

/// What the index says of one word.
struct Entry {
    words: String,
    /// Whether marks in the text belong to it.
    marked: bool,
    /// The sections that it heads.
    anchors: Vec<String>,
}

impl Entry {
    fn told(self, key: &str) -> IndexEntry {
        let first = key.chars().next().filter(|letter| letter.is_alphabetic());
        IndexEntry {
            words: self.words,
            letter: first.map_or_else(|| "#".to_owned(), |letter| letter.to_uppercase().collect()),
            mark: self.marked.then(|| key.to_owned()),
            anchors: self.anchors,
        }
    }
}

/// The entry of some words; the first way of writing them is the one that is printed.
fn entry<'e>(entries: &'e mut BTreeMap<String, Entry>, words: &str) -> &'e mut Entry {
    let new = || Entry { words: words.to_owned(), marked: false, anchors: Vec::new() };
    entries.entry(key(words)).or_insert_with(new)
}

/// A section that is headed by the plural of a word stands with the word.
fn join_plurals(entries: &mut BTreeMap<String, Entry>) {
    let has_singular = |key: &&String| key.strip_suffix('s').is_some_and(|one| entries.contains_key(one));
    for plural in entries.keys().filter(has_singular).cloned().collect::<Vec<_>>() {
        if entries[&plural].marked {
            continue;
        }
        let anchors = entries.remove(&plural).map(|entry| entry.anchors).unwrap_or_default();
        if let Some(singular) = entries.get_mut(&plural[..plural.len() - 1]) {
            singular.anchors.extend(anchors);
        }
    }
}

/// The words by which the facts are called that a section quotes.
fn called_in<'u>(understood: &'u Understood, section: &'u Section) -> impl Iterator<Item = &'u str> {
    let quotes = walk::section(section);
    let facts: BTreeSet<&str> = quotes
        .into_iter()
        .filter_map(|met: Met| {
            met.backed().map(|backed| &backed.fact).or(met.series().map(|view| &view.fact))
        })
        .map(String::as_str)
        .collect();
    let facts = facts.into_iter().filter_map(|name| understood.fact(name));
    facts.flat_map(|fact| fact.called.iter().map(String::as_str))
}

/// Puts marks into every line of text, but for headings.
fn mark_blocks(blocks: &mut [Block], words: &[&str], entries: &mut BTreeMap<String, Entry>) {
    for block in blocks {
        match block {
            Block::Paragraph { inlines } => mark_inlines(inlines, words, entries),
            Block::List { items, .. } => {
                items.iter_mut().for_each(|item| mark_blocks(&mut item.blocks, words, entries));
            }
            Block::Table { head, rows, .. } => {
                let cells = head.iter_mut().chain(rows.iter_mut().flatten());
                cells.for_each(|cell| mark_inlines(cell, words, entries));
            }
            Block::Cue { blocks, .. } | Block::Quote { blocks } => mark_blocks(blocks, words, entries),
            Block::Heading { .. }
            | Block::Code { .. }
            | Block::Rule
            | Block::Picture(_)
            | Block::Series(_) => {}
        }
    }
}

fn mark_inlines(inlines: &mut Vec<Inline>, words: &[&str], entries: &mut BTreeMap<String, Entry>) {
    let mut marked = Vec::with_capacity(inlines.len());
    for mut inline in inlines.drain(..) {
        match &mut inline {
            Inline::Text { text } => {
                mark_text(text, words, entries, &mut marked);
                continue;
            }
            Inline::Emphasis { inlines }
            | Inline::Strong { inlines }
            | Inline::Struck { inlines }
            | Inline::Link { inlines, .. }
            | Inline::Language { inlines, .. } => mark_inlines(inlines, words, entries),
            Inline::Footnote { blocks } => mark_blocks(blocks, words, entries),
            Inline::Code { .. }
            | Inline::Figure { .. }
            | Inline::Picture(_)
            | Inline::SoftBreak
            | Inline::HardBreak
            | Inline::IndexMark { .. } => {}
        }
        marked.push(inline);
    }
    *inlines = marked;
}

/// A text in parts, with a mark before each word of the index.
fn mark_text(text: &str, words: &[&str], entries: &mut BTreeMap<String, Entry>, parts: &mut Vec<Inline>) {
    let text_of = |text: &str| Inline::Text { text: text.to_owned() };
    let (mut done, mut at) = (0, 0);
    while let Some((found, word)) = terms::next(&text[at..], words) {
        let start = at + found.start;
        if start > done {
            parts.push(text_of(&text[done..start]));
        }
        entry(entries, word).marked = true;
        parts.push(Inline::IndexMark { word: key(word) });
        (done, at) = (start, at + found.end);
    }
    if done < text.len() {
        parts.push(text_of(&text[done..]));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn marked(text: &str, words: &[&str]) -> Vec<Inline> {
        let mut parts = Vec::new();
        mark_text(text, &wanted(words.iter().copied()), &mut BTreeMap::new(), &mut parts);
        parts
    }

    fn text(text: &str) -> Inline {
        Inline::Text { text: text.to_owned() }
    }

    fn mark(word: &str) -> Inline {
        Inline::IndexMark { word: word.to_owned() }
    }

    #[test]
    fn words_are_found_whole_whatever_their_capitals_and_in_the_plural() {
        assert_eq!(
            marked("High lines and a highline: a HIGH LINE.", &["high line", "high lines"]),
            [mark("high line"), text("High lines and a highline: a "), mark("high line"), text("HIGH LINE."),]
        );
    }

    #[test]
    fn the_longest_word_is_taken() {
        assert_eq!(
            marked("the high line rope", &["high line", "rope", "high line rope"]),
            [text("the "), mark("high line rope"), text("high line rope")]
        );
    }

    #[test]
    fn no_letter_of_the_text_is_lost() {
        for said in ["", "Señor İstanbul’s strings", "string", "— string string —", "ǆ string"] {
            let parts = marked(said, &["string", "señor"]);
            let text = |part: &Inline| match part {
                Inline::Text { text } => text.clone(),
                _ => String::new(),
            };
            let joined: String = parts.iter().map(text).collect();
            assert_eq!(joined, said);
        }
    }

    #[test]
    fn headings_stay_as_they_are() {
        let heading = Block::Heading { level: 3, inlines: vec![text("The string")] };
        let mut blocks = [heading.clone(), Block::Paragraph { inlines: vec![text("a string")] }];
        mark_blocks(&mut blocks, &["string"], &mut BTreeMap::new());
        let paragraph = Block::Paragraph { inlines: vec![text("a "), mark("string"), text("string")] };
        assert_eq!(blocks, [heading, paragraph]);
    }
}
