//! The program's own files changed: whole, and only where they are still what was read.
//!
//! All new files are written before the first takes its place, so that a full disk is met while nothing is changed.
//! They lie beside the files that they replace, under a temporary name and for their owner only. A run that saves
//! holds the program folder; what a killed one left is swept by the next run ([`sweep`]).

use crate::disk::{self, Folder, Settle, Staged, WriteError};
use crate::io_error::in_words;
use std::collections::BTreeMap;
use std::ffi::OsString;
use std::fmt;
use std::fs::File;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};
use std::rc::Rc;

/// Why files were not saved, and which were by then.
#[derive(Debug)]
pub struct SaveError {
    /// By its path in the program folder.
    pub file: String,
    pub why: SaveTrouble,
    /// The files that have their new text, and those that have their old one.
    pub saved: Vec<String>,
    pub left: Vec<String>,
}

/// What kept a file from being saved.
#[derive(Debug)]
pub enum SaveTrouble {
    /// Another run is saving in this program just now.
    Busy,
    /// A link leads to it, and it lies outside of the program folder.
    Outside,
    /// It holds other bytes than those that were read: somebody else was faster.
    Changed,
    /// It is protected against changes.
    Protected,
    /// A link or the like stands where a file of packstring's own must.
    Strange,
    /// What is noted in it nobody can read.
    Unknown,
    Disk(WriteError),
}

impl fmt::Display for SaveError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { file, why, saved, left } = self;
        let what = match why {
            SaveTrouble::Busy => "Another packstring is saving in this program folder just now".to_owned(),
            SaveTrouble::Outside => format!("{file} is a link to something outside the program folder"),
            SaveTrouble::Changed => format!("{file} was changed by someone else just now"),
            SaveTrouble::Protected => format!("{file} is protected against changes"),
            SaveTrouble::Strange => format!("{file} is not a plain file or folder"),
            SaveTrouble::Unknown => {
                format!("{file} cannot be read: a newer packstring wrote it, or somebody has changed it")
            }
            SaveTrouble::Disk(WriteError { doing, source }) => {
                format!("Could not {doing} {file}: {}", in_words(source))
            }
        };
        let mend = match why {
            SaveTrouble::Busy => "Wait until it has finished, and run the command again.",
            SaveTrouble::Outside => "Put the file itself into the program folder, and run the command again.",
            SaveTrouble::Changed => "Run the command again.",
            SaveTrouble::Protected => "Allow writing to it, and run the command again.",
            SaveTrouble::Strange => "Move it elsewhere, and run the command again.",
            SaveTrouble::Unknown => {
                "Use the newest packstring, or move the file away; then you cannot undo the last restate."
            }
            SaveTrouble::Disk(_) => "Check the disk and who may write there, and run the command again.",
        };
        if saved.is_empty() {
            return write!(f, "{what}, so nothing was saved. {mend}");
        }
        let is_as = if left.len() == 1 { "is as it was" } else { "are as they were" };
        write!(
            f,
            "{what}. Saved by then, and whole: {}. Not saved: {}, which {is_as}. {mend}",
            saved.join(", "),
            left.join(", ")
        )
    }
}

impl std::error::Error for SaveError {}

/// Files of a program that are being saved together.
pub struct Saving {
    /// With every link followed.
    real: PathBuf,
    root: Folder,
    folders: BTreeMap<PathBuf, Rc<Folder>>,
    ready: Vec<Ready>,
    /// None where the disk knows no such lock.
    _held: Option<File>,
}

/// A file whose new text is written and not in place yet.
struct Ready {
    file: String,
    folder: Rc<Folder>,
    name: OsString,
    read: Vec<u8>,
    staged: Staged,
}

impl Saving {
    /// Holds a program folder, and sweeps what a killed run left there.
    ///
    /// # Errors
    /// Another run is saving there, or the folder cannot be opened.
    pub fn open(program: &Path) -> Result<Self, SaveError> {
        let failed =
            |why| SaveError { file: program.display().to_string(), why, saved: Vec::new(), left: Vec::new() };
        let disk = |source| failed(SaveTrouble::Disk(WriteError { doing: "open", source }));
        let real = program.canonicalize().map_err(disk)?;
        let root = Folder::open(&real).map_err(disk)?;
        let held = match root.hold() {
            Ok(None) => return Err(failed(SaveTrouble::Busy)),
            Ok(held) => held,
            Err(_) => None,
        };
        if held.is_some() {
            each_folder(&root, &mut |folder| drop(disk::sweep(folder)));
        }
        Ok(Self { real, root, folders: BTreeMap::new(), ready: Vec::new(), _held: held })
    }

