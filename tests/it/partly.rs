//! A program that cannot be read as a whole: a wrong figure elsewhere is told in the same run, and nothing is told of
//! figures whose fact is in doubt.

use crate::flow;
use crate::folders::{copy, write};
use crate::proof::{TODAY, root};
use packstring::program;
use packstring::session::{FiguresChecked, Partly};
use packstring::understand::Understood;
use std::fs;

/// The sound program with a wrong figure in its lesson of ropes, and one more thing broken.
fn partly(file: &str, was: &str, now: &str) -> (Vec<(String, String)>, FiguresChecked) {
    let folder = tempfile::tempdir().unwrap();
    copy(&root().join("tests/proof/sound"), folder.path());
    let lesson = fs::read_to_string(folder.path().join("lessons/ropes.md")).unwrap();
    let (right, wrong) = ("[at most six feet]", "[at most nine feet]");
    assert!(lesson.contains(right), "{lesson}");
    write(folder.path(), "lessons/ropes.md", lesson.replacen(right, wrong, 1));
    let text = fs::read_to_string(folder.path().join(file)).unwrap_or_default();
    assert!(was.is_empty() || text.contains(was), "{file}: {was} in {text}");
    let text = if was.is_empty() { text + now } else { text.replacen(was, now, 1) };
    write(folder.path(), file, text);
    let unread = match program::open(folder.path()) {
        // What only proofreading finds keeps nothing from being read.
        Ok(program) => {
            let told = flow::proofread(&Understood::new(&program), TODAY);
            let figures = FiguresChecked { checked: 1, linked: 1, unread: Vec::new() };
            return (
                told.iter().map(|it| (it.rule.name.to_owned(), it.place.file.to_string())).collect(),
                figures,
            );
        }
        Err(unread) => unread,
    };
    let Partly { findings, figures } = Partly::of(&unread, TODAY);
    (findings.iter().map(|it| (it.rule.name.to_owned(), it.place.file.to_string())).collect(), figures)
}

#[test]
fn a_wrong_figure_is_told_beside_what_is_broken_elsewhere() {
    let drift = ("figure-drift".to_owned(), "lessons/ropes.md".to_owned());
    for (file, was, now) in [
        // A link into nowhere, a footnote without a text, a table with a row too long, HTML, a doubled cue.
        ("lessons/camps.md", "", "\nSee [that](missing.md).\n"),
        ("lessons/camps.md", "", "\nSee.[^none]\n"),
        ("lessons/camps.md", "", "\n> Say: One.\n> Ask: Two?\n"),
        ("lessons/camps.md", "", "\n<div>Raw</div>\n"),
        ("lessons/ropes.md", "", "\n> Sya: Good morning.\n"),
        ("questions.toml", "", "\n[[questions]]\nid = \"more\nkind = open\n"),
        ("questions.toml", "", "\nnonsense\n"),
        ("kits.toml", "", "[[kits]]\nid = \"One\"\nname = 5\n"),
        ("facts.toml", "", "\n[broken]\nvalue = \n"),
        ("facts.toml", "[camp-distance]", "[camp-distance"),
        ("facts.toml", "", "\n[broken]\nvalue = \"6 ft\"\nlimit = \"mostly\"\nsource = \"a\"\n"),
        ("facts.toml", "", "\n[Broken Name]\nvalue = \"6 ft\"\nsource = \"a\"\n"),
        ("program.toml", "", "\n[[events]]\nid = \"x\"\ndate = \"soon\"\n"),
        ("program.toml", "", "\n[mailing]\nlabels = \"none\"\n"),
        ("people/roster.csv", "", "\"never closed\n"),
        ("people/hours.csv", "", "name,date,hours\nAna,2026-05-01,3 flurbs\n"),
    ] {
        let (told, figures) = partly(file, was, now);
        assert!(told.contains(&drift), "{file}: {now}: {told:?}");
        assert_eq!(told.iter().filter(|(rule, _)| rule == "figure-drift").count(), 1, "{now}: {told:?}");
        assert!(
            told.len() > 1 && figures.checked > 0 && figures.checked <= figures.linked,
            "{now}: {figures:?}"
        );
    }
}

#[test]
fn a_figure_whose_fact_is_in_doubt_is_held_against_nothing() {
    let drift = |told: &[(String, String)]| {
        told.iter().any(|(rule, _)| rule == "figure-drift" || rule == "limit-turned")
    };
    let limit = |word: &str| format!("value = \"6 ft\"\nlimit = \"{word}\"");
    for (file, was, now) in [
        // Its own table is wrong.
        ("facts.toml", limit("at most"), limit("mostly")),
        ("facts.toml", limit("at most"), "value = \"6 ft\nlimit = \"at most\"".to_owned()),
        // A unit could mean another thing, and the words could be of another language.
        ("facts.toml", String::new(), "\n[units.stride]\nworth = 9\n".to_owned()),
        ("program.toml", "season = \"2026\"".to_owned(), "season = \"2026\"\nlanguage = 7".to_owned()),
        ("facts.toml", "[".to_owned(), "\u{0}[".to_owned()),
    ] {
        let (told, _) = partly(file, &was, &now);
        assert!(!drift(&told), "{now}: {told:?}");
    }
}

#[test]
fn a_broken_link_and_a_missing_picture_are_told_too() {
    let (told, _) = partly(
        "lessons/camps.md",
        "",
        "\n<div>Raw</div>\n\nSee [that](missing.md).\n\n![Nothing](pictures/none.png)\n",
    );
    for rule in ["raw-html", "link-broken", "picture-missing", "figure-drift"] {
        assert!(told.iter().any(|(name, _)| name == rule), "{rule}: {told:?}");
    }
    // Where the syllabus is in doubt, nobody knows which lessons there are.
    let (told, _) = partly("program.toml", "lesson = \"camps\"", "lesson = camps");
    assert!(told.iter().all(|(name, _)| name != "link-broken"), "{told:?}");
}

#[test]
fn a_lesson_that_was_not_read_is_named() {
    let (told, figures) = partly("program.toml", "lesson = \"camps\"", "lesson = camps");
    assert_eq!(figures.unread, ["lessons/camps.md"], "{told:?}");
}

/// Of a lesson that lacks its title all else is read, and its figures are checked.
#[test]
fn a_lesson_without_a_title_is_not_said_to_be_unread() {
    let (told, figures) = partly("lessons/camps.md", "# Camps\n", "\n");
    assert!(told.iter().any(|(_, file)| file == "lessons/camps.md"), "{told:?}");
    assert!(
        figures.unread.is_empty() && figures.checked == figures.linked && figures.linked > 1,
        "{figures:?}"
    );
}

/// A link that is unfit says nothing of its figure, which is held against its fact all the same.
#[test]
fn an_unfit_link_does_not_hide_its_own_figure() {
    for wrong in [
        "[at most nine feet](fact:lead-length?unitt=m)",
        "[at most **nine** feet](fact:lead-length)",
        "[at most nine feet](fact:lead-length?unit=)",
    ] {
        let (told, _) = partly("lessons/camps.md", "", &format!("\nTie with {wrong} of rope.\n"));
        for rule in ["link-unfit", "figure-drift"] {
            let here = (rule.to_owned(), "lessons/camps.md".to_owned());
            assert!(told.contains(&here), "{wrong}: {told:?}");
        }
    }
}
