//! The commands, one file each: they walk the rooms in order and are the only code that prints.

mod arguments;
pub mod backing;
pub mod begin;
pub mod certificates;
pub mod completions;
mod credited;
mod decisions;
mod due;
pub mod figures;
pub mod front_desk;
pub mod help;
pub mod make;
pub mod next_season;
pub mod next_steps;
mod none_made;
mod progress;
pub mod proofread;
mod reading;
pub mod report;
pub mod restate;
pub mod roster;
pub mod schemas;
pub mod score;
pub mod since;
pub mod tally;
pub mod theme;
pub mod usage;
pub mod version;

use crate::finding::{Finding, Level};
use crate::io_error::in_words;
use crate::program::Unread;
use crate::quantity::Language;
use crate::session::{Environment, Session, SessionError};
use crate::shelf::ShelfError;
use clap::error::ErrorKind;
use report::{As, Report};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

pub use arguments::{Arguments, Command};

/// How a command ended; its number is the exit code, and there are no others.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    /// Done, and nothing to report.
    Clear = 0,
    /// Done, and there are findings that the user should mend.
    Findings = 1,
    /// It could not be done: bad arguments, or input that cannot be read.
    NotDone = 2,
}

impl Outcome {
    /// What findings come to: errors fail, and before the press warnings too; a note never does.
    pub fn of<'f>(findings: impl IntoIterator<Item = &'f Finding>, for_press: bool) -> Self {
        let fails = if for_press { Level::Warning } else { Level::Error };
        let fails = findings.into_iter().any(|finding| finding.level >= fails);
        if fails { Self::Findings } else { Self::Clear }
    }
}

impl From<Outcome> for ExitCode {
    fn from(outcome: Outcome) -> Self {
        Self::from(outcome as u8)
    }
}

/// Why a command could not do its work, in words for the person at the keyboard.
#[derive(Debug)]
pub enum CommandError {
    /// The program folder has mistakes: all of them.
    Unread(Box<Unread>),
    /// Another run is at work in this out folder.
    Busy(PathBuf),
    /// Anything else, in sentences that say what to do.
    Said(String),
    /// Who read the output has stopped reading (`packstring figures … | head`): nobody is left to tell.
    Unheard,
}

impl<E: std::error::Error + 'static> From<E> for CommandError {
    fn from(error: E) -> Self {
        let error: Box<dyn std::error::Error> = Box::new(error);
        let error = match error.downcast::<SessionError>() {
            Ok(error) => return Self::of_session(*error),
            Err(other) => other,
        };
        match error.downcast_ref::<io::Error>() {
            Some(error) if error.kind() == io::ErrorKind::BrokenPipe => Self::Unheard,
            Some(error) => Self::Said(format!("The output could not be written: {}.", in_words(error))),
            None => Self::Said(error.to_string()),
        }
    }
}

impl CommandError {
    fn of_session(error: SessionError) -> Self {
        match error {
            SessionError::Unread(unread) => Self::Unread(unread),
            SessionError::Shelf(ShelfError::Busy(out)) => Self::Busy(out),
            other => Self::Said(other.to_string()),
        }
    }

    pub fn said(sentence: impl Into<String>) -> Self {
        Self::Said(sentence.into())
    }
}

/// Does what the arguments ask, printing on standard output; troubles go to standard error.
pub fn run(arguments: Arguments, environment: &Environment) -> Outcome {
    let mut out = io::stdout().lock();
    let Some(command) = arguments.command else {
        return ended(next_steps::run(environment, &mut out), environment, &mut out);
    };
    let done = match command {
        Command::Begin { folder, from: Some(from), season, .. } => {
            next_season::run(&folder, &from, season.as_deref(), environment, &mut out)
        }
        Command::Begin { folder, language, .. } => begin::run(&folder, &language, environment, &mut out),
        Command::Theme { folder, only } => theme::run(&folder, &only, environment, &mut out),
        Command::Make(asked) => make::run(&asked, environment, &mut out),
        Command::Certificates(asked) => certificates::run(&asked, environment, &mut out),
        Command::Proofread { program, tell_as, reading: true, .. } => {
            reading::run(program.folder.as_deref(), tell_as, environment, &mut out)
        }
        Command::Proofread { program, tell_as, for_press, roster: true, every_row, save, .. } => {
            let asked = roster::RosterOptions { form: tell_as, for_press, save, every_row };
            roster::run(program.folder.as_deref(), asked, environment, &mut out)
        }
        Command::Proofread { program, tell_as: form, for_press, no_layout, .. } => {
            let asked = proofread::ProofreadOptions { form, for_press, no_layout };
            proofread::run(program.folder.as_deref(), asked, environment, &mut out)
        }
        Command::Backing { program, fact, due, calendar } => {
            let folder = program.folder.as_deref();
            backing::run(folder, fact.as_deref(), due, calendar.as_deref(), environment, &mut out)
        }
        Command::FrontDesk { program, into, no_browser } => {
            let (folder, into) = (program.folder.as_deref(), into.as_deref());
            front_desk::run(folder, into, !no_browser, environment, &mut out)
        }
        Command::Since(asked) => since::run(&asked, environment, &mut out),
        Command::Restate { program, undo: true, .. } => {
            restate::undo(program.folder.as_deref(), environment, &mut out)
        }
        Command::Restate { program, save, back, fill, .. } => {
            let asked = restate::RestateOptions { save, back, fill };
            restate::run(program.folder.as_deref(), asked, environment, &mut out)
        }
        Command::Tally(asked) => tally::run(&asked, environment, &mut out),
        Command::Score(asked) => score::run(&asked, environment, &mut out),
        Command::Completions { shell: Some(shell), .. } => completions::run(shell, &mut out),
        Command::Completions { manual, .. } => {
            completions::write_manual(&manual.unwrap_or_default(), environment, &mut out)
        }
        Command::Figures { files, jsonl, language } => list_figures(&files, jsonl, &language, &mut out),
    };
    ended(done, environment, &mut out)
}

