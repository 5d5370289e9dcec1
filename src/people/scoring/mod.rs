//! Scoring: what each answer is worth, why, and who passes.
//!
//! Takes what was understood and gives [`Scores`]: for each person and event the answers in the order of the
//! questions file, each right, wrong, not answered, or for the ranger to look at. The key comes from the
//! facts as they are at the person's event ([`key`]). Nothing is silently wrong that could be right in a way
//! that only a person sees: an open question is always looked at, and so is whatever cannot be read.
//!
//! The ranger's decisions ([`crate::program::decisions`]) win over the verdict. Nothing is printed or written
//! here; the sheet and the table are planned in [`crate::pieces::scores`].

mod choice;
mod decided;
mod figure;
pub mod key;
mod name_some;
mod persons;
mod reason;
mod wording;

use crate::finding::FileName;
use crate::languages::{self, Vocabulary};
use crate::program::Program;
use crate::program::answers::{AnswerRow, Asks};
use crate::program::decisions::{Decided, Word};
use crate::program::questions::{Kind, Passing, Question};
use crate::program::roster::Participant;
use crate::understand::{Understood, Version, plain_text};
use persons::Persons;
use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

pub use decided::answer_mark;
pub use persons::Stranger;
pub use reason::{Reason, plain_reason};

/// Why an answer to an open question is looked at.
pub const OPEN: &str = "open";

/// What an answer is worth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    Right,
    Wrong,
    /// Only a person can tell.
    Look,
    NotAnswered,
}

impl Verdict {
    /// Its word among the theme's.
    pub fn key(self) -> &'static str {
        match self {
            Self::Right => "right",
            Self::Wrong => "wrong",
            Self::Look => "look",
            Self::NotAnswered => "not_answered",
        }
    }
}

/// A verdict with its reason.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Judged {
    pub verdict: Verdict,
    pub reason: Reason,
    /// Which choices were meant, where the question has some and it could be told.
    pub chosen: Option<String>,
}

impl Judged {
    fn new(verdict: Verdict, reason: Reason) -> Self {
        Self { verdict, reason, chosen: None }
    }

    fn right(key: &'static str, fill: &[(&'static str, &str)]) -> Self {
        Self::new(Verdict::Right, Reason::of(key, fill))
    }

    fn wrong(key: &'static str, fill: &[(&'static str, &str)]) -> Self {
        Self::new(Verdict::Wrong, Reason::of(key, fill))
    }

    fn look(key: &'static str, fill: &[(&'static str, &str)]) -> Self {
        Self::new(Verdict::Look, Reason::of(key, fill))
    }
}

/// An answer and what it is worth.
#[derive(Clone, Debug)]
pub struct Scored<'p> {
    pub question: &'p Question,
    /// As it was given; empty where there is none.
    pub answer: &'p str,
    /// What packstring says.
    pub judged: Judged,
    /// What the ranger wrote beside it, as it was written; empty: nothing.
    pub decision: &'p str,
}

impl Scored<'_> {
    /// Whether the ranger has decided it.
    pub fn is_decided(&self) -> bool {
        matches!(Word::read(self.decision), Word::Right | Word::Wrong)
    }

    /// What counts: the ranger's decision, and where there is none the verdict.
    pub fn verdict(&self) -> Verdict {
        match Word::read(self.decision) {
            Word::Right => Verdict::Right,
            Word::Wrong => Verdict::Wrong,
            Word::None | Word::Unknown => self.judged.verdict,
        }
    }
}

/// Whether a person passes, by the roster's word or by the answers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Passed {
    Yes,
    No,
    /// The ranger's eye decides: answers that are to be looked at could make it a pass.
    Waits,
    /// The roster says nothing, and there are no answers or no rule.
    Unsaid,
}

/// What one person answered at one event.
#[derive(Clone, Debug)]
pub struct Scoring<'p> {
    pub participant: &'p Participant,
    pub row: &'p AnswerRow,
    /// In the order of the questions file, every question once.
    pub answers: Vec<Scored<'p>>,
    /// By the program's rule alone, whatever the roster says.
    pub by_rule: Passed,
}

impl Scoring<'_> {
    pub fn count(&self, verdict: Verdict) -> usize {
        self.answers.iter().filter(|scored| scored.verdict() == verdict).count()
    }
}

/// All answers of a program, scored.
#[derive(Clone, Debug, Default)]
pub struct Scores<'p> {
    /// By event in the order of `program.toml`, then in the order of the roster; each person once an event.
    pub list: Vec<Scoring<'p>>,
    /// Rows of answers whose person is not on the roster.
    pub strangers: Vec<Stranger<'p>>,
    /// Rows that do not count, because the person handed in another one later; with that row.
    pub superseded: Vec<(&'p AnswerRow, &'p AnswerRow)>,
    /// The ranger's decisions on answers that are no longer there. They are kept.
    pub leftover: Vec<&'p Decided>,
    /// Places in the list, by [`Participant::row`].
    by_row: BTreeMap<usize, usize>,
}

