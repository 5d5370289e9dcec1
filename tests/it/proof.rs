//! Proofreading, held against its promises: what is wrong is told once and at its place, and a clean
//! program gives nothing.
//!
//! - `tests/proof/RULE/CASE/` holds what differs from the clean program in `tests/proof/sound/`, and
//!   in `expected.txt` what an editor is told. With `PACKSTRING_ACCEPT=1` the expected texts are
//!   written anew: read them before you keep them.
//! - The examples of each page under `docs/rules/` are built into programs and proofread.
//! - In the demo program, each digit and number word of each backed figure is changed in turn.

use crate::flow;
use crate::folders::{BARE_PROGRAM, copy, open, write};
use crate::schema;
use packstring::commands::proofread;
use packstring::commands::report::{As, Report};
use packstring::finding::{Finding, Level};
use packstring::program::Program;
use packstring::program::lesson::Backed;
use packstring::proof;
use packstring::session::Coverage;
use packstring::session::Environment;
use packstring::understand::Understood;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

/// The day on which all of this is read.
pub const TODAY: jiff::civil::Date = jiff::civil::date(2026, 11, 2);

pub fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn findings_of(program: &Program) -> Vec<Finding> {
    flow::proofread(&Understood::new(program), TODAY)
}

/// What an editor is told of a program, without what only laying out tells.
pub fn told(folder: &Path) -> String {
    let program = open(folder);
    let understood = Understood::new(&program);
    let findings = flow::proofread(&understood, TODAY);
    let looked = Some(Coverage::of(&understood));
    let mut out = Vec::new();
    Report::of(&findings, &program.sources, looked).write(As::Text, false, &mut out).unwrap();
    String::from_utf8(out).unwrap()
}

#[test]
fn the_sound_program_gives_nothing() {
    let told = told(&root().join("tests/proof/sound"));
    assert!(told.ends_with("nothing to report.\n") && told.lines().count() == 1, "{told}");
}

/// A word that is a unit and the name of a fact: which of the two is meant, nobody can tell.
#[test]
fn a_fact_that_is_called_like_a_unit_is_told_where_either_could_be_meant() {
    let findings = |facts: &str| {
        let folder = tempfile::tempdir().unwrap();
        copy(&root().join("tests/proof/sound"), folder.path());
        let sound = fs::read_to_string(folder.path().join("facts.toml")).unwrap();
        write(folder.path(), "facts.toml", format!("{sound}\n{facts}"));
        let found = findings_of(&open(folder.path()));
        let told = found.into_iter().filter(|finding| finding.rule.name == "fact-unreadable");
        told.map(|finding| finding.message).collect::<Vec<_>>()
    };
    for (name, value, formula) in [
        ("m2", "40 m2", "m2 * 3"),
        ("m3", "5 m3", "2 * m3"),
        ("day", "8 hours", "water-daily * day"),
        ("mile", "5,280 feet", "30 feet / mile"),
    ] {
        let told = findings(&format!(
            "[{name}]\nvalue = \"{value}\"\nsource = \"District survey\"\n[paddock]\nworked-from = \"{formula}\"\n"
        ));
        assert!(
            told.len() == 1 && told[0].contains(&format!("“{name}” is a unit and also the name of a fact")),
            "{name}: {told:?}"
        );
        // Where nothing is worked from it, and where a unit stands behind a number, nothing is in doubt.
        let fine = format!(
            "[{name}]\nvalue = \"{value}\"\nsource = \"District survey\"\n[paddock]\nworked-from = \"4 {name} * 3\"\n"
        );
        assert_eq!(findings(&fine), Vec::<String>::new(), "{name}");
    }
}

