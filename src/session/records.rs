//! Whether the certificate register is the one that there was before: lost, shortened or older records are not
//! taken for a beginning.
//!
//! How long the register was, the hash of its last line and its keys are noted on the private shelf too, which is
//! another folder than `records/`: on the one in the program folder, and on that of another folder that pieces are made
//! into. And the user's own folder of keys tells of a program that had one. Whatever reads the register asks here first.

use super::{Environment, Session, SessionError, crediting, folder};
use crate::finding::{Finding, Place, rules};
use crate::people::credit;
use crate::pieces::{Selection, TABLE};
use crate::program::register::{self, Entry, FILE, Given, Register};
use crate::program::{self, Program};
use crate::shelf::{self, RegisterNote, ShelfError, Shelves, keys};
use std::collections::BTreeSet;
use std::path::Path;

/// How to mend it.
const BRING_BACK: &str = "Bring back records/certificates.jsonl and records/certificates-head.json as they were: both from one copy of the folder, or with `packstring certificates keep --restore FILE` from a file that `keep` made.";

impl Session<'_> {
    /// # Errors
    /// The register is not the one that was noted.
    pub(super) fn check_register(&self) -> Result<(), SessionError> {
        match lost(&self.program, &[&self.out], self.environment) {
            Some(lost) => Err(lost.stops()),
            None => Ok(()),
        }
    }

    /// The same, as proofreading tells it.
    pub(super) fn register_lost(&self) -> Option<Finding> {
        let lost = lost(&self.program, &[&self.out], self.environment)?;
        Some(Finding::of(&rules::REGISTER_CUT, Place::whole(FILE), lost.why).mend(lost.mend))
    }

    /// Notes how long the register is: where this run's pieces go, and on the private shelf in the program folder, which
    /// is the one that every command looks at.
    pub(super) fn note_credited(
        &self,
        shelves: &mut Shelves,
        register: &Register,
    ) -> Result<(), SessionError> {
        shelves.note_register(register, false);
        shelves.record_register()?;
        note_register(&self.program.folder, Some(&self.out), register);
        Ok(())
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
        if self.held_people.findings.is_empty() {
            return Ok(selection);
        }
        let asked = |row: &&crate::pieces::Row| {
            !row.personal && (selection.pieces.is_empty() || selection.pieces.contains(&row.piece))
        };
        let pieces: Vec<_> = TABLE.iter().filter(asked).map(|row| row.piece).collect();
        if pieces.is_empty() || selection.scope.participant.is_some() {
            let (sources, mistakes) = (self.program.sources.clone(), self.held_people.findings.clone());
            let unread = crate::program::Unread { sources, mistakes, partial: None };
            return Err(SessionError::Unread(Box::new(unread)));
        }
        Ok(Selection { pieces, ..selection })
    }
}

/// The same for commands that make no pieces: what is noted on the shelves in the program folder counts.
///
/// # Errors
/// The register is not the one that was noted.
pub fn check_records(program: &Program, environment: &Environment) -> Result<(), SessionError> {
    lost(program, &[], environment).map_or(Ok(()), |lost| Err(lost.stops()))
}

/// What the register of a program folder lacks of what was noted there, in sentences, where its files were read by
/// themselves.
pub fn doubt_of_records(folder: &Path, register: &Register, environment: &Environment) -> Option<String> {
    let name = || match program::open(folder) {
        Ok(program) => Some(program.content.settings.name.clone()),
        Err(unread) => unread.partial.map(|program| program.content.settings.name.clone()),
    };
    let lost = by_note(folder, register, &[]).or_else(|| by_key(register, &name, environment));
    lost.map(|lost| format!("{} {}", lost.why, lost.mend))
}

/// Notes how long the register is by now on the private shelf in the program folder, unless pieces go there and it is
/// noted with them. Where no piece was ever made, there is no such shelf, and none is made for the note alone. Where it
/// cannot be noted, because a link stands there or the folder is not to be written, the register is written all the
/// same, and what was noted before still holds.
pub fn note_register(folder: &Path, into: Option<&Path>, register: &Register) {
    let usual = folder::usual_out(folder);
    let is_there = usual.join(crate::job::Shelf::Private.name()).exists();
    let is_same = into.is_some_and(|into| is_one_folder(into, &usual));
    if !is_same && (into.is_some() || is_there) && !register.lines().is_empty() {
        let _: Result<(), ShelfError> = shelf::note_register(&usual, folder, register);
    }
}

fn is_one_folder(one: &Path, other: &Path) -> bool {
    let whole = |path: &Path| path.canonicalize().or_else(|_| std::path::absolute(path));
    one == other || whole(one).ok().zip(whole(other).ok()).is_some_and(|(one, other)| one == other)
}

/// Why the register is not the one that there was.
struct Lost {
    why: String,
    mend: String,
}

impl Lost {
    fn stops(self) -> SessionError {
        SessionError::said(format!("{} {} Nothing was done, and nobody was credited.", self.why, self.mend))
    }
}

/// What a program's register lacks, by the notes on the shelf in its folder and on those of others, and by the user's
/// keys.
fn lost(program: &Program, outs: &[&Path], environment: &Environment) -> Option<Lost> {
    let register = &program.people.register;
    let name = || Some(program.content.settings.name.clone());
    by_note(&program.folder, register, outs).or_else(|| by_key(register, &name, environment))
}

fn by_note(folder: &Path, register: &Register, outs: &[&Path]) -> Option<Lost> {
    let usual = folder::usual_out(folder);
    let notes = std::iter::once(&*usual).chain(outs.iter().copied()).filter_map(shelf::register_note);
    notes.into_iter().find_map(|note| {
        let why = otherwise(register, &note)?;
        // Another run may have added lines since the register was read.
        let is_there_now = register::open(folder)
            .is_ok_and(|(now, faults)| faults.is_empty() && otherwise(&now, &note).is_none());
        (!is_there_now).then(|| Lost { why, mend: BRING_BACK.into() })
    })
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
fn by_key(
    register: &Register,
    program: &dyn Fn() -> Option<String>,
    environment: &Environment,
) -> Option<Lost> {
    if register.key().is_some() || register.keys_unsigned().next().is_some() {
        return None;
    }
    let folder: &Path = environment.keys.as_deref()?;
    folder.is_dir().then_some(())?;
    let file = keys::of_program(folder, &program()?)?;
    let name = file.file_name().unwrap_or_default().to_string_lossy().into_owned();
    Some(Lost {
        why: format!(
            "{name}, in your folder of keys, is a signing key of this program, and the certificate register knows of no key: was it lost?"
        ),
        mend: format!(
            "{BRING_BACK} If this is another program of the same name that begins anew, move the key elsewhere."
        ),
    })
}