impl<'p> Scores<'p> {
    /// Scores every answer. This takes long where there are many, so a command does it once and hands it on. What
    /// crediting adds to the register changes none of it.
    pub fn of(understood: &Understood<'p>) -> Self {
        Self::remembering(understood, &mut Remembered::default())
    }

    /// The same, where a program that is held open was scored before: an answer that was judged by just the same key
    /// is not judged again.
    pub fn remembering(understood: &Understood<'p>, remembered: &mut Remembered) -> Self {
        let program = understood.root;
        remembered.turn_over(program);
        if program.people.answers.rows.is_empty() {
            return Self { leftover: program.people.decisions.rows.iter().collect(), ..Self::default() };
        }
        let versions = understood.versions();
        let persons = Persons::of(program);
        let mut scores =
            Self { strangers: persons.strangers, superseded: persons.superseded, ..Self::default() };
        for event in &program.content.settings.events {
            let local = understood.at(&event.id);
            let editions: Vec<_> = understood.editions.iter().map(|edition| edition.at(&event.id)).collect();
            let judged = remembered.judged.entry(event.id.clone()).or_default();
            for (participant, row) in persons.answered.iter().filter(|(person, _)| person.event == event.id) {
                scores.list.push(score(local, &editions, &versions, (participant, row), judged));
            }
        }
        decided::apply(&mut scores, program);
        for scoring in &mut scores.list {
            scoring.by_rule = by_rule(program, &scoring.answers);
        }
        let rows = scores.list.iter().map(|scoring| scoring.participant.row);
        scores.by_row = rows.zip(0..).collect();
        scores
    }

    /// What a participant (a row of this program's roster) answered.
    pub fn find(&self, participant: &Participant) -> Option<&Scoring<'p>> {
        self.by_row.get(&participant.row).map(|at| &self.list[*at])
    }

    /// Whether the roster itself says if a participant passed.
    pub fn by_roster(&self, participant: &Participant) -> bool {
        participant.passed.is_some()
    }

    /// Whether a participant passes: what the roster says wins, else the answers say it.
    pub fn passed(&self, participant: &Participant) -> Passed {
        match participant.passed {
            Some(false) => Passed::No,
            // Who missed a day of several has not finished yet, whatever is said of the questions.
            _ if participant.missed_days().next().is_some() => Passed::Unsaid,
            Some(true) => Passed::Yes,
            None => self.find(participant).map_or(Passed::Unsaid, |scoring| scoring.by_rule),
        }
    }
}

/// What answers were judged to be, from one state of a program's files to the next.
#[derive(Debug, Default)]
pub struct Remembered {
    /// The files that answers are judged by.
    by: Vec<(FileName, Arc<str>)>,
    /// By the event's id.
    judged: BTreeMap<String, JudgedBefore>,
}

/// What answers were judged to be at one event, by the version's letter and the question's place in its file, and
/// then by their words: many people answer alike.
type JudgedBefore = HashMap<(char, usize), HashMap<Option<Box<str>>, Judged>>;

impl Remembered {
    /// Forgets what was judged by other files. Lessons and people have no part in it.
    fn turn_over(&mut self, program: &Program) {
        let has_part = |name: &str| {
            !name.ends_with(".md") && !name.starts_with("people/") && !name.starts_with("records/")
        };
        let files = program.sources.files().filter(|(name, _)| has_part(name));
        let by: Vec<_> = files.map(|(name, text)| (name.clone(), text.clone())).collect();
        if self.by != by {
            *self = Self { by, judged: BTreeMap::new() };
        }
    }

    /// How many different answers were judged by these files.
    pub fn judged(&self) -> usize {
        self.judged.values().flat_map(HashMap::values).map(HashMap::len).sum()
    }
}

fn score<'p>(
    local: &Understood<'p>,
    editions: &[&Understood<'p>],
    versions: &[Version<'p>],
    (participant, row): (&'p Participant, &'p AnswerRow),
    before: &mut JudgedBefore,
) -> Scoring<'p> {
    let version = versions.iter().find(|version| version.letter == row.version).unwrap_or(&versions[0]);
    let questions = &local.content.questions.list;
    let answers = questions.iter().enumerate().map(|(at, question)| {
        let answer = answer_to(question, row, version);
        let before = before.entry((version.letter, at)).or_default();
        let judged = before
            .entry(answer.map(Box::from))
            .or_insert_with(|| in_any_edition(local, editions, version, question, answer))
            .clone();
        Scored { question, answer: answer.unwrap_or_default(), judged, decision: "" }
    });
    Scoring { participant, row, answers: answers.collect(), by_rule: Passed::Unsaid }
}

