//! Put away: whole files under `out/`, or none. The only room that writes pieces.
//!
//! Takes finished bytes and where they go; gives files and a record of what was made from what.
//! A file is written beside the shelves and then renamed, so that whatever happens in between the
//! last good one stays whole. What is personal is readable by its owner only, and recorded on its
//! own shelf.

pub mod keys;
pub mod laid_out;
mod record;
pub mod register;

pub use record::{RegisterNote, Whole};

use crate::atomic_write::{self, Settle, WriteError};
use crate::io_error::in_words;
use crate::job::Shelf;
use crate::program::register::Register;
use record::{Entry, Record};
use sha2::{Digest, Sha256};
use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io;
use std::path::{Component, Path, PathBuf};

/// Files in the making; emptied when a run starts and when it ends.
const MAKING: &str = ".making";

impl Shelf {
    /// The folder's name under `out/`.
    pub fn name(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Staff => "staff",
            Self::Private => "private",
        }
    }

    const ALL: [Self; 3] = [Self::Open, Self::Staff, Self::Private];
}

/// The shelves of one `out/` folder, held by one run at a time.
pub struct Shelves {
    out: PathBuf,
    /// What stands on the shelves, personal things apart.
    public: Record,
    private: Record,
    /// Everything that this run made or kept.
    seen: BTreeSet<(Shelf, String)>,
    /// What this run has changed so far.
    changed: Changed,
    /// Held by the one run that writes; who only looks needs none.
    _lock: Option<File>,
}

/// How many files a run has changed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Changed {
    pub put: usize,
    pub cleared: usize,
}

/// Why the shelves cannot be used.
#[derive(Debug)]
pub enum ShelfError {
    /// Another run is at work in the same folder.
    Busy(PathBuf),
    /// What was being done, to which file, what the system said, and what the run had changed by then.
    Disk { doing: &'static str, file: PathBuf, source: io::Error, changed: Changed },
}

impl std::fmt::Display for ShelfError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Busy(out) => write!(
                f,
                "Another packstring is making pieces in {} just now. Wait until it has finished, or use --into with another folder.",
                out.display()
            ),
            Self::Disk { doing, file, source, changed } => {
                write!(f, "Could not {doing} {}: {}. ", file.display(), in_words(source))?;
                changed.fmt(f)?;
                f.write_str(" Check the disk, or use --into with another folder, and make again.")
            }
        }
    }
}

/// What stands in the out folder after a trouble, as sentences.
impl std::fmt::Display for Changed {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let files = |count| match count {
            1 => "1 file".to_owned(),
            count => format!("{count} files"),
        };
        match self {
            Self { put: 0, cleared: 0 } => f.write_str("No file was changed."),
            Self { put, cleared: 0 } => {
                write!(f, "This run had put {} in place by then. ", files(*put))?;
                f.write_str("They are whole, and all others are as they were before.")
            }
            Self { put, cleared } => {
                write!(f, "This run had put {} in place by then", files(*put))?;
                write!(f, " and taken {} away. What is there is whole.", files(*cleared))
            }
        }
    }
}

impl std::error::Error for ShelfError {}

fn disk<'a>(doing: &'static str, file: &'a Path) -> impl FnOnce(io::Error) -> ShelfError + 'a {
    move |source| ShelfError::Disk { doing, file: file.to_owned(), source, changed: Changed::default() }
}

impl ShelfError {
    fn after(mut self, so_far: Changed) -> Self {
        if let Self::Disk { changed, .. } = &mut self {
            *changed = so_far;
        }
        self
    }
}

impl Shelves {
    /// Opens the shelves under `out`, making the folders that are missing.
    pub fn open(out: &Path) -> Result<Self, ShelfError> {
        let making = out.join(MAKING);
        for folder in [out, &making].into_iter() {
            fs::create_dir_all(folder).map_err(disk("make the folder", folder))?;
        }
        only_owner(&making, 0o700).map_err(disk("protect the folder", &making))?;
        let lock = lock(out, &making)?;
        empty(&making).map_err(disk("empty the folder", &making))?;
        let private = out.join(Shelf::Private.name());
        if private.is_dir() {
            only_owner(&private, 0o700).map_err(disk("protect the folder", &private))?;
        }
        Ok(Self {
            out: out.to_owned(),
            public: Record::read(&public_record(out)),
            private: Record::read(&private_record(out)),
            seen: BTreeSet::new(),
            changed: Changed::default(),
            _lock: Some(lock),
        })
    }

