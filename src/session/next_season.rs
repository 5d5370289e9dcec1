//! A season turned over: the folder of the next season, from that of the last.
//!
//! Carried on is what the program is: lessons, facts, pictures, theme, editions, the certificate register and the
//! history of facts, as they are, byte for byte. In `program.toml` the season is the next, and what belongs to one
//! year alone is taken out ([`rewritten`]). Left behind are the people and what was made. What the season came to is
//! kept as `records/season-YEAR.json`, and the next report is compared with it. Nothing of the last season's folder
//! changes. What is then left for the ranger to do is read from the new folder itself ([`left`]), as often as asked.

mod left;
mod rewritten;

pub use left::{LeftToDo, YearNamed};
pub use rewritten::season_after;

use super::{Environment, Session, SessionError, folder};
use crate::disk::{self, Access, Kind, LaidFile, kind_at, lay_out};
use crate::io_error::in_words;
use crate::job::file_name;
use crate::people::season;
use crate::program::Program;
use rewritten::Turn;
use std::collections::BTreeMap;
use std::path::Path;
use walkdir::{DirEntry, WalkDir};

/// What stays in the last season's folder.
const LEFT_BEHIND: [&str; 2] = ["people", "out"];

/// Of `records`, what is of a single run.
const OF_A_RUN: [&str; 2] = ["restated.json", "certificates.lock"];

/// A season that was turned over.
pub struct TurnedOver {
    /// The seasons as they are called, the last and the next.
    pub from: String,
    pub to: String,
    /// How many files the new folder has.
    pub files: usize,
    /// Where the counts of the last season are kept; none where there was nothing to count.
    pub counts: Option<String>,
    /// What was not carried on, by its path in the last season's folder.
    pub left_behind: Vec<String>,
}

/// Lays out the folder of the season after that of `last`, in a folder that is empty or not there yet. `called` is the
/// name of the new season; without it, it is that of the last one a year later.
///
/// # Errors
/// The last season cannot be read as a whole, its register is not the one that it was, the next season's name cannot
/// be told, or the folder cannot be written. Nothing is laid out then.
pub fn turn_over(
    last: &Path,
    into: &Path,
    called: Option<&str>,
    environment: &Environment,
) -> Result<TurnedOver, SessionError> {
    folder::check_apart(last, into)?;
    let mut session = Session::open(Some(last), None, environment)?;
    session.take_in_decisions()?;
    let known = session.know();
    let program = session.program();
    let counts = season::count(&known.understood, &known.scores).map(|season| season.record);
    let from = program.content.settings.season.clone();
    let to = next_name(&from, called)?;
    let kept = counts.as_ref().map(|_| counts_file(&from));
    let turn = Turn { from: &from, to: &to, counts: kept.as_deref() };
    let mut gathered = Gathered::default();
    gathered.folder(program)?;
    for (name, bytes) in &mut gathered.files {
        if is_program_file(name) {
            *bytes = turn.program_file(bytes, name == "program.toml");
        }
    }
    if let (Some(counts), Some(file)) = (&counts, &kept) {
        gathered.files.insert(file.clone(), counts.to_json().into_bytes());
    }
    let root = &program.folder;
    let mut files: Vec<LaidFile> =
        gathered.files.iter().map(|(name, bytes)| laid(root, name, bytes)).collect();
    // What makes the folder a program folder is put there last.
    files.sort_by_key(|file| file.path != Path::new("program.toml"));
    lay_out(into, &environment.folder, &files).map_err(|why| SessionError::not_laid_out(&why, into))?;
    let left_behind = gathered.left_behind;
    Ok(TurnedOver { files: files.len(), from, to, counts: kept, left_behind })
}

/// Where the counts of a season are kept, in the program folder.
fn counts_file(season: &str) -> String {
    format!("records/season-{}.json", file_name::of_id(season))
}

