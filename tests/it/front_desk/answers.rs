//! Answers that wait for the ranger's eye, decided at the desk: what stands in `scores.csv` before and after.

use super::{Desk, borrowed, fields, text, unescaped, with};
use crate::folders::copy;
use std::fs;
use std::path::Path;
use std::process::Command;
use tempfile::TempDir;

const ANSWERS: &str = "event,name,email,your-change\n\
    north-camp,Marisol Peñaloza,marisol.p@mailbox.example,I will tie & wait\n\
    north-camp,Wendell Achterberg,w.achterberg@post.example,Check the girth\n\
    north-camp,Siobhán O'Hanrahan,siobhan@ohanrahan.example,I will  tie & wait\n\
    north-camp,Ciarán O’Dowd,ciaran.odowd@post.example,=1+1\n";

fn folder() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("content"), folder.path());
    let _ = fs::remove_dir_all(folder.path().join("out"));
    fs::write(folder.path().join("people/answers.csv"), ANSWERS).unwrap();
    folder
}

fn table(folder: &TempDir) -> String {
    text(&fs::read(folder.path().join("out/private/scores.csv")).unwrap())
}

/// The decisions on the one question that waits, by the answer.
fn decisions(folder: &TempDir) -> Vec<(String, String)> {
    let table = table(folder);
    let mut reader = csv::Reader::from_reader(table.trim_start_matches('\u{feff}').as_bytes());
    let rows = reader.records().map(Result::unwrap).filter(|row| &row[3] == "your-change");
    rows.map(|row| (row[4].to_owned(), row[7].to_owned())).collect()
}

fn decided(folder: &TempDir) -> Vec<String> {
    decisions(folder).into_iter().map(|(_, decision)| decision).collect()
}

/// Writes a decision into the table as somebody at a spreadsheet does.
fn write_decision(folder: &TempDir, name: &str, decision: &str) {
    let table = table(folder);
    let mut reader = csv::Reader::from_reader(table.trim_start_matches('\u{feff}').as_bytes());
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(reader.headers().unwrap()).unwrap();
    for row in reader.records() {
        let mut row: Vec<String> = row.unwrap().iter().map(str::to_owned).collect();
        if row[1] == name && row[3] == "your-change" {
            decision.clone_into(&mut row[7]);
        }
        writer.write_record(&row).unwrap();
    }
    fs::write(folder.path().join("out/private/scores.csv"), writer.into_inner().unwrap()).unwrap();
}

fn score(folder: &TempDir) -> String {
    let run = Command::new(env!("CARGO_BIN_EXE_packstring"))
        .args(["score", "--program"])
        .arg(folder.path())
        .env("PACKSTRING_KEYS", folder.path().join("keys"))
        .output()
        .unwrap();
    text(&run.stdout)
}

