//! Contacts and events of `program.toml` as facts that a text links to: held exactly, restated, refused where they
//! clash. No source outside: these are packstring's own promises; numbers of the form 555-01xx are kept for fiction
//! (North American Numbering Plan, from memory).

use crate::folders::{self, laid_out, open, write};
use packstring::understand::Understood;
use std::fs;
use std::path::Path;

const PROGRAM: &str = r#"[program]
name = "Lake Riders"
agency = "Tern Lake District"
season = "2026"
language = "en-US"

[[contacts]]
name = "Basin Dispatch"
for = "Injury or fire"
phone = "775-555-0100"
email = "dispatch@basin.example"
emergency = true

[[contacts]]
id = "office"
name = "Señal Office"
for = "All else"
phone = "775-555-0101"

[[syllabus]]
lesson = "example"
minutes = 10

[[events]]
id = "spring"
name = "Spring Workshop"
date = 2026-05-16
start = 09:00
minutes = 150
place = "Tern Lake shelter"
form = "in person"
"#;

const LESSON: &str = "# Example\n\n## Help\n\n- Call [(775) 555-0100](fact:contact.basin-dispatch.phone), or the office at [775-555-0101](fact:contact.office.phone).\n\nWrite to [dispatch@basin.example](fact:contact.basin-dispatch.email). We meet on [Saturday, May 16](fact:event.spring.date) at [9 a.m.](fact:event.spring.start), until [11:30 a.m.](fact:event.spring.end), at [Tern Lake shelter](fact:event.spring.place).\n";

fn folder(program: &str, lesson: &str) -> tempfile::TempDir {
    laid_out(&[("program.toml", program), ("facts.toml", ""), ("lessons/example.md", lesson)])
}

fn run(folder: &Path, arguments: &str) -> (String, i32) {
    folders::run(folder, arguments.split(' '))
}

fn proofread(folder: &Path) -> String {
    run(folder, "proofread --no-layout").0
}

#[test]
fn what_program_toml_says_can_be_linked_to_and_is_held_exactly() {
    let here = folder(PROGRAM, LESSON);
    let told = proofread(here.path());
    assert!(told.contains("nothing to report"), "{told}");
    for (was, now) in [
        ("(775) 555-0100", "(775) 555-0110"),
        ("775-555-0101", "775-555-0100"),
        ("[dispatch@basin.example]", "[despatch@basin.example]"),
        ("Saturday, May 16", "Saturday, May 23"),
        ("Saturday, May 16", "Sunday, May 16"),
        ("9 a.m.", "9 p.m."),
        ("11:30 a.m.", "noon"),
        ("Tern Lake shelter", "Tern Lake dock"),
    ] {
        let here = folder(PROGRAM, &LESSON.replace(was, now));
        let (told, code) = run(here.path(), "proofread --no-layout");
        assert!(code == 1 && told.contains("lessons/example.md:"), "{now}: {told}");
    }
    // Somebody may come to harm by a wrong number for emergencies.
    let here = folder(PROGRAM, &LESSON.replace("(775) 555-0100", "(775) 555-0110"));
    let told = proofread(here.path());
    assert!(told.contains("stops the press"), "{told}");
}

#[test]
fn a_changed_number_or_day_is_restated_where_it_is_linked_and_open_links_print_it() {
    let lesson = LESSON.replace("[Saturday, May 16]", "[…]");
    let here = folder(&PROGRAM.replace("775-555-0100", "775-555-0123").replace("09:00", "10:15"), &lesson);
    run(here.path(), "restate --save");
    let text = fs::read_to_string(here.path().join("lessons/example.md")).unwrap();
    let expected = lesson
        .replace("(775) 555-0100", "(775) 555-0123")
        .replace("9 a.m.", "10:15 a.m.")
        .replace("11:30 a.m.", "12:45 p.m.")
        .replace("[…]", "[May 16, 2026]");
    assert_eq!(text, expected);
    assert!(proofread(here.path()).contains("nothing to report"));
    let (told, code) = run(here.path(), "backing contact.basin-dispatch.phone");
    assert!(told.starts_with("contact.basin-dispatch.phone: 775-555-0123") && code == 0, "{told}");
    assert!(told.contains("Quoted in 1 place"), "{told}");
}

