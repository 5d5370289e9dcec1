//! Where signing keys are kept: outside every program folder, for their owner only.
//!
//! A folder of the user's own holds one file a key. A key is never printed, never overwritten and never
//! goes anywhere else. The public half stands in the certificate register, and finds its file here.

use crate::credential::SecretKey;
use crate::disk::{self as on_disk, Folder, Settle, Staged};
use crate::io_error::in_words;
use crate::job::file_name;
use jiff::civil::Date;
use std::fmt;
use std::fs;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};
use std::rc::Rc;

const ENDING: &str = "key";

/// Letters of the public key that a file's name carries.
const SHOWN: usize = 12;

/// Why a key could not be kept or found, in sentences.
#[derive(Debug)]
pub enum KeyError {
    /// What was being done, to which file, and what the system said.
    Disk { doing: &'static str, file: PathBuf, source: io::Error },
    /// The file of the key holds something else.
    Unreadable(PathBuf),
    /// A file of that name is there already.
    Kept(PathBuf),
}

impl fmt::Display for KeyError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Disk { doing, file, source } => {
                write!(f, "Could not {doing} {}: {}.", file.display(), in_words(source))
            }
            Self::Unreadable(file) => write!(
                f,
                "{} is no longer a signing key. Put it back from your copy, or make a new key with `packstring certificates key --new --lost`.",
                file.display()
            ),
            Self::Kept(file) => {
                write!(f, "{} is there already, and a key is never written over.", file.display())
            }
        }
    }
}

impl std::error::Error for KeyError {}

fn disk<'a>(doing: &'static str, file: &'a Path) -> impl FnOnce(io::Error) -> KeyError + 'a {
    move |source| KeyError::Disk { doing, file: file.to_owned(), source }
}

/// A key that was found, and its file.
#[derive(Debug)]
pub struct Kept {
    pub key: SecretKey,
    pub file: PathBuf,
}

/// The key in `folder` whose public half is `public`, as the register writes it.
///
/// # Errors
/// The folder or the key's file cannot be read.
pub fn find(folder: &Path, public: &str) -> Result<Option<Kept>, KeyError> {
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(disk("read the folder", folder)(error)),
    };
    for entry in entries {
        let file = entry.map_err(disk("read the folder", folder))?.path();
        if file.extension().is_none_or(|ending| ending != ENDING) {
            continue;
        }
        let bytes = on_disk::read(&file).map_err(disk("read", &file))?;
        let text = String::from_utf8_lossy(&bytes);
        match parse(&text) {
            Some(key) if key.public().to_string() == public => return Ok(Some(Kept { key, file })),
            // Of another program, unless its name says that it is the one.
            None if names(&file, public) => return Err(KeyError::Unreadable(file)),
            _ => {}
        }
    }
    Ok(None)
}

/// Keeps a new key of the program that is called `program`. Gives its file.
///
/// # Errors
/// The file cannot be written, or is there already.
pub fn keep(folder: &Path, program: &str, day: Date, key: &SecretKey) -> Result<PathBuf, KeyError> {
    fs::create_dir_all(folder).map_err(disk("make the folder", folder))?;
    let opened = Rc::new(Folder::open(folder).map_err(disk("open the folder", folder))?);
    opened.set_mode(0o700).map_err(disk("protect the folder", folder))?;
    on_disk::sweep_where_free(&opened);
    // Held, so that no other run takes it for what a killed one left.
    let _held = opened.hold();
    let public = key.public().to_string();
    let name = format!("{}-{}.{ENDING}", file_name::of_id(program), shown(&public));
    let file = folder.join(&name);
    let program: String = program.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let text = format!(
        "# The signing key of {program}, made by packstring on {day}.\n\
         # Whoever has it can sign certificates in the program's name: show it to nobody, and keep a copy.\n\
         {}\n",
        key.to_file_text()
    );
    Staged::write(opened.clone(), text.as_bytes(), None, Settle::Wait)
        .and_then(|staged| staged.put_new(&opened, name.as_ref()))
        .map_err(|error| match error.source.kind() {
            ErrorKind::AlreadyExists => KeyError::Kept(file.clone()),
            _ => disk(error.doing, &file)(error.source),
        })?;
    Ok(file)
}

/// A file of a key that was made for the program that is called `program`, where there is one.
pub fn of_program(folder: &Path, program: &str) -> Option<PathBuf> {
    let begins = format!("{}-", file_name::of_id(program));
    let is_it = |file: &PathBuf| {
        let stem = file.file_stem().and_then(|stem| stem.to_str()).unwrap_or_default();
        let rest = stem.strip_prefix(&begins).is_some_and(|rest| rest.len() == SHOWN && !rest.contains('-'));
        rest && file.extension().is_some_and(|ending| ending == ENDING)
    };
    let mut files: Vec<PathBuf> =
        fs::read_dir(folder).ok()?.filter_map(|entry| Some(entry.ok()?.path())).filter(is_it).collect();
    files.sort();
    files.into_iter().next()
}

