//! Slides: what is too much for one is split, and what was split fits; a workshop by video pauses at its
//! asks and says where answers go.

use crate::flow;
use crate::folders::{open, write};
use packstring::job::{Job, Make, Piece};
use packstring::people::scope::Scope;
use packstring::pieces::Selection;
use packstring::press::{Press, Theme};
use packstring::program::Program;
use packstring::understand::Understood;
use serde_json::Value;
use std::fmt::Write as _;
use std::path::Path;

const SETTINGS: &str = r#"
[program]
name = "Lake Riders"
agency = "Tern Lake District"
season = "2026"

[[contacts]]
name = "Outreach Office"
for = "Workshops"
email = "riders@ternlake.example"

[[syllabus]]
lesson = "long"
minutes = 30

[[events]]
id = "evening"
name = "Evening Workshop"
date = 2026-06-10
start = 18:30
minutes = 60
place = "By video"
form = "video"
"#;

fn program(folder: &Path, lesson: &str) -> Program {
    write(folder, "program.toml", SETTINGS);
    write(folder, "facts.toml", "");
    write(folder, "lessons/long.md", lesson);
    open(folder)
}

fn deck(program: &Program, event: Option<&str>) -> Job {
    let selection = Selection {
        pieces: vec![Piece::Deck],
        scope: event.map(Scope::of_event).unwrap_or_default(),
        ..Selection::default()
    };
    flow::plan(&Understood::new(program), &selection).remove(0)
}

fn slides(job: &Job) -> Vec<Value> {
    let Make::Sheet(sheet) = &job.make else { panic!("a deck is a sheet") };
    sheet.parts.iter().flat_map(|(_, lesson)| lesson["sections"].as_array().unwrap().clone()).collect()
}

/// Lists and tables from short to far too long, of short and of long items, alone and with boxes.
#[test]
fn whatever_its_length_a_list_or_a_table_fits_its_slides() {
    let item = "look back often and keep the rope short while the others pass below you on the narrow trail";
    let words: Vec<&str> = item.split(' ').collect();
    let mut lesson = String::from("# Long\n");
    for (kind, length) in [("Short", 3), ("Middling", 9), ("Long", words.len())] {
        for count in [3, 6, 8, 9, 10, 11, 13, 16, 21, 34] {
            write!(lesson, "\n## {kind} {}\n\n", "i".repeat(count)).unwrap();
            (0..count).for_each(|_| writeln!(lesson, "- {}", words[..length].join(" ")).unwrap());
            write!(lesson, "\n## {kind} with boxes {}\n\n", "i".repeat(count)).unwrap();
            (0..count).for_each(|_| writeln!(lesson, "1. {}", words[..length].join(" ")).unwrap());
            lesson += "\n> Ask: What would you do?\n\n> Warning: Never wrap a rope around your hand.\n";
            write!(
                lesson,
                "\n## {kind} table {}\n\n| on the trail | at camp |\n| --- | --- |\n",
                "i".repeat(count)
            )
            .unwrap();
            (0..count).for_each(|_| {
                writeln!(lesson, "| {} | {} |", words[..length].join(" "), words[..3].join(" ")).unwrap();
            });
        }
    }
    let folder = tempfile::tempdir().unwrap();
    let program = program(folder.path(), &lesson);
    let job = deck(&program, None);
    let split = slides(&job).iter().filter(|slide| slide["part"].is_object()).count();
    assert!(split > 30, "only {split} slides are parts");
    let press = Press::open(Theme::plain(), folder.path());
    let findings = press.measure(&job).unwrap();
    let overfull: Vec<&str> = findings.iter().map(|finding| program.sources.words(&finding.place)).collect();
    assert_eq!(overfull, [""; 0]);
}

#[test]
fn a_workshop_by_video_pauses_at_each_ask() {
    let lesson =
        "# Long\n\n## Ropes\n\n- Short\n\n> Ask: How short?\n\n> Ask: Why?\n\n## Only asked\n\n> Ask: Who?\n";
    let folder = tempfile::tempdir().unwrap();
    let program = program(folder.path(), lesson);
    let pauses = |event| -> Vec<bool> {
        slides(&deck(&program, event)).iter().map(|slide| slide["pause"] == true).collect()
    };
    assert_eq!(pauses(None), [false, false]);
    assert_eq!(pauses(Some("evening")), [false, true, true, true]);
    let Make::Sheet(sheet) = deck(&program, Some("evening")).make else { panic!("a deck is a sheet") };
    assert_eq!(sheet.data["send_to"]["email"], "riders@ternlake.example");
    let press = Press::open(Theme::plain(), folder.path());
    assert_eq!(press.measure(&deck(&program, Some("evening"))).unwrap(), []);
}
