//! The work of proofreading grows with the program and no faster: sizes compared by their ratio. The bounds are wide,
//! for machines that are busy with other work; what is not linear takes minutes.

use crate::folders::copy;
use packstring::people::scoring::Scores;
use packstring::understand::Understood;
use packstring::{program, proof};
use std::fmt::Write;
use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

/// Proofreads the sound program with more facts and more in its lesson; how long it takes, and how much is told.
fn proofread(facts: &str, lesson: &str) -> (Duration, usize) {
    let folder = tempfile::tempdir().unwrap();
    copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/proof/sound"), folder.path());
    let add = |name: &str, more: &str| {
        let path = folder.path().join(name);
        let text = fs::read_to_string(&path).unwrap();
        fs::write(path, format!("{text}\n{more}")).unwrap();
    };
    add("facts.toml", facts);
    add("lessons/camps.md", lesson);
    let program = program::open(folder.path()).unwrap_or_else(|unread| panic!("{:#?}", unread.mistakes));
    let start = Instant::now();
    let understood = Understood::new(&program);
    let scores = Scores::of(&understood);
    let findings = proof::proofread(&understood, &scores, jiff::civil::date(2026, 11, 2));
    (start.elapsed(), findings.len())
}

/// Four times as much takes at most so many times as long, or a second and a half in all.
fn holds(what: &str, small: Duration, large: Duration) {
    let floor = Duration::from_millis(1500);
    assert!(large < floor || large < small * 10, "{what}: {small:?}, then {large:?} for four times as much");
}

fn same_words(count: usize) -> String {
    let mut facts = String::new();
    for at in 0..count {
        writeln!(
            facts,
            "[rope-{at}]\nvalue = \"{} ft\"\ncalled = [\"tow rope\"]\nsource = \"Rule {at}\"",
            at + 10
        )
        .unwrap();
    }
    facts
}

#[test]
fn facts_with_the_same_words_are_told_by_their_word() {
    let (small, few) = proofread(&same_words(400), "A tow rope of 5 feet.");
    let (large, many) = proofread(&same_words(1600), "A tow rope of 5 feet.");
    assert!(few >= 100 && many < 1600 * 3, "not each pair: {few}, {many}");
    holds("facts", small, large);
}

#[test]
fn a_paragraph_is_taken_apart_once() {
    let paragraph = |figures: usize| "Tow ropes of 10 feet. ".repeat(figures);
    let blocks = |count: usize| format!("{}\n\n", paragraph(300)).repeat(count);
    let (small, _) = proofread(&same_words(3), &paragraph(170));
    let (large, _) = proofread(&same_words(3), &paragraph(680));
    holds("a paragraph", small, large);
    let (small, _) = proofread(&same_words(3), &blocks(4));
    let (large, _) = proofread(&same_words(3), &blocks(16));
    holds("paragraphs", small, large);
}

/// Many facts that share their words, and many sentences that name them: each figure asks the facts nearest to it.
#[test]
fn facts_with_the_same_words_do_not_multiply_with_sentences() {
    let sentences = |count: usize| -> String {
        (0..count).map(|at| format!("A tow rope of {}.5 feet.\n\n", at * 7 % 900 + 3)).collect()
    };
    let (small, few) = proofread(&same_words(400), &sentences(50));
    let (large, many) = proofread(&same_words(1600), &sentences(200));
    assert!(few >= 50 && many >= 200, "each is told: {few}, {many}");
    holds("facts by sentences", small, large);
}

/// A figure that agrees with one of very many facts is found among them.
#[test]
fn of_many_facts_with_the_same_words_the_one_that_agrees_is_found() {
    let (_, before) = proofread(&same_words(300), "");
    for feet in [10, 150, 309] {
        let (_, after) = proofread(&same_words(300), &format!("A tow rope of {feet} feet."));
        assert_eq!(after, before + 1, "{feet}: offered for backing and nothing else");
    }
}
