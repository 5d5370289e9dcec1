//! Findings whose mend is written by a button: just the words that were shown, and taken back.

use super::{Desk, ROSTER, borrowed, fields, files, text, unescaped, with};
use crate::folders::copy;
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

fn folder() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("content"), folder.path());
    let _ = fs::remove_dir_all(folder.path().join("out"));
    folder
}

/// A lesson that quotes a fact in feet, and the text of it with another figure there.
fn drifted(folder: &TempDir) -> (PathBuf, String, String) {
    let lessons = fs::read_dir(folder.path().join("lessons")).unwrap().map(|entry| entry.unwrap().path());
    let mut lessons: Vec<PathBuf> =
        lessons.filter(|path| path.extension().is_some_and(|it| it == "md")).collect();
    lessons.sort();
    for lesson in lessons {
        let sound = fs::read_to_string(&lesson).unwrap();
        if let Some(at) = sound.find(" feet](fact:lead-length)") {
            let start = sound[..at].rfind([' ', '[']).unwrap() + 1;
            let wrong = format!("{}forty{}", &sound[..start], &sound[at..]);
            return (lesson, sound, wrong);
        }
    }
    panic!("no lesson quotes the lead's length in feet");
}

#[test]
fn a_figure_that_drifted_is_written_by_its_button_and_taken_back() {
    let folder = folder();
    let (lesson, sound, wrong) = drifted(&folder);
    fs::write(&lesson, &wrong).unwrap();
    let before = files(&folder);
    let desk = Desk::open(folder.path());
    let page = desk.get("/findings").body;
    assert!(page.contains("figure-drift") && page.contains("<del>"), "{page}");
    assert!(files(&folder) == before, "looking writes nothing");
    let form = fields(&page, "action=\"/finding\"");
    // What was not offered is not written.
    let other = desk.send("/finding", &borrowed(&with(&form, "now", "two feet")));
    assert!(other.status == 409 && files(&folder) == before, "{}", other.body);
    let written = desk.send("/finding", &borrowed(&form));
    assert_eq!(written.status, 303, "{}", written.body);
    assert_eq!(fs::read_to_string(&lesson).unwrap(), sound);
    let page = desk.get(written.header("location").unwrap()).body;
    assert!(page.contains("It is written.") && !page.contains("figure-drift"), "{page}");
    let undone = desk.send("/fact-undo", &borrowed(&fields(&page, "action=\"/fact-undo\"")));
    assert_eq!(undone.header("location"), Some("/findings?said=fact-undone"), "{}", undone.body);
    assert_eq!(fs::read_to_string(&lesson).unwrap(), wrong);
    // A file that was saved since it was shown is left alone.
    fs::write(&lesson, format!("{wrong}\nAnd more.\n")).unwrap();
    let late = desk.send("/finding", &borrowed(&form));
    assert!(late.status == 409 && late.body.contains("was changed since"), "{}", late.body);
    assert_eq!(fs::read_to_string(&lesson).unwrap(), format!("{wrong}\nAnd more.\n"));
}

#[test]
fn a_cell_of_the_roster_is_written_by_its_button_only_where_that_is_sure() {
    let folder = folder();
    let roster = folder.path().join(ROSTER);
    let sound = fs::read_to_string(&roster).unwrap();
    let spoiled = sound
        .replacen("Wendell Achterberg", "Wendell  Achterberg", 1)
        .replacen("Jean-Luc Thibodeaux", "\"Thibodeaux, Jean-Luc\"", 1)
        .replace("Marisol Peñaloza", "MARISOL PEÑALOZA");
    fs::write(&roster, &spoiled).unwrap();
    let desk = Desk::open(folder.path());
    let page = unescaped(&desk.get("/findings").body);
    assert!(page.contains("name-capitals") && page.contains("Marisol Peñaloza"), "{page}");
    // Capitals are a guess.
    assert!(!page.contains("value=\"Marisol Peñaloza\""), "{page}");
    let spaces = fields(&page, "value=\"Wendell Achterberg\"");
    let written = desk.send("/mend", &borrowed(&spaces));
    assert!(written.header("location").unwrap().starts_with("/findings?done="), "{}", written.body);
    assert_eq!(
        fs::read_to_string(&roster).unwrap(),
        spoiled.replace("Wendell  Achterberg", "Wendell Achterberg")
    );
    // It is undone from the page that tells of it.
    let page = desk.get(written.header("location").unwrap().split('#').next().unwrap()).body;
    let undone = desk.send("/undo", &borrowed(&fields(&page, "action=\"/undo\"")));
    assert!(undone.header("location").unwrap().starts_with("/findings?"), "{}", undone.body);
    assert_eq!(fs::read_to_string(&roster).unwrap(), spoiled);
    let straight = fields(&unescaped(&desk.get("/findings").body), "value=\"Jean-Luc Thibodeaux\"");
    assert_eq!(desk.send("/mend", &borrowed(&straight)).status, 303);
    assert_eq!(
        text(&fs::read(&roster).unwrap()),
        spoiled.replace("\"Thibodeaux, Jean-Luc\"", "\"Jean-Luc Thibodeaux\"")
    );
    // Somebody else has changed the cell since: both are shown, and nothing is written.
    let spaces = fields(&unescaped(&desk.get("/findings").body), "value=\"Wendell Achterberg\"");
    let theirs = fs::read_to_string(&roster).unwrap().replace("Wendell  Achterberg", "Wendell  Achterburg");
    fs::write(&roster, &theirs).unwrap();
    assert_eq!(desk.send("/mend", &borrowed(&spaces)).status, 409);
    assert_eq!(fs::read_to_string(&roster).unwrap(), theirs);
}
