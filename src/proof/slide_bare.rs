//! A section's slide would show nothing but its heading.

use super::{Find, Rule};
use crate::finding::{Finding, Level};
use crate::program::lesson::Block;
use crate::statements::PrintContext;

pub const RULE: Rule = Rule {
    name: "slide-bare",
    level: Level::Warning,
    summary: "A section has nothing for its slide but the heading.",
    find: Find::Print(find),
};

fn find(print: &PrintContext) -> Vec<Finding> {
    let sections = print.understood.content.lessons.iter().flat_map(|lesson| &lesson.sections);
    sections
        .filter(|section| !section.blocks.iter().any(Block::stands_on_slide))
        .map(|section| {
            RULE.finding(&section.place, "The slide of this section shows nothing but its heading.")
                .says(print.source_words(&section.place))
                .mend("Give the section a list, a table, a picture, an “Ask:” or a signal box; its paragraphs are for the handbook only.")
        })
        .collect()
}
