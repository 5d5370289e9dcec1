//! Answers that wait for the ranger's eye, decided one after another.
//!
//! A decision stands where `make` and `score` look for it: in `scores.csv` on the private shelf. That file is made anew
//! with it, whole, while no other run is at work on the shelves. Decisions that somebody wrote there meanwhile are taken in
//! first: where one stands on the answer itself, nothing is written, and it is told.

use super::make::{Count, make_all, put_away};
use super::printed::MadeWords;
use super::{Session, SessionError, decisions};
use crate::digest::{absorb, hex};
use crate::languages;
use crate::people::scoring::{OPEN, Scored, Scores, Scoring, Verdict, answer_mark, key};
use crate::pieces::{Selection, scores};
use crate::program::questions::Kind;
use crate::shelf::Shelves;
use crate::understand::{Understood, Version};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;

/// An answer that waits, with all who gave it in the same words to the same question.
#[derive(Clone, Debug)]
pub struct WaitingAnswer {
    /// What tells it from others; it gives nobody away.
    pub id: String,
    /// How the answers like it stood when it was looked at, as a few letters.
    pub state: String,
    /// The question's number in the questions file, from 1.
    pub number: usize,
    pub ask: String,
    /// Of an open question, what its answers should say.
    pub look_for: Vec<String>,
    /// What is right, in a line; none of an open question.
    pub key: Option<String>,
    /// In the order of the person's sheet; empty where there are none to choose from.
    pub choices: Vec<SheetChoice>,
    pub answer: String,
    /// Why packstring cannot tell; none where that goes without saying.
    pub doubt: Option<String>,
    /// Who waits with it: all of them are decided at once.
    pub people: Vec<Answerer>,
    /// What was decided on the same words before, each decision as it was written.
    pub decided: Vec<String>,
}

/// A choice as it stands on a sheet.
#[derive(Clone, Debug)]
pub struct SheetChoice {
    pub letter: String,
    pub words: String,
    pub is_right: bool,
}

/// Who gave an answer.
#[derive(Clone, Debug)]
pub struct Answerer {
    pub name: String,
    pub companion: Option<String>,
    /// The event's name.
    pub event: String,
}

/// Where decisions are to be written, of what stands there by now; or why there is nothing to be written.
type Plan<'a> = &'a dyn Fn(&Understood, &Scores) -> Result<Vec<Placed>, Judging>;

/// What came of deciding.
#[derive(Clone, Debug)]
pub enum Judging {
    /// The file holds it.
    Kept(DecisionChange),
    /// The answers stand otherwise by now: with these decisions of somebody else's, or with other people. Nothing was
    /// written.
    Otherwise(Vec<String>),
    /// The answer is not there any more. Nothing was written.
    Gone,
}

/// A decision that can be taken back.
#[derive(Clone, Debug)]
pub struct DecisionChange {
    /// The question's number.
    pub number: usize,
    pub answer: String,
    pub is_right: bool,
    cells: Vec<DecisionCell>,
}

impl DecisionChange {
    /// How many people it was made for.
    pub fn count(&self) -> usize {
        self.cells.len()
    }
}

/// One cell of the table of scores.
#[derive(Clone, Debug)]
struct DecisionCell {
    event: String,
    name: String,
    email: String,
    question: String,
    mark: String,
    was: String,
    now: String,
}

/// Answers that are decided as one, by their places among the scores.
struct Alike {
    id: String,
    /// Which question, from 0.
    question: usize,
    /// Which people, decided ones too.
    people: Vec<usize>,
}

/// A cell's place among the scores, and what it is to hold.
type Placed = (usize, usize, DecisionCell);

