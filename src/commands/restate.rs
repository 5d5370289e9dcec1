//! `packstring restate`: shows each quoted figure that must change, as it was and as it is to be, and
//! with `--save` changes it in the files; with `--undo` takes the last of these back.

use super::report::{counted, in_files, labelled, plain};
use super::{CommandError, Outcome};
use crate::finding::{Finding, LineColumn, Place};
use crate::io_error::in_words;
use crate::proof::change_unsourced;
use crate::restate::{self, Open, Plan};
use crate::session::{self, Environment, needed_folder, open_program, save};
use crate::understand::Understood;
use clap::builder::styling::Style;
use std::io::{self, Write};
use std::path::Path;

/// What is asked of the command.
#[derive(Clone, Copy, Debug, Default)]
pub struct RestateOptions {
    /// Change the files.
    pub save: bool,
    /// Back figures that agree with a fact instead of restating those that do not.
    pub back: bool,
    /// Write the words into every open link.
    pub fill: bool,
}

/// Shows what is to change and, where asked to, changes it.
pub fn run(
    folder: Option<&Path>,
    asked: RestateOptions,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    let program = open_program(folder, environment)?;
    let understood = Understood::new(&program);
    let plan = match asked.back {
        true => restate::plan_backing(&understood, environment.today),
        false => restate::plan(&understood, if asked.fill { Open::All } else { Open::OfChanged }),
    };
    let mut teller = Teller { understood: &understood, bold: environment.terminal, out };
    if !asked.back {
        // Before anything is saved, for it may be a slip that is about to be written everywhere.
        teller.ask(&change_unsourced(&understood))?;
    }
    if asked.save {
        save(&understood, &plan)?;
    }
    let told = teller.tell(&plan, asked);
    if let (Err(error), true) = (&told, asked.save && !plan.changes.is_empty()) {
        let places = in_files(plan.files().into_iter().map(|file| &**file));
        return Err(CommandError::said(format!(
            "The output could not be written: {}. The files are saved anyway: {} in {places}.",
            in_words(error),
            counted(plan.changes.len(), "figure"),
        )));
    }
    told?;
    let open = plan.left.len() + if asked.save { plan.to_reread() } else { plan.changes.len() };
    // What is not what its fact says is wrong; a figure that could be backed is an offer.
    Ok(if open == 0 || asked.back { Outcome::Clear } else { Outcome::Findings })
}

/// Takes back what was saved last.
pub fn undo(
    folder: Option<&Path>,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    let Some(undone) = session::undo(&needed_folder(folder, environment)?)? else {
        writeln!(
            out,
            "There is nothing to undo: no restate was saved here, or the last one is already undone."
        )?;
        return Ok(Outcome::Clear);
    };
    for file in &undone.back {
        writeln!(out, "{}: as it was before the last restate.", plain(file))?;
    }
    for file in &undone.left {
        writeln!(
            out,
            "{}: not changed, because it was edited or removed since. Correct by hand what restate wrote there.",
            plain(file)
        )?;
    }
    let mut words = match undone.back.len() {
        0 => "No file was taken back.".to_owned(),
        count => format!("The last restate was taken back in {}.", counted(count, "file")),
    };
    if !undone.left.is_empty() {
        words += &format!(" {} left alone.", counted(undone.left.len(), "file"));
    }
    writeln!(out, "{words}")?;
    Ok(if undone.left.is_empty() { Outcome::Clear } else { Outcome::Findings })
}

struct Teller<'t> {
    understood: &'t Understood<'t>,
    bold: bool,
    out: &'t mut dyn Write,
}

impl Teller<'_> {
    fn tell(&mut self, plan: &Plan, asked: RestateOptions) -> io::Result<()> {
        for change in &plan.changes {
            self.place(&change.place, "")?;
            self.line("Was", &change.was)?;
            self.line("Now", &change.now)?;
            self.sentence(&change.sentence, &change.was)?;
            if let Some(why) = change.reread {
                self.line("Reread", why)?;
            }
            self.fact(&change.fact_says)?;
        }
        for left in &plan.left {
            self.place(&left.place, &format!("Left as it is. {}", left.why))?;
            self.line("Is", &left.words)?;
            self.sentence(&left.sentence, &left.words)?;
            self.fact(&left.fact_says)?;
        }
        let closing = self.closing(plan, asked);
        writeln!(self.out, "{closing}")
    }

    /// What is to be answered before figures are changed.
    fn ask(&mut self, findings: &[Finding]) -> io::Result<()> {
        for finding in findings {
            self.place(&finding.place, &finding.message)?;
            self.line("It says", &finding.says)?;
            if let Some(mend) = &finding.mend {
                self.line("Mend", mend)?;
            }
            self.line("Rule", finding.rule.name)?;
            writeln!(self.out)?;
        }
        Ok(())
    }

    fn place(&mut self, place: &Place, message: &str) -> io::Result<()> {
        let LineColumn { line, column } = self.understood.root.sources.line_column(place);
        let style = if self.bold { Style::new().bold() } else { Style::new() };
        let gap = if message.is_empty() { "" } else { "  " };
        writeln!(self.out, "{style}{}:{line}:{column}{style:#}{gap}{}", place.file, plain(message))
    }

    fn line(&mut self, label: &str, words: &str) -> io::Result<()> {
        labelled(self.out, self.bold, label, &plain(words))
    }

    /// The sentence, where it is more than the words.
    fn sentence(&mut self, sentence: &str, words: &str) -> io::Result<()> {
        if sentence == words { Ok(()) } else { self.line("Sentence", sentence) }
    }

    fn fact(&mut self, words: &str) -> io::Result<()> {
        self.line("Fact", words)?;
        writeln!(self.out)
    }

    fn closing(&self, plan: &Plan, asked: RestateOptions) -> String {
        let quoted: usize = self.understood.all_passages().map(|passage| passage.backed.len()).sum();
        let figures = counted(plan.changes.len(), "figure");
        let places = in_files(plan.files().into_iter().map(|file| &**file));
        let mut words = match (plan.changes.is_empty(), asked.save, asked.back) {
            (true, _, false) if plan.left.is_empty() => {
                format!("Read {}: each says what its fact says.", counted(quoted, "quoted figure"))
            }
            (true, _, true) if plan.left.is_empty() => {
                "Every figure that agrees with a fact named in its sentence is already backed.".to_owned()
            }
            (true, ..) => "Nothing can be changed by rule.".to_owned(),
            (_, true, false) => format!("{figures} restated in {places}."),
            (_, true, true) => format!("{figures} backed in {places}."),
            (_, false, back) => format!(
                "{figures} to {} in {places}; nothing was changed. Add --save to change {}.",
                if back { "back" } else { "restate" },
                if plan.changes.len() == 1 { "it" } else { "them" }
            ),
        };
        if !plan.left.is_empty() {
            words += &format!(" {} left for you to change.", counted(plan.left.len(), "figure"));
        }
        match plan.to_reread() {
            0 => {}
            count => words += &format!(" Read {} again.", counted(count, "sentence")),
        }
        if plan.open > 0 {
            let stay = if plan.open == 1 {
                "stays open because its fact is"
            } else {
                "stay open because their facts are"
            };
            words += &format!(" {} {stay} what was printed last.", counted(plan.open, "link"));
        }
        words
    }
}