/// Takes away a key that was kept just now and is not used after all.
///
/// # Errors
/// The file cannot be removed.
pub fn discard(file: &Path) -> Result<(), KeyError> {
    let name = file.file_name().unwrap_or_default();
    let folder = Folder::open(file.parent().unwrap_or(Path::new(".")));
    folder.and_then(|folder| folder.remove_file(name)).map_err(disk("remove", file))
}

/// The key in a file's text: its one line that is no remark.
fn parse(text: &str) -> Option<SecretKey> {
    let mut lines = text.lines().map(str::trim).filter(|line| !line.is_empty() && !line.starts_with('#'));
    let line = lines.next()?;
    lines.next().is_none().then(|| SecretKey::parse(line).ok()).flatten()
}

/// The end of a public key, by which its file is named. Every key begins alike.
fn shown(public: &str) -> &str {
    &public[public.len().saturating_sub(SHOWN)..]
}

fn names(file: &Path, public: &str) -> bool {
    file.file_stem().and_then(|stem| stem.to_str()).is_some_and(|stem| stem.ends_with(shown(public)))
}

#[cfg(test)]
mod tests {
    use super::*;

    const DAY: Date = jiff::civil::date(2026, 3, 1);

    #[test]
    fn a_kept_key_is_found_by_its_public_half() {
        let folder = tempfile::tempdir().unwrap();
        let keys = folder.path().join("keys");
        let (one, two) = (SecretKey::from_seed([1; 32]), SecretKey::from_seed([2; 32]));
        let public = one.public().to_string();
        assert!(find(&keys, &public).unwrap().is_none());
        keep(&keys, "Trail Rider Stewards", DAY, &two).unwrap();
        let file = keep(&keys, "Trail Rider Stewards", DAY, &one).unwrap();
        let found = find(&keys, &public).unwrap().unwrap();
        assert_eq!((found.key.public(), found.file), (one.public(), file));
    }

    #[test]
    fn a_key_is_never_written_over() {
        let folder = tempfile::tempdir().unwrap();
        let key = SecretKey::from_seed([1; 32]);
        keep(folder.path(), "Stewards", DAY, &key).unwrap();
        assert!(matches!(keep(folder.path(), "Stewards", DAY, &key), Err(KeyError::Kept(_))));
    }

    #[test]
    fn a_spoiled_key_is_told_and_a_strangers_file_is_not() {
        let folder = tempfile::tempdir().unwrap();
        let key = SecretKey::from_seed([1; 32]);
        let file = keep(folder.path(), "Stewards", DAY, &key).unwrap();
        fs::write(folder.path().join("other.key"), "something else").unwrap();
        assert!(find(folder.path(), &key.public().to_string()).unwrap().is_some());
        fs::write(&file, "z3u2").unwrap();
        let spoiled = find(folder.path(), &key.public().to_string());
        assert!(matches!(spoiled, Err(KeyError::Unreadable(_))));
    }

    #[cfg(unix)]
    #[test]
    fn a_pipe_among_the_keys_is_told_and_not_waited_for() {
        let folder = tempfile::tempdir().unwrap();
        let key = SecretKey::from_seed([1; 32]);
        let pipe = folder.path().join("a.key");
        let made = std::process::Command::new("mkfifo").arg(&pipe).status().unwrap();
        assert!(made.success());
        let told = find(folder.path(), &key.public().to_string()).unwrap_err().to_string();
        assert!(told.contains("a.key") && told.contains("it is a pipe or a device"), "{told}");
    }

    #[test]
    fn wherever_keeping_stops_there_is_a_whole_key_or_none() {
        use crate::disk::trial::{Stop, at_each_step};
        let key = SecretKey::from_seed([1; 32]);
        let public = key.public().to_string();
        for stop in [Stop::Full, Stop::Killed] {
            let begin = || tempfile::tempdir().unwrap();
            let steps = at_each_step(
                stop,
                begin,
                |it| keep(it.path(), "Stewards", DAY, &key),
                |it, _, kept| {
                    assert_eq!(find(it.path(), &public).unwrap().is_some(), kept.is_ok());
                    if kept.is_err() {
                        keep(it.path(), "Stewards", DAY, &key).unwrap();
                    }
                    assert_eq!(fs::read_dir(it.path()).unwrap().count(), 1, "what was left is swept");
                },
            );
            assert!(steps >= 4, "only {steps} steps were tried");
        }
    }

    #[cfg(unix)]
    #[test]
    fn it_is_for_its_owner_only() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let keys = folder.path().join("a/keys");
        let file = keep(&keys, "../Stewards/\n", DAY, &SecretKey::from_seed([1; 32])).unwrap();
        let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
        assert_eq!((mode(&keys), mode(&file)), (0o700, 0o600));
        assert_eq!(file.parent(), Some(&*keys));
    }
}
