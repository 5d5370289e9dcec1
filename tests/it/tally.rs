//! Hours, awards, orders and the lists of people: read, added up, told and made.

use crate::flow;
use crate::folders::{copy, open};
use crate::mistakes::sound_program;
use packstring::credential::number::Number;
use packstring::job::{Cell, Job, Make, Piece, Shelf};
use packstring::people::rewards::{Line, due, orders};
use packstring::people::scoring::Scores;
use packstring::people::tally::{Member, tally};
use packstring::people::welcome::asked;
use packstring::pieces::Selection;
use packstring::program::register::{Entry, Given, Occasion};
use packstring::program::{self, Program};
use packstring::quantity::{Exact, plain};
use packstring::shelf::register;
use packstring::understand::Understood;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};

const AWARDS: &str = r#"
[hours]
near = "10 %"

[[awards]]
name = "Trail Hand"
hours = 30
reward = "patch"

[[awards]]
name = "String Leader"
hours = 75

[[rewards]]
name = "neckerchief"
sized = true
spares = "10 %"

[[rewards]]
name = "patch"
given = "award"
spares = 2
"#;

/// A sound program with these hours, this roster and more settings.
fn folder(hours: &str, roster: &str, settings: &str) -> tempfile::TempDir {
    let folder = sound_program();
    let file = |name: &str| folder.path().join(name);
    let program = fs::read_to_string(file("program.toml")).unwrap();
    fs::write(file("program.toml"), format!("{program}\n{settings}")).unwrap();
    if !hours.is_empty() {
        fs::write(file("people/hours.csv"), hours).unwrap();
    }
    if !roster.is_empty() {
        fs::write(file("people/roster.csv"), roster).unwrap();
    }
    folder
}

fn reference(file: &str) -> Vec<csv::StringRecord> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/csv/files").join(file);
    csv::Reader::from_path(path).unwrap().records().map(Result::unwrap).collect()
}

/// What is told of an hours file: `line: message`.
fn told_of(hours: &str, settings: &str) -> Vec<String> {
    let folder = folder(hours, "", settings);
    let Err(unread) = program::open(folder.path()) else { return Vec::new() };
    let told = unread.mistakes.iter().map(|mistake| {
        assert!(mistake.mend.is_some() && &*mistake.place.file == "people/hours.csv");
        format!("{}: {}", unread.sources.line_column(&mistake.place).line, mistake.message)
    });
    told.collect()
}

/// tests/reference/csv: each row says three and a half hours, but the last, which needs a person.
#[test]
fn hours_are_read_in_the_forms_of_the_reference() {
    let rows = reference("hours-forms.csv");
    let line = |row: &csv::StringRecord| format!("{},2026-05-16,\"{}\"\n", &row[0], &row[1]);
    let head = "name,date,hours\n".to_owned();
    let all = head.clone() + &rows.iter().map(line).collect::<String>();
    assert_eq!(told_of(&all, ""), ["7: packstring cannot read these hours."]);

    let folder = folder(&(head + &rows[..5].iter().map(line).collect::<String>()), "", "");
    let program = open(folder.path());
    assert_eq!(program.people.hours.len(), 5);
    for entry in program.people.hours.iter() {
        assert_eq!(entry.hours, Exact::new(7.into(), 2.into()), "{}", entry.name);
    }
}

