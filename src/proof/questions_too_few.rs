//! More right answers are asked for than there are questions.

use super::Rule;
use super::galley::Galley;
use crate::finding::{Finding, Level};
use crate::program::questions::Passing;

pub const RULE: Rule = Rule {
    name: "questions-too-few",
    level: Level::Error,
    summary: "The rule for passing does not fit the number of questions.",
    find,
};

fn find(galley: &Galley) -> Vec<Finding> {
    let questions = &galley.understood.program.questions;
    let count = questions.list.len();
    let (Some(Passing::Right { least, of }), Some(place)) = (&questions.passing, &questions.passing_place)
    else {
        return Vec::new();
    };
    if least <= of && *of as usize == count {
        return Vec::new();
    }
    let message = format!("To pass takes {least} of {of}, but there are {count} questions.");
    vec![RULE.finding(place, message).says(galley.source_words(place)).mend(format!(
        "Write “{} of {count}”, or add the questions that are missing.",
        (*least).min(count as u32)
    ))]
}
