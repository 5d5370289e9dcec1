//! What stands in print, kept, and compared with what would be printed now.
//!
//! | file | holds |
//! | --- | --- |
//! | `said` | what a job says, sentence by sentence, from its data |
//! | `pages` | on which of its pages that stands, and what is on none |
//! | `record` | the print record: the form in which all of it is kept |
//! | `gather` | the record of a program as it is planned now |
//! | `pairs` | old sentences and new ones brought together |
//! | `facts` | which facts are other than they were |
//! | `compare` | what differs between two records, the dangerous first |
//! | `told` | what came of it, as it is told |
//!
//! Everything is read from the jobs that were planned, so that a new piece is compared without a word about it here.

mod compare;
mod facts;
mod gather;
mod pages;
mod pairs;
mod record;
mod said;
mod told;

pub use compare::compare;
pub use gather::{PieceMade, Planned, gather};
pub use pages::words_of_html;
pub use record::{PrintRecord, Unusable};
pub use told::{
    AnswersChange, Change, Comparison, FactChange, Level, OnShelf, PieceNow, QuestionChange, Stands,
    TranslateAgain, Verdict,
};