impl Session<'_> {
    /// Everything that waits for the ranger's eye, by question; what was decided is not among it.
    ///
    /// # Errors
    /// The theme cannot be read.
    pub fn waiting_answers(&self) -> Result<Vec<WaitingAnswer>, SessionError> {
        let understood = self.understand(&self.program);
        let scores = self.scores(&understood);
        let words = self.press()?.words().of(&understood.content.settings.language);
        let versions = understood.versions();
        let waiting = alike(&understood, &scores).into_iter().filter(|alike| alike.waits(&scores));
        let told =
            |scored: &Scored| (!scored.judged.reason.is(OPEN)).then(|| scored.judged.reason.told(&words));
        Ok(waiting.map(|alike| alike.described(&understood, &scores, &versions, &told)).collect())
    }

    fn scores<'p>(&self, understood: &Understood<'p>) -> Scores<'p> {
        let mut answers = self.remembered.answers.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        Scores::remembering(understood, &mut answers)
    }

    /// Decides an answer for all who gave it, where it stands as it was shown.
    ///
    /// # Errors
    /// Another run is at work, the decisions cannot be read or stand in a workbook, or the file cannot be written: it is
    /// then as it was.
    pub fn decide(&mut self, id: &str, state: &str, is_right: bool) -> Result<Judging, SessionError> {
        let words = &languages::of_or_english(&self.program.content.settings.language).decisions;
        let word = if is_right { words.right.first() } else { words.wrong.first() };
        let word = word.map_or(if is_right { "right" } else { "wrong" }, String::as_str).to_owned();
        self.decisions_written(is_right, &|understood, scores| {
            let alike = alike(understood, scores).into_iter().find(|alike| alike.id == id);
            let Some(alike) = alike else { return Err(Judging::Gone) };
            if alike.state(scores) != state {
                return Err(Judging::Otherwise(alike.decided(scores)));
            }
            let waiting = alike.people.iter().filter(|at| is_waiting(&scores.list[**at], alike.question));
            Ok(waiting
                .map(|at| (*at, alike.question, cell(&scores.list[*at], alike.question, &word)))
                .collect())
        })
    }

    /// Takes a decision back, where it still is the one that stands there.
    ///
    /// # Errors
    /// As [`decide`](Self::decide).
    pub fn take_back_decision(&mut self, change: &DecisionChange) -> Result<Judging, SessionError> {
        self.decisions_written(change.is_right, &|_, scores| {
            let mut placed: Vec<Placed> = Vec::new();
            for cell in &change.cells {
                let Some((at, question)) = place_of(scores, cell, &placed) else { return Err(Judging::Gone) };
                let there = scores.list[at].answers[question].decision;
                if there != cell.now {
                    return Err(Judging::Otherwise(vec![there.to_owned()]));
                }
                let DecisionCell { was, now, .. } = cell.clone();
                placed.push((at, question, DecisionCell { was: now, now: was, ..cell.clone() }));
            }
            Ok(placed)
        })
    }

    /// Takes in what stands in the file by now, plans on it, and makes the file anew.
    fn decisions_written(&mut self, is_right: bool, plan: Plan) -> Result<Judging, SessionError> {
        self.check_places()?;
        let selection = self.worded(Selection::default())?;
        // Held from reading to writing: another run would decide on what is not there any more.
        let mut shelves = Shelves::open(&self.out, &self.program.folder)?;
        self.take_in_decisions()?;
        let file = &self.program.people.decisions.file;
        if !file.is_empty() && file != scores::TABLE {
            return Err(SessionError::said(format!(
                "Your decisions stand in {file}, a workbook, and packstring writes into no workbook. Nothing was written. Save the sheet as {} beside it, move {file} elsewhere, and try again.",
                scores::TABLE
            )));
        }
        let before = decisions::bytes(&self.out);
        let understood = self.understand(&self.program);
        let mut all = self.scores(&understood);
        let placed = match plan(&understood, &all) {
            Ok(placed) => placed,
            Err(told) => return Ok(told),
        };
        for (at, question, cell) in &placed {
            all.list[*at].answers[*question].decision = &cell.now;
        }
        let shown =
            placed.first().map(|(at, question, _)| (question + 1, all.list[*at].answers[*question].answer));
        let (number, answer) =
            shown.map_or((0, String::new()), |(number, answer)| (number, answer.to_owned()));
        let job = scores::table_job(&understood, &all, &selection);
        let press = self.press()?;
        let planned = [press.plan(&job)];
        // A spreadsheet asks for no lock.
        if decisions::bytes(&self.out) != before {
            return Err(SessionError::said(format!(
                "{} was changed by another program just now, so nothing was written. Look at the answer again.",
                scores::TABLE
            )));
        }
        let (mut count, mut words) = (Count::default(), MadeWords::default());
        let made = make_all(&planned, press, &mut shelves, (&mut count, &mut words), &mut |_| {});
        put_away(made, shelves, &understood)?;
        drop(all);
        drop(understood);
        self.take_in_decisions()?;
        let cells = placed.into_iter().map(|(_, _, cell)| cell).collect();
        Ok(Judging::Kept(DecisionChange { number, answer, is_right, cells }))
    }
}

