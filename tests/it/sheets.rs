//! Kit sheets, question sheet, answer key, run sheets, bring lists and certificates: the data that
//! their plans hand to the templates, on a small program that has every form of them.

use crate::flow;
use crate::folders::{copy, open};
use jiff::civil::date;
use packstring::job::{Job, Make, Piece, Shelf};
use packstring::people::credit;
use packstring::people::scope::Scope;
use packstring::people::scoring::Scores;
use packstring::pieces::Selection;
use packstring::program::Program;
use packstring::program::register::Entry;
use packstring::shelf::register::{RegisterError, add};
use packstring::understand::Understood;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::path::Path;

/// The small program, with everybody credited who is due.
fn small() -> Program {
    let folder = tempfile::tempdir().unwrap();
    copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/sheets"), folder.path());
    let read = || open(folder.path());
    let program = read();
    let understood = Understood::new(&program);
    let due = credit::due(&program, &Scores::of(&understood), &program.people.register, &Scope::default());
    let given = due
        .people
        .iter()
        .map(|it| Entry::Given(Box::new(it.given(&program.content.settings, date(2026, 5, 20)))));
    add(folder.path(), None, |_| Ok::<_, RegisterError>(given.collect())).unwrap();
    read()
}

fn planned(selection: &Selection) -> Vec<Job> {
    let program = small();
    let understood = Understood::new(&program);
    assert!(understood.findings.is_empty(), "{:#?}", understood.findings);
    flow::plan(&understood, selection)
}

fn jobs(piece: Piece) -> Vec<Job> {
    planned(&Selection { pieces: vec![piece], ..Selection::default() })
}

/// The jobs of a piece without what all pieces share.
fn snapshot(piece: Piece) -> Value {
    jobs(piece)
        .iter()
        .map(|job| {
            let (template, data, entries) = match &job.make {
                Make::Sheet(sheet) => (&sheet.template, own(&sheet.data), Value::Null),
                Make::Run(run) => (&run.template, own(&run.data), run.entries.iter().map(entry).collect()),
                other => panic!("a sheet or a run was expected, not {other:?}"),
            };
            let shelf = format!("{:?}", job.shelf);
            json!({"shelf": shelf, "path": job.path, "template": template, "data": data, "entries": entries})
        })
        .collect()
}

fn own(data: &Value) -> Value {
    let mut data = data.clone();
    let shared = ["program", "paper", "ink"];
    data.as_object_mut().unwrap().retain(|key, _| !shared.contains(&key.as_str()));
    data
}

fn entry(entry: &packstring::job::RunEntry) -> Value {
    let says = entry.code.as_ref().map(|code| code.says());
    json!({"path": entry.path, "title": entry.title, "data": entry.data, "code": says})
}

#[test]
fn kit_sheets() {
    insta::assert_json_snapshot!(snapshot(Piece::KitSheets));
}

#[test]
fn question_sheet() {
    insta::assert_json_snapshot!(snapshot(Piece::QuestionSheet));
}

#[test]
fn answer_key() {
    insta::assert_json_snapshot!(snapshot(Piece::AnswerKey));
}

#[test]
fn run_sheets() {
    insta::assert_json_snapshot!(snapshot(Piece::RunSheet));
}

#[test]
fn bring_lists() {
    insta::assert_json_snapshot!(snapshot(Piece::BringList));
}

#[test]
fn certificates() {
    insta::assert_json_snapshot!(snapshot(Piece::Certificates));
}

/// Every key of an object anywhere in the data.
fn keys(data: &Value, found: &mut BTreeSet<String>) {
    match data {
        Value::Object(map) => map.iter().for_each(|(key, value)| {
            found.insert(key.clone());
            keys(value, found);
        }),
        Value::Array(list) => list.iter().for_each(|value| keys(value, found)),
        _ => {}
    }
}

#[test]
fn the_question_sheet_holds_nothing_of_the_key() {
    let [job] = &jobs(Piece::QuestionSheet)[..] else { panic!("one sheet was expected") };
    let Make::Sheet(sheet) = &job.make else { panic!("a sheet was expected") };
    let mut found = BTreeSet::new();
    keys(&sheet.data["questions"], &mut found);
    let allowed = ["ask", "choices", "count", "inlines", "kind", "letter", "number", "text", "unit", "words"];
    let allowed: BTreeSet<String> = allowed.map(String::from).into();
    assert!(found.is_subset(&allowed), "{found:?}");
    let text = sheet.data.to_string();
    for secret in ["halter", "lead line", "a reason", "200 feet", "6 feet", "The rule says", "8 gallons"] {
        assert!(!text.contains(secret), "the question sheet tells {secret:?}");
    }
}

#[test]
fn no_name_of_the_roster_leaves_the_private_shelf() {
    let program = small();
    let jobs = planned(&Selection::default());
    let (private, others): (Vec<&Job>, Vec<&Job>) = jobs.iter().partition(|job| job.shelf == Shelf::Private);
    let private = format!("{private:?}");
    assert!(!program.people.roster.rows.is_empty() && others.len() > 10);
    for row in &program.people.roster.rows {
        // As it stands in what is compared, where marks are escaped.
        let name = format!("{:?}", row.name);
        let name = name.trim_matches('"');
        assert!(private.contains(name), "no list has {name}, so nothing shows that it is kept back");
        for job in &others {
            assert!(!format!("{job:?}").contains(name), "{} holds {name}", job.path);
        }
    }
}

#[test]
fn every_path_is_its_own_and_stays_below_its_shelf() {
    let mut seen = BTreeSet::new();
    for job in planned(&Selection::default()) {
        let singles = match &job.make {
            Make::Run(run) => run.entries.iter().map(|entry| entry.path.clone()).collect(),
            _ => Vec::new(),
        };
        for path in singles.into_iter().chain([job.path]) {
            let parts: Vec<&str> = path.split('/').collect();
            assert!(parts.iter().all(|part| !part.is_empty() && !part.starts_with('.')), "{path}");
            let plain = |letter: char| letter.is_ascii_alphanumeric() || matches!(letter, '-' | '.' | '/');
            assert!(path.chars().all(plain), "{path}");
            assert!(seen.insert((job.shelf, path.to_lowercase())), "{path} is planned twice");
        }
    }
}

#[test]
fn an_event_asked_for_narrows_what_belongs_to_events() {
    let asked = Selection { scope: Scope::of_event("north-camp"), ..Selection::default() };
    let by_event = [Piece::RunSheet, Piece::BringList, Piece::Certificates];
    let paths: Vec<String> =
        planned(&asked).into_iter().filter(|job| by_event.contains(&job.piece)).map(|job| job.path).collect();
    assert_eq!(
        paths,
        ["run-sheets/north-camp.pdf", "bring-lists/north-camp.pdf", "certificates/north-camp.pdf"]
    );
}

#[test]
fn a_participant_asked_for_gets_every_certificate_of_that_name_and_nobody_elses() {
    let asked = Selection {
        pieces: vec![Piece::Certificates],
        scope: Scope { event: None, participant: Some(" sam reed".into()) },
        ..Selection::default()
    };
    let [job] = &planned(&asked)[..] else { panic!("one run was expected") };
    let Make::Run(run) = &job.make else { panic!("a run was expected") };
    let names: Vec<&str> = run.entries.iter().map(|entry| entry.data["name"].as_str().unwrap()).collect();
    assert_eq!(names, ["Sam Reed", "Sam Reed"]);
    assert_ne!(run.entries[0].path, run.entries[1].path);
}
