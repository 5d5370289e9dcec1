//! A question as a page asks it: its words and what to fill in, and nothing of the key.

use super::reading::ProseWalker;
use super::tree::PageInline;
use crate::pieces::question_sheet::QuestionKind;
use crate::pieces::tree::Trees;
use crate::program::questions::{Kind, Question};
use schemars::JsonSchema;
use serde::Serialize;

/// A question with what to fill in, in the common order: that of the questions file and of version A.
#[derive(Serialize, JsonSchema)]
pub struct QuestionOnPage<'p> {
    /// From 1.
    number: usize,
    /// Its id in the questions file.
    id: &'p str,
    kind: QuestionKind,
    ask: Vec<PageInline>,
    /// What there is to choose from, by its words alone, so that no letter of another version can be meant.
    choices: Option<Vec<&'p str>>,
    /// Of a figure: the unit that is asked for.
    unit: Option<String>,
    /// Of a list: how many are to be named.
    count: Option<u32>,
}

pub fn asked<'p>(
    trees: &Trees,
    reader: &mut ProseWalker,
    number: usize,
    question: &'p Question,
) -> QuestionOnPage<'p> {
    let mut asked = QuestionOnPage {
        number,
        id: &question.id,
        kind: QuestionKind::from(&question.kind),
        ask: reader.read(trees.inlines(&question.ask.inlines)),
        choices: None,
        unit: None,
        count: None,
    };
    match &question.kind {
        Kind::Choice { choices, .. } | Kind::Several { choices, .. } => {
            asked.choices = Some(choices.iter().map(|choice| choice.text.as_str()).collect());
        }
        Kind::Figure { unit, .. } => {
            asked.unit = unit.as_ref().map(|unit| trees.language().unit(unit).to_string());
        }
        Kind::NameSome { count, .. } => asked.count = Some(*count),
        Kind::Open { .. } => {}
    }
    asked
}
