//! A folder that is opened once and worked in by its handle.
//!
//! Every name is one part of a path, and no link is followed. Where the system has no handles for folders, the same
//! is asked just before each use.

#[cfg(unix)]
mod by_handle;
#[cfg(not(unix))]
mod by_path;

#[cfg(unix)]
pub use by_handle::Folder;
#[cfg(not(unix))]
pub use by_path::Folder;

use super::{read, step};
use std::ffi::OsStr;
use std::fs::File;
use std::io::{self, ErrorKind};
use std::path::{Component, Path};

/// The folder that holds a path, which may be the current one.
pub fn holder(path: &Path) -> &Path {
    path.parent().filter(|above| !above.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// What stands at a path, by itself: no link is followed.
///
/// # Errors
/// It cannot be looked at.
pub fn kind_at(path: &Path) -> io::Result<Option<Kind>> {
    match std::fs::symlink_metadata(path) {
        Ok(found) => Ok(Some(found.file_type().into())),
        Err(error) if [ErrorKind::NotFound, ErrorKind::NotADirectory].contains(&error.kind()) => Ok(None),
        Err(error) => Err(error),
    }
}

/// Whether the owner of a plain file may start it, where the system marks such files.
pub fn runs(path: &Path) -> bool {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        std::fs::metadata(path).is_ok_and(|found| found.is_file() && found.permissions().mode() & 0o100 != 0)
    }
    #[cfg(not(unix))]
    {
        let _ = path;
        false
    }
}

/// What stands under a name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    File,
    Folder,
    Link,
    /// A pipe, a socket or a device.
    Special,
}

impl Kind {
    /// `a link`.
    pub fn word(self) -> &'static str {
        match self {
            Self::File => "a file",
            Self::Folder => "a folder",
            Self::Link => "a link",
            Self::Special => "a pipe or a device",
        }
    }
}

impl From<std::fs::FileType> for Kind {
    fn from(kind: std::fs::FileType) -> Self {
        match () {
            () if kind.is_symlink() => Self::Link,
            () if kind.is_dir() => Self::Folder,
            () if kind.is_file() => Self::File,
            () => Self::Special,
        }
    }
}

/// How a file in a [`Folder`] is opened.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OpenAs {
    /// Only to be read.
    Read,
    /// To be read and written, and made for its owner only where it is not there.
    Kept,
    /// Made for its owner only, and not there before.
    New,
    /// Made for whom the user lets read what they write by hand, and not there before.
    NewShared,
    /// So too, and to be started; not there before.
    NewToRun,
}

impl Folder {
    /// The folder `name` in this one, made where it is not there: with `mode`, where the system has modes.
    ///
    /// # Errors
    /// It cannot be made, or something else stands there.
    pub fn make(&self, name: &OsStr, mode: u32) -> io::Result<Self> {
        match self.inner(name) {
            Err(error) if error.kind() == ErrorKind::NotFound => {
                step("make the folder")?;
                match self.make_new(name, mode) {
                    // Somebody was faster; that it is a folder shows in opening it.
                    Err(error) if error.kind() != ErrorKind::AlreadyExists => Err(error),
                    _ => self.inner(name),
                }
            }
            found => found,
        }
    }

    /// The folder at a path below this one.
    ///
    /// # Errors
    /// It is not there, something in its path is a link, or the path leads up.
    pub fn below(&self, path: &Path) -> io::Result<Self> {
        self.walk(path, &|folder, name| folder.inner(name))
    }

    /// The folder at a path below this one, made where it is not there.
    ///
    /// # Errors
    /// As [`Self::below`], or it cannot be made.
    pub fn make_below(&self, path: &Path, mode: u32) -> io::Result<Self> {
        self.walk(path, &|folder, name| folder.make(name, mode))
    }

    /// One step after the other, so that no more than two folders are open at once.
    pub fn walk(&self, path: &Path, enter: &dyn Fn(&Self, &OsStr) -> io::Result<Self>) -> io::Result<Self> {
        let mut here = None;
        for part in path.components() {
            let Component::Normal(name) = part else {
                return Err(io::Error::new(ErrorKind::InvalidInput, "a path leads out of its folder"));
            };
            here = Some(enter(here.as_ref().unwrap_or(self), name)?);
        }
        here.map_or_else(|| self.again(), Ok)
    }

    /// The bytes of a plain file.
    ///
    /// # Errors
    /// It is not there, is no plain file, or cannot be read.
    pub fn read(&self, name: &OsStr) -> io::Result<Vec<u8>> {
        read::in_full(self.open_file(name, OpenAs::Read)?)
    }

    /// Holds the folder for this run, until what is given is dropped. `None` where another run holds it.
    ///
    /// # Errors
    /// The system has no such lock for this folder.
    pub fn hold(&self) -> io::Result<Option<File>> {
        let file = self.as_file()?;
        match file.try_lock() {
            Ok(()) => Ok(Some(file)),
            Err(std::fs::TryLockError::WouldBlock) => Ok(None),
            Err(std::fs::TryLockError::Error(error)) => Err(error),
        }
    }
}