#[test]
fn each_case_is_told_as_expected() {
    let accept = std::env::var_os("PACKSTRING_ACCEPT").is_some();
    let cases = root().join("tests/proof");
    let mut wrong = String::new();
    let mut rules = BTreeSet::new();
    for case in walkdir::WalkDir::new(&cases).min_depth(2).max_depth(2).sort_by_file_name() {
        let case = case.unwrap().into_path();
        let rule = case.parent().unwrap().file_name().unwrap().to_string_lossy().into_owned();
        if rule == "sound" {
            continue;
        }
        let folder = tempfile::tempdir().unwrap();
        copy(&cases.join("sound"), folder.path());
        copy(&case, folder.path());
        let told = told(folder.path());
        let expected = case.join("expected.txt");
        if accept {
            fs::write(&expected, &told).unwrap();
        } else if fs::read_to_string(&expected).unwrap_or_default() != told {
            writeln!(wrong, "== {}\n{told}", case.strip_prefix(&cases).unwrap().display()).unwrap();
        }
        assert!(
            told.contains(&format!("  Rule           {rule}")),
            "{} is not told:\n{told}",
            case.display()
        );
        rules.insert(rule);
    }
    assert!(wrong.is_empty(), "told otherwise than expected:\n{wrong}");
    let all: BTreeSet<String> = proof::CHECKS.iter().map(|check| check.rule.name.to_owned()).collect();
    let without: Vec<_> = all.difference(&rules).collect();
    assert!(without.is_empty(), "rules without a case: {without:?}");
}

// ---- the pages under docs/rules/ ----

/// Rules whose page has no example: what is wrong is not in a text that a page could show.
const NOT_SHOWN: &[&str] = &[
    "cell-broken",
    "certificate-corrected",
    "clock-far",
    "contrast-low",
    "credit-unborne",
    "encoding-guessed",
    "encoding-unclear",
    "event-changed",
    "event-renamed",
    "fact-wordless",
    "file-missing",
    "file-unreadable",
    "formula-unworked",
    "history-broken",
    "history-cut",
    "history-newer",
    "history-unwritten",
    "label-overfull",
    "letter-borrowed",
    "letters-too-small",
    "needs-lacking",
    "people-file-unread",
    "picture-unreadable",
    "register-broken",
    "register-cut",
    "register-forged",
    "register-key-unsigned",
    "register-newer",
    "register-unsigned",
    "rows-hidden",
    "sheet-unread",
    "sheet-crowded",
    "sheet-overfull",
    "theme-file-unused",
    "typesetter-broke",
];

struct Page {
    rule: String,
    text: String,
}

fn pages() -> Vec<Page> {
    let mut pages: Vec<Page> = fs::read_dir(root().join("docs/rules"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| !path.ends_with("README.md"))
        .map(|path| Page {
            rule: path.file_stem().unwrap().to_string_lossy().into_owned(),
            text: fs::read_to_string(path).unwrap(),
        })
        .collect();
    pages.sort_by(|a, b| a.rule.cmp(&b.rule));
    pages
}

impl Page {
    /// The blocks of the example under a heading, by the file that they are of.
    fn example(&self, heading: &str) -> Option<BTreeMap<String, String>> {
        let mut lines = self.text.lines().skip_while(|line| *line != format!("## {heading}"));
        lines.next()?;
        let mut blocks = BTreeMap::new();
        let mut open: Option<(String, String)> = None;
        for line in lines {
            match (&mut open, line.strip_prefix("```")) {
                (None, Some(kind)) => open = Some((kind.to_owned(), String::new())),
                (None, None) if line.starts_with("## ") => break,
                (None, None) => {}
                (Some(_), Some(_)) => blocks.extend(open.take()),
                (Some((_, text)), None) => *text += &format!("{line}\n"),
            }
        }
        Some(blocks)
    }
}

/// Writes the program that an example stands for.
fn build(example: &BTreeMap<String, String>) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let put = |name: &str, text: &str| write(folder.path(), name, text);
    put("program.toml", BARE_PROGRAM);
    put("facts.toml", "");
    put("pictures/mule.svg", "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 4 4\"/>");
    put("lessons/example.md", "# Example\n\n## Ropes\n\n- Tie short.\n");
    if let Some(before) = example.get("facts-before") {
        // As they were when pieces were made.
        put("facts.toml", before);
        write_history(folder.path(), TODAY);
        put("facts.toml", "");
    }
    for (kind, text) in example {
        match kind.as_str() {
            "program" => put("program.toml", &format!("{BARE_PROGRAM}\n{text}")),
            "program-table" => {
                let program =
                    BARE_PROGRAM.replace("season = \"2026\"\n", &format!("season = \"2026\"\n{text}"));
                put("program.toml", &program);
            }
            "program-es" => put("program.es.toml", text),
            "lesson-other" => put("lessons/other.md", text),
            "lesson-es" => put("lessons/es/example.md", text),
            "facts" => put("facts.toml", text),
            "facts-before" => {}
            "questions" => put("questions.toml", text),
            "kits" => put("kits.toml", text),
            "roster" => put("people/roster.csv", text),
            "answers" => put("people/answers.csv", text),
            "hours" => put("people/hours.csv", text),
            "lesson" if text.lines().any(|line| line.starts_with("# ")) => put("lessons/example.md", text),
            "lesson" => {
                put("lessons/example.md", &format!("# Example\n\n## Ropes\n\n- Tie short.\n\n{text}"));
            }
            kind => panic!("no file is known for a block of kind “{kind}”"),
        }
    }
    folder
}

