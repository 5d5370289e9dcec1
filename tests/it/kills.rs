//! A sample of `cargo bench --bench kills`, which says what is asked.

#[path = "../../benches/kills/mod.rs"]
mod harness;

use harness::{COMMANDS, kill};
use std::path::Path;

#[test]
fn a_kill_loses_nothing_and_leaves_nothing_over() {
    let (binary, repository) =
        (Path::new(env!("CARGO_BIN_EXE_packstring")), Path::new(env!("CARGO_MANIFEST_DIR")));
    let killed: usize = (0..COMMANDS.len()).map(|which| kill(binary, repository, which, 2).kills).sum();
    assert!(killed > COMMANDS.len(), "only {killed} runs were killed in time");
}
