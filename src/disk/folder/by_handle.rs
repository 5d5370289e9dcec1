//! Folders by their handles: what POSIX calls `openat` and its like.

use super::super::{read, step};
use super::{Kind, OpenAs};
use crate::io_error::{Refusal, refused};
use rustix::fd::OwnedFd;
use rustix::fs::{self, AtFlags, Dir, FileType, Mode, OFlags};
use rustix::io::Errno;
use std::ffi::{OsStr, OsString};
use std::fs::File;
use std::io;
use std::os::unix::ffi::OsStrExt;
use std::path::{Path, PathBuf};

/// An open folder.
#[derive(Debug)]
pub struct Folder {
    handle: OwnedFd,
    path: PathBuf,
}

const FOLDER: OFlags = OFlags::RDONLY.union(OFlags::DIRECTORY).union(OFlags::CLOEXEC);
const NOT_BY_LINK: OFlags = FOLDER.union(OFlags::NOFOLLOW);
/// Nothing that is opened is waited for.
const FILE: OFlags = OFlags::CLOEXEC.union(OFlags::NOFOLLOW).union(OFlags::NONBLOCK).union(OFlags::NOCTTY);

impl Folder {
    /// Opens a folder, where a link leads too: for paths that the user named.
    ///
    /// # Errors
    /// It is no folder, or may not be looked into.
    pub fn open(path: &Path) -> io::Result<Self> {
        Ok(Self { handle: fs::open(path, FOLDER, Mode::empty())?, path: path.to_owned() })
    }

    /// For telling; what is done here is done by the handle.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The folder `name` in this one.
    ///
    /// # Errors
    /// It is not there, or something else stands there.
    pub fn inner(&self, name: &OsStr) -> io::Result<Self> {
        let handle = fs::openat(&self.handle, name, NOT_BY_LINK, Mode::empty());
        let handle = handle.map_err(|error| self.why(name, error))?;
        Ok(Self { handle, path: self.path.join(name) })
    }

    /// The same folder once more.
    pub(super) fn again(&self) -> io::Result<Self> {
        Ok(Self { handle: self.handle.try_clone()?, path: self.path.clone() })
    }

    pub(super) fn as_file(&self) -> io::Result<File> {
        // Opened anew, so that the lock is this run's and not that of whoever has a copy of the handle.
        Ok(fs::openat(&self.handle, ".", FOLDER, Mode::empty())?.into())
    }

    pub(super) fn make_new(&self, name: &OsStr, mode: u32) -> io::Result<()> {
        Ok(fs::mkdirat(&self.handle, name, Mode::from_raw_mode(mode as _))?)
    }

    /// Opens a plain file.
    ///
    /// # Errors
    /// It is no plain file, is not there, or is there and should not be.
    pub fn open_file(&self, name: &OsStr, open_as: OpenAs) -> io::Result<File> {
        let flags = match open_as {
            OpenAs::Read => OFlags::RDONLY,
            OpenAs::Kept => OFlags::RDWR | OFlags::CREATE,
            OpenAs::New | OpenAs::NewShared | OpenAs::NewToRun => {
                OFlags::RDWR | OFlags::CREATE | OFlags::EXCL
            }
        };
        // The system takes from it what the user takes from every new file.
        let mode = Mode::from_raw_mode(match open_as {
            OpenAs::Read | OpenAs::Kept | OpenAs::New => 0o600,
            OpenAs::NewShared => 0o666,
            OpenAs::NewToRun => 0o777,
        });
        if open_as != OpenAs::Read {
            step("open")?;
        }
        let file = fs::openat(&self.handle, name, flags | FILE, mode);
        read::plain(File::from(file.map_err(|error| self.why(name, error))?))
    }

    /// Why something was not opened: of a link and a pipe the system gives reasons that tell nobody why.
    fn why(&self, name: &OsStr, error: Errno) -> io::Error {
        match self.kind(name) {
            Ok(Some(Kind::Link)) => refused(Refusal::Link),
            Ok(Some(Kind::Special)) => refused(Refusal::Special),
            _ => error.into(),
        }
    }

    /// What stands under a name, if anything.
    ///
    /// # Errors
    /// The folder may not be looked into.
    pub fn kind(&self, name: &OsStr) -> io::Result<Option<Kind>> {
        let found = match fs::statat(&self.handle, name, AtFlags::SYMLINK_NOFOLLOW) {
            Ok(found) => found,
            Err(Errno::NOENT) => return Ok(None),
            Err(error) => return Err(error.into()),
        };
        Ok(Some(match FileType::from_raw_mode(found.st_mode as _) {
            FileType::RegularFile => Kind::File,
            FileType::Directory => Kind::Folder,
            FileType::Symlink => Kind::Link,
            _ => Kind::Special,
        }))
    }

    /// Every name in it, in order.
    ///
    /// # Errors
    /// It cannot be read.
    pub fn names(&self) -> io::Result<Vec<OsString>> {
        let mut names = Vec::new();
        for entry in Dir::read_from(&self.handle)? {
            let name = OsStr::from_bytes(entry?.file_name().to_bytes()).to_owned();
            if name != "." && name != ".." {
                names.push(name);
            }
        }
        names.sort();
        Ok(names)
    }

    /// Who may look into it.
    ///
    /// # Errors
    /// It is somebody else's.
    pub fn set_mode(&self, mode: u32) -> io::Result<()> {
        step("protect the folder")?;
        Ok(fs::fchmod(&self.handle, Mode::from_raw_mode(mode as _))?)
    }

    /// Removes a file; of a link, the link itself.
    ///
    /// # Errors
    /// It is not there, or may not be removed.
    pub fn remove_file(&self, name: &OsStr) -> io::Result<()> {
        step("remove")?;
        Ok(fs::unlinkat(&self.handle, name, AtFlags::empty())?)
    }

    /// Removes an empty folder.
    ///
    /// # Errors
    /// Something stands in it, or it may not be removed.
    pub fn remove_folder(&self, name: &OsStr) -> io::Result<()> {
        step("remove")?;
        Ok(fs::unlinkat(&self.handle, name, AtFlags::REMOVEDIR)?)
    }

    /// Renames what stands here to a name in another folder, over what is there.
    ///
    /// # Errors
    /// The system refuses; both are then as they were.
    pub fn rename(&self, from: &OsStr, into: &Self, to: &OsStr) -> io::Result<()> {
        step("put in place")?;
        Ok(fs::renameat(&self.handle, from, &into.handle, to)?)
    }

    /// Renames what stands here to a name in another folder at which nothing stands.
    ///
    /// # Errors
    /// Something stands there, or the system refuses.
    pub fn rename_new(&self, from: &OsStr, into: &Self, to: &OsStr) -> io::Result<()> {
        step("put in place")?;
        #[cfg(any(target_os = "linux", target_os = "android", target_vendor = "apple"))]
        match fs::renameat_with(&self.handle, from, &into.handle, to, fs::RenameFlags::NOREPLACE) {
            // Some disks do not know it.
            Err(Errno::INVAL | Errno::NOSYS | Errno::NOTSUP) => {}
            done => return Ok(done?),
        }
        match into.kind(to)? {
            Some(_) => Err(io::ErrorKind::AlreadyExists.into()),
            None => Ok(fs::renameat(&self.handle, from, &into.handle, to)?),
        }
    }

    /// Waits until the disk knows the names in it. Some disks cannot say, which is no trouble of ours.
    pub(in crate::disk) fn settle(&self) {
        let _ = fs::fsync(&self.handle);
    }
}
