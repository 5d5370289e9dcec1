//! An edition has a short text only in the main language.

use super::galley::Galley;
use super::{Find, Rule};
use crate::finding::{Finding, Level};

pub const RULE: Rule = Rule {
    name: "edition-lacks-words",
    level: Level::Warning,
    summary: "An edition lacks a short text, such as a question's, and prints the main edition's.",
    find: Find::Print(find),
};

fn find(galley: &Galley) -> Vec<Finding> {
    let editions = galley.understood.program.editions.iter();
    let lacks = editions.flat_map(|edition| edition.lacks.iter().map(move |lack| (edition, lack)));
    lacks
        .map(|(edition, lack)| {
            let message =
                format!("The edition “{}” has no words of its own for {}.", edition.language, lack.what);
            RULE.finding(&lack.place, message).says(galley.source_words(&lack.place)).mend(format!(
                "Put them into {}: {}.",
                edition.texts_file(),
                lack.key
            ))
        })
        .collect()
}
