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

const CONTACT: &str = "\n[[contacts]]\nname = \"Tern Dispatch\"\nfor = \"Injury or fire\"\nphone = \"555-0100\"\n\
    emergency = true\n";

fn add(folder: &TempDir, file: &str, text: &str) {
    let path = folder.path().join(file);
    let before = fs::read_to_string(&path).unwrap_or_default();
    write(folder.path(), file, before + text);
}

/// The rules that are told of a program, each with its place.
fn told(folder: &TempDir) -> Vec<(&'static str, String)> {
    let program = crate::folders::open(folder.path());
    let findings =
        crate::flow::proofread(&packstring::understand::Understood::new(&program), crate::proof::TODAY);
    findings.into_iter().map(|finding| (finding.rule.name, finding.place.file.to_string())).collect()
}

/// An emergency number that has changed is told everywhere that the old one stands, backed or not.
#[test]
fn a_changed_emergency_number_is_told_wherever_it_stands() {
    let drawing = |number: &str| {
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 80 20\"><text x=\"2\" y=\"12\">Call {number}</text></svg>"
        )
    };
    let with = |contact: &str| {
        let folder = program("\n[dispatch]\nvalue = \"555-0100\"\nkind = \"phone\"\nsource = \"Dispatch\"\n");
        add(&folder, "program.toml", contact);
        add(
            &folder,
            "lessons/ropes.md",
            "\nIf you are hurt, call (555) 0100 or [555.0100](fact:dispatch).\n",
        );
        add(
            &folder,
            "lessons/camps.md",
            "\n| Whom | Number |\n| --- | --- |\n| Tern Dispatch | 555-0100 |\n",
        );
        write(folder.path(), "pictures/shore.svg", drawing("555-0100"));
        add(
            &folder,
            "kits.toml",
            "\n[[kits]]\nid = \"day\"\nname = \"Day kit\"\n\n[[kits.items]]\nitem = \"A card with 555-0100 on it\"\n",
        );
        folder
    };
    assert_eq!(told(&with(CONTACT)), []);

    let changed = with(&CONTACT.replace("555-0100", "555-0177"));
    let facts = changed.path().join("facts.toml");
    let text = fs::read_to_string(&facts).unwrap().replace("\"555-0100\"", "\"555-0177\"");
    fs::write(facts, text).unwrap();
    let found = told(&changed);
    for expected in [
        ("phone-unknown", "lessons/ropes.md"),
        ("figure-drift", "lessons/ropes.md"),
        ("particular-apart", "lessons/camps.md"),
        ("phone-unknown", "lessons/camps.md"),
        ("phone-unknown", "kits.toml"),
    ] {
        assert!(
            found.iter().any(|(rule, file)| (*rule, file.as_str()) == expected),
            "{expected:?}: {found:?}"
        );
    }
    // what is quoted takes on the new number in its own writing
    packstring(changed.path(), &["restate", "--save"]);
    let ropes = fs::read_to_string(changed.path().join("lessons/ropes.md")).unwrap();
    assert!(ropes.contains("[555.0177](fact:dispatch)"), "{ropes}");
}

/// What names an event and is not its day: terms, other years' reports with the right day beside them, other things.
#[test]
fn what_is_no_day_of_an_event_is_not_told_as_one() {
    for sentence in [
        "Sign up for the Spring Workshop by May 1.",
        "The Spring Workshop is on Saturday, May 16, and the picnic on May 17.",
        "The Spring Workshop starts at 9 a.m. and ends at 10 a.m.",
        "Coffee is ready at 8:30 a.m., and the Spring Workshop starts at 9 a.m.",
        "Doors open at 8:30 a.m. for the Spring Workshop.",
        "The gate is shut until June 1. The Spring Workshop is held at the shelter.",
        "Rule 555-01 and the years 1981–2008 are in the book of 2026.",
    ] {
        let folder = program("");
        add(&folder, "program.toml", CONTACT);
        add(&folder, "lessons/ropes.md", &format!("\n{sentence}\n"));
        let found = told(&folder);
        let own = ["particular-apart", "phone-unknown", "date-unclear"];
        assert!(found.iter().all(|(rule, _)| !own.contains(rule)), "{sentence}: {found:?}");
    }
    for sentence in [
        "The Spring Workshop is on May 17.",
        "Come to the Spring Workshop on Sunday, May 16.",
        "On 16 June 2026 we hold the Spring Workshop.",
        "The Spring Workshop starts at 10:30 a.m.",
    ] {
        let folder = program("");
        add(&folder, "lessons/ropes.md", &format!("\n{sentence}\n"));
        let found = told(&folder);
        assert_eq!(found, [("particular-apart", "lessons/ropes.md".to_owned())], "{sentence}");
    }
}

/// The hours of a contact are known by its name, like its number.
#[test]
fn other_hours_than_a_contact_s_are_told_beside_its_name() {
    let contact = format!("{CONTACT}hours = \"7 a.m. to 6 p.m.\"\n");
    for (sentence, is_told) in [
        ("Tern Dispatch answers from 8 a.m. to 5 p.m.", true),
        ("Tern Dispatch is open until 9 p.m.", true),
        ("Tern Dispatch answers from 7 a.m. to 6 p.m.", false),
        ("Tern Dispatch opens at 7 a.m.", false),
    ] {
        let folder = program("");
        add(&folder, "program.toml", &contact);
        add(&folder, "lessons/ropes.md", &format!("\n{sentence}\n"));
        let found = told(&folder);
        let apart = found.iter().any(|(rule, _)| *rule == "particular-apart");
        assert_eq!(apart, is_told, "{sentence}: {found:?}");
    }
}
