//! A program in French: read, proofread, said, scored and planned. `tests/french/` is the demo's shortest lesson in that
//! language. The French is ours; common knowledge of the language, no source.

use crate::flow;
use crate::folders::{copy, open};
use crate::proof::{TODAY, root};
use packstring::finding::{Finding, Level};
use packstring::job::Make;
use packstring::pieces::Selection;
use packstring::quantity::{Held, Language};
use packstring::understand::Understood;
use std::fs;
use std::path::{Path, PathBuf};

fn folder() -> PathBuf {
    root().join("tests/french")
}

fn findings(folder: &Path) -> Vec<Finding> {
    let program = open(folder);
    flow::proofread(&Understood::new(&program), TODAY)
}

#[test]
fn the_lesson_gives_nothing() {
    let told: Vec<String> = findings(&folder())
        .into_iter()
        .map(|finding| format!("{}: {}", finding.rule.name, finding.message))
        .collect();
    assert!(told.is_empty(), "{told:#?}");
}

#[test]
fn planted_wrong_figures_are_all_caught() {
    let planted = [
        ("[au moins dix pieds]", "[au moins onze pieds]", "figure-drift"),
        ("[au moins dix pieds]", "[au plus dix pieds]", "limit-turned"),
        ("[au moins huit pieds]", "[moins de huit pieds]", "limit-turned"),
        ("[au moins 10 pieds]", "[au moins 10 mètres]", "figure-drift"),
        ("[1,5 km]", "[1,6 km]", "figure-drift"),
        ("[1,5 km]", "[un kilomètre et quart]", "figure-drift"),
        ("[1,5 km]", "[1,5 kg]", "unit-unfit"),
        ("[au plus six heures]", "[au plus seize heures]", "figure-drift"),
        ("[au plus six heures]", "[au minimum six heures]", "limit-turned"),
        ("[pas plus de 6 heures]", "[pas moins de 6 heures]", "limit-turned"),
        ("[30 heures]", "[quatre-vingt-dix heures]", "figure-drift"),
        ("[deux fois par jour]", "[trois fois par jour]", "figure-drift"),
        ("[deux fois par jour]", "[deux fois par semaine]", "figure-drift"),
        ("[au plus septante-cinq ans]", "[au plus nonante-cinq ans]", "figure-drift"),
        ("[au plus septante-cinq ans]", "[au plus soixante-quinze mois]", "figure-drift"),
    ];
    for (was, now, rule) in planted {
        let changed = tempfile::tempdir().unwrap();
        copy(&folder(), changed.path());
        let path = changed.path().join("lessons/redonner.md");
        let text = fs::read_to_string(&path).unwrap();
        assert!(text.contains(was), "{was}");
        fs::write(&path, text.replacen(was, now, 1)).unwrap();
        let told: Vec<&str> = findings(changed.path())
            .iter()
            .filter(|it| it.level > Level::Note)
            .map(|it| it.rule.name)
            .collect();
        assert!(told.contains(&rule), "{now}: {told:?}");
    }
}

#[test]
fn facts_are_said_with_the_marks_and_words_of_the_language() {
    let program = open(folder());
    let understood = Understood::new(&program);
    let jobs = flow::plan(&understood, &Selection::default());
    let handbook = jobs.iter().find(|job| job.path == "handbook.pdf").unwrap();
    let Make::Sheet(sheet) = &handbook.make else { panic!() };
    let parts = sheet.parts.iter().map(|(_, part)| part.to_string());
    let said = (sheet.data.to_string() + &parts.collect::<String>()).replace(['\u{a0}', '\u{202f}'], " ");
    let charge = Held::stated(&packstring::quantity::read_one("1,250.5 kg").unwrap(), None);
    assert_eq!(
        Language::of("fr", &[]).say(&charge, None).as_deref(),
        Ok("1\u{202f}250,5 kg"),
        "grouped as CLDR has it"
    );
    assert!(said.contains("au moins 3,05 m"), "ten feet, and no less");
    assert!(said.contains("manuel"), "the theme speaks the language");
}

#[test]
fn figures_are_restated_in_the_words_of_the_language() {
    let french = Language::of("fr", &[]);
    for (was, fact, now) in [
        ("au moins dix pieds", "at least 71 ft", "au moins soixante et onze pieds"),
        ("deux heures et demie", "3.5 hours", "trois heures et demie"),
        ("1 250 mètres", "2,250 m", "2\u{202f}250 mètres"),
        ("deux cents livres", "281 pounds", "deux cent quatre-vingt-une livres"),
    ] {
        let held = Held::stated(&packstring::quantity::read_one(fact).unwrap(), None);
        let said = french.restate_in(was, &(0..was.len()), &held);
        assert_eq!(said.as_deref(), Ok(now), "{was}");
        assert!(french.states_only(now, &held), "{now}");
    }
}
