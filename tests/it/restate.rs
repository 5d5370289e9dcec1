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
        let to_reread = told.contains("  Reread  ");
        assert_eq!(drifts > 0 || to_reread, outcome == Outcome::Findings, "{changed}: {rules:?}\n{told}");
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

/// A fact changed in each of its ways, and what every form that may quote it comes to be: it says what the fact does,
/// and number, article and noun go together. Grammar: common knowledge of the languages, no source.
mod sentences {
    use packstring::quantity::{Held, Language, read_one};

    /// What an own unit of a language is called, of one and of several.
    struct Noun {
        one: &'static str,
        many: &'static str,
        feminine: bool,
    }

    const FACTS: [(&str, &[&str]); 5] = [
        (
            "ft",
            &[
                "1 ft",
                "2 ft",
                "10 ft",
                "21 ft",
                "200 ft",
                "1/2 ft",
                "1 1/2 ft",
                "2 1/2 ft",
                "3.2 ft",
                "5 to 9 ft",
                "1/3 ft",
                "2/3 ft",
                "at most 8 ft",
                "at least 1 ft",
                "1,001 ft",
            ],
        ),
        (
            "hour",
            &[
                "1 hour",
                "2 hours",
                "0.5 hour",
                "1.5 hours",
                "2.5 hours",
                "3.2 hours",
                "0.07 hour",
                "1 to 2 hours",
                "21 hours",
                "31 hours",
                "0.25 hour",
                "0.75 hour",
            ],
        ),
        (
            "mile",
            &[
                "1 mile",
                "4 miles",
                "0.5 mile",
                "1/4 mile",
                "1/3 mile",
                "0.75 mile",
                "1.25 miles",
                "1.2 miles",
                "3 to 5 miles",
                "100 miles",
                "501 miles",
            ],
        ),
        ("night", &["1 night", "2 nights", "2.5 nights", "3 to 5 nights", "14 nights", "at most 1 night"]),
        (
            "pound",
            &[
                "1 pound",
                "1 million pounds",
                "2 million pounds",
                "2.5 million pounds",
                "1.2 billion pounds",
                "22,000,000 lb",
                "613,200 lb",
                "1 to 3 million pounds",
                "1,000 pounds",
                "21 pounds",
                "3,456,789 lb",
            ],
        ),
    ];

    const ENGLISH: [(&str, &[&str]); 5] = [
        (
            "ft",
            &[
                "six feet",
                "Six feet",
                "6 feet",
                "at least six feet",
                "between 5 and 10 feet",
                "Between 5 and 10 feet",
                "half a foot",
                "a foot",
                "2½ feet",
                "2 1/2 feet",
                "two and a half feet",
                "two to three feet",
                "1.50 feet",
                "up to 6 feet",
            ],
        ),
        (
            "hour",
            &[
                "six hours",
                "An hour",
                "Half an hour",
                "an hour and a half",
                "Two to three hours",
                "One hour",
                "2 hours 30 minutes",
                "more than 6 hours",
            ],
        ),
        (
            "mile",
            &[
                "half a mile",
                "a quarter of a mile",
                "Three quarters of a mile",
                "2 miles",
                "a mile and a half",
                "1/2 mile",
                "A third of a mile",
            ],
        ),
        ("night", &["two nights", "one night", "2 nights", "no more than two nights"]),
        (
            "pound",
            &[
                "22 million pounds",
                "One million pounds",
                "half a million pounds",
                "a million pounds",
                "1,200 pounds",
                "a thousand pounds",
                "10 to 15 million pounds",
            ],
        ),
    ];
    const SPANISH: [(&str, &[&str]); 5] = [
        (
            "ft",
            &[
                "seis pies",
                "Seis pies",
                "6 pies",
                "al menos seis pies",
                "entre 5 y 10 pies",
                "medio pie",
                "un pie",
                "dos pies y medio",
                "de dos a tres pies",
                "un pie y medio",
                "2½ pies",
                "hasta 6 pies",
            ],
        ),
        (
            "hour",
            &[
                "seis horas",
                "Media hora",
                "una hora y media",
                "dos horas",
                "una hora",
                "dos horas y media",
                "2 horas y 30 minutos",
                "Hora y media",
            ],
        ),
        (
            "mile",
            &[
                "media milla",
                "un cuarto de milla",
                "tres cuartos de milla",
                "una milla",
                "2 millas",
                "milla y media",
                "1/2 milla",
            ],
        ),
        ("night", &["dos noches", "una noche", "2 noches", "no más de dos noches"]),
        (
            "pound",
            &[
                "22 millones de libras",
                "un millón de libras",
                "medio millón de libras",
                "1 millón de libras",
                "mil libras",
                "doscientas libras",
                "de 10 a 15 millones de libras",
            ],
        ),
    ];
    const FRENCH: [(&str, &[&str]); 5] = [
        (
            "ft",
            &[
                "six pieds",
                "Six pieds",
                "6 pieds",
                "au moins six pieds",
                "entre 5 et 10 pieds",
                "un demi-pied",
                "un pied",
                "deux pieds et demi",
                "de deux à trois pieds",
                "1,5 pied",
            ],
        ),
        (
            "hour",
            &[
                "six heures",
                "Une demi-heure",
                "une heure et demie",
                "deux heures",
                "une heure",
                "2 heures 30 minutes",
            ],
        ),
        ("mile", &["trois milles"]),
        ("night", &["deux nuits", "une nuit", "2 nuits"]),
        (
            "pound",
            &[
                "22 millions de livres",
                "un million de livres",
                "un demi-million de livres",
                "mille livres",
                "1 200 livres",
            ],
        ),
    ];

