//! How findings are told to other programs, and the levels that a program gives to rules.

use crate::folders::copy;
use crate::proof::{TODAY, root};
use crate::schema::assert_follows;
use packstring::commands::report::As;
use packstring::commands::{Outcome, proofread};
use packstring::finding::Settable;
use packstring::proof;
use packstring::session::Environment;
use serde_json::Value;
use std::fs;
use std::path::Path;
use tempfile::TempDir;

/// The sound program, which a test may spoil.
fn sound() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    copy(&root().join("tests/proof/sound"), folder.path());
    folder
}

fn change(folder: &Path, file: &str, from: &str, to: &str) {
    let text = fs::read_to_string(folder.join(file)).unwrap();
    assert!(text.contains(from), "{file} has no {from}");
    fs::write(folder.join(file), text.replace(from, to)).unwrap();
}

fn add(folder: &Path, file: &str, more: &str) {
    let text = fs::read_to_string(folder.join(file)).unwrap();
    fs::write(folder.join(file), text + more).unwrap();
}

fn proofread_as(form: As, folder: &Path, for_press: bool) -> (Outcome, String) {
    let desk = Environment { today: TODAY, folder: folder.to_owned(), terminal: false, keys: None };
    let mut out = Vec::new();
    let outcome = proofread::run(
        Some(folder),
        proofread::ProofreadOptions { form, for_press, no_layout: false },
        &desk,
        &mut out,
    )
    .unwrap_or_else(|trouble| panic!("{trouble:?}"));
    (outcome, String::from_utf8(out).unwrap())
}

/// The SARIF log of a program, held against the schema of OASIS.
fn sarif(folder: &Path) -> Value {
    let (_, told) = proofread_as(As::Sarif, folder, false);
    assert_eq!(told, proofread_as(As::Sarif, folder, false).1, "another run gave other bytes");
    assert!(!told.contains(&*folder.to_string_lossy()), "a path of this machine is told");
    let log = serde_json::from_str(&told).unwrap();
    let schema = fs::read_to_string(root().join("tests/reference/sarif/sarif-schema-2.1.0.json")).unwrap();
    assert_follows(&serde_json::from_str(&schema).unwrap(), &log);
    log
}

fn results(log: &Value) -> &Vec<Value> {
    log["runs"][0]["results"].as_array().unwrap()
}

fn rules(findings: &[Value], key: &str) -> Vec<(String, String)> {
    let word = |value: &Value| value.as_str().unwrap().to_owned();
    findings.iter().map(|finding| (word(&finding[key]), word(&finding["level"]))).collect()
}

/// What is told of a program: each rule with its level.
fn told(folder: &Path) -> Vec<(String, String)> {
    let json: Value = serde_json::from_str(&proofread_as(As::Json, folder, false).1).unwrap();
    let rules = rules(json["findings"].as_array().unwrap(), "rule");
    // The same in the other form.
    assert_eq!(rules, self::rules(results(&sarif(folder)), "ruleId"));
    rules
}

fn pair(rule: &str, level: &str) -> (String, String) {
    (rule.to_owned(), level.to_owned())
}

// ---- SARIF ----

#[test]
fn a_sarif_log_names_the_rules_and_places_each_finding() {
    let folder = sound();
    change(folder.path(), "lessons/ropes.md", "# ", "# \u{1f434} ½ ");
    add(folder.path(), "lessons/ropes.md", "\nA \u{1f434} walks [eleven feet](fact:lead-length) a day.\n");
    let log = sarif(folder.path());
    let run = &log["runs"][0];
    assert_eq!(run["tool"]["driver"]["name"], "packstring");
    assert_eq!(run["columnKind"], "unicodeCodePoints");
    assert_eq!(run["invocations"][0]["executionSuccessful"], true);
    let rules = run["tool"]["driver"]["rules"].as_array().unwrap();
    assert_eq!(rules.len(), proof::rules().count());

    let drift = results(&log).iter().find(|result| result["ruleId"] == "figure-drift").unwrap();
    assert_eq!(rules[drift["ruleIndex"].as_u64().unwrap() as usize]["id"], "figure-drift");
    assert_eq!(drift["level"], "error");
    let place = &drift["locations"][0]["physicalLocation"];
    assert_eq!(place["artifactLocation"]["uri"], "lessons/ropes.md");
    assert_eq!(place["artifactLocation"]["uriBaseId"], "PROGRAMROOT");
    let region = &place["region"];
    assert_eq!((region["startColumn"].as_u64(), region["endColumn"].as_u64()), (Some(12), Some(23)));
    let text = drift["message"]["text"].as_str().unwrap();
    assert!(text.contains("lead-length") && text.contains("6 ft") && text.contains("Make it"), "{text}");
}