    /// Makes a file ready that held `read` and is to hold `bytes`. Where a link leads is changed, in the program
    /// folder; who may read and write it stays as it was.
    ///
    /// # Errors
    /// It cannot be changed; none of the files is then.
    pub fn stage(&mut self, file: &str, read: &[u8], bytes: &[u8]) -> Result<(), SaveError> {
        let ready = self.ready_of(file, read, bytes);
        let ready = ready.map_err(|why| SaveError {
            file: file.to_owned(),
            why,
            saved: Vec::new(),
            left: self.ready.iter().map(|ready| ready.file.clone()).chain([file.to_owned()]).collect(),
        })?;
        self.ready.push(ready);
        Ok(())
    }

    fn ready_of(&mut self, file: &str, read: &[u8], bytes: &[u8]) -> Result<Ready, SaveTrouble> {
        let disk = |doing| move |source| SaveTrouble::Disk(WriteError { doing, source });
        let path = self.real.join(file).canonicalize().map_err(disk("find"))?;
        let below = path.strip_prefix(&self.real).map_err(|_| SaveTrouble::Outside)?;
        let (Some(above), Some(name)) = (below.parent(), below.file_name()) else {
            return Err(disk("find")(ErrorKind::InvalidFilename.into()));
        };
        let folder = match self.folders.get(above) {
            Some(folder) => folder.clone(),
            None => {
                let folder = Rc::new(self.root.below(above).map_err(disk("find"))?);
                self.folders.insert(above.to_owned(), folder.clone());
                folder
            }
        };
        let opened = folder.open_file(name, disk::OpenAs::Read).map_err(disk("read"))?;
        let permissions = opened.metadata().map_err(disk("read"))?.permissions();
        if disk::in_full(opened).map_err(disk("read"))? != read {
            return Err(SaveTrouble::Changed);
        }
        if permissions.readonly() {
            return Err(SaveTrouble::Protected);
        }
        let staged = Staged::write(folder.clone(), bytes, Some(permissions), Settle::Wait);
        let staged = staged.map_err(SaveTrouble::Disk)?;
        Ok(Ready { file: file.to_owned(), folder, name: name.to_owned(), read: read.to_owned(), staged })
    }

    /// Puts all of them in place.
    ///
    /// # Errors
    /// One of them cannot be: those before it are saved, the others as they were.
    pub fn save(self) -> Result<(), SaveError> {
        let names: Vec<String> = self.ready.iter().map(|ready| ready.file.clone()).collect();
        let failed = |at: usize, why| {
            let (saved, left) = names.split_at(at);
            SaveError { file: names[at].clone(), why, saved: saved.to_vec(), left: left.to_vec() }
        };
        // Once more, for writing them took its time.
        for (at, ready) in self.ready.iter().enumerate() {
            if ready.folder.read(&ready.name).ok().as_deref() != Some(&*ready.read) {
                return Err(SaveError { file: names[at].clone(), ..failed(0, SaveTrouble::Changed) });
            }
        }
        for (at, ready) in self.ready.into_iter().enumerate() {
            let put = ready.staged.put(&ready.folder, &ready.name);
            put.map_err(|error| failed(at, SaveTrouble::Disk(error)))?;
        }
        Ok(())
    }
}

/// Takes away what a killed run left in a program folder, unless another run is saving there.
pub fn sweep(program: &Path) {
    if let Ok(root) = Folder::open(program) {
        let mut is_left = false;
        each_folder(&root, &mut |folder| {
            is_left |= folder.names().is_ok_and(|names| names.iter().any(|name| disk::is_temporary(name)));
        });
        if is_left {
            match root.hold() {
                Ok(Some(_held)) => each_folder(&root, &mut |folder| drop(disk::sweep(folder))),
                Ok(None) => {}
                Err(_) => each_folder(&root, &mut |folder| disk::sweep_where_free(folder)),
            }
        }
    }
}