    /// Looks at the shelves below `out` and writes nothing there.
    pub fn look(out: &Path) -> Self {
        Self {
            out: out.to_owned(),
            public: Record::read(&public_record(out)),
            private: Record::read(&private_record(out)),
            seen: BTreeSet::new(),
            changed: Changed::default(),
            _lock: None,
        }
    }

    /// What was noted of the certificate register when pieces were made last.
    pub fn register_note(&self) -> Option<&RegisterNote> {
        self.private.register.as_ref()
    }

    /// Notes how long the certificate register is. Of an empty one there is nothing to note.
    pub fn note_register(&mut self, register: &Register) {
        if register.lines().is_empty() {
            return;
        }
        self.private.register = Some(RegisterNote {
            lines: register.lines().len(),
            hash: register.last_hash().to_owned(),
            keys: register.keys().map(|key| key.public.clone()).collect(),
        });
    }

    /// Whether a file stands on its shelf as it was made, from just this.
    pub fn is_current(&self, shelf: Shelf, path: &str, fingerprint: &str) -> bool {
        let Some(entry) = self.record(shelf).find(shelf.name(), path) else { return false };
        entry.from == fingerprint
            && fs::read(self.file(shelf, path)).is_ok_and(|bytes| sha256_hex(&bytes) == entry.sha256)
    }

    /// What the last run made, where it made everything and all of that stands on its shelf as it was made.
    pub fn whole(&self) -> Option<&Whole> {
        let whole = self.public.whole.as_ref()?;
        let entries = || self.public.entries().iter().chain(self.private.entries());
        let is_as_made = |entry: &Entry| {
            let file = Shelf::ALL.into_iter().find(|shelf| shelf.name() == entry.shelf);
            let bytes = file.and_then(|shelf| fs::read(self.file(shelf, &entry.path)).ok());
            !entry.from.is_empty() && bytes.is_some_and(|bytes| sha256_hex(&bytes) == entry.sha256)
        };
        let count: usize = whole.files.values().sum();
        (entries().count() == count && entries().all(is_as_made)).then_some(whole)
    }

    /// Notes that this run made everything, or kept it, so that the next one can tell.
    pub fn note_whole(&mut self, whole: Option<Whole>) {
        self.public.whole = whole;
    }

    /// Notes that a current file was kept.
    pub fn keep(&mut self, shelf: Shelf, path: &str) {
        self.seen.insert((shelf, path.to_owned()));
    }

    /// Puts a file on its shelf, whole.
    pub fn put(
        &mut self,
        shelf: Shelf,
        path: &str,
        fingerprint: &str,
        bytes: &[u8],
    ) -> Result<(), ShelfError> {
        // Until the run that puts it says otherwise, not everything stands as one making made it.
        self.public.whole = None;
        self.write(shelf, &self.file(shelf, path), bytes).map_err(|error| error.after(self.changed))?;
        self.changed.put += 1;
        let entry = Entry {
            shelf: shelf.name().to_owned(),
            path: path.to_owned(),
            from: fingerprint.to_owned(),
            sha256: sha256_hex(bytes),
            bytes: bytes.len() as u64,
        };
        self.record_mut(shelf).insert(entry);
        self.seen.insert((shelf, path.to_owned()));
        Ok(())
    }

    fn write(&self, shelf: Shelf, file: &Path, bytes: &[u8]) -> Result<(), ShelfError> {
        if shelf == Shelf::Private {
            // from the first file on, whatever umask the folder was made with
            let private = self.out.join(shelf.name());
            fs::create_dir_all(&private).map_err(disk("make the folder", &private))?;
            only_owner(&private, 0o700).map_err(disk("protect the folder", &private))?;
        }
        write_whole(&self.out.join(MAKING), file, bytes, shelf == Shelf::Private)
    }

