//! The answer key: each question with what is right, worked out from the facts file at each making,
//! so that the key follows when a fact changes.
//!
//! Where the facts file does not decide (no choice agrees with the fact, or two do), nothing is
//! marked right and the sheet says so; proofreading reports it with its place.

use super::Selection;
use super::common::SourceRead;
use super::question_sheet::{QuestionKind, of_version, path};
use super::tree::{self, Trees, join_number_and_unit};
use crate::job::{Job, Piece, Shelf};
use crate::people::scoring::key::{letter, right_choices, right_of_several, words_with_limit};
use crate::program::Written;
use crate::program::facts::Stated;
use crate::program::lesson::Inline;
use crate::program::questions::{Kind, Question};
use crate::quantity::{self, Agreement, Amount, Exact, Held, Language, Limit, Worked};
use crate::understand::{Understood, Version, VersionQuestion};
use num_traits::Signed;
use schemars::JsonSchema;
use serde::Serialize;

/// A question with what is right.
#[derive(Serialize, JsonSchema)]
pub(super) struct AnsweredQuestion {
    /// Its number on the sheet, from 1.
    number: usize,
    kind: QuestionKind,
    ask: Vec<tree::Inline>,
    /// Why that is right; null where the program does not say.
    because: Option<Vec<tree::Inline>>,
    /// The lesson that tells it; null where the program names none.
    lesson: Option<LessonOfQuestion>,
    /// The facts that the key rests on.
    backing: Vec<Backing>,
    key: Key,
}

/// The lesson that answers a question.
#[derive(Serialize, JsonSchema)]
struct LessonOfQuestion {
    /// Its number in the syllabus, from 1.
    number: usize,
    title: Vec<tree::Inline>,
}

/// What is right, by the question's kind.
#[derive(Serialize, JsonSchema)]
#[serde(untagged)]
enum Key {
    Choices {
        choices: Vec<MarkedChoice>,
        /// Whether any is right; else the facts file does not decide.
        decided: bool,
    },
    Figure {
        /// The fact's own words; null where it has no figure.
        figure: Option<String>,
        /// The unit that is asked for; null where none is.
        asked: Option<String>,
        /// The same in other units in which it may well be answered.
        also: Vec<String>,
    },
    NameSome {
        count: u32,
        /// Each answer in all its wordings.
        accept: Vec<Vec<String>>,
    },
    Open {
        look_for: Vec<String>,
    },
}

/// Something to choose.
#[derive(Serialize, JsonSchema)]
struct MarkedChoice {
    letter: String,
    words: String,
    right: bool,
}

/// What a key rests on.
#[derive(Serialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
enum Backing {
    Fact {
        /// The name of the fact in `facts.toml`.
        fact: String,
        /// As they are to be printed; null where it has none.
        words: Option<String>,
        /// The expression that it is worked from; null where it is stated.
        worked_from: Option<String>,
        sources: Vec<Source>,
    },
}

/// Where a fact comes from.
#[derive(PartialEq, Serialize, JsonSchema)]
struct Source {
    source: String,
    /// How the source was read; null where that is not said.
    read: Option<SourceRead>,
    /// The day on which the source was looked at; null where that is not said.
    as_of: Option<String>,
}

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    if understood.content.questions.list.is_empty() {
        return Vec::new();
    }
    let versions = understood.versions();
    versions.iter().map(|version| job(understood, selection, version, versions.len())).collect()
}

/// The key of one version of the question sheet.
fn job(understood: &Understood, selection: &Selection, version: &Version, of: usize) -> Job {
    let asked = version.questions.iter().enumerate();
    let list: Vec<AnsweredQuestion> = asked.map(|(at, asked)| answered(understood, at + 1, asked)).collect();
    let make = of_version(understood, selection, "answer-key", (version, of), list);
    Job { piece: Piece::AnswerKey, shelf: Shelf::Staff, path: path("answer-key", version), make }
}

fn answered(understood: &Understood, number: usize, asked: &VersionQuestion) -> AnsweredQuestion {
    let question = asked.question;
    let trees = Trees::new(understood);
    let lesson = question.lesson.as_ref();
    AnsweredQuestion {
        number,
        kind: QuestionKind::from(&question.kind),
        ask: trees.inlines(&question.ask.inlines),
        because: question.because.as_ref().map(|prose| trees.inlines(&prose.inlines)),
        lesson: lesson.and_then(|lesson| lesson_data(understood, &trees, &lesson.text)),
        backing: backing(understood, question),
        key: match &question.kind {
            Kind::Choice { choices, right } => {
                choice_key(choices, &right_choices(understood, choices, right), asked)
            }
            Kind::Several { choices, right } => choice_key(choices, &right_of_several(choices, right), asked),
            Kind::Figure { fact, unit } => figure_key(understood, &fact.text, unit.as_deref()),
            Kind::NameSome { count, accept } => Key::NameSome { count: *count, accept: accept.clone() },
            Kind::Open { look_for } => Key::Open { look_for: look_for.clone() },
        },
    }
}

fn lesson_data(understood: &Understood, trees: &Trees, id: &str) -> Option<LessonOfQuestion> {
    let syllabus = &understood.content.settings.syllabus;
    let number = syllabus.iter().position(|entry| entry.lesson == id)? + 1;
    let lesson = understood.lesson(id)?;
    Some(LessonOfQuestion { number, title: trees.inlines_in(&lesson.title, id) })
}

