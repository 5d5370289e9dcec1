//! The season report: what is counted, what everybody may read of it, and that the files say the same.

use crate::flow;
use crate::folders::{copy, laid_out, open, write};
use calamine::{Data, Reader, Xlsx, open_workbook_from_rs};
use packstring::job::{Job, Make, Piece, Shelf};
use packstring::people::scoring::Scores;
use packstring::people::season::{self, Season, shown};
use packstring::pieces::Selection;
use packstring::program::season_record::{SeasonRecord, Visits};
use packstring::program::{self, Program};
use packstring::statistics::suppression::Disclosure;
use packstring::understand::Understood;
use std::fs;
use std::path::Path;

const PROGRAM: &str = r#"
[program]
name = "Trail Rider Stewards"
agency = "Juniper Basin Open Lands"
season = "2026"

[[syllabus]]
lesson = "welcome"
minutes = 10

[[events]]
id = "late"
name = "=Late Day"
date = 2026-08-01
start = 09:00
minutes = 90
place = "Gate"
form = "in person"

[[events]]
id = "early"
name = "Early Day"
date = 2026-05-16
start = 09:00
minutes = 90
place = "Camp"
form = "in person"

[[events]]
id = "unheld"
name = "Snow Day"
date = 2026-11-01
start = 09:00
minutes = 90
place = "Camp"
form = "in person"

[[awards]]
name = "Trail Hand"
hours = 10
reward = "patch"

[[rewards]]
name = "pin"
"#;

/// Mother and daughter share an address at one event; Ana comes twice, once in other capitals; Bo has two
/// rows at one event; Cy comes again without an address.
const ROSTER: &str = "event,name,email,attended,passed,join
late,ANA REED,Ana@Basin.example,yes,yes,
late,Cy Moss,,yes,no,yes
early,Ana Reed,ana@basin.example,yes,no,yes
early,Bo Li,bo@basin.example,yes,yes,
early,Bo Li,bo@basin.example,yes,,
early,Cy Moss,cy@basin.example,yes,yes,
early,Mae Low,low@basin.example,yes,yes,
early,Ivy Low,low@basin.example,yes,yes,
early,Di Oak,di@basin.example,no,no,
";

const HOURS: &str = "name,email,date,activity,hours
Ana Reed,ana@basin.example,2026-06-01,=Patrol,7.5
Ana Reed,ana@basin.example,2026-07-01,=Patrol,2 h 30
Bo Li,,2026-07-02,,1
Bo Li,,2025-07-02,Fences,20
";

fn folder() -> tempfile::TempDir {
    laid_out(&[
        ("program.toml", PROGRAM),
        ("facts.toml", ""),
        ("lessons/welcome.md", "# Welcome\n\n## Who we are\n\n- Stewards\n"),
        ("people/roster.csv", ROSTER),
        ("people/hours.csv", HOURS),
    ])
}

fn counted(program: &Program) -> Season {
    let understood = Understood::new(program);
    season::count(&understood, &Scores::of(&understood)).expect("there is something to count")
}

fn visits(signed_up: u32, came: u32, completed: u32, been_before: u32) -> Visits {
    Visits { signed_up, came, completed, been_before }
}

#[test]
fn people_and_visits_are_counted_by_event() {
    let folder = folder();
    let season = counted(&open(folder.path()));
    let [early, late] = &season.record.events[..] else { panic!("two events have rows") };
    assert_eq!((early.name.as_str(), early.visits), ("Early Day", visits(6, 5, 4, 0)));
    assert_eq!((late.name.as_str(), late.visits), ("=Late Day", visits(2, 2, 1, 2)));
    let people = season.record.people.unwrap();
    assert_eq!((people.came, people.completed, people.repeat, people.joining), (5, 5, 2, 2));
    assert_eq!(season.without_rows, ["Snow Day"]);
}

#[test]
fn hours_of_other_seasons_are_not_this_ones() {
    let folder = folder();
    let service = counted(&open(folder.path())).record.service.unwrap();
    assert_eq!((service.people, service.hours), (2, 11.0));
    let months: Vec<(&str, u32, f64)> =
        service.months.iter().map(|month| (&*month.month, month.people, month.hours)).collect();
    assert_eq!(months, [("2026-06", 1, 7.5), ("2026-07", 2, 3.5)]);
    assert_eq!(service.activities[0].name, "=Patrol");
    // Bo's hours were full in 2025, Ana's this season.
    assert_eq!(service.awards[0].count, 1);
}

#[test]
fn rewards_are_what_was_earned() {
    let folder = folder();
    let rewards = counted(&open(folder.path())).record.rewards;
    let rewards: Vec<(&str, u32)> = rewards.iter().map(|reward| (&*reward.name, reward.count)).collect();
    assert_eq!(rewards, [("pin", 5), ("patch", 1)]);
}

fn jobs(program: &Program) -> Vec<Job> {
    let selection = Selection { pieces: vec![Piece::SeasonReport], ..Selection::default() };
    flow::plan(&Understood::new(program), &selection)
}

