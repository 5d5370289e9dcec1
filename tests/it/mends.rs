//! What proofreading offers for a figure that is wrong, put in its place, settles it.

use crate::folders::{copy, open};
use crate::proof::{TODAY, root};
use packstring::finding::Finding;
use packstring::people::scoring::Scores;
use packstring::program::Program;
use packstring::proof;
use packstring::understand::Understood;
use proptest::prelude::*;
use proptest::sample::select;
use std::fs;
use std::sync::LazyLock;

const LESSON: &str = "ropes";

/// Facts of all kinds: bound or not, known exactly or roughly, ranges, counts, temperatures, fractions.
const FACTS: &str = r#"
[a]
value = "6 ft"
limit = "at most"
called = ["lead rope"]
[b]
value = "200 feet"
limit = "at least"
called = ["stream"]
[c]
value = "0.33 miles"
called = ["loop"]
[d]
value = "about 22 million pounds a year"
called = ["manure"]
[e]
value = "5 to 10 gallons a day"
called = ["drinking"]
[f]
value = "125 °F"
called = ["asphalt"]
[g]
value = "13 camps"
called = ["map"]
[h]
value = "2 1/2 hours"
limit = "about"
called = ["ride"]
[i]
value = "0.6 lb"
called = ["hay"]
[j]
worked-from = "7 * i"
called = ["week's hay"]
"#;

static SOUND: LazyLock<Program> = LazyLock::new(|| {
    let folder = tempfile::tempdir().unwrap();
    copy(&root().join("tests/proof/sound"), folder.path());
    let facts = fs::read_to_string(folder.path().join("facts.toml")).unwrap();
    fs::write(folder.path().join("facts.toml"), facts + FACTS).unwrap();
    open(folder.path())
});

fn lesson(sentence: &str) -> String {
    format!("# Ropes\n\n## One\n\n{sentence}\n")
}

/// What is found in the lesson with this sentence.
fn found(sentence: &str) -> Vec<Finding> {
    let read = SOUND.with_lesson(LESSON, &lesson(sentence));
    let program = read.unwrap_or_else(|unread| panic!("{:#?}", unread.mistakes));
    let understood = Understood::new(&program);
    let mut findings = proof::proofread(&understood, &Scores::of(&understood), TODAY);
    findings.retain(|finding| &*finding.place.file == "lessons/ropes.md");
    findings
}

/// Rules that tell a figure which is not what a fact says.
const OF_FIGURES: [&str; 6] =
    ["figure-drift", "figure-too-fine", "figure-near-miss", "limit-turned", "dual-apart", "unit-unfit"];

fn of_figures(findings: &[Finding]) -> Vec<&Finding> {
    findings.iter().filter(|finding| OF_FIGURES.contains(&finding.rule.name)).collect()
}

/// The words between the first quotation marks of a hint.
fn offered(finding: &Finding) -> Option<&str> {
    let hint = finding.mend.as_deref()?;
    let hint =
        ["Make it “", "Round it: “", "write “"].iter().find_map(|start| Some(hint.split_once(start)?.1))?;
    Some(hint.split_once('”')?.0)
}

fn sentences() -> impl Strategy<Value = String> {
    const BEFORE: &[&str] =
        &["", "", "about ", "at most ", "at least ", "no more than ", "over ", "nearly ", "up to ", "a "];
    const NUMBER: &[&str] = &[
        "six",
        "ten",
        "6",
        "7.5",
        "a third of",
        "half",
        "two thirds of",
        "two and a half",
        "1,200",
        "0.45",
        "90",
        "22 million",
        "eighteen",
        "3 to 4",
        "about 150",
        "at most nine",
        "1½",
    ];
    const UNIT: &[&str] = &[
        "feet",
        "ft",
        "-foot",
        "meters",
        "a mile",
        "miles",
        "pounds a year",
        "pounds",
        "gallons a day",
        "°F",
        "°C",
        "camps",
        "hours",
        "minutes",
        "lb",
        "kg",
        "ft (2 m)",
    ];
    const AFTER: &[&str] =
        &["", " a day", " or more", " of lead rope", " at the stream", " of the loop", " on the map"];
    (select(BEFORE), select(NUMBER), select(UNIT), select(AFTER), 0..10_u8, 0..3_u8).prop_map(
        |(before, number, unit, after, fact, link)| {
            let fact = char::from(b'a' + fact);
            let gap = if unit.starts_with('-') { "" } else { " " };
            let figure = format!("{number}{gap}{unit}");
            match link {
                0 => format!("Keep {before}[{figure}](fact:{fact}){after}."),
                1 => format!("Keep [{before}{figure}](fact:{fact}){after}."),
                _ => format!("Keep {before}{figure}{after}."),
            }
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 600, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_is_offered_settles_the_figure(sentence in sentences()) {
        let findings = found(&sentence);
        let text = lesson(&sentence);
        for finding in of_figures(&findings) {
            if let Some(instead) = &finding.instead {
                let mut mended = text.clone();
                mended.replace_range(finding.place.range.clone(), instead);
                let mended = mended.lines().nth(4).unwrap().to_owned();
                let left = found(&mended);
                prop_assert!(of_figures(&left).is_empty(), "{sentence} → {mended}: {left:#?}");
            }
            if let Some(words) = offered(finding) {
                let fact = finding.fact_says.as_deref().and_then(|words| words.rsplit_once('(')).unwrap().1;
                let linked = match words.starts_with('[') {
                    true => words.to_owned(),
                    false => format!("[{words}](fact:{}", fact),
                };
                let left = found(&format!("It is {linked}."));
                prop_assert!(of_figures(&left).is_empty(), "{sentence} → {linked}: {left:#?}");
            }
        }
    }
}

/// The property above means nothing where next to nothing is offered.
#[test]
fn figures_that_drifted_are_offered_other_words() {
    for (sentence, instead) in [
        ("Keep [nine feet](fact:a).", Some("six feet")),
        ("Keep at most [9 ft](fact:a).", Some("6 ft")),
        ("Ride [a third of a mile](fact:c).", Some("0.33 mile")),
        ("Keep [at least six feet](fact:a).", Some("at most six feet")),
        // The hedge stands outside, and the article too.
        ("It is nearly [a mile](fact:c).", None),
        ("A [nine-foot](fact:a) rope, or an [eighteen-foot](fact:a) one.", None),
    ] {
        let findings = found(sentence);
        let drifted = of_figures(&findings);
        assert!(!drifted.is_empty(), "{sentence}");
        assert_eq!(drifted.last().unwrap().instead.as_deref(), instead, "{sentence}");
    }
}
