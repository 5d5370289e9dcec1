//! Scores: every answer as it was scored, as a table to decide in and a sheet to look at.
//!
//! Private: both hold names. The table `scores.csv` always has everybody, whatever was selected, since the
//! ranger's decisions stand in it; the sheet has what was asked for. A decision whose answer is gone keeps a
//! row of its own at the end of the table, with the verdict `gone`, for when the answer comes back.
//!
//! `data` beside the common head: `passing` and `versions` as on the question sheet; `events`, each with
//! `name`, `date`, the counts `passed`, `not_passed` and `waiting`, `looks` and `people`.
//! - A look is a question (`number`, `ask`, `look_for`, `key`, which is null for an open one) with `answers`
//!   (`name`, `companion`, `version`, `answer`, `reason`, which is null where it goes without saying), so that
//!   one question's answers are judged side by side.
//! - A person has `name`, `companion`, `version`, `outcome` (`yes`, `no`, `waits`, `unsaid`), `by_roster`
//!   (whether the roster said so), `right`, `of`, and `answers` (`number`, `answer`, `verdict`, `reason`,
//!   `decided`).

use super::question_sheet::passing;
use super::tree::Trees;
use super::{Selection, common};
use crate::job::{Cell, Job, Make, Piece, Sheet, Shelf, Table, file_name};
use crate::people::same_name;
use crate::people::scoring::{OPEN, Passed, Scored, Scores, Scoring, Verdict, answer_mark, key};
use crate::program::decisions::COLUMNS;
use crate::program::questions::{Kind, Question};
use crate::program::settings::Event;
use crate::understand::Understood;
use serde_json::{Value, json};

/// The table's path on the private shelf, where it is read again before it is made.
pub const TABLE: &str = "scores.csv";

/// Longer answers are cut on the sheet; the table has all of them.
const LONGEST: usize = 1200;

pub fn plan(understood: &Understood, scores: &Scores, selection: &Selection) -> Vec<Job> {
    if scores.list.is_empty() && scores.leftover.is_empty() {
        return Vec::new();
    }
    let table = Job {
        piece: Piece::Scores,
        shelf: Shelf::Private,
        path: TABLE.into(),
        make: Make::Tables(vec![table(scores)]),
    };
    let mut jobs = vec![table];
    let wanted: Vec<&Scoring> = scores.list.iter().filter(|scoring| is_wanted(scoring, selection)).collect();
    if !wanted.is_empty() {
        jobs.push(sheet(understood, selection, scores, &wanted));
    }
    jobs
}

/// Whether a person belongs to what was selected.
pub fn is_wanted(scoring: &Scoring, selection: &Selection) -> bool {
    let person = scoring.participant;
    selection.scope.covers(&person.event)
        && selection.scope.participant.as_ref().is_none_or(|name| same_name(name, &person.name))
}

fn table(scores: &Scores) -> Table {
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    for scoring in &scores.list {
        let person = scoring.participant;
        let email = person.email.as_deref().unwrap_or_default();
        for scored in &scoring.answers {
            rows.push(row([
                &person.event,
                &person.name,
                email,
                &scored.question.id,
                scored.answer,
                scored.judged.verdict.word(),
                &scored.judged.reason,
                scored.decision,
                &answer_mark(scored.answer),
            ]));
        }
    }
    for decided in &scores.leftover {
        let reason = "This is not among the answers now; the decision is kept for when it comes back.";
        rows.push(row([
            &decided.event,
            &decided.name,
            &decided.email,
            &decided.question,
            &decided.answer,
            "gone",
            reason,
            &decided.decision,
            &decided.mark,
        ]));
    }
    Table { name: "Scores".into(), headings: COLUMNS.map(str::to_owned).to_vec(), rows }
}

fn row(texts: [&str; COLUMNS.len()]) -> Vec<Cell> {
    texts.map(|text| if text.is_empty() { Cell::Empty } else { Cell::Text(text.to_owned()) }).to_vec()
}

fn sheet(understood: &Understood, selection: &Selection, scores: &Scores, wanted: &[&Scoring]) -> Job {
    let settings = &understood.content.settings;
    let mut data =
        common::head(understood, selection, &common::title(understood, selection, "scoring-sheet", ""));
    data.insert("passing".into(), understood.content.questions.passing.map_or(Value::Null, passing));
    data.insert("versions".into(), json!(understood.content.questions.versions));
    let events = settings.events.iter().filter_map(|event| {
        let here: Vec<&Scoring> =
            wanted.iter().copied().filter(|scoring| scoring.participant.event == event.id).collect();
        (!here.is_empty()).then(|| event_data(understood.at(&event.id), event, scores, &here))
    });
    data.insert("events".into(), events.collect());
    let path = match (&selection.scope.event, &selection.scope.participant) {
        (_, Some(_)) => "scoring-sheet-participant.pdf".to_owned(),
        (Some(event), None) => format!("scoring-sheet-{}.pdf", file_name::of_id(event)),
        (None, None) => "scoring-sheet.pdf".to_owned(),
    };
    Job {
        piece: Piece::Scores,
        shelf: Shelf::Private,
        path,
        make: Make::Sheet(Sheet {
            template: "scoring-sheet.typ".into(),
            data: Value::Object(data),
            ..Sheet::default()
        }),
    }
}