#[test]
fn one_answer_after_another_is_decided_for_all_who_gave_it_and_taken_back() {
    let folder = folder();
    let desk = Desk::open(folder.path());
    let page = desk.get("/answers").body;
    let shown = unescaped(&page);
    assert!(shown.contains("1 of 3") && shown.contains("I will tie & wait"), "{page}");
    assert!(shown.contains("2 people gave this answer"), "{page}");
    assert!(shown.contains("a reason: whom or what it protects"), "what to look for: {page}");
    // Whoever judges does not see whose it is before they ask, and no address tells.
    let (before, people) = page.split_once("<details").unwrap();
    assert!(!before.contains("Marisol") && people.contains("Marisol Peñaloza"), "{page}");
    assert!(!folder.path().join("out/private/scores.csv").exists(), "looking writes nothing");

    let right = fields(&page, "value=\"right\"");
    let kept = desk.send("/answers", &borrowed(&right));
    assert_eq!((kept.status, kept.header("location")), (303, Some("/answers")), "{}", kept.body);
    let words = |all: &[&str]| all.iter().map(|word| (*word).to_owned()).collect::<Vec<_>>();
    assert_eq!(decided(&folder), words(&["right", "", "right", ""]));
    let page = desk.get("/answers").body;
    assert!(page.contains("2 of 3") && page.contains("Check the girth"), "{page}");
    assert!(page.contains("Decided: right.") && page.contains("For 2 people."), "{page}");

    // Not now: the next one; it comes back at the end, when it is asked for.
    let later = desk.send("/answers-later", &borrowed(&fields(&page, "action=\"/answers-later\"")));
    assert_eq!(later.status, 303);
    let page = desk.get("/answers").body;
    assert!(unescaped(&page).contains("=1+1") && page.contains("3 of 3"), "{page}");
    assert_eq!(desk.send("/answers", &borrowed(&fields(&page, "value=\"wrong\""))).status, 303);
    assert_eq!(decided(&folder), words(&["right", "", "right", "wrong"]));
    let page = desk.get("/answers").body;
    assert!(page.contains("put off 1 answer") && !page.contains("Check the girth"), "{page}");
    desk.send("/answers-again", &borrowed(&fields(&page, "action=\"/answers-again\"")));
    assert!(desk.get("/answers").body.contains("Check the girth"));

    // What was decided counts for every command, and outlives its runs.
    let told = score(&folder);
    assert!(told.contains("1 answer for you to judge"), "{told}");
    assert_eq!(decided(&folder), words(&["right", "", "right", "wrong"]));

    // The last decision is taken back, and then the one before it; once more does nothing.
    let undo = fields(&desk.get("/answers").body, "action=\"/answers-undo\"");
    assert_eq!(desk.send("/answers-undo", &borrowed(&undo)).status, 303);
    assert_eq!(decided(&folder), words(&["right", "", "right", ""]));
    assert_eq!(desk.send("/answers-undo", &borrowed(&undo)).status, 404, "the same form once more");
    let undo = fields(&desk.get("/answers").body, "action=\"/answers-undo\"");
    assert_eq!(desk.send("/answers-undo", &borrowed(&undo)).status, 303);
    assert_eq!(decided(&folder), words(&["", "", "", ""]));
    assert!(!desk.get("/answers").body.contains("action=\"/answers-undo\""));
}

#[test]
fn a_decision_of_somebody_else_is_told_and_never_written_over() {
    let folder = folder();
    score(&folder);
    let desk = Desk::open(folder.path());
    let page = desk.get("/answers").body;
    let right = fields(&page, "value=\"right\"");
    write_decision(&folder, "Siobhán O'Hanrahan", "wrong");
    let theirs = table(&folder);
    let answer = desk.send("/answers", &borrowed(&right));
    assert_eq!(answer.status, 409, "{}", answer.body);
    assert!(
        answer.body.contains("Somebody else has decided") && answer.body.contains("wrong"),
        "{}",
        answer.body
    );
    assert_eq!(table(&folder), theirs);
    // The other one of the two still waits, and is told what was decided on the same words.
    let page = desk.get("/answers").body;
    assert!(page.contains("1 person gave this answer") && page.contains("decided before"), "{page}");
    assert_eq!(desk.send("/answers", &borrowed(&fields(&page, "value=\"right\""))).status, 303);
    let two = |folder: &TempDir| [decided(folder)[0].clone(), decided(folder)[2].clone()];
    assert_eq!(two(&folder), ["right", "wrong"]);
    // Nor is it taken back over what was written since.
    let undo = fields(&desk.get("/answers").body, "action=\"/answers-undo\"");
    write_decision(&folder, "Marisol Peñaloza", "incorrect");
    let answer = desk.send("/answers-undo", &borrowed(&undo));
    assert!(answer.status == 409 && answer.body.contains("incorrect"), "{}", answer.body);
    assert_eq!(two(&folder), ["incorrect", "wrong"]);
    // Another answer was handed in meanwhile.
    let page = desk.get("/answers").body;
    assert!(page.contains("Check the girth"), "{page}");
    let answers = ANSWERS.replace("Check the girth", "Check the girths");
    fs::write(folder.path().join("people/answers.csv"), answers).unwrap();
    let gone = desk.send("/answers", &borrowed(&fields(&page, "value=\"right\"")));
    assert!(gone.status == 409 && gone.body.contains("not there any more"), "{}", gone.body);
    let forged = desk.send("/answers", &borrowed(&with(&fields(&page, "value=\"right\""), "is", "maybe")));
    assert_eq!(forged.status, 400, "{}", forged.body);
    assert_eq!(two(&folder), ["incorrect", "wrong"]);
}

