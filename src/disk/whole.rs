//! Files written whole, and the temporary names under which they are written.

use super::{Folder, Kind, OpenAs, holder, step};
use std::ffi::{OsStr, OsString};
use std::fs::{File, Permissions};
use std::io::{self, ErrorKind, Seek, SeekFrom, Write};
use std::path::Path;
use std::rc::Rc;
use std::time::{Duration, SystemTime};

/// What was being done when a file could not be written, and what the system said.
#[derive(Debug)]
pub struct WriteError {
    /// `start writing`, `write`, `set the permissions of`, `put in place`.
    pub doing: &'static str,
    pub source: io::Error,
}

/// Whether to wait until the disk holds the bytes before the old file is given up. What can be made
/// again need not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Settle {
    Wait,
    GoOn,
}

/// Every temporary file and folder of packstring is called `.packstring-` and sixteen hexadecimal digits and `.part`.
const BEGINS: &str = ".packstring-";
const ENDS: &str = ".part";
const DIGITS: usize = 16;

/// Whether a name is one that packstring gives to what is not in place yet, and nobody else does.
pub fn is_temporary(name: &OsStr) -> bool {
    let digits = name.to_str().and_then(|name| name.strip_prefix(BEGINS)?.strip_suffix(ENDS));
    digits.is_some_and(|digits| {
        digits.len() == DIGITS && digits.bytes().all(|it| matches!(it, b'0'..=b'9' | b'a'..=b'f'))
    })
}

pub(super) fn temporary_name() -> io::Result<OsString> {
    let mut bytes = [0; DIGITS / 2];
    getrandom::fill(&mut bytes).map_err(|error| io::Error::other(error.to_string()))?;
    Ok(format!("{BEGINS}{:016x}{ENDS}", u64::from_le_bytes(bytes)).into())
}

/// A file that is written and not in place yet. It is taken away again unless it is put.
#[derive(Debug)]
pub struct Staged {
    folder: Rc<Folder>,
    name: OsString,
    permissions: Option<Permissions>,
    settle: Settle,
    is_put: bool,
}

impl Staged {
    /// Writes `bytes` under a temporary name in a folder on the same disk as the file's place. Without `permissions`
    /// only its owner may read it.
    ///
    /// # Errors
    /// What could not be done; nothing is left behind then.
    pub fn write(
        folder: Rc<Folder>,
        bytes: &[u8],
        permissions: Option<Permissions>,
        settle: Settle,
    ) -> Result<Self, WriteError> {
        Self::write_as(OpenAs::New, folder, bytes, permissions, settle)
    }

    fn write_as(
        open_as: OpenAs,
        folder: Rc<Folder>,
        bytes: &[u8],
        permissions: Option<Permissions>,
        settle: Settle,
    ) -> Result<Self, WriteError> {
        let name = temporary_name().map_err(failed("start writing"))?;
        let mut file = folder.open_file(&name, open_as).map_err(failed("start writing"))?;
        let staged = Self { folder, name, permissions, settle, is_put: false };
        append(&mut file, bytes).map_err(failed("write"))?;
        if settle == Settle::Wait {
            step("write").and_then(|()| file.sync_all()).map_err(failed("write"))?;
        }
        Ok(staged)
    }

    /// Renames it to its place, over what is there.
    ///
    /// # Errors
    /// The place cannot be taken; what stands there is as it was.
    pub fn put(mut self, into: &Folder, name: &OsStr) -> Result<(), WriteError> {
        self.let_read()?;
        self.folder.rename(&self.name, into, name).map_err(failed("put in place"))?;
        self.is_put(into);
        Ok(())
    }

    /// Renames it to its place, where nothing is there.
    ///
    /// # Errors
    /// Something is there, or the place cannot be taken.
    pub fn put_new(mut self, into: &Folder, name: &OsStr) -> Result<(), WriteError> {
        self.let_read()?;
        self.folder.rename_new(&self.name, into, name).map_err(failed("put in place"))?;
        self.is_put(into);
        Ok(())
    }

    /// Until now only its owner may read it, and nobody else may while a killed run leaves it lying.
    fn let_read(&mut self) -> Result<(), WriteError> {
        let Some(permissions) = self.permissions.take() else { return Ok(()) };
        let file =
            step("set the permissions of").and_then(|()| self.folder.open_file(&self.name, OpenAs::Read));
        let done = file.and_then(|file| file.set_permissions(permissions));
        done.map_err(failed("set the permissions of"))
    }

    fn is_put(&mut self, into: &Folder) {
        self.is_put = true;
        if self.settle == Settle::Wait {
            into.settle();
        }
    }
}

