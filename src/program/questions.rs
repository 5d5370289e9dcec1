//! `questions.toml`: what is asked at the end, and what counts as right.

use super::Written;
use super::form::{Form, Value};
use super::lesson::Prose;
use super::mistakes::offer;
use crate::finding::{Place, rules};

/// What is asked, and who passes.
#[derive(Clone, Debug)]
pub struct Questions {
    pub passing: Option<Passing>,
    /// In how many versions the question sheet is made; version A has the order of the file.
    pub versions: u32,
    /// What the other versions are shuffled by; without it, the season gives it.
    pub seed: Option<u32>,
    pub list: Vec<Question>,
}

/// Versions have letters, and more than these no desk keeps apart.
const MOST_VERSIONS: u32 = 26;

/// The program's rule for who passes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Passing {
    AnsweredAll,
    /// `"6 of 8"`
    Right {
        least: u32,
        of: u32,
    },
}

/// A question; `because` is told beside its answer, and `lesson` tells more.
#[derive(Clone, Debug)]
pub struct Question {
    pub id: String,
    pub place: Place,
    pub lesson: Option<Written>,
    pub ask: Prose,
    pub because: Option<Prose>,
    /// The choices keep their order in every version, as where the last is "all of these".
    pub keeps_order: bool,
    pub kind: Kind,
}

impl Question {
    /// The fact that says what is right, where one does.
    pub fn key_fact(&self) -> Option<&Written> {
        match &self.kind {
            Kind::Choice { right: RightChoice::Fact(fact), .. } | Kind::Figure { fact, .. } => Some(fact),
            _ => None,
        }
    }
}

/// What is to be filled in, and what is right.
#[derive(Clone, Debug)]
pub enum Kind {
    Choice {
        choices: Vec<Written>,
        right: RightChoice,
    },
    Several {
        choices: Vec<Written>,
        right: Vec<Written>,
    },
    Figure {
        fact: Written,
        unit: Option<String>,
    },
    /// So many different answers of a list; each answer is a list of wordings that mean the same.
    NameSome {
        count: u32,
        accept: Vec<Vec<String>>,
    },
    Open {
        look_for: Vec<String>,
    },
}

/// How the right one of several choices is known.
#[derive(Clone, Debug)]
pub enum RightChoice {
    /// The one that agrees with this fact.
    Fact(Written),
    /// The one with these words.
    Words(Written),
}

/// Every key that belongs to one kind or another.
const KIND_KEYS: [&str; 8] =
    ["choices", "keep-order", "right", "fact", "unit", "count", "accept", "look-for"];

impl Default for Questions {
    fn default() -> Self {
        Self { passing: None, versions: 1, seed: None, list: Vec::new() }
    }
}

impl Questions {
    pub(super) fn read(mut file: Form) -> Self {
        let passing = file.text("passing");
        let (versions, seed) = (file.count_placed("versions"), file.count("seed"));
        if let Some((_, place)) = versions.as_ref().filter(|(count, _)| *count > MOST_VERSIONS) {
            let message = format!("A question sheet is made in {MOST_VERSIONS} versions at most, A to Z.");
            file.tell(&rules::VALUE_UNFIT, place.clone(), message, "Lower “versions”.");
        }
        let versions = versions.map_or(1, |(count, _)| count.min(MOST_VERSIONS));
        let list: Vec<Question> =
            file.forms("questions", "question").into_iter().filter_map(Question::read).collect();
        let passing = passing.and_then(|words| Passing::read(&file, &words, list.len()));
        file.finish();
        Self { passing, versions, seed, list }
    }
}

impl Passing {
    fn read(file: &Form, words: &Written, questions: usize) -> Option<Self> {
        if words.text == "answered all" {
            return Some(Self::AnsweredAll);
        }
        let parts: Vec<&str> = words.text.split_whitespace().collect();
        let counts = match parts[..] {
            [least, "of", of] => least.parse::<u32>().ok().zip(of.parse::<u32>().ok()),
            _ => None,
        };
        let least = meant_by(&parts, questions);
        let mend = format!("Write \"{least} of {questions}\", or \"answered all\".");
        let Some((least, of)) = counts else {
            let message = "This is not a rule for passing.";
            file.tell(&rules::VALUE_UNFIT, words.place.clone(), message, mend);
            return None;
        };
        if of as usize != questions || least > of || least == 0 {
            let message =
                format!("The rule for passing does not fit the {questions} questions of this file.");
            file.tell(&rules::VALUE_UNFIT, words.place.clone(), message, mend);
        }
        Some(Self::Right { least, of })
    }
}

/// How many right answers of so many are meant by words such as `75%` or `6 right`.
fn meant_by(parts: &[&str], questions: usize) -> usize {
    let first = parts.first().copied().unwrap_or_default();
    let percent =
        first.strip_suffix('%').or_else(|| parts.get(1).is_some_and(|next| *next == "%").then_some(first));
    let least = match percent {
        Some(share) => share.parse::<usize>().ok().map(|share| (share * questions).div_ceil(100)),
        None => first.split('/').next().and_then(|count| count.parse().ok()),
    };
    least.filter(|least| (1..=questions).contains(least)).unwrap_or(questions)
}

