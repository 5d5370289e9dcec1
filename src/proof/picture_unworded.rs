//! A picture or a chart has no words for who cannot see it.

use super::{Check, Find};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::statements::PrintContext;

pub static RULE: Rule = Rule {
    name: "picture-unworded",
    level: Level::Error,
    settable: Settable::Yes,
    summary: "A picture or a chart has no words for readers who cannot see it.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let pictures = print.pictures().filter(|picture| picture.alt.trim().is_empty());
    let pictures = pictures.map(|picture| (&picture.place, format!("The picture {}", picture.file)));
    let views = print.series_views().filter(|view| view.title.trim().is_empty());
    let views = views.map(|view| (&view.place, format!("The chart of the fact “{}”", view.fact)));
    pictures
        .chain(views)
        .map(|(place, what)| {
            Finding::of(&RULE, place, format!("{what} has no words for readers who cannot see it."))
                .says(print.source_words(place))
                .mend("Say between the brackets what it shows: ![A mule at a high line](…).")
                // no page that is read aloud can be set without them
                .stops_press(true)
        })
        .collect()
}
