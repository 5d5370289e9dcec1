//! The page of workshops, and calendars of them, read back by a reader that has nothing to do with ours.

use crate::calendar::{events, value};
use crate::flow;
use crate::folders::{BARE_PROGRAM, laid_out, open};
use packstring::job::{Make, Piece};
use packstring::pieces::Selection;
use packstring::program::Program;
use packstring::understand::Understood;
use std::collections::BTreeMap;

/// A program with an event of two days, and what more stands in `program.toml`.
fn program(more: &str) -> (tempfile::TempDir, Program) {
    let days = BARE_PROGRAM.replace("date = 2026-05-16", "days = [2026-05-16, 2026-10-31]");
    let folder = laid_out(&[
        ("program.toml", &format!("{days}{more}")),
        ("facts.toml", ""),
        ("lessons/example.md", "# Example\n\nText.\n"),
    ]);
    let program = open(folder.path());
    (folder, program)
}

/// The site's calendars by their paths.
fn calendars(program: &Program) -> BTreeMap<String, String> {
    let understood = Understood::new(program);
    let selection = Selection { pieces: vec![Piece::Site], ..Selection::default() };
    let jobs = flow::plan(&understood, &selection).into_iter();
    let texts = jobs.filter_map(|job| match job.make {
        Make::Text(text) if job.path.ends_with(".ics") => Some((job.path, text)),
        _ => None,
    });
    texts.collect()
}

/// What each entry has of a property.
fn of_all(calendar: &str, name: &str) -> Vec<String> {
    events(calendar).iter().map(|event| value(event, name)).collect()
}

#[test]
fn a_calendar_has_each_day_as_its_clock_shows_it() {
    let (_folder, program) = program("");
    let calendars = calendars(&program);
    assert_eq!(calendars.keys().collect::<Vec<_>>(), ["site/workshops.ics", "site/workshops/spring.ics"]);
    let own = &calendars["site/workshops/spring.ics"];
    assert_eq!(own, &calendars["site/workshops.ics"]);
    assert_eq!(of_all(own, "DTSTART"), ["20260516T090000", "20261031T090000"]);
    assert_eq!(of_all(own, "DTEND"), ["20260516T100000", "20261031T100000"]);
    assert_eq!(of_all(own, "SUMMARY"), ["Spring Workshop"; 2]);
    assert_eq!(of_all(own, "LOCATION"), ["Tern Lake shelter"; 2]);
    let uids = of_all(own, "UID");
    assert_ne!(uids[0], uids[1]);
}

/// Daylight saving time of the United States: 15 U.S.C. 260a, from the second Sunday of March to the first of November;
/// that of Arizona's state: none (both from memory).
#[test]
fn with_a_time_zone_it_has_moments() {
    for (zone, starts) in [
        ("America/Denver", ["20260516T150000Z", "20261031T150000Z"]),
        ("America/Phoenix", ["20260516T160000Z", "20261031T160000Z"]),
        // Summer time of the European Union ends on the last Sunday of October (Directive 2000/84/EC, from memory).
        ("Europe/Madrid", ["20260516T070000Z", "20261031T080000Z"]),
    ] {
        let (_folder, program) = program(&format!("\n[site]\ntime-zone = \"{zone}\"\n"));
        assert_eq!(of_all(&calendars(&program)["site/workshops.ics"], "DTSTART"), starts, "{zone}");
    }
}

#[test]
fn people_sign_up_where_the_event_says_or_else_the_site() {
    let own =
        "sign-up = \"https://lands.example/spring?a=1&b=2\"\n[site]\nsign-up = \"office@lands.example\"\n";
    let (_folder, program) = program(own);
    let calendar = &calendars(&program)["site/workshops.ics"];
    assert_eq!(of_all(calendar, "URL")[0], "https://lands.example/spring?a=1&b=2");
    let (_folder, program) = self::program("\n[site]\nsign-up = \"office@lands.example\"\n");
    let calendar = &calendars(&program)["site/workshops.ics"];
    assert!(of_all(calendar, "DESCRIPTION")[0].ends_with("\noffice@lands.example"), "{calendar}");
}

#[test]
fn what_is_no_zone_and_no_address_is_told() {
    for (line, says) in [
        ("time-zone = \"Mountain Time\"", "no time zone “Mountain Time”"),
        ("sign-up = \"javascript:alert(1)\"", "neither the address of a web page"),
        ("sign-up = \"lands.example/sign-up\"", "neither the address of a web page"),
    ] {
        let folder = laid_out(&[
            ("program.toml", &format!("{BARE_PROGRAM}\n[site]\n{line}\n")),
            ("facts.toml", ""),
            ("lessons/example.md", "# Example\n\nText.\n"),
        ]);
        let unread = packstring::program::open(folder.path()).unwrap_err();
        assert!(crate::mistakes::told(&unread).contains(says), "{line}: {}", crate::mistakes::told(&unread));
    }
}

/// In another language a calendar has its words, and its entries are the same.
#[test]
fn the_demo_has_the_same_entries_in_each_language() {
    let program = crate::site::demo();
    let calendars = calendars(&program);
    let (english, spanish) = (&calendars["site/workshops.ics"], &calendars["es-us/site/workshops.ics"]);
    assert_eq!(of_all(english, "UID"), of_all(spanish, "UID"));
    assert_eq!(of_all(english, "DTSTART"), of_all(spanish, "DTSTART"));
    assert_ne!(of_all(english, "SUMMARY"), of_all(spanish, "SUMMARY"));
    assert_eq!(events(english).len(), program.content.settings.events.len());
}
