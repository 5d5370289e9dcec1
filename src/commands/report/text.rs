//! Findings as labelled lines, for a person to read.

use super::{Coverage, LocatedFinding, Report, cell_words, counted, in_files, labelled, plain};
use crate::finding::{Finding, Level, LineColumn};
use crate::session::FiguresChecked;
use clap::builder::styling::Style;
use std::io::{self, Write};

/// The words at a place are cut to this many letters: enough to know them again.
const LONGEST_WORDS: usize = 160;

/// Writes the report; `bold` is for labels on a terminal.
pub(super) fn write(report: &Report, bold: bool, out: &mut dyn Write) -> io::Result<()> {
    each(report.told(), bold, out)?;
    writeln!(out, "{}", closing(report))
}

/// Writes what was found so far, but for notes, which are told at the end.
pub(super) fn write_first(report: &Report, bold: bool, out: &mut dyn Write) -> io::Result<()> {
    each(report.told().filter(|told| told.finding.level > Level::Note), bold, out)
}

/// Writes the rest of a report of which some was written before.
pub(super) fn write_rest(
    report: &Report,
    before: &[Finding],
    bold: bool,
    out: &mut dyn Write,
) -> io::Result<()> {
    let was_told = |told: &LocatedFinding| told.finding.level > Level::Note && before.contains(told.finding);
    each(report.told().filter(|told| !was_told(told)), bold, out)?;
    writeln!(out, "{}", closing(report))
}

fn each<'r>(
    told: impl Iterator<Item = LocatedFinding<'r>>,
    bold: bool,
    out: &mut dyn Write,
) -> io::Result<()> {
    for told in told {
        one(&told, bold, out)?;
        writeln!(out)?;
    }
    Ok(())
}

fn one(told: &LocatedFinding, bold: bool, out: &mut dyn Write) -> io::Result<()> {
    let label = if bold { Style::new().bold() } else { Style::new() };
    let finding = told.finding;
    let LineColumn { line, column } = told.start;
    let cell = told.cell.as_ref().map(|cell| format!(" ({})", cell_words(cell))).unwrap_or_default();
    let place = format!("{}:{line}:{column}{cell}", finding.place.file);
    writeln!(out, "{label}{place}{label:#}  {}", plain(&finding.message))?;
    let mut labelled = |name: &str, words: &str| labelled(out, bold, name, words);
    if !finding.says.trim().is_empty() {
        labelled("It says", &shortened(&finding.says))?;
    }
    if let Some(words) = &finding.fact_says {
        labelled("The fact says", &shortened(words))?;
    }
    let is_in_hint = |words: &&String| finding.mend.as_ref().is_some_and(|hint| hint.contains(*words));
    if let Some(words) = finding.instead.as_ref().filter(|words| !is_in_hint(words)) {
        labelled("Instead", &shortened(words))?;
    }
    if let Some(hint) = &finding.mend {
        labelled("Mend", &plain(hint))?;
    }
    let weight = match finding.level {
        Level::Note => " (a note)",
        Level::Warning => " (a warning)",
        Level::Error if finding.stops_press => " (stops the press)",
        Level::Error => " (an error)",
    };
    labelled("Rule", &format!("{}{weight}", finding.rule))
}

/// Said where nothing but what keeps the program from being read is known.
const UNREAD: &str = "The program could not be read, so its figures were not checked";

/// `Read 11 lessons, 214 figures, …: 4 findings in 2 lessons; 1 stops the press.`
fn closing(report: &Report) -> String {
    let read = report.looked.map_or_else(|| read_partly(&report.figures), read);
    let count = |level| report.findings.iter().filter(|finding| finding.level == level).count();
    let (notes, warnings) = (count(Level::Note), count(Level::Warning));
    let told = count(Level::Error) + warnings;
    if told + notes == 0 {
        return format!("{read}: nothing to report.");
    }
    let mut words = match told {
        0 => "nothing wrong".to_owned(),
        _ => format!("{} in {}", counted(told, "finding"), where_found(report)),
    };
    match warnings {
        0 => {}
        _ if warnings == told => words += if told == 1 { ", a warning" } else { ", all warnings" },
        1 => words += ", 1 of them a warning",
        _ => words += &format!(", {warnings} of them warnings"),
    }
    match report.findings.iter().filter(|finding| finding.stops_press).count() {
        0 => {}
        1 if report.looked.is_some() => words += "; 1 stops the press",
        stopping if report.looked.is_some() => words += &format!("; {stopping} stop the press"),
        _ => {}
    }
    match notes {
        0 => {}
        _ if told == 0 => words += &format!(", {} to look at", counted(notes, "note")),
        _ => words += &format!("; {} besides", counted(notes, "note")),
    }
    format!("{read}: {words}.")
}

/// Where what is more than a note was found.
fn where_found(report: &Report) -> String {
    let told = report.findings.iter().filter(|finding| finding.level > Level::Note);
    in_files(told.map(|finding| &*finding.place.file))
}

/// How far figures were checked in a program that could not be read as a whole.
fn read_partly(figures: &FiguresChecked) -> String {
    let FiguresChecked { checked, linked, unread } = figures;
    if *checked == 0 {
        return UNREAD.to_owned();
    }
    let lessons = match unread.as_slice() {
        [] => String::new(),
        [only] => format!(", without {only}, which was not read"),
        [first, ..] => format!(", without {} lessons that were not read, such as {first}", unread.len()),
    };
    format!(
        "The program has mistakes that packstring could not read past, but {checked} of {linked} linked figures were still checked{lessons}"
    )
}

/// `Read 11 lessons, 214 figures, …`
fn read(looked: Coverage) -> String {
    let counts = [
        counted(looked.lessons, "lesson"),
        counted(looked.figures, "figure"),
        counted(looked.facts, "fact"),
        counted(looked.questions, "question"),
        counted(looked.roster_rows, "roster row"),
    ];
    format!("Read {}", counts.join(", "))
}

fn shortened(words: &str) -> String {
    let words = plain(words);
    match words.char_indices().nth(LONGEST_WORDS) {
        Some((end, _)) => format!("{} …", words[..end].trim_end()),
        None => words,
    }
}
