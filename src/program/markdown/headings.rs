//! Headings: a lesson's title, and its sections with their names.

use super::super::lesson::{Block, Lesson, Section};
use super::TreeBuilder;
use super::inlines::plain_text;
use crate::finding::{FileName, Place, rules};
use std::collections::BTreeSet;
use unicode_segmentation::UnicodeSegmentation;

/// Divides a lesson's blocks into title, opening and sections.
pub(super) fn lesson(id: &str, file: FileName, blocks: Vec<Block>, reader: &TreeBuilder) -> Lesson {
    let mut lesson = Lesson {
        id: id.to_owned(),
        title: Vec::new(),
        title_place: Place::whole(&file),
        opening: Vec::new(),
        sections: Vec::new(),
        file,
    };
    let mut has_title = false;
    let mut names = BTreeSet::new();
    let mut first = true;
    for block in blocks {
        let was_first = std::mem::take(&mut first);
        match block {
            Block::Heading { level: 1, inlines, place } if !has_title => {
                has_title = true;
                if !was_first {
                    reader.mistakes.tell(
                        &rules::TITLE_MISSING,
                        place.clone(),
                        "A lesson's title must come before everything else.",
                        "Move this line to the top of the file.",
                    );
                }
                (lesson.title, lesson.title_place) = (inlines, place);
            }
            Block::Heading { level: 1, place, .. } => reader.mistakes.tell(
                &rules::TITLE_DOUBLED,
                place,
                "A lesson has one title, and this is a second one.",
                "Start a section with ##.",
            ),
            Block::Heading { level: 2, inlines, place } => {
                let id = unique(section_name(&plain_text(&inlines)), &mut names);
                lesson.sections.push(Section { id, heading: inlines, place, blocks: Vec::new() });
            }
            block => match lesson.sections.last_mut() {
                Some(section) => section.blocks.push(block),
                None => lesson.opening.push(block),
            },
        }
    }
    if !has_title {
        reader.mistakes.tell(
            &rules::TITLE_MISSING,
            Place::whole(&lesson.file),
            "This lesson has no title.",
            "Start the file with a line such as: # Before the ride",
        );
    }
    lesson
}

/// A section's name from its heading's words: lower case, letters and digits of any script, hyphens.
fn section_name(heading: &str) -> String {
    let lower = heading.to_lowercase();
    let mut name = String::new();
    let mut gap = false;
    // By grapheme, so that vowel signs and accents stay with their letter.
    for grapheme in lower.graphemes(true) {
        let is_letter = grapheme.chars().next().is_some_and(char::is_alphanumeric);
        if is_letter {
            if gap && !name.is_empty() {
                name.push('-');
            }
            name.push_str(grapheme);
            gap = false;
        } else if !matches!(grapheme, "'" | "’") {
            gap = true;
        }
    }
    if name.is_empty() { "section".to_owned() } else { name }
}

fn unique(name: String, names: &mut BTreeSet<String>) -> String {
    let mut tried = name.clone();
    let mut number = 2;
    while !names.insert(tried.clone()) {
        tried = format!("{name}-{number}");
        number += 1;
    }
    tried
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn section_names_keep_letters_of_any_script() {
        assert_eq!(section_name("On the trail"), "on-the-trail");
        assert_eq!(section_name("Don't rush: 3 rules!"), "dont-rush-3-rules");
        assert_eq!(section_name("Größe — À côté"), "größe-à-côté");
        assert_eq!(section_name("पानी और गर्मी"), "पानी-और-गर्मी");
        assert_eq!(section_name("!?"), "section");
    }

    #[test]
    fn section_names_are_unique() {
        let mut names = BTreeSet::new();
        let mut of = |name: &str| unique(name.to_owned(), &mut names);
        assert_eq!(
            [of("water"), of("water"), of("water-2"), of("water")],
            ["water", "water-2", "water-2-2", "water-3"]
        );
    }
}