fn laid<'f>(last: &Path, name: &'f str, bytes: &'f [u8]) -> LaidFile<'f> {
    let access = match name {
        _ if name.starts_with("records/") => Access::Personal,
        // what opens the front desk by a double click
        _ if disk::runs(&last.join(name)) => Access::Runs,
        _ => Access::Shared,
    };
    LaidFile { path: Path::new(name), bytes, access }
}

fn is_program_file(name: &str) -> bool {
    name == "program.toml" || name.starts_with("program.") && name.ends_with(".toml") && !name.contains('/')
}

fn next_name(from: &str, called: Option<&str>) -> Result<String, SessionError> {
    match called.map(str::trim) {
        Some("") => Err(SessionError::said("The new season needs a name, such as --season 2027.")),
        Some(name) if name == from => Err(SessionError::said(format!(
            "“{name}” is the season that the program is of. Give the new one another name with --season."
        ))),
        Some(name) if name.contains(['"', '\\']) || name.chars().any(char::is_control) => {
            Err(SessionError::said("A season's name has no quotation marks, backslashes or control characters."))
        }
        Some(name) => Ok(name.to_owned()),
        None => season_after(from).ok_or_else(|| {
            SessionError::said(format!(
                "The season “{from}” has no year in its name, so packstring cannot tell what the next one is called. Give its name with --season."
            ))
        }),
    }
}

/// The files of the last season's folder that are carried on, and what is not.
#[derive(Default)]
struct Gathered {
    /// By their path in the program folder.
    files: BTreeMap<String, Vec<u8>>,
    left_behind: Vec<String>,
}

impl Gathered {
    fn folder(&mut self, program: &Program) -> Result<(), SessionError> {
        let root = &program.folder;
        let entries = WalkDir::new(root).min_depth(1).sort_by_file_name().into_iter();
        let mut entries = entries.filter_entry(|entry| !is_hidden(entry));
        while let Some(entry) = entries.next() {
            let entry = entry.map_err(|error| {
                let file = error.path().unwrap_or(root).display().to_string();
                SessionError::said(format!(
                    "{file} cannot be read, so nothing was laid out. Check who may read it."
                ))
            })?;
            let name = below(root, entry.path());
            if stays(&entry, &name) {
                self.left_behind.push(name);
                if entry.file_type().is_dir() {
                    entries.skip_current_dir();
                }
            } else if !entry.file_type().is_dir() && !is_of_a_run(&name) {
                self.file(root, entry.path(), name)?;
            }
        }
        Ok(())
    }

    fn file(&mut self, root: &Path, path: &Path, name: String) -> Result<(), SessionError> {
        let real = path.canonicalize().ok().zip(root.canonicalize().ok());
        let leads_out = real.is_none_or(|(path, root)| !path.starts_with(root));
        let is_file = std::fs::metadata(path).is_ok_and(|found| found.is_file());
        if leads_out || !is_file {
            self.left_behind.push(name);
            return Ok(());
        }
        let bytes = disk::read(path).map_err(|error| {
            SessionError::said(format!("{name} cannot be read: {}. Nothing was laid out.", in_words(&error)))
        })?;
        self.files.insert(name, bytes);
        Ok(())
    }
}

/// Of packstring's own temporary files, of a repository, of a desktop.
fn is_hidden(entry: &DirEntry) -> bool {
    entry.depth() > 0 && entry.file_name().to_string_lossy().starts_with('.')
}

/// Whether it is left behind: the people, and every folder that pieces were made into.
fn stays(entry: &DirEntry, name: &str) -> bool {
    let is_out = || kind_at(&entry.path().join("made.json")).is_ok_and(|kind| kind == Some(Kind::File));
    LEFT_BEHIND.contains(&name) || entry.file_type().is_dir() && is_out()
}

fn is_of_a_run(name: &str) -> bool {
    name.strip_prefix("records/").is_some_and(|name| OF_A_RUN.contains(&name))
}

fn below(root: &Path, path: &Path) -> String {
    let below = path.strip_prefix(root).unwrap_or(path);
    let parts: Vec<_> = below.iter().map(|part| part.to_string_lossy()).collect();
    parts.join("/")
}
