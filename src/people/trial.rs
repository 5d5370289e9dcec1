//! A small program whose roster a test writes.

use crate::program::Program;

pub const NORTH: &str = "north-camp";
pub const SOUTH: &str = "south-gate";

const SETTINGS: &str = r#"
[program]
name = "Trail Rider Stewards"
agency = "Juniper Basin Open Lands"
season = "2026"

[[syllabus]]
lesson = "welcome"
minutes = 10

[[events]]
id = "north-camp"
name = "North Camp"
date = 2026-05-16
start = 09:00
minutes = 90
place = "North Camp shelter"
form = "in person"

[[events]]
id = "south-gate"
name = "South Gate"
date = 2026-06-16
start = 09:00
minutes = 90
place = "South gate"
form = "in person"
"#;

/// A program whose roster has these rows.
pub fn program(rows: &[Row]) -> Program {
    let folder = tempfile::tempdir().unwrap();
    let write = |file: &str, text: &str| {
        let path = folder.path().join(file);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    };
    write("program.toml", SETTINGS);
    write("facts.toml", "");
    write("lessons/welcome.md", "# Welcome\n\n## Who we are\n\n- Stewards\n");
    let mut roster = String::from("event,name,email,companion,attended,passed\n");
    for Row { event, name, email, companion, attended, passed } in rows {
        roster += &format!("{event},{name},{email},{companion},{attended},{passed}\n");
    }
    write("people/roster.csv", &roster);
    crate::program::open(folder.path()).unwrap_or_else(|unread| panic!("{:#?}", unread.mistakes))
}

#[derive(Clone)]
pub struct Row {
    pub event: &'static str,
    pub name: &'static str,
    pub email: &'static str,
    pub companion: &'static str,
    pub attended: &'static str,
    pub passed: &'static str,
}

pub fn row(event: &'static str, name: &'static str, email: &'static str, companion: &'static str) -> Row {
    Row { event, name, email, companion, attended: "yes", passed: "yes" }
}
