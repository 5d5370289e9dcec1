//! Who is credited, over the life of a roster: rows added, corrected and taken out, certificates
//! replaced and withdrawn.

use super::replacement::{Irreplaceable, Words, corrected_words, replacement};
use super::*;
use crate::credential::number::Number;
use crate::people::trial::{NORTH, Row, SOUTH, program, row};
use crate::program::register::{Entry, Register, Withdrawn, chain};
use crate::program::settings::Companions;
use jiff::civil::{Date, date};
use std::collections::BTreeSet;
use std::sync::Arc;

const DAY: Date = date(2026, 5, 17);

fn add(register: &mut Register, entry: Entry) {
    let line = chain::next(register, entry, 0).1;
    register.push(line).unwrap();
}

fn everybody(program: &Program, register: &Register) -> Due<'static> {
    due_of(program, register, &Scope::default())
}

fn due_of(program: &Program, register: &Register, scope: &Scope) -> Due<'static> {
    // The trial programs live as long as the tests.
    let program: &'static Program = Box::leak(Box::new(program.clone()));
    due::due_by(&Laid::of(program, register), scope, &|row| row.passed == Some(true))
}

/// Gives what is due.
fn give(program: &Program, register: &mut Register) {
    for candidate in everybody(program, register).people {
        add(register, Entry::Given(Box::new(candidate.given(&program.content.settings, DAY))));
    }
}

/// The register after everybody in these rows was credited.
fn given_to(rows: &[Row]) -> Register {
    let mut register = Register::default();
    give(&program(rows), &mut register);
    register
}

fn numbers(register: &Register) -> Vec<Number> {
    register.all_given().map(|given| given.number.clone()).collect()
}

/// How many are due, and how many are held as corrected.
fn counts(rows: &[Row], register: &Register) -> (usize, usize) {
    let due = everybody(&program(rows), register);
    (due.people.len(), due.corrected.len())
}

/// How many are due, and for how many it is asked first.
fn asked(program: &Program, register: &Register) -> (usize, usize) {
    let due = everybody(program, register);
    let renamed: usize = due.renamed.iter().map(|(_, waiting)| waiting).sum();
    (due.people.len(), due.unsure.len() + renamed)
}

/// The trial program with other words in its settings.
fn otherwise(rows: &[Row], change: impl FnOnce(&mut crate::program::Settings)) -> Program {
    let mut program = program(rows);
    change(&mut program.content.settings);
    program
}

/// A dozen people at one event.
fn dozen() -> Vec<Row> {
    const NAMES: [&str; 12] = [
        "Ada Vell",
        "Bo Ray",
        "Cy Day",
        "Dee Lund",
        "Eli Moss",
        "Fay Holt",
        "Gus Park",
        "Hal Roe",
        "Ida Senn",
        "Jo Tarn",
        "Kit Ulm",
        "Lea Wirth",
    ];
    NAMES.map(|name| row(NORTH, name, "", "")).to_vec()
}

fn jon() -> Row {
    row(NORTH, "Jon Ortega", "ortega@basin.example", "Dot")
}

fn john() -> Row {
    Row { name: "John Ortega", ..jon() }
}

#[test]
fn only_who_attended_and_passed_is_due_in_the_order_of_the_roster() {
    let absent = Row { attended: "no", ..row(NORTH, "Absent", "", "") };
    let failed = Row { passed: "", ..row(NORTH, "Failed", "", "") };
    let program = program(&[row(NORTH, "Zoe", "", ""), absent, failed, row(SOUTH, "Abe", "", "")]);
    let names = |scope: &Scope| {
        let due = due_of(&program, &Register::default(), scope);
        due.people.iter().map(|candidate| candidate.name).collect::<Vec<_>>()
    };
    assert_eq!(names(&Scope::default()), ["Zoe", "Abe"]);
    assert_eq!(names(&Scope { event: Some(SOUTH.into()), ..Scope::default() }), ["Abe"]);
    assert_eq!(names(&Scope { participant: Some(" zoe".into()), ..Scope::default() }), ["Zoe"]);
}

#[test]
fn nobody_is_credited_twice() {
    let again = row(NORTH, "Elena  Ma\u{301}rquez", "ELENA@basin.example", "Biscuit");
    let rows = [row(NORTH, "Elena Márquez", "elena@basin.example", "Biscuit"), again];
    let register = given_to(&rows);
    assert_eq!(numbers(&register).len(), 1);
    assert_eq!(counts(&rows, &register), (0, 0));
}

