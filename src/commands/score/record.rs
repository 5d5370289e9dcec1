//! The scores as JSON: nothing personal is in it. People stand by their rows in the roster, and of an answer there
//! is the verdict and not the words. The form is published as `docs/score.schema.json`.

use super::ScoreReport;
use crate::commands::report::{FindingRecord, findings_told};
use crate::finding::{Finding, Place};
use crate::job;
use crate::people::scoring::{Passed, Scored, Scoring, Verdict};
use crate::session::unknown_decisions;
use schemars::JsonSchema;
use serde::Serialize;
use std::io::{self, Write};

/// The number of the form; it grows when a reader of the old form would be misled.
const FORMAT: u32 = 1;

/// How answers were scored. People stand by their rows in the roster, and of an answer there is the verdict and not the
/// words.
#[derive(Serialize, JsonSchema)]
#[schemars(title = "What packstring score --as json tells")]
pub struct ScoreRecord<'p> {
    /// The number of this form. It grows when a reader of the old form would be misled.
    #[schemars(extend("const" = FORMAT))]
    format: u32,
    season: &'p str,
    /// Whether questions.toml says who passes.
    rule: bool,
    /// Who answered, by event.
    people: Vec<PersonRecord<'p>>,
    /// Answers that wait for the ranger's eye.
    waiting: usize,
    /// Lines of answers that belong to nobody on the roster, so that they are not scored.
    #[schemars(inner(range(min = 1)))]
    not_on_roster: Vec<usize>,
    /// Lines of answers that a later row of the same person replaces.
    #[schemars(inner(range(min = 1)))]
    superseded: Vec<usize>,
    decisions: DecisionsRecord,
    findings: Vec<FindingRecord>,
}

/// Who answered.
#[derive(Serialize, JsonSchema)]
struct PersonRecord<'p> {
    /// As a spreadsheet shows it, with the headings.
    #[schemars(range(min = 1))]
    roster_row: usize,
    /// By its id.
    event: &'p str,
    passed: PassedWord,
    /// Whether the roster says it.
    by_roster: bool,
    /// Every question once.
    answers: Vec<AnswerRecord<'p>>,
}

/// What the roster says wins; “waits”: an answer to look at could make it a pass.
#[derive(Serialize, JsonSchema)]
enum PassedWord {
    #[serde(rename = "yes")]
    Yes,
    #[serde(rename = "no")]
    No,
    #[serde(rename = "waits")]
    Waits,
    #[serde(rename = "not said")]
    NotSaid,
}

/// An answer as it was scored.
#[derive(Serialize, JsonSchema)]
struct AnswerRecord<'p> {
    /// By its id.
    question: &'p str,
    verdict: VerdictWord,
    /// Whether the verdict is the ranger's decision.
    decided: bool,
}

/// What an answer was called.
#[derive(Serialize, JsonSchema)]
enum VerdictWord {
    #[serde(rename = "right")]
    Right,
    #[serde(rename = "wrong")]
    Wrong,
    #[serde(rename = "look")]
    Look,
    #[serde(rename = "not answered")]
    NotAnswered,
}

/// The ranger's decisions that do not count.
#[derive(Serialize, JsonSchema)]
struct DecisionsRecord {
    /// Rows whose decision is neither right nor wrong.
    #[schemars(inner(range(min = 1)))]
    not_understood: Vec<usize>,
    /// Those on answers that are gone.
    without_answer: usize,
}

pub(super) fn write(told: &ScoreReport, held_back: &[Finding], out: &mut dyn Write) -> io::Result<()> {
    let ScoreReport { understood, scores, wanted } = told;
    let program = understood.root;
    let line = |place: &Place| program.sources.line_column(place).line;
    let record = ScoreRecord {
        format: FORMAT,
        season: &program.content.settings.season,
        rule: program.content.questions.passing.is_some(),
        people: wanted.iter().map(|scoring| person(told, scoring)).collect(),
        waiting: told.looks(),
        not_on_roster: scores.strangers.iter().map(|one| line(&one.row.place)).collect(),
        superseded: scores.superseded.iter().map(|(earlier, _)| line(&earlier.place)).collect(),
        decisions: DecisionsRecord {
            not_understood: unknown_decisions(program),
            without_answer: scores.leftover.len(),
        },
        findings: findings_told(held_back, &program.sources),
    };
    writeln!(out, "{:#}", job::data(&record))
}

fn person<'p>(told: &ScoreReport, scoring: &'p Scoring) -> PersonRecord<'p> {
    let person = scoring.participant;
    PersonRecord {
        roster_row: person.row,
        event: &person.event,
        passed: match told.scores.passed(person) {
            Passed::Yes => PassedWord::Yes,
            Passed::No => PassedWord::No,
            Passed::Waits => PassedWord::Waits,
            Passed::Unsaid => PassedWord::NotSaid,
        },
        by_roster: told.scores.by_roster(person),
        answers: scoring.answers.iter().map(answer).collect(),
    }
}

fn answer<'p>(scored: &'p Scored) -> AnswerRecord<'p> {
    AnswerRecord {
        question: &scored.question.id,
        verdict: match scored.verdict() {
            Verdict::Right => VerdictWord::Right,
            Verdict::Wrong => VerdictWord::Wrong,
            Verdict::Look => VerdictWord::Look,
            Verdict::NotAnswered => VerdictWord::NotAnswered,
        },
        decided: scored.is_decided(),
    }
}
