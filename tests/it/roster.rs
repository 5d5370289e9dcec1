//! `packstring proofread --roster`: what is shown of a wild export, and what `--save` writes, byte for
//! byte. All names are invented.

use crate::folders::copy;
use crate::schema::assert_follows_published;
use packstring::commands::report::As;
use packstring::commands::roster::{RosterOptions, run};
use packstring::commands::{CommandError, Outcome};
use packstring::session::Environment;
use serde_json::Value;
use std::fs;
use std::path::Path;

/// The sound program with another roster.
fn program(file: &str, bytes: &[u8]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    copy(&crate::proof::root().join("tests/proof/sound"), folder.path());
    fs::remove_file(folder.path().join("people/roster.csv")).unwrap();
    fs::write(folder.path().join("people").join(file), bytes).unwrap();
    folder
}

fn shown(folder: &Path, asked: RosterOptions) -> (Outcome, String) {
    let desk =
        Environment { today: crate::proof::TODAY, folder: folder.to_owned(), terminal: false, keys: None };
    let mut out = Vec::new();
    match run(Some(folder), asked, &desk, &mut out) {
        Ok(outcome) => (outcome, String::from_utf8(out).unwrap()),
        Err(CommandError::Said(why)) => (Outcome::NotDone, why),
        Err(trouble) => panic!("{trouble:?}"),
    }
}

const SAVE: RosterOptions = RosterOptions { form: As::Text, for_press: false, save: true, every_row: false };

const WILD: &str = "When;Full Name;E-mail address;Which workshop;Horse;Attendance;Passed;T-shirt size\r\n\
    1;CIARÁN O’DOWD;c@odowd.example;Spring Workshop;Clover;x;x;M\r\n\
    2;Jon  Ortega;jon@ortega.example;spring;;yes;no;XXL\r\n\
    3;John Ortega;JON@ortega.example;spring;;maybe;yes;44\r\n\
    4;;;Winter Camp;;x;;\r\n\
    5;Ana Vell;ana@vell.example;SPRING;;x;x;L\r\n";

#[test]
fn a_wild_export_is_shown_row_by_row() {
    let (bytes, ..) = encoding_rs::WINDOWS_1252.encode(WILD);
    let folder = program("roster.csv", &bytes);
    let (outcome, told) = shown(folder.path(), RosterOptions::default());
    assert_eq!(outcome, Outcome::NotDone);
    assert!(told.lines().all(|line| line.chars().count() <= 80), "{told}");
    for words in [
        "read as windows-1252, semicolons between the cells",
        "  Horse                               companion     a guess from its heading",
        "  When                                passed over",
        "     2  spring          CIARÁN O’DOWD             Clover          yes   yes",
        "(name-capitals)",
        "(spaces-stray)",
        "(participant-near-double)",
        "(value-unfit)",
        "(size-unknown)",
        "(value-empty)",
        "(name-unknown)",
        "5 rows, 3 understood, 2 not. 2 of the understood have something to look at.",
    ] {
        assert!(told.contains(words), "“{words}” is not in\n{told}");
    }
    // The last row was understood, and there is nothing to say of it.
    assert!(
        told.contains("     6  spring          Ana Vell                                  yes   yes\n\n"),
        "{told}"
    );
}

#[test]
fn json_of_the_roster_names_nobody() {
    let folder = program("roster.csv", WILD.as_bytes());
    let (_, told) = shown(folder.path(), RosterOptions { form: As::Json, ..RosterOptions::default() });
    let json: Value = serde_json::from_str(&told).unwrap();
    assert_follows_published("roster.schema.json", &json);
    assert_eq!((&json["understood"], &json["not_understood"]), (&3.into(), &2.into()));
    let rules = |row: usize| -> Vec<String> {
        let findings = json["rows"][row]["findings"].as_array().unwrap().iter();
        findings.map(|finding| finding["rule"].as_str().unwrap().to_owned()).collect()
    };
    assert_eq!(json["rows"][1]["row"], 3);
    assert_eq!(rules(1), ["spaces-stray"]);
    assert_eq!(rules(2), ["participant-near-double", "value-unfit", "size-unknown"]);
    for private in ["ortega", "odowd", "o’dowd", "vell", "clover", "@"] {
        assert!(!told.to_lowercase().contains(private), "{private} is in {told}");
    }
}

#[test]
fn a_row_of_data_in_place_of_headings_names_nobody_either() {
    let folder = program("roster.csv", b"spring,Zelda Quorn,yes\nspring,Ada Vell,yes\n");
    let (outcome, told) = shown(folder.path(), RosterOptions { form: As::Json, ..RosterOptions::default() });
    assert_eq!(outcome, Outcome::NotDone);
    assert!(told.contains("heading-missing"), "{told}");
    assert!(!told.contains("Quorn") && !told.contains("Vell"), "{told}");
}