impl Question {
    fn read(mut table: Form) -> Option<Self> {
        let id = table.need_id("id", "lead-length");
        let lesson = table.text("lesson");
        let ask = table.need_prose("ask", "How long may a lead rope be?");
        let because = table.prose("because");
        let kind = Kind::read(&mut table);
        let has_choices = matches!(kind, Some(Kind::Choice { .. } | Kind::Several { .. }));
        let keeps_order = has_choices && table.flag("keep-order");
        if kind.is_some() {
            table.finish();
        }
        Some(Self { id: id.text, place: id.place, lesson, ask, because, keeps_order, kind: kind? })
    }
}

impl Kind {
    fn read(table: &mut Form) -> Option<Self> {
        type KindReader = fn(&mut Form) -> Kind;
        type Known = (&'static str, KindReader, &'static [&'static str]);
        const KINDS: [Known; 5] = [
            ("choice", read_choice, &["choices", "keep-order", "right", "fact"]),
            ("several", read_several, &["choices", "keep-order", "right"]),
            ("figure", read_figure, &["fact", "unit"]),
            ("name-some", read_name_some, &["count", "accept"]),
            ("open", read_open, &["look-for"]),
        ];
        let (kind, read, own) = table.need_choice("kind", &KINDS.map(|known| (known.0, known)))?;
        let foreign: Vec<&'static str> = KIND_KEYS.into_iter().filter(|key| !own.contains(key)).collect();
        table.refuse(&foreign, &format!("The question is of kind “{kind}”"));
        Some(read(table))
    }
}

fn read_choice(table: &mut Form) -> Kind {
    let choices = read_choices(table);
    let (fact, right) = (table.text("fact"), table.text("right"));
    if let (Some(_), Some(right)) = (&fact, &right) {
        let message = "The question gives its right answer twice: as a fact and in words.";
        table.tell(
            &rules::KEY_UNFIT,
            right.place.clone(),
            message,
            "Keep one of the keys “fact” and “right”.",
        );
    }
    let right = match (fact, right) {
        (Some(fact), _) => RightChoice::Fact(fact),
        (None, Some(right)) => {
            check_right(table, &choices, &right);
            RightChoice::Words(right)
        }
        (None, None) => {
            table.miss("right", "Add right = \"…\" with the words of the right choice, or fact = \"…\".");
            RightChoice::Words(Written { text: String::new(), place: table.place.clone() })
        }
    };
    Kind::Choice { choices, right }
}

fn read_several(table: &mut Form) -> Kind {
    let choices = read_choices(table);
    let right = table.need_texts("right", "[\"…\", \"…\"]");
    for right in &right {
        check_right(table, &choices, right);
    }
    Kind::Several { choices, right }
}

fn read_figure(table: &mut Form) -> Kind {
    let fact = table.need_text("fact", "lead-length");
    Kind::Figure { fact, unit: table.text("unit").map(|unit| unit.text) }
}

fn read_name_some(table: &mut Form) -> Kind {
    let count = table.need_count("count", "3");
    let place = table.place.clone();
    if !table.has("accept") {
        table.miss("accept", "Add a line such as: accept = [\"halter\", [\"lead rope\", \"lead line\"]]");
    }
    let accept = accepted(table);
    if !accept.is_empty() && accept.len() < count as usize {
        let message = format!("The question asks for {count} answers but accepts only {}.", accept.len());
        table.tell(&rules::VALUE_UNFIT, place, message, "Add answers to “accept”, or lower “count”.");
    }
    Kind::NameSome { count, accept }
}

fn read_open(table: &mut Form) -> Kind {
    let look_for = table.need_texts("look-for", "[\"…\"]");
    Kind::Open { look_for: look_for.into_iter().map(|point| point.text).collect() }
}

/// The answers that are accepted; empty where the key is not there.
pub(super) fn accepted(table: &mut Form) -> Vec<Vec<String>> {
    let of = "answers, such as [\"halter\", [\"lead rope\", \"lead line\"]]";
    table.list("accept", of).into_iter().map(wordings).collect()
}

/// One answer of a list: its words, or a list of wordings.
fn wordings(answer: Value) -> Vec<String> {
    let words = if answer.is_list() {
        answer.list("wordings of one answer").into_iter().filter_map(Value::text).collect()
    } else {
        Vec::from_iter(answer.text())
    };
    words.into_iter().map(|word| word.text).collect()
}

fn read_choices(table: &mut Form) -> Vec<Written> {
    let choices = table.need_texts("choices", "[\"6 feet\", \"10 feet\"]");
    if choices.len() == 1 {
        let message = "There is only one answer to choose from.";
        table.tell(&rules::VALUE_UNFIT, choices[0].place.clone(), message, "Add the other choices.");
    }
    for (at, choice) in choices.iter().enumerate() {
        if choices[..at].iter().any(|other| other.text == choice.text) {
            let message = "The same choice is given twice.";
            table.tell(&rules::NAME_DOUBLED, choice.place.clone(), message, "Keep one of the two.");
        }
    }
    choices
}

fn check_right(table: &Form, choices: &[Written], right: &Written) {
    if !choices.is_empty() && choices.iter().all(|choice| choice.text != right.text) {
        let known = choices.iter().map(|choice| choice.text.as_str());
        let mend = offer(&right.text, known, "Copy the words of one of the choices exactly.");
        table.tell(
            &rules::NAME_UNKNOWN,
            right.place.clone(),
            "The right answer is not one of the choices.",
            mend,
        );
    }
}
