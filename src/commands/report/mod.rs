//! How findings are told. One walk over them, and a file for each form: labelled lines for a person
//! ([`text`]), JSON for a program ([`json`]), SARIF for the tools of editors and reviewers ([`sarif`]).
//!
//! The two forms for machines may be kept and passed on, so nothing personal is in them: of a roster's
//! rows they give the place and not the words.

mod json;
mod sarif;
mod text;

pub use json::{FindingRecord, FindingsRecord};

use super::Outcome;
use crate::finding::{Finding, GridCell, Level, LineColumn, Place, Sources};
use crate::program::roster::columns::is_usual;
use crate::session::{Coverage, FiguresChecked};
use crate::spelling::marks;
use clap::builder::styling::Style;
use std::collections::BTreeSet;
use std::io::{self, IsTerminal, Write};
use unicode_segmentation::UnicodeSegmentation;

/// The form in which findings are told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, clap::ValueEnum)]
pub enum As {
    /// Labeled lines, for reading
    #[default]
    Text,
    /// JSON, for other programs
    Json,
    /// SARIF 2.1.0, an open standard that editors and review tools read
    Sarif,
}

/// Everything that there is to tell.
pub struct Report<'r> {
    /// In the order in which they were found to stand; notes are told after the rest.
    pub findings: &'r [Finding],
    pub sources: &'r Sources,
    /// `None` where the program could not be read.
    pub looked: Option<Coverage>,
    /// How far its figures were checked all the same.
    pub figures: FiguresChecked,
}

impl<'r> Report<'r> {
    pub fn of(findings: &'r [Finding], sources: &'r Sources, looked: Option<Coverage>) -> Self {
        Self { findings, sources, looked, figures: FiguresChecked::default() }
    }

    /// Writes the report in the form that was asked for. `bold` is for labels on a terminal.
    pub fn write(&self, form: As, bold: bool, out: &mut dyn Write) -> io::Result<()> {
        match form {
            As::Text => text::write(self, bold, out),
            As::Json => writeln!(out, "{:#}", json::report(self)),
            As::Sarif => writeln!(out, "{:#}", sarif::log(self)),
        }
    }

    /// Writes, for a person, what is known so far while more is looked for; [`Report::write_rest`] writes the rest.
    pub fn write_first(&self, bold: bool, out: &mut dyn Write) -> io::Result<()> {
        text::write_first(self, bold, out)
    }

    /// Writes what was not written `before`, and the closing line.
    pub fn write_rest(&self, before: &[Finding], bold: bool, out: &mut dyn Write) -> io::Result<()> {
        text::write_rest(self, before, bold, out)
    }

    /// What the findings come to: errors fail, and before the press warnings too.
    pub fn outcome(&self, for_press: bool) -> Outcome {
        if self.looked.is_none() { Outcome::NotDone } else { Outcome::of(self.findings, for_press) }
    }

    /// Every finding with its place worked out, in the order in which they are told: notes last.
    fn told(&self) -> impl Iterator<Item = LocatedFinding<'_>> {
        let notes = self.findings.iter().filter(|finding| finding.level == Level::Note);
        let rest = self.findings.iter().filter(|finding| finding.level > Level::Note);
        rest.chain(notes).map(|finding| LocatedFinding::new(finding, self.sources))
    }
}

/// A finding as it is told: what it says, and where, in lines and columns.
struct LocatedFinding<'r> {
    finding: &'r Finding,
    start: LineColumn,
    /// The first column after its words.
    end: LineColumn,
    /// Where its file is a table.
    cell: Option<GridCell>,
    /// Whether its words may be those of a person: then only its place leaves this machine.
    personal: bool,
}

impl<'r> LocatedFinding<'r> {
    fn new(finding: &'r Finding, sources: &Sources) -> Self {
        let Place { file, range } = &finding.place;
        let end = Place::new(file, range.end..range.end);
        Self {
            finding,
            start: sources.line_column(&finding.place),
            end: sources.line_column(&end),
            cell: sources.cell(&finding.place),
            personal: ["people/", "records/"].iter().any(|folder| file.starts_with(folder)),
        }
    }

    /// The words at the place, for a report that may be passed on.
    fn says(&self) -> &'r str {
        if self.personal { "" } else { &self.finding.says }
    }

    /// The cell, for a report that may be passed on: where the headings are missing, a person stands in their place.
    fn cell(&self) -> Option<GridCell> {
        let cell = self.cell.clone()?;
        Some(GridCell { heading: cell.heading.filter(|heading| is_usual(heading)), ..cell })
    }

    /// The words to put at the place, for a report that may be passed on.
    fn instead(&self) -> Option<&'r str> {
        self.finding.instead.as_deref().filter(|_| !self.personal)
    }
}

