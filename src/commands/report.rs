//! How findings are told: as labelled lines for a person, or as JSON for a program. The one place.
//!
//! The form of the JSON is published as `docs/findings.schema.json`. Nothing personal is in it: of a
//! roster's rows it gives the place and not the words.

use super::Outcome;
use crate::finding::{Finding, Level};
use crate::place::{LineColumn, Place, Sources};
use crate::understand::Understood;
use clap::builder::styling::Style;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::io::{self, IsTerminal, Write};

/// The number of the JSON's form; it grows when a reader of the old form would be misled.
const FORMAT: u32 = 1;

/// The words at a place are cut to this many letters: enough to know them again.
const LONGEST_WORDS: usize = 160;

/// The form in which findings are told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, clap::ValueEnum)]
pub enum As {
    /// Labelled lines, for reading
    #[default]
    Text,
    /// JSON, for other programs
    Json,
}

/// How much was looked at, so that "nothing wrong" and "nothing read" are never the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Looked {
    pub lessons: usize,
    pub figures: usize,
    pub facts: usize,
    pub questions: usize,
    pub roster_rows: usize,
}

/// Everything that there is to tell.
pub struct Report<'r> {
    /// In the order in which they were found to stand; notes are told after the rest.
    pub findings: &'r [Finding],
    pub sources: &'r Sources,
    /// `None` where the program could not be read.
    pub looked: Option<Looked>,
}

impl Looked {
    pub fn at(understood: &Understood) -> Self {
        let program = understood.program;
        Self {
            lessons: program.lessons.len(),
            figures: understood.passages.iter().map(|passage| passage.figures.len()).sum(),
            facts: program.facts.len(),
            questions: program.questions.list.len(),
            roster_rows: program.roster.rows.len(),
        }
    }

    fn words(self) -> String {
        let counts = [
            counted(self.lessons, "lesson"),
            counted(self.figures, "figure"),
            counted(self.facts, "fact"),
            counted(self.questions, "question"),
            counted(self.roster_rows, "roster row"),
        ];
        format!("Read {}", counts.join(", "))
    }
}