/// tests/reference/csv: row 3 is ambiguous, row 6 impossible, row 7 a spreadsheet's count of days.
#[test]
fn dates_are_read_in_the_forms_of_the_reference() {
    let line = |row: &csv::StringRecord| format!("{},\"{}\",1\n", &row[0], &row[1]);
    let rows: String = reference("date-forms.csv").iter().map(line).collect();
    let hours = format!("name,date,hours\n{rows}");
    let common = [
        "6: The calendar has no such day.".to_owned(),
        "7: This is a spreadsheet's count of days, not a date.".to_owned(),
    ];
    let [ambiguous, impossible, count] = &told_of(&hours, "")[..] else { panic!() };
    assert_eq!(ambiguous, "3: This date could be 2031-04-05 or 2031-05-04.");
    assert_eq!([impossible, count], [&common[0], &common[1]]);
    let sound: String = hours
        .lines()
        .filter(|line| !line.contains("31/02") && !line.contains("48702"))
        .map(|line| format!("{line}\n"))
        .collect();
    for (order, expected) in [("day first", "2031-04-05"), ("month first", "2031-05-04")] {
        let setting = format!("[hours]\ndates = \"{order}\"\n");
        assert_eq!(told_of(&hours, &setting), common);
        let folder = folder(&sound, "", &setting);
        let days: Vec<String> =
            open(folder.path()).people.hours.iter().map(|entry| entry.date.to_string()).collect();
        assert_eq!(days, ["2031-05-04", expected, "2031-05-04", "2031-05-04"]);
    }
}

#[test]
fn what_cannot_be_read_is_told_all_at_once() {
    let hours = "name,date,hours\n,2026-05-16,2\nRue Hall,,2\nRue Hall,2026-05-16,-2\nRue Hall,31/4/2026,2:75\nRue Hall,2026-05-16\n";
    assert_eq!(
        told_of(hours, ""),
        [
            "2: This row has no name.",
            "3: This row has no date.",
            "4: The hours are less than zero.",
            "5: The calendar has no such day.",
            "5: An hour has sixty minutes, and these minutes are sixty or more.",
            "6: This row has no hours.",
            "6: Row 6 has 2 cells, but there are 3 headings; those that are missing were taken as empty.",
        ]
    );
    assert_eq!(
        told_of("whose,date,hours\nRue Hall,2026-05-16,2\n", ""),
        ["1: The hours file has no column “name”."]
    );
    assert_eq!(
        told_of("name,date,huors\nRue Hall,2026-05-16,2\n", ""),
        ["1: packstring does not know this heading, and would skip its column."]
    );
}

#[test]
fn usual_headings_are_understood_and_two_of_one_meaning_are_told() {
    let rows = "Rue Hall,,2026-05-16,Watch,2\n";
    let folder = folder(&format!("Volunteer,E-mail,Day,Task,Hours worked\n{rows}"), "", "");
    let program = open(folder.path());
    assert_eq!(program.people.hours[0].activity.as_deref(), Some("Watch"));
    // Our own word counts, and the other column is passed over.
    assert!(told_of(&format!("name,email,date,time,hours\n{rows}"), "").is_empty());
    assert_eq!(
        told_of(&format!("name,email,date,time,duration\n{rows}"), "")[0],
        "1: Two columns of the hours file say “hours”."
    );
}

const HOURS: &str = "name,email,date,hours
Ada Vell,ada@vell.example,2025-03-01,10
ada  VELL,,2026-03-01,0:20
Ada Vell,,2026-03-02,0:20
Ada Vell,,2026-03-03,0:20
Ada Vell,,2026-05-01,19
Oda Lind,,2026-05-01,20
Oda Lind,,2026-05-02,7
Per Holt,,2026-05-01,20
Per Holt,,2026-05-02,6.99
Rue Hall,rue@hall.example,2024-05-01,24
Rue Hall,rue@hall.example,2024-05-02,24
Rue Hall,rue@hall.example,2024-05-03,24
Rue Hall,rue@hall.example,2024-05-04,3
";

