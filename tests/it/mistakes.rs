//! Mistakes in input files: each folder under `tests/mistakes/` is a program with some, and
//! `expected.txt` says what a ranger is told of them.
//!
//! A folder holds only what differs from the sound program in `tests/mistakes/sound/`; the files that
//! its `absent.txt` names are taken away. With `PACKSTRING_ACCEPT=1` the expected texts are written
//! anew: read them before you keep them.

use crate::folders::copy;
use packstring::program::{Unread, open};
use std::collections::BTreeSet;
use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};

fn cases() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/mistakes")
}

/// A copy of the sound program that a test may spoil.
pub fn sound_program() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    copy(&cases().join("sound"), folder.path());
    folder
}

/// What is told of an unread program, as the expected texts hold it.
pub fn told(unread: &Unread) -> String {
    let mut text = String::new();
    for mistake in &unread.mistakes {
        let at = unread.sources.line_column(&mistake.place);
        let place = format!("{}:{}:{}", mistake.place.file, at.line, at.column);
        writeln!(text, "{place}  {}", mistake.rule.name).unwrap();
        if !mistake.says.is_empty() {
            writeln!(text, "  It says  {}", mistake.says).unwrap();
        }
        writeln!(text, "  {}", mistake.message).unwrap();
        writeln!(text, "  Mend     {}\n", mistake.mend.as_deref().unwrap_or("")).unwrap();
    }
    text
}

fn rules(folder: &Path) -> Vec<String> {
    match open(folder) {
        Ok(_) => Vec::new(),
        Err(unread) => unread
            .mistakes
            .iter()
            .map(|mistake| {
                let at = unread.sources.line_column(&mistake.place);
                format!("{}:{}:{} {}", mistake.place.file, at.line, at.column, mistake.rule.name)
            })
            .collect(),
    }
}

#[test]
fn the_sound_program_has_no_mistake() {
    assert_eq!(rules(&cases().join("sound")), [""; 0]);
}

#[test]
fn each_mistake_is_told_with_its_place_and_how_to_mend_it() {
    let accept = std::env::var_os("PACKSTRING_ACCEPT").is_some();
    let mut wrong = Vec::new();
    let mut count = 0;
    for entry in fs::read_dir(cases()).unwrap() {
        let case = entry.unwrap().path();
        let name = case.file_name().unwrap().to_string_lossy().into_owned();
        if name == "sound" {
            continue;
        }
        count += 1;
        let folder = sound_program();
        copy(&case, folder.path());
        for absent in fs::read_to_string(case.join("absent.txt")).unwrap_or_default().lines() {
            fs::remove_file(folder.path().join(absent)).unwrap();
        }
        let told = open(folder.path()).map_or_else(|unread| told(&unread), |_| String::new());
        let expected = case.join("expected.txt");
        if accept {
            fs::write(&expected, &told).unwrap();
        } else if fs::read_to_string(&expected).unwrap_or_default() != told || told.is_empty() {
            wrong.push(format!("{name}:\n{told}"));
        }
    }
    assert!(count > 10, "only {count} cases were found");
    assert!(wrong.is_empty(), "told otherwise than expected:\n{}", wrong.join("\n"));
}

#[test]
fn windows_line_ends_and_a_byte_order_mark_change_no_place() {
    let plain = sound_program();
    let windows = sound_program();
    let lesson = "# Water\n\n## One\n\nText <b>here</b>.\n\n> Sya: two\n";
    let settings =
        fs::read_to_string(plain.path().join("program.toml")).unwrap() + "\n[certificate]\ntitel = \"x\"\n";
    let roster = "event,name,attended\nnorth,\"A\nB\",yes\nnorht,C,maybe\n";
    for (name, text) in
        [("lessons/water.md", lesson), ("program.toml", &settings), ("people/roster.csv", roster)]
    {
        fs::write(plain.path().join(name), text).unwrap();
        fs::write(windows.path().join(name), format!("\u{feff}{}", text.replace('\n', "\r\n"))).unwrap();
    }
    let expected = rules(plain.path());
    assert_eq!(expected.len(), 5, "{expected:?}");
    assert_eq!(rules(windows.path()), expected);
}

#[test]
fn files_that_are_no_utf_8_are_told() {
    let folder = sound_program();
    fs::write(folder.path().join("facts.toml"), b"[a]\nvalue = \"10\xb0F\"\n").unwrap();
    fs::write(folder.path().join("kits.toml"), b"\xff\xfe[\0a\0]\0").unwrap();
    fs::remove_file(folder.path().join("people/roster.csv")).unwrap();
    fs::create_dir(folder.path().join("people/roster.csv")).unwrap();
    let expected = [
        "facts.toml:2:12 file-unreadable",
        "kits.toml:1:1 file-unreadable",
        "people/roster.csv:1:1 file-unreadable",
    ];
    assert_eq!(rules(folder.path()), expected);
}

#[cfg(unix)]
#[test]
fn links_that_lead_out_of_the_folder_are_not_followed() {
    let folder = sound_program();
    let outside = tempfile::tempdir().unwrap();
    fs::write(outside.path().join("secret.md"), "# Secret\n").unwrap();
    let lesson = folder.path().join("lessons/water.md");
    fs::remove_file(&lesson).unwrap();
    std::os::unix::fs::symlink(outside.path().join("secret.md"), &lesson).unwrap();
    assert_eq!(rules(folder.path()), ["lessons/water.md:1:1 path-escapes"]);
}

#[test]
fn deep_nesting_is_told_and_overflows_nothing() {
    let folder = sound_program();
    for deep in
        ["> ".repeat(3000), "- ".repeat(3000), "*a ".repeat(2_500) + &"b* ".repeat(2_500), "[".repeat(15_000)]
    {
        fs::write(folder.path().join("lessons/water.md"), format!("# Water\n\n{deep}x\n")).unwrap();
        let told = rules(folder.path());
        assert!(told.iter().all(|rule| rule.ends_with(" nested-too-deep")), "{told:?}");
        // Brackets that nothing closes are letters.
        assert_eq!(told.is_empty(), deep.starts_with('['), "{told:?}");
    }
    let deep = format!("x = {}{}\n", "[".repeat(5000), "]".repeat(5000));
    fs::write(folder.path().join("facts.toml"), deep).unwrap();
    assert!(!rules(folder.path()).is_empty());
}

/// Each mistake that the cases are told has its page.
#[test]
fn every_mistake_has_a_page() {
    let pages = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/rules");
    let mut rules = BTreeSet::new();
    for case in fs::read_dir(cases()).unwrap() {
        let told = fs::read_to_string(case.unwrap().path().join("expected.txt")).unwrap_or_default();
        let first_lines = told.split("\n\n").filter_map(|mistake| mistake.lines().next());
        rules.extend(first_lines.filter_map(|line| Some(line.rsplit_once("  ")?.1.to_owned())));
    }
    assert!(rules.len() > 25, "{rules:?}");
    for rule in rules {
        assert!(pages.join(format!("{rule}.md")).is_file(), "{rule} has no page");
    }
}
