//! Units of a program's own (`[units]`), from the facts file to print: read in lessons, questions and expressions, held,
//! put right, said. No source outside: these are packstring's own promises.

use crate::folders::{self, BARE_PROGRAM, laid_out, write};
use std::fs;
use std::path::Path;

const FACTS: &str = r#"[units.bale]
plural = "bales"
worth = "60 lb"

[units.pump-turn]
worth = "2 gallons"

[hay-daily]
value = "2 bales a day"
limit = "at most"
called = ["hay"]
source = "Basin rule 3.1"

[hay-weekly]
worked-from = "hay-daily * 7 days"

[trough]
value = "6 pump turns"
called = ["trough"]
source = "Basin rule 3.2"

[store]
columns = ["week (weeks)", "hay in store (bales)"]
rows = [[1, 40], [2, 26]]
source = "Count of 2025"
"#;

const LESSON: &str = "# Example\n\n## Feed\n\n- Feed [at most two bales a day](fact:hay-daily).\n- That is [120 pounds a day](fact:hay-daily).\n- The wagon brings [14 bales](fact:hay-weekly).\n- A trough takes [six pump turns](fact:trough), [12 gallons](fact:trough).\n- In the second week [26 bales](fact:store) are left.\n";

const QUESTIONS: &str = "passing = \"answered all\"\n\n[[questions]]\nid = \"trough\"\nkind = \"figure\"\nask = \"How many pump turns does the trough take?\"\nfact = \"trough\"\nunit = \"pump turns\"\nbecause = \"It takes [six pump turns](fact:trough).\"\n";

fn folder(facts: &str, lesson: &str) -> tempfile::TempDir {
    laid_out(&[
        ("program.toml", BARE_PROGRAM),
        ("facts.toml", facts),
        ("lessons/example.md", lesson),
        ("questions.toml", QUESTIONS),
    ])
}

fn run(folder: &Path, arguments: &str) -> (String, i32) {
    folders::run(folder, arguments.split(' '))
}

#[test]
fn a_program_that_measures_in_units_of_its_own_is_clean() {
    let here = folder(FACTS, LESSON);
    let (told, code) = run(here.path(), "proofread --no-layout");
    assert!(told.contains("nothing to report") && code == 0, "{told}");
    // Without them nobody knows what a pump turn is worth, or that 120 pounds are two bales.
    let facts = &FACTS[FACTS.find("[hay-daily]").unwrap()..];
    let (told, code) = run(folder(facts, LESSON).path(), "proofread --no-layout");
    assert!(told.contains("120 pounds a day") && code == 1, "{told}");
}

#[test]
fn a_wrong_figure_in_such_a_unit_is_told_and_mended_in_it() {
    for (was, now, mend) in [
        ("two bales a day", "three bales a day", "two bales a day"),
        ("[120 pounds a day]", "[180 pounds a day]", "120 pounds a day"),
        ("six pump turns", "seven pump turns", "six pump turns"),
        ("[12 gallons]", "[14 gallons]", "12 gallons"),
        ("[14 bales]", "[12 bales]", "14 bales"),
        ("[26 bales]", "[40.5 bales]", "40 bales"),
    ] {
        let here = folder(FACTS, &LESSON.replace(was, now));
        let (told, code) = run(here.path(), "proofread --no-layout");
        let says = now.trim_matches(['[', ']']);
        let quoted = told.lines().find(|line| line.starts_with("  It says")).unwrap_or_default();
        assert!(code == 1 && quoted.contains(says), "{now}: {told}");
        assert!(told.contains(mend), "{now}: {told}");
    }
    // One without a link too, beside the fact's own words.
    let here = folder(FACTS, &format!("{LESSON}\nThe hay of a day is five bales a day.\n"));
    let (told, _) = run(here.path(), "proofread --no-layout");
    assert!(told.contains("It says        five bales a day") && told.contains("hay-daily"), "{told}");
}

#[test]
fn restating_writes_one_and_many_as_the_program_calls_them() {
    for (value, words) in [
        ("1 bale a day", ["at most one bale a day", "60 pounds a day", "7 bales"]),
        ("3 bales a day", ["at most three bales a day", "180 pounds a day", "21 bales"]),
    ] {
        let here = folder(&FACTS.replace("2 bales a day", value), LESSON);
        let (said, code) = run(here.path(), "restate --save");
        let text = fs::read_to_string(here.path().join("lessons/example.md")).unwrap();
        for words in words {
            assert!(text.contains(&format!("[{words}]")), "{value}: {said}\n{text}");
        }
        // one in the place of several: the words around it are to be read again
        assert_eq!(code, i32::from(value.starts_with('1')), "{said}");
        assert_eq!(said.contains("  Reread  "), code == 1, "{said}");
        let (told, _) = run(here.path(), "proofread --no-layout");
        assert!(told.contains("nothing to report"), "{told}");
    }
    let here = folder(&FACTS.replace("6 pump turns", "1 pump turn"), LESSON);
    run(here.path(), "restate --save");
    let text = fs::read_to_string(here.path().join("lessons/example.md")).unwrap();
    assert!(text.contains("[one pump turn](fact:trough), [2 gallons](fact:trough)"), "{text}");
    // An open link prints it, also in another unit.
    let open = LESSON.replace("[12 gallons](fact:trough)", "[…](fact:trough?unit=gallons)");
    write(here.path(), "lessons/example.md", open.replace("[six pump turns]", "[…]"));
    run(here.path(), "restate --save");
    let text = fs::read_to_string(here.path().join("lessons/example.md")).unwrap();
    assert!(text.contains("[1 pump turn](fact:trough), [2 gallons](fact:trough?unit=gallons)"), "{text}");
}

/// An answer in such a unit is scored as any other.
#[test]
fn answers_in_such_a_unit_are_scored() {
    let here = folder(FACTS, LESSON);
    write(
        here.path(),
        "people/roster.csv",
        "event,name,attended\nspring,Ada Vellum,yes\nspring,Oren Tasker,yes\nspring,Ines Roe,yes\n",
    );
    let answers = "event,name,trough\nspring,Ada Vellum,6 pump turns\nspring,Oren Tasker,12 gallons\nspring,Ines Roe,7 pump turns\n";
    write(here.path(), "people/answers.csv", answers);
    let (told, _) = run(here.path(), "score --as json");
    let json: serde_json::Value = serde_json::from_str(&told).unwrap_or_else(|_| panic!("{told}"));
    let text = json.to_string();
    assert_eq!(text.matches("\"verdict\":\"right\"").count(), 2, "{json:#}");
}
