//! A unit that packstring does not know is named as such wherever a figure is read, and never taken for a figure that is
//! wrong, or for none at all.

use crate::flow;
use crate::folders::{copy, write};
use crate::proof::{TODAY, root};
use packstring::program;
use packstring::understand::Understood;
use std::fs;

/// What is told of the sound program with one thing changed.
fn told(file: &str, was: &str, now: &str) -> Vec<String> {
    let folder = tempfile::tempdir().unwrap();
    copy(&root().join("tests/proof/sound"), folder.path());
    let text = fs::read_to_string(folder.path().join(file)).unwrap_or_default();
    assert!(was.is_empty() || text.contains(was), "{file}: {was}");
    let text = if was.is_empty() { text + now } else { text.replacen(was, now, 1) };
    write(folder.path(), file, text);
    let findings = match program::open(folder.path()) {
        Ok(program) => flow::proofread(&Understood::new(&program), TODAY),
        Err(unread) => unread.mistakes,
    };
    findings.into_iter().map(|finding| finding.message).collect()
}

#[test]
fn a_unit_that_nobody_knows_is_named_wherever_a_figure_is_read() {
    let weight =
        "\n[[kits]]\nid = \"day\"\nname = \"Day\"\n[[kits.items]]\nitem = \"Pick\"\nweight = \"4 flurbs\"\n";
    let question = "\n[[questions]]\nid = \"long\"\nkind = \"figure\"\nask = \"How long?\"\nfact = \"lead-length\"\nunit = \"flurbs\"\n";
    for (file, was, now, word) in [
        ("facts.toml", "\"6 ft\"", "\"6 flurbs\"", "flurb"),
        ("facts.toml", "asphalt surface (°F)", "light (flurb)", "flurb"),
        ("facts.toml", "\"60 gallons a day\"", "\"60 flurbs a day\"", "flurb"),
        ("lessons/ropes.md", "at most six feet", "at most six flurbs", "flurb"),
        ("questions.toml", "", question, "flurb"),
        ("kits.toml", "", weight, "flurb"),
        ("program.toml", "", "\n[[rewards]]\nname = \"scarf\"\nweight = \"3 flurbs\"\n", "flurb"),
        ("program.toml", "", "\n[name-tags]\nwidth = \"3 flurbs\"\n", "flurb"),
        ("program.toml", "", "\n[print]\npaper-thickness = \"3 flurbs\"\n", "flurb"),
        ("people/hours.csv", "", "name,date,hours\nAna Ruiz,2026-05-01,3 flurbs\n", "flurbs"),
    ] {
        let told = told(file, was, now);
        let named = told
            .iter()
            .any(|it| it.contains("packstring does not know") && it.contains(&format!("“{word}”")));
        assert!(named, "{file}: {now}: {told:#?}");
    }
}

#[test]
fn a_link_that_asks_for_an_unknown_unit_is_told_whatever_its_words() {
    for link in ["[six feet](fact:lead-length?unit=flurb)", "[…](fact:lead-length?unit=flurb)"] {
        let told = told("lessons/ropes.md", "[at most six feet](fact:lead-length)", link);
        assert!(told.iter().any(|it| it.contains("“flurb”")), "{link}: {told:#?}");
    }
}

/// A mistyped unit is told where it is written, and not only where a lesson still has the right one.
#[test]
fn a_mistyped_unit_of_a_rate_is_told_at_the_fact() {
    let at_the_fact = |now: &str| {
        let told = told("facts.toml", "\"15 gallons a day\"", now);
        told.into_iter().filter(|it| it.starts_with("packstring does not know the unit")).count()
    };
    for wrong in ["\"15 galons a day\"", "\"15 litters a day\"", "\"15 punds a day\""] {
        assert_eq!(at_the_fact(wrong), 1, "{wrong}");
    }
    for counted in
        ["\"15 horses a day\"", "\"15 mules a day\"", "\"28 beats a minute\"", "\"4 camps a season\""]
    {
        assert_eq!(at_the_fact(counted), 0, "{counted}");
    }
}

/// Weights are read in whatever language figures are, for settings have none of their own.
#[test]
fn weights_are_read_in_each_language() {
    for weight in ["3 oz", "3 onzas", "85 gramos", "85 grammes", "un cuarto de libra"] {
        let reward = format!("\n[[rewards]]\nname = \"scarf\"\nweight = \"{weight}\"\n");
        let told = told("program.toml", "", &reward);
        assert!(told.is_empty(), "{weight}: {told:#?}");
    }
}

/// What is counted is no unit: nothing is told of it.
#[test]
fn things_that_are_counted_are_no_unknown_units() {
    assert!(
        told("facts.toml", "\"4 animals\"", "\"4 mules\"").iter().all(|it| !it.contains("does not know"))
    );
    assert!(
        told("facts.toml", "asphalt surface (°F)", "riders").iter().all(|it| !it.contains("does not know"))
    );
}
