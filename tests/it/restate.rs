//! `restate` held against its promises on a copy of the demo program: it shows just the figures that a
//! changed fact makes wrong, changes those and no other byte, and leaves nothing to proofread.

use crate::flow;
use packstring::commands::Outcome;
use packstring::commands::restate::{self, RestateOptions};
use packstring::program;
use packstring::session::Environment;
use packstring::understand::Understood;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

const SHOW: RestateOptions = RestateOptions { save: false, back: false, fill: false };
const SAVE: RestateOptions = RestateOptions { save: true, ..SHOW };

struct Copy {
    folder: tempfile::TempDir,
}

impl Copy {
    /// The demo program, with every `[…]` already written in.
    fn settled() -> Self {
        let copy = Self::of("content");
        copy.restate(RestateOptions { fill: true, ..SAVE });
        copy
    }

    fn of(folder: &str) -> Self {
        let from = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
        let copy = Self { folder: tempfile::tempdir().unwrap() };
        crate::folders::copy(&from, copy.path());
        // What is asked by the history of facts is held in `history.rs`.
        for file in ["records/facts.jsonl", "records/facts-head.json"] {
            let _ = fs::remove_file(copy.path().join(file));
        }
        copy
    }

    fn path(&self) -> &Path {
        self.folder.path()
    }

    fn restate(&self, asked: RestateOptions) -> (Outcome, String) {
        let desk = Environment {
            today: jiff::civil::date(2026, 11, 2),
            folder: self.path().to_owned(),
            terminal: false,
            keys: None,
        };
        let mut out = Vec::new();
        let outcome = restate::run(Some(self.path()), asked, &desk, &mut out)
            .unwrap_or_else(|trouble| panic!("{trouble:?}"));
        (outcome, String::from_utf8(out).unwrap())
    }

    fn change(&self, file: &str, from: &str, to: &str) {
        let path = self.path().join(file);
        let text = fs::read_to_string(&path).unwrap();
        assert_eq!(text.matches(from).count(), 1, "{from}");
        fs::write(path, text.replace(from, to)).unwrap();
    }

    /// The program's own files, without what packstring notes of them.
    fn files(&self) -> BTreeMap<PathBuf, String> {
        let files = walkdir::WalkDir::new(self.path()).into_iter().map(|entry| entry.unwrap());
        let records = self.path().join("records");
        let files = files.filter(|entry| entry.file_type().is_file() && !entry.path().starts_with(&records));
        files
            .filter_map(|entry| {
                let name = entry.path().strip_prefix(self.path()).unwrap().to_owned();
                Some((name, fs::read_to_string(entry.path()).ok()?))
            })
            .collect()
    }

    /// The rules that proofreading tells of.
    fn rules(&self) -> Vec<&'static str> {
        let program = program::open(self.path()).unwrap();
        let findings = flow::proofread(&Understood::new(&program), jiff::civil::date(2026, 11, 2));
        findings.into_iter().map(|finding| finding.rule.name).collect()
    }
}

#[test]
fn a_changed_fact_is_restated_wherever_it_is_quoted_and_no_other_byte_is() {
    let copy = Copy::settled();
    assert_eq!(copy.restate(SHOW).0, Outcome::Clear);
    copy.change(
        "facts.toml",
        "[camp-distance]\nvalue = \"200 feet\"",
        "[camp-distance]\nvalue = \"300 feet\"",
    );
    let before = copy.files();

    let (outcome, told) = copy.restate(SHOW);
    assert_eq!(outcome, Outcome::Findings);
    assert_eq!(copy.files(), before, "nothing is changed without being asked for");
    let shown = told.matches("camp-distance").count();
    let quoted: usize = before.values().map(|text| text.matches("(fact:camp-distance)").count()).sum();
    assert!(quoted > 4 && shown == quoted, "{told}");
    assert!(told.ends_with("nothing was changed. Add --save to change them.\n"), "{told}");

    assert_eq!(copy.restate(SAVE).0, Outcome::Clear);
    for (name, text) in copy.files() {
        let expected = match name.to_str().unwrap() {
            "facts.toml" => before[&name].clone(),
            _ => before[&name]
                .replace("[at least 200 feet](fact:camp-distance)", "[at least 300 feet](fact:camp-distance)")
                .replace("[200 feet](fact:camp-distance)", "[300 feet](fact:camp-distance)")
                .replace(
                    "[como mínimo 200 pies](fact:camp-distance)",
                    "[como mínimo 300 pies](fact:camp-distance)",
                )
                .replace(
                    "[al menos a 200 pies](fact:camp-distance)",
                    "[al menos a 300 pies](fact:camp-distance)",
                ),
        };
        assert_eq!(text, expected, "{}", name.display());
    }
    assert_eq!(copy.rules(), Vec::<&str>::new());
    let saved = copy.files();
    assert_eq!(copy.restate(SAVE).0, Outcome::Clear);
    assert_eq!(copy.files(), saved, "restating twice changes nothing");
}