    /// Lets a file be made again by the next run, though nothing that it is made from may change.
    pub fn make_again(&mut self, shelf: Shelf, path: &str) {
        self.record_mut(shelf).unsettle(shelf.name(), path);
    }

    /// Takes away what an earlier run put here, this one neither made nor kept, and `ours` says belongs to
    /// what was to be made. Gives how many.
    pub fn clear_rest(&mut self, ours: impl Fn(Shelf, &str) -> bool) -> Result<usize, ShelfError> {
        for shelf in Shelf::ALL {
            let name = shelf.name();
            let rest: Vec<String> = self
                .record(shelf)
                .paths(name)
                .filter(|path| ours(shelf, path) && !self.seen.contains(&(shelf, (*path).to_owned())))
                .map(str::to_owned)
                .collect();
            for path in rest {
                let file = self.file(shelf, &path);
                match fs::remove_file(&file) {
                    Ok(()) => self.changed.cleared += 1,
                    Err(error) if error.kind() == io::ErrorKind::NotFound => {}
                    Err(error) => return Err(disk("remove", &file)(error).after(self.changed)),
                }
                remove_empty_parents(&file, &self.out.join(name));
                self.record_mut(shelf).remove(name, &path);
            }
        }
        Ok(self.changed.cleared)
    }

    /// Writes what was made from what: `made.json`, and `private/made.json` for what is personal.
    /// `inputs` gives each file of the program that was read, with its bytes.
    pub fn finish<'a>(mut self, inputs: impl Iterator<Item = (&'a str, &'a [u8])>) -> Result<(), ShelfError> {
        for (file, bytes) in inputs {
            let personal = file.starts_with("people/") || file.starts_with("records/");
            let record = if personal { &mut self.private } else { &mut self.public };
            record.read_from(file, sha256_hex(bytes));
        }
        self.record_all().map_err(|error| error.after(self.changed))
    }

    fn record_all(&self) -> Result<(), ShelfError> {
        let making = self.out.join(MAKING);
        write_whole(&making, &public_record(&self.out), &self.public.to_json(), false)?;
        if self.private.holds_pieces() {
            write_whole(&making, &private_record(&self.out), &self.private.to_json(), true)?;
        }
        empty(&making).map_err(disk("empty the folder", &making))
    }

    pub fn file(&self, shelf: Shelf, path: &str) -> PathBuf {
        let relative = Path::new(path);
        assert!(
            relative.components().all(|part| matches!(part, Component::Normal(_))),
            "a piece's path stays below its shelf: {path}"
        );
        self.out.join(shelf.name()).join(relative)
    }

    fn record(&self, shelf: Shelf) -> &Record {
        if shelf == Shelf::Private { &self.private } else { &self.public }
    }

    fn record_mut(&mut self, shelf: Shelf) -> &mut Record {
        if shelf == Shelf::Private { &mut self.private } else { &mut self.public }
    }
}

/// Whether a file on a shelf holds the very bytes that an earlier run put there.
pub fn is_as_made(out: &Path, shelf: Shelf, path: &str) -> bool {
    let record = if shelf == Shelf::Private { private_record(out) } else { public_record(out) };
    let record = Record::read(&record);
    let entry = record.find(shelf.name(), path);
    let bytes = fs::read(out.join(shelf.name()).join(path));
    entry.zip(bytes.ok()).is_some_and(|(entry, bytes)| sha256_hex(&bytes) == entry.sha256)
}

fn public_record(out: &Path) -> PathBuf {
    out.join("made.json")
}

fn private_record(out: &Path) -> PathBuf {
    out.join(Shelf::Private.name()).join("made.json")
}

