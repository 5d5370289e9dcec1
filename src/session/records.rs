//! Whether the certificate register is the one that there was before: lost, shortened or older records are not
//! taken for a beginning.
//!
//! How long the register was, the hash of its last line and its keys are noted on the private shelf too, which is
//! another folder than `records/`; and the user's own folder of keys tells of a program that had one.

use super::{Environment, Session, SessionError, crediting};
use crate::people::credit;
use crate::pieces::{Selection, TABLE};
use crate::program::Program;
use crate::program::register::{Entry, Given, Register};
use crate::shelf::{RegisterNote, Shelves, keys};
use std::collections::BTreeSet;
use std::path::Path;

impl Session<'_> {
    /// # Errors
    /// The register is not the one that was noted.
    pub(super) fn check_register(&self, shelves: &Shelves) -> Result<(), SessionError> {
        check(&self.program, shelves.register_note(), self.environment)
    }

    /// Certificates that were credited before and that no run has made in this folder: one was stopped in between, or
    /// made other pieces, or another folder.
    pub(super) fn unprinted(&self, shelves: &Shelves, selection: &Selection) -> Vec<Given> {
        if !crediting::is_wanted(selection) {
            return Vec::new();
        }
        let register = &self.program.people.register;
        let printed = shelves.register_note().map_or(0, |note| note.printed.unwrap_or(note.lines));
        // Those of an earlier season are in its own folder.
        let made = credit::credited(&self.program, &selection.scope).into_iter().map(|credit| credit.given);
        let made = made.chain(credit::awarded(&self.program, &selection.scope));
        let made: BTreeSet<&str> = made.map(|given| given.number.plain()).collect();
        let given = register.lines().iter().skip(printed).filter_map(|line| match &line.entry {
            Entry::Given(given) if made.contains(given.number.plain()) => Some(&**given),
            _ => None,
        });
        given.cloned().collect()
    }

    /// The selection without what is made of people, where those are not known.
    ///
    /// # Errors
    /// Nothing else is asked for.
    pub(super) fn without_held_people(&self, selection: Selection) -> Result<Selection, SessionError> {
        if self.held_people.is_empty() {
            return Ok(selection);
        }
        let asked = |row: &&crate::pieces::Row| {
            !row.personal && (selection.pieces.is_empty() || selection.pieces.contains(&row.piece))
        };
        let pieces: Vec<_> = TABLE.iter().filter(asked).map(|row| row.piece).collect();
        if pieces.is_empty() || selection.scope.participant.is_some() {
            let (sources, mistakes) = (self.program.sources.clone(), self.held_people.clone());
            let unread = crate::program::Unread { sources, mistakes, partial: None };
            return Err(SessionError::Unread(Box::new(unread)));
        }
        Ok(Selection { pieces, ..selection })
    }
}

/// The same for commands that write to the register and make no pieces: what is noted on the shelves in the
/// program folder counts.
///
/// # Errors
/// The register is not the one that was noted.
pub fn check_records(program: &Program, environment: &Environment) -> Result<(), SessionError> {
    let shelves = Shelves::look(&program.folder.join("out"), &program.folder)?;
    check(program, shelves.register_note(), environment)
}

fn check(
    program: &Program,
    note: Option<&RegisterNote>,
    environment: &Environment,
) -> Result<(), SessionError> {
    let register = &program.people.register;
    if let Some(why) = note.and_then(|note| otherwise(register, note)) {
        return Err(SessionError::said(format!(
            "{why} Bring back records/certificates.jsonl and records/certificates-head.json as they were, from a copy or with `packstring certificates keep --restore FILE`. Nothing was made, and nobody was credited."
        )));
    }
    match unknown_key(program, environment) {
        Some(file) => Err(SessionError::said(format!(
            "{} is a signing key of this program, and the certificate register knows of no key: was it lost? Bring back records/certificates.jsonl and records/certificates-head.json, from a copy or with `packstring certificates keep --restore FILE`. If this is another program of the same name that begins anew, move the key elsewhere. Nothing was made, and nobody was credited.",
            file.display()
        ))),
        None => Ok(()),
    }
}

/// What a register lacks of what was noted.
fn otherwise(register: &Register, note: &RegisterNote) -> Option<String> {
    let lines = register.lines().len();
    if lines < note.lines {
        return Some(match lines {
            0 => format!(
                "The certificate register is gone: it had {} lines when pieces were made last.",
                note.lines
            ),
            lines => format!(
                "The certificate register is older than it was: it has {lines} lines, and had {} when pieces were made last.",
                note.lines
            ),
        });
    }
    let last = note.lines.checked_sub(1).map(|at| register.lines()[at].hash.as_str());
    if last.is_some_and(|hash| hash != note.hash) {
        return Some(
            "The certificate register is not the one that pieces were made from last: its lines are others."
                .into(),
        );
    }
    let known = |public: &String| register.keys().any(|key| key.public == *public);
    (!note.keys.iter().all(known)).then(|| "The certificate register does not know a key that it had.".into())
}

/// A key of this program's on this machine, where the register has none.
fn unknown_key(program: &Program, environment: &Environment) -> Option<std::path::PathBuf> {
    let register = &program.people.register;
    if register.key().is_some() || register.keys_unsigned().next().is_some() {
        return None;
    }
    let folder: &Path = environment.keys.as_deref()?;
    keys::of_program(folder, &program.content.settings.name)
}
