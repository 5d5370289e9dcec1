//! What is told of a file that the typesetter broke down over. All others are made.

use crate::finding::{Finding, rules};
use crate::job::{Job, Shelf};

/// The finding for the file of a job; `why` is what the panic said, which on a private sheet may be personal.
pub(super) fn finding(job: &Job, why: &str) -> Finding {
    let why = match job.shelf {
        Shelf::Private => String::new(),
        Shelf::Open | Shelf::Staff => format!(" ({})", short(why)),
    };
    let message = format!("{} could not be made: the typesetter broke down over it{why}.", job.path);
    Finding::of(&rules::TYPESETTER_BROKE, job.place(), message).mend(
        "Look for something unusual in this piece, such as a picture, and save it again. All other files were made.",
    )
}

fn short(why: &str) -> String {
    const LONGEST: usize = 160;
    why.chars().take(LONGEST).collect()
}
