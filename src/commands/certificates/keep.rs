//! `packstring certificates keep`: the register, its head and the public keys in one file, to be stored elsewhere; and
//! that file put back.
//!
//! Only the folder is asked for, and not that its program can be read: a register that was spoiled is what the copy
//! is for.

use crate::commands::report::counted;
use crate::commands::{CommandError, Outcome};
use crate::disk::{self, Folder, Settle, Staged, WriteError};
use crate::io_error::in_words;
use crate::program::register::{self, FILE, HEAD, Register, chain};
use crate::session::{Environment, doubt_of_records, needed_folder};
use crate::shelf::register::{Restored, restore};
use serde::{Deserialize, Serialize};
use std::io::{self, ErrorKind, Write};
use std::path::Path;
use std::rc::Rc;

/// The file, as it is written: the texts of both files, byte by byte.
#[derive(Serialize, Deserialize)]
struct Copy {
    /// What kind of file it is, and of which form.
    #[serde(rename = "packstring-register")]
    form: u32,
    lines: usize,
    /// For whoever looks into it: the public halves of the program's keys.
    keys: Vec<String>,
    register: String,
    head: String,
}

const FORM: u32 = 1;

pub fn run(
    named: Option<&Path>,
    file: &Path,
    put_back: bool,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    let folder = needed_folder(named, environment)?;
    let file = environment.folder.join(file);
    if put_back {
        bring_back(&folder, &file, environment, out)
    } else {
        keep(&folder, &file, environment, out)
    }
}

fn keep(
    folder: &Path,
    file: &Path,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    let unreadable = |name: &str, error: &std::io::Error| {
        CommandError::said(format!("{name} cannot be read: {}.", in_words(error)))
    };
    let read = |name: &str| read_text(&folder.join(name)).map_err(|error| unreadable(name, &error));
    let refuse_lost = |register: &Register| match doubt_of_records(folder, register, environment) {
        Some(why) => Err(CommandError::Said(format!("{why} Nothing was kept."))),
        None => Ok(()),
    };
    if !folder.join(FILE).exists() {
        refuse_lost(&Register::default())?;
        return Err(CommandError::said("There is no certificate register yet, so there is nothing to keep."));
    }
    // In this order, for another run may be adding lines just now: the head never runs ahead.
    let (head, register) = (read(HEAD)?, read(FILE)?);
    let (read, faults) = chain::parse(Some(&register), Some(&head));
    refuse_faulty(&faults, "The certificate register is not whole, so it is not kept in this state")?;
    refuse_lost(&read)?;
    if let Ok(there) = read_text(file) {
        let of_old = parse(&there).map_err(|_| {
            CommandError::said(format!(
                "{} already exists and is not a copy of a register. Name another file.",
                file.display()
            ))
        })?;
        if !register.starts_with(&of_old.register) {
            return Err(CommandError::said(format!(
                "{} is the copy of another register, or of a longer one, and was not overwritten. Name another file.",
                file.display()
            )));
        }
    }
    let copy = Copy { form: FORM, lines: read.lines().len(), keys: keys(&read), register, head };
    let text = serde_json::to_string_pretty(&copy).expect("texts and numbers only") + "\n";
    let failed = |doing: &str, source: &io::Error| {
        CommandError::said(format!("Could not {doing} {}: {}.", file.display(), in_words(source)))
    };
    let place = Rc::new(Folder::open(disk::holder(file)).map_err(|source| failed("write", &source))?);
    let name = file.file_name().ok_or_else(|| failed("write", &ErrorKind::InvalidFilename.into()))?;
    // With names in it: for its owner only.
    Staged::write(place.clone(), text.as_bytes(), None, Settle::Wait)
        .and_then(|staged| staged.put(&place, name))
        .map_err(|WriteError { doing, source }| failed(doing, &source))?;
    writeln!(
        out,
        "Kept the certificate register, {}, in {}. It holds names: store it where only you can get it, on another disk than the program. `packstring certificates keep --restore` puts it back.",
        counted(copy.lines, "line"),
        file.display()
    )?;
    Ok(Outcome::Clear)
}

fn read_text(file: &Path) -> io::Result<String> {
    String::from_utf8(disk::read(file)?).map_err(|_| ErrorKind::InvalidData.into())
}

fn bring_back(
    folder: &Path,
    file: &Path,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    let text = read_text(file).map_err(|error| {
        let why =
            if error.kind() == ErrorKind::NotFound { "it is not there".into() } else { in_words(&error) };
        CommandError::said(format!("{} cannot be read: {why}.", file.display()))
    })?;
    let copy = parse(&text)
        .map_err(|why| CommandError::said(format!("{} {why}. Nothing was changed.", file.display())))?;
    let (register, faults) = chain::parse(Some(&copy.register), Some(&copy.head));
    refuse_faulty(&faults, "The register in this copy is not whole, so it is not put back")?;
    let restored = restore(folder, &copy.register, &copy.head)?;
    // A copy may itself be older than what was lost.
    let (there, _) = register::open(folder)
        .map_err(|error| CommandError::Said(format!("{FILE} cannot be read: {}.", in_words(&error))))?;
    let still_lost = doubt_of_records(folder, &there, environment);
    match restored {
        Restored::Done { aside } => {
            let lines = counted(register.lines().len(), "line");
            writeln!(out, "The certificate register is back, with {lines}.")?;
            if !aside.is_empty() {
                writeln!(out, "What was there before was put aside: {}.", aside.join(", "))?;
            }
            tell_still_lost(still_lost, out)
        }
        Restored::NotNeeded { lines } => {
            writeln!(
                out,
                "The certificate register is whole, with {}, and has all of this copy. Nothing was changed.",
                counted(lines, "line")
            )?;
            tell_still_lost(still_lost, out)
        }
        Restored::Apart => Err(CommandError::said(
            "The certificate register that is there is whole, and is another than the one in this copy. Nothing was changed. If the copy is the right one, move both files of records/ elsewhere first, and keep them.",
        )),
    }
}

fn tell_still_lost(why: Option<String>, out: &mut dyn Write) -> Result<Outcome, CommandError> {
    let Some(why) = why else { return Ok(Outcome::Clear) };
    writeln!(out, "But this copy is not the newest. {why}")?;
    Ok(Outcome::Findings)
}

fn parse(text: &str) -> Result<Copy, &'static str> {
    match serde_json::from_str::<Copy>(text) {
        Ok(copy) if copy.form == FORM => Ok(copy),
        Ok(_) => Err("was written by a newer packstring than this one"),
        Err(_) => Err("is not a copy of a certificate register"),
    }
}

fn keys(register: &Register) -> Vec<String> {
    register.keys().map(|key| key.public.clone()).collect()
}

fn refuse_faulty(faults: &[register::Fault], why: &str) -> Result<(), CommandError> {
    match faults.first() {
        Some(fault) => Err(CommandError::said(format!("{why}: {}", fault.message))),
        None => Ok(()),
    }
}
