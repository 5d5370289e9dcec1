//! The scores as JSON: nothing personal is in it. People stand by their rows in the roster, and of an answer there
//! is the verdict and not the words. The form is published as `docs/score.schema.json`.

use super::ScoreReport;
use crate::commands::report::findings_as_json;
use crate::finding::{Finding, Place};
use crate::people::scoring::{Passed, Scored, Scoring};
use crate::session::unknown_decisions;
use serde_json::{Value, json};
use std::io::{self, Write};

/// The number of the form; it grows when a reader of the old form would be misled.
const FORMAT: u32 = 1;

pub(super) fn write(told: &ScoreReport, held_back: &[Finding], out: &mut dyn Write) -> io::Result<()> {
    let ScoreReport { understood, scores, wanted } = told;
    let program = understood.root;
    let line = |place: &Place| program.sources.line_column(place).line;
    let record = json!({
        "format": FORMAT,
        "season": program.content.settings.season,
        "rule": program.content.questions.passing.is_some(),
        "people": wanted.iter().map(|scoring| person(told, scoring)).collect::<Vec<_>>(),
        "waiting": told.looks(),
        "not_on_roster": scores.strangers.iter().map(|one| line(&one.row.place)).collect::<Vec<_>>(),
        "superseded": scores.superseded.iter().map(|(earlier, _)| line(&earlier.place)).collect::<Vec<_>>(),
        "decisions": {
            "not_understood": unknown_decisions(program),
            "without_answer": scores.leftover.len(),
        },
        "findings": findings_as_json(held_back, &program.sources),
    });
    writeln!(out, "{record:#}")
}

fn person(told: &ScoreReport, scoring: &Scoring) -> Value {
    let person = scoring.participant;
    json!({
        "roster_row": person.row,
        "event": person.event,
        "passed": outcome(told.scores.passed(person)),
        "by_roster": told.scores.by_roster(person),
        "answers": scoring.answers.iter().map(answer).collect::<Vec<_>>(),
    })
}

fn answer(scored: &Scored) -> Value {
    json!({
        "question": scored.question.id,
        "verdict": scored.verdict().word(),
        "decided": scored.is_decided(),
    })
}

fn outcome(passed: Passed) -> &'static str {
    match passed {
        Passed::Yes => "yes",
        Passed::No => "no",
        Passed::Waits => "waits",
        Passed::Unsaid => "not said",
    }
}
