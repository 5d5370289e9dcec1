//! Facts that are otherwise at an event: its pieces state its values, and nobody else's do.

use crate::flow;
use crate::folders::{copy, open};
use packstring::job::{Job, Make, Piece};
use packstring::people::scope::Scope;
use packstring::pieces::Selection;
use packstring::program::Program;
use packstring::understand::Understood;
use std::fs;
use std::path::Path;

const EVENTS: &str = r#"
[[events]]
id = "cove"
name = "Heron Cove Workshop"
date = 2026-10-03
start = 09:00
minutes = 60
place = "Heron Cove"
form = "in person"
lessons = ["ropes"]
"#;

const LOCAL: &str = r#"
[at.cove.lead-length]
value = "4 ft"
source = "Heron Cove order 7"

[at.cove.water-daily]
limit = "at least"
"#;

/// The sound program with an event at which the lead is shorter.
fn program(ropes: &str) -> (tempfile::TempDir, Program) {
    let folder = tempfile::tempdir().unwrap();
    let sound = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/proof/sound");
    copy(&sound, folder.path());
    let add = |name: &str, text: &str| {
        let path = folder.path().join(name);
        let all = fs::read_to_string(&path).unwrap() + text;
        fs::write(path, all).unwrap();
    };
    add("program.toml", EVENTS);
    add("facts.toml", LOCAL);
    fs::write(folder.path().join("lessons/ropes.md"), ropes).unwrap();
    let questions = fs::read_to_string(folder.path().join("questions.toml")).unwrap();
    fs::write(folder.path().join("questions.toml"), questions.replace("10 feet", "4 feet")).unwrap();
    let program = open(folder.path());
    (folder, program)
}

const OPEN: &str = "# Ropes\n\nTie with […](fact:lead-length) of lead rope.\n\n## Short\n\n\
    - Keep it to […](fact:lead-length).\n\n> Bring: A lead rope of […](fact:lead-length).\n\n\
    ![Asphalt by air temperature](fact:ground-heat)\n";

/// What is planned of a piece, which is something.
fn planned(understood: &Understood, piece: Piece, event: Option<&str>) -> Vec<Job> {
    let selection = Selection {
        pieces: vec![piece],
        scope: event.map(Scope::of_event).unwrap_or_default(),
        ..Selection::default()
    };
    let jobs = flow::plan(understood, &selection);
    assert!(!jobs.is_empty(), "{piece:?} at {event:?}");
    jobs
}

/// All the data of a job, as one text; a number and its unit are parted by a plain space.
fn data(job: &Job) -> String {
    let text = match &job.make {
        Make::Sheet(sheet) => {
            let parts: Vec<String> = sheet.parts.iter().map(|(_, part)| part.to_string()).collect();
            format!("{}{}", sheet.data, parts.concat())
        }
        Make::Run(run) => run.data.to_string(),
        other => panic!("{other:?}"),
    };
    text.replace('\u{a0}', " ")
}

#[test]
fn pieces_of_the_event_state_its_values_and_all_others_the_common_ones() {
    let (_folder, program) = program(OPEN);
    let understood = Understood::new(&program);
    for piece in [Piece::PresentersCopy, Piece::RunSheet, Piece::BringList] {
        for job in planned(&understood, piece, None) {
            let (its, other) = if job.path.contains("cove") { ("4 ft", "6 ft") } else { ("6 ft", "4 ft") };
            let data = data(&job);
            assert!(!data.contains(other), "{}: {data}", job.path);
            assert!(data.contains(its), "{}: {data}", job.path);
        }
    }
    for piece in [Piece::Deck, Piece::Handout] {
        for job in planned(&understood, piece, None) {
            assert!(!data(&job).contains("4 ft") && !job.path.contains("cove"), "{}", job.path);
        }
        for job in planned(&understood, piece, Some("cove")) {
            assert!(data(&job).contains("4 ft") && job.path.contains("cove"), "{}", job.path);
        }
        for job in planned(&understood, piece, Some("spring")) {
            assert!(!data(&job).contains("4 ft"), "{}", job.path);
        }
    }
    let paths: Vec<String> =
        planned(&understood, Piece::Handout, Some("cove")).into_iter().map(|job| job.path).collect();
    assert_eq!(paths, ["cove/handouts/ropes.pdf"]);
}

#[test]
fn a_handout_names_the_event_where_its_figures_are_its_own_and_nowhere_else() {
    let (_folder, program) = program(OPEN);
    let understood = Understood::new(&program);
    let named = |event| data(&planned(&understood, Piece::Handout, event)[0]).contains("Heron Cove Workshop");
    assert!(named(Some("cove")));
    assert!(!named(None));
    let spring = data(&planned(&understood, Piece::Handout, Some("spring"))[0]);
    assert!(spring.contains("\"event\":null"), "{spring}");
}

#[test]
fn closed_words_are_told_where_they_do_not_hold_and_only_where_they_are_used() {
    let closed = OPEN.replace("Tie with […]", "Tie with [at most six feet]");
    let (_folder, program) = program(&closed);
    let findings = flow::proofread(&Understood::new(&program), jiff::civil::date(2026, 6, 1));
    let told: Vec<String> =
        findings.iter().map(|told| format!("{} {}", told.rule.name, told.message)).collect();
    // the lesson on camps quotes the water, but is not held at the cove
    assert_eq!(
        told,
        [
            "figure-drift At “Heron Cove Workshop”: “at most six feet” is not what the fact “lead-length” says."
        ]
    );
    assert_eq!(findings[0].fact_says.as_deref(), Some("at most 4 ft (lead-length at cove)"));
    assert!(findings[0].stops_press);
}

#[test]
fn words_left_to_the_fact_give_nothing_to_tell() {
    let (_folder, program) = program(OPEN);
    let findings = flow::proofread(&Understood::new(&program), jiff::civil::date(2026, 6, 1));
    assert!(findings.is_empty(), "{findings:#?}");
}

#[test]
fn what_an_event_does_not_say_is_the_common_fact_s() {
    let (_folder, program) = program(OPEN);
    let facts = program.content.facts_at("cove");
    let lead = facts.iter().find(|fact| fact.name == "lead-length").unwrap();
    let common = &program.content.facts[0];
    assert_eq!((lead.limit, lead.safety, lead.as_of), (common.limit, true, common.as_of));
    assert_eq!(lead.called, common.called);
    assert_eq!(lead.source.as_ref().unwrap().text, "Heron Cove order 7");
    assert_eq!(program.content.facts_at("spring").iter().filter(|fact| fact.at.is_some()).count(), 0);
    assert_eq!(facts.len(), program.content.facts.len());
}

#[test]
fn how_the_common_source_was_read_says_nothing_of_another() {
    let (folder, _) = program(OPEN);
    let file = folder.path().join("facts.toml");
    let facts = fs::read_to_string(&file).unwrap();
    let quoted =
        facts.replace("source = \"District rule", "read = \"from memory\"\nsource = \"District rule");
    assert_ne!(facts, quoted, "the facts have sources of the district");
    fs::write(&file, quoted).unwrap();
    let program = open(folder.path());
    let read = |name: &str| {
        let facts = program.content.facts_at("cove");
        facts.iter().find(|fact| fact.name == name).unwrap().read.clone()
    };
    assert_eq!(read("lead-length"), None, "it has a source of its own at the cove");
    assert_eq!(read("water-daily"), Some(packstring::program::facts::SourceRead::FromMemory));
}
