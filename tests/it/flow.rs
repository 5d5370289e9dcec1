//! The rooms one after the other, as a command walks them.

use jiff::civil::Date;
use packstring::finding::Finding;
use packstring::job::Job;
use packstring::people::scoring::Scores;
use packstring::pieces::{self, Selection};
use packstring::proof;
use packstring::understand::Understood;

pub fn proofread(understood: &Understood, today: Date) -> Vec<Finding> {
    proof::proofread(understood, &Scores::of(understood), today)
}

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    pieces::plan(understood, &Scores::of(understood), selection)
}