#[test]
fn where_decisions_cannot_be_read_or_written_it_is_told_and_nothing_is_lost() {
    let folder = folder();
    score(&folder);
    let desk = Desk::open(folder.path());
    let right = fields(&desk.get("/answers").body, "value=\"right\"");
    // A run is at work on the shelves.
    let lock = fs::File::open(folder.path().join("out/.making/lock")).unwrap();
    lock.try_lock().unwrap();
    let before = table(&folder);
    let busy = desk.send("/answers", &borrowed(&right));
    assert!(busy.status == 409 && busy.body.contains("just now"), "{}", busy.body);
    assert_eq!(table(&folder), before);
    drop(lock);
    // A spreadsheet has spoiled the table: the page says so, and the list goes on.
    let spoiled = "event,name,question,decision\nnorth-camp,\"Mari";
    fs::write(folder.path().join("out/private/scores.csv"), spoiled).unwrap();
    let page = desk.get("/answers").body;
    assert!(page.contains("cannot be read") && !page.contains("value=\"right\""), "{page}");
    assert_eq!(desk.send("/answers", &borrowed(&right)).status, 409);
    assert_eq!(table(&folder), spoiled);
    let tick = fields(&desk.get("/event/north-camp").body, "Wendell Achterberg: came");
    assert_eq!(desk.send("/tick", &borrowed(&tick)).status, 303);
    let tick = fields(&desk.get("/event/north-camp").body, "Wendell Achterberg: came");
    assert_eq!(desk.send("/tick", &borrowed(&tick)).status, 303);
    // They stand in a workbook, which is only read.
    fs::remove_file(folder.path().join("out/private/scores.csv")).unwrap();
    let mut book = rust_xlsxwriter::Workbook::new();
    let sheet = book.add_worksheet();
    for (column, heading) in ["event", "name", "question", "decision"].iter().enumerate() {
        sheet.write_string(0, column as u16, *heading).unwrap();
    }
    book.save(folder.path().join("out/private/scores.xlsx")).unwrap();
    let right = fields(&desk.get("/answers").body, "value=\"right\"");
    let answer = desk.send("/answers", &borrowed(&right));
    assert!(answer.status == 409 && answer.body.contains("writes into no workbook"), "{}", answer.body);
    assert!(!folder.path().join("out/private/scores.csv").exists());
}

/// A single key decides nothing for whoever turns the keys off (WCAG 2.2, 2.1.4).
#[test]
fn single_keys_can_be_turned_off() {
    let folder = folder();
    let desk = Desk::open(folder.path());
    let page = desk.get("/answers").body;
    assert!(page.contains("aria-keyshortcuts=\"R\"") && page.contains("<kbd>W</kbd>"), "{page}");
    let off = fields(&page, "action=\"/answers-keys\"");
    assert_eq!(desk.send("/answers-keys", &borrowed(&off)).status, 303);
    let page = desk.get("/answers").body;
    assert!(!page.contains("aria-keyshortcuts") && !page.contains("<kbd>"), "{page}");
    let on = fields(&page, "action=\"/answers-keys\"");
    desk.send("/answers-keys", &borrowed(&on));
    assert!(desk.get("/answers").body.contains("aria-keyshortcuts=\"R\""));
}
