//! Facts as a whole program meets them: what is held for want of one, and facts of every kind that print states.

use crate::folders::{copy, write};
use crate::proof::root;
use std::fs;
use std::path::Path;
use std::process::Command;
use tempfile::TempDir;

/// The clean program with more in its facts file.
fn program(facts: &str) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    copy(&root().join("tests/proof/sound"), folder.path());
    let sound = fs::read_to_string(folder.path().join("facts.toml")).unwrap();
    write(folder.path(), "facts.toml", format!("{sound}\n{facts}"));
    folder
}

/// What a command says, and how it ends.
fn packstring(folder: &Path, arguments: &[&str]) -> (String, i32) {
    let done = Command::new(env!("CARGO_BIN_EXE_packstring"))
        .args(arguments)
        .args(["--program", folder.to_str().unwrap()])
        .output()
        .unwrap();
    let told = [done.stdout, done.stderr].concat();
    (String::from_utf8(told).unwrap(), done.status.code().unwrap())
}

fn files(folder: &Path) -> Vec<String> {
    let files = walkdir::WalkDir::new(folder).sort_by_file_name().into_iter().map(Result::unwrap);
    let files = files.filter(|entry| entry.file_type().is_file());
    files.map(|entry| entry.path().strip_prefix(folder).unwrap().to_string_lossy().into_owned()).collect()
}

/// What quotes a fact that cannot be read is held, and nothing else is.
#[test]
fn a_piece_that_wants_the_words_of_a_fact_is_held_alone() {
    let folder = program("");
    let made = |folder: &TempDir| files(&folder.path().join("out"));
    let make = ["make", "--pieces", "handbook,handouts,kit-sheets,wall-chart,site"];
    assert_eq!(packstring(folder.path(), &make).1, 0);
    let whole = made(&folder);
    let lesson = whole.iter().find(|file| file.starts_with("open/handouts/ropes")).expect("a handout");

    let folder = program("[reach]\nvalue = \"far enough\"\nsource = \"Rule\"\n");
    let ropes = folder.path().join("lessons/ropes.md");
    let text = fs::read_to_string(&ropes).unwrap();
    fs::write(&ropes, format!("{text}\nThrow it […](fact:reach).\n")).unwrap();
    let (told, code) = packstring(folder.path(), &make);
    assert_eq!(code, 1, "{told}");
    assert!(
        told.contains("fact-wordless") && told.contains("“reach”") && told.contains("lessons/ropes.md:"),
        "{told}"
    );
    let now = made(&folder);
    let held: Vec<_> = whole.iter().filter(|file| !now.contains(file)).collect();
    assert!(held.contains(&lesson), "{held:?}");
    assert!(held.iter().any(|file| file.starts_with("open/handbook")), "{held:?}");
    assert!(
        held.iter().all(|file| told.contains(file.as_str()) || file.starts_with("open/site/")),
        "{told}\n{held:?}"
    );
    assert!(now.iter().any(|file| file == "open/handouts/camps.pdf"), "the rest is made: {now:?}");
}