#[test]
fn people_of_one_name_have_a_certificate_each() {
    let rows = [
        row(NORTH, "Sam Reed", "sam@basin.example", "Dot"),
        row(NORTH, "Sam Reed", "s.reed@basin.example", "Dot"),
        row(NORTH, "Sam Reed", "sam@basin.example", "Pepper"),
        row(SOUTH, "Sam Reed", "sam@basin.example", "Dot"),
    ];
    let register = given_to(&rows);
    assert_eq!(numbers(&register).into_iter().collect::<BTreeSet<_>>().len(), 4);
    assert_eq!(counts(&rows, &register), (0, 0));
    // One after the other, only the one of the same name with another address is asked about.
    let mut register = Register::default();
    for (at, credited, held) in [(1, 1, 0), (2, 0, 1), (3, 1, 1), (4, 1, 1)] {
        let due = everybody(&program(&rows[..at]), &register);
        assert_eq!((due.people.len(), due.doubled.len()), (credited, held), "row {at}");
        give(&program(&rows[..at]), &mut register);
    }
}

#[test]
fn a_first_number_does_not_depend_on_who_else_is_credited() {
    let alone = given_to(&[jon()]);
    let second = given_to(&[row(NORTH, "Ada", "", ""), jon()]);
    assert_eq!(numbers(&alone)[0], numbers(&second)[1]);
}

#[test]
fn a_number_that_is_taken_is_drawn_again() {
    let rows = [jon()];
    let first = numbers(&given_to(&rows)).remove(0);
    let mut register = Register::default();
    let mut other = everybody(&program(&[row(SOUTH, "Ada", "", "")]), &register).people.remove(0);
    other.number = first.clone();
    add(&mut register, Entry::Given(Box::new(other.given(&program(&rows).content.settings, DAY))));
    give(&program(&rows), &mut register);
    assert_ne!(numbers(&register)[1], first);
}

#[test]
fn a_corrected_name_is_held_until_it_is_replaced() {
    let mut register = given_to(&[jon()]);
    let number = numbers(&register).remove(0);
    assert_eq!(counts(&[john()], &register), (0, 1));
    let mut program = program(&[john()]);
    program.people.register = Arc::new(register.clone());
    let name = corrected_words(&program, &number).and_then(|words| words.name);
    assert_eq!(name.as_deref(), Some("John Ortega"));

    let words = Words { name, companion: None };
    let new = replacement(&program, &register, &number, &words, DAY).unwrap();
    assert_eq!((new.replaces.as_ref(), new.name.as_str()), (Some(&number), "John Ortega"));
    assert_ne!(new.number, number);
    add(&mut register, Entry::Given(Box::new(new.clone())));
    // Whether the roster was corrected or not.
    assert_eq!(counts(&[john()], &register), (0, 0));
    assert_eq!(counts(&[jon()], &register), (0, 0));
    program.people.register = Arc::new(register);
    let credited = credited(&program, &Scope::default());
    assert_eq!(credited.len(), 1);
    assert_eq!((&credited[0].given.number, credited[0].participant.is_some()), (&new.number, true));
}

#[test]
fn what_looks_like_a_correction() {
    let register = given_to(&[jon()]);
    let corrected = [
        john(),
        Row { email: "", ..john() },
        Row { name: "Jón Ortega", email: "", companion: "", ..jon() },
        Row { companion: "Dottie", ..jon() },
        Row { name: "Rosalind Oyelaran", ..jon() },
    ];
    for row in corrected {
        assert_eq!(counts(std::slice::from_ref(&row), &register), (0, 1), "{}", row.name);
    }
    assert_eq!(counts(&[jon(), john()], &register), (0, 1), "a second row for one person");
    let elsewhere = Row { event: SOUTH, ..john() };
    assert_eq!(counts(&[elsewhere], &register), (1, 0));
    // Nothing is left to tell the person by, and the row of the certificate is gone: it is asked.
    let others = [
        row(NORTH, "Ada Vell", "ada@basin.example", ""),
        Row { name: "Rosalind Oyelaran", email: "", ..jon() },
        Row { name: "Jonathan Reyes", email: "jr@post.example", companion: "", ..jon() },
    ];
    for row in others {
        assert_eq!(asked(&program(std::slice::from_ref(&row)), &register), (0, 1), "{}", row.name);
        // While that row is there, the other is another person.
        assert_eq!(asked(&program(&[jon(), row]), &register), (1, 0));
    }
    // A family with one address, and two people of like names.
    assert_eq!(counts(&[jon(), Row { name: "Rosalind Ortega", ..jon() }], &register), (1, 0));
    assert_eq!(counts(&[jon(), Row { email: "john@basin.example", ..john() }], &register), (1, 0));
}

