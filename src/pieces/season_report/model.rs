//! What `season-report.typ` is given.

use crate::pieces::common::Head;
use crate::pieces::tree::Inline;
use crate::statistics::item_analysis::{Statistic, Undefined};
use crate::statistics::suppression::Disclosure;
use schemars::JsonSchema;
use serde::Serialize;

/// A report of the season.
#[derive(Serialize, JsonSchema)]
pub struct SeasonReport<'p> {
    #[serde(flatten)]
    pub head: Head<'p>,
    /// Whether it is for everybody, without small counts; else for the ranger and the agency.
    pub open: bool,
    /// Fewer than so many are not told to everybody.
    pub fewest: u32,
    /// The season, as `program.toml` has it.
    pub season: &'p str,
    /// The season compared with; null where there is none.
    pub earlier: Option<Earlier<'p>>,
    /// Null where nobody is on the roster.
    pub people: Option<PeopleCounts>,
    /// By date.
    pub events: Vec<EventRow<'p>>,
    /// The months of both seasons, by their place in the year.
    pub months: Vec<MonthRow>,
    /// All events together.
    pub whole: VisitCounts,
    /// The service unit; null where the program has none.
    pub service: Option<Service<'p>>,
    pub rewards: Vec<NamedCount<'p>>,
    /// Null where no question sheet came back.
    pub questions: Option<QuestionCounts>,
    /// The names of past events without anybody on the roster.
    pub without_rows: &'p [String],
}

/// How many: a number, a band where only that is told, or the word `withheld`.
#[derive(Clone, Copy, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum Count {
    Exactly(u32),
    Between { low: u32, high: u32 },
    Withheld(Withheld),
}

/// In the place of a number that is not told.
#[derive(Clone, Copy, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Withheld {
    Withheld,
}

/// How many hours: a number, or the word `withheld`.
#[derive(Clone, Copy, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum Hours {
    Exactly(f64),
    Withheld(Withheld),
}

/// The season before.
#[derive(Serialize, JsonSchema)]
pub struct Earlier<'p> {
    pub season: &'p str,
    pub people: Option<PeopleCounts>,
    /// Null where it had no event.
    pub whole: Option<VisitCounts>,
    /// Hours of service; null where there was none.
    pub hours: Option<Hours>,
}

/// Counts of people, each counted once.
#[derive(Serialize, JsonSchema)]
pub struct PeopleCounts {
    pub came: Count,
    pub completed: Count,
    /// Who came to more than one event.
    pub repeat: Count,
    /// Who asked to join the service unit.
    pub joining: Count,
}

/// Counts of visits.
#[derive(Serialize, JsonSchema)]
pub struct VisitCounts {
    pub signed_up: Count,
    pub came: Count,
    pub completed: Count,
    pub been_before: Count,
}

impl VisitCounts {
    /// Of a month without an event.
    pub fn none() -> Self {
        let none = Count::Exactly(0);
        Self { signed_up: none, came: none, completed: none, been_before: none }
    }
}

/// An event.
#[derive(Serialize, JsonSchema)]
pub struct EventRow<'p> {
    pub name: &'p str,
    /// Year, month and day: 2026-05-16.
    pub date: String,
    pub visits: VisitCounts,
}

/// A month of both seasons.
#[derive(Default, Serialize, JsonSchema)]
pub struct MonthRow {
    /// This season's; absent where they are not known yet.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "VisitCounts")]
    pub visits: Option<VisitCounts>,
    /// How many came in the same month of the earlier season.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Count")]
    pub then: Option<Count>,
    /// From 1, January.
    pub month: u8,
}

/// The season of the service unit.
#[derive(Serialize, JsonSchema)]
pub struct Service<'p> {
    pub people: Count,
    pub hours: Hours,
    /// Empty where they are withheld.
    pub months: Vec<ServiceMonth>,
    pub activities: Vec<Activity<'p>>,
    pub awards: Vec<NamedCount<'p>>,
}

/// A month of service in both seasons. Hours are null where they are withheld.
#[derive(Default, Serialize, JsonSchema)]
pub struct ServiceMonth {
    /// This season's; absent where they are not known yet.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Count")]
    pub people: Option<Count>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<f64>")]
    pub hours: Option<Option<f64>>,
    /// The hours of the same month of the earlier season.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<f64>")]
    pub then: Option<Option<f64>>,
    /// From 1, January.
    pub month: u8,
}

/// What the service unit did.
#[derive(Serialize, JsonSchema)]
pub struct Activity<'p> {
    pub name: &'p str,
    pub people: Count,
    pub hours: Hours,
}

/// How many of something.
#[derive(Serialize, JsonSchema)]
pub struct NamedCount<'p> {
    pub name: &'p str,
    pub count: Count,
}