/// How a command ended, once all that it said is out.
fn ended(done: Result<Outcome, CommandError>, environment: &Environment, out: &mut dyn Write) -> Outcome {
    // What is still held back may be what the disk has no room for.
    let done = done.and_then(|outcome| Ok(out.flush().map(|()| outcome)?));
    match done {
        Ok(outcome) => outcome,
        Err(CommandError::Unheard) => Outcome::Clear,
        Err(trouble) => {
            if let Err(error) = tell_trouble(&trouble, environment, out) {
                tell_aside(&error.to_string());
            }
            Outcome::NotDone
        }
    }
}

/// Answers arguments that no command can be run by: says what is wrong with them, or shows the page of help or the
/// version that they ask for.
pub fn answer(error: &clap::Error) -> Outcome {
    if let Some(slip) = usage::told(error) {
        tell_aside(&slip);
        return Outcome::NotDone;
    }
    let shown = match error.kind() {
        ErrorKind::DisplayVersion => writeln!(io::stdout(), "{}", version::told()),
        _ => error.print(),
    };
    match shown {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
            tell_aside(&format!("The output could not be written: {}.", in_words(&error)));
            Outcome::NotDone
        }
        _ => Outcome::Clear,
    }
}

/// Says something on standard error. Where nothing can be said there either, nobody is left to tell.
pub fn tell_aside(sentence: &str) {
    let _ = writeln!(io::stderr(), "{sentence}");
}

fn list_figures(
    files: &[PathBuf],
    jsonl: bool,
    language: &str,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    if !Language::reads(language) {
        let message = format!(
            "packstring reads no figures in “{language}”; it does in {}.",
            Language::all().join(", ")
        );
        return Err(CommandError::Said(message));
    }
    let looked = figures::run(files, jsonl, &Language::of(language, &[]), out)?;
    looked.unread.iter().for_each(|why| tell_aside(why));
    Ok(if looked.unread.is_empty() { Outcome::Clear } else { Outcome::NotDone })
}

fn tell_trouble(trouble: &CommandError, environment: &Environment, out: &mut dyn Write) -> io::Result<()> {
    match trouble {
        CommandError::Said(sentence) => writeln!(io::stderr(), "{sentence}"),
        CommandError::Busy(out) => writeln!(io::stderr(), "{}", ShelfError::Busy(out.clone())),
        CommandError::Unheard => Ok(()),
        CommandError::Unread(unread) => {
            let report = Report::of(&unread.mistakes, &unread.sources, None);
            report.write(As::Text, environment.terminal, out)
        }
    }
}

/// Opens a session. Where JSON is asked for and the program cannot be read, tells why as JSON, which is without
/// the words of the files (they may be a person's), and gives nothing.
fn open_or_tell<'e>(
    (named, into): (Option<&Path>, Option<&Path>),
    is_text: bool,
    environment: &'e Environment,
    out: &mut dyn Write,
) -> Result<Option<Session<'e>>, CommandError> {
    match Session::open(named, into, environment) {
        Err(SessionError::Unread(unread)) if !is_text => {
            let report = Report::of(&unread.mistakes, &unread.sources, None);
            report.write(As::Json, environment.terminal, out)?;
            Ok(None)
        }
        session => Ok(Some(session?)),
    }
}
