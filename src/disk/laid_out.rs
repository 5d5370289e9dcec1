//! A folder laid out with all of its files, or with none.

use super::whole::{failed, sweep_where_free, temporary_name};
use super::{Folder, Kind, OpenAs, WriteError, append, holder, step};
use crate::io_error::{Refusal, refused};
use std::ffi::{OsStr, OsString};
use std::fs;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

/// Why nothing was laid out.
#[derive(Debug)]
pub struct LayOutError {
    /// The file or folder in trouble, as the caller named it.
    pub file: PathBuf,
    pub unwritten: WriteError,
}

/// A file to be laid out.
#[derive(Clone, Copy, Debug)]
pub struct LaidFile<'f> {
    /// Below the folder.
    pub path: &'f Path,
    pub bytes: &'f [u8],
    pub access: Access,
}

/// Who may do what with a file that is laid out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Access {
    /// Everybody may read it whom the user lets.
    Shared,
    /// So too, and it can be started.
    Runs,
    /// Only its owner may read it, and look into its folder.
    Personal,
}

impl<'f> LaidFile<'f> {
    /// One that everybody may read whom the user lets.
    pub fn shared(path: &'f Path, bytes: &'f [u8]) -> Self {
        Self { path, bytes, access: Access::Shared }
    }

    /// The mode of the folders that it lies in.
    fn folder_mode(&self) -> u32 {
        if self.access == Access::Personal { 0o700 } else { 0o777 }
    }

    fn open_as(&self) -> OpenAs {
        match self.access {
            Access::Personal => OpenAs::New,
            Access::Shared => OpenAs::NewShared,
            Access::Runs => OpenAs::NewToRun,
        }
    }
}

/// Lays out files, each by its path below `into`, none of which is there yet. Where `into` is not there or is empty,
/// it gets all of them in one moment; where something else stands in it, one after the other, the first of the list
/// last. `here` is the current folder, in whose place no other can be put.
///
/// # Errors
/// What could not be done; all is then as it was.
pub fn lay_out(into: &Path, here: &Path, files: &[LaidFile]) -> Result<(), LayOutError> {
    // A path that ends in a point names the same folder.
    let into: PathBuf = into.components().collect();
    let at = |file: &Path, doing| {
        let file = file.to_owned();
        move |source| LayOutError { file, unwritten: failed(doing)(source) }
    };
    let there = match fs::symlink_metadata(&into) {
        Ok(found) => Some(Kind::from(found.file_type())),
        Err(error) if error.kind() == ErrorKind::NotFound => None,
        Err(error) => return Err(at(&into, "make the folder")(error)),
    };
    match there {
        Some(Kind::Link) => return Err(at(&into, "write into")(refused(Refusal::Link))),
        Some(Kind::File | Kind::Special) => {
            return Err(at(&into, "write into")(ErrorKind::NotADirectory.into()));
        }
        Some(Kind::Folder) | None => {}
    }
    let is_here = there.is_some() && fs::canonicalize(&into).ok() == fs::canonicalize(here).ok();
    let is_empty = || fs::read_dir(&into).is_ok_and(|mut entries| entries.next().is_none());
    match (there, into.file_name()) {
        (None, Some(name)) => beside(&into, name, files),
        // Where the folder above takes nothing, its own does perhaps.
        (Some(_), Some(name)) if !is_here && is_empty() => {
            beside(&into, name, files).or_else(|_| within(&into, files))
        }
        _ => within(&into, files),
    }
}

/// Beside the folder, and then renamed to it.
fn beside(into: &Path, name: &OsStr, files: &[LaidFile]) -> Result<(), LayOutError> {
    let failed = |source| LayOutError { file: into.to_owned(), unwritten: failed("make the folder")(source) };
    let above = holder(into);
    let mut made = MadeFolders::default();
    made.make_all(above).map_err(failed)?;
    let above = Folder::open(above).map_err(failed)?;
    sweep_where_free(&above);
    // Held, so that no other run takes it for what a killed one left.
    let _held = above.hold();
    let stage = Stage::write(&above, files)?;
    // Of an empty folder that stands there the place is taken, of anything else it is not.
    above.rename(&stage.name, &above, name).map_err(failed)?;
    stage.done();
    made.keep();
    Ok(())
}

