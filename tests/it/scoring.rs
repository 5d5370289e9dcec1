//! Scoring, from answers as people give them to who passes, held against hand-made answers of every kind and
//! against its two promises: an accepted wording is never wrong, and an open question never is.

use crate::folders::{laid_out, open, write};
use crate::schema::assert_follows_published;
use clap::Parser;
use packstring::commands::{Arguments, Command, CommandError, Outcome, score};
use packstring::people::scoring::{Passed, Scores, Verdict};
use packstring::session::Environment;
use packstring::understand::Understood;
use proptest::prelude::*;
use std::fs;
use std::path::Path;

const SETTINGS: &str = r#"
[program]
name = "Lake Riders"
agency = "Tern Lake District"
season = "2026"

[[syllabus]]
lesson = "welcome"
minutes = 10

[[events]]
id = "spring"
name = "Spring Workshop"
date = 2026-05-16
start = 09:00
minutes = 60
place = "Tern Lake shelter"
form = "in person"

[[events]]
id = "fall"
name = "Fall Workshop"
date = 2026-09-16
start = 09:00
minutes = 60
place = "Far shore"
form = "in person"
"#;

const FACTS: &str = r#"
[trailer]
value = "150,000 lb"
source = "Tern Lake weigh bridge"

[camp]
value = "200 feet"
limit = "at least"
source = "Tern Lake rule 1"

[steps]
value = "70 steps"
limit = "about"
source = "Tern Lake rule 1"

[water]
value = "5 to 10 gallons a day"
source = "Tern Lake rule 2"

[at.fall.camp]
value = "300 feet"
source = "Far shore order 3"
"#;

const QUESTIONS: &str = r#"
passing = "4 of 6"

[[questions]]
id = "trailer"
kind = "figure"
ask = "What did all trailers weigh?"
fact = "trailer"
unit = "lb"

[[questions]]
id = "camp"
kind = "figure"
ask = "How far from the lake do you camp?"
fact = "camp"
unit = "ft"
because = "It is […](fact:camp), [about 70 steps](fact:steps)."

[[questions]]
id = "water"
kind = "figure"
ask = "How much does a horse drink?"
fact = "water"

[[questions]]
id = "distance"
kind = "choice"
ask = "Which one is the camp's distance?"
choices = ["100 feet", "200 feet", "300 feet", "All of these"]
fact = "camp"

[[questions]]
id = "signs"
kind = "name-some"
ask = "Name signs of heat."
count = 2
accept = [["fast breathing", "panting"], ["dry skin", "not sweating"], "stumbling"]

[[questions]]
id = "change"
kind = "open"
ask = "What will you change?"
look-for = ["a habit", "a reason"]
"#;

const HEADINGS: &str = "event,name,trailer,camp,water,distance,signs,change\n";

/// A program with these answers; whoever answers is on the roster.
fn folder(answers: &str) -> tempfile::TempDir {
    let roster = "event,name,attended,passed,email\nspring,Ana Ruiz,yes,,ana@mail.example\n\
        spring,Bo Li,yes,,\nspring,Cy Day,yes,no,\nspring,Di Fox,yes,yes,\nfall,Ana Ruiz,yes,,ana@mail.example\n";
    laid_out(&[
        ("program.toml", SETTINGS),
        ("facts.toml", FACTS),
        ("questions.toml", QUESTIONS),
        ("lessons/welcome.md", "# Welcome\n\n## Who we are\n\n- Riders\n"),
        ("people/roster.csv", roster),
        ("people/answers.csv", answers),
    ])
}

/// How one answer to one question is scored at an event, and why.
fn scored(event: &str, question: &str, answer: &str) -> (Verdict, String) {
    let quoted = answer.replace('"', "\"\"");
    let folder = folder(&format!("event,name,{question}\n{event},Ana Ruiz,\"{quoted}\"\n"));
    let program = open(folder.path());
    let understood = Understood::new(&program);
    let scores = Scores::of(&understood);
    let scored = scores.list[0].answers.iter().find(|scored| scored.question.id == question).unwrap();
    (scored.judged.verdict, scored.judged.reason.to_string())
}

fn expect(event: &str, question: &str, cases: &[(&str, Verdict)]) {
    for (answer, verdict) in cases {
        let (is, reason) = scored(event, question, answer);
        assert_eq!(is, *verdict, "{question}: {answer}: {reason}");
    }
}

