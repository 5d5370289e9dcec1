//! A question as a page asks it: its words and what to fill in, and nothing of the key.

use super::reading::ProseWalker;
use crate::pieces::question_sheet::kind_name;
use crate::pieces::tree::Trees;
use crate::program::questions::{Kind, Question};
use serde_json::{Value, json};

/// In the common order, that of the questions file and of version A. Choices are told by their words alone,
/// so that no letter of another version can be meant.
pub fn asked(trees: &Trees, reader: &mut ProseWalker, number: usize, question: &Question) -> Value {
    let (choices, unit, count) = match &question.kind {
        Kind::Choice { choices, .. } | Kind::Several { choices, .. } => {
            (Some(choices.iter().map(|choice| choice.text.as_str()).collect::<Vec<_>>()), None, None)
        }
        Kind::Figure { unit, .. } => (None, unit.as_ref().map(|unit| trees.language().unit(unit)), None),
        Kind::NameSome { count, .. } => (None, None, Some(count)),
        Kind::Open { .. } => (None, None, None),
    };
    json!({
        "number": number,
        "id": question.id,
        "kind": kind_name(&question.kind),
        "ask": reader.read(trees.inlines(&question.ask.inlines)),
        "choices": choices,
        "unit": unit,
        "count": count,
    })
}
