//! What is known of a program before anything is laid out.

use crate::finding::Finding;
use crate::people::scoring::{self, Scores};
use crate::program::Program;
use crate::proof;
use crate::understand::{self, Understood};
use jiff::civil::Date;
use std::sync::{Mutex, PoisonError};

/// A program as it was understood on a day, its answers as they were scored, and what is wrong.
pub struct Known<'p> {
    pub understood: Understood<'p>,
    pub scores: Scores<'p>,
    /// What proofreading finds without laying anything out.
    pub findings: Vec<Finding>,
}

/// What stays known from one state of a program's files to the next.
#[derive(Debug, Default)]
pub(super) struct Remembered {
    pub texts: understand::Remembered,
    pub answers: Mutex<scoring::Remembered>,
}

/// How much was looked at, so that "nothing wrong" and "nothing read" are never the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Coverage {
    pub lessons: usize,
    pub figures: usize,
    pub facts: usize,
    pub questions: usize,
    pub roster_rows: usize,
}

impl<'p> Known<'p> {
    /// Works all of it out, once.
    pub fn of(program: &'p Program, today: Date) -> Self {
        Self::remembering(program, today, &Remembered::default(), |_| ()).0
    }

    /// The same; what `remembered` has from an earlier state of the program's files is not worked out again. Other
    /// `work` with what was understood is done beside it.
    pub(super) fn remembering<T: Send>(
        program: &'p Program,
        today: Date,
        remembered: &Remembered,
        work: impl FnOnce(&Understood) -> T + Send,
    ) -> (Self, T) {
        let understood = Understood::remembering(program, &remembered.texts);
        let checked = || {
            let mut answers = remembered.answers.lock().unwrap_or_else(PoisonError::into_inner);
            let scores = Scores::remembering(&understood, &mut answers);
            let findings = proof::proofread(&understood, &scores, today);
            (scores, findings)
        };
        let ((scores, findings), done) = rayon::join(checked, || work(&understood));
        (Self { understood, scores, findings }, done)
    }

    /// What keeps everything from print: safety facts that are not right.
    pub fn stops(&self) -> Vec<Finding> {
        self.findings.iter().filter(|finding| finding.stops_press).cloned().collect()
    }
}

impl Coverage {
    pub fn of(understood: &Understood) -> Self {
        let program = understood.root;
        Self {
            lessons: program.content.lessons.len()
                + program.editions.iter().map(|edition| edition.lessons.len()).sum::<usize>(),
            figures: understood.all_passages().map(|passage| passage.figures.len()).sum(),
            facts: program.content.facts.len(),
            questions: program.content.questions.list.len(),
            roster_rows: program.people.roster.rows.len(),
        }
    }
}