#[test]
fn a_sarif_log_offers_the_words_to_put_there_and_an_editor_can_put_them() {
    let folder = sound();
    add(folder.path(), "lessons/ropes.md", "\nA \u{1f434} walks [eleven feet](fact:lead-length) a day.\n");
    let log = sarif(folder.path());
    let drift = results(&log).iter().find(|result| result["ruleId"] == "figure-drift").unwrap();
    let change = &drift["fixes"][0]["artifactChanges"][0];
    assert_eq!(change["artifactLocation"], drift["locations"][0]["physicalLocation"]["artifactLocation"]);
    let replacement = &change["replacements"][0];
    assert_eq!(replacement["insertedContent"]["text"], "six feet");
    let number = |key: &str| replacement["deletedRegion"][key].as_u64().unwrap() as usize;
    assert_eq!(number("startLine"), number("endLine"));
    let file = folder.path().join("lessons/ropes.md");
    let text = fs::read_to_string(&file).unwrap();
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let letters: Vec<char> = lines[number("startLine") - 1].chars().collect();
    let part = |range: std::ops::Range<usize>| letters[range].iter().collect::<String>();
    let (start, end) = (number("startColumn") - 1, number("endColumn") - 1);
    lines[number("startLine") - 1] = part(0..start) + "six feet" + &part(end..letters.len());
    fs::write(&file, lines.join("\n") + "\n").unwrap();
    // That no font has the horse is told still.
    assert_eq!(told(folder.path()), [pair("letter-missing", "error")]);
}

#[test]
fn fingerprints_stay_when_lines_move_and_are_each_their_own() {
    let folder = sound();
    let same = "\nKeep [eleven feet](fact:lead-length) back.\n";
    add(folder.path(), "lessons/ropes.md", &same.repeat(2));
    let prints = |log: &Value| -> Vec<Value> {
        let drifts = results(log).iter().filter(|result| result["ruleId"] == "figure-drift");
        drifts.map(|result| result["partialFingerprints"].clone()).collect()
    };
    let before = prints(&sarif(folder.path()));
    assert_eq!(before.len(), 2);
    assert_ne!(before[0], before[1]);
    change(folder.path(), "lessons/ropes.md", "\n## ", "\nOne more line.\n\n## ");
    assert_eq!(prints(&sarif(folder.path())), before);
}

#[test]
fn a_sarif_log_names_nobody_and_nothing_of_this_machine() {
    let folder = sound();
    let roster = "event,name,companion,attended,passed,email\n\
        spring,Zelda Quorn,Ripple,yes,yes,\nspring,Zelda Quorn,Ripple,yes,yes,\n\
        spring,Quorn \u{1f8ff},Ripple\u{1f8ff},yes,yes,q@quorn.example\n";
    fs::write(folder.path().join("people/roster.csv"), roster).unwrap();
    let log = sarif(folder.path());
    assert_eq!(results(&log).len(), 2);
    assert!(results(&log).iter().all(|result| result.get("fixes").is_none()));
    let text = log.to_string().to_lowercase();
    assert!(!text.contains("quorn") && !text.contains("ripple"), "{log:#}");

    // A column slipped: the name stands where the event belongs.
    fs::write(folder.path().join("people/roster.csv"), "event,name,attended\nZelda Quorn,spring,Quorn\n")
        .unwrap();
    for form in [As::Sarif, As::Json] {
        let (outcome, told) = proofread_as(form, folder.path(), false);
        assert_eq!(outcome, Outcome::NotDone);
        assert!(!told.contains("Quorn"), "{told}");
    }
    let log = sarif(folder.path());
    assert_eq!(log["runs"][0]["invocations"][0]["executionSuccessful"], false);
    assert_eq!(results(&log).len(), 2);
}

