//! A section's slide would show nothing but its heading.

use super::galley::Galley;
use super::{Rule, walk};
use crate::finding::{Finding, Level};
use crate::program::lesson::{Block, Cue, Section};

pub const RULE: Rule = Rule {
    name: "slide-bare",
    level: Level::Warning,
    summary: "A section has nothing for its slide but the heading.",
    find,
};

fn find(galley: &Galley) -> Vec<Finding> {
    let sections = galley.understood.program.lessons.iter().flat_map(|lesson| &lesson.sections);
    sections
        .filter(|section| !shows_something(section))
        .map(|section| {
            RULE.finding(&section.place, "The slide of this section shows nothing but its heading.")
                .says(galley.source_words(&section.place))
                .mend("Give the section a list, a table, a picture, an “Ask:” or a signal box; its paragraphs are for the handbook only.")
        })
        .collect()
}

fn shows_something(section: &Section) -> bool {
    walk::section_blocks(section).into_iter().any(|block| match block {
        Block::List { .. } | Block::Table { .. } | Block::Picture(_) | Block::Series(_) => true,
        Block::Cue { cue, .. } => *cue == Cue::Ask || cue.is_signal(),
        _ => false,
    })
}
