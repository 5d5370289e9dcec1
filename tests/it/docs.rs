//! The guides are held to what they ask of lessons: no harder to read than grade 8.
//!
//! Only running text counts, as in lessons: paragraphs and items of lists. Titles, tables and examples are left out, and
//! code within a sentence counts as one short word, for it is a name to copy and nothing to read out.

use crate::whole::repository;
use packstring::readability::Counts;
use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

/// The highest Flesch–Kincaid grade of a page; common practice of plain-language guides, no source.
const GRADE: f64 = 8.0;

/// Fewer words than this say nothing of a page: Flesch's method takes samples of 100.
const SAMPLE: usize = 100;

fn pages() -> Vec<PathBuf> {
    let mut pages: Vec<PathBuf> =
        ["README.md", "DEVELOPERS.md", "SECURITY.md"].map(|name| repository().join(name)).into();
    let docs = walkdir::WalkDir::new(repository().join("docs")).sort_by_file_name().into_iter();
    let docs = docs.map(|entry| entry.unwrap().into_path());
    pages.extend(docs.filter(|path| path.extension().is_some_and(|end| end == "md")));
    pages
}

/// The paragraphs and items of a page.
fn running_text(markdown: &str) -> Vec<String> {
    let mut texts = vec![String::new()];
    let mut apart = 0;
    for event in Parser::new_ext(markdown, Options::ENABLE_TABLES) {
        match event {
            Event::Start(Tag::Heading { .. } | Tag::Table(_) | Tag::CodeBlock(_)) => apart += 1,
            Event::End(TagEnd::Heading(_) | TagEnd::Table | TagEnd::CodeBlock) => apart -= 1,
            Event::Start(Tag::Paragraph | Tag::Item) | Event::End(TagEnd::Paragraph | TagEnd::Item) => {
                texts.push(String::new());
            }
            Event::Text(text) if apart == 0 => texts.last_mut().unwrap().push_str(&text),
            Event::Code(_) if apart == 0 => texts.last_mut().unwrap().push_str("it"),
            Event::SoftBreak | Event::HardBreak => texts.last_mut().unwrap().push(' '),
            _ => {}
        }
    }
    texts.retain(|text| !text.trim().is_empty());
    texts
}

fn counts(path: &Path) -> Counts {
    running_text(&fs::read_to_string(path).unwrap()).iter().map(|text| Counts::of(text)).sum()
}

#[test]
fn the_guides_are_read_at_grade_8_or_below() {
    let mut hard = String::new();
    let mut looked_at = 0;
    for page in pages() {
        let counts = counts(&page);
        let Some(grade) = counts.grade().filter(|_| counts.words >= SAMPLE) else { continue };
        looked_at += 1;
        if grade > GRADE {
            let name = page.strip_prefix(repository()).unwrap();
            writeln!(hard, "{}: grade {grade:.1}, {} words", name.display(), counts.words).unwrap();
        }
    }
    assert!(looked_at >= 8, "only {looked_at} pages are long enough");
    assert!(hard.is_empty(), "too hard to read:\n{hard}");
}

/// The pages of rules are short: taken together they are a text.
#[test]
fn the_pages_of_rules_are_read_at_grade_8_or_below() {
    let rules = pages().into_iter().filter(|page| page.parent().unwrap().ends_with("rules"));
    let counts: Counts = rules.map(|page| counts(&page)).sum();
    let grade = counts.grade().unwrap();
    assert!(counts.words > 3_000 && grade <= GRADE, "grade {grade:.1} of {} words", counts.words);
}

/// One sentence, by hand: 10 words, 13 syllables, so 0.39 × 10 + 11.8 × 1.3 − 15.59 = 3.65.
#[test]
fn code_and_tables_are_not_read() {
    let text = "# A heading\n\nThe `facts.toml` file holds every figure that a lesson says.\n\n| a | b |\n| - | - |\n| c | d |\n\n```\ncode\n```\n";
    let texts = running_text(text);
    assert_eq!(texts, ["The it file holds every figure that a lesson says."]);
    let grade = Counts::of(&texts[0]).grade().unwrap();
    assert!((grade - 3.65).abs() < 0.01, "{grade}");
}
