//! How the questions of the season were answered: counts, item statistics, and what was wrong most often.
//!
//! Takes the verdicts of [`crate::people::scoring`], the ranger's decisions among them. An answer that is
//! right gives one point; one that is still to be looked at waits ([`items`] says what follows from that).
//! A person who handed in a sheet at two events counts twice.

use super::number;
use crate::people::scoring::{Scored, Scores, Verdict};
use crate::program::season_record::{QuestionCount, QuestionCounts};
use crate::statistics::item_analysis::{self, Answer, Matrix, Statistics};
use crate::understand::{Understood, plain_text};
use std::collections::BTreeMap;

/// How many questions are told of those most often wrong.
const WORST: usize = 3;

/// How often the same wrong answer must be given before it is told as one.
const SAME_ANSWER: u32 = 2;

#[derive(Clone, Debug)]
pub struct QuestionReport {
    /// Sheets with something on them.
    pub sheets: u32,
    /// In the order of the question sheet.
    pub questions: Vec<Question>,
    pub statistics: Statistics,
}

#[derive(Clone, Debug)]
pub struct Question {
    pub id: String,
    /// What is asked, without markup.
    pub ask: String,
    pub right: u32,
    pub wrong: u32,
    pub blank: u32,
    pub waiting: u32,
    /// Wrong answers that were given at least [`SAME_ANSWER`] times, the most often first.
    pub wrong_answers: Vec<(String, u32)>,
}

impl Question {
    pub fn missed(&self) -> u32 {
        self.wrong + self.blank
    }
}

impl QuestionReport {
    pub fn counts(&self) -> QuestionCounts {
        let count = |question: &Question| QuestionCount {
            id: question.id.clone(),
            right: question.right,
            wrong: question.missed(),
            waiting: question.waiting,
        };
        QuestionCounts {
            sheets: self.sheets,
            list: self.questions.iter().map(count).collect(),
            reliability: self.statistics.reliability.ok().map(|value| (value * 1e4).round() / 1e4),
        }
    }

    /// The questions that were most often not right, the worst first, at most [`WORST`]. Those that only
    /// wait are not among them.
    pub fn most_often_wrong(&self) -> Vec<&Question> {
        let mut missed: Vec<&Question> =
            self.questions.iter().filter(|question| question.missed() > 0).collect();
        missed.sort_by_key(|question| std::cmp::Reverse(question.missed()));
        missed.truncate(WORST);
        missed
    }
}

/// `None` where no sheet came back.
pub(super) fn report(understood: &Understood, scores: &Scores) -> Option<QuestionReport> {
    let sheets: Vec<Vec<PersonAnswer>> = scores
        .list
        .iter()
        .map(|scoring| {
            let given = scoring.answers.iter().map(|scored| PersonAnswer {
                answer: match scored.verdict() {
                    Verdict::Right => Answer::Points(1.0),
                    Verdict::Wrong => Answer::Points(0.0),
                    Verdict::Look => Answer::Waits,
                    Verdict::NotAnswered => Answer::Blank,
                },
                words: words_of(scored),
            });
            given.collect()
        })
        .collect();
    let questions = &understood.content.questions.list;
    let asked: Vec<(&str, String)> =
        questions.iter().map(|question| (&*question.id, plain_text(&question.ask.inlines))).collect();
    gather(&asked, &sheets)
}

/// What was answered, so that the same answers read the same: of a choice, which one was meant, for its letter
/// differs between versions of the sheet.
fn words_of<'s>(scored: &'s Scored) -> &'s str {
    let chosen = scored.judged.chosen.as_deref().filter(|_| scored.judged.verdict == Verdict::Wrong);
    chosen.unwrap_or(scored.answer)
}

/// What one person gave to one question.
struct PersonAnswer<'a> {
    answer: Answer,
    words: &'a str,
}

