//! The roster for a person to read: at most 80 columns wide, plain where it does not go to a terminal.

use super::{Line, Look, Saved};
use crate::commands::report::{self, WIDTH, counted, plain};
use crate::finding::{Finding, Level};
use crate::program::roster::ColumnMeaning;
use crate::program::tables::{Form, LineEnd, TextForm};
use clap::builder::styling::Style;
use std::io::{self, Write};
use unicode_segmentation::UnicodeSegmentation;

/// A roster of more rows shows those that have something to say.
const LONG: usize = 60;
/// Width of each column of the table, after the row's number.
const EVENT: usize = 14;
const NAME: usize = 24;
const COMPANION: usize = 14;

pub(super) struct Teller<'t, 'r> {
    look: &'t Look<'r>,
    bold: bool,
    out: &'t mut dyn Write,
}

impl<'t, 'r> Teller<'t, 'r> {
    pub fn new(look: &'t Look<'r>, bold: bool, out: &'t mut dyn Write) -> Self {
        Self { look, bold, out }
    }

    pub fn tell(mut self, saved: &Saved, every_row: bool) -> io::Result<()> {
        self.saved(saved)?;
        let read_as = format!("{}, read as {}.", self.look.table.file, form(&self.look.table.form));
        self.wrapped(0, &read_as)?;
        for finding in &self.look.file {
            self.finding(2, finding)?;
        }
        writeln!(self.out)?;
        self.columns()?;
        writeln!(self.out)?;
        self.rows(every_row)?;
        writeln!(self.out)?;
        let closing = self.closing();
        self.wrapped(0, &closing)
    }

    fn saved(&mut self, saved: &Saved) -> io::Result<()> {
        if !saved.asked {
            return Ok(());
        }
        for mend in &saved.mends {
            writeln!(self.out, "Row {}, {}:", mend.row, mend.field)?;
            writeln!(self.out, "  was  {}", plain_keeping_spaces(&mend.was))?;
            writeln!(self.out, "  now  {}", plain_keeping_spaces(&mend.now))?;
        }
        for left in &saved.left {
            self.wrapped(0, left)?;
        }
        let file = &self.look.table.file;
        let closing = match saved.mends.len() {
            0 if saved.left.is_empty() => {
                format!("packstring can correct nothing in {file} without asking you; the file is unchanged.")
            }
            0 => format!("Nothing was written; {file} is as it was."),
            count => {
                format!("Wrote {file}: {} put right, every other byte as it was.", counted(count, "cell"))
            }
        };
        self.wrapped(0, &closing)?;
        writeln!(self.out)
    }

    fn columns(&mut self) -> io::Result<()> {
        self.heading("Column", "Taken as", "By")?;
        for column in &self.look.roster.columns {
            let (taken, by) = match column.understood {
                ColumnMeaning::BySettings(field) => (field.word(), "program.toml"),
                ColumnMeaning::ByName(field) => (field.word(), "its name"),
                ColumnMeaning::ByGuess(field) => (field.word(), "a guess from its heading"),
                ColumnMeaning::Day(_) => ("a day", "a guess from its heading"),
                ColumnMeaning::Kept => ("kept", "program.toml"),
                ColumnMeaning::PassedOver => ("passed over", ""),
            };
            let heading = if column.heading.is_empty() { "(no heading)" } else { &column.heading };
            let line = format!("  {}  {}  {by}", cell(heading, 34), cell(taken, 12));
            writeln!(self.out, "{}", line.trim_end())?;
        }
        Ok(())
    }

    fn heading(&mut self, column: &str, taken: &str, by: &str) -> io::Result<()> {
        let line = format!("  {}  {}  {by}", cell(column, 34), cell(taken, 12));
        self.bold_line(&line)
    }

    fn bold_line(&mut self, line: &str) -> io::Result<()> {
        let style = if self.bold { Style::new().bold() } else { Style::new() };
        writeln!(self.out, "{style}{}{style:#}", line.trim_end())
    }

    fn rows(&mut self, every_row: bool) -> io::Result<()> {
        let look = self.look;
        let all = every_row || look.rows.len() <= LONG;
        let shown: Vec<&Line> = look.rows.iter().filter(|line| all || !line.findings.is_empty()).collect();
        if !shown.is_empty() {
            self.bold_line(&format!(
                "{:>6}  {}  {}  {}  {:4}  {:6}",
                "Row",
                cell("Event", EVENT),
                cell("Name", NAME),
                cell("Companion", COMPANION),
                "Came",
                "Passed"
            ))?;
        }
        for line in &shown {
            self.row(line)?;
        }
        match look.rows.len() - shown.len() {
            0 => Ok(()),
            quiet => {
                let rows = counted(quiet, "row");
                self.wrapped(2, &format!("{rows} with nothing to say not shown; --every-row shows all."))
            }
        }
    }