fn job<'j>(jobs: &'j [Job], path: &str) -> &'j Job {
    jobs.iter().find(|job| job.path == path).unwrap_or_else(|| panic!("{path} is not planned"))
}

#[test]
fn the_report_is_private_and_its_summary_open_and_without_a_name() {
    let folder = folder();
    let program = open(folder.path());
    let jobs = jobs(&program);
    for (path, shelf) in [
        ("season-report.pdf", Shelf::Private),
        ("season-report.xlsx", Shelf::Private),
        ("season-report.json", Shelf::Private),
        ("season-summary.pdf", Shelf::Open),
        ("season-summary.xlsx", Shelf::Open),
    ] {
        let job = job(&jobs, path);
        assert_eq!(job.shelf, shelf, "{path}");
        let told = format!("{job:?}").to_lowercase();
        for row in &program.people.roster.rows {
            assert!(!told.contains(&row.name.to_lowercase()), "{path} holds {:?}", row.name);
        }
    }
    assert_eq!(jobs.len(), 5);
}

#[test]
fn the_counts_are_next_years_earlier_season() {
    let folder = folder();
    let first = open(folder.path());
    let planned = jobs(&first);
    let Make::Text(text) = &job(&planned, "season-report.json").make else { panic!("a text") };
    let next =
        PROGRAM.replace("\"2026\"", "\"2027\"") + "\n[report]\nearlier = \"records/season-2026.json\"\n";
    fs::write(folder.path().join("program.toml"), next).unwrap();
    fs::create_dir(folder.path().join("records")).unwrap();
    fs::write(folder.path().join("records/season-2026.json"), text).unwrap();
    let program = open(folder.path());
    assert_eq!(program.people.earlier.as_deref(), Some(&counted(&first).record));
    let planned = jobs(&program);
    let Make::Sheet(sheet) = &job(&planned, "season-report.pdf").make else { panic!("a sheet") };
    assert_eq!(sheet.data["earlier"]["people"]["came"], 5);
    assert_eq!(sheet.data["months"][0]["then"], 5);
}

fn told(text: &str) -> Vec<String> {
    let folder = folder();
    fs::write(
        folder.path().join("program.toml"),
        PROGRAM.to_owned() + "\n[report]\nearlier = \"records/old.json\"\n",
    )
    .unwrap();
    if !text.is_empty() {
        fs::create_dir(folder.path().join("records")).unwrap();
        fs::write(folder.path().join("records/old.json"), text).unwrap();
    }
    let unread = program::open(folder.path()).expect_err("a mistake was expected");
    let line = |mistake: &packstring::finding::Finding| {
        let at = unread.sources.line_column(&mistake.place);
        format!("{}:{}:{} {} {}", mistake.place.file, at.line, at.column, mistake.rule.name, mistake.message)
    };
    unread.mistakes.iter().map(line).collect()
}

#[test]
fn an_earlier_season_that_does_not_fit_is_told_with_its_place() {
    assert_eq!(
        told(""),
        ["program.toml:47:12 file-missing There is no file records/old.json in the program folder."]
    );
    assert_eq!(
        told("{\"format\": 1,\n \"seson\": \"2025\"}"),
        [
            "records/old.json:2:8 syntax records/old.json does not hold the counts of a season: unknown field seson, expected one of format, season, people, events, service, rewards, questions."
        ]
    );
    assert_eq!(
        told("{\"format\": 9, \"new\": 1}"),
        [
            "records/old.json:1:1 value-unfit records/old.json was written by a newer packstring than this one."
        ]
    );
    assert_eq!(
        told("{\"format\": 1, \"season\": \"2026\"}"),
        ["records/old.json:1:1 value-unfit records/old.json holds this season, and not an earlier one."]
    );
    let odd = r#"{"format": 1, "season": "2025", "people": {"came": 4, "completed": 5, "repeat": 0, "joining": 0}}"#;
    assert_eq!(
        told(odd),
        [
            "records/old.json:1:1 value-unfit In “people”, more people completed a workshop, or had been before, than came."
        ]
    );
}

/// All that a workbook says, sheet by sheet.
fn cells(job: &Job, folder: &Path) -> Vec<(String, Vec<Vec<Data>>)> {
    let bytes = fs::read(folder.join(&job.path)).unwrap();
    let mut book: Xlsx<_> = open_workbook_from_rs(std::io::Cursor::new(bytes)).unwrap();
    let names = book.sheet_names();
    names
        .into_iter()
        .map(|name| {
            assert!(book.worksheet_formula(&name).unwrap().is_empty(), "{name} holds a formula");
            let rows = book.worksheet_range(&name).unwrap().rows().map(<[Data]>::to_vec).collect();
            (name, rows)
        })
        .collect()
}