#[test]
fn figures_are_right_in_any_unit_and_rounding_that_agrees() {
    use Verdict::{Look, NotAnswered, Right, Wrong};
    expect(
        "spring",
        "trailer",
        &[
            ("150,000 lb", Right),
            ("68,000 kg", Right),
            ("75 tons", Right),
            ("150000", Right),
            ("about 150,000 pounds", Right),
            // More or less than a number is not the number.
            ("over 150,000 lb", Look),
            ("more than 150,000", Look),
            ("under 150,000 lb", Look),
            ("at least 150,000 lb", Look),
            ("100,000 to 200,000 lb", Look),
            ("60,000 kg", Wrong),
            ("15,000", Wrong),
            ("150 feet", Look),
            ("heavy", Look),
            ("=150000", Look),
            ("", NotAnswered),
            ("-", NotAnswered),
        ],
    );
    expect(
        "spring",
        "camp",
        &[
            ("200", Right),
            ("60 m", Right),
            ("at least 200 ft", Right),
            ("200 feet or more", Right),
            ("Two hundred feet from the lake.", Right),
            ("at most 200 feet", Wrong),
            ("less than 200 feet", Wrong),
            ("100 ft", Wrong),
            ("never 200 feet", Look),
            ("200 ft or 300 ft", Look),
            ("200 ft (50 m)", Look),
            ("150 to 250 feet", Look),
            ("about 70 steps", Look),
        ],
    );
    let (_, reason) = scored("spring", "camp", "about 70 steps");
    assert!(reason.contains("“about 70 steps”, which the explanation quotes"), "{reason}");
    expect(
        "spring",
        "water",
        &[
            ("5 to 10 gallons", Right),
            ("19 to 38 L a day", Right),
            ("10", Look),
            ("5 to 12 gallons", Wrong),
            // What lies within the range was taught.
            ("7 gallons", Right),
            ("6–8 gallons", Right),
            ("10 gallons a day", Right),
            ("30 L", Right),
            ("4 gallons", Wrong),
            ("3 to 4 gallons", Wrong),
            // One end of it was not.
            ("at least 5 gallons", Look),
            ("up to 10 gallons a day", Look),
            ("more than 5 gallons", Look),
        ],
    );
}

/// A question that is asked of the parts of a horse, in a program in English.
fn named(answer: &str, editions: &[(&str, &str)]) -> (Verdict, String) {
    let tags: String = editions.iter().map(|(tag, _)| format!(", \"{tag}\"")).collect();
    let season = format!("season = \"2026\"\neditions = [\"en\"{tags}]");
    let settings = SETTINGS.replacen("season = \"2026\"", &season, 1);
    let questions = "[[questions]]\nid = \"parts\"\nkind = \"name-some\"\nask = \"Name two parts.\"\n\
        count = 2\naccept = [\"legs\", \"back\", \"hoof\"]\n";
    let answers = format!("event,name,parts\nspring,Ana Ruiz,\"{answer}\"\n");
    let files = [
        ("program.toml", settings.as_str()),
        ("facts.toml", FACTS),
        ("questions.toml", questions),
        ("lessons/welcome.md", "# Welcome\n\n## Who we are\n\n- Riders\n"),
        ("people/roster.csv", "event,name,attended\nspring,Ana Ruiz,yes\n"),
        ("people/answers.csv", answers.as_str()),
    ];
    let texts: Vec<(String, &str)> =
        editions.iter().map(|(tag, text)| (format!("program.{tag}.toml"), *text)).collect();
    let texts = texts.iter().map(|(name, text)| (name.as_str(), *text));
    let folder = laid_out(&files.into_iter().chain(texts).collect::<Vec<_>>());
    let program = open(folder.path());
    let understood = Understood::new(&program);
    let judged = Scores::of(&understood).list[0].answers[0].judged.clone();
    (judged.verdict, judged.reason.to_string())
}

