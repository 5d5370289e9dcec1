//! Scores: every answer as it was scored, as a table to decide in and a sheet to look at.
//!
//! Private: both hold names. The table `scores.csv` always has everybody, whatever was selected, since the
//! ranger's decisions stand in it; the sheet has what was asked for. A decision whose answer is gone keeps a
//! row of its own at the end of the table, with the verdict `gone`, for when the answer comes back.

use super::attendance::Outcome;
use super::common::{Head, LaterDay};
use super::question_sheet::PassingRule;
use super::table_words::TableWords;
use super::tree::{Inline, Trees};
use super::{Selection, common};
use crate::job::{Cell, Job, Make, Piece, Sheet, Shelf, Table, file_name};
use crate::people::same_name;
use crate::people::scoring::{
    OPEN, Passed, Scored, Scores, Scoring, Verdict, answer_mark, key, plain_reason,
};
use crate::program::decisions::{COLUMNS, headings};
use crate::program::questions::{Kind, Question};
use crate::program::settings::Event;
use crate::understand::Understood;
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

/// The table's path on the private shelf, where it is read again before it is made.
pub const TABLE: &str = "scores.csv";

/// Longer answers are cut on the sheet; the table has all of them.
const LONGEST: usize = 1200;

/// What `scoring-sheet.typ` is given.
#[derive(Serialize, JsonSchema)]
pub(super) struct ScoringSheet<'p> {
    #[serde(flatten)]
    head: Head<'p>,
    /// Null where the program has no rule for passing.
    passing: Option<PassingRule>,
    /// How many versions of the question sheet there are.
    versions: u32,
    events: Vec<ScoredEvent<'p>>,
}

/// An event with the answers that came from it.
#[derive(Serialize, JsonSchema)]
struct ScoredEvent<'p> {
    name: &'p str,
    /// Year, month and day: 2026-05-16.
    date: String,
    /// Its other days; mostly none.
    later_days: Vec<LaterDay>,
    /// How many passed.
    passed: usize,
    not_passed: usize,
    /// Of how many it is not known before the ranger has looked.
    waiting: usize,
    looks: Vec<WaitingQuestion<'p>>,
    people: Vec<ScoredPerson<'p>>,
}

/// A question with every answer to it that waits for the ranger's eye, so that they are judged side by side.
#[derive(Serialize, JsonSchema)]
struct WaitingQuestion<'p> {
    /// Its number in the questions file, from 1.
    number: usize,
    ask: Vec<Inline>,
    /// Of an open question, what its answers should say.
    look_for: &'p [String],
    /// What is right, in a line; null for an open question.
    key: Option<String>,
    answers: Vec<WaitingAnswer<'p>>,
}

/// An answer that waits.
#[derive(Serialize, JsonSchema)]
struct WaitingAnswer<'p> {
    name: &'p str,
    /// The animal, boat or child that takes part too; null where there is none.
    companion: Option<&'p str>,
    /// The letter of the version that was filled in.
    version: char,
    answer: String,
    /// Why it waits; null where it goes without saying.
    reason: Option<String>,
}

/// Who answered.
#[derive(Serialize, JsonSchema)]
struct ScoredPerson<'p> {
    name: &'p str,
    /// The animal, boat or child that takes part too; null where there is none.
    companion: Option<&'p str>,
    /// The letter of the version that was filled in.
    version: char,
    outcome: Outcome,
    /// Whether the roster said so.
    by_roster: bool,
    /// How many answers are right.
    right: usize,
    /// How many questions there are.
    of: usize,
    answers: Vec<ScoredAnswer>,
}

/// An answer as it was scored.
#[derive(Serialize, JsonSchema)]
struct ScoredAnswer {
    /// The question's number in the questions file, from 1.
    number: usize,
    answer: String,
    verdict: VerdictWord,
    reason: String,
    /// Whether the ranger decided it.
    decided: bool,
}

/// What an answer was called.
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
enum VerdictWord {
    Right,
    Wrong,
    /// It waits for the ranger's eye.
    Look,
    NotAnswered,
}

pub fn plan(understood: &Understood, scores: &Scores, selection: &Selection) -> Vec<Job> {
    if scores.list.is_empty() && scores.leftover.is_empty() {
        return Vec::new();
    }
    let mut jobs = vec![table_job(understood, scores, selection)];
    let wanted: Vec<&Scoring> = scores.list.iter().filter(|scoring| is_wanted(scoring, selection)).collect();
    if !wanted.is_empty() {
        jobs.push(sheet(understood, selection, scores, &wanted));
    }
    jobs
}

/// The table by itself, in which the decisions stand.
pub fn table_job(understood: &Understood, scores: &Scores, selection: &Selection) -> Job {
    Job {
        piece: Piece::Scores,
        shelf: Shelf::Private,
        path: TABLE.into(),
        make: Make::Tables(vec![table(understood, scores, selection)]),
    }
}

/// Whether a person belongs to what was selected.
pub fn is_wanted(scoring: &Scoring, selection: &Selection) -> bool {
    let person = scoring.participant;
    selection.scope.covers(&person.event)
        && selection.scope.participant.as_ref().is_none_or(|name| same_name(name, &person.name))
}