    fn noun(tag: &str, unit: &str) -> Noun {
        let (one, many, feminine) = match (tag, unit) {
            ("en", "ft") => ("foot", "feet", false),
            ("en", "hour") => ("hour", "hours", false),
            ("en", "mile") => ("mile", "miles", false),
            ("en", "night") => ("night", "nights", false),
            ("en", _) => ("pound", "pounds", false),
            ("es-US", "ft") => ("pie", "pies", false),
            ("es-US", "hour") => ("hora", "horas", true),
            ("es-US", "mile") => ("milla", "millas", true),
            ("es-US", "night") => ("noche", "noches", true),
            ("es-US", _) => ("libra", "libras", true),
            (_, "ft") => ("pied", "pieds", false),
            (_, "hour") => ("heure", "heures", true),
            (_, "mile") => ("mille", "milles", false),
            (_, "night") => ("nuit", "nuits", true),
            (_, _) => ("livre", "livres", true),
        };
        Noun { one, many, feminine }
    }

    /// What is wrong with the grammar of a figure, judged by its words alone.
    fn wrong(tag: &str, said: &str, noun: &Noun) -> Option<&'static str> {
        let lower = said.to_lowercase();
        let words: Vec<&str> =
            lower.split([' ', '-', '\'', '\u{a0}', '\u{202f}']).filter(|word| !word.is_empty()).collect();
        let has = |word: &str| words.contains(&word);
        let (masculine, feminine) = (!noun.feminine, noun.feminine);
        let pair = |a: &str, b: &str| words.windows(2).any(|two| two[0] == a && two[1] == b);
        let scale = |word: &&str| {
            word.starts_with("millon")
                || word.starts_with("millón")
                || word.starts_with("million")
                || word.starts_with("milliard")
        };
        let one = ["1", "un", "una", "une", "a", "an", "one"];
        // not that of "twenty-one"
        let leads = [
            "least", "most", "than", "to", "menos", "hasta", "a", "à", "moins", "de", "que", "between",
            "entre", "plus",
        ];
        let bare_one = words.windows(2).enumerate().any(|(at, two)| {
            one.contains(&two[0]) && two[1] == noun.many && (at == 0 || leads.contains(&words[at - 1]))
        });
        let several = words.windows(2).enumerate().any(|(at, two)| {
            let number = two[0].trim_start_matches('−');
            let added = at > 0
                && ["y", "et", "cent", "ciento", "hundred", "and", "million", "millón", "mil", "thousand"]
                    .contains(&words[at - 1]);
            let many = number.parse::<u64>().is_ok_and(|value| value > 1)
                || [
                    "dos", "tres", "seis", "diez", "deux", "trois", "six", "dix", "two", "three", "ten",
                    "mil", "mille",
                ]
                .contains(&number)
                || ["21", "31", "501"].contains(&number);
            many && !added && two[1] == noun.one
        });
        if bare_one {
            return Some("one of several");
        }
        if several {
            return Some("several of one");
        }
        match tag {
            "en" => (pair("a", "hours") || pair("an", "mile") || pair("a", "hour") || has("millions"))
                .then_some("article"),
            "es-US" => {
                let half = masculine && has("media")
                    || feminine && has("medio") && !said.contains("millón") && !said.contains("millones");
                let article = feminine && (pair("un", noun.one) || pair("un", noun.many))
                    || masculine && (pair("una", noun.one) || pair("una", noun.many));
                let hundreds = feminine
                    && words.windows(2).any(|two| two[0].ends_with("cientos") && two[1] == noun.many);
                let bare = words.windows(2).any(|two| scale(&two[0]) && two[1] == noun.many);
                let one_million = pair("un", "millones")
                    || pair("1", "millones")
                    || words
                        .windows(2)
                        .any(|two| two[1] == "millón" && !["un", "1", "medio"].contains(&two[0]));
                let order = words.windows(3).any(|three| {
                    three[0] == "y"
                        && three[1].starts_with("medi")
                        && three[2] == noun.many
                        && three[1] != "media"
                });
                [
                    (half, "half"),
                    (article, "article"),
                    (hundreds, "hundreds"),
                    (bare, "de"),
                    (one_million, "million"),
                    (order, "order"),
                    (lower.starts_with("de ") && !has("a"), "lead"),
                ]
                .into_iter()
                .find(|(is, _)| *is)
                .map(|(_, why)| why)
            }
            _ => {
                let article = feminine && (pair("un", noun.one) || pair("un", noun.many))
                    || masculine && (pair("une", noun.one) || pair("une", noun.many));
                let half = feminine && pair("et", "demi") && !words.iter().any(scale)
                    || masculine && (pair("et", "demie") || pair("une", "demi"));
                let bare = words.windows(2).any(|two| scale(&two[0]) && two[1] == noun.many);
                let one_million = pair("un", "millions") || pair("deux", "million");
                [
                    (article, "article"),
                    (half, "half"),
                    (bare, "de"),
                    (one_million, "million"),
                    (said.contains("de un") || said.contains("de heure"), "elision"),
                    (lower.starts_with("de ") && !has("à"), "lead"),
                ]
                .into_iter()
                .find(|(is, _)| *is)
                .map(|(_, why)| why)
            }
        }
    }

    #[test]
    fn every_form_of_a_fact_is_said_right_in_every_language() {
        let mut told = Vec::new();
        let (mut tried, mut written) = (0, 0);
        for (tag, forms) in [("en", ENGLISH), ("es-US", SPANISH), ("fr", FRENCH)] {
            let language = if tag == "en" { Language::default() } else { Language::of(tag, &[]) };
            for (unit, forms) in forms {
                let (_, facts) = FACTS.iter().find(|(of, _)| *of == unit).unwrap();
                let noun = noun(tag, unit);
                for (form, fact) in forms.iter().flat_map(|form| facts.iter().map(move |fact| (form, fact))) {
                    let held = Held::stated(&read_one(fact).unwrap(), None);
                    tried += 1;
                    let Ok(now) = language.restate_in(form, &(0..form.len()), &held) else { continue };
                    written += 1;
                    let again = language.restate_in(&now, &(0..now.len()), &held);
                    if !language.states_only(&now, &held) {
                        told.push(format!("{tag} {fact} in “{form}”: “{now}” is not read as the fact"));
                    }
                    if again.as_ref() != Ok(&now) {
                        told.push(format!("{tag} {fact} in “{form}”: “{now}”, and then {again:?}"));
                    }
                    let first = |text: &str| text.chars().next().unwrap();
                    if first(form).is_uppercase() && first(&now).is_lowercase() {
                        told.push(format!("{tag} {fact} in “{form}”: “{now}” has no capital"));
                    }
                    if let Some(why) = wrong(tag, &now, &noun) {
                        told.push(format!("{tag} {fact} in “{form}”: “{now}” ({why})"));
                    }
                }
            }
        }
        assert!(told.is_empty(), "{}", told.join("\n"));
        assert!(written * 10 > tried * 9, "of {tried} only {written}");
    }

    #[test]
    fn what_may_have_to_change_around_a_figure_is_told() {
        for (tag, text, words, fact, told) in [
            ("en", "These six hours count.", "six hours", "1 hour", true),
            ("en", "When 30 seconds pass, go.", "30 seconds", "1 second", true),
            ("en", "An hour passes.", "An hour", "2 hours", true),
            ("en", "Wait every 2 hours.", "2 hours", "1 hour", true),
            ("en", "These six hours count.", "six hours", "8 hours", false),
            ("en", "A six-foot lead is long.", "six-foot", "1 ft", false),
            ("en", "Six feet.", "Six feet", "1 ft", false),
            ("es-US", "Estas seis horas cuentan.", "seis horas", "1 hour", true),
            ("es-US", "Bastan de dos a tres horas.", "de dos a tres horas", "2 hours", true),
            ("es-US", "Bastan seis horas.", "seis horas", "8 hours", false),
            ("es-US", "Siete o seis horas.", "seis horas", "8 hours", true),
            ("fr", "Ces six heures comptent.", "six heures", "1 hour", true),
            ("fr", "Il y a plus d'une heure.", "une heure", "2 hours", true),
            ("fr", "Ces six heures comptent.", "six heures", "8 hours", false),
        ] {
            let language = if tag == "en" { Language::default() } else { Language::of(tag, &[]) };
            let start = text.find(words).unwrap();
            let at = start..start + words.len();
            let held = Held::stated(&read_one(fact).unwrap(), None);
            let now = language.restate_in(text, &at, &held).unwrap();
            assert_eq!(language.to_reread(text, &at, &now).is_some(), told, "{text} with {now}");
        }
    }
}