/// Between reading and saving, somebody else may save too.
#[test]
fn what_somebody_else_changed_meanwhile_is_not_written_over() {
    let copy = Copy::settled();
    copy.change(
        "facts.toml",
        "[camp-distance]\nvalue = \"200 feet\"",
        "[camp-distance]\nvalue = \"300 feet\"",
    );
    let program = program::open(copy.path()).unwrap();
    let understood = Understood::new(&program);
    let plan = packstring::restate::plan(&understood, packstring::restate::Open::OfChanged);
    let files: Vec<String> = plan.files().into_iter().map(|file| file.to_string()).collect();
    assert!(files.len() > 1, "{files:?}");
    for theirs in &files {
        let path = copy.path().join(theirs);
        let text = fs::read_to_string(&path).unwrap();
        // As long as before, so that only the bytes tell.
        fs::write(&path, text.replacen('e', "E", 1)).unwrap();
        let before = copy.files();
        let told = packstring::session::save(&understood, &plan).unwrap_err().to_string();
        let expected = format!("{theirs} was changed by someone else just now, so nothing was saved.");
        assert!(told.starts_with(&expected), "{told}");
        assert_eq!(copy.files(), before, "{theirs}");
        fs::write(&path, text).unwrap();
    }
    packstring::session::save(&understood, &plan).unwrap();
    assert_eq!(copy.rules(), Vec::<&str>::new());
}

#[test]
fn what_is_worked_from_a_changed_fact_follows_with_its_wording() {
    let copy = Copy::settled();
    copy.change("facts.toml", "value = \"4 miles an hour\"", "value = \"2.5 miles an hour\"");
    let (_, told) = copy.restate(SAVE);
    assert!(told.contains("Now            about four hours"), "{told}");
    let facts = fs::read_to_string(copy.path().join("facts.toml")).unwrap();
    assert!(facts.contains("wording = \"about four hours\""));
    assert_eq!(copy.rules(), Vec::<&str>::new());
}

#[test]
fn a_link_stays_open_where_the_wording_of_its_fact_cannot_be_put_right() {
    let copy = Copy::of("content");
    let path = copy.path().join("lessons/ropes-and-hitching.md");
    fs::write(&path, "# Ropes\n\nThat is […](fact:manure-yearly) of it.\n").unwrap();
    let facts = fs::read_to_string(copy.path().join("facts.toml")).unwrap();
    let wording = "wording = \"about 22 million pounds a year\"";
    assert!(facts.contains(wording));
    // a wording of another kind, which no rule can put right
    copy.change("facts.toml", wording, "wording = \"about 22 million horses\"");
    let (_, told) = copy.restate(SAVE);
    assert!(fs::read_to_string(&path).unwrap().contains("[…](fact:manure-yearly)"), "{told}");
    assert!(told.contains("The wording of the fact does not hold"), "{told}");
}

#[test]
fn every_fact_of_the_demo_can_be_changed_and_restated() {
    // one at a time, so that one fact's figures do not hide behind another's
    let copy = Copy::settled();
    let facts = fs::read_to_string(copy.path().join("facts.toml")).unwrap();
    let lessons = copy.files();
    let mut tried = 0;
    for line in facts.lines().filter(|line| line.starts_with("value = ")) {
        let Some(digit) = line.find(|letter: char| ('1'..='8').contains(&letter)) else { continue };
        let more = (line.as_bytes()[digit] + 1) as char;
        let changed = format!("{}{more}{}", &line[..digit], &line[digit + 1..]);
        if facts.matches(line).count() > 1 {
            continue;
        }
        for (name, text) in &lessons {
            fs::write(copy.path().join(name), text).unwrap();
        }
        fs::write(copy.path().join("facts.toml"), facts.replace(line, &changed)).unwrap();
        let (outcome, told) = copy.restate(SAVE);
        let drift = ["figure-drift", "limit-turned", "figure-too-fine", "dual-apart", "wording-unfit"];
        let rules = copy.rules();
        let drifts = rules.iter().filter(|rule| drift.contains(rule)).count();
        assert_eq!(drifts > 0, outcome == Outcome::Findings, "{changed}: {rules:?}\n{told}");
        assert!(drifts == 0, "{changed}: {told}");
        tried += 1;
    }
    assert!(tried > 30, "{tried}");
}

#[test]
fn articles_line_ends_and_marks_stay_as_the_writer_has_them() {
    let copy = Copy::settled();
    let lesson = "# Ropes\r\n\r\nKeep a [six-foot](fact:lead-length) lead, **[at most\r\nsix feet](fact:lead-length)** long, or [a 6-ft](fact:lead-length) one.\r\n\r\n- Ropes\r\n";
    let path = copy.path().join("lessons/ropes-and-hitching.md");
    let bytes = format!("\u{feff}{lesson}");
    fs::write(&path, &bytes).unwrap();
    copy.change("facts.toml", "[lead-length]\nvalue = \"6 ft\"", "[lead-length]\nvalue = \"8 ft\"");
    copy.restate(SAVE);
    let expected = bytes
        .replace("a [six-foot]", "an [eight-foot]")
        .replace("six feet](", "eight feet](")
        .replace("[a 6-ft]", "[an 8-ft]");
    assert_eq!(fs::read_to_string(path).unwrap(), expected);
}