/// A cell as people find it in a spreadsheet: `row 7, Companion`.
fn cell_words(cell: &GridCell) -> String {
    match &cell.heading {
        Some(heading) => format!("row {}, {}", cell.row, plain(heading)),
        None => format!("row {}", cell.row),
    }
}

/// Findings alone, for a record that says more than they do.
pub fn findings_told(findings: &[Finding], sources: &Sources) -> Vec<FindingRecord> {
    json::findings(&Report::of(findings, sources, None))
}

/// Whether labels are to be bold on standard output: on a terminal, unless NO_COLOR asks for none.
pub fn bold_on_stdout() -> bool {
    let set = |name: &str| std::env::var_os(name).filter(|value| !value.is_empty());
    io::stdout().is_terminal() && set("NO_COLOR").is_none() && set("TERM").is_none_or(|term| term != "dumb")
}

/// A line of a label and its words, which stand one below the other.
pub fn labelled(out: &mut dyn Write, bold: bool, label: &str, words: &str) -> io::Result<()> {
    let style = if bold { Style::new().bold() } else { Style::new() };
    writeln!(out, "  {style}{label}{style:#}{:gap$}{words}", "", gap = 15 - label.len())
}

/// How wide a line of a page for a terminal may be.
pub const WIDTH: usize = 78;

/// Words in lines of at most so many letters, at least one line; a longer word has a line of its own.
pub fn wrapped(words: &str, width: usize) -> Vec<String> {
    let letters = |words: &str| words.graphemes(true).count();
    let mut lines = vec![String::new()];
    for word in words.split_whitespace() {
        let last = lines.len() - 1;
        match lines[last].is_empty() {
            true => lines[last].push_str(word),
            false if letters(&lines[last]) + 1 + letters(word) <= width => lines[last].extend([" ", word]),
            false => lines.push(word.to_owned()),
        }
    }
    lines
}

/// `1 lesson`, `2 lessons`.
pub fn counted(count: usize, noun: &str) -> String {
    if count == 1 { format!("1 {noun}") } else { format!("{count} {noun}s") }
}

/// Files in few words, each once: `2 lessons and facts.toml`.
pub fn in_files<'f>(files: impl Iterator<Item = &'f str>) -> String {
    let files: BTreeSet<&str> = files.collect();
    let (lessons, others): (Vec<&str>, Vec<&str>) =
        files.into_iter().partition(|file| file.starts_with("lessons/"));
    let mut parts: Vec<String> = others.into_iter().map(str::to_owned).collect();
    if !lessons.is_empty() {
        parts.insert(0, counted(lessons.len(), "lesson"));
    }
    match parts.pop() {
        Some(last) if parts.is_empty() => last,
        Some(last) => format!("{} and {last}", parts.join(", ")),
        None => String::new(),
    }
}

