//! `cargo bench --bench drift`: plants thousands of wrong figures and counts what proofreading catches.
//! `cargo bench --bench drift -- 10` plants every tenth. What counts as wrong, and how that is decided, is
//! told in `drift/`.

// What a bench measures is for its reader.
#![allow(clippy::print_stdout)]

#[path = "drift/mod.rs"]
mod drift;

use std::path::Path;

/// The programs that proofreading has nothing to report on; those under `tests/lessons` and `tests/sheets`
/// hold a warning or two on purpose.
const PROGRAMS: [&str; 2] = ["content", "tests/proof/sound"];

fn main() {
    let step = std::env::args().skip(1).find_map(|argument| argument.parse().ok()).unwrap_or(1);
    let mut tally = drift::Tally::default();
    for program in PROGRAMS {
        drift::run(&Path::new(env!("CARGO_MANIFEST_DIR")).join(program), step, &mut tally);
    }
    print!("{tally}");
}