/// The answer to a question by its id, or by its number on the person's sheet. `None`: there is no column.
fn answer_to<'p>(question: &Question, row: &'p AnswerRow, version: &Version) -> Option<&'p str> {
    let number = version.questions.iter().position(|asked| asked.question.id == question.id).map(|at| at + 1);
    let asks = |asks: &Asks| match asks {
        Asks::Question(id) => *id == question.id,
        Asks::Number(at) => Some(*at) == number,
    };
    row.given.iter().find(|given| asks(&given.asks)).map(|given| given.text.as_str())
}

/// An answer judged by the main edition's words, and by those of each other edition, on whose sheet it may have been
/// given. One in whose words it is right wins. Where the main one cannot tell, a choice or a figure is wrong that
/// is read in another's words; a list that is on neither, but near to one, is for the ranger's eye.
fn in_any_edition(
    local: &Understood,
    editions: &[&Understood],
    version: &Version,
    question: &Question,
    answer: Option<&str>,
) -> Judged {
    let mut best = judge(local, version, question, answer);
    for edition in editions {
        if !matches!(best.verdict, Verdict::Wrong | Verdict::Look) {
            break;
        }
        let same = |other: &&Question| other.id == question.id;
        let Some(own) = edition.content.questions.list.iter().find(same) else { continue };
        if !has_own_words(own, question) {
            continue;
        }
        let judged = judge(edition, version, own, answer);
        let is_list = matches!(question.kind, Kind::NameSome { .. } | Kind::Open { .. });
        let wins = match (judged.verdict, best.verdict) {
            (Verdict::Right, _) => true,
            (Verdict::Look, Verdict::Wrong) => is_list,
            (Verdict::Wrong, Verdict::Look) => !is_list,
            _ => false,
        };
        if wins {
            best = judged;
        }
    }
    best
}

fn judge(local: &Understood, version: &Version, question: &Question, answer: Option<&str>) -> Judged {
    let Some(answer) = answer else {
        return Judged::new(Verdict::NotAnswered, Reason::of("no-column", &[]));
    };
    if !answer.chars().any(char::is_alphanumeric) {
        return Judged::new(Verdict::NotAnswered, Reason::of("nothing", &[]));
    }
    let order = version.questions.iter().find(|asked| asked.question.id == question.id);
    let order = order.map_or(&[][..], |asked| &asked.choices);
    let (language, words) = (local.language(), words_of(local, question));
    match &question.kind {
        Kind::Choice { choices, right } => {
            let right = key::right_choices(local, choices, right);
            choice::Sheet { choices, right, order, language, words }.one(answer)
        }
        Kind::Several { choices, right } => {
            let right = key::right_of_several(choices, right);
            choice::Sheet { choices, right, order, language, words }.several(answer)
        }
        Kind::Figure { fact, unit } => {
            let asked = figure::FigureQuestion { question, fact: &fact.text, unit: unit.as_deref(), words };
            figure::judge(local, &asked, answer)
        }
        Kind::NameSome { count, accept } => {
            let ask = wording::words(&plain_text(&question.ask.inlines), words);
            name_some::List { count: *count as usize, accept, ask, language: words }.judge(answer)
        }
        Kind::Open { .. } => Judged::look(OPEN, &[]),
    }
}

/// The words of the language in which a question was asked. Of a language that packstring does not know it has
/// none, so that what stands beside an answer is for the ranger's eye.
fn words_of(local: &Understood, question: &Question) -> &'static Vocabulary {
    languages::of_or_none(local.content.language_of(&question.ask.place.file))
}

/// Whether an edition accepts other words than the main one. Where it has none of its own, they were judged already,
/// and by the language that they are in.
fn has_own_words(own: &Question, main: &Question) -> bool {
    match (&own.kind, &main.kind) {
        (Kind::NameSome { accept: own, .. }, Kind::NameSome { accept: main, .. }) => own != main,
        _ => true,
    }
}

/// Who passes by the program's rule. What waits for the ranger's eye may be right or wrong.
fn by_rule(program: &Program, answers: &[Scored]) -> Passed {
    let count = |verdict: Verdict| answers.iter().filter(|scored| scored.verdict() == verdict).count();
    match program.content.questions.passing {
        None => Passed::Unsaid,
        Some(Passing::AnsweredAll) if count(Verdict::NotAnswered) == 0 => Passed::Yes,
        Some(Passing::AnsweredAll) => Passed::No,
        Some(Passing::Right { least, .. }) => {
            let (right, open) = (count(Verdict::Right), count(Verdict::Look));
            match least as usize {
                least if right >= least => Passed::Yes,
                least if right + open < least => Passed::No,
                _ => Passed::Waits,
            }
        }
    }
}

/// Words in quotation marks, cut where they are long.
fn quoted(words: &str) -> String {
    const LONGEST: usize = 60;
    let line = words.split_whitespace().collect::<Vec<_>>().join(" ");
    match line.char_indices().nth(LONGEST) {
        Some((end, _)) => format!("“{} …”", line[..end].trim_end()),
        None => format!("“{line}”"),
    }
}
