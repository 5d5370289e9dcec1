//! The question sheet: what participants fill in by hand.
//!
//! Open to anyone, so its data holds nothing of the key: no fact, no right choice, no accepted
//! answer. What is asked for is described by its kind alone.

use super::tree::Trees;
use super::{Selection, common};
use crate::job::{Job, Make, Piece, Sheet, Shelf};
use crate::people::scoring::key::letter;
use crate::program::questions::{Kind, Passing};
use crate::understand::{Understood, Version, VersionQuestion};
use serde_json::{Value, json};

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    if understood.content.questions.list.is_empty() {
        return Vec::new();
    }
    let versions = understood.versions();
    versions.iter().map(|version| job(understood, selection, version, versions.len())).collect()
}

/// The sheet of one version; the first has the plain name, since it is the one that the pages ask.
fn job(understood: &Understood, selection: &Selection, version: &Version, of: usize) -> Job {
    let trees = Trees::new(understood);
    let asked = version.questions.iter().enumerate();
    let list: Vec<Value> = asked.map(|(at, question)| asked_of(&trees, at + 1, question)).collect();
    let make = of_version(understood, selection, "question-sheet", (version, of), list);
    Job { piece: Piece::QuestionSheet, shelf: Shelf::Open, path: path("question-sheet", version), make }
}

/// A sheet, by the name of its template and title, with the questions of one of so many versions.
pub fn of_version(
    understood: &Understood,
    selection: &Selection,
    name: &str,
    (version, of): (&Version, usize),
    questions: Vec<Value>,
) -> Make {
    let words = title(&common::title(understood, selection, name, ""), version, of);
    let mut data = common::head(understood, selection, &words);
    data.insert("passing".into(), understood.content.questions.passing.map_or(Value::Null, passing));
    data.insert("version".into(), version_data(version, of));
    data.insert("questions".into(), Value::Array(questions));
    Make::Sheet(Sheet { template: format!("{name}.typ"), data: Value::Object(data), ..Sheet::default() })
}

/// The title of a version's sheet; that of the only version does not name it.
pub fn title(words: &str, version: &Version, of: usize) -> String {
    if of > 1 { format!("{words} {}", version.letter) } else { words.to_owned() }
}

/// `question-sheet.pdf` of version A, `question-sheet-b.pdf` of B.
pub fn path(name: &str, version: &Version) -> String {
    match version.letter {
        'A' => format!("{name}.pdf"),
        letter => format!("{name}-{}.pdf", letter.to_ascii_lowercase()),
    }
}

/// Letter and seed, as they are printed; null for the only version.
pub fn version_data(version: &Version, of: usize) -> Value {
    if of > 1 { json!({"letter": version.letter, "seed": version.seed}) } else { Value::Null }
}

/// The rule for passing: `{"rule": "all"}`, or `right` with how many of how many.
pub fn passing(passing: Passing) -> Value {
    match passing {
        Passing::AnsweredAll => json!({"rule": "all"}),
        Passing::Right { least, of } => json!({"rule": "right", "least": least, "of": of}),
    }
}

/// A question without its key.
fn asked_of(trees: &Trees, number: usize, asked: &VersionQuestion) -> Value {
    let question = asked.question;
    let mut data = json!({
        "number": number,
        "kind": kind_name(&question.kind),
        "ask": trees.inlines(&question.ask.inlines),
    });
    match &question.kind {
        Kind::Choice { choices, .. } | Kind::Several { choices, .. } => {
            let in_order = asked.choices.iter().enumerate();
            data["choices"] = in_order
                .map(|(at, choice)| json!({"letter": letter(at), "words": choices[*choice].text}))
                .collect();
        }
        Kind::Figure { unit, .. } => {
            data["unit"] = json!(unit.as_ref().map(|unit| trees.language().unit(unit)))
        }
        Kind::NameSome { count, .. } => data["count"] = json!(count),
        Kind::Open { .. } => {}
    }
    data
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