#[test]
fn another_e_mail_address_is_no_other_person() {
    let register = given_to(&[jon()]);
    assert_eq!(counts(&[Row { email: "jon@basin.example", ..jon() }], &register), (0, 0));
    // While the first row is still there, it may be one: that is asked.
    for email in ["jon@basin.example", ""] {
        let due = everybody(&program(&[jon(), Row { email, ..jon() }]), &register);
        assert_eq!((due.people.len(), due.doubled.len()), (0, 1), "{email}");
    }
}

#[test]
fn who_is_asked_for_by_name_is_credited_all_the_same() {
    let register = given_to(&[jon()]);
    let scope = Scope { participant: Some("John Ortega".into()), ..Scope::default() };
    let due = due_of(&program(&[jon(), john()]), &register, &scope);
    assert_eq!((due.people.len(), due.corrected.len()), (1, 0));
}

#[test]
fn who_was_withdrawn_is_not_credited_again_by_itself() {
    let mut register = given_to(&[jon()]);
    let number = numbers(&register).remove(0);
    let why = "given to the wrong person".to_owned();
    add(&mut register, Entry::Withdrawn(Withdrawn { number: number.clone(), day: DAY, why }));
    assert_eq!(counts(&[jon()], &register), (0, 0));
    assert_eq!(counts(&[john()], &register), (0, 1), "nor with a letter mended");
    assert_eq!(counts(&[Row { name: "Rosalind Oyelaran", email: "", ..jon() }], &register), (1, 0));
    // A withdrawal in error is put right by a replacement that says the same.
    let program = program(&[jon()]);
    let new = replacement(&program, &register, &number, &Words::default(), DAY).unwrap();
    assert_eq!(new.name, "Jon Ortega");
}

/// The event is the same, whatever the season is called by now.
#[test]
fn two_companions_are_on_one_certificate_or_have_one_each() {
    use crate::program::settings::Companions;
    let rows = [jon(), Row { companion: "Pepper", ..jon() }, row(NORTH, "Ada Vell", "", "Bess")];
    let together =
        |rows: &[Row]| otherwise(rows, |settings| settings.certificate.companions = Companions::Together);
    assert_eq!(counts(&rows, &Register::default()), (3, 0));
    let due = everybody(&together(&rows), &Register::default());
    let companions: Vec<_> = due.people.iter().map(|one| one.companion.as_deref()).collect();
    assert_eq!(companions, [Some("Dot and Pepper"), Some("Bess")]);
    let mut register = Register::default();
    give(&together(&rows), &mut register);
    assert_eq!(asked(&together(&rows), &register), (0, 0), "and none is due for it again");
    // One more of them is a correction of that certificate.
    let more = [rows.to_vec(), vec![Row { companion: "Juno", ..jon() }]].concat();
    let mut program = together(&more);
    let due = everybody(&program, &register);
    assert_eq!((due.people.len(), due.corrected.len()), (0, 1));
    program.people.register = Arc::new(register.clone());
    let words = corrected_words(&program, &numbers(&register)[0]).unwrap();
    assert_eq!(words.companion.as_deref(), Some("Dot, Pepper and Juno"));
}

#[test]
fn a_season_that_is_renamed_credits_nobody_again() {
    let register = given_to(&[jon()]);
    for season in ["2026 spring", "Spring 2026", "2026–2027"] {
        let mut later = otherwise(&[jon()], |settings| settings.season = season.into());
        assert_eq!(asked(&later, &register), (0, 0), "{season}");
        later.people.register = Arc::new(register.clone());
        assert_eq!(credited(&later, &Scope::default()).len(), 1, "it is still this event's: {season}");
    }
}