/// A hexadecimal SHA-256 (FIPS 180-4).
pub fn sha256_hex(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

fn lock(out: &Path, making: &Path) -> Result<File, ShelfError> {
    let name = making.join("lock");
    let file = File::create(&name).map_err(disk("open", &name))?;
    match file.try_lock() {
        Ok(()) => Ok(file),
        Err(fs::TryLockError::WouldBlock) => Err(ShelfError::Busy(out.to_owned())),
        Err(fs::TryLockError::Error(source)) => Err(disk("lock", &name)(source)),
    }
}

/// Removes what an interrupted run left in the making.
fn empty(making: &Path) -> io::Result<()> {
    for entry in fs::read_dir(making)? {
        let entry = entry?;
        if entry.file_name() != "lock" {
            fs::remove_file(entry.path())?;
        }
    }
    Ok(())
}

/// Writes beside, then renames: `file` is the old one or the new one at every moment.
fn write_whole(making: &Path, file: &Path, bytes: &[u8], private: bool) -> Result<(), ShelfError> {
    let folder = file.parent().expect("a file on a shelf stands in a folder");
    make_folder(folder, private).map_err(disk("make the folder", folder))?;
    if private {
        only_owner(folder, 0o700).map_err(disk("protect the folder", folder))?;
    }
    let permissions = permissions(if private { 0o600 } else { 0o644 });
    atomic_write::write(making, file, bytes, permissions, Settle::GoOn)
        .map_err(|WriteError { doing, source }| disk(doing, file)(source))
}

#[cfg(unix)]
fn permissions(mode: u32) -> Option<fs::Permissions> {
    use std::os::unix::fs::PermissionsExt;
    Some(fs::Permissions::from_mode(mode))
}

#[cfg(not(unix))]
fn permissions(_mode: u32) -> Option<fs::Permissions> {
    None
}

/// Makes a folder with all above it; those of the private shelf are closed from the first moment.
fn make_folder(folder: &Path, #[cfg_attr(not(unix), allow(unused))] private: bool) -> io::Result<()> {
    let mut builder = fs::DirBuilder::new();
    #[cfg(unix)]
    if private {
        std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    }
    builder.recursive(true).create(folder)
}

#[cfg(unix)]
fn only_owner(path: &Path, mode: u32) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    fs::set_permissions(path, fs::Permissions::from_mode(mode))
}

/// Elsewhere a user's own folders are closed to others by their place.
#[cfg(not(unix))]
fn only_owner(_path: &Path, _mode: u32) -> io::Result<()> {
    Ok(())
}