#[test]
fn a_name_in_two_columns_is_joined() {
    for (headings, row) in [
        ("First name,Last name,date,hours", "Ada,Vell,2026-05-16,2"),
        ("date,Last,First,hours", "2026-05-16,Vell,Ada,2"),
        ("Nombre,Apellidos,fecha,horas", "Ada,Vell,2026-05-16,2"),
        ("First name,name,Last name,date,hours", "x,Ada Vell,y,2026-05-16,2"),
    ] {
        let folder = folder(&format!("{headings}\n{row}\n"), ROSTER, "");
        let program = open(folder.path());
        let names: Vec<&str> = program.people.hours.iter().map(|entry| entry.name.as_str()).collect();
        assert_eq!(names, ["Ada Vell"], "{headings}");
    }
    // One of the two may be empty, and not both.
    let folder = folder("First name,Last name,date,hours\nAda,,2026-05-16,2\n", ROSTER, "");
    assert_eq!(open(folder.path()).people.hours[0].name, "Ada");
    let told = told_of("First name,Last name,date,hours\n,,2026-05-16,2\n", "");
    assert_eq!(told, ["2: This row has no name."]);
}

fn find<'m, 'p>(members: &'m [Member<'p>], name: &str) -> &'m Member<'p> {
    members.iter().find(|member| member.name == name).unwrap()
}

#[test]
fn hours_are_added_up_exactly_and_awards_are_reached_on_a_day() {
    let folder = folder(HOURS, "", AWARDS);
    let program = open(folder.path());
    let tally = tally(&program);
    let names: Vec<&str> = tally.members.iter().map(|member| member.name).collect();
    assert_eq!(names, ["Ada Vell", "Oda Lind", "Per Holt", "Rue Hall"]);
    assert_eq!(plain(&tally.hours), "158.99");
    assert_eq!(plain(&tally.season_hours), "73.99");

    let ada = find(&tally.members, "Ada Vell");
    assert_eq!(ada.email, Some("ada@vell.example"));
    assert_eq!((plain(&ada.hours), plain(&ada.season_hours)), ("30".into(), "20".into()));
    // Three times twenty minutes are an hour, no second less: the award is reached, on its day.
    assert_eq!(ada.reached.len(), 1);
    assert_eq!(ada.reached[0].on.to_string(), "2026-05-01");

    let next =
        |name: &str| find(&tally.members, name).next.as_ref().map(|next| (plain(&next.missing), next.near));
    assert_eq!(next("Ada Vell"), Some(("45".into(), false)));
    assert_eq!(next("Oda Lind"), Some(("3".into(), true)), "a tenth of 30 hours is missing, which is near");
    assert_eq!(next("Per Holt"), Some(("3.01".into(), false)));
    assert_eq!(next("Rue Hall"), None);
    let rue: Vec<_> = find(&tally.members, "Rue Hall").reached.iter().map(|one| one.on.to_string()).collect();
    assert_eq!(rue, ["2024-05-02", "2024-05-04"]);
}

#[test]
fn an_award_that_the_register_has_is_not_given_again() {
    let folder = folder(HOURS, "", AWARDS);
    let given = |name: &str, email: Option<&str>, award: &str| {
        Entry::Given(Box::new(Given {
            number: Number::from_parts(&[name, award], 0),
            occasion: Occasion::Award { name: award.into(), date: jiff::civil::date(2025, 6, 1) },
            season: "2025".into(),
            agency: None,
            venue: None,
            until: None,
            title: None,
            program: None,
            name: name.into(),
            companion: None,
            email: email.map(str::to_owned),
            day: jiff::civil::date(2025, 6, 2),
            replaces: None,
            credential: None,
        }))
    };
    let lines = vec![
        given("Rue Hall", Some("RUE@hall.example"), "Trail Hand"),
        given("Ada Vell", Some("other@vell.example"), "Trail Hand"),
        given("Oda Lind", None, "Trail Hand"),
    ];
    register::add(folder.path(), None, |_| Ok::<_, register::RegisterError>(lines)).unwrap();
    let program = open(folder.path());
    let tally = tally(&program);
    let due = |name: &str| -> Vec<&str> {
        find(&tally.members, name)
            .reached
            .iter()
            .filter(|one| one.given.is_none())
            .map(|one| &*one.award.name)
            .collect()
    };
    assert_eq!(due("Rue Hall"), ["String Leader"]);
    assert_eq!(due("Ada Vell"), ["Trail Hand"], "another Ada Vell has it, by the address");
    // Given by earlier reckoning: she is on the way to the next one.
    assert_eq!(find(&tally.members, "Oda Lind").next.as_ref().unwrap().award.name, "String Leader");
    assert_eq!(tally.given.len(), 3);
}

