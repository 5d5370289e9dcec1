//! The question sheet: what participants fill in by hand.
//!
//! Open to anyone, so its data holds nothing of the key: no fact, no right choice, no accepted
//! answer. What is asked for is described by its kind alone.

use super::common::Head;
use super::tree::{Inline, Trees};
use super::{Selection, common};
use crate::job::{Job, Make, Piece, Sheet, Shelf};
use crate::people::scoring::key::letter;
use crate::program::questions::{Kind, Passing};
use crate::understand::{Understood, Version, VersionQuestion};
use schemars::JsonSchema;
use serde::Serialize;

/// A sheet of questions, as they are asked or with their answers.
#[derive(Serialize, JsonSchema)]
pub(super) struct Questions<'p, Q> {
    #[serde(flatten)]
    head: Head<'p>,
    /// Null where the program has no rule for passing.
    passing: Option<PassingRule>,
    /// Null where there is one version only.
    version: Option<VersionMark>,
    /// In the order of the sheet.
    questions: Vec<Q>,
}

/// The rule for passing.
#[derive(Serialize, JsonSchema)]
#[serde(tag = "rule", rename_all = "kebab-case")]
pub(super) enum PassingRule {
    /// Every question must be answered.
    All,
    /// So many must be right.
    Right { least: u32, of: u32 },
}

/// By what the version of a sheet is known.
#[derive(Serialize, JsonSchema)]
pub(super) struct VersionMark {
    /// From A.
    letter: char,
    /// What it is shuffled by.
    seed: u64,
}

/// A question without its key. Which of the last three it has hangs on its kind.
#[derive(Serialize, JsonSchema)]
pub(super) struct AskedQuestion {
    /// Its number on the sheet, from 1.
    number: usize,
    kind: QuestionKind,
    ask: Vec<Inline>,
    /// Of a choice, or of several: what there is to choose from, in the order of the sheet.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Vec<Choice>")]
    choices: Option<Vec<Choice>>,
    /// Of a figure: the unit that is asked for; null where none is.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>")]
    unit: Option<Option<String>>,
    /// Of a list: how many are to be named.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "u32")]
    count: Option<u32>,
}

/// Something to choose.
#[derive(Serialize, JsonSchema)]
struct Choice {
    letter: String,
    words: String,
}

/// What is asked for.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum QuestionKind {
    /// One of several choices.
    Choice,
    /// All the right ones of several choices.
    Several,
    Figure,
    /// So many things of a list.
    NameSome,
    /// Words of one's own.
    Open,
}

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
    let list: Vec<AskedQuestion> = asked.map(|(at, question)| asked_of(&trees, at + 1, question)).collect();
    let make = of_version(understood, selection, "question-sheet", (version, of), list);
    Job { piece: Piece::QuestionSheet, shelf: Shelf::Open, path: path("question-sheet", version), make }
}

/// A sheet, by the name of its template and title, with the questions of one of so many versions.
pub fn of_version<Q: Serialize>(
    understood: &Understood,
    selection: &Selection,
    name: &str,
    (version, of): (&Version, usize),
    questions: Vec<Q>,
) -> Make {
    let title = title(&common::title(understood, selection, name, ""), version, of);
    let questions = Questions {
        head: common::head(understood, selection, &title),
        passing: understood.content.questions.passing.map(PassingRule::from),
        version: (of > 1).then_some(VersionMark { letter: version.letter, seed: version.seed }),
        questions,
    };
    Make::Sheet(Sheet::of(&format!("{name}.typ"), &questions))
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

impl From<Passing> for PassingRule {
    fn from(passing: Passing) -> Self {
        match passing {
            Passing::AnsweredAll => Self::All,
            Passing::Right { least, of } => Self::Right { least, of },
        }
    }
}

fn asked_of(trees: &Trees, number: usize, asked: &VersionQuestion) -> AskedQuestion {
    let question = asked.question;
    let mut data = AskedQuestion {
        number,
        kind: QuestionKind::from(&question.kind),
        ask: trees.inlines(&question.ask.inlines),
        choices: None,
        unit: None,
        count: None,
    };
    match &question.kind {
        Kind::Choice { choices, .. } | Kind::Several { choices, .. } => {
            let in_order = asked.choices.iter().enumerate();
            let choice = |(at, choice): (usize, &usize)| Choice {
                letter: letter(at),
                words: choices[*choice].text.clone(),
            };
            data.choices = Some(in_order.map(choice).collect());
        }
        Kind::Figure { unit, .. } => {
            data.unit = Some(unit.as_ref().map(|unit| trees.language().unit(unit).to_string()));
        }
        Kind::NameSome { count, .. } => data.count = Some(*count),
        Kind::Open { .. } => {}
    }
    data
}

impl From<&Kind> for QuestionKind {
    fn from(kind: &Kind) -> Self {
        match kind {
            Kind::Choice { .. } => Self::Choice,
            Kind::Several { .. } => Self::Several,
            Kind::Figure { .. } => Self::Figure,
            Kind::NameSome { .. } => Self::NameSome,
            Kind::Open { .. } => Self::Open,
        }
    }
}