#[test]
fn a_new_season_with_the_roster_of_the_last_credits_nobody() {
    let rows = dozen();
    let register = given_to(&rows);
    // The events too are of last year: outside of the season, and credited then.
    let stale = otherwise(&rows, |settings| settings.season = "2027".into());
    assert_eq!(asked(&stale, &register), (0, 0));
    let next = date(2027, 5, 15);
    let moved = |rows: &[Row]| {
        otherwise(rows, |settings| {
            settings.season = "2027".into();
            settings.events[0].date = next;
        })
    };
    assert_eq!(
        asked(&moved(&rows), &register),
        (0, 12),
        "the events were moved and the roster was not emptied"
    );
    // One who comes again among new people is no double.
    let again = [rows[0].clone(), row(NORTH, "Mo Arden", "", ""), row(NORTH, "Nia Bell", "", "")];
    assert_eq!(asked(&moved(&again), &register), (3, 0));
    // The ranger says that they came again.
    let mut said = moved(&rows);
    said.content.settings.events[0].again = true;
    assert_eq!(asked(&said, &register), (12, 0));
}

#[test]
fn an_event_that_is_not_in_the_season_holds_crediting() {
    let program = otherwise(&[jon()], |settings| settings.season = "2027".into());
    let due = everybody(&program, &Register::default());
    assert_eq!((due.people.len(), due.out_of_season.len()), (0, 1));
    for season in ["2026", "2025–2026", "2025-26", "The high summer", "Spring 2026"] {
        let program = otherwise(&[jon()], |settings| settings.season = season.into());
        assert_eq!(everybody(&program, &Register::default()).people.len(), 1, "{season}");
    }
}

#[test]
fn a_renamed_event_is_asked_about_and_settled_by_what_it_was() {
    let rows = dozen();
    let register = given_to(&rows);
    let renamed: Vec<Row> = rows.iter().map(|row| Row { event: "may-camp", ..row.clone() }).collect();
    // The roster is read with the events that there are, so the rows are renamed afterwards.
    let renamed = |was: &str| {
        let mut program = program(&rows);
        program.content.settings.events[0].id = "may-camp".into();
        let roster = Arc::make_mut(&mut program.people.roster);
        roster.rows.iter_mut().zip(&renamed).for_each(|(row, new)| row.event = new.event.into());
        let place = program.content.settings.events[0].place.clone();
        let was = crate::program::Written { text: was.into(), place };
        program.content.settings.events[0].was = if was.text.is_empty() { vec![] } else { vec![was] };
        program
    };
    assert_eq!(asked(&renamed(""), &register), (0, 12));
    let mut settled = renamed(NORTH);
    assert_eq!(asked(&settled, &register), (0, 0));
    settled.people.register = Arc::new(register.clone());
    assert_eq!(credited(&settled, &Scope::default()).len(), 12, "what was given is this event's");
    // Two workshops on one day in one program are two.
    let both = [row(NORTH, "Ada Vell", "", ""), row(SOUTH, "Ada Vell", "", "")];
    let register = given_to(&both[..1]);
    assert_eq!(asked(&program(&both), &register), (1, 0));
}

#[test]
fn what_the_program_says_otherwise_is_told_and_replaced_at_once() {
    use super::changed::{What, changed};
    use super::replacement::replacements;
    let mut register = given_to(&dozen());
    let renamed = |register: &Register| {
        let mut program = otherwise(&dozen(), |settings| {
            settings.events[0].name = "May Camp".into();
            settings.events[0].date = date(2026, 5, 17);
            settings.events[0].venue = "Meadow".into();
            settings.agency = "Another Agency".into();
        });
        program.people.register = Arc::new(register.clone());
        program
    };
    let program = renamed(&register);
    let found = changed(&program, &program.people.register);
    assert_eq!((found.len(), found[0].given.len()), (1, 12));
    assert_eq!(found[0].what, [What::Name, What::Date, What::Place, What::Agency]);
    assert_eq!(asked(&program, &register), (0, 0), "nobody is credited again for it");
    for given in replacements(&program, &register, NORTH, DAY).unwrap() {
        assert_eq!((given.occasion.name(), given.venue.as_deref()), ("May Camp", Some("Meadow")));
        add(&mut register, Entry::Given(Box::new(given)));
    }
    assert_eq!(register.valid().count(), 12);
    let program = renamed(&register);
    assert!(changed(&program, &program.people.register).is_empty());
    assert_eq!(asked(&renamed(&register), &register), (0, 0));
    let nothing = replacements(&renamed(&register), &register, NORTH, DAY);
    assert_eq!(nothing, Err(Irreplaceable::NothingChanged(NORTH.into())));
}