impl Drop for Staged {
    fn drop(&mut self) {
        if !self.is_put {
            // What cannot be taken away now is swept by the next run.
            let _ = self.folder.remove_file(&self.name);
        }
    }
}

/// Writes all bytes at a file's place.
///
/// # Errors
/// The disk takes no more, after any part of them.
pub fn append(file: &mut File, bytes: &[u8]) -> io::Result<()> {
    if let Err(stopped) = step("write") {
        file.write_all(&bytes[..bytes.len() / 2])?;
        return Err(stopped);
    }
    file.write_all(bytes)
}

/// Cuts a file to a length, and goes to its end.
///
/// # Errors
/// The disk refuses.
pub fn cut(file: &mut File, length: u64) -> io::Result<()> {
    step("cut")?;
    file.set_len(length)?;
    file.seek(SeekFrom::Start(length)).map(drop)
}

/// Writes a file that the user asked for by name, readable to whom they let read what they write by hand.
///
/// # Errors
/// What could not be done; `file` is then as it was.
pub fn write_for_user(file: &Path, bytes: &[u8]) -> Result<(), WriteError> {
    use crate::io_error::{Refusal, refused};
    let Some(name) = file.file_name() else {
        return Err(failed("write")(ErrorKind::InvalidFilename.into()));
    };
    let folder = Folder::open(holder(file)).map_err(failed("start writing"))?;
    let refusal = match folder.kind(name).map_err(failed("write"))? {
        Some(Kind::Link) => Some(refused(Refusal::Link)),
        Some(Kind::Special) => Some(refused(Refusal::Special)),
        Some(Kind::Folder) => Some(ErrorKind::IsADirectory.into()),
        Some(Kind::File) | None => None,
    };
    if let Some(refusal) = refusal {
        return Err(failed("write")(refusal));
    }
    let folder = Rc::new(folder);
    sweep_where_free(&folder);
    let permissions = folder.open_file(name, OpenAs::Read).and_then(|file| file.metadata());
    let permissions = permissions.ok().map(|about| about.permissions());
    Staged::write_as(OpenAs::NewShared, folder.clone(), bytes, permissions, Settle::Wait)?.put(&folder, name)
}

/// Takes away what killed runs left in a folder, as far as it is sure that no other run is at work with it. What
/// cannot be taken away is left for the next run.
pub fn sweep_where_free(folder: &Folder) {
    const LONG: Duration = Duration::from_secs(24 * 60 * 60);
    match folder.hold() {
        Ok(Some(_held)) => drop(sweep(folder)),
        Ok(None) => {}
        // Some disks of a network know no such lock: there only what has lain for a day is surely nobody's.
        Err(_) => {
            for name in folder.names().unwrap_or_default().iter().filter(|name| is_temporary(name)) {
                let written =
                    folder.open_file(name, OpenAs::Read).and_then(|file| file.metadata()?.modified());
                let age = written.ok().and_then(|written| SystemTime::now().duration_since(written).ok());
                if age.is_some_and(|age| age > LONG) {
                    let _ = remove_temporary(folder, name);
                }
            }
        }
    }
}

/// Takes away what killed runs left in a folder: plain files and folders with a temporary name, nothing else. Gives
/// how many. The caller holds the folder, so that no other run is at work with them.
///
/// # Errors
/// The folder cannot be read, or one of them cannot be removed.
pub fn sweep(folder: &Folder) -> io::Result<usize> {
    let mut swept = 0;
    for name in folder.names()?.iter().filter(|name| is_temporary(name)) {
        swept += usize::from(remove_temporary(folder, name)?);
    }
    Ok(swept)
}

/// Takes away one file or folder with a temporary name. Gives whether it was one.
///
/// # Errors
/// It cannot be removed.
pub(super) fn remove_temporary(folder: &Folder, name: &OsStr) -> io::Result<bool> {
    if !is_temporary(name) {
        return Ok(false);
    }
    match folder.kind(name)? {
        Some(Kind::File) => folder.remove_file(name)?,
        Some(Kind::Folder) => {
            empty(&folder.inner(name)?)?;
            folder.remove_folder(name)?;
        }
        Some(Kind::Link | Kind::Special) | None => return Ok(false),
    }
    Ok(true)
}

/// Takes away all that lies in a folder of packstring's own; of links, the links themselves.
fn empty(folder: &Folder) -> io::Result<()> {
    for name in folder.names()? {
        if folder.kind(&name)? == Some(Kind::Folder) {
            empty(&folder.inner(&name)?)?;
            folder.remove_folder(&name)?;
        } else {
            folder.remove_file(&name)?;
        }
    }
    Ok(())
}

pub(super) fn failed(doing: &'static str) -> impl Fn(io::Error) -> WriteError {
    move |source| WriteError { doing, source }
}