#[test]
fn workbooks_open_and_text_stays_text() {
    let folder = folder();
    let binary = env!("CARGO_BIN_EXE_packstring");
    let made = std::process::Command::new(binary)
        .args(["make", "--pieces", "season-report", "--program"])
        .arg(folder.path())
        .output()
        .unwrap();
    assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    let jobs = jobs(&open(folder.path()));
    let private = cells(job(&jobs, "season-report.xlsx"), &folder.path().join("out/private"));
    let sheet = |name: &str| &private.iter().find(|(sheet, _)| sheet == name).unwrap().1;
    assert_eq!(sheet("By event")[2][0], Data::String("=Late Day".into()));
    assert_eq!(sheet("By event")[1][3], Data::Float(5.0));
    assert_eq!(sheet("Hours by activity")[1][0], Data::String("=Patrol".into()));
    assert_eq!(sheet("Hours by activity")[1][2], Data::Float(10.0));
    let open = cells(job(&jobs, "season-summary.xlsx"), &folder.path().join("out/open"));
    assert!(
        open.iter().flat_map(|(_, rows)| rows).flatten().any(|cell| *cell == Data::Float(5.0)),
        "{open:?}"
    );
    let small = open.iter().flat_map(|(_, rows)| rows).flatten().filter_map(|cell| match cell {
        Data::Float(number) if *number > 0.0 && *number < 5.0 => Some(*number),
        _ => None,
    });
    assert_eq!(small.collect::<Vec<_>>(), [0.0; 0], "{open:?}");
    assert!(open.iter().all(|(name, _)| name != "Hours by activity"), "two people's hours are told");
}

#[test]
fn the_demo_is_counted_and_its_summary_still_says_something() {
    let content = Path::new(env!("CARGO_MANIFEST_DIR")).join("content");
    let folder = tempfile::tempdir().unwrap();
    copy(&content, folder.path());
    let season = counted(&open(folder.path()));
    let summary = shown::open(&season.record);
    let exact = summary.events.iter().filter(|event| matches!(event.visits.came, Disclosure::Exactly(_)));
    assert_eq!(exact.count(), summary.events.len(), "{summary:#?}");
    assert!(summary.events.len() > 1, "{summary:#?}");
    let silent = |told: &Disclosure| *told == Disclosure::Withheld;
    for event in &summary.events {
        assert!(!silent(&event.visits.completed) && !silent(&event.visits.been_before), "{event:?}");
    }
}

/// The report's data, the private one.
fn report(folder: &Path) -> serde_json::Value {
    let program = open(folder);
    let jobs = jobs(&program);
    let sheet = jobs.iter().find_map(|job| match (&job.make, job.shelf) {
        (Make::Sheet(sheet), Shelf::Private) => Some(sheet.data.clone()),
        _ => None,
    });
    sheet.expect("there is a report")
}

/// Worked by hand: events in May and August, hours in June and July.
#[test]
fn no_month_is_skipped_and_what_is_not_known_yet_is_no_nought() {
    let folder = folder();
    let data = report(folder.path());
    let months: Vec<(u64, Option<u64>)> = data["months"]
        .as_array()
        .unwrap()
        .iter()
        .map(|month| (month["month"].as_u64().unwrap(), month["visits"]["came"].as_u64()))
        .collect();
    assert_eq!(months, [(5, Some(5)), (6, Some(0)), (7, Some(0)), (8, Some(2))]);
    // The season before went from April to October: November, with an event that nobody is on the roster for, is in
    // neither, and September and October are still to come.
    let visits = r#"{"signed_up": 9, "came": 9, "completed": 9, "been_before": 0}"#;
    let event = |month| {
        format!(r#"{{"id": "a-{month}", "name": "A", "date": "2025-{month}-04", "visits": {visits}}}"#)
    };
    let earlier =
        format!(r#"{{"format": 1, "season": "2025", "events": [{}, {}]}}"#, event("04"), event("10"));
    write(folder.path(), "records/season-2025.json", earlier);
    write(
        folder.path(),
        "program.toml",
        PROGRAM.to_owned() + "\n[report]\nearlier = \"records/season-2025.json\"\n",
    );
    let data = report(folder.path());
    let months: Vec<(u64, Option<u64>, Option<u64>)> = data["months"]
        .as_array()
        .unwrap()
        .iter()
        .map(|month| {
            (month["month"].as_u64().unwrap(), month["visits"]["came"].as_u64(), month["then"].as_u64())
        })
        .collect();
    let expected = [
        (4, Some(0), Some(9)),
        (5, Some(5), Some(0)),
        (6, Some(0), Some(0)),
        (7, Some(0), Some(0)),
        (8, Some(2), Some(0)),
        (9, None, Some(0)),
        (10, None, Some(9)),
    ];
    assert_eq!(months, expected);
}

#[test]
fn a_season_by_hand_need_not_know_everything() {
    let record: SeasonRecord = serde_json::from_str(r#"{"format": 1, "season": "2019"}"#).unwrap();
    let summary = shown::open(&record);
    assert!(summary.people.is_none() && summary.events.is_empty());
}
