//! What the pages of questions say and save, as `tests/browser/site.mjs` holds it in a browser, held against
//! scoring: the page is never surer than packstring, and its file is read back letter by letter.

use crate::folders::{copy, open};
use packstring::people::scoring::{Scores, Verdict};
use packstring::program::Program;
use packstring::understand::Understood;
use std::fs;
use std::path::Path;

fn repository() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The demo with other people and answers.
fn demo_with(roster: &str, answers: &[u8]) -> (tempfile::TempDir, Program) {
    let folder = tempfile::tempdir().unwrap();
    copy(&repository().join("content"), folder.path());
    fs::write(folder.path().join("people/roster.csv"), roster).unwrap();
    fs::write(folder.path().join("people/answers.csv"), answers).unwrap();
    let program = open(folder.path());
    (folder, program)
}

#[test]
fn the_page_is_never_surer_than_scoring() {
    let table = fs::read(repository().join("tests/browser/self-check.csv")).unwrap();
    let mut reader = csv::Reader::from_reader(table.as_slice());
    let cases: Vec<[String; 3]> =
        reader.records().map(|row| [0, 1, 2].map(|at| row.as_ref().unwrap()[at].to_owned())).collect();
    assert!(cases.len() > 40);
    let mut roster = "event,name,attended\n".to_owned();
    let mut answers = csv::Writer::from_writer(Vec::new());
    let questions = ["camp-distance", "hot-day-water", "heat-signs", "your-change"];
    answers.write_record(["event", "name"].iter().chain(&questions)).unwrap();
    for (at, [question, answer, _]) in cases.iter().enumerate() {
        let name = format!("Rider {at}");
        roster += &format!("north-camp,{name},yes\n");
        // As packstring and the page write cells.
        let answer = packstring::spreadsheet::guarded(answer);
        let given = questions.map(|id| if id == question { answer.as_ref() } else { "" });
        answers.write_record(["north-camp", &name].iter().chain(&given)).unwrap();
    }
    let (_folder, program) = demo_with(&roster, &answers.into_inner().unwrap());
    let understood = Understood::new(&program);
    let scores = Scores::of(&understood);
    assert_eq!(scores.list.len(), cases.len());
    for (scoring, [question, answer, page]) in scores.list.iter().zip(&cases) {
        let scored = scoring.answers.iter().find(|scored| scored.question.id == *question).unwrap();
        assert_eq!(scored.answer, answer.trim());
        let sure = match page.as_str() {
            "right" => Verdict::Right,
            "wrong" => Verdict::Wrong,
            "look" => continue,
            other => panic!("{other} is no verdict"),
        };
        assert_eq!(scored.judged.verdict, sure, "{question}: {answer}: {}", scored.judged.reason);
    }
}

/// The browser's tests hold that the form saves this very file.
#[test]
fn the_file_of_the_form_is_read_back() {
    let file = fs::read(repository().join("tests/browser/answers.csv")).unwrap();
    let (_folder, program) = demo_with("event,name,attended\nnorth-camp,Ana Ruiz,yes\n", &file);
    let [row] = program.people.answers.rows.as_slice() else { panic!("{:?}", program.people.answers.rows) };
    assert_eq!((row.name.as_str(), row.email.as_deref()), ("=HYPERLINK(\"x\")", Some("ana@mail.example")));
    assert_eq!((row.event.as_str(), row.version), ("fall-packers", 'A'));
    assert_eq!(row.given.len(), program.content.questions.list.len());
    let given: Vec<&str> = row.given.iter().map(|given| given.text.as_str()).collect();
    for answer in ["+1, \"two\" =3", "'=x", "@Łódź; ½", "-5 ft"] {
        assert!(given.contains(&answer), "{answer} in {given:?}");
    }
    assert!(program.people.answers.unmatched.is_empty());
}