/// Below a folder that is there, and then file by file to its place.
fn within(into: &Path, files: &[LaidFile]) -> Result<(), LayOutError> {
    let at = |path: &Path, doing| {
        let file = into.join(path);
        move |source| LayOutError { file, unwritten: failed(doing)(source) }
    };
    let folder = Folder::open(into).map_err(at(Path::new(""), "write into"))?;
    sweep_where_free(&folder);
    let _held = folder.hold();
    let stage = Stage::write(&folder, files)?;
    let staged = folder.inner(&stage.name).map_err(at(Path::new(""), "write into"))?;
    let mut put = Put { folder: &folder, files: Vec::new(), folders: Vec::new(), is_whole: false };
    for file in files.iter().rev() {
        let done = put.one(&staged, file);
        done.map_err(at(file.path, "put in place"))?;
    }
    put.is_whole = true;
    Ok(())
}

/// What was put so far; taken away again where not all of it can be.
struct Put<'f> {
    folder: &'f Folder,
    files: Vec<&'f Path>,
    folders: Vec<PathBuf>,
    is_whole: bool,
}

impl<'f> Put<'f> {
    fn one(&mut self, staged: &Folder, file: &LaidFile<'f>) -> io::Result<()> {
        let path = file.path;
        let (Some(above), Some(name)) = (path.parent(), path.file_name()) else {
            return Err(ErrorKind::InvalidFilename.into());
        };
        let parts: Vec<&OsStr> = above.iter().collect();
        for count in 1..=parts.len() {
            let part: PathBuf = parts[..count].iter().collect();
            let holds = self.folder.below(part.parent().unwrap_or(Path::new("")))?;
            if holds.kind(parts[count - 1])?.is_none() {
                holds.make(parts[count - 1], file.folder_mode())?;
                self.folders.push(part);
            }
        }
        staged.below(above)?.rename_new(name, &self.folder.below(above)?, name)?;
        self.files.push(path);
        Ok(())
    }
}

impl Drop for Put<'_> {
    fn drop(&mut self) {
        if self.is_whole {
            return;
        }
        let above = |path: &Path| self.folder.below(path.parent().unwrap_or(Path::new("")));
        let name = |path: &Path| path.file_name().map(OsStr::to_owned).unwrap_or_default();
        for file in self.files.iter().rev() {
            let _ = above(file).and_then(|folder| folder.remove_file(&name(file)));
        }
        for folder in self.folders.iter().rev() {
            let _ = above(folder).and_then(|above| above.remove_folder(&name(folder)));
        }
    }
}

/// A folder with a temporary name that holds all files.
struct Stage<'f> {
    above: &'f Folder,
    name: OsString,
    is_done: bool,
}

impl<'f> Stage<'f> {
    fn write(above: &'f Folder, files: &[LaidFile]) -> Result<Self, LayOutError> {
        let named = |path: &Path, doing, source| {
            let file = above.path().join(path);
            LayOutError { file, unwritten: failed(doing)(source) }
        };
        let root = Path::new("");
        let name = temporary_name().map_err(|error| named(root, "make the folder", error))?;
        // As every folder of the user's: it becomes one.
        let folder = above.make(&name, 0o777).map_err(|error| named(root, "write into", error))?;
        let stage = Self { above, name, is_done: false };
        for laid in files {
            let path = laid.path;
            let (Some(holder), Some(name)) = (path.parent(), path.file_name()) else {
                return Err(named(path, "write", ErrorKind::InvalidFilename.into()));
            };
            let written = folder.make_below(holder, laid.folder_mode()).and_then(|holder| {
                let mut file = holder.open_file(name, laid.open_as())?;
                append(&mut file, laid.bytes)?;
                step("write")?;
                file.sync_all()
            });
            written.map_err(|error| named(path, "write", error))?;
        }
        Ok(stage)
    }

    /// It has its own name by now.
    fn done(mut self) {
        self.is_done = true;
    }
}

impl Drop for Stage<'_> {
    fn drop(&mut self) {
        if !self.is_done {
            // What cannot be taken away now is swept by the next run.
            let _ = super::whole::remove_temporary(self.above, &self.name);
        }
    }
}

/// Folders above that were made for this; taken away again where nothing comes of it.
#[derive(Default)]
struct MadeFolders {
    made: Vec<PathBuf>,
}

impl MadeFolders {
    fn make_all(&mut self, folder: &Path) -> io::Result<()> {
        let missing: Vec<&Path> = folder
            .ancestors()
            .take_while(|folder| !folder.as_os_str().is_empty() && !folder.exists())
            .collect();
        for folder in missing.into_iter().rev() {
            step("make the folder")?;
            fs::create_dir(folder)?;
            self.made.push(folder.to_owned());
        }
        Ok(())
    }

    fn keep(mut self) {
        self.made.clear();
    }
}

impl Drop for MadeFolders {
    fn drop(&mut self) {
        for folder in self.made.iter().rev() {
            // It fails where somebody has put something there meanwhile.
            if step("remove").and_then(|()| fs::remove_dir(folder)).is_err() {
                return;
            }
        }
    }
}