/// The choices in the order of the sheet, the right ones marked.
fn choice_key(choices: &[Written], right: &[bool], asked: &VersionQuestion) -> Key {
    let in_order = asked.choices.iter().enumerate();
    let marked = in_order.map(|(at, choice)| MarkedChoice {
        letter: letter(at),
        words: choices[*choice].text.clone(),
        right: right[*choice],
    });
    Key::Choices { choices: marked.collect(), decided: right.contains(&true) }
}

/// The fact's own words, and the same figure in other units in which it may well be answered.
fn figure_key(understood: &Understood, fact: &str, asked: Option<&str>) -> Key {
    let own = words_with_limit(understood, fact);
    let held = understood.held(fact);
    let also = held.map(|held| other_units(understood.language(), held, asked)).unwrap_or_default();
    Key::Figure {
        figure: own.map(|words| join_number_and_unit(understood.language(), &words)),
        asked: asked.map(|unit| understood.language().unit(unit).to_string()),
        also,
    }
}

/// Units in which people answer, by what they measure.
const ANSWER_UNITS: [&str; 35] = [
    "inches",
    "feet",
    "yards",
    "miles",
    "centimeters",
    "meters",
    "kilometers",
    "ounces",
    "pounds",
    "tons",
    "grams",
    "kilograms",
    "pints",
    "quarts",
    "gallons",
    "liters",
    "square feet",
    "acres",
    "square meters",
    "hectares",
    "°F",
    "°C",
    "seconds",
    "minutes",
    "hours",
    "days",
    "weeks",
    "miles an hour",
    "kilometers an hour",
    "pounds a day",
    "kilograms a day",
    "tons a year",
    "pounds a year",
    "gallons a day",
    "liters a day",
];

/// The fact's figure in other units, fairly rounded. Its limit is left off: the key says it once.
fn other_units(language: &Language, held: &Held, asked: Option<&str>) -> Vec<String> {
    let bare = Held { limit: held.limit.filter(|limit| *limit == Limit::About), ..held.clone() };
    let mut also: Vec<String> = Vec::new();
    for name in asked.into_iter().chain(ANSWER_UNITS) {
        let Some(unit) = language.unit_called(name).filter(|unit| *unit != held.quantity.unit) else {
            continue;
        };
        let Ok(words) = quantity::say(&bare, Some(&unit)) else { continue };
        // Said and read back, it must still be the fact; and it must be a number that one would say.
        let usual = language.read_one_in_english(&words).is_ok_and(|figure| {
            // beside the fact's own figure, so rounded to the nearest
            quantity::agree_beside(&figure, held) == Agreement::Agrees
                && is_usual(&figure.quantity.amount, &held.quantity.amount)
        });
        let words = join_number_and_unit(language, &language.put(&words));
        if usual && !also.contains(&words) {
            also.push(words);
        }
    }
    also
}

/// Nobody answers "0.002 miles", nor "2,400 inches" for 200 feet.
fn is_usual(amount: &Amount, own: &Amount) -> bool {
    let size = |amount: &Amount| match amount {
        Amount::One(value) | Amount::Range(_, value) => value.abs(),
    };
    let (quarter, thousand) = (Exact::new(1.into(), 4.into()), Exact::from_integer(1000.into()));
    let size_here = size(amount);
    size_here >= quarter && (size_here < thousand || size_here <= size(own))
}

/// The facts that the key rests on: the question's own, then those that its reason quotes.
fn backing(understood: &Understood, question: &Question) -> Vec<Backing> {
    let mut facts: Vec<&str> = question.key_fact().map(|fact| fact.text.as_str()).into_iter().collect();
    if let Some(because) = &question.because {
        quoted(&because.inlines, &mut facts);
    }
    facts.into_iter().filter_map(|fact| backing_of(understood, fact)).collect()
}

fn quoted<'q>(inlines: &'q [Inline], facts: &mut Vec<&'q str>) {
    for inline in inlines {
        match inline {
            Inline::Backed(backed) if !facts.contains(&backed.fact.as_str()) => facts.push(&backed.fact),
            Inline::Emphasis { inlines }
            | Inline::Strong { inlines }
            | Inline::Struck { inlines }
            | Inline::Link { inlines, .. } => quoted(inlines, facts),
            _ => {}
        }
    }
}

fn backing_of(understood: &Understood, name: &str) -> Option<Backing> {
    let fact = understood.fact(name)?;
    let worked_from = match &fact.stated {
        Stated::WorkedFrom(expression) => Some(expression.text.clone()),
        Stated::Value(_) | Stated::Series(_) => None,
    };
    let mut sources = Vec::new();
    gather_sources(understood, name, &mut Vec::new(), &mut sources);
    let words = words_with_limit(understood, name);
    Some(Backing::Fact {
        fact: name.to_owned(),
        words: words.map(|words| join_number_and_unit(understood.language(), &words)),
        worked_from,
        sources,
    })
}

/// The source and date of a fact, or of all the facts that it is worked from, each once.
fn gather_sources(understood: &Understood, name: &str, seen: &mut Vec<String>, sources: &mut Vec<Source>) {
    if seen.iter().any(|known| known == name) {
        return;
    }
    seen.push(name.to_owned());
    let Some(fact) = understood.fact(name) else { return };
    if let Some(source) = &fact.source {
        let source = Source {
            source: source.text.clone(),
            read: SourceRead::of(fact),
            as_of: fact.as_of.map(|date| date.to_string()),
        };
        if !sources.contains(&source) {
            sources.push(source);
        }
    }
    if let Stated::WorkedFrom(expression) = &fact.stated
        && let Ok(worked) = Worked::parse(&expression.text)
    {
        for (name, _) in worked.names() {
            gather_sources(understood, &name, seen, sources);
        }
    }
}