#[test]
fn an_answer_is_read_by_the_words_of_the_language_in_which_it_was_asked() {
    // “hay” is food to a horse, and a filler in Spanish.
    let (verdict, reason) = named("legs, back, hay", &[]);
    assert_eq!(verdict, Verdict::Look, "{reason}");
    assert!(reason.ends_with("Not on it: “hay”."), "{reason}");
    assert_eq!(named("legs and the back", &[]).0, Verdict::Right);
    assert_eq!(named("legs y back", &[]).0, Verdict::Look);

    let spanish =
        "[questions.parts]\nask = \"Nombre dos partes.\"\naccept = [\"patas\", \"lomo\", \"casco\"]\n";
    let of = |answer: &str| named(answer, &[("es", spanish)]).0;
    assert_eq!(of("hay patas y lomo"), Verdict::Right);
    assert_eq!(of("legs, back, hay"), Verdict::Look, "these are not the edition's words");
    assert_eq!(of("patas and lomo"), Verdict::Look);
    // Its words are the main edition's, and so is what stands between them.
    let lacking = "[questions.parts]\nask = \"Nombre dos partes.\"\n";
    assert_eq!(named("legs, back, hay", &[("es", lacking)]).0, Verdict::Look);
    assert_eq!(named("legs, back", &[("es", lacking)]).0, Verdict::Right);
}

#[test]
fn the_key_is_that_of_the_persons_event() {
    use Verdict::{Right, Wrong};
    expect("fall", "camp", &[("300 feet", Right), ("200 feet", Wrong)]);
    expect("fall", "distance", &[("300 feet", Right), ("C", Right), ("B", Wrong)]);
    expect("spring", "distance", &[("B", Right), ("300 ft", Wrong)]);
}

/// Common practice, no source: who writes more digits than are known has not got them from the lesson.
#[test]
fn an_answer_that_is_finer_than_the_fact_is_known_is_for_the_rangers_eye() {
    use Verdict::{Look, Right, Wrong};
    let ride = "\n[ride]\nvalue = \"2.5 hours\"\nlimit = \"about\"\nsource = \"Tern Lake log\"\n";
    let asked = "\n[[questions]]\nid = \"ride\"\nkind = \"figure\"\nask = \"How long is the ride?\"\nfact = \"ride\"\n";
    for (answer, verdict) in
        [("2.5 hours", Right), ("2.50 hours", Look), ("2.500 hours", Look), ("3.5 hours", Wrong)]
    {
        let folder = folder(&format!("event,name,ride\nspring,Ana Ruiz,{answer}\n"));
        fs::write(folder.path().join("facts.toml"), FACTS.to_owned() + ride).unwrap();
        fs::write(folder.path().join("questions.toml"), QUESTIONS.replace("4 of 6", "4 of 7") + asked)
            .unwrap();
        let program = open(folder.path());
        let understood = Understood::new(&program);
        let scores = Scores::of(&understood);
        let [scoring] = scores.list.as_slice() else { panic!("{} are scored", scores.list.len()) };
        let scored = scoring.answers.iter().find(|scored| scored.question.id == "ride").unwrap();
        assert_eq!(scored.judged.verdict, verdict, "{answer}: {}", scored.judged.reason);
        assert_eq!(
            scored.judged.reason.to_string().contains("finer"),
            verdict == Look,
            "{}",
            scored.judged.reason
        );
    }
}

#[test]
fn long_texts_and_formulas_are_data() {
    let long = "word ".repeat(5000);
    assert_eq!(scored("spring", "signs", &long).0, Verdict::Wrong);
    assert_eq!(scored("spring", "distance", &long).0, Verdict::Look);
    assert_eq!(scored("spring", "camp", &long).0, Verdict::Look);
    assert_eq!(scored("spring", "signs", "=HYPERLINK(\"x\"), panting, dry skin").0, Verdict::Look);
    assert_eq!(scored("spring", "change", &long).0, Verdict::Look);
}

fn passes(answers: &str) -> Vec<Passed> {
    let folder = folder(answers);
    let program = open(folder.path());
    let understood = Understood::new(&program);
    let scores = Scores::of(&understood);
    program.people.roster.rows.iter().map(|row| scores.passed(row)).collect()
}

#[test]
fn who_passes_by_the_rule_and_by_the_roster() {
    use Passed::{No, Unsaid, Waits, Yes};
    let passed = passes(&format!(
        "{HEADINGS}spring,Ana Ruiz,150000,200,5 to 10 gallons,B,panting,\n\
         spring,bo  li,150000,200,10,B,nothing,I will\n\
         spring,Cy Day,150000,200,5 to 10 gallons,B,panting and stumbling,I will\n\
         spring,Di Fox,,,,,,\nfall,Ana Ruiz,1,200,10,A,nothing,\n"
    ));
    assert_eq!(passed, [Yes, Waits, No, Yes, No], "the roster's own word wins for Cy and Di");
    assert_eq!(passes(HEADINGS), [Unsaid, Unsaid, No, Yes, Unsaid]);
}