#[test]
fn only_what_leaves_no_doubt_is_written_and_every_other_byte_stays() {
    let before = "\u{feff}extra ;\"Name\";event;ATTENDED;Street \r\n\
        \"a;  b\";\"MarÃ\u{ad}a  Vell\";spring;yes;\"12  Elm St\nApt 4\"\r\n\
        \r\n\
        ;Ada\u{a0}Vell ; spring ;yes\r\n\
        x;ZOË MARSH;spring;no;\"9 \"\"Old\"\" Rd\"\n\
        y;MarÃ\u{ad}a Núñez;spring;yes;";
    let after = before
        .replace("MarÃ\u{ad}a  Vell", "María Vell")
        .replace("12  Elm", "12 Elm")
        .replace("Ada\u{a0}Vell ; spring ;", "Ada Vell;spring;");
    let utf_16 = |text: &str| -> Vec<u8> { text.encode_utf16().flat_map(u16::to_be_bytes).collect() };
    for (was, now) in
        [(before.as_bytes().to_vec(), after.as_bytes().to_vec()), (utf_16(before), utf_16(&after))]
    {
        let folder = program("roster.csv", &was);
        let file = folder.path().join("people/roster.csv");
        let (_, told) = shown(folder.path(), SAVE);
        assert!(told.contains("4 cells put right, every other byte as it was."), "{told}");
        assert!(fs::read(&file).unwrap() == now, "{}", String::from_utf8_lossy(&fs::read(&file).unwrap()));
        // What is in doubt stays a finding, and saving again changes nothing.
        assert!(told.contains("(name-capitals)") && told.contains("(letters-garbled)"), "{told}");
        let (_, told) = shown(folder.path(), SAVE);
        assert!(told.contains("without asking you"), "{told}");
        assert!(fs::read(&file).unwrap() == now);
    }
}

#[test]
fn without_save_nothing_is_written() {
    let folder = program("roster.csv", WILD.as_bytes());
    shown(folder.path(), RosterOptions::default());
    assert_eq!(fs::read_to_string(folder.path().join("people/roster.csv")).unwrap(), WILD);
}

#[test]
fn a_letter_that_the_encoding_lacks_is_told_and_left() {
    let text = "event,name,attended\nspring,Å\u{81}ucja  Å»ak,yes\nspring,René  Roux,yes\n";
    let (bytes, ..) = encoding_rs::WINDOWS_1252.encode(text);
    let folder = program("roster.csv", &bytes);
    let settings = folder.path().join("program.toml");
    let named = fs::read_to_string(&settings).unwrap() + "\n[roster]\nencoding = \"windows-1252\"\n";
    fs::write(settings, named).unwrap();
    let (_, told) = shown(folder.path(), SAVE);
    assert!(
        told.contains("Row 2, name: left as it is, since the encoding of people/roster.csv has no"),
        "{told}"
    );
    assert!(told.contains("LATIN CAPITAL LETTER L WITH STROKE"), "{told}");
    let (expected, ..) = encoding_rs::WINDOWS_1252.encode(text).0.into_owned().into_iter().fold(
        (Vec::new(), 0),
        |(mut kept, spaces), byte| {
            // the second of the two spaces in the last row
            let spaces = spaces + usize::from(byte == b' ');
            if !(byte == b' ' && spaces == 4) {
                kept.push(byte);
            }
            (kept, spaces)
        },
    );
    assert!(fs::read(folder.path().join("people/roster.csv")).unwrap() == expected);
}

#[test]
fn a_workbook_is_not_written_into() {
    let mut book = rust_xlsxwriter::Workbook::new();
    let sheet = book.add_worksheet();
    for (row, cells) in [["event", "name", "attended"], ["spring", "Ada  Vell", "yes"]].iter().enumerate() {
        for (column, cell) in cells.iter().enumerate() {
            sheet.write(row as u32, column as u16, *cell).unwrap();
        }
    }
    let bytes = book.save_to_buffer().unwrap();
    let folder = program("roster.xlsx", &bytes);
    let (_, told) = shown(folder.path(), SAVE);
    assert!(told.contains("is a workbook, which packstring does not write into."), "{told}");
    assert!(told.contains("row 2 (name)"), "{told}");
    let (_, told) = shown(folder.path(), RosterOptions { form: As::Json, ..RosterOptions::default() });
    assert_follows_published("roster.schema.json", &serde_json::from_str(&told).unwrap());
    assert!(fs::read(folder.path().join("people/roster.xlsx")).unwrap() == bytes);
}

#[test]
fn a_long_roster_shows_the_rows_that_have_something_to_say() {
    let mut text = String::from("event,name,attended,email\n");
    for number in 0..200 {
        text += &format!("spring,Rider Number{number},yes,r{number}@post.example\n");
    }
    text += "spring,ADA VELL,yes,ada@vell.example\n";
    let folder = program("roster.csv", text.as_bytes());
    let (outcome, told) = shown(folder.path(), RosterOptions::default());
    assert_eq!(outcome, Outcome::Clear);
    assert!(told.contains("200 rows with nothing to say not shown; --every-row shows all."), "{told}");
    assert!(told.contains("ADA VELL") && !told.contains("Rider Number7"), "{told}");
    let (_, told) = shown(folder.path(), RosterOptions { every_row: true, ..RosterOptions::default() });
    assert!(told.contains("Rider Number7 "), "{told}");
}

#[test]
fn no_roster_and_no_form_for_it_are_said() {
    let folder = program("roster.csv", WILD.as_bytes());
    let (outcome, told) = shown(folder.path(), RosterOptions { form: As::Sarif, ..RosterOptions::default() });
    assert!(outcome == Outcome::NotDone && told.contains("--as json"), "{told}");
    fs::remove_file(folder.path().join("people/roster.csv")).unwrap();
    let (outcome, told) = shown(folder.path(), RosterOptions::default());
    assert!(outcome == Outcome::NotDone && told.contains("There is no roster"), "{told}");
}