fn gather(asked: &[(&str, String)], sheets: &[Vec<PersonAnswer>]) -> Option<QuestionReport> {
    let is_empty = |sheet: &[PersonAnswer]| sheet.iter().all(|given| given.answer == Answer::Blank);
    let sheets: Vec<&Vec<PersonAnswer>> = sheets.iter().filter(|sheet| !is_empty(sheet)).collect();
    if sheets.is_empty() || asked.is_empty() {
        return None;
    }
    let questions = asked
        .iter()
        .enumerate()
        .map(|(at, (id, ask))| {
            let count =
                |is: fn(Answer) -> bool| number(sheets.iter().filter(|sheet| is(sheet[at].answer)).count());
            Question {
                id: (*id).to_owned(),
                ask: ask.trim().to_owned(),
                right: count(|answer| matches!(answer, Answer::Points(points) if points > 0.0)),
                wrong: count(is_wrong),
                blank: count(|answer| answer == Answer::Blank),
                waiting: count(|answer| answer == Answer::Waits),
                wrong_answers: wrong_answers(sheets.iter().map(|sheet| &sheet[at])),
            }
        })
        .collect();
    let rows = sheets.iter().map(|sheet| sheet.iter().map(|given| given.answer).collect()).collect();
    let statistics = item_analysis::statistics(&Matrix { most: vec![1.0; asked.len()], rows });
    Some(QuestionReport { sheets: number(sheets.len()), questions, statistics })
}

fn is_wrong(answer: Answer) -> bool {
    matches!(answer, Answer::Points(points) if points == 0.0)
}

/// Answers that differ in nothing but case, white space and a full stop are one; the first writing stands for
/// all.
fn wrong_answers<'g>(given: impl Iterator<Item = &'g PersonAnswer<'g>>) -> Vec<(String, u32)> {
    let mut counts: BTreeMap<String, (String, u32)> = BTreeMap::new();
    for given in given.filter(|given| is_wrong(given.answer)) {
        let words = given.words.split_whitespace().collect::<Vec<_>>().join(" ");
        let plain = words.to_lowercase().trim_end_matches('.').to_owned();
        counts.entry(plain).or_insert((words, 0)).1 += 1;
    }
    let mut often: Vec<(String, u32)> =
        counts.into_values().filter(|(_, count)| *count >= SAME_ANSWER).collect();
    often.sort_by(|(left, one), (right, other)| other.cmp(one).then(left.cmp(right)));
    often
}

#[cfg(test)]
mod tests {
    use super::*;

    fn given(answer: Answer, words: &str) -> PersonAnswer<'_> {
        PersonAnswer { answer, words }
    }

    #[test]
    fn the_questions_most_often_missed_come_first_with_what_was_answered() {
        let (right, wrong) = (Answer::Points(1.0), Answer::Points(0.0));
        let sheets = [
            vec![given(right, "6 feet"), given(wrong, "12 feet"), given(Answer::Waits, "slow down")],
            vec![given(wrong, "20 feet"), given(wrong, " 12  Feet."), given(Answer::Waits, "stop")],
            vec![given(right, "six feet"), given(Answer::Blank, ""), given(Answer::Waits, "wait")],
            vec![given(Answer::Blank, ""), given(Answer::Blank, ""), given(Answer::Blank, "")],
        ];
        let asked = [
            ("lead", "How long?".to_owned()),
            ("bike", "How far?".to_owned()),
            ("own", "And you?".to_owned()),
        ];
        let report = gather(&asked, &sheets).unwrap();
        assert_eq!(report.sheets, 3);
        let worst: Vec<&str> = report.most_often_wrong().iter().map(|question| &*question.id).collect();
        assert_eq!(worst, ["bike", "lead"]);
        assert_eq!(report.questions[1].wrong_answers, [("12 feet".to_owned(), 2)]);
        assert!(report.questions[0].wrong_answers.is_empty());
        assert_eq!((report.questions[1].wrong, report.questions[1].blank), (2, 1));
        assert_eq!(report.questions[2].waiting, 3);
        assert_eq!(report.counts().list[1].wrong, 3);
        assert!(gather(&asked, &sheets[3..]).is_none());
    }
}