fn table(understood: &Understood, scores: &Scores, selection: &Selection) -> Table {
    let words = TableWords::of(understood, selection);
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
                words.says(scored.judged.verdict.key()),
                &scored.judged.reason.told(words.all()),
                scored.decision,
                &answer_mark(scored.answer),
            ]));
        }
    }
    for decided in &scores.leftover {
        rows.push(row([
            &decided.event,
            &decided.name,
            &decided.email,
            &decided.question,
            &decided.answer,
            words.says("gone"),
            &plain_reason("gone", words.all()),
            &decided.decision,
            &decided.mark,
        ]));
    }
    Table { name: words.sheet("scores"), headings: headings(&understood.content.settings.language), rows }
}

fn row(texts: [&str; COLUMNS.len()]) -> Vec<Cell> {
    texts.map(|text| if text.is_empty() { Cell::Empty } else { Cell::Text(text.to_owned()) }).to_vec()
}

fn sheet(understood: &Understood, selection: &Selection, scores: &Scores, wanted: &[&Scoring]) -> Job {
    let settings = &understood.content.settings;
    let words = selection.words.of(&settings.language);
    let events = settings.events.iter().filter_map(|event| {
        let here: Vec<&Scoring> =
            wanted.iter().copied().filter(|scoring| scoring.participant.event == event.id).collect();
        (!here.is_empty()).then(|| event_data(understood.at(&event.id), event, scores, &here, &words))
    });
    let title = common::title(understood, selection, "scoring-sheet", "");
    let sheet = ScoringSheet {
        head: common::head(understood, selection, &title),
        passing: understood.content.questions.passing.map(PassingRule::from),
        versions: understood.content.questions.versions,
        events: events.collect(),
    };
    let path = match (&selection.scope.event, &selection.scope.participant) {
        (_, Some(_)) => "scoring-sheet-participant.pdf".to_owned(),
        (Some(event), None) => format!("scoring-sheet-{}.pdf", file_name::of_id(event)),
        (None, None) => "scoring-sheet.pdf".to_owned(),
    };
    Job {
        piece: Piece::Scores,
        shelf: Shelf::Private,
        path,
        make: Make::Sheet(Sheet::of("scoring-sheet.typ", &sheet)),
    }
}

fn event_data<'p>(
    local: &'p Understood,
    event: &'p Event,
    scores: &Scores,
    here: &[&'p Scoring],
    words: &Value,
) -> ScoredEvent<'p> {
    let count = |passed: Passed| here.iter().filter(|one| scores.passed(one.participant) == passed).count();
    let questions = local.content.questions.list.iter().enumerate();
    ScoredEvent {
        name: &event.name,
        date: event.date.to_string(),
        later_days: common::later_days(event),
        passed: count(Passed::Yes),
        not_passed: count(Passed::No),
        waiting: count(Passed::Waits),
        looks: questions.filter_map(|(at, question)| look(local, at, question, here, words)).collect(),
        people: here.iter().map(|scoring| person(scores, scoring, words)).collect(),
    }
}

fn look<'p>(
    local: &Understood,
    at: usize,
    question: &'p Question,
    here: &[&'p Scoring],
    words: &Value,
) -> Option<WaitingQuestion<'p>> {
    let waiting = here.iter().filter(|scoring| scoring.answers[at].verdict() == Verdict::Look);
    let answer = |scoring: &&'p Scoring| {
        let scored = &scoring.answers[at];
        WaitingAnswer {
            name: &scoring.participant.name,
            companion: scoring.participant.companion.as_deref(),
            version: scoring.row.version,
            answer: shown(scored.answer),
            // What is said of every open answer is not said again beside each.
            reason: (!scored.judged.reason.is(OPEN)).then(|| scored.judged.reason.told(words)),
        }
    };
    let answers: Vec<WaitingAnswer> = waiting.map(answer).collect();
    (!answers.is_empty()).then(|| WaitingQuestion {
        number: at + 1,
        ask: Trees::new(local).inlines(&question.ask.inlines),
        look_for: match &question.kind {
            Kind::Open { look_for } => look_for,
            _ => &[],
        },
        key: key_words(local, question),
        answers,
    })
}

/// What is right, in a line; nothing for an open question.
pub fn key_words(local: &Understood, question: &Question) -> Option<String> {
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

fn person<'p>(scores: &Scores, scoring: &'p Scoring, words: &Value) -> ScoredPerson<'p> {
    let answers = scoring.answers.iter().enumerate();
    ScoredPerson {
        name: &scoring.participant.name,
        companion: scoring.participant.companion.as_deref(),
        version: scoring.row.version,
        outcome: scores.passed(scoring.participant).into(),
        by_roster: scores.by_roster(scoring.participant),
        right: scoring.count(Verdict::Right),
        of: scoring.answers.len(),
        answers: answers.map(|(at, scored)| answer(at, scored, words)).collect(),
    }
}

fn answer(at: usize, scored: &Scored, words: &Value) -> ScoredAnswer {
    ScoredAnswer {
        number: at + 1,
        answer: shown(scored.answer),
        verdict: match scored.verdict() {
            Verdict::Right => VerdictWord::Right,
            Verdict::Wrong => VerdictWord::Wrong,
            Verdict::Look => VerdictWord::Look,
            Verdict::NotAnswered => VerdictWord::NotAnswered,
        },
        reason: scored.judged.reason.told(words),
        decided: scored.is_decided(),
    }
}

/// An answer as the sheet shows it.
fn shown(answer: &str) -> String {
    match answer.char_indices().nth(LONGEST) {
        Some((end, _)) => format!("{} …", answer[..end].trim_end()),
        None => answer.to_owned(),
    }
}
