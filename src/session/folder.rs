//! Which folder a program is in: the one that was named, or the nearest at or above the current one.

use super::{Environment, SessionError};
use crate::program::{self, Program};
use crate::shelf::{self, own_files};
use std::io;
use std::path::{Component, Path, PathBuf};

/// Opens the program folder: the one that was named, or the nearest at or above the current one.
///
/// # Errors
/// There is none, or it has mistakes: all of them.
pub fn open_program(named: Option<&Path>, environment: &Environment) -> Result<Program, SessionError> {
    let folder = needed_folder(named, environment)?;
    own_files::sweep(&folder);
    program::open(&folder).map_err(|unread| SessionError::Unread(Box::new(unread)))
}

/// The program folder that was named, or the nearest at or above the current one; there need be none where none was
/// named.
///
/// # Errors
/// What was named is no program folder.
pub fn program_folder(
    named: Option<&Path>,
    environment: &Environment,
) -> Result<Option<PathBuf>, SessionError> {
    match named {
        Some(named) => named_folder(named).ok_or_else(|| no_program_folder(named)).map(Some),
        None => Ok(program::find_folder(&environment.folder)),
    }
}

/// The same where there must be one.
///
/// # Errors
/// There is none.
pub fn needed_folder(named: Option<&Path>, environment: &Environment) -> Result<PathBuf, SessionError> {
    program_folder(named, environment)?.ok_or_else(|| {
        if let Some(hidden) = with_second_ending(&environment.folder) {
            return hidden;
        }
        SessionError::said(format!(
            "There is no program.toml in {} or in any folder above it. Go to the program folder, name it with --program DIR, or lay out a new one with `packstring begin DIR`.",
            environment.folder.display()
        ))
    })
}

/// The program folder that was named, by itself or by its program.toml.
fn named_folder(named: &Path) -> Option<PathBuf> {
    // A pipe or a folder of that name is told when it is read.
    let inside = named.join("program.toml").symlink_metadata().is_ok().then_some(named);
    let by_file = || named.parent().filter(|_| named.ends_with("program.toml") && named.is_file());
    let folder = inside.or_else(by_file)?;
    Some(if folder.as_os_str().is_empty() { PathBuf::from(".") } else { folder.to_owned() })
}

/// So many folders are looked into for programs.
const MOST_LOOKED_INTO: usize = 2_000;

/// The program folders in some places, and in the folders there: each once, in the order of the places and of names.
pub fn programs_nearby(places: &[PathBuf]) -> Vec<PathBuf> {
    let mut found: Vec<PathBuf> = Vec::new();
    let mut looked = 0;
    for place in places {
        let is_seen = |entry: &walkdir::DirEntry| {
            let is_hidden = entry.depth() > 0 && entry.file_name().to_string_lossy().starts_with('.');
            entry.file_type().is_dir() && !is_hidden
        };
        let folders = walkdir::WalkDir::new(place).max_depth(2).sort_by_file_name().into_iter();
        for folder in folders.filter_entry(is_seen).flatten() {
            looked += 1;
            if looked > MOST_LOOKED_INTO {
                return found;
            }
            let is_program = folder.path().join(PROGRAM).is_file();
            if is_program && !found.iter().any(|known| known == folder.path()) {
                found.push(folder.into_path());
            }
        }
    }
    found
}

/// Where an editor has put an ending of its own behind the name, which many systems do not show.
fn with_second_ending(folder: &Path) -> Option<SessionError> {
    let name = "program.toml.txt";
    folder.join(name).is_file().then(|| {
        SessionError::said(format!(
            "There is no program.toml in {}, but there is {name}. Rename it to program.toml; you may first have to let \
             your system show the endings of file names.",
            folder.display()
        ))
    })
}

