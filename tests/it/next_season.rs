//! A season turned over: what the new folder has, that the old one stays as it is, and what is said to be left to do.

use crate::folders::{BARE_PROGRAM, copy, laid_out, open, run, write};
use crate::proof::{root, told};
use jiff::civil::date;
use packstring::commands::next_season;
use packstring::job::Piece;
use packstring::pieces::Selection;
use packstring::session::{Environment, Making, Session};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use tempfile::TempDir;

/// Every file of a folder with its bytes.
fn tree(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let entries = walkdir::WalkDir::new(folder).into_iter().map(Result::unwrap);
    let files = entries.filter(|entry| !entry.file_type().is_dir());
    files
        .map(|entry| {
            let name = entry.path().strip_prefix(folder).unwrap().to_string_lossy().replace('\\', "/");
            (name, fs::read(entry.path()).unwrap_or_default())
        })
        .collect()
}

fn desk(place: &Path) -> Environment {
    Environment { today: date(2026, 12, 1), folder: place.to_owned(), terminal: false, keys: None }
}

/// Turns `old` over into `next`, or asks again what is left to do.
fn begin(place: &Path) -> String {
    let mut out = Vec::new();
    next_season::run(Path::new("next"), Path::new("old"), None, &desk(place), &mut out).unwrap();
    String::from_utf8(out).unwrap()
}

/// Makes the certificates: how many were credited now, and how many before and are made for the first time.
fn credited(folder: &Path) -> (usize, usize) {
    let desk = desk(folder);
    let mut session = Session::open_to_make(Some(folder), None, &desk).unwrap();
    let selection = Selection { pieces: vec![Piece::Certificates], ..Selection::default() };
    match session.make(selection, &mut |_| {}).unwrap() {
        Making::Done(made) => (made.credited.newly.len(), made.credited.unprinted.len()),
        Making::Stopped(findings) => panic!("{findings:#?}"),
    }
}

/// A place with the demo in `old`.
fn demo() -> TempDir {
    let place = tempfile::tempdir().unwrap();
    copy(&root().join("content"), &place.path().join("old"));
    place
}

fn dated(folder: &Path) {
    let file = folder.join("program.toml");
    let text = fs::read_to_string(&file).unwrap();
    let mut days = ["2027-05-15", "2027-06-09", "2027-08-21", "2027-10-02"].iter();
    let lines = text.lines().map(|line| match line {
        "date = \"\"" => format!("date = {}\n", days.next().unwrap()),
        _ => format!("{line}\n"),
    });
    fs::write(file, lines.collect::<String>()).unwrap();
}

#[test]
fn the_demo_is_turned_over_whole_and_nothing_of_the_old_season_changes() {
    let place = demo();
    let (old, next) = (place.path().join("old"), place.path().join("next"));
    let before = tree(&old);
    let said = begin(place.path());
    assert_eq!(tree(&old), before);
    let after = tree(&next);
    for (name, bytes) in &before {
        match name.as_str() {
            "program.toml" => assert_ne!(&after[name], bytes),
            name if name.starts_with("people/") => assert!(!after.contains_key(name), "{name}"),
            name => assert!(after[name] == *bytes, "{name}"),
        }
    }
    let new: Vec<&String> = after.keys().filter(|name| !before.contains_key(*name)).collect();
    assert_eq!(new, ["records/season-2026.json"]);
    let counts: serde_json::Value = serde_json::from_slice(&after["records/season-2026.json"]).unwrap();
    assert_eq!((counts["season"].as_str(), counts["format"].as_u64()), (Some("2026"), Some(1)));

    let program = open(&next);
    let settings = &program.content.settings;
    assert_eq!((settings.season.as_str(), settings.events.len(), settings.undated.len()), ("2027", 0, 4));
    assert_eq!(program.people.earlier.as_ref().unwrap().season, "2026");
    assert_eq!(program.people.register.lines().len(), open(&old).people.register.lines().len());
    for step in ["North Camp Spring Workshop", "old/people/hours.csv", "people/roster.csv"] {
        assert!(said.contains(step), "no {step} in {said}");
    }

    // Nothing is reported but the dates, and once they are there nothing at all.
    let found = told(&next);
    let rules: Vec<&str> =
        found.lines().filter_map(|line| line.trim().strip_prefix("Rule ")).map(str::trim).collect();
    assert_eq!(rules, ["event-undated (a warning)"; 4], "{found}");
    dated(&next);
    let found = told(&next);
    assert!(found.contains("nothing to report"), "{found}");
    let said = begin(place.path());
    assert!(!said.contains("North Camp") && said.contains("people/roster.csv"), "{said}");
    assert!(!said.contains("laid out"), "{said}");
}

