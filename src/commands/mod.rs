//! The commands, one file each: they walk the rooms in order and are the only code that prints.

mod arguments;
pub mod backing;
pub mod begin;
pub mod calendar;
pub mod certificates;
mod crediting;
mod decisions;
mod due;
pub mod figures;
pub mod make;
mod none_made;
pub mod proofread;
mod reading;
pub mod report;
pub mod restate;
pub mod roster;
pub mod score;
pub mod slip;
pub mod tally;
pub mod theme;

use crate::hindrance::in_words;
use crate::program::{self, Program, Unread};
use crate::understand::Understood;
use jiff::civil::Date;
use report::{As, Report};
use std::ffi::OsString;
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

impl From<Outcome> for ExitCode {
    fn from(outcome: Outcome) -> Self {
        Self::from(outcome as u8)
    }
}

/// What comes in from outside, through one door: the day, the current folder, the terminal.
pub struct Desk {
    pub today: Date,
    pub folder: PathBuf,
    /// Whether standard output is a terminal that may be written on in bold.
    pub terminal: bool,
    /// The folder of the user's own that signing keys are kept in; none where the system names none.
    pub keys: Option<PathBuf>,
}

impl Desk {
    pub fn here() -> io::Result<Self> {
        Ok(Self {
            today: jiff::ZonedDateTime::now().date(),
            folder: std::env::current_dir()?,
            terminal: report::bold_on_stdout(),
            keys: keys_folder(|name| std::env::var_os(name)),
        })
    }
}

/// Where signing keys are kept: `PACKSTRING_KEYS`, or `packstring/keys` where the system has a user's
/// settings (XDG Base Directory Specification, and its like on macOS and Windows).
fn keys_folder(variable: impl Fn(&str) -> Option<OsString>) -> Option<PathBuf> {
    let set = |name| variable(name).filter(|value| !value.is_empty()).map(PathBuf::from);
    let settings = if cfg!(windows) {
        set("APPDATA")
    } else if cfg!(target_os = "macos") {
        set("HOME").map(|home| home.join("Library/Application Support"))
    } else {
        set("XDG_CONFIG_HOME")
            .filter(|folder| folder.is_absolute())
            .or_else(|| set("HOME").map(|home| home.join(".config")))
    };
    set("PACKSTRING_KEYS").or_else(|| settings.map(|folder| folder.join("packstring").join("keys")))
}

/// Why a command could not do its work, in words for the person at the keyboard.
#[derive(Debug)]
pub enum Trouble {
    /// The program folder has mistakes: all of them.
    Unread(Unread),
    /// Anything else, in sentences that say what to do.
    Said(String),
    /// Who read the output has stopped reading (`packstring figures … | head`): nobody is left to tell.
    Unheard,
}

impl<E: std::error::Error + 'static> From<E> for Trouble {
    fn from(error: E) -> Self {
        let any: &dyn std::error::Error = &error;
        match any.downcast_ref::<io::Error>() {
            Some(error) if error.kind() == io::ErrorKind::BrokenPipe => Self::Unheard,
            Some(error) => Self::Said(format!("The output could not be written: {}.", in_words(error))),
            None => Self::Said(error.to_string()),
        }
    }
}

impl Trouble {
    pub fn said(sentence: impl Into<String>) -> Self {
        Self::Said(sentence.into())
    }
}

/// Does what the arguments ask, printing on standard output; troubles go to standard error.
pub fn run(arguments: Arguments, desk: &Desk) -> Outcome {
    let mut out = io::stdout().lock();
    let done = match arguments.command {
        Command::Begin { folder } => begin::run(&folder, desk, &mut out),
        Command::Theme { folder, only } => theme::run(&folder, &only, desk, &mut out),
        Command::Make(asked) => make::run(&asked, desk, &mut out),
        Command::Certificates(asked) => certificates::run(&asked, desk, &mut out),
        Command::Proofread { program, tell_as, reading: true, .. } => {
            open_program(program.folder.as_deref(), desk)
                .and_then(|program| reading::run(&Understood::new(&program), tell_as, &mut out))
        }
        Command::Proofread { program, tell_as, for_press, roster: true, every_row, save, .. } => {
            let asked = roster::Asked { form: tell_as, for_press, save, every_row };
            roster::run(program.folder.as_deref(), asked, desk, &mut out)
        }
        Command::Proofread { program, tell_as, for_press, .. } => {
            proofread::run(program.folder.as_deref(), tell_as, for_press, desk, &mut out)
        }
        Command::Backing { program, fact, due, calendar } => {
            let folder = program.folder.as_deref();
            backing::run(folder, fact.as_deref(), due, calendar.as_deref(), desk, &mut out)
        }
        Command::Restate { program, save, back } => {
            let asked = restate::Asked { save, back };
            restate::run(program.folder.as_deref(), asked, desk, &mut out)
        }
        Command::Tally(asked) => tally::run(&asked, desk, &mut out),
        Command::Score(asked) => score::run(&asked, desk, &mut out),
        Command::Figures { files, jsonl } => list_figures(&files, jsonl, &mut out),
    };
    match done {
        Ok(outcome) => outcome,
        Err(Trouble::Unheard) => Outcome::Clear,
        Err(trouble) => {
            if let Err(error) = tell_trouble(&trouble, desk, &mut out) {
                eprintln!("{error}");
            }
            Outcome::NotDone
        }
    }
}

