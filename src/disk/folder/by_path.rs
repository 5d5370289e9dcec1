//! Folders by their paths, for systems that open none: what stands there is looked at just before it is used.

use super::super::{read, step};
use super::{Kind, OpenAs};
use crate::io_error::{Refusal, refused};
use std::ffi::{OsStr, OsString};
use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

/// A folder.
#[derive(Debug)]
pub struct Folder {
    path: PathBuf,
}

impl Folder {
    /// A folder, where a link leads too: for paths that the user named.
    ///
    /// # Errors
    /// It is no folder, or may not be looked into.
    pub fn open(path: &Path) -> io::Result<Self> {
        if !fs::metadata(path)?.is_dir() {
            return Err(ErrorKind::NotADirectory.into());
        }
        Ok(Self { path: path.to_owned() })
    }

    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The folder `name` in this one.
    ///
    /// # Errors
    /// It is not there, or something else stands there.
    pub fn inner(&self, name: &OsStr) -> io::Result<Self> {
        match self.kind(name)? {
            Some(Kind::Folder) => Ok(Self { path: self.path.join(name) }),
            Some(Kind::Link) => Err(refused(Refusal::Link)),
            Some(_) => Err(ErrorKind::NotADirectory.into()),
            None => Err(ErrorKind::NotFound.into()),
        }
    }

    pub(super) fn again(&self) -> io::Result<Self> {
        Ok(Self { path: self.path.clone() })
    }

    pub(super) fn as_file(&self) -> io::Result<File> {
        Err(ErrorKind::Unsupported.into())
    }

    pub(super) fn make_new(&self, name: &OsStr, _mode: u32) -> io::Result<()> {
        fs::create_dir(self.path.join(name))
    }

    /// Opens a plain file.
    ///
    /// # Errors
    /// It is no plain file, is not there, or is there and should not be.
    pub fn open_file(&self, name: &OsStr, open_as: OpenAs) -> io::Result<File> {
        match self.kind(name)? {
            Some(Kind::Link) => return Err(refused(Refusal::Link)),
            Some(Kind::Special) => return Err(refused(Refusal::Special)),
            Some(Kind::Folder) => return Err(ErrorKind::IsADirectory.into()),
            Some(Kind::File) | None => {}
        }
        let mut options = OpenOptions::new();
        match open_as {
            OpenAs::Read => options.read(true),
            OpenAs::Kept => options.read(true).write(true).create(true),
            OpenAs::New | OpenAs::NewShared | OpenAs::NewToRun => {
                options.read(true).write(true).create_new(true)
            }
        };
        if open_as != OpenAs::Read {
            step("open")?;
        }
        read::plain(options.open(self.path.join(name))?)
    }

    /// What stands under a name, if anything.
    ///
    /// # Errors
    /// The folder may not be looked into.
    pub fn kind(&self, name: &OsStr) -> io::Result<Option<Kind>> {
        match fs::symlink_metadata(self.path.join(name)) {
            Ok(found) => Ok(Some(found.file_type().into())),
            Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
            Err(error) => Err(error),
        }
    }

    /// Every name in it, in order.
    ///
    /// # Errors
    /// It cannot be read.
    pub fn names(&self) -> io::Result<Vec<OsString>> {
        let names: io::Result<Vec<OsString>> =
            fs::read_dir(&self.path)?.map(|entry| Ok(entry?.file_name())).collect();
        let mut names = names?;
        names.sort();
        Ok(names)
    }

    /// A user's own folders are closed to others by their place.
    ///
    /// # Errors
    /// None.
    pub fn set_mode(&self, _mode: u32) -> io::Result<()> {
        step("protect the folder")
    }

    /// Removes a file.
    ///
    /// # Errors
    /// It is not there, or may not be removed.
    pub fn remove_file(&self, name: &OsStr) -> io::Result<()> {
        step("remove")?;
        fs::remove_file(self.path.join(name))
    }

    /// Removes an empty folder.
    ///
    /// # Errors
    /// Something stands in it, or it may not be removed.
    pub fn remove_folder(&self, name: &OsStr) -> io::Result<()> {
        step("remove")?;
        fs::remove_dir(self.path.join(name))
    }

    /// Renames what stands here to a name in another folder, over what is there.
    ///
    /// # Errors
    /// The system refuses; both are then as they were.
    pub fn rename(&self, from: &OsStr, into: &Self, to: &OsStr) -> io::Result<()> {
        step("put in place")?;
        fs::rename(self.path.join(from), into.path.join(to))
    }

    /// Renames what stands here to a name in another folder at which nothing stands.
    ///
    /// # Errors
    /// Something stands there, or the system refuses.
    pub fn rename_new(&self, from: &OsStr, into: &Self, to: &OsStr) -> io::Result<()> {
        match into.kind(to)? {
            Some(_) => Err(ErrorKind::AlreadyExists.into()),
            None => self.rename(from, into, to),
        }
    }

    pub(in crate::disk) fn settle(&self) {}
}