#[test]
fn what_cannot_be_replaced_says_why() {
    let mut register = given_to(&[jon()]);
    let program = program(&[jon()]);
    let number = numbers(&register).remove(0);
    let replace = |register: &Register, number: &Number, name: &str| {
        let words = Words { name: Some(name.into()), companion: None };
        replacement(&program, register, number, &words, DAY)
    };
    let unknown = Number::from_parts(&["nobody"], 0);
    assert_eq!(replace(&register, &unknown, "X"), Err(Irreplaceable::Unknown(unknown.clone())));
    let unchanged = Irreplaceable::Unchanged(number.clone());
    assert_eq!(replace(&register, &number, "Jon Ortega"), Err(unchanged));
    let new = replace(&register, &number, "John Ortega").unwrap();
    add(&mut register, Entry::Given(Box::new(new.clone())));
    let replaced = Irreplaceable::Replaced { number: number.clone(), by: new.number };
    assert_eq!(replace(&register, &number, "Joan Ortega"), Err(replaced));
}

#[test]
fn a_certificate_is_due_on_the_day_of_its_event_and_not_before() {
    let program = program(&[row(NORTH, "Ana Ruiz", "", "")]);
    let day = program.content.settings.events.iter().find(|event| event.id == NORTH).unwrap().date;
    let ahead = |today: Date| {
        let mut due = everybody(&program, &Register::default());
        (due.take_ahead(today).len(), due.people.len())
    };
    let days = [day.yesterday().unwrap(), day, day.tomorrow().unwrap()];
    assert_eq!(days.map(ahead), [(1, 0), (0, 1), (0, 1)]);
}

#[test]
fn rows_of_one_person_that_contradict_each_other_are_held() {
    for other in [Row { attended: "no", ..jon() }, Row { passed: "no", ..jon() }] {
        for rows in [[jon(), other.clone()], [other, jon()]] {
            let due = everybody(&program(&rows), &Register::default());
            assert_eq!(due.people.len(), 0);
        }
    }
    // One that has no address may be the one that has.
    let due = everybody(&program(&[jon(), Row { email: "", ..jon() }]), &Register::default());
    assert_eq!((due.people.len(), due.doubled.len()), (0, 2));
}

#[test]
fn companions_are_named_together_only_where_both_took_part() {
    let together = |rows: &[Row]| {
        let program = otherwise(rows, |settings| settings.certificate.companions = Companions::Together);
        let due = everybody(&program, &Register::default());
        let said =
            due.people.iter().map(|it| format!("{} {}", it.name, it.companion.as_deref().unwrap_or("alone")));
        said.collect::<Vec<_>>()
    };
    let ada = |companion, attended, passed| Row {
        attended,
        passed,
        ..row(NORTH, "Ada Vell", "ada@basin.example", companion)
    };
    assert_eq!(together(&[ada("Bess", "yes", "yes"), ada("Juno", "yes", "yes")]), ["Ada Vell Bess and Juno"]);
    assert_eq!(together(&[ada("Bess", "yes", "yes"), ada("Juno", "no", "no")]), ["Ada Vell Bess"]);
    assert_eq!(together(&[ada("Bess", "yes", "yes"), ada("Juno", "yes", "no")]), ["Ada Vell Bess"]);
    assert_eq!(together(&[ada("Bess", "yes", "yes"), ada("", "yes", "yes")]), ["Ada Vell Bess"]);
}

#[test]
fn an_occasion_of_the_season_on_the_same_day_is_asked_about() {
    let register = given_to(&[jon()]);
    // The event, the name and the address were all mended.
    let mended = Row { name: "Rosalind Oyelaran", email: "ro@basin.example", ..jon() };
    let mut program = otherwise(&[mended], |settings| settings.events[0].id = "primavera".into());
    Arc::make_mut(&mut program.people.roster).rows[0].event = "primavera".into();
    assert_eq!(asked(&program, &register), (0, 1));
}

/// A workshop that was made two, each with a part of the rows.
fn split(to_south: &[usize], settings: impl FnOnce(&mut crate::program::Settings)) -> Program {
    let rows = dozen();
    let mut program = otherwise(&rows, |it| {
        it.events[1].date = it.events[0].date;
        settings(it);
    });
    let roster = Arc::make_mut(&mut program.people.roster);
    to_south.iter().for_each(|at| roster.rows[*at].event = SOUTH.into());
    program
}

fn was(id: &str, settings: &mut crate::program::Settings) {
    let place = settings.events[1].place.clone();
    settings.events[1].was = vec![crate::program::Written { text: id.into(), place }];
}