#[test]
fn offered_matches_are_backed() {
    let copy = Copy::settled();
    let path = copy.path().join("lessons/ropes-and-hitching.md");
    let text = fs::read_to_string(&path).unwrap();
    let text = format!(
        "{text}\n## Six feet of lead rope\n\nThe lead rope is six feet long. See [the six feet of lead rope](wildlife.md).\n"
    );
    fs::write(&path, &text).unwrap();
    let (outcome, told) = copy.restate(RestateOptions { back: true, ..SHOW });
    assert_eq!(outcome, Outcome::Clear, "an offer is nothing wrong");
    assert!(told.contains("Now            [six feet](fact:lead-length)"), "{told}");
    copy.restate(RestateOptions { back: true, ..SAVE });
    let expected = text.replace("rope is six feet long", "rope is [six feet](fact:lead-length) long");
    assert_eq!(fs::read_to_string(&path).unwrap(), expected);
}

#[test]
fn what_no_rule_covers_is_told_and_left() {
    let copy = Copy::settled();
    let path = copy.path().join("lessons/ropes-and-hitching.md");
    let text = fs::read_to_string(&path).unwrap();
    let text = format!("{text}\nIt weighs [nine pounds](fact:lead-length).\n");
    fs::write(&path, &text).unwrap();
    let (outcome, told) = copy.restate(SAVE);
    assert_eq!(outcome, Outcome::Findings);
    assert!(told.contains("Left as it is. Its unit is of another kind than the fact's."), "{told}");
    assert!(told.ends_with("1 figure left for you to change.\n"), "{told}");
    assert_eq!(fs::read_to_string(path).unwrap(), text);
}

#[cfg(unix)]
#[test]
fn a_saved_file_keeps_its_permissions_and_a_protected_one_is_not_touched() {
    use std::os::unix::fs::PermissionsExt;
    let copy = Copy::settled();
    let path = copy.path().join("kits.toml");
    fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
    copy.change("facts.toml", "[lead-length]\nvalue = \"6 ft\"", "[lead-length]\nvalue = \"8 ft\"");
    copy.restate(SAVE);
    assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o640);
    fs::set_permissions(&path, fs::Permissions::from_mode(0o440)).unwrap();
    copy.change("facts.toml", "[lead-length]\nvalue = \"8 ft\"", "[lead-length]\nvalue = \"9 ft\"");
    let before = copy.files();
    let desk = Environment {
        today: jiff::civil::date(2026, 11, 2),
        folder: copy.path().to_owned(),
        terminal: false,
        keys: None,
    };
    assert!(restate::run(Some(copy.path()), SAVE, &desk, &mut Vec::new()).is_err());
    assert_eq!(copy.files(), before, "one that cannot be written keeps the others as they are");
}

/// Each change of a fact, and the Spanish words that follow it.
#[test]
fn a_spanish_lesson_is_restated_in_its_own_words() {
    let cases = [
        ("lead-length", "6 ft", "8 ft", &["como máximo ocho pies", "8 pies"][..]),
        ("water-distance", "200 ft", "300 ft", &["300 pies", "trescientos pies"]),
        ("water-distance", "200 ft", "350 ft", &["350 pies", "trescientos cincuenta pies"]),
        ("water-distance", "200 ft", "121 ft", &["121 pies", "ciento veintiún pies"]),
        ("horse-water", "5 to 10 gallons", "6 to 12 gallons", &["de seis a doce galones al día"]),
    ];
    for (fact, was, now, words) in cases {
        let copy = Copy::of("tests/editions");
        copy.restate(SAVE);
        let facts = fs::read_to_string(copy.path().join("facts.toml")).unwrap();
        let (head, own) = facts.split_once(&format!("[{fact}]")).unwrap();
        let changed = format!("{head}[{fact}]{}", own.replacen(was, now, 1));
        assert_ne!(changed, facts, "{fact}");
        fs::write(copy.path().join("facts.toml"), changed).unwrap();
        let (_, told) = copy.restate(SAVE);
        let lessons: String = copy
            .files()
            .into_iter()
            .filter(|(name, _)| name.starts_with("lessons/es-US") || name.ends_with("program.es-US.toml"))
            .map(|(_, text)| text)
            .collect();
        for words in words {
            assert!(lessons.contains(&format!("[{words}](fact:{fact})")), "{words}: {told}\n{lessons}");
        }
        let drift = ["figure-drift", "limit-turned", "figure-too-fine", "dual-apart", "wording-unfit"];
        let rules = copy.rules();
        assert!(rules.iter().all(|rule| !drift.contains(rule)), "{now}: {rules:?}\n{told}");
    }
}
