//! A name with a letter that no font has: the lists it would stand on are made without it, never with a box.

use crate::folders::copy;
use crate::press::{NOBODY_HAS, letters, text};
use std::fs;
use std::path::Path;
use std::process::Command;

/// The lists of the trial's event, below the private shelf.
const LISTS: [&str; 4] =
    ["sign-in-sheets/spring.pdf", "name-tags/spring.pdf", "attendance.pdf", "welcome-list.pdf"];

#[test]
fn lists_are_made_without_a_name_that_cannot_be_printed() {
    let folder = tempfile::tempdir().unwrap();
    copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/proof/sound"), folder.path());
    let roster = format!(
        "event,name,companion,attended,passed,email,join\n\
         spring,Ada {NOBODY_HAS}Vell,Moss,yes,no,ada@vell.example,yes\n\
         spring,Oren Tasker,Bis{NOBODY_HAS}cuit,yes,yes,,yes\n\
         spring,Mara Quill,Pip,yes,yes,,yes\n"
    );
    fs::write(folder.path().join("people/roster.csv"), roster).unwrap();
    // What was held is told again, though nothing else is made again.
    for _ in 0..2 {
        let output =
            Command::new(env!("CARGO_BIN_EXE_packstring")).arg("make").current_dir(folder.path()).output();
        let told = String::from_utf8(output.unwrap().stdout).unwrap();
        let findings: Vec<&str> = told.lines().filter(|line| line.contains("No font at hand")).collect();
        assert_eq!(findings.len(), 2, "each name once: {told}");
        assert!(findings[0].starts_with("people/roster.csv:2:8 "), "{told}");
        assert!(findings[1].starts_with("people/roster.csv:3:8 "), "{told}");
    }
    for list in LISTS {
        let bytes = fs::read(folder.path().join("out/private").join(list)).unwrap();
        let said = letters(&text(&bytes).concat());
        assert!(said.contains("MaraQuill") && said.contains("Pip"), "{list}: {said}");
        assert!(said.contains("OrenTasker"), "the name of a companion is held by itself, {list}: {said}");
        assert!(!said.contains("Vell") && !said.contains("cuit"), "{list}: {said}");
        for row in ["held,rosterrow2", "held,rosterrow3"] {
            assert!(said.contains(row), "{list} names {row}: {said}");
        }
    }
}