#[test]
fn what_has_no_place_has_no_region_and_paths_are_encoded() {
    let folder = sound();
    fs::remove_file(folder.path().join("facts.toml")).unwrap();
    change(folder.path(), "program.toml", "lesson = \"camps\"", "lesson = \"camps & water (2)\"");
    fs::rename(folder.path().join("lessons/camps.md"), folder.path().join("lessons/camps & water (2).md"))
        .unwrap();
    add(folder.path(), "lessons/camps & water (2).md", "\n<b>{0}</b>\n");
    let log = sarif(folder.path());
    let missing = results(&log).iter().find(|result| result["ruleId"] == "file-missing").unwrap();
    assert!(missing["locations"][0]["physicalLocation"].get("region").is_none());
    let html = results(&log).iter().find(|result| result["ruleId"] == "raw-html").unwrap();
    let uri = &html["locations"][0]["physicalLocation"]["artifactLocation"]["uri"];
    assert_eq!(uri, "lessons/camps%20%26%20water%20%282%29.md");
}

#[test]
fn the_demo_gives_an_empty_log_that_says_how_much_was_read() {
    let log = sarif(&root().join("content"));
    assert!(results(&log).is_empty());
    assert!(log["runs"][0]["properties"]["read"]["figures"].as_u64().unwrap() > 50);
}

// ---- levels ----

#[test]
fn a_program_may_give_a_rule_another_level() {
    let folder = sound();
    add(folder.path(), "lessons/ropes.md", "\nIt carries 77 buckets.\n");
    assert_eq!(told(folder.path()), [pair("figure-unbacked", "note")]);
    add(folder.path(), "program.toml", "\n[proofread.rules]\nfigure-unbacked = \"error\"\n");
    assert_eq!(told(folder.path()), [pair("figure-unbacked", "error")]);
    assert_eq!(proofread_as(As::Text, folder.path(), false).0, Outcome::Findings);
    change(folder.path(), "program.toml", "\"error\"", "\"warning\"");
    assert_eq!(told(folder.path()), [pair("figure-unbacked", "warning")]);
    assert_eq!(proofread_as(As::Text, folder.path(), false).0, Outcome::Clear);
    assert_eq!(proofread_as(As::Text, folder.path(), true).0, Outcome::Findings);
    change(folder.path(), "program.toml", "\"warning\"", "\"off\"");
    assert_eq!(told(folder.path()), []);
}

#[test]
fn a_level_holds_for_what_only_laying_out_finds() {
    let folder = sound();
    // One item, since a list would be split.
    let item = "Tie the mule short, and stand where it can see you. ".repeat(40);
    add(folder.path(), "lessons/ropes.md", &format!("\n## A full slide\n\n- {item}\n"));
    assert_eq!(told(folder.path()), [pair("slide-overfull", "warning")]);
    add(folder.path(), "program.toml", "\n[proofread.rules]\nslide-overfull = \"off\"\n");
    assert_eq!(told(folder.path()), []);
}

#[test]
fn a_safety_fact_that_is_wrong_keeps_its_level_and_says_so() {
    let folder = sound();
    add(folder.path(), "lessons/ropes.md", "\nTie with [at most nine feet](fact:lead-length) of rope.\n");
    assert_eq!(told(folder.path()), [pair("figure-drift", "error")]);
    for level in ["off", "note", "warning"] {
        let program = fs::read_to_string(root().join("tests/proof/sound/program.toml")).unwrap();
        let rules = format!("{program}\n[proofread.rules]\nfigure-drift = \"{level}\"\n");
        fs::write(folder.path().join("program.toml"), rules).unwrap();
        assert_eq!(told(folder.path()), [pair("figure-drift", "error")]);
        let (outcome, text) = proofread_as(As::Text, folder.path(), false);
        assert_eq!(outcome, Outcome::Findings);
        let said =
            format!("program.toml sets figure-drift to {level}, which does not apply to a safety fact");
        assert!(text.contains(&said) && text.contains("1 stops the press"), "{text}");
    }
}

#[test]
fn each_rule_either_has_a_level_that_may_be_set_or_a_reason_why_not() {
    let all: Vec<&str> = proof::rules().map(|rule| rule.name).collect();
    let folder = sound();
    let lines: String = all.iter().map(|rule| format!("{rule} = \"off\"\n")).collect();
    add(folder.path(), "program.toml", &format!("\n[proofread.rules]\n{lines}"));
    let json: Value = serde_json::from_str(&proofread_as(As::Json, folder.path(), false).1).unwrap();
    let findings = json["findings"].as_array().unwrap();
    let fixed = proof::rules().filter(|rule| matches!(rule.settable, Settable::No(_))).count();
    assert_eq!(findings.len(), fixed);
    for finding in findings {
        let message = finding["message"].as_str().unwrap();
        assert!(finding["rule"] == "rule-unknown" && message.contains("is fixed:"), "{message}");
    }
}
