//! What is to be checked again, in a ranger's calendar: the file is read back by a reader that has
//! nothing to do with ours.

use ical::parser::ical::component::IcalEvent;
use packstring::commands::backing;
use packstring::program;
use packstring::session::Environment;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

fn content() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/content"))
}

fn written(folder: &Path, fact: Option<&str>) -> String {
    let into = tempfile::tempdir().unwrap();
    let desk = Environment {
        today: jiff::civil::date(2026, 6, 1),
        folder: folder.to_owned(),
        terminal: false,
        keys: None,
    };
    let mut out = Vec::new();
    let file = into.path().join("due");
    backing::run(Some(folder), fact, true, Some(&file), &desk, &mut out).unwrap();
    assert!(String::from_utf8(out).unwrap().contains("to check again written to "));
    fs::read_to_string(file.with_extension("ics")).unwrap()
}

pub fn events(calendar: &str) -> Vec<IcalEvent> {
    let mut calendars: Vec<_> =
        ical::IcalParser::new(calendar.as_bytes()).collect::<Result<_, _>>().expect("one that can be read");
    assert_eq!(calendars.len(), 1);
    calendars.remove(0).events
}

pub fn value(event: &IcalEvent, name: &str) -> String {
    let found: Vec<_> = event.properties.iter().filter(|property| property.name == name).collect();
    assert_eq!(found.len(), 1, "{name} stands once in {event:?}");
    // RFC 5545, 3.3.11, the other way round
    let mut text = String::new();
    let mut letters = found[0].value.as_deref().unwrap().chars();
    while let Some(letter) = letters.next() {
        text.push(match letter {
            '\\' => match letters.next().unwrap() {
                'n' | 'N' => '\n',
                escaped => escaped,
            },
            letter => letter,
        });
    }
    text
}

#[test]
fn each_fact_with_a_day_stands_on_it_once() {
    let program = program::open(content()).unwrap();
    let events = events(&written(content(), None));
    let dated: Vec<_> = program.content.facts.iter().filter(|fact| fact.review_by.is_some()).collect();
    assert!(dated.len() > 20);
    assert_eq!(events.len(), dated.len());
    let uids: BTreeSet<String> = events.iter().map(|event| value(event, "UID")).collect();
    assert_eq!(uids.len(), events.len());
    for fact in dated {
        let summary = format!("Re-check {}: ", fact.name);
        let event = events.iter().find(|event| value(event, "SUMMARY").starts_with(&summary)).unwrap();
        let day = fact.review_by.as_ref().unwrap().0.to_string().replace('-', "");
        assert_eq!(value(event, "DTSTART"), day);
        assert_eq!(
            value(event, "DTSTAMP"),
            format!("{}T000000Z", fact.as_of.unwrap().to_string().replace('-', ""))
        );
        let told = value(event, "DESCRIPTION");
        let source = fact.source.as_ref().unwrap().text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(told.contains(&format!("\nSource: {source}\n")), "{told}");
        assert!(told.contains("\nQuoted "), "{told}");
    }
}

#[test]
fn the_same_facts_give_the_same_bytes_and_their_entries_keep_their_names() {
    let all = written(content(), None);
    assert_eq!(all, written(content(), None));
    let one = events(&written(content(), Some("group-size")));
    assert_eq!(one.len(), 1);
    assert!(all.contains(&format!("UID:{}\r\n", value(&one[0], "UID"))));
}

#[test]
fn text_that_would_break_a_line_is_read_back_as_it_was() {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir(folder.path().join("lessons")).unwrap();
    let put = |name: &str, text: &str| fs::write(folder.path().join(name), text).unwrap();
    put(
        "program.toml",
        "[program]\nname = \"Lake Riders\"\nagency = \"Tern Lake District\"\nseason = \"2026\"\n\n\
         [[syllabus]]\nlesson = \"ropes\"\nminutes = 10\n\n[[events]]\nid = \"cove\"\nname = \"Cove\"\n\
         date = 2026-10-03\nstart = 09:00\nminutes = 60\nplace = \"Cove\"\nform = \"in person\"\n",
    );
    put("lessons/ropes.md", "# Ropes\n\n## Short\n\n- Tie with [6 ft](fact:lead-length).\n");
    let source = r"Rule 4.2; ropes, \\ lines: “Länge” and BEGIN:VEVENT 🐴 as the warden of the lake has it";
    put(
        "facts.toml",
        &format!(
            "[lead-length]\nvalue = \"6 ft\"\nsource = \"{source}\\r\\nEND:VCALENDAR\"\n\
             url = \"https://lake.example/rules?a=1,2;b\"\nreview-by = 2027-03-01\nsafety = true\n\n\
             [at.cove.lead-length]\nvalue = \"4 ft\"\nreview-by = 2026-09-01\n"
        ),
    );
    let events = events(&written(folder.path(), None));
    let summaries: Vec<String> = events.iter().map(|event| value(event, "SUMMARY")).collect();
    assert_eq!(summaries, ["Re-check lead-length at cove: 4 ft", "Re-check lead-length: 6 ft"]);
    let told = value(&events[1], "DESCRIPTION");
    let expected = format!("\nSource: {} END:VCALENDAR\n", source.replace(r"\\", r"\"));
    assert!(told.contains(&expected), "{told}");
    assert!(told.contains("\nQuoted in 1 place\n"), "{told}");
    // without as-of, from the day itself
    assert_eq!(value(&events[1], "DTSTAMP"), "20270301T000000Z");
}