/// The folders of a program in which its own files are changed.
fn each_folder(root: &Folder, look: &mut dyn FnMut(&Folder)) {
    fn inner(folder: &Folder, look: &mut dyn FnMut(&Folder)) {
        look(folder);
        for name in folder.names().unwrap_or_default() {
            if !disk::is_temporary(&name)
                && let Ok(inside) = folder.inner(&name)
            {
                inner(&inside, look);
            }
        }
    }
    look(root);
    for name in ["lessons", "people"] {
        let _: io::Result<()> = root.inner(name.as_ref()).map(|folder| inner(&folder, look));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::disk::trial::{Stop, at_each_step};
    use std::fs;
    use tempfile::TempDir;

    const FILES: [&str; 3] = ["facts.toml", "lessons/a.md", "people/roster.csv"];

    fn program() -> TempDir {
        let folder = tempfile::tempdir().unwrap();
        for file in FILES {
            fs::create_dir_all(folder.path().join(file).parent().unwrap()).unwrap();
            fs::write(folder.path().join(file), format!("old {file}")).unwrap();
        }
        folder
    }

    fn save(folder: &TempDir) -> Result<(), SaveError> {
        let mut saving = Saving::open(folder.path())?;
        for file in FILES {
            saving.stage(file, format!("old {file}").as_bytes(), format!("new {file}").as_bytes())?;
        }
        saving.save()
    }

    fn words(folder: &TempDir, file: &str) -> String {
        fs::read_to_string(folder.path().join(file)).unwrap()
    }

    /// Every name in the folder and below it.
    fn names(folder: &Path) -> Vec<String> {
        let entries = walkdir::WalkDir::new(folder).min_depth(1).sort_by_file_name().into_iter();
        entries.map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned()).collect()
    }

    #[test]
    fn what_is_told_of_a_full_disk_is_what_stands_there() {
        let steps = at_each_step(Stop::Full, program, save, |folder, stopped, done| {
            let (new, old): (Vec<&str>, Vec<&str>) =
                FILES.into_iter().partition(|file| words(folder, file) == format!("new {file}"));
            assert!(old.iter().all(|file| words(folder, file) == format!("old {file}")), "at {stopped:?}");
            match done {
                Ok(()) => assert_eq!(new, FILES),
                Err(error) => {
                    let told = error.to_string();
                    assert!(told.contains("the disk is full"), "{told}");
                    assert_eq!(error.saved, new, "at {stopped:?}");
                    assert!(new.is_empty() == told.contains("nothing was saved"), "{told}");
                    assert!(
                        new.iter().chain(&old).all(|file| new.is_empty() || told.contains(file)),
                        "{told}"
                    );
                }
            }
            assert!(names(folder.path()).iter().all(|name| !disk::is_temporary(name.as_ref())));
        });
        assert!(steps >= 12, "only {steps} steps were tried");
    }

    #[test]
    fn what_a_killed_run_leaves_is_swept_by_the_next() {
        let mut left_behind = std::cell::Cell::new(0);
        at_each_step(Stop::Killed, program, save, |folder, stopped, _| {
            for file in FILES {
                let words = words(folder, file);
                assert!(words == format!("old {file}") || words == format!("new {file}"), "at {stopped:?}");
            }
            let left = names(folder.path()).iter().filter(|name| disk::is_temporary(name.as_ref())).count();
            left_behind.set(left_behind.get() + left);
            sweep(folder.path());
            assert_eq!(names(folder.path()).len(), FILES.len() + 2, "at {stopped:?}");
        });
        assert!(*left_behind.get_mut() > 0, "the trial leaves something to sweep");
    }

    #[test]
    fn what_somebody_else_changed_is_not_written_over() {
        let folder = program();
        fs::write(folder.path().join("lessons/a.md"), "theirs").unwrap();
        let told = save(&folder).unwrap_err().to_string();
        assert_eq!(
            told,
            "lessons/a.md was changed by someone else just now, so nothing was saved. Run the command again."
        );
        assert_eq!(words(&folder, "lessons/a.md"), "theirs");
        assert_eq!(words(&folder, "facts.toml"), "old facts.toml");
        // Also while the others were being written.
        let folder = program();
        let mut saving = Saving::open(folder.path()).unwrap();
        for file in FILES {
            saving.stage(file, format!("old {file}").as_bytes(), b"new").unwrap();
        }
        fs::write(folder.path().join("people/roster.csv"), "theirs").unwrap();
        assert!(matches!(saving.save().unwrap_err().why, SaveTrouble::Changed));
        assert_eq!(words(&folder, "people/roster.csv"), "theirs");
        assert_eq!(words(&folder, "facts.toml"), "old facts.toml");
        assert_eq!(names(folder.path()).len(), FILES.len() + 2);
    }

    #[test]
    fn two_runs_do_not_save_at_once() {
        let folder = program();
        let held = Saving::open(folder.path()).unwrap();
        assert!(matches!(save(&folder).unwrap_err().why, SaveTrouble::Busy));
        drop(held);
        save(&folder).unwrap();
    }

    #[cfg(unix)]
    #[test]
    fn a_link_within_the_program_is_followed_and_one_out_of_it_is_not() {
        use std::os::unix::fs::symlink;
        let folder = program();
        let elsewhere = tempfile::tempdir().unwrap();
        fs::write(elsewhere.path().join("theirs.md"), "theirs").unwrap();
        symlink("a.md", folder.path().join("lessons/b.md")).unwrap();
        symlink(elsewhere.path().join("theirs.md"), folder.path().join("lessons/c.md")).unwrap();
        let mut saving = Saving::open(folder.path()).unwrap();
        saving.stage("lessons/b.md", b"old lessons/a.md", b"new").unwrap();
        let out = saving.stage("lessons/c.md", b"theirs", b"new").unwrap_err();
        assert!(matches!(out.why, SaveTrouble::Outside), "{out}");
        saving.save().unwrap();
        assert_eq!(words(&folder, "lessons/a.md"), "new");
        assert!(folder.path().join("lessons/b.md").is_symlink());
        assert_eq!(fs::read(elsewhere.path().join("theirs.md")).unwrap(), b"theirs");
    }
}
