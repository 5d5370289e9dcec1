//! What is told of a file that the typesetter broke down over. All others are made.

use crate::finding::{Finding, Place, rules};
use crate::job::Shelf;

/// The finding for one file, by its path below its shelf; `why` is what the panic said.
pub(super) fn finding(path: &str, shelf: Shelf, why: &str) -> Finding {
    let place = match shelf {
        // What stands on a private sheet may be personal, and so may be what is said of it.
        Shelf::Private => Place::whole(&format!("private/{path}")),
        Shelf::Open | Shelf::Staff => Place::whole(path),
    };
    let why = match shelf {
        Shelf::Private => String::new(),
        Shelf::Open | Shelf::Staff => format!(" ({})", short(why)),
    };
    let message = format!("{path} could not be made: the typesetter broke down over it{why}.");
    Finding::of(&rules::TYPESETTER_BROKE, place, message).mend(
        "Look for what is unusual in what it shows, such as a picture, and save that anew; all other files were made.",
    )
}

fn short(why: &str) -> String {
    const LONGEST: usize = 160;
    why.chars().take(LONGEST).collect()
}
