//! The questions in the season report: counts for everybody, statistics for the agency.

use super::Paper;
use super::model::{
    Figure, QuestionCount, QuestionCounts, QuestionStatistics, Reach, TestStatistics, WorstQuestion,
    WrongAnswer,
};
use crate::people::season::questions::{Question, QuestionReport};
use crate::pieces::tree::Trees;
use crate::statistics::item_analysis::{FEWEST_PEOPLE, ROUGH_PEOPLE, Statistics};
use crate::understand::Understood;

pub(super) fn data(understood: &Understood, paper: &Paper) -> Option<QuestionCounts> {
    let report = paper.season.questions.as_ref()?;
    let shown = paper.now.questions.as_ref()?;
    let trees = Trees::new(understood);
    let ask = |id: &str| {
        let question = understood.content.questions.list.iter().find(|question| question.id == id);
        question.map(|question| trees.inlines(&question.ask.inlines))
    };
    let list = report
        .questions
        .iter()
        .enumerate()
        // What everybody reads as wrong must not be what only waits.
        .filter(|(at, _)| !paper.open || report.statistics.items[*at].is_some())
        .map(|(at, question)| QuestionCount {
            number: at + 1,
            ask: ask(&question.id),
            right: shown.right[at].1.into(),
            more: (!paper.open).then(|| statistics(question, &report.statistics, at)),
        });
    let worst = || report.most_often_wrong().into_iter().map(|question| worst(report, question)).collect();
    Some(QuestionCounts {
        sheets: shown.sheets.into(),
        list: list.collect(),
        worst: (!paper.open).then(worst),
        test: (!paper.open).then(|| test(&report.statistics)),
    })
}

fn statistics(question: &Question, statistics: &Statistics, at: usize) -> QuestionStatistics {
    let item = statistics.items[at];
    QuestionStatistics {
        wrong: question.wrong,
        blank: question.blank,
        waiting: question.waiting,
        left_out: item.is_none(),
        difficulty: item.map(|item| item.difficulty.into()),
        discrimination: item.map(|item| item.discrimination.into()),
        without: item.map(|item| item.reliability_without.into()),
    }
}

fn worst(report: &QuestionReport, question: &Question) -> WorstQuestion {
    let answer = |(words, times): &(String, u32)| WrongAnswer { words: words.clone(), count: *times };
    WorstQuestion {
        number: report.questions.iter().position(|other| other.id == question.id).map(|at| at + 1),
        missed: question.missed(),
        answers: question.wrong_answers.iter().map(answer).collect(),
    }
}

fn test(statistics: &Statistics) -> TestStatistics {
    TestStatistics {
        people: statistics.people,
        left_out: statistics.left_out,
        items: statistics.items.iter().flatten().count(),
        reach: reach(statistics.people),
        fewest: FEWEST_PEOPLE,
        rough: ROUGH_PEOPLE,
        mean: statistics.mean_total.into(),
        deviation: statistics.deviation.into(),
        kr20: statistics.is_kr20,
        reliability: statistics.reliability.into(),
        kr21: statistics.kr21.map(Figure::from),
        standard_error: statistics.standard_error.into(),
    }
}

fn reach(people: usize) -> Reach {
    match people {
        few if few < FEWEST_PEOPLE => Reach::Few,
        some if some < ROUGH_PEOPLE => Reach::Rough,
        _ => Reach::Enough,
    }
}