/// Why a folder that was named is no program folder.
fn no_program_folder(named: &Path) -> SessionError {
    if let Some(hidden) = with_second_ending(named) {
        return hidden;
    }
    let looked = std::fs::metadata(named.join("program.toml")).map_err(|error| error.kind());
    let why = if looked.is_err_and(|kind| kind == io::ErrorKind::PermissionDenied) {
        "cannot be read: this account is not allowed to open it"
    } else if named.is_dir() {
        "is no program folder: there is no program.toml in it"
    } else if named.exists() {
        "is a file, not a program folder"
    } else {
        "is not there"
    };
    SessionError::said(format!(
        "{} {why}. Name the folder that holds program.toml, or lay out a new one with `packstring begin DIR`.",
        named.display()
    ))
}

/// Where the pieces of a program go as a rule.
pub(super) fn usual_out(program: &Path) -> PathBuf {
    program.join("out")
}

/// Refuses to turn a season over into its own folder, or into one that holds it.
pub(super) fn check_apart(last: &Path, into: &Path) -> Result<(), SessionError> {
    let (Some(one), Some(other)) = (whole(last), whole(into)) else { return Ok(()) };
    if one.starts_with(&other) || other.starts_with(&one) {
        return Err(SessionError::said(format!(
            "{} and {} would be one inside the other. Name a folder beside the last season's.",
            into.display(),
            last.display()
        )));
    }
    Ok(())
}

/// Refuses to put pieces where other things stand: into the program folder itself or one of its folders of sources, into
/// another program's folder, whose pieces would be taken away, and onto a shelf, which is made of pieces.
pub(super) fn refuse_sources(program: &Program, into: &Path) -> Result<(), SessionError> {
    let (Some(into_whole), Some(own)) = (whole(into), whole(&program.folder)) else { return Ok(()) };
    let refuse = |why: &str| {
        Err(SessionError::said(format!(
            "{} {why}. Name another folder with --into, such as one that is not there yet.",
            into.display()
        )))
    };
    let theme = program.content.settings.theme.as_ref().map(|theme| theme.text.as_str());
    let sources = SOURCES.into_iter().chain(theme).map(|name| own.join(name));
    let among = sources.into_iter().any(|source| into_whole.starts_with(source));
    if into_whole == own || among {
        return refuse("holds what pieces are made from, and nothing is put there");
    }
    let program_at = into_whole.ancestors().find(|folder| folder.join(PROGRAM).symlink_metadata().is_ok());
    if let Some(other) = program_at.filter(|folder| *folder != own) {
        return refuse(&format!(
            "is in the folder of another program, {}, and nothing of this one is put there",
            other.display()
        ));
    }
    if let Some(out) = out_of_shelf(&into_whole, &usual_out(&own)) {
        return refuse(&format!(
            "is on a shelf of {}, where pieces stand, and other shelves are not put there",
            out.display()
        ));
    }
    Ok(())
}

/// The folders of a program that hold what is written by people, and its register.
const SOURCES: [&str; 4] = ["lessons", "pictures", "people", "records"];

const PROGRAM: &str = "program.toml";

/// A path without links; what is not there yet lies where its nearest folder that is there does.
fn whole(path: &Path) -> Option<PathBuf> {
    let path = std::path::absolute(path).ok()?;
    let (part, mut whole) = path.ancestors().find_map(|part| Some((part, part.canonicalize().ok()?)))?;
    // What is not there yet will be plain folders, so that a step back leads to the one above.
    for step in path.strip_prefix(part).ok()?.components() {
        match step {
            Component::ParentDir => drop(whole.pop()),
            step => whole.push(step),
        }
    }
    Some(whole)
}

/// The folder of pieces on a shelf of which, or in whose making, this is.
fn out_of_shelf<'p>(path: &'p Path, usual: &Path) -> Option<&'p Path> {
    path.ancestors().find_map(|step| {
        let out = step.parent()?;
        let is_shelf = shelf::is_own_folder(step.file_name()?.to_str()?);
        (is_shelf && (out == usual || shelf::holds_pieces(out))).then_some(out)
    })
}
