//! `cargo bench --bench kills`: kills every command that writes, 300 times in all, and holds what is left against an
//! undisturbed run. `-- 60` kills as many times. Fails at the first file that is lost, half written or left over.

// What a bench measures is for its reader.
#![allow(clippy::print_stdout)]

#[path = "kills/mod.rs"]
mod kills;

use std::path::Path;

const KILLS: usize = 300;

fn main() {
    let count = std::env::args().skip(1).find_map(|argument| argument.parse().ok()).unwrap_or(KILLS);
    let (binary, repository) =
        (Path::new(env!("CARGO_BIN_EXE_packstring")), Path::new(env!("CARGO_MANIFEST_DIR")));
    let each = usize::div_ceil(count, kills::COMMANDS.len());
    let mut all = kills::Killed::default();
    for (which, (command, _)) in kills::COMMANDS.iter().enumerate() {
        let killed = kills::kill(binary, repository, which, each);
        println!("{command}: killed {} times, {} times too late", killed.kills, killed.too_late);
        all.kills += killed.kills;
        all.too_late += killed.too_late;
    }
    println!(
        "In all {} kills ({} came too late): nothing was lost, half written or left over.",
        all.kills, all.too_late
    );
}
