//! `packstring restate`: shows each quoted figure that must change, as it was and as it is to be, and
//! with `--save` changes it in the files.

use super::report::{counted, in_files, labelled, plain};
use super::{Desk, Outcome, Trouble, open_program};
use crate::hindrance::in_words;
use crate::place::{FileName, LineColumn, Place};
use crate::restate::{self, Plan};
use crate::understand::Understood;
use crate::whole::{self, Settle};
use clap::builder::styling::Style;
use std::fs;
use std::io::{self, Write};
use std::path::Path;

/// What is asked of the command.
#[derive(Clone, Copy, Debug, Default)]
pub struct Asked {
    /// Change the files.
    pub save: bool,
    /// Back figures that agree with a fact instead of restating those that do not.
    pub back: bool,
}

/// Shows what is to change and, where asked to, changes it.
pub fn run(
    folder: Option<&Path>,
    asked: Asked,
    desk: &Desk,
    out: &mut dyn Write,
) -> Result<Outcome, Trouble> {
    let program = open_program(folder, desk)?;
    let understood = Understood::new(&program);
    let plan = match asked.back {
        true => restate::plan_backing(&understood, desk.today),
        false => restate::plan(&understood),
    };
    if asked.save {
        save(&understood, &plan)?;
    }
    Teller { understood: &understood, bold: desk.terminal, out }.tell(&plan, asked)?;
    let open = plan.left.len() + if asked.save { 0 } else { plan.changes.len() };
    Ok(if open == 0 { Outcome::Clear } else { Outcome::Findings })
}

/// Writes the changed files, each whole. All are made ready, and held against what was read, before
/// the first is written.
fn save(understood: &Understood, plan: &Plan) -> Result<(), Trouble> {
    let program = understood.program;
    let mut ready = Vec::new();
    for file in plan.files() {
        let text = program.sources.text(file).map_or("", |text| text);
        let path = program.folder.join(&**file);
        let path = path.canonicalize().map_err(|error| cannot(file, "find", &error))?;
        let there = fs::read(&path).map_err(|error| cannot(file, "read", &error))?;
        if there != text.as_bytes() {
            return Err(Trouble::said(format!(
                "{file} was changed by someone else just now, so nothing was saved. Run the command again."
            )));
        }
        let permissions = fs::metadata(&path).map_err(|error| cannot(file, "read", &error))?.permissions();
        if permissions.readonly() {
            return Err(Trouble::said(format!(
                "{file} is protected against changes, so nothing was saved. Allow writing to it, and run the command again."
            )));
        }
        ready.push((file, path, permissions, plan.edited(file, text)));
    }
    for (file, path, permissions, text) in ready {
        let beside = path.parent().unwrap_or(&program.folder);
        whole::write(beside, &path, text.as_bytes(), Some(permissions), Settle::Wait)
            .map_err(|unwritten| cannot(file, unwritten.doing, &unwritten.source))?;
    }
    Ok(())
}

fn cannot(file: &FileName, doing: &str, error: &io::Error) -> Trouble {
    Trouble::said(format!("Could not {doing} {file}: {}. The file is as it was.", in_words(error)))
}

struct Teller<'t> {
    understood: &'t Understood<'t>,
    bold: bool,
    out: &'t mut dyn Write,
}

impl Teller<'_> {
    fn tell(&mut self, plan: &Plan, asked: Asked) -> io::Result<()> {
        for change in &plan.changes {
            self.place(&change.place, "")?;
            self.line("Was", &change.was)?;
            self.line("Now", &change.now)?;
            self.sentence(&change.sentence, &change.was)?;
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

    fn place(&mut self, place: &Place, message: &str) -> io::Result<()> {
        let LineColumn { line, column } = self.understood.program.sources.line_column(place);
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

    fn closing(&self, plan: &Plan, asked: Asked) -> String {
        let quoted: usize = self.understood.all_passages().map(|passage| passage.backed.len()).sum();
        let figures = counted(plan.changes.len(), "figure");
        let places = in_files(plan.files().into_iter().map(|file| &**file));
        let mut words = match (plan.changes.is_empty(), asked.save, asked.back) {
            (true, _, false) if plan.left.is_empty() => {
                format!("Read {}: each says what its fact says.", counted(quoted, "quoted figure"))
            }
            (true, _, true) if plan.left.is_empty() => {
                "No figure agrees with a fact that its sentence names without being backed.".to_owned()
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
        words
    }
}
