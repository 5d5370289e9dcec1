//! A link stands in the caption or the words of a picture or a chart, where none can be: it is printed with its
//! brackets.

use super::{Check, Find};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::statements::PrintContext;

pub static RULE: Rule = Rule {
    name: "caption-linked",
    level: Level::Error,
    settable: Settable::Yes,
    summary: "A link in a caption or in a picture's words would be printed with its brackets.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let beside = print.understood.passages.iter().filter(|passage| passage.with_picture);
    beside
        .filter_map(|passage| {
            let (link, words) = link(&passage.text)?;
            let message =
                "No link can stand in a caption or a picture's words: it is printed with its brackets.";
            let mend = match words {
                "…" | "..." => "Write the figure out, without a link.".to_owned(),
                words => format!(
                    "Write “{words}”, without a link; a figure there is held against the facts all the same."
                ),
            };
            Some(Finding::of(&RULE, &passage.place, message).says(link).mend(mend))
        })
        .collect()
}

/// The first `[words](target)` of a text, and its words.
fn link(text: &str) -> Option<(&str, &str)> {
    let middle = text.find("](")?;
    let start = text[..middle].rfind('[')?;
    let end = middle + text[middle..].find(')')? + 1;
    Some((&text[start..end], &text[start + 1..middle]))
}