fn list_figures(files: &[PathBuf], jsonl: bool, out: &mut dyn Write) -> Result<Outcome, Trouble> {
    let looked = figures::run(files, jsonl, out)?;
    looked.unread.iter().for_each(|why| eprintln!("{why}"));
    Ok(if looked.unread.is_empty() { Outcome::Clear } else { Outcome::NotDone })
}

fn tell_trouble(trouble: &Trouble, desk: &Desk, out: &mut dyn Write) -> io::Result<()> {
    match trouble {
        Trouble::Said(sentence) => writeln!(io::stderr(), "{sentence}"),
        Trouble::Unheard => Ok(()),
        Trouble::Unread(unread) => {
            let report = Report { findings: &unread.mistakes, sources: &unread.sources, looked: None };
            report.write(As::Text, desk.terminal, out)
        }
    }
}

/// Opens the program folder: the one that was named, or the nearest at or above the current one.
pub fn open_program(named: Option<&Path>, desk: &Desk) -> Result<Program, Trouble> {
    let folder = match named {
        Some(named) => named_folder(named).ok_or_else(|| no_program_folder(named))?,
        None => program::find_folder(&desk.folder).ok_or_else(|| {
            Trouble::said(format!(
                "There is no program.toml in {} or in any folder above it. Go to the program folder, name it with --program DIR, or lay out a new one with `packstring begin DIR`.",
                desk.folder.display()
            ))
        })?,
    };
    program::open(&folder).map_err(Trouble::Unread)
}

/// As [`open_program`]. Where JSON is asked for and the program cannot be read, tells why as JSON, which is
/// without the words of the files (they may be a person's), and gives nothing.
fn open_or_tell(
    named: Option<&Path>,
    is_text: bool,
    desk: &Desk,
    out: &mut dyn Write,
) -> Result<Option<Program>, Trouble> {
    match open_program(named, desk) {
        Err(Trouble::Unread(unread)) if !is_text => {
            let report = Report { findings: &unread.mistakes, sources: &unread.sources, looked: None };
            report.write(As::Json, desk.terminal, out)?;
            Ok(None)
        }
        program => program.map(Some),
    }
}

/// Where pieces go: the folder that was named, or `out` in the program folder.
fn out_folder(program: &Program, into: Option<&Path>) -> PathBuf {
    into.map_or_else(|| program.folder.join("out"), Path::to_owned)
}

/// The program folder that was named, by itself or by its program.toml.
fn named_folder(named: &Path) -> Option<PathBuf> {
    let inside = named.join("program.toml").is_file().then_some(named);
    let by_file = || named.parent().filter(|_| named.ends_with("program.toml") && named.is_file());
    let folder = inside.or_else(by_file)?;
    Some(if folder.as_os_str().is_empty() { PathBuf::from(".") } else { folder.to_owned() })
}

fn no_program_folder(named: &Path) -> Trouble {
    let looked = std::fs::metadata(named.join("program.toml")).map_err(|error| error.kind());
    let why = if looked.is_err_and(|kind| kind == io::ErrorKind::PermissionDenied) {
        "cannot be read: this account may not look into it"
    } else if named.is_dir() {
        "is no program folder: there is no program.toml in it"
    } else if named.exists() {
        "is a file, and no program folder"
    } else {
        "is not there"
    };
    Trouble::said(format!(
        "{} {why}. Name the folder that holds program.toml, or lay out a new one with `packstring begin DIR`.",
        named.display()
    ))
}