/// What has to be read again is told, and the command ends with findings until somebody did.
#[test]
fn a_sentence_whose_words_may_have_to_change_is_told() {
    let copy = Copy::settled();
    let path = copy.path().join("lessons/ropes-and-hitching.md");
    let text = fs::read_to_string(&path).unwrap();
    fs::write(&path, format!("{text}\nThese [six feet](fact:lead-length) count.\n")).unwrap();
    copy.change("facts.toml", "[lead-length]\nvalue = \"6 ft\"", "[lead-length]\nvalue = \"1 ft\"");
    let (outcome, told) = copy.restate(SAVE);
    assert_eq!(outcome, Outcome::Findings, "{told}");
    assert!(told.contains("Reread         The number changes between one and several"), "{told}");
    assert!(told.contains(" again.\n"), "{told}");
    assert!(
        fs::read_to_string(&path).unwrap().contains("These [one foot](fact:lead-length) count."),
        "{told}"
    );
    assert_eq!(copy.restate(SAVE).0, Outcome::Clear, "told once, and nothing is left to change");
}

/// What `--back` links says there what the fact does: nothing new is told of it, and a second run changes nothing.
#[test]
fn what_is_backed_holds_as_a_link() {
    let copy = Copy::settled();
    let path = copy.path().join("lessons/ropes-and-hitching.md");
    let text = fs::read_to_string(&path).unwrap();
    let lines = [
        // the sentence, and whether its figure becomes a link
        ("The lead rope is six feet long.", true),
        ("The lead rope is at most six feet long.", true),
        ("Keep the lead rope to six feet (1.8 m).", true),
        ("The lead rope is at least six feet long.", false),
        ("The lead rope is twice six feet long.", false),
        ("The lead rope is six feet or more.", false),
        ("The lead rope is about 2 m long.", false),
        ("The lead rope is not six feet long.", true),
        ("The lead rope weighs six pounds.", false),
        ("The lead rope is seven feet long.", false),
    ];
    let added: String = lines.iter().map(|(line, _)| format!("\n{line}\n")).collect();
    fs::write(&path, format!("{text}{added}")).unwrap();
    let before = copy.rules();
    let (outcome, told) = copy.restate(RestateOptions { back: true, ..SAVE });
    assert_eq!(outcome, Outcome::Clear, "{told}");
    let saved = fs::read_to_string(&path).unwrap();
    for (line, is_backed) in lines {
        assert_eq!(!saved.contains(line), is_backed, "{line}: {told}");
    }
    let mut after = copy.rules();
    after.iter().for_each(|rule| assert!(before.contains(rule), "{rule} is new"));
    after.retain(|rule| *rule == "figure-unbacked-match");
    assert_eq!(after, Vec::<&str>::new());
    let files = copy.files();
    copy.restate(RestateOptions { back: true, ..SAVE });
    assert_eq!(copy.files(), files);
}
