//! What the `Bring:` cues of a lesson ask for, thing by thing.
//!
//! A list in a cue names a thing an item. A paragraph names one thing, or several where its first
//! sentence is written as a list: "A muck tub, a fork, and a bag of leaves." What else the cue says
//! is kept as a remark.

use crate::capital::capital;
use crate::program::Lesson;
use crate::program::lesson::{Block, Cue, Inline};
use crate::understand::plain_text;
use std::ops::Range;

/// What one lesson needs.
#[derive(Default)]
pub struct Props {
    pub things: Vec<Vec<Inline>>,
    /// What the cues say beside naming things.
    pub remarks: Vec<Vec<Inline>>,
}

/// Everything that the lesson's `Bring:` cues name, in the order of the lesson, each thing once.
pub fn of_lesson(lesson: &Lesson) -> Props {
    let mut props = Props::default();
    gather(&lesson.opening, &mut props);
    lesson.sections.iter().for_each(|section| gather(&section.blocks, &mut props));
    let mut seen = std::collections::BTreeSet::new();
    props.things.retain(|thing| seen.insert(key(thing)));
    props
}

/// What makes two things the same: their words, whatever the article and the capitals.
pub fn key(thing: &[Inline]) -> String {
    let words = plain_text(thing).to_lowercase();
    let words = words.trim().trim_end_matches('.');
    let bare = ARTICLES.iter().find_map(|article| words.strip_prefix(article)).unwrap_or(words);
    bare.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn gather(blocks: &[Block], props: &mut Props) {
    for block in blocks {
        match block {
            Block::Cue { cue: Cue::Bring, blocks, .. } => read_cue(blocks, props),
            Block::Cue { blocks, .. } | Block::Quote { blocks, .. } => gather(blocks, props),
            Block::List { items, .. } => items.iter().for_each(|item| gather(&item.blocks, props)),
            _ => {}
        }
    }
}

fn read_cue(blocks: &[Block], props: &mut Props) {
    let leads_into_list = matches!(blocks, [Block::Paragraph { .. }, Block::List { .. }, ..]);
    for (at, block) in blocks.iter().enumerate() {
        match block {
            // "For each table:" before a list names nothing itself.
            Block::Paragraph { inlines, .. } if at == 0 && leads_into_list => {
                props.remarks.push(inlines.clone());
            }
            Block::Paragraph { inlines, .. } => {
                let (things, remark) = things_of(inlines);
                props.things.extend(things);
                props.remarks.extend(remark);
            }
            Block::List { items, .. } => {
                for item in items {
                    for block in &item.blocks {
                        match block {
                            Block::Paragraph { inlines, .. } => props.things.push(tidy(inlines.clone())),
                            other => read_cue(std::slice::from_ref(other), props),
                        }
                    }
                }
            }
            Block::Cue { blocks, .. } | Block::Quote { blocks, .. } => read_cue(blocks, props),
            _ => {}
        }
    }
}

const ARTICLES: [&str; 4] = ["a ", "an ", "the ", "some "];
const COUNTS: [&str; 8] = ["one ", "two ", "three ", "four ", "five ", "six ", "ten ", "a few "];
/// Words that go on about the thing before them and do not name a new one.
const GOES_ON: [&str; 10] =
    ["for ", "to ", "so ", "with ", "without ", "if ", "which ", "that ", "one for ", "enough "];

/// The things that a paragraph names, and what it says after its first sentence.
fn things_of(inlines: &[Inline]) -> (Vec<Vec<Inline>>, Option<Vec<Inline>>) {
    let flat = flatten(inlines);
    let end = first_sentence(&flat);
    let remark = part(inlines, &(end..flat.len()));
    let remark = (!plain_text(&remark).trim().is_empty()).then(|| trim(remark));
    let things = cuts(&flat[..end]).into_iter().map(|range| tidy(part(inlines, &range))).collect();
    (things, remark)
}

/// Where the first sentence ends, with its mark.
fn first_sentence(flat: &str) -> usize {
    let marks = flat.match_indices(['.', '!', '?']);
    marks
        .map(|(at, mark)| at + mark.len())
        .find(|end| flat[*end..].starts_with(' ') || *end == flat.len())
        .unwrap_or(flat.len())
}

/// The ranges of the things in a sentence: the whole of it, unless it is written as a list.
fn cuts(sentence: &str) -> Vec<Range<usize>> {
    let whole = 0..sentence.len();
    let separator = if sentence.contains("; ") { "; " } else { ", " };
    let mut ranges: Vec<Range<usize>> = Vec::new();
    let mut from = 0;
    let ends = sentence.match_indices(separator).map(|(at, _)| at).chain([sentence.len()]);
    for end in ends {
        match ranges.last_mut() {
            Some(last) if starts_with_any(&sentence[from..end], &GOES_ON) => last.end = end,
            _ => ranges.push(from..end),
        }
        from = end + separator.len();
    }
    let Some(last) = ranges.last().cloned().filter(|_| ranges.len() > 1) else { return vec![whole] };
    let last_words = &sentence[last.clone()];
    if let Some(rest) = last_words.strip_prefix("and ").or_else(|| last_words.strip_prefix("or ")) {
        ranges.pop();
        ranges.push(last.end - rest.len()..last.end);
    } else if let Some(at) = last_words.find(" and ").filter(|_| names_a_thing(last_words)) {
        ranges.pop();
        ranges.push(last.start..last.start + at);
        ranges.push(last.start + at + " and ".len()..last.end);
    } else if separator == ", " {
        return vec![whole];
    }
    ranges
}

fn names_a_thing(words: &str) -> bool {
    starts_with_any(words, &ARTICLES)
        || starts_with_any(words, &COUNTS)
        || words.starts_with(|letter: char| letter.is_ascii_digit())
}

fn starts_with_any(words: &str, starts: &[&str]) -> bool {
    starts.iter().any(|start| words.starts_with(start))
}

/// A paragraph as a text in which every inline that is not plain words is one mark, so that it is
/// never cut in two.
fn flatten(inlines: &[Inline]) -> String {
    inlines.iter().map(flat_words).collect()
}

fn flat_words(inline: &Inline) -> &str {
    match inline {
        Inline::Text { text, .. } => text,
        Inline::SoftBreak | Inline::HardBreak => " ",
        _ => "\u{fffc}",
    }
}

/// The inlines that stand in a range of the flattened paragraph.
fn part(inlines: &[Inline], range: &Range<usize>) -> Vec<Inline> {
    let mut part = Vec::new();
    let mut at = 0;
    for inline in inlines {
        let words = flat_words(inline);
        let from = range.start.max(at).min(at + words.len()) - at;
        let to = range.end.max(at).min(at + words.len()) - at;
        if from < to {
            part.push(match inline {
                Inline::Text { place, .. } => {
                    Inline::Text { text: words[from..to].to_owned(), place: place.clone() }
                }
                other => other.clone(),
            });
        }
        at += words.len();
    }
    part
}

/// Without white space at its two ends.
fn trim(mut inlines: Vec<Inline>) -> Vec<Inline> {
    let blank = |inline: &Inline| match inline {
        Inline::Text { text, .. } => text.trim().is_empty(),
        other => matches!(other, Inline::SoftBreak | Inline::HardBreak),
    };
    while inlines.first().is_some_and(blank) {
        inlines.remove(0);
    }
    while inlines.last().is_some_and(blank) {
        inlines.pop();
    }
    if let Some(Inline::Text { text, .. }) = inlines.first_mut() {
        *text = text.trim_start().to_owned();
    }
    if let Some(Inline::Text { text, .. }) = inlines.last_mut() {
        *text = text.trim_end().to_owned();
    }
    inlines
}

/// As an item of a list stands: a capital first, no full stop at the end.
fn tidy(inlines: Vec<Inline>) -> Vec<Inline> {
    let mut inlines = trim(inlines);
    if let Some(Inline::Text { text, .. }) = inlines.first_mut() {
        *text = capital(text);
    }
    if let Some(Inline::Text { text, .. }) = inlines.last_mut()
        && text.ends_with('.')
        && !text.ends_with("..")
    {
        text.pop();
    }
    inlines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Place;

    fn text(words: &str) -> Inline {
        Inline::Text { text: words.into(), place: Place::whole("lessons/a.md") }
    }

    fn things(words: &str) -> Vec<String> {
        things_of(&[text(words)]).0.iter().map(|thing| plain_text(thing)).collect()
    }

    #[test]
    fn a_sentence_that_is_a_list_names_several_things() {
        assert_eq!(
            things("A muck tub, a fork, and a bag of dry leaves to practice with."),
            ["A muck tub", "A fork", "A bag of dry leaves to practice with"]
        );
        assert_eq!(
            things("A rope, a bag and a branch or beam to practice with."),
            ["A rope", "A bag", "A branch or beam to practice with"]
        );
        assert_eq!(
            things("Loppers, a hand saw with its cover on, and a helmet."),
            ["Loppers", "A hand saw with its cover on", "A helmet"]
        );
        assert_eq!(
            things("Two buckets, one for each side, and a scale."),
            ["Two buckets, one for each side", "A scale"]
        );
    }

    #[test]
    fn any_other_sentence_names_one_thing() {
        for words in [
            "A saddle with a worn cinch strap, for riders and packers to find the fault.",
            "A wheel wrench and a tire gauge, for riders to try on a parked trailer.",
            "A full bucket and a bathroom scale.",
            "Three ropes, 1.5 inches thick.",
        ] {
            assert_eq!(things(words), [words.trim_end_matches('.')]);
        }
    }

    #[test]
    fn what_follows_the_first_sentence_is_a_remark() {
        let (things, remark) =
            things_of(&[text("A packed kit. Let people"), Inline::SoftBreak, text("sort it.")]);
        assert_eq!(things.len(), 1);
        assert_eq!(plain_text(&remark.unwrap()), "Let people sort it.");
    }

    #[test]
    fn markup_is_never_cut_in_two() {
        let strong = Inline::Strong { inlines: vec![text("red, white, and blue")] };
        let (things, _) = things_of(&[text("A flag in "), strong, text(", and a pole.")]);
        let words: Vec<String> = things.iter().map(|thing| plain_text(thing)).collect();
        assert_eq!(words, ["A flag in red, white, and blue", "A pole"]);
    }

    #[test]
    fn articles_and_capitals_do_not_tell_things_apart() {
        assert_eq!(key(&[text("A fork")]), key(&[text("the Fork.")]));
        assert_ne!(key(&[text("A fork")]), key(&[text("A forklift")]));
    }
}