const ROSTER: &str = "event,name,companion,attended,passed,email,size,join
north,Ada Vell,Bess,yes,yes,ada@vell.example,m,yes
north,Oda Lind,,yes,yes,,Large,yes
north,Ivo Marsh,,yes,yes,ivo@marsh.example,,
north,Una Bell,Dot,yes,yes,una@bell.example,44,
north,Nora Nay,,no,no,,M,
north,Ada Vell,Juno,yes,yes,ada@vell.example,M,yes
north,Ada Vell,Moss,yes,yes,a.vell@post.example,M,yes
";

#[test]
fn orders_count_each_person_once_by_size_with_spares() {
    let folder = folder(HOURS, ROSTER, AWARDS);
    let program = open(folder.path());
    let due = due(&program, &Scores::default(), &tally(&program));
    let orders = orders(&program, &due);
    let [neckerchief, patch] = &orders[..] else { panic!("{orders:?}") };
    let line = |size: Option<&str>, give, spares| Line { size: size.map(str::to_owned), give, spares };
    assert_eq!(neckerchief.lines, [line(Some("M"), 2, 1), line(Some("L"), 1, 1)]);
    let unknown: Vec<_> = neckerchief.unknown.iter().map(|due| (due.name, due.size)).collect();
    assert_eq!(unknown, [("Ivo Marsh", None), ("Una Bell", Some("44"))]);
    assert_eq!((neckerchief.give(), neckerchief.order()), (5, 5));
    // Rue alone: two people are called Ada Vell, and most of the hours do not say whose they are.
    assert_eq!(patch.lines, [line(None, 1, 2)]);
}

#[test]
fn the_sizes_of_the_program_are_the_ones_that_are_ordered() {
    let settings = format!("{AWARDS}\n[roster]\nsizes = [\"44\", \"M\"]\n");
    let folder = folder("", ROSTER, &settings);
    let program = open(folder.path());
    let orders = orders(&program, &due(&program, &Scores::default(), &tally(&program)));
    let sizes: Vec<_> = orders[0].lines.iter().map(|line| line.size.as_deref()).collect();
    assert_eq!(sizes, [Some("44"), Some("M")]);
    let unknown: Vec<_> = orders[0].unknown.iter().map(|due| due.name).collect();
    assert_eq!(unknown, ["Ivo Marsh", "Oda Lind"]);
}

#[test]
fn who_asked_to_join_is_welcomed_once() {
    let folder = folder("", ROSTER, "");
    let program = open(folder.path());
    let told: Vec<_> = asked(&program).into_iter().map(|one| (one.name, one.email, one.companions)).collect();
    assert_eq!(
        told,
        [
            ("Ada Vell", Some("a.vell@post.example"), vec!["Moss"]),
            ("Ada Vell", Some("ada@vell.example"), vec!["Bess", "Juno"]),
            ("Oda Lind", None, vec![]),
        ]
    );
}

/// The pieces of this room.
const PIECES: [Piece; 6] =
    [Piece::SignInSheet, Piece::NameTags, Piece::Attendance, Piece::Tally, Piece::Orders, Piece::WelcomeList];

fn jobs(program: &Program, pieces: &[Piece]) -> Vec<Job> {
    flow::plan(&Understood::new(program), &Selection { pieces: pieces.to_vec(), ..Selection::default() })
}

#[test]
fn every_list_of_people_is_private() {
    let folder = folder(HOURS, ROSTER, AWARDS);
    let program = open(folder.path());
    for piece in PIECES {
        let jobs = jobs(&program, &[piece]);
        assert!(!jobs.is_empty(), "{piece:?}");
        assert!(jobs.iter().all(|job| job.shelf == Shelf::Private), "{piece:?}");
    }
}