/// The questions: counts for everybody, statistics for the agency.
#[derive(Serialize, JsonSchema)]
pub struct QuestionCounts {
    /// How many sheets came back.
    pub sheets: Count,
    /// For everybody, without the questions of which most answers wait.
    pub list: Vec<QuestionCount>,
    /// For the agency: the questions most often missed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Vec<WorstQuestion>")]
    pub worst: Option<Vec<WorstQuestion>>,
    /// For the agency: the statistics of the whole sheet.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "TestStatistics")]
    pub test: Option<TestStatistics>,
}

/// How a question did.
#[derive(Serialize, JsonSchema)]
pub struct QuestionCount {
    /// In the questions file, from 1.
    pub number: usize,
    /// Null where it is asked no more.
    pub ask: Option<Vec<Inline>>,
    pub right: Count,
    #[serde(flatten)]
    pub more: Option<QuestionStatistics>,
}

/// What the agency is told of a question beside.
#[derive(Serialize, JsonSchema)]
pub struct QuestionStatistics {
    pub wrong: u32,
    pub blank: u32,
    /// Answers that nobody has judged.
    pub waiting: u32,
    /// Whether it is left out of the statistics, since most of its answers wait.
    pub left_out: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Figure")]
    pub difficulty: Option<Figure>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Figure")]
    pub discrimination: Option<Figure>,
    /// The reliability of the sheet without it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Figure")]
    pub without: Option<Figure>,
}

/// A question that was often missed.
#[derive(Serialize, JsonSchema)]
pub struct WorstQuestion {
    /// In the questions file, from 1.
    pub number: Option<usize>,
    /// How often it was answered wrong or not at all.
    pub missed: u32,
    /// The wrong answers that were given most.
    pub answers: Vec<WrongAnswer>,
}

/// A wrong answer that was given often.
#[derive(Serialize, JsonSchema)]
pub struct WrongAnswer {
    pub words: String,
    pub count: u32,
}

/// The statistics of the whole sheet.
#[derive(Serialize, JsonSchema)]
pub struct TestStatistics {
    /// How many people they are about.
    pub people: usize,
    /// People of whom an answer still waits.
    pub left_out: usize,
    /// How many questions they are about.
    pub items: usize,
    pub reach: Reach,
    /// Below so many people, figures of reliability say little.
    pub fewest: usize,
    /// Below so many people, they are rough.
    pub rough: usize,
    pub mean: Figure,
    pub deviation: Figure,
    /// Whether the reliability is KR-20.
    pub kr20: bool,
    pub reliability: Figure,
    /// Null where it is not defined.
    pub kr21: Option<Figure>,
    pub standard_error: Figure,
}

/// How far reliability and discrimination can be trusted.
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Reach {
    Few,
    Rough,
    Enough,
}

/// A statistic, or why it is not defined.
#[derive(Debug, PartialEq, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum Figure {
    /// In print: 0.83.
    Value {
        value: String,
    },
    Why {
        why: WhyWord,
    },
}

/// Why a statistic is not defined, as the theme's words name it.
#[derive(Debug, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum WhyWord {
    NoPeople,
    OnePerson,
    OneItem,
    NoVariance,
}

impl From<Disclosure> for Count {
    fn from(count: Disclosure) -> Self {
        match count {
            Disclosure::Exactly(count) => Self::Exactly(count),
            Disclosure::Between(low, high) => Self::Between { low, high },
            Disclosure::Withheld => Self::Withheld(Withheld::Withheld),
        }
    }
}

impl From<Option<f64>> for Hours {
    fn from(hours: Option<f64>) -> Self {
        hours.map_or(Self::Withheld(Withheld::Withheld), Self::Exactly)
    }
}

impl From<Statistic> for Figure {
    fn from(figure: Statistic) -> Self {
        match figure {
            Ok(value) => Self::Value { value: two_decimals(value) },
            Err(why) => Self::Why {
                why: match why {
                    Undefined::NoPeople => WhyWord::NoPeople,
                    Undefined::OnePerson => WhyWord::OnePerson,
                    Undefined::OneItem => WhyWord::OneItem,
                    Undefined::NoVariance => WhyWord::NoVariance,
                },
            },
        }
    }
}

/// With a minus sign that is one, and never a minus before nothing.
fn two_decimals(value: f64) -> String {
    let text = format!("{value:.2}");
    match text.strip_prefix('-') {
        Some("0.00") => "0.00".to_owned(),
        Some(digits) => format!("\u{2212}{digits}"),
        None => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn statistics_are_rounded_and_never_a_negative_nothing() {
        assert_eq!(two_decimals(0.8251), "0.83");
        assert_eq!(two_decimals(-0.004), "0.00");
        assert_eq!(two_decimals(-3.238), "\u{2212}3.24");
        assert_eq!(Figure::from(Err(Undefined::OneItem)), Figure::Why { why: WhyWord::OneItem });
    }
}