/// Words from a file on one line, without anything that would steer a terminal.
pub fn plain(words: &str) -> String {
    let words: String = words.split_whitespace().collect::<Vec<_>>().join(" ");
    let words: String =
        words.chars().map(|letter| if letter.is_control() { '\u{fffd}' } else { letter }).collect();
    marks::shown(&words).into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::{Grid, rules};
    use crate::proof::rule;
    use std::sync::Arc;

    fn sources() -> Sources {
        let mut sources = Sources::default();
        sources.add("lessons/ropes.md".into(), Arc::from("# Ropes\n\nKeep it to ten\nfeet.\n"));
        sources.add("people/roster.csv".into(), Arc::from("event,name\nspring,Ada Vell\n"));
        sources
    }

    fn drift() -> Finding {
        let place = Place::new(&"lessons/ropes.md".into(), 20..28);
        Finding::of(rule("figure-drift").unwrap(), place, "“ten feet” is not what the fact lead-length says.")
            .says("ten\nfeet")
            .fact_says("at most 6 ft (lead-length)")
            .mend("Write “six feet”.")
            .stops_press(true)
    }

    fn text(findings: &[Finding], looked: Option<Coverage>) -> String {
        let sources = sources();
        let report = Report::of(findings, &sources, looked);
        let mut out = Vec::new();
        report.write(As::Text, false, &mut out).unwrap();
        String::from_utf8(out).unwrap()
    }

    const LOOKED: Coverage = Coverage { lessons: 1, figures: 2, facts: 1, questions: 0, roster_rows: 1 };

    #[test]
    fn a_finding_is_told_in_labelled_lines() {
        assert_eq!(
            text(&[drift()], Some(LOOKED)),
            "lessons/ropes.md:3:12  “ten feet” is not what the fact lead-length says.
  It says        ten feet
  The fact says  at most 6 ft (lead-length)
  Mend           Write “six feet”.
  Rule           figure-drift (stops the press)

Read 1 lesson, 2 figures, 1 fact, 0 questions, 1 roster row: 1 finding in 1 lesson; 1 stops the press.
"
        );
    }

    #[test]
    fn nothing_to_report_says_how_much_was_read() {
        let closing = "Read 1 lesson, 2 figures, 1 fact, 0 questions, 1 roster row: nothing to report.\n";
        assert_eq!(text(&[], Some(LOOKED)), closing);
    }

    #[test]
    fn notes_come_last_and_are_summed_apart() {
        let note = Finding::of(rule("figure-unbacked").unwrap(), Place::whole("facts.toml"), "A note.");
        let told = text(&[note.clone(), drift()], Some(LOOKED));
        assert!(told.find("figure-drift").unwrap() < told.find("figure-unbacked").unwrap());
        assert!(told.ends_with("1 finding in 1 lesson; 1 stops the press; 1 note besides.\n"), "{told}");
        assert!(text(&[note], Some(LOOKED)).ends_with("nothing wrong, 1 note to look at.\n"));
    }

    #[test]
    fn levels_decide_the_exit_code() {
        let sources = sources();
        let outcome = |findings: &[Finding], looked, for_press| {
            Report::of(findings, &sources, looked).outcome(for_press)
        };
        let note = Finding::of(rule("figure-unbacked").unwrap(), Place::whole("facts.toml"), "A note.");
        let warning = Finding::of(rule("slide-bare").unwrap(), Place::whole("facts.toml"), "A warning.");
        assert_eq!(outcome(&[note], Some(LOOKED), true), Outcome::Clear);
        assert_eq!(outcome(std::slice::from_ref(&warning), Some(LOOKED), false), Outcome::Clear);
        assert_eq!(outcome(&[warning], Some(LOOKED), true), Outcome::Findings);
        assert_eq!(outcome(&[drift()], Some(LOOKED), false), Outcome::Findings);
        assert_eq!(outcome(&[drift()], None, false), Outcome::NotDone);
    }

    #[test]
    fn json_gives_the_place_of_a_roster_row_but_never_its_words() {
        let sources = sources();
        let place = Place::new(&"people/roster.csv".into(), 18..26);
        let findings = [Finding::of(&rules::NAME_DOUBLED, place, "Twice.").says("Ada Vell")];
        let json = json::report(&Report::of(&findings, &sources, Some(LOOKED)));
        assert!(!json.to_string().contains("Ada"));
        assert_eq!(json["findings"][0]["line"], 2);
        assert_eq!(json["findings"][0]["end_column"], 16);
    }

    /// A workbook and a CSV file are told alike: people have rows and headings before their eyes.
    #[test]
    fn a_cell_of_a_people_file_is_told_by_its_row_and_heading() {
        #[derive(Debug)]
        struct Rows;
        impl Grid for Rows {
            fn cell(&self, at: usize) -> Option<GridCell> {
                Some(GridCell { row: 1 + at / 10, heading: (at < 30).then(|| "Companion".to_owned()) })
            }
        }
        for file in ["people/roster.csv", "people/roster.xlsx"] {
            let mut sources = Sources::default();
            sources.add(file.into(), Arc::from("event\tname\nspring\tAda Vell\n"));
            sources.add_table(file.into(), Arc::new(Rows));
            let told = |range| {
                let finding = Finding::of(&rules::NAME_DOUBLED, Place::new(&file.into(), range), "Twice.");
                let mut out = Vec::new();
                Report::of(&[finding], &sources, Some(LOOKED)).write(As::Text, false, &mut out).unwrap();
                String::from_utf8(out).unwrap()
            };
            assert!(told(18..26).contains(" (row 2, Companion)  Twice."), "{}", told(18..26));
            assert!(told(33..34).contains(" (row 4)  Twice."), "{}", told(33..34));
            // What concerns the whole file stands in no row.
            assert!(told(0..0).starts_with(&format!("{file}:1:1  Twice.")), "{}", told(0..0));
        }
    }

    #[test]
    fn words_from_a_file_cannot_steer_the_terminal() {
        assert_eq!(plain("a\u{1b}[31m\n b"), "a\u{fffd}[31m b");
        assert_eq!(plain("a\u{202e}b"), "a‹U+202E›b");
    }
}