#[test]
fn sheets_of_people_hold_what_the_roster_says() {
    let folder = folder(HOURS, ROSTER, AWARDS);
    let program = open(folder.path());
    let sheet = |piece| {
        let jobs = jobs(&program, &[piece]);
        let Make::Sheet(sheet) = &jobs[0].make else { panic!("a sheet was expected") };
        sheet.data.clone()
    };
    let people = sheet(Piece::SignInSheet)["people"].clone();
    assert_eq!(people.as_array().unwrap().len(), 7);
    assert_eq!(people[0]["name"], "Ada Vell");
    let tags = sheet(Piece::NameTags);
    assert_eq!(tags["tags"][0]["first"], "Ada");
    assert_eq!(tags["tags"][0]["rest"], "Vell");
    // 3½ by 2¼ inches.
    assert_eq!((&tags["tag"]["width"], &tags["tag"]["height"]), (&"88.9".into(), &"57.2".into()));
    let event = sheet(Piece::Attendance)["events"][0].clone();
    assert_eq!((&event["listed"], &event["came"], &event["passed"]), (&7.into(), &6.into(), &6.into()));

    let jobs = jobs(&program, &[Piece::Tally]);
    let book = jobs.iter().find(|job| job.path == "tally.xlsx").unwrap();
    let Make::Tables(tables) = &book.make else { panic!("tables were expected") };
    let entries = &tables[2];
    assert_eq!(entries.rows.len(), program.people.hours.len());
    let twenty_minutes = Cell::Number(Exact::new(1.into(), 3.into()));
    assert_eq!(entries.rows.iter().filter(|row| row[4] == twenty_minutes).count(), 3);
}

fn packstring(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_packstring")).args(arguments).output().unwrap()
}

fn tallied(folder: &Path, more: &[&str]) -> (Option<i32>, String) {
    let mut arguments = vec!["tally", "--program", folder.to_str().unwrap()];
    arguments.extend(more);
    let output = packstring(&arguments);
    let said =
        String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr);
    (output.status.code(), said)
}

#[test]
fn the_command_tells_hours_awards_and_orders() {
    let hours = HOURS.replace("Rue Hall", "Gus Thorn");
    let folder = folder(&hours, ROSTER.trim_end().rsplit_once('\n').unwrap().0, AWARDS);
    let (code, said) = tallied(folder.path(), &[]);
    assert_eq!(code, Some(0), "{said}");
    for line in [
        "4 people logged 73 h 59.4 min in season 2026, 158 h 59.4 min in all seasons (13 rows).",
        "Near an award (at most 10 % of its hours missing): 1",
        "neckerchief, size not known  2 to ask: Ivo Marsh, Una Bell",
        "To welcome to the service unit: 2",
        "Tally 3",
    ] {
        assert!(said.contains(line), "{line} is missing in:\n{said}");
    }
}

#[test]
fn the_command_ends_with_one_where_hours_are_to_be_mended_and_with_two_where_they_cannot_be_read() {
    let doubled = folder("name,date,hours\nRue Hall,2026-05-16,2\nRue Hall,2026-05-16,2\n", "", "");
    let (code, said) = tallied(doubled.path(), &[]);
    assert_eq!(code, Some(0), "a warning does not fail: {said}");
    assert!(said.contains("hours-doubled"), "{said}");
    let overlong = folder("name,date,hours\nRue Hall,2026-05-16,30\n", "", "");
    let (code, said) = tallied(overlong.path(), &[]);
    assert_eq!(code, Some(1), "{said}");
    assert!(said.contains("hours-overlong"), "{said}");
    let broken = folder("name,date,hours\nRue Hall,2026-05-16,lots\n", "", "");
    let (code, said) = tallied(broken.path(), &["--as", "json"]);
    assert_eq!(code, Some(2), "{said}");
    let told: serde_json::Value = serde_json::from_str(&said).unwrap();
    assert_eq!(told["findings"][0]["line"], 2);
    assert!(!broken.path().join("out").exists());
    crate::schema::assert_follows_published("findings.schema.json", &told);
    for folder in [doubled, folder(HOURS, ROSTER, AWARDS)] {
        let (_, said) = tallied(folder.path(), &["--as", "json"]);
        crate::schema::assert_follows_published("tally.schema.json", &serde_json::from_str(&said).unwrap());
    }
    let none = folder("", "", "");
    let (code, said) = tallied(none.path(), &[]);
    assert_eq!(code, Some(0), "{said}");
    assert!(said.starts_with("No hours are logged."), "{said}");
}