/// Writes down what the facts of a program are, as a making does.
pub fn write_history(folder: &Path, day: jiff::civil::Date) {
    let program = open(folder);
    let understood = Understood::new(&program);
    packstring::shelf::history::add(folder, |history| {
        packstring::understand::history::news(&understood, history, day)
    })
    .unwrap();
}

/// What the command tells of a program, as JSON that was held against its published form.
fn json_told(folder: &Path) -> Value {
    let desk = Environment { today: TODAY, folder: folder.to_owned(), terminal: false, keys: None };
    let mut out = Vec::new();
    if let Err(trouble) = proofread::run(
        Some(folder),
        proofread::ProofreadOptions { form: As::Json, for_press: false, no_layout: false },
        &desk,
        &mut out,
    ) {
        panic!("{trouble:?}");
    }
    let json: Value = serde_json::from_slice(&out).unwrap();
    let schema = fs::read_to_string(root().join("docs/findings.schema.json")).unwrap();
    schema::assert_follows(&serde_json::from_str(&schema).unwrap(), &json);
    json
}

#[test]
fn inks_of_a_theme_that_cannot_be_read_are_told_with_their_file() {
    let folder = build(&BTreeMap::new());
    let settings = BARE_PROGRAM.replace("[program]\n", "[program]\ntheme = \"themes/ours\"\n");
    fs::write(folder.path().join("program.toml"), settings).unwrap();
    let ours = folder.path().join("themes/ours");
    fs::create_dir_all(&ours).unwrap();
    let plain = include_str!("../../themes/plain/inks.toml");
    fs::write(ours.join("inks.toml"), plain).unwrap();
    assert_eq!(rules_told(folder.path()), []);

    fs::write(ours.join("inks.toml"), plain.replace("quiet = \"#555c61\"", "quiet = \"#8a8f94\"")).unwrap();
    let json = json_told(folder.path());
    let findings = json["findings"].as_array().unwrap();
    assert_eq!(findings.len(), 3, "on paper, sage and sand: {findings:#?}");
    for finding in findings {
        assert_eq!(
            (&finding["rule"], &finding["file"]),
            (&"contrast-low".into(), &"themes/ours/inks.toml".into())
        );
    }
}

/// The rules that the command tells of, with their levels.
fn rules_told(folder: &Path) -> Vec<(String, String)> {
    let json = json_told(folder);
    let words = |value: &Value| value.as_str().unwrap().to_owned();
    let findings = json["findings"].as_array().unwrap();
    findings.iter().map(|finding| (words(&finding["rule"]), words(&finding["level"]))).collect()
}