impl Report<'_> {
    /// Writes the report in the form that was asked for. `bold` is for labels on a terminal.
    pub fn write(&self, form: As, bold: bool, out: &mut dyn Write) -> io::Result<()> {
        match form {
            As::Text => self.text(bold, out),
            As::Json => writeln!(out, "{:#}", self.json()),
        }
    }

    /// What the findings come to: errors fail, and before the press warnings too.
    pub fn outcome(&self, for_press: bool) -> Outcome {
        let fails = if for_press { Level::Warning } else { Level::Error };
        match self.findings.iter().any(|finding| finding.level >= fails) {
            _ if self.looked.is_none() => Outcome::NotDone,
            true => Outcome::Findings,
            false => Outcome::Clear,
        }
    }

    fn text(&self, bold: bool, out: &mut dyn Write) -> io::Result<()> {
        for finding in self.findings_in_order() {
            self.one(finding, bold, out)?;
            writeln!(out)?;
        }
        writeln!(out, "{}", self.closing())
    }

    fn one(&self, finding: &Finding, bold: bool, out: &mut dyn Write) -> io::Result<()> {
        let label = if bold { Style::new().bold() } else { Style::new() };
        let LineColumn { line, column } = self.sources.line_column(&finding.place);
        let place = format!("{}:{line}:{column}", finding.place.file);
        writeln!(out, "{label}{place}{label:#}  {}", plain(&finding.message))?;
        let mut labelled = |name: &str, words: &str| labelled(out, bold, name, words);
        if !finding.says.trim().is_empty() {
            labelled("It says", &shortened(&finding.says))?;
        }
        if let Some(words) = &finding.fact_says {
            labelled("The fact says", &shortened(words))?;
        }
        if let Some(hint) = &finding.mend {
            labelled("Mend", &plain(hint))?;
        }
        let weight = match finding.level {
            Level::Note => " (a note)",
            Level::Warning => " (a warning)",
            Level::Error if finding.stops_press => " (stops the press)",
            Level::Error => "",
        };
        labelled("Rule", &format!("{}{weight}", finding.rule))
    }

    /// Notes after the rest.
    fn findings_in_order(&self) -> impl Iterator<Item = &Finding> {
        let notes = self.findings.iter().filter(|finding| finding.level == Level::Note);
        self.findings.iter().filter(|finding| finding.level > Level::Note).chain(notes)
    }

    /// `Read 11 lessons, 214 figures, …: 4 findings in 2 lessons; 1 stops the press.`
    fn closing(&self) -> String {
        let read = self.looked.map_or_else(|| "The program could not be read".to_owned(), Looked::words);
        let count = |level| self.findings.iter().filter(|finding| finding.level == level).count();
        let (notes, warnings) = (count(Level::Note), count(Level::Warning));
        let told = count(Level::Error) + warnings;
        if told + notes == 0 {
            return format!("{read}: nothing to report.");
        }
        let mut words = match told {
            0 => "nothing wrong".to_owned(),
            _ => format!("{} in {}", counted(told, "finding"), self.where_found()),
        };
        match warnings {
            0 => {}
            _ if warnings == told => words += if told == 1 { ", a warning" } else { ", all warnings" },
            1 => words += ", 1 of them a warning",
            _ => words += &format!(", {warnings} of them warnings"),
        }
        match self.findings.iter().filter(|finding| finding.stops_press).count() {
            0 => {}
            1 if self.looked.is_some() => words += "; 1 stops the press",
            stopping if self.looked.is_some() => words += &format!("; {stopping} stop the press"),
            _ => {}
        }
        match notes {
            0 => {}
            _ if told == 0 => words += &format!(", {} to look at", counted(notes, "note")),
            _ => words += &format!("; {} besides", counted(notes, "note")),
        }
        format!("{read}: {words}.")
    }

    /// `2 lessons and facts.toml`, of what is more than a note.
    fn where_found(&self) -> String {
        let told = self.findings.iter().filter(|finding| finding.level > Level::Note);
        let files: BTreeSet<&str> = told.map(|finding| &*finding.place.file).collect();
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

    fn json(&self) -> Value {
        let read = self.looked.map(|looked| {
            json!({
                "lessons": looked.lessons,
                "figures": looked.figures,
                "facts": looked.facts,
                "questions": looked.questions,
                "roster_rows": looked.roster_rows,
            })
        });
        let findings: Vec<Value> =
            self.findings_in_order().map(|finding| self.one_as_json(finding)).collect();
        json!({ "format": FORMAT, "read": read, "findings": findings })
    }

    fn one_as_json(&self, finding: &Finding) -> Value {
        let start = self.sources.line_column(&finding.place);
        let range = finding.place.range.end..finding.place.range.end;
        let end = self.sources.line_column(&Place { file: finding.place.file.clone(), range });
        let personal = finding.place.file.starts_with("people/");
        json!({
            "rule": finding.rule,
            "level": finding.level,
            "file": &*finding.place.file,
            "line": start.line,
            "column": start.column,
            "end_line": end.line,
            "end_column": end.column,
            "says": if personal { "" } else { &*finding.says },
            "fact_says": finding.fact_says,
            "message": finding.message,
            "mend": finding.mend,
            "stops_press": finding.stops_press,
        })
    }
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

/// `1 lesson`, `2 lessons`.
pub fn counted(count: usize, noun: &str) -> String {
    if count == 1 { format!("1 {noun}") } else { format!("{count} {noun}s") }
}

/// Words from a file on one line, without anything that would steer a terminal.
pub fn plain(words: &str) -> String {
    let words: String = words.split_whitespace().collect::<Vec<_>>().join(" ");
    words.chars().map(|letter| if letter.is_control() { '\u{fffd}' } else { letter }).collect()
}

fn shortened(words: &str) -> String {
    let words = plain(words);
    match words.char_indices().nth(LONGEST_WORDS) {
        Some((end, _)) => format!("{} …", words[..end].trim_end()),
        None => words,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Arc;

    fn sources() -> Sources {
        let mut sources = Sources::default();
        sources.add("lessons/ropes.md".into(), Arc::from("# Ropes\n\nKeep it to ten\nfeet.\n"));
        sources.add("people/roster.csv".into(), Arc::from("event,name\nspring,Ada Vell\n"));
        sources
    }

    fn drift() -> Finding {
        let place = Place::new(&"lessons/ropes.md".into(), 20..28);
        Finding::error("figure-drift", place, "“ten feet” is not what the fact lead-length says.")
            .says("ten\nfeet")
            .fact_says("at most 6 ft (lead-length)")
            .mend("Write “six feet”.")
            .stops_press(true)
    }

    fn text(findings: &[Finding], looked: Option<Looked>) -> String {
        let sources = sources();
        let report = Report { findings, sources: &sources, looked };
        let mut out = Vec::new();
        report.write(As::Text, false, &mut out).unwrap();
        String::from_utf8(out).unwrap()
    }

    const LOOKED: Looked = Looked { lessons: 1, figures: 2, facts: 1, questions: 0, roster_rows: 1 };

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
        let note = Finding::note("figure-unbacked", Place::whole("facts.toml"), "A note.");
        let told = text(&[note.clone(), drift()], Some(LOOKED));
        assert!(told.find("figure-drift").unwrap() < told.find("figure-unbacked").unwrap());
        assert!(told.ends_with("1 finding in 1 lesson; 1 stops the press; 1 note besides.\n"), "{told}");
        assert!(text(&[note], Some(LOOKED)).ends_with("nothing wrong, 1 note to look at.\n"));
    }

    #[test]
    fn levels_decide_the_exit_code() {
        let sources = sources();
        let outcome = |findings: &[Finding], looked, for_press| {
            Report { findings, sources: &sources, looked }.outcome(for_press)
        };
        let note = Finding::note("figure-unbacked", Place::whole("facts.toml"), "A note.");
        let warning = Finding::warning("slide-bare", Place::whole("facts.toml"), "A warning.");
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
        let findings = [Finding::warning("name-doubled", place, "Twice.").says("Ada Vell")];
        let json = Report { findings: &findings, sources: &sources, looked: Some(LOOKED) }.json();
        assert!(!json.to_string().contains("Ada"));
        assert_eq!(json["findings"][0]["line"], 2);
        assert_eq!(json["findings"][0]["end_column"], 16);
    }

    #[test]
    fn words_from_a_file_cannot_steer_the_terminal() {
        assert_eq!(plain("a\u{1b}[31m\n b"), "a\u{fffd}[31m b");
    }
}
