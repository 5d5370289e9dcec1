//! The question sheet: what participants fill in by hand.
//!
//! Open to anyone, so its data holds nothing of the key: no fact, no right choice, no accepted
//! answer. What is asked for is described by its kind alone.

use super::tree::Trees;
use super::{Job, Make, Piece, Selection, Sheet, Shelf, common};
use crate::people::scoring::key::letter;
use crate::program::questions::{Kind, Passing, Question};
use crate::understand::Understood;
use serde_json::{Value, json};

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let questions = &understood.program.questions;
    if questions.list.is_empty() {
        return Vec::new();
    }
    let trees = Trees::new(understood);
    let list: Vec<Value> =
        questions.list.iter().enumerate().map(|(at, question)| asked(&trees, at + 1, question)).collect();
    let mut data = common::head(understood, selection, "Question Sheet");
    data.insert("passing".into(), questions.passing.map_or(Value::Null, passing));
    data.insert("questions".into(), Value::Array(list));
    vec![Job {
        piece: Piece::QuestionSheet,
        shelf: Shelf::Open,
        path: "question-sheet.pdf".into(),
        make: Make::Sheet(Sheet {
            template: "question-sheet.typ".into(),
            data: Value::Object(data),
            ..Sheet::default()
        }),
    }]
}

/// The rule for passing: `{"rule": "all"}`, or `right` with how many of how many.
pub fn passing(passing: Passing) -> Value {
    match passing {
        Passing::AnsweredAll => json!({"rule": "all"}),
        Passing::Right { least, of } => json!({"rule": "right", "least": least, "of": of}),
    }
}

/// A question without its key.
fn asked(trees: &Trees, number: usize, question: &Question) -> Value {
    let mut asked = json!({
        "number": number,
        "kind": kind_name(&question.kind),
        "ask": trees.inlines(&question.ask.inlines),
    });
    match &question.kind {
        Kind::Choice { choices, .. } | Kind::Several { choices, .. } => {
            asked["choices"] = choices
                .iter()
                .enumerate()
                .map(|(at, choice)| json!({"letter": letter(at), "words": choice.text}))
                .collect();
        }
        Kind::Figure { unit, .. } => asked["unit"] = json!(unit),
        Kind::NameSome { count, .. } => asked["count"] = json!(count),
        Kind::Open { .. } => {}
    }
    asked
}

pub fn kind_name(kind: &Kind) -> &'static str {
    match kind {
        Kind::Choice { .. } => "choice",
        Kind::Several { .. } => "several",
        Kind::Figure { .. } => "figure",
        Kind::NameSome { .. } => "name-some",
        Kind::Open { .. } => "open",
    }
}