#[test]
fn a_later_row_counts_and_strangers_are_told() {
    let folder =
        folder(&format!("{HEADINGS}spring,Bo Li,1,,,,,\nspring,Bo Li,150000,,,,,\nspring,Who,1,,,,,\n"));
    let program = open(folder.path());
    let understood = Understood::new(&program);
    let scores = Scores::of(&understood);
    assert_eq!((scores.list.len(), scores.superseded.len(), scores.strangers.len()), (1, 1, 1));
    assert_eq!(scores.list[0].answers[0].verdict(), Verdict::Right);
}

#[test]
fn answers_may_stand_in_the_roster() {
    let folder = folder("event,name,camp\nspring,Bo Li,200 ft\n");
    let roster = "event,name,attended,How far from the lake do you camp?,q6\n\
        spring,Ana Ruiz,yes,200 ft,I will\nspring,Ana Ruiz,yes,100 ft,\nspring,Bo Li,yes,100 ft,\nspring,Cy Day,yes,,\n";
    write(folder.path(), "people/roster.csv", roster);
    let program = open(folder.path());
    let understood = Understood::new(&program);
    let scores = Scores::of(&understood);
    let camp: Vec<Verdict> = scores.list.iter().map(|scoring| scoring.answers[1].verdict()).collect();
    assert_eq!(camp, [Verdict::Right, Verdict::Wrong, Verdict::Right], "the file of answers counts for Bo");
    assert_eq!(scores.list[0].answers[5].verdict(), Verdict::Look);
}

#[test]
fn letters_and_numbers_are_those_of_the_version_on_the_persons_sheet() {
    let folder = folder("event,name\n");
    write(folder.path(), "questions.toml", QUESTIONS.replace("passing", "versions = 3\nseed = 7\npassing"));
    let program = open(folder.path());
    let understood = Understood::new(&program);
    let versions = understood.versions();
    assert_eq!(versions.len(), 3);
    assert!(versions[1] != versions[2] && versions[0].questions != versions[1].questions);
    let mut answers = String::from("event,name,version,q1,q2,q3,q4,q5,q6\n");
    for (version, name) in versions.iter().zip(["Ana Ruiz", "Bo Li", "Cy Day"]) {
        answers += &format!("spring,{name},{}", version.letter);
        for asked in &version.questions {
            let letter =
                |right| char::from(b'A' + asked.choices.iter().position(|at| *at == right).unwrap() as u8);
            answers += &match asked.question.id.as_str() {
                "trailer" => ",150000".to_owned(),
                "camp" => ",200".to_owned(),
                "water" => ",5 to 10 gallons".to_owned(),
                "distance" => format!(",{}", letter(1)),
                "signs" => ",panting and stumbling".to_owned(),
                _ => ",I will".to_owned(),
            };
        }
        answers.push('\n');
    }
    write(folder.path(), "people/answers.csv", &answers);
    let program = open(folder.path());
    let understood = Understood::new(&program);
    let scores = Scores::of(&understood);
    let right: Vec<(char, usize)> =
        scores.list.iter().map(|scoring| (scoring.row.version, scoring.count(Verdict::Right))).collect();
    assert_eq!(right, [('A', 5), ('B', 5), ('C', 5)], "{:#?}", scores.list);
}

#[test]
fn a_question_may_keep_the_order_of_its_choices() {
    let folder = folder(HEADINGS);
    let kept = QUESTIONS.replace(
        "fact = \"camp\"\n\n[[questions]]\nid = \"signs\"",
        "fact = \"camp\"\nkeep-order = true\n\n[[questions]]\nid = \"signs\"",
    );
    assert_ne!(kept, QUESTIONS);
    write(folder.path(), "questions.toml", format!("versions = 26\n{kept}"));
    let program = open(folder.path());
    let versions = Understood::new(&program).versions();
    assert_eq!(versions.len(), 26);
    for version in versions {
        let asked = version.questions.iter().find(|asked| asked.question.id == "distance").unwrap();
        assert_eq!(asked.choices, [0, 1, 2, 3], "version {}", version.letter);
    }
}