/// What must never leave the private shelf: words that stand nowhere else, in every column of every file
/// about people.
const MARKS: [&str; 8] = [
    "Zephyrine",
    "Quillfeather",
    "zq.mark@secret.example",
    "Hushwater",
    "Xanthoberry",
    "Umbrafield",
    "Yellowmantle",
    "Vesperglade",
];

#[test]
fn nothing_personal_leaves_the_private_shelf() {
    let folder = tempfile::tempdir().unwrap();
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("content");
    copy(&demo, folder.path());
    let people = folder.path().join("people");
    let add = |file: &str, line: &str| {
        let text = fs::read_to_string(people.join(file)).unwrap_or_default();
        fs::write(people.join(file), format!("{}\n{line}\n", text.trim_end())).unwrap();
    };
    add(
        "roster.csv",
        "north-camp,Zephyrine Quillfeather,Hushwater,yes,yes,zq.mark@secret.example,7 Xanthoberry Lane,Umbrafield,NV,89914,US,M,yes,Yellowmantle",
    );
    add("hours.csv", "Zephyrine Quillfeather,zq.mark@secret.example,2026-05-16,Vesperglade,23:10");
    add("hours.csv", "Zephyrine Quillfeather,zq.mark@secret.example,2026-05-17,Vesperglade,7:50");
    let out = folder.path().join("out");
    let program = folder.path().to_str().unwrap();
    let mut logs = String::new();
    for arguments in [
        &["make", "--program", program][..],
        &["tally", "--program", program, "--as", "json"],
        &["proofread", "--program", program, "--as", "json"],
        &["proofread", "--program", program, "--as", "sarif"],
    ] {
        let output = packstring(arguments);
        let said =
            String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(0), "{arguments:?}: {said}");
        logs += &said;
    }
    let mut found = [false; MARKS.len()];
    let mut looked_at = 0;
    for entry in walkdir::WalkDir::new(&out)
        .into_iter()
        .map(Result::unwrap)
        .filter(|entry| entry.file_type().is_file())
    {
        let text = crate::whole::text_of(entry.path());
        let is_private = entry.path().starts_with(out.join("private"));
        for (mark, found) in MARKS.iter().zip(&mut found) {
            *found |= is_private && text.contains(mark);
            assert!(is_private || !text.contains(mark), "{} holds {mark}", entry.path().display());
        }
        looked_at += usize::from(!is_private);
    }
    assert!(looked_at > 40, "only {looked_at} files were looked at");
    // The note is for the ranger and printed nowhere; all else is private, so the marks can be found.
    let unfound: Vec<&&str> =
        MARKS.iter().zip(found).filter(|(_, found)| !found).map(|(mark, _)| mark).collect();
    assert!(
        unfound
            .iter()
            .all(|mark| ["Yellowmantle", "Xanthoberry", "Umbrafield", "Vesperglade"].contains(mark)),
        "{unfound:?}"
    );
    for mark in MARKS {
        assert!(!logs.contains(mark), "{mark} is told");
    }
    for name in ["Marisol", "achterberg@", "Cottonwood Bend"] {
        assert!(!logs.contains(name), "{name} is told");
    }
}