/// Whether a person's answer to a question is for a person to judge, by what packstring itself says.
fn is_to_judge(scoring: &Scoring, question: usize) -> bool {
    scoring.answers[question].judged.verdict == Verdict::Look
}

/// Whether it still is.
fn is_waiting(scoring: &Scoring, question: usize) -> bool {
    is_to_judge(scoring, question) && scoring.answers[question].verdict() == Verdict::Look
}

/// All answers that are for a person to judge, those that nothing tells apart together; by question.
fn alike(understood: &Understood, scores: &Scores) -> Vec<Alike> {
    let mut all: Vec<Alike> = Vec::new();
    let mut known: BTreeMap<String, usize> = BTreeMap::new();
    for (at, scoring) in scores.list.iter().enumerate() {
        let event = understood.at(&scoring.participant.event);
        for question in (0..scoring.answers.len()).filter(|question| is_to_judge(scoring, *question)) {
            let scored = &scoring.answers[question];
            // A letter means another choice on another sheet, and a figure may be right at one event alone.
            let version = match scored.question.kind {
                Kind::Choice { .. } | Kind::Several { .. } => scoring.row.version.to_string(),
                Kind::Figure { .. } | Kind::NameSome { .. } | Kind::Open { .. } => String::new(),
            };
            let key = scores::key_words(event, scored.question).unwrap_or_default();
            let plain = scored.answer.split_whitespace().collect::<Vec<_>>().join(" ");
            let id = hashed(&[&scored.question.id, &version, &key, &plain]);
            let place = *known.entry(id.clone()).or_insert_with(|| {
                all.push(Alike { id, question, people: Vec::new() });
                all.len() - 1
            });
            all[place].people.push(at);
        }
    }
    all.sort_by_key(|alike| alike.question);
    all
}

impl Alike {
    fn waits(&self, scores: &Scores) -> bool {
        self.people.iter().any(|at| is_waiting(&scores.list[*at], self.question))
    }

    /// Who they are, and what was decided on each.
    fn state(&self, scores: &Scores) -> String {
        let cells = self.people.iter().map(|at| cell(&scores.list[*at], self.question, ""));
        let parts: Vec<String> = cells
            .flat_map(|DecisionCell { event, name, email, was, .. }| [event, name, email, was])
            .collect();
        hashed(&parts.iter().map(String::as_str).collect::<Vec<_>>())
    }

    /// The decisions that stand on them, each once.
    fn decided(&self, scores: &Scores) -> Vec<String> {
        let all = self.people.iter().map(|at| scores.list[*at].answers[self.question].decision.trim());
        let mut decided: Vec<String> = all.filter(|word| !word.is_empty()).map(str::to_owned).collect();
        decided.sort();
        decided.dedup();
        decided
    }