/// The same people are in the register of the old season; without a row of the new one nobody is credited, and no
/// paper of the old season is made or said to be ready.
#[test]
fn nobody_is_credited_again() {
    let place = demo();
    let next = place.path().join("next");
    begin(place.path());
    dated(&next);
    let register = fs::read(next.join("records/certificates.jsonl")).unwrap();
    assert_eq!(credited(&next), (0, 0));
    assert_eq!(fs::read(next.join("records/certificates.jsonl")).unwrap(), register);
    assert!(!next.join("out/private/certificates").exists());
    // Whose certificate is of the old season can still have it checked.
    let old = open(place.path().join("old"));
    let number = old.people.register.valid().next().unwrap().number.to_string();
    let (said, code) = run(&next, ["certificates", "check", &number]);
    assert_eq!(code, 0, "{said}");
}

#[test]
fn what_the_old_season_still_owes_is_said_first() {
    let roster = "event,name,attended,passed\nspring,Ada Vell,yes,yes\nspring,Ben Ode,yes,yes\n";
    let place = tempfile::tempdir().unwrap();
    let old = place.path().join("old");
    for (name, text) in [
        ("program.toml", BARE_PROGRAM),
        ("facts.toml", ""),
        ("lessons/example.md", "# Example\n\nThe 2026 season is a good one.\n"),
        ("people/roster.csv", roster),
    ] {
        write(&old, name, text);
    }
    let said = begin(place.path());
    assert!(said.contains("1. 2 certificates are due"), "{said}");
    assert!(said.contains("lessons/example.md:3  The 2026 season is a good one."), "{said}");
    // They are credited there after all: the new register does not know them.
    assert_eq!(credited(&old), (2, 0));
    let said = begin(place.path());
    assert!(said.contains("2 certificates that this one does not have"), "{said}");
    assert!(!said.contains("are due"), "{said}");
}

#[test]
fn what_cannot_be_begun_is_said_and_nothing_is_laid_out() {
    let place = laid_out(&[
        ("old/program.toml", &BARE_PROGRAM.replace("\"2026\"", "\"The High Summer\"")),
        ("old/facts.toml", ""),
        ("old/lessons/example.md", "# Example\n\nText.\n"),
        ("other/note.txt", "mine"),
    ]);
    for (arguments, says) in [
        (vec!["begin", "next", "--from", "old"], "no year in its name"),
        (vec!["begin", "old/next", "--from", "old"], "one inside the other"),
        (vec!["begin", "old", "--from", "old"], "not empty"),
        (vec!["begin", "other", "--from", "old", "--season", "2027"], "note.txt is in it"),
        (vec!["begin", "next", "--from", "other"], "no program.toml in it"),
        (vec!["begin", "next", "--from", "old", "--season", "The High Summer"], "another name"),
    ] {
        let before = tree(place.path());
        let (said, code) = run(place.path(), arguments.iter().copied());
        assert!(code == 2 && said.contains(says), "{arguments:?}: {said}");
        assert_eq!(tree(place.path()), before, "{arguments:?}");
    }
    let (said, code) = run(place.path(), ["begin", "next", "--from", "old", "--season", "The Low Winter"]);
    assert_eq!(code, 0, "{said}");
    assert_eq!(open(place.path().join("next")).content.settings.season, "The Low Winter");
}

/// What is personal stays for its owner only, and nothing leads out of the old folder into the new one.
#[cfg(unix)]
#[test]
fn records_stay_closed_and_links_are_left_behind() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let place = demo();
    let old = place.path().join("old");
    write(place.path(), "elsewhere.txt", "not ours");
    symlink(place.path().join("elsewhere.txt"), old.join("notes.txt")).unwrap();
    write(&old, "made/made.json", "{}");
    write(&old, ".git/config", "");
    let said = begin(place.path());
    assert!(said.contains("Left in old: made, notes.txt, people."), "{said}");
    let next = place.path().join("next");
    for name in ["notes.txt", "made", ".git", "people"] {
        assert!(next.join(name).symlink_metadata().is_err(), "{name}");
    }
    let mode = |name: &str| fs::metadata(next.join(name)).unwrap().permissions().mode() & 0o777;
    assert_eq!((mode("records"), mode("records/certificates.jsonl")), (0o700, 0o600));
}