#[test]
fn an_edition_links_to_the_same_and_says_it_in_its_own_words() {
    let program = PROGRAM.replace("language = \"en-US\"", "editions = [\"en-US\", \"es-US\"]");
    let here = folder(&program, LESSON);
    write(
        here.path(),
        "program.es-US.toml",
        "[contacts.\"Basin Dispatch\"]\nname = \"Despacho de la Cuenca\"\n\n[events.spring]\nplace = \"Refugio del Lago\"\n",
    );
    write(
        here.path(),
        "lessons/es-US/example.md",
        "# Ejemplo\n\n## Ayuda\n\n- Llame al [775-555-0100](fact:contact.basin-dispatch.phone) o al [775-555-0101](fact:contact.office.phone).\n\nEscriba a [dispatch@basin.example](fact:contact.basin-dispatch.email). Es el […](fact:event.spring.date) a las [9:00](fact:event.spring.start), hasta las [11:30](fact:event.spring.end), en [Refugio del Lago](fact:event.spring.place).\n",
    );
    let program = open(here.path());
    let understood = Understood::new(&program);
    let spanish = &understood.editions[0];
    assert_eq!(spanish.own_words("event.spring.date").as_deref(), Some("16 de mayo de 2026"));
    assert_eq!(spanish.own_words("event.spring.place").as_deref(), Some("Refugio del Lago"));
    let told = proofread(here.path());
    assert!(!told.contains("Rule           figure") && !told.contains("backing-unknown"), "{told}");
}

#[test]
fn a_name_that_says_nothing_is_told_with_those_that_do() {
    for (name, mend) in [
        ("contact.basin-dispatch.fone", "Did you mean “contact.basin-dispatch.phone”?"),
        ("contact.basin.hours", "NAME is the contact's id"),
        ("event.autumn.minutes", "event.ID.date"),
    ] {
        let here = folder(PROGRAM, &LESSON.replace("contact.basin-dispatch.phone", name));
        let told = proofread(here.path());
        assert!(
            told.contains("program.toml has no contact or event") && told.contains(mend),
            "{name}: {told}"
        );
    }
}

#[test]
fn a_fact_cannot_take_the_name_of_a_contact_or_an_event() {
    let here = folder(PROGRAM, LESSON);
    for name in ["\"contact.basin-dispatch.phone\"", "\"event.spring.date\"", "\"event.other.thing\""] {
        write(here.path(), "facts.toml", format!("[{name}]\nvalue = \"6 ft\"\nsource = \"Rule\"\n"));
        let (told, code) = run(here.path(), "proofread --no-layout");
        assert!(
            code == 2 && told.contains("name-unfit") && told.contains("belong to program.toml"),
            "{told}"
        );
    }
}

/// Two contacts of one name: which of them is meant, nobody can tell.
#[test]
fn contacts_of_one_name_need_ids_of_their_own() {
    let second = "[[contacts]]\nname = \"Basin Dispatch\"\nfor = \"Loose animals\"\nphone = \"775-555-0150\"\n\n[[syllabus]]";
    let doubled = PROGRAM.replace("[[syllabus]]", second);
    let told = proofread(folder(&doubled, LESSON).path());
    assert!(told.contains("no contact or event that says “contact.basin-dispatch.phone”"), "{told}");
    let parted = doubled.replace("for = \"Loose", "id = \"animals\"\nfor = \"Loose");
    let told = proofread(folder(&parted, LESSON).path());
    assert!(!told.contains("backing-unknown"), "{told}");
    let same = doubled.replace("for = \"Loose", "id = \"office\"\nfor = \"Loose");
    let told = proofread(folder(&same, LESSON).path());
    assert!(told.contains("name-doubled"), "{told}");
}

/// Also where nobody has written down how a language says its days.
#[test]
fn what_an_event_says_can_be_read_in_every_language() {
    for language in ["en-US", "en-GB", "es-US", "es-MX", "es", "fr", "fr-CA", "de"] {
        for start in ["00:00", "00:30", "09:00", "12:00", "12:45", "14:30", "23:59"] {
            let program = PROGRAM.replace("en-US", language).replace("09:00", start);
            let here = folder(&program, LESSON);
            let program = open(here.path());
            let understood = Understood::new(&program);
            assert!(understood.findings.is_empty(), "{language} {start}: {:?}", understood.findings);
            for name in ["date", "start", "end", "place"] {
                let words = understood.own_words(&format!("event.spring.{name}"));
                assert!(words.is_some_and(|words| !words.is_empty()), "{language} {start}: {name}");
            }
        }
    }
}