    fn described(
        &self,
        understood: &Understood,
        scores: &Scores,
        versions: &[Version],
        told: &dyn Fn(&Scored) -> Option<String>,
    ) -> WaitingAnswer {
        let people = self.people.iter().map(|at| &scores.list[*at]);
        let waiting: Vec<&Scoring> = people.filter(|it| is_waiting(it, self.question)).collect();
        let first = waiting[0];
        let scored = &first.answers[self.question];
        let local = understood.at(&first.participant.event);
        let question = scored.question;
        let event_of = |id: &str| {
            let events = &understood.content.settings.events;
            events.iter().find(|event| event.id == id).map_or(id, |event| &event.name).to_owned()
        };
        WaitingAnswer {
            id: self.id.clone(),
            state: self.state(scores),
            number: self.question + 1,
            ask: local.text_of(&question.ask.inlines),
            look_for: match &question.kind {
                Kind::Open { look_for } => look_for.clone(),
                _ => Vec::new(),
            },
            key: scores::key_words(local, question),
            choices: choices(local, versions, first, scored),
            answer: scored.answer.to_owned(),
            doubt: told(scored),
            people: waiting
                .iter()
                .map(|scoring| Answerer {
                    name: scoring.participant.name.clone(),
                    companion: scoring.participant.companion.clone(),
                    event: event_of(&scoring.participant.event),
                })
                .collect(),
            decided: self.decided(scores),
        }
    }
}

/// What there was to choose from, as the person's sheet had it.
fn choices(local: &Understood, versions: &[Version], scoring: &Scoring, scored: &Scored) -> Vec<SheetChoice> {
    let question = scored.question;
    let (all, right) = match &question.kind {
        Kind::Choice { choices, right } => (choices, key::right_choices(local, choices, right)),
        Kind::Several { choices, right } => (choices, key::right_of_several(choices, right)),
        Kind::Figure { .. } | Kind::NameSome { .. } | Kind::Open { .. } => return Vec::new(),
    };
    let version = versions.iter().find(|version| version.letter == scoring.row.version).or(versions.first());
    let asked = version.and_then(|version| version.questions.iter().find(|it| it.question.id == question.id));
    let order = asked.map_or(&[][..], |asked| &asked.choices);
    let placed = order.iter().filter_map(|at| Some((all.get(*at)?, *right.get(*at)?)));
    let choice = |(place, (choice, is_right)): (usize, (&crate::program::Written, bool))| SheetChoice {
        letter: key::letter(place),
        words: choice.text.clone(),
        is_right,
    };
    placed.enumerate().map(choice).collect()
}

/// The cell of a person's answer, with what it is to hold.
fn cell(scoring: &Scoring, question: usize, now: &str) -> DecisionCell {
    let scored = &scoring.answers[question];
    DecisionCell {
        event: scoring.participant.event.clone(),
        name: scoring.participant.name.clone(),
        email: scoring.participant.email.clone().unwrap_or_default(),
        question: scored.question.id.clone(),
        mark: answer_mark(scored.answer),
        was: scored.decision.to_owned(),
        now: now.to_owned(),
    }
}

/// Where a cell stands by now. Of two people whom nothing tells apart, each has one of their own.
fn place_of(scores: &Scores, wanted: &DecisionCell, placed: &[Placed]) -> Option<(usize, usize)> {
    let of_person = scores.list.iter().enumerate().filter(|(_, scoring)| {
        let person = scoring.participant;
        person.event == wanted.event
            && person.name == wanted.name
            && person.email.as_deref().unwrap_or_default() == wanted.email
    });
    let mut places = of_person.filter_map(|(at, scoring)| {
        let is_it = |scored: &Scored| {
            scored.question.id == wanted.question && answer_mark(scored.answer) == wanted.mark
        };
        Some((at, scoring.answers.iter().position(is_it)?))
    });
    places.find(|place| !placed.iter().any(|(at, question, _)| (*at, *question) == *place))
}

fn hashed(parts: &[&str]) -> String {
    let mut hash = Sha256::new();
    parts.iter().for_each(|part| absorb(&mut hash, part.as_bytes()));
    hex(hash.finalize())[..16].to_owned()
}
