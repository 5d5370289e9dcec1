//! `questions.toml`: what is asked at the end, and what counts as right.

use super::facts::Written;
use super::lesson::Prose;
use crate::place::Place;

#[derive(Clone, Debug, Default)]
pub struct Questions {
    pub passing: Option<Passing>,
    /// Where the rule for passing stands.
    pub passing_place: Option<Place>,
    pub list: Vec<Question>,
}

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

#[derive(Clone, Debug)]
pub struct Question {
    pub id: String,
    pub place: Place,
    pub lesson: Option<Written>,
    pub ask: Prose,
    pub because: Option<Prose>,
    pub kind: Kind,
}

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