#[test]
fn a_workshop_that_was_made_two_is_asked_about_before_anybody_is_credited_again() {
    let register = given_to(&dozen());
    for moved in [&[3][..], &[0, 1, 2, 3, 4], &[0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10]] {
        let program = split(moved, |_| {});
        assert_eq!(asked(&program, &register), (0, moved.len()), "{moved:?}");
        let due = everybody(&program, &register);
        assert_eq!(due.renamed.len(), 1);
        assert!(due.renamed[0].0.stands && due.renamed[0].0.id == NORTH);
        // It is asked, and so not told as something that nothing bears out as well.
        let mut program = program;
        program.people.register = Arc::new(register.clone());
        let program: &'static Program = Box::leak(Box::new(program));
        let due = everybody(program, &register);
        let of_scores = crate::people::scoring::Scores::default();
        let unborne = unborne::unborne(&Laid::of(program, &program.people.register), &of_scores, &due);
        let gone = |why: &unborne::Unborne| matches!(why, unborne::Unborne::Gone);
        assert!(!unborne.iter().any(|(_, why)| gone(why)), "{unborne:?}");
        // A part has its certificates; another workshop gives its own.
        assert_eq!(asked(&split(moved, |it| was(NORTH, it)), &register), (0, 0));
        assert_eq!(asked(&split(moved, |it| it.events[1].again = true), &register), (moved.len(), 0));
    }
    // Who is new in one of the two is credited.
    let mut program = split(&[0, 1], |_| {});
    let mut new = program.people.roster.rows[0].clone();
    (new.name, new.row) = ("Otto Brand".into(), 99);
    Arc::make_mut(&mut program.people.roster).rows.push(new);
    assert_eq!(asked(&program, &register), (1, 2));
    // On another day they came again.
    let program = split(&[0, 1, 2], |it| it.events[1].date = date(2026, 6, 16));
    assert_eq!(asked(&program, &register), (3, 0));
}

#[test]
fn who_stands_in_both_parts_of_a_workshop_is_asked_about_too() {
    let register = given_to(&dozen());
    let both = |south: &[usize], settings: fn(&mut crate::program::Settings)| {
        let mut rows = dozen();
        rows.extend(south.iter().map(|at| Row { event: SOUTH, ..dozen()[*at].clone() }));
        otherwise(&rows, |it| {
            it.events[1].date = it.events[0].date;
            settings(it);
        })
    };
    let all: Vec<usize> = (0..12).collect();
    assert_eq!(asked(&both(&all, |_| {}), &register), (0, 12));
    assert_eq!(asked(&both(&all, |it| was(NORTH, it)), &register), (0, 0));
    assert_eq!(asked(&both(&all, |it| it.events[1].again = true), &register), (12, 0));
    // One person may well come to two workshops on one day.
    assert_eq!(asked(&both(&[4], |_| {}), &register), (1, 0));
    // Both are of one season, and credited at once.
    assert_eq!(asked(&both(&all, |_| {}), &Register::default()), (24, 0));
}

#[test]
fn a_workshop_that_was_made_of_two_is_told_as_such_and_holds_nobody() {
    let mut rows = dozen();
    rows.extend(dozen()[..3].iter().map(|row| Row { event: SOUTH, ..row.clone() }));
    let apart = otherwise(&rows, |it| it.events[1].date = it.events[0].date);
    let mut register = Register::default();
    give(&apart, &mut register);
    assert_eq!(register.valid().count(), 15);
    let mut merged = dozen();
    merged.push(row(NORTH, "Otto Brand", "", ""));
    let mut merged = otherwise(&merged, |it| {
        let place = it.events[0].place.clone();
        it.events[0].was = vec![crate::program::Written { text: SOUTH.into(), place }];
        it.events.truncate(1);
    });
    assert_eq!(asked(&merged, &register), (1, 0), "a new person is held by nobody's second certificate");
    merged.people.register = Arc::new(register.clone());
    let merged: &'static Program = Box::leak(Box::new(merged));
    let due = everybody(merged, &register);
    let scores = crate::people::scoring::Scores::default();
    let found = unborne::unborne(&Laid::of(merged, &merged.people.register), &scores, &due);
    let beside = |why: &unborne::Unborne| matches!(why, unborne::Unborne::Beside);
    assert_eq!(found.iter().filter(|(_, why)| beside(why)).count(), 3, "{found:?}");
    assert!(!found.iter().any(|(_, why)| matches!(why, unborne::Unborne::Gone)), "{found:?}");
    // Each of them has its row, and so a language and an address.
    assert!(credited(merged, &Scope::default()).iter().all(|credit| credit.participant.is_some()));
}