// ---- the command and the ranger's decisions ----

fn run(folder: &Path) -> (Result<Outcome, CommandError>, String) {
    run_as(folder, &[])
}

fn run_as(folder: &Path, more: &[&str]) -> (Result<Outcome, CommandError>, String) {
    let desk = Environment {
        today: jiff::civil::date(2026, 6, 1),
        folder: folder.to_owned(),
        terminal: false,
        keys: None,
    };
    let mut out = Vec::new();
    let mut arguments =
        vec!["packstring".as_ref(), "score".as_ref(), "--program".as_ref(), folder.as_os_str()];
    arguments.extend(more.iter().map(std::ffi::OsStr::new));
    let Some(Command::Score(asked)) = Arguments::try_parse_from(arguments).unwrap().command else {
        unreachable!()
    };
    let outcome = score::run(&asked, &desk, &mut out);
    (outcome, String::from_utf8(out).unwrap())
}

fn table(folder: &Path) -> String {
    fs::read_to_string(folder.join("out/private/scores.csv")).unwrap()
}

/// Writes decisions beside answers, as a spreadsheet would that saves with semicolons in Windows-1252.
fn decide(folder: &Path, decisions: &[(&str, &str)]) {
    let text = table(folder);
    let mut reader = csv::Reader::from_reader(text.trim_start_matches('\u{feff}').as_bytes());
    let mut writer = csv::WriterBuilder::new().delimiter(b';').from_writer(Vec::new());
    writer.write_record(reader.headers().unwrap()).unwrap();
    for row in reader.records() {
        let mut row: Vec<String> = row.unwrap().iter().map(str::to_owned).collect();
        if let Some((_, decision)) = decisions.iter().find(|(question, _)| row[3] == *question) {
            row[7] = (*decision).to_owned();
        }
        writer.write_record(&row).unwrap();
    }
    let text = String::from_utf8(writer.into_inner().unwrap()).unwrap();
    let (bytes, _, _) = encoding_rs::WINDOWS_1252.encode(&text);
    fs::write(folder.join("out/private/scores.csv"), bytes).unwrap();
}

const BO: &str = "event,name,trailer,camp,water,distance,signs,change\nspring,Bo Li,150000,200,café 10,B,nothing,=I will\n";

#[test]
fn a_name_in_two_columns_is_joined() {
    let answers = BO.replace("name,", "First name,Last name,").replace("Bo Li,", "Bo,Li,");
    let folder = folder(&answers);
    let (_, told) = run(folder.path());
    assert!(told.contains("1 person answered") && !told.contains("not clear which person"), "{told}");
}

#[test]
fn decisions_win_and_outlive_the_runs_and_the_answers() {
    let folder = folder(BO);
    let folder = folder.path();
    let (outcome, told) = run(folder);
    assert_eq!(outcome.unwrap(), Outcome::Clear, "what waits is not wrong");
    assert!(
        told.contains("2 answers for you to judge") && told.contains("1 not decided until you judge"),
        "{told}"
    );
    assert!(table(folder).contains(",'=I will,look,"), "{}", table(folder));

    decide(folder, &[("change", "Right"), ("water", "wrong")]);
    let (outcome, told) = run(folder);
    assert_eq!(outcome.unwrap(), Outcome::Clear, "{told}");
    assert!(told.contains("1 passed, 0 not passed.\n"), "{told}");
    let first = table(folder);
    run(folder).0.unwrap();
    assert_eq!(table(folder), first, "the same again");

    // The answers go, another person's come, and the decisions stay until the answers are back.
    write(folder, "people/answers.csv", "event,name,change\nspring,Ana Ruiz,I will\n");
    let (_, told) = run(folder);
    assert!(told.contains("2 decisions in scores.csv on answers that are no longer there"), "{told}");
    assert!(table(folder).contains(",gone,"));
    write(folder, "people/answers.csv", BO);
    assert_eq!(run(folder).0.unwrap(), Outcome::Clear);
    assert_eq!(table(folder), first);
}