fn remove_empty_parents(file: &Path, shelf: &Path) {
    let mut folder = file.parent();
    while let Some(here) = folder.filter(|here| *here != shelf && here.starts_with(shelf)) {
        // It fails where something still stands in the folder, which is where to stop.
        if fs::remove_dir(here).is_err() {
            return;
        }
        folder = here.parent();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shelves(out: &Path) -> Shelves {
        Shelves::open(out).expect("an empty folder can be used")
    }

    #[test]
    fn what_was_put_is_current_until_it_changes() {
        let out = tempfile::tempdir().unwrap();
        let mut first = shelves(out.path());
        first.put(Shelf::Open, "handouts/a.pdf", "f1", b"paper").unwrap();
        first.finish([("facts.toml", &b"x"[..])].into_iter()).unwrap();

        let again = shelves(out.path());
        assert!(again.is_current(Shelf::Open, "handouts/a.pdf", "f1"));
        assert!(!again.is_current(Shelf::Open, "handouts/a.pdf", "f2"), "made from something else");
        fs::write(again.file(Shelf::Open, "handouts/a.pdf"), b"pape").unwrap();
        assert!(!again.is_current(Shelf::Open, "handouts/a.pdf", "f1"), "cut short on disk");
    }

    #[test]
    fn a_whole_making_stands_until_any_file_of_it_is_another() {
        let out = tempfile::tempdir().unwrap();
        let mut first = shelves(out.path());
        first.put(Shelf::Open, "handbook.pdf", "f1", b"paper").unwrap();
        first.put(Shelf::Private, "certificates/a.pdf", "f2", b"name").unwrap();
        let files = [("handbook".to_owned(), 1), ("certificates".to_owned(), 1)].into();
        let whole = Whole { from: "all".into(), files };
        first.note_whole(Some(whole.clone()));
        first.finish(std::iter::empty()).unwrap();
        assert_eq!(shelves(out.path()).whole(), Some(&whole));

        let certificate = out.path().join("private/certificates/a.pdf");
        fs::write(&certificate, b"nane").unwrap();
        assert_eq!(shelves(out.path()).whole(), None, "a file was changed");
        fs::remove_file(&certificate).unwrap();
        assert_eq!(shelves(out.path()).whole(), None, "a file is gone");
        fs::write(&certificate, b"name").unwrap();
        assert_eq!(shelves(out.path()).whole(), Some(&whole));

        // A later run makes one piece of it otherwise: no making of everything stands any more.
        let mut other = shelves(out.path());
        other.put(Shelf::Open, "handbook.pdf", "f3", b"other paper").unwrap();
        other.finish(std::iter::empty()).unwrap();
        assert_eq!(shelves(out.path()).whole(), None, "a piece was made of something else");
    }

    #[test]
    fn a_trouble_tells_the_file_and_what_was_put_in_place_before_it() {
        let out = tempfile::tempdir().unwrap();
        let mut shelves = shelves(out.path());
        fs::create_dir_all(out.path().join("open/b.pdf/in-the-way")).unwrap();
        let first = shelves.put(Shelf::Open, "b.pdf", "f", b"2").unwrap_err().to_string();
        assert!(first.contains("b.pdf") && first.contains("No file was changed."), "{first}");
        shelves.put(Shelf::Open, "a.pdf", "f", b"1").unwrap();
        let second = shelves.put(Shelf::Open, "b.pdf", "f", b"2").unwrap_err().to_string();
        assert!(second.contains("had put 1 file in place by then"), "{second}");
        assert!(!second.contains("No file was changed"), "{second}");
        assert_eq!(fs::read(out.path().join("open/a.pdf")).unwrap(), b"1");
    }

    #[test]
    fn only_one_run_at_a_time() {
        let out = tempfile::tempdir().unwrap();
        let _held = shelves(out.path());
        assert!(matches!(Shelves::open(out.path()), Err(ShelfError::Busy(_))));
    }

    #[test]
    fn what_is_no_longer_made_is_taken_away_and_strangers_stay() {
        let out = tempfile::tempdir().unwrap();
        let mut first = shelves(out.path());
        first.put(Shelf::Private, "certificates/e/old.pdf", "f", b"1").unwrap();
        first.put(Shelf::Private, "certificates/new.pdf", "f", b"2").unwrap();
        first.finish(std::iter::empty()).unwrap();
        fs::write(out.path().join("open-notes.txt"), b"mine").unwrap();

        let mut second = shelves(out.path());
        second.keep(Shelf::Private, "certificates/new.pdf");
        assert_eq!(second.clear_rest(|_, _| true).unwrap(), 1);
        second.finish(std::iter::empty()).unwrap();
        assert!(!out.path().join("private/certificates/e").exists());
        assert!(out.path().join("private/certificates/new.pdf").exists());
        assert!(out.path().join("open-notes.txt").exists());
    }

    #[test]
    fn names_stay_out_of_the_public_record() {
        let out = tempfile::tempdir().unwrap();
        let mut shelves = shelves(out.path());
        shelves.put(Shelf::Private, "certificates/ines.pdf", "f", b"1").unwrap();
        shelves.put(Shelf::Open, "handbook.pdf", "f", b"2").unwrap();
        shelves.finish([("people/roster.csv", &b"ines"[..])].into_iter()).unwrap();
        let public = fs::read_to_string(out.path().join("made.json")).unwrap();
        assert!(public.contains("handbook.pdf"));
        assert!(!public.contains("ines") && !public.contains("roster"));
    }

    #[cfg(unix)]
    #[test]
    fn what_is_personal_is_for_its_owner_only() {
        use std::os::unix::fs::PermissionsExt;
        let out = tempfile::tempdir().unwrap();
        let mut shelves = shelves(out.path());
        shelves.put(Shelf::Private, "certificates/a.pdf", "f", b"1").unwrap();
        let mode = |path: &str| fs::metadata(out.path().join(path)).unwrap().permissions().mode() & 0o777;
        assert_eq!(mode("private/certificates/a.pdf"), 0o600);
        assert_eq!(mode("private/certificates"), 0o700);
        assert_eq!(mode("private"), 0o700);
    }
}