    fn row(&mut self, line: &Line) -> io::Result<()> {
        let words = match line.participant {
            Some(person) => {
                let passed = match person.passed {
                    Some(true) => "yes",
                    Some(false) => "no",
                    None => "",
                };
                format!(
                    "{:>6}  {}  {}  {}  {:4}  {passed}",
                    line.number,
                    cell(&person.event, EVENT),
                    cell(&person.name, NAME),
                    cell(person.companion.as_deref().unwrap_or_default(), COMPANION),
                    if person.attended { "yes" } else { "no" },
                )
            }
            None => format!("{:>6}  (not understood)", line.number),
        };
        writeln!(self.out, "{}", words.trim_end())?;
        line.findings.iter().try_for_each(|finding| self.finding(8, finding))
    }

    /// What is wrong, what is offered instead, and how to mend it, in a paragraph.
    fn finding(&mut self, indent: usize, finding: &Finding) -> io::Result<()> {
        let mut words = finding.message.clone();
        if let Some(instead) = &finding.instead {
            words += &format!(" Perhaps: {instead}.");
        }
        if let Some(mend) = &finding.mend {
            words += &format!(" {mend}");
        }
        let note = if finding.level == Level::Note { ", a note" } else { "" };
        words += &format!(" ({}{note})", finding.rule);
        self.wrapped(indent, &words)
    }

    fn wrapped(&mut self, indent: usize, words: &str) -> io::Result<()> {
        let lines = report::wrapped(&plain(words), WIDTH - indent);
        lines.iter().try_for_each(|line| writeln!(self.out, "{:indent$}{line}", ""))
    }

    /// `48 rows, 46 understood, 2 not.`
    fn closing(&self) -> String {
        let rows = &self.look.rows;
        let understood = rows.iter().filter(|line| line.is_understood()).count();
        let to_look_at = rows.iter().filter(|line| line.is_understood() && !line.findings.is_empty()).count();
        let mut words = match (rows.len(), rows.len() - understood) {
            (0, _) => "No rows.".to_owned(),
            (1, 0) => "1 row, understood.".to_owned(),
            (all, 0) => format!("{all} rows, all understood."),
            (all, not) => format!("{}, {understood} understood, {not} not.", counted(all, "row")),
        };
        match to_look_at {
            0 => {}
            1 => words += " 1 of the understood has something to look at.",
            some => words += &format!(" {some} of the understood have something to look at."),
        }
        if self.look.elsewhere {
            words += " Other files of the program have mistakes, so the rows were not proofread; `packstring proofread` shows them.";
        }
        words
    }
}

/// How the file was read, in words.
fn form(form: &Form) -> String {
    match form {
        Form::Workbook { sheet } => format!("a workbook, its sheet “{}”", plain(sheet)),
        Form::Text(TextForm { encoding, byte_order_mark, delimiter, line_end }) => {
            let mark = if *byte_order_mark { " with its mark" } else { "" };
            let cells = match delimiter {
                ',' => "commas",
                ';' => "semicolons",
                '\t' => "tabs",
                _ => "bars",
            };
            let ends = match line_end {
                LineEnd::Lf => "LF",
                LineEnd::CrLf => "CR LF",
                LineEnd::Cr => "CR",
            };
            format!("{}{mark}, {cells} between the cells, lines that end in {ends}", encoding.name())
        }
    }
}

/// Words cut or filled to a width.
fn cell(words: &str, wide: usize) -> String {
    let words = plain(words);
    let all = width(&words);
    if all > wide {
        let kept: String = words.graphemes(true).take(wide - 1).collect();
        return format!("{}…", kept.trim_end())
            + &" ".repeat(wide.saturating_sub(width(kept.trim_end()) + 1));
    }
    words + &" ".repeat(wide - all)
}

fn width(words: &str) -> usize {
    words.graphemes(true).count()
}

/// On one line, with white space as it stands, so that the difference can be seen.
fn plain_keeping_spaces(words: &str) -> String {
    let steers = |c: char| c.is_control() || (c.is_whitespace() && c != ' ');
    let told = |c: char| match steers(c) {
        true => format!("‹U+{:04X}›", c as u32),
        false => c.to_string(),
    };
    format!("“{}”", crate::spelling::marks::shown(&words.chars().map(told).collect::<String>()))
}