/// Saves `scores.csv` as a workbook, with decisions.
fn decide_in_a_workbook(folder: &Path, decisions: &[(&str, &str)]) {
    let text = table(folder);
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .from_reader(text.trim_start_matches('\u{feff}').as_bytes());
    let mut workbook = rust_xlsxwriter::Workbook::new();
    let sheet = workbook.add_worksheet();
    for (at, row) in reader.records().enumerate() {
        let row = row.unwrap();
        for (column, cell) in row.iter().enumerate() {
            let decision = decisions.iter().find(|(question, _)| column == 7 && row[3] == **question);
            let cell = decision.map_or(cell, |(_, decision)| decision);
            sheet.write_string(at as u32, column as u16, cell.trim_start_matches('\'')).unwrap();
        }
    }
    workbook.save(folder.join("out/private/scores.xlsx")).unwrap();
}

fn said(outcome: Result<Outcome, CommandError>) -> String {
    let Err(CommandError::Said(why)) = outcome else { panic!("it must not be done") };
    why
}

#[test]
fn decisions_in_a_workbook_that_a_spreadsheet_saved_are_read() {
    let folder = folder(BO);
    let folder = folder.path();
    run(folder).0.unwrap();
    decide_in_a_workbook(folder, &[("change", "right"), ("water", "perhaps")]);
    let (outcome, told) = run(folder);
    assert_eq!(outcome.unwrap(), Outcome::Findings);
    assert!(told.contains("In scores.xlsx the decision in row 4"), "{told}");
    assert!(table(folder).contains(",right,") && table(folder).contains(",perhaps,"), "{}", table(folder));
    // The table was made anew with them, and the workbook stays what is edited.
    decide_in_a_workbook(folder, &[("change", "right"), ("water", "right")]);
    assert!(said(run(folder).0).contains("scores.csv and scores.xlsx, and only one"));
    fs::remove_file(folder.join("out/private/scores.csv")).unwrap();
    let (outcome, told) = run(folder);
    assert_eq!(outcome.unwrap(), Outcome::Clear, "{told}");
    assert!(!table(folder).contains(",perhaps,"), "{}", table(folder));
    assert_eq!(run(folder).0.unwrap(), Outcome::Clear, "the same again");
}

#[test]
fn two_files_that_may_both_hold_decisions_are_told() {
    let folder = folder(BO);
    let folder = folder.path();
    run(folder).0.unwrap();
    decide_in_a_workbook(folder, &[("change", "right")]);
    decide(folder, &[("change", "wrong")]);
    let before = table_bytes(folder);
    let why = said(run(folder).0);
    assert!(why.contains("scores.csv and scores.xlsx") && why.contains("Nothing was made"), "{why}");
    assert_eq!(table_bytes(folder), before);
    fs::rename(folder.join("out/private/scores.xlsx"), folder.join("out/private/scores.xls")).unwrap();
    assert!(said(run(folder).0).contains("old form"));
}

fn table_bytes(folder: &Path) -> Vec<u8> {
    fs::read(folder.join("out/private/scores.csv")).unwrap()
}

#[test]
fn a_decision_is_not_moved_to_another_answer() {
    let folder = folder(BO);
    let folder = folder.path();
    run(folder).0.unwrap();
    decide(folder, &[("change", "wrong")]);
    write(folder, "people/answers.csv", BO.replace("=I will", "I will walk"));
    run(folder).0.unwrap();
    assert!(
        table(folder).contains(
            "I will walk,look,An open question is for you to judge. On another answer you decided “wrong”.,,"
        ),
        "{}",
        table(folder)
    );
}

#[test]
fn an_unknown_decision_is_told_and_kept() {
    let folder = folder(BO);
    let folder = folder.path();
    run(folder).0.unwrap();
    decide(folder, &[("change", "perhaps")]);
    let (outcome, told) = run(folder);
    assert_eq!(outcome.unwrap(), Outcome::Findings);
    assert!(told.contains("the decision in row 7 is neither “right” nor “wrong”"), "{told}");
    assert!(table(folder).contains(",perhaps,"));
}

#[test]
fn nothing_is_made_over_decisions_that_cannot_be_read() {
    let folder = folder(BO);
    let folder = folder.path();
    run(folder).0.unwrap();
    let spoiled = "event,name\nspring,Bo Li\n";
    fs::write(folder.join("out/private/scores.csv"), spoiled).unwrap();
    let (outcome, _) = run(folder);
    let Err(CommandError::Said(why)) = outcome else { panic!("it must not be done") };
    assert!(why.contains("it has no column “question”") && why.contains("Nothing was made"), "{why}");
    assert_eq!(table(folder), spoiled);
}