fn event_data(local: &Understood, event: &Event, scores: &Scores, here: &[&Scoring]) -> Value {
    let count = |passed: Passed| here.iter().filter(|one| scores.passed(one.participant) == passed).count();
    let questions = local.content.questions.list.iter().enumerate();
    let looks: Vec<Value> = questions.filter_map(|(at, question)| look(local, at, question, here)).collect();
    json!({
        "name": event.name,
        "date": event.date.to_string(),
        "passed": count(Passed::Yes),
        "not_passed": count(Passed::No),
        "waiting": count(Passed::Waits),
        "looks": looks,
        "people": here.iter().map(|scoring| person(scores, scoring)).collect::<Vec<_>>(),
    })
}

/// A question with every answer to it that waits for the ranger's eye.
fn look(local: &Understood, at: usize, question: &Question, here: &[&Scoring]) -> Option<Value> {
    let look_for = match &question.kind {
        Kind::Open { look_for } => look_for.as_slice(),
        _ => &[],
    };
    let answers: Vec<Value> = here
        .iter()
        .filter(|scoring| scoring.answers[at].verdict() == Verdict::Look)
        .map(|scoring| {
            let scored = &scoring.answers[at];
            json!({
                "name": scoring.participant.name,
                "companion": scoring.participant.companion,
                "version": scoring.row.version,
                "answer": shown(scored.answer),
                // What is said of every open answer is not said again beside each.
                "reason": (scored.judged.reason != OPEN).then_some(&scored.judged.reason),
            })
        })
        .collect();
    (!answers.is_empty()).then(|| {
        json!({
            "number": at + 1,
            "ask": Trees::new(local).inlines(&question.ask.inlines),
            "look_for": look_for,
            "key": key_words(local, question),
            "answers": answers,
        })
    })
}

/// What is right, in a line; nothing for an open question.
fn key_words(local: &Understood, question: &Question) -> Option<String> {
    let right_of = |choices: &[crate::program::Written], right: Vec<bool>| {
        let right = choices.iter().zip(right).filter(|(_, right)| *right);
        right.map(|(choice, _)| choice.text.as_str()).collect::<Vec<_>>().join("; ")
    };
    let words = match &question.kind {
        Kind::Choice { choices, right } => right_of(choices, key::right_choices(local, choices, right)),
        Kind::Several { choices, right } => right_of(choices, key::right_of_several(choices, right)),
        Kind::Figure { fact, .. } => key::words_with_limit(local, &fact.text)?,
        Kind::NameSome { accept, .. } => {
            accept.iter().map(|wordings| wordings.join(" / ")).collect::<Vec<_>>().join("; ")
        }
        Kind::Open { .. } => return None,
    };
    (!words.is_empty()).then_some(words)
}

fn person(scores: &Scores, scoring: &Scoring) -> Value {
    let outcome = match scores.passed(scoring.participant) {
        Passed::Yes => "yes",
        Passed::No => "no",
        Passed::Waits => "waits",
        Passed::Unsaid => "unsaid",
    };
    let answers = scoring.answers.iter().enumerate().map(|(at, scored)| answer(at, scored));
    json!({
        "name": scoring.participant.name,
        "companion": scoring.participant.companion,
        "version": scoring.row.version,
        "outcome": outcome,
        "by_roster": scores.by_roster(scoring.participant),
        "right": scoring.count(Verdict::Right),
        "of": scoring.answers.len(),
        "answers": answers.collect::<Vec<_>>(),
    })
}

fn answer(at: usize, scored: &Scored) -> Value {
    let verdict = match scored.verdict() {
        Verdict::Right => "right",
        Verdict::Wrong => "wrong",
        Verdict::Look => "look",
        Verdict::NotAnswered => "not_answered",
    };
    json!({
        "number": at + 1,
        "answer": shown(scored.answer),
        "verdict": verdict,
        "reason": scored.judged.reason,
        "decided": scored.is_decided(),
    })
}

/// An answer as the sheet shows it.
fn shown(answer: &str) -> String {
    match answer.char_indices().nth(LONGEST) {
        Some((end, _)) => format!("{} …", answer[..end].trim_end()),
        None => answer.to_owned(),
    }
}
