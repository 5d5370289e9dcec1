//! The index of the handbook: which words are in it, and marks where they stand in the text.
//!
//! Three kinds of words lead somewhere: terms of the glossary, wherever they stand; the words that a
//! fact is called by, in the sections that quote it; and the headings of sections. Pages are known
//! only once the handbook is laid out: the marks are for the template, which gathers them by page.

use crate::pieces::terms::{self, key, two_letters, wanted};
use crate::program::lesson::{Lesson, Section};
use crate::program::walk::{self, Met};
use crate::understand::{Understood, plain_text};
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};

/// Marks the words of the index in the lessons' data, and gives its entries by the alphabet:
/// `{"words", "letter", "mark", "anchors"}`.
pub fn make(understood: &Understood, lessons: &[Lesson], parts: &mut [(String, Value)]) -> Vec<Value> {
    let terms: Vec<&str> =
        understood.content.settings.glossary.iter().map(|term| term.term.as_str()).collect();
    let mut entries: BTreeMap<String, Entry> = BTreeMap::new();
    for term in &terms {
        entry(&mut entries, term).marked = true;
    }
    for (lesson, (_, part)) in lessons.iter().zip(parts) {
        let words = wanted(terms.iter().copied());
        mark_blocks(&mut part["opening"], &words, &mut entries);
        for (section, data) in
            lesson.sections.iter().zip(part["sections"].as_array_mut().into_iter().flatten())
        {
            let called = called_in(understood, section);
            let words = wanted(terms.iter().copied().chain(called));
            mark_blocks(&mut data["blocks"], &words, &mut entries);
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
    fn told(self, key: &str) -> Value {
        let first = key.chars().next().filter(|letter| letter.is_alphabetic());
        json!({
            "words": self.words,
            "letter": first.map_or_else(|| "#".to_owned(), |letter| letter.to_uppercase().collect()),
            "mark": self.marked.then_some(key),
            "anchors": self.anchors,
        })
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

/// Puts marks into every line of text below `data`, but for headings.
fn mark_blocks(data: &mut Value, words: &[&str], entries: &mut BTreeMap<String, Entry>) {
    match data {
        Value::Array(list) => {
            let mut marked = Vec::with_capacity(list.len());
            for mut node in list.drain(..) {
                if node["kind"] == "text" {
                    mark_text(node["text"].as_str().unwrap_or_default(), words, entries, &mut marked);
                } else {
                    mark_blocks(&mut node, words, entries);
                    marked.push(node);
                }
            }
            *list = marked;
        }
        Value::Object(node) if node.get("kind").is_none_or(|kind| kind != "heading") => {
            node.values_mut().for_each(|value| mark_blocks(value, words, entries));
        }
        _ => {}
    }
}

/// A text in parts, with a mark before each word of the index.
fn mark_text(text: &str, words: &[&str], entries: &mut BTreeMap<String, Entry>, parts: &mut Vec<Value>) {
    let (mut done, mut at) = (0, 0);
    while let Some((found, word)) = terms::next(&text[at..], words) {
        let start = at + found.start;
        if start > done {
            parts.push(json!({"kind": "text", "text": text[done..start]}));
        }
        entry(entries, word).marked = true;
        parts.push(json!({"kind": "index-mark", "word": key(word)}));
        (done, at) = (start, at + found.end);
    }
    if done < text.len() {
        parts.push(json!({"kind": "text", "text": text[done..]}));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn marked(text: &str, words: &[&str]) -> Vec<Value> {
        let mut parts = Vec::new();
        mark_text(text, &wanted(words.iter().copied()), &mut BTreeMap::new(), &mut parts);
        parts
    }

    fn text(text: &str) -> Value {
        json!({"kind": "text", "text": text})
    }

    fn mark(word: &str) -> Value {
        json!({"kind": "index-mark", "word": word})
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
            let joined: String = parts.iter().filter_map(|part| part["text"].as_str()).collect();
            assert_eq!(joined, said);
        }
    }

    #[test]
    fn headings_stay_as_they_are() {
        let mut data = json!([{"kind": "heading", "inlines": [text("The string")]},
                              {"kind": "paragraph", "inlines": [text("a string")]}]);
        mark_blocks(&mut data, &["string"], &mut BTreeMap::new());
        assert_eq!(data[0]["inlines"], json!([text("The string")]));
        assert_eq!(data[1]["inlines"], json!([text("a "), mark("string"), text("string")]));
    }
}