#[test]
fn scores_are_told_to_other_programs_without_a_name_or_an_answer() {
    let answers = format!("{BO}spring,Zelda Quorn,1,1,1,1,1,1\n");
    let folder = folder(&answers);
    run(folder.path()).0.unwrap();
    decide(folder.path(), &[("change", "perhaps"), ("water", "right")]);
    let (outcome, told) = run_as(folder.path(), &["--as", "json"]);
    assert_eq!(outcome.unwrap(), Outcome::Findings);
    let json: serde_json::Value = serde_json::from_str(&told).unwrap();
    assert_follows_published("score.schema.json", &json);
    let answers = json["people"][0]["answers"].as_array().unwrap();
    assert_eq!(answers.iter().filter(|answer| answer["decided"] == true).count(), 1);
    assert_eq!((&json["waiting"], &json["not_on_roster"][0]), (&1.into(), &3.into()));
    assert_eq!(json["decisions"]["not_understood"].as_array().unwrap().len(), 1);
    for private in ["quorn", "bo li", "i will", "nothing", "perhaps"] {
        assert!(!told.to_lowercase().contains(private), "{private} is in {told}");
    }
}

#[test]
fn without_answers_it_is_not_done() {
    let folder = folder(HEADINGS);
    let Err(CommandError::Said(why)) = run(folder.path()).0 else { panic!("there is nothing to score") };
    assert!(why.contains("people/answers.csv"), "{why}");
}

// ---- promises ----

/// Questions that ask to name `count` of a list.
fn naming(count: usize, accept: &[Vec<String>]) -> String {
    let lists: Vec<String> = accept.iter().map(|wordings| format!("{wordings:?}")).collect();
    format!(
        "[[questions]]\nid = \"some\"\nkind = \"name-some\"\nask = \"Name some.\"\ncount = {count}\naccept = [{}]\n",
        lists.join(", ")
    )
}

/// Words of letters only, so that a wording says something.
fn wording() -> impl Strategy<Value = String> {
    proptest::collection::vec("[a-z]{2,9}|and|no|the|of", 1..4)
        .prop_map(|words| words.join(" "))
        .prop_filter("it says something", |words| words.split(' ').any(|word| word.len() > 4))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn an_accepted_wording_is_never_wrong(
        accept in proptest::collection::vec(proptest::collection::vec(wording(), 1..4), 2..6),
        picks in proptest::collection::vec(any::<prop::sample::Index>(), 6),
        joint in prop::sample::select(vec![", ", "\n", "; ", " and ", " / ", ". ", " & "]),
        capitals in any::<bool>(),
    ) {
        let count = accept.len() - 1;
        let named: Vec<&str> = accept[..count]
            .iter()
            .zip(&picks)
            .map(|(wordings, pick)| pick.get(wordings).as_str())
            .collect();
        let mut answer = named.join(joint);
        if capitals {
            answer = answer.to_uppercase();
        }
        let folder = folder(&format!("event,name,some\nspring,Bo Li,\"{answer}\"\n"));
        write(folder.path(), "questions.toml", naming(count, &accept));
        let program = open(folder.path());
        let understood = Understood::new(&program);
        let scores = Scores::of(&understood);
        let judged = &scores.list[0].answers[0].judged;
        prop_assert!(judged.verdict != Verdict::Wrong, "{answer:?} of {accept:?}: {}", judged.reason);
    }

    #[test]
    fn an_open_question_is_never_wrong(answer in "[^\u{0}\"]{0,80}") {
        let (verdict, _) = scored("spring", "change", &answer);
        prop_assert!(matches!(verdict, Verdict::Look | Verdict::NotAnswered), "{answer:?}");
        prop_assert_eq!(verdict == Verdict::NotAnswered, !answer.chars().any(char::is_alphanumeric));
    }

    #[test]
    fn no_answer_of_any_kind_harms(answer in "[^\u{0}\"]{0,60}") {
        for question in ["trailer", "camp", "water", "distance", "signs"] {
            let (_, reason) = scored("spring", question, &answer);
            prop_assert!(!reason.is_empty());
        }
    }
}
