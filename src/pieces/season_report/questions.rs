//! The questions in the season report: counts for everybody, statistics for the agency.

use super::{Paper, count};
use crate::people::season::questions::{Question, QuestionReport};
use crate::pieces::tree::Trees;
use crate::statistics::item_analysis::{FEWEST_PEOPLE, ROUGH_PEOPLE, Statistic, Statistics, Undefined};
use crate::understand::Understood;
use serde_json::{Value, json};

/// Null where no sheet came back. For everybody: `sheets` and `list` with `number`, `ask`, `right`, without
/// the questions of which most answers wait. For the
/// agency also, of each question, `wrong`, `blank`, `waiting`, `left_out`, `difficulty`, `discrimination`,
/// `without`; and `worst` (the questions most often missed) and `test` (the whole sheet's statistics).
pub(super) fn data(understood: &Understood, paper: &Paper) -> Value {
    let Some(report) = &paper.season.questions else { return Value::Null };
    let Some(shown) = &paper.now.questions else { return Value::Null };
    let trees = Trees::new(understood);
    let ask = |id: &str| {
        let question = understood.content.questions.list.iter().find(|question| question.id == id);
        question.map(|question| trees.inlines(&question.ask.inlines))
    };
    let list: Vec<Value> = report
        .questions
        .iter()
        .enumerate()
        // What everybody reads as wrong must not be what only waits.
        .filter(|(at, _)| !paper.open || report.statistics.items[*at].is_some())
        .map(|(at, question)| {
            let right = count(shown.right[at].1);
            let mut row = json!({"number": at + 1, "ask": ask(&question.id), "right": right});
            if !paper.open {
                add_statistics(&mut row, question, &report.statistics, at);
            }
            row
        })
        .collect();
    let mut data = json!({"sheets": count(shown.sheets), "list": list});
    if !paper.open {
        data["worst"] =
            report.most_often_wrong().into_iter().map(|question| worst(report, question)).collect();
        data["test"] = test(&report.statistics);
    }
    data
}

fn add_statistics(row: &mut Value, question: &Question, statistics: &Statistics, at: usize) {
    row["wrong"] = json!(question.wrong);
    row["blank"] = json!(question.blank);
    row["waiting"] = json!(question.waiting);
    let item = statistics.items[at];
    row["left_out"] = json!(item.is_none());
    if let Some(item) = item {
        row["difficulty"] = figure(item.difficulty);
        row["discrimination"] = figure(item.discrimination);
        row["without"] = figure(item.reliability_without);
    }
}

fn worst(report: &QuestionReport, question: &Question) -> Value {
    let number = report.questions.iter().position(|other| other.id == question.id).map(|at| at + 1);
    let answers: Vec<Value> =
        question.wrong_answers.iter().map(|(words, times)| json!({"words": words, "count": times})).collect();
    json!({"number": number, "missed": question.missed(), "answers": answers})
}

fn test(statistics: &Statistics) -> Value {
    json!({
        "people": statistics.people,
        "left_out": statistics.left_out,
        "items": statistics.items.iter().flatten().count(),
        "reach": reach(statistics.people),
        "fewest": FEWEST_PEOPLE,
        "rough": ROUGH_PEOPLE,
        "mean": figure(statistics.mean_total),
        "deviation": figure(statistics.deviation),
        "kr20": statistics.is_kr20,
        "reliability": figure(statistics.reliability),
        "kr21": statistics.kr21.map(figure),
        "standard_error": figure(statistics.standard_error),
    })
}

/// How far reliability and discrimination can be trusted.
fn reach(people: usize) -> &'static str {
    match people {
        few if few < FEWEST_PEOPLE => "few",
        some if some < ROUGH_PEOPLE => "rough",
        _ => "enough",
    }
}

pub(super) fn figure(figure: Statistic) -> Value {
    match figure {
        Ok(value) => json!({"value": two_decimals(value)}),
        Err(why) => json!({"why": why_word(why)}),
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

/// The key of the theme's words.
pub(super) fn why_word(why: Undefined) -> &'static str {
    match why {
        Undefined::NoPeople => "no-people",
        Undefined::OnePerson => "one-person",
        Undefined::OneItem => "one-item",
        Undefined::NoVariance => "no-variance",
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
        assert_eq!(figure(Err(Undefined::OneItem)), json!({"why": "one-item"}));
    }
}