#[test]
fn the_examples_of_each_page_are_wrong_and_right() {
    let mut wrong = String::new();
    for page in pages() {
        let rule = &page.rule;
        let (Some(bad), Some(good)) = (page.example("Wrong"), page.example("Right")) else {
            assert!(NOT_SHOWN.contains(&rule.as_str()), "{rule} has no examples");
            continue;
        };
        let told = rules_told(build(&bad).path());
        let (own, others): (Vec<_>, Vec<_>) = told.into_iter().partition(|(name, _)| name == rule);
        let others: Vec<_> = others.into_iter().filter(|(_, level)| level != "note").collect();
        if own.len() != 1 || !others.is_empty() {
            writeln!(wrong, "{rule}, wrong example: {} of its own, besides {others:?}", own.len()).unwrap();
        }
        if let Some((_, level)) = own.first()
            && !page.text.contains(&format!("\nLevel: {level}"))
            && !page.text.contains(&format!("an {level} that"))
        {
            writeln!(wrong, "{rule}: its page gives another level than {level}").unwrap();
        }
        let told = rules_told(build(&good).path());
        let told: Vec<_> = told.into_iter().filter(|(name, level)| name == rule || level != "note").collect();
        if !told.is_empty() {
            writeln!(wrong, "{rule}, right example: {told:?}").unwrap();
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn rules_pages_and_their_list_are_in_step() {
    let rules: BTreeMap<&str, &str> = proof::rules().map(|rule| (rule.name, rule.summary)).collect();
    assert_eq!(rules.len(), proof::rules().count(), "each rule has a name of its own");
    let pages: BTreeSet<String> = pages().into_iter().map(|page| page.rule).collect();
    assert_eq!(pages, rules.keys().map(|name| (*name).to_owned()).collect());

    let list = fs::read_to_string(root().join("docs/rules/README.md")).unwrap();
    let listed: Vec<&str> = list.lines().filter(|line| line.starts_with("| [")).collect();
    let expected: Vec<String> =
        rules.iter().map(|(name, summary)| format!("| [{name}]({name}.md) | {summary} |")).collect();
    assert_eq!(listed, expected);
    assert!(proof::CHECKS.is_sorted_by_key(|check| check.rule));
}

#[test]
fn json_names_nobody_and_places_everything() {
    let folder = tempfile::tempdir().unwrap();
    copy(&root().join("tests/proof/sound"), folder.path());
    let roster = "event,name,companion,attended,passed,email\n\
        spring,Zelda Quorn,Ripple,yes,yes,\nspring,Zelda Quorn,Ripple,yes,yes,\n\
        spring,Quorn \u{1f8ff},Ripple\u{1f8ff},yes,yes,q@quorn.example\n";
    fs::write(folder.path().join("people/roster.csv"), roster).unwrap();
    let json = json_told(folder.path());
    let rules: Vec<_> = json["findings"].as_array().unwrap().iter().map(|told| &told["rule"]).collect();
    assert_eq!(rules, ["participant-doubled", "letter-missing"], "{json:#}");
    assert_eq!(json["findings"][0]["line"], 3);
    let text = json.to_string().to_lowercase();
    assert!(!text.contains("quorn") && !text.contains("ripple"), "{json:#}");
    assert_eq!(json["read"]["roster_rows"], 3);
}

#[test]
fn a_program_that_cannot_be_read_is_told_in_the_same_form() {
    let folder = tempfile::tempdir().unwrap();
    copy(&root().join("tests/proof/sound"), folder.path());
    fs::write(folder.path().join("facts.toml"), "[lead-length]\nvalu = \"6 ft\"\n").unwrap();
    let json = json_told(folder.path());
    assert_eq!(json["read"], Value::Null);
    assert!(json["findings"].as_array().unwrap().iter().any(|told| told["rule"] == "key-unknown"));
}

// ---- drift ----

/// Number words, and another one to put in place of each.
const WORDS: [(&str, &str); 16] = [
    ("one", "three"),
    ("two", "five"),
    ("three", "four"),
    ("four", "seven"),
    ("five", "eight"),
    ("six", "nine"),
    ("seven", "two"),
    ("eight", "six"),
    ("nine", "one"),
    ("ten", "eleven"),
    ("eleven", "ten"),
    ("twelve", "nine"),
    ("fifteen", "fifty"),
    ("twenty", "thirty"),
    ("thirty", "forty"),
    ("half", "quarter"),
];

const SPANISH_WORDS: [(&str, &str); 10] = [
    ("un", "tres"),
    ("una", "tres"),
    ("dos", "cinco"),
    ("tres", "cuatro"),
    ("cuatro", "siete"),
    ("cinco", "ocho"),
    ("seis", "nueve"),
    ("siete", "dos"),
    ("ocho", "seis"),
    ("diez", "once"),
];

/// Every copy of some words with one digit or one number word changed.
fn drifted(words: &str) -> Vec<String> {
    let mut copies = Vec::new();
    for (at, digit) in words.char_indices().filter(|(_, letter)| letter.is_ascii_digit()) {
        let other = char::from(b'0' + (digit as u8 - b'0' + 3) % 10);
        copies.push(format!("{}{other}{}", &words[..at], &words[at + 1..]));
    }
    let mut start = 0;
    for part in words.split_inclusive(|letter: char| !letter.is_alphabetic()) {
        let word = part.trim_end_matches(|letter: char| !letter.is_alphabetic());
        if let Some((_, other)) = WORDS.iter().chain(&SPANISH_WORDS).find(|(known, _)| *known == word) {
            copies.push(format!("{}{other}{}", &words[..start], &words[start + word.len()..]));
        }
        start += part.len();
    }
    copies
}

/// A backed figure of a lesson, and the lesson with other words in place of the figure's or its link.
struct Spot<'p> {
    lesson: &'p str,
    text: &'p str,
    backed: &'p Backed,
}

impl<'p> Spot<'p> {
    fn all(program: &'p Program, understood: &Understood<'p>) -> Vec<Self> {
        let backed = understood.passages.iter().flat_map(|passage| &passage.backed);
        let spots = backed.filter_map(|(_, backed)| {
            let lesson = program.content.lessons.iter().find(|lesson| lesson.file == backed.place.file)?;
            let text = program.sources.text(&lesson.file)?;
            Some(Self { lesson: &lesson.id, text, backed })
        });
        spots.collect()
    }

    fn words(&self) -> &'p str {
        &self.text[self.backed.words_place.range.clone()]
    }

    fn reworded(&self, program: &Program, words: &str) -> Program {
        let range = &self.backed.words_place.range;
        let text = format!("{}{words}{}", &self.text[..range.start], &self.text[range.end..]);
        program.with_lesson(self.lesson, &text).unwrap()
    }

    /// With the link taken away and these words left.
    fn unlinked(&self, program: &Program, words: &str) -> Program {
        let range = &self.backed.place.range;
        let text = format!("{}{words}{}", &self.text[..range.start], &self.text[range.end..]);
        program.with_lesson(self.lesson, &text).unwrap()
    }
}

/// The demo in its main language, and in its other one.
fn demo() -> [Program; 2] {
    let folder: PathBuf = root().join("content");
    let mut main = open(&folder);
    let other = main.editions.pop().expect("the demo has another edition");
    assert!(main.editions.is_empty(), "the demo has a third edition");
    let mut other = Program { content: other.content, ..main.clone() };
    // What was certified is in the main edition's words.
    other.people.register = std::sync::Arc::default();
    [main, other]
}

#[test]
fn a_changed_digit_in_any_backed_figure_of_the_demo_is_told_once_and_there() {
    let [main, other] = demo();
    each_changed_digit_is_told(&main, 1);
    // The same reader behind a table of words: a third of the figures shows it.
    each_changed_digit_is_told(&other, 3);
}

fn each_changed_digit_is_told(program: &Program, step: usize) {
    // What is remarked on of people whom the register does not have says nothing of figures.
    let of_print = |program: &Program| {
        let findings = findings_of(program).into_iter();
        findings.filter(|finding| *finding.place.file != *"people/roster.csv").collect::<Vec<_>>()
    };
    let untouched = of_print(program);
    assert!(untouched.is_empty(), "the demo is not clean: {untouched:#?}");

    let understood = Understood::new(program);
    let mut wrong = String::new();
    let mut tried = 0;
    for spot in Spot::all(program, &understood).into_iter().step_by(step) {
        let place = &spot.backed.words_place;
        for words in drifted(spot.words()) {
            let findings = of_print(&spot.reworded(program, &words));
            let there = |finding: &Finding| {
                finding.place.file == place.file
                    && finding.place.range == (place.range.start..place.range.start + words.len())
                    && finding.level == Level::Error
            };
            tried += 1;
            if findings.len() != 1 || !there(&findings[0]) {
                let rules: Vec<_> = findings.iter().map(|finding| finding.rule.name).collect();
                writeln!(wrong, "{}: {} → {words}: {rules:?}", place.file, spot.words()).unwrap();
            }
        }
    }
    assert!(tried * step > 300, "only {tried} changes were tried");
    assert!(wrong.is_empty(), "of {tried} changes, not told once and there:\n{wrong}");
}

#[test]
fn a_figure_that_loses_its_link_is_offered_for_backing_and_a_changed_one_is_reported() {
    let [program, _] = demo();
    let understood = Understood::new(&program);
    let of_figures = |program: &Program| {
        let findings = findings_of(program);
        findings.into_iter().filter(|finding| finding.rule.name != "fact-unused").collect::<Vec<_>>()
    };
    let (mut false_alarms, mut missed) = (String::new(), String::new());
    let (mut alone, mut named, mut changed) = (0, 0, 0);
    for spot in Spot::all(&program, &understood).iter().filter(|spot| !spot.backed.is_open()) {
        let told = of_figures(&spot.unlinked(&program, spot.words()));
        alone += 1;
        let rules: Vec<_> = told.iter().map(|finding| finding.rule.name).collect();
        match rules[..] {
            // Its sentence names the fact: a changed figure must be reported too.
            ["figure-unbacked-match"] => named += 1,
            ["figure-unbacked"] => continue,
            _ => {
                writeln!(false_alarms, "{}: {}: {rules:?}", spot.lesson, spot.words()).unwrap();
                continue;
            }
        }
        for words in drifted(spot.words()) {
            changed += 1;
            let told = of_figures(&spot.unlinked(&program, &words));
            if !told.iter().any(|finding| finding.level >= Level::Warning) {
                let rules: Vec<_> = told.iter().map(|finding| finding.rule.name).collect();
                writeln!(missed, "{}: {} → {words}: {rules:?}", spot.lesson, spot.words()).unwrap();
            }
        }
    }
    // A sentence may name one fact and state another of the same kind: rare, and only a warning.
    let alarms = false_alarms.lines().count();
    assert!(alarms * 100 <= alone * 3, "{alarms} of {alone} raise a false alarm:\n{false_alarms}");
    println!("{alone} without their link: {named} offered, {alarms} false alarms; {changed} changed");
    let caught = changed - missed.lines().count();
    assert!(named > 60 && caught * 100 >= changed * 97, "{named} named; {caught} of {changed}:\n{missed}");
}

#[test]
fn a_fact_is_overdue_after_its_day_and_not_on_it() {
    let folder = tempfile::tempdir().unwrap();
    copy(&root().join("tests/proof/sound"), folder.path());
    let facts = folder.path().join("facts.toml");
    let text = fs::read_to_string(&facts).unwrap();
    let fence = format!(
        "\n[fence]\nvalue = \"4 rails\"\nsource = \"Rule\"\nas-of = 2026-01-01\nreview-by = {TODAY}\n"
    );
    fs::write(&facts, text + &fence).unwrap();
    let program = open(folder.path());
    let told = |today: jiff::civil::Date| {
        let findings = flow::proofread(&Understood::new(&program), today);
        findings.iter().filter(|it| it.rule.name == "fact-overdue" && it.message.contains("“fence”")).count()
    };
    let days = [TODAY.yesterday().unwrap(), TODAY, TODAY.tomorrow().unwrap()];
    assert_eq!(days.map(told), [0, 0, 1]);
}
