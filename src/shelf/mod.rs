//! Put away: whole files under `out/`, or none. The only room that writes pieces.
//!
//! Takes finished bytes and where they go; gives files and a record of what was made from what.
//! A file is written beside the shelves and then renamed, so that whatever happens in between the
//! last good one stays whole. What is personal is readable by its owner only, and recorded on its
//! own shelf. No link is followed and nothing is taken away but what the record says was made here ([`places`]).

pub mod chained;
mod error;
mod gather;
pub mod history;
pub mod kept;
pub mod keys;
pub mod laid_out;
mod names;
pub mod own_files;
pub mod places;
mod record;
pub mod register;
#[cfg(test)]
mod tests;
pub mod undo;

pub use error::{Changed, ShelfError};
pub use gather::{FoundPart, Putting};
pub use names::{PRINTED, START_HERE};
pub use places::is_beside;
pub use record::{PartNote, RegisterNote, Settles, Whole};

use crate::digest::hex;
use crate::disk::{self as on_disk, Folder, Kind, OpenAs, Settle, Staged, WriteError};
use crate::job::{Part, Shelf};
use crate::program::register::Register;
use error::disk;
use names::Names;
use places::Strange;
use record::{Entry, Record};
use sha2::{Digest, Sha256};
use std::collections::BTreeSet;
use std::ffi::OsStr;
use std::fs::{self, File};
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

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
    out: Folder,
    names: Names,
    /// What stands on the shelves, personal things apart.
    public: Record,
    private: Record,
    /// Everything that this run made or kept.
    seen: BTreeSet<(Shelf, String)>,
    /// What stands in print now, to be put beside the record.
    printed: Option<Vec<u8>>,
    /// What this run has changed so far.
    changed: Changed,
    /// Held by the one run that writes; who only looks needs none.
    _lock: Option<File>,
}

impl Shelves {
    /// Opens the shelves under `out`, making the folders that are missing. `program` is the program's folder.
    ///
    /// # Errors
    /// Another run is at work there, something strange stands there, or it cannot be written to.
    pub fn open(out: &Path, program: &Path) -> Result<Self, ShelfError> {
        Self::open_as(Names::whole(), out, program)
    }

    /// The same for one of several runs that make the private shelf between them: it has a lock and a record of its
    /// own, and so knows nothing of what the others made, wherever they put it.
    ///
    /// # Errors
    /// The same part is being made there, something strange stands there, or it cannot be written to.
    pub fn open_part(part: Part, out: &Path, program: &Path) -> Result<Self, ShelfError> {
        Self::open_as(Names::of_part(part), out, program)
    }

    fn open_as(names: Names, out: &Path, program: &Path) -> Result<Self, ShelfError> {
        places::check(out, program)?;
        places::check_making(&out.join(&names.making))?;
        fs::create_dir_all(out).map_err(disk("make the folder", out))?;
        let folder = own_folder(out).map_err(disk("open the folder", out))?;
        let path = out.join(&names.making);
        let making = folder.make(names.making.as_ref(), 0o700).map_err(disk("make the folder", &path))?;
        making.set_mode(0o700).map_err(disk("protect the folder", &path))?;
        let lock = lock(out, &path, &making)?;
        on_disk::sweep(&making).map_err(disk("empty the folder", &path))?;
        // Where notes of proofreading were left unfinished.
        on_disk::sweep(&folder).map_err(disk("tidy up", out))?;
        let private = out.join(Shelf::Private.name());
        match folder.inner(Shelf::Private.name().as_ref()) {
            Ok(shelf) => shelf.set_mode(0o700).map_err(disk("protect the folder", &private))?,
            Err(error) if error.kind() == ErrorKind::NotFound => {}
            Err(error) => return Err(disk("open the folder", &private)(error)),
        }
        Ok(Self {
            public: names
                .public
                .map(|name| Record::of(read_in(&folder, Path::new(name))))
                .unwrap_or_default(),
            private: Record::of(read_in(&folder, &names.private)),
            out: folder,
            names,
            seen: BTreeSet::new(),
            printed: None,
            changed: Changed::default(),
            _lock: Some(lock),
        })
    }

    /// The bytes of a file on its shelf.
    fn read(&self, shelf: Shelf, path: &str) -> io::Result<Vec<u8>> {
        read_in(&self.out, &Path::new(shelf.name()).join(path))
    }

    /// Looks at the shelves below `out` and writes nothing there.
    ///
    /// # Errors
    /// Something strange stands there, or it cannot be read.
    pub fn look(out: &Path, program: &Path) -> Result<Self, ShelfError> {
        Self::look_as(Names::whole(), out, program)
    }

    /// The same for one part of the private shelf.
    ///
    /// # Errors
    /// As [`Shelves::look`].
    pub fn look_at_part(part: Part, out: &Path, program: &Path) -> Result<Self, ShelfError> {
        Self::look_as(Names::of_part(part), out, program)
    }

    fn look_as(names: Names, out: &Path, program: &Path) -> Result<Self, ShelfError> {
        places::check(out, program)?;
        let (folder, is_there) = match own_folder(out) {
            Ok(folder) => (folder, true),
            // No shelf stands there, so that no record names a file to be looked for.
            Err(error) if error.kind() == ErrorKind::NotFound => {
                (Folder::open(program).map_err(disk("open the folder", program))?, false)
            }
            Err(error) => return Err(disk("open the folder", out)(error)),
        };
        let record = |path: &Path| match is_there {
            true => Record::of(read_in(&folder, path)),
            false => Record::default(),
        };
        Ok(Self {
            public: names.public.map(|name| record(Path::new(name))).unwrap_or_default(),
            private: record(&names.private),
            out: folder,
            names,
            seen: BTreeSet::new(),
            printed: None,
            changed: Changed::default(),
            _lock: None,
        })
    }

    /// What was noted of the certificate register when pieces were made last.
    pub fn register_note(&self) -> Option<&RegisterNote> {
        self.private.register.as_ref()
    }

    /// Notes how long the certificate register is, and whether all its certificates are made by now. Of an empty one
    /// there is nothing to note.
    pub fn note_register(&mut self, register: &Register, all_made: bool) {
        let lines = register.lines().len();
        if lines == 0 {
            return;
        }
        let before = self.private.register.as_ref().map_or(0, |note| note.printed.unwrap_or(note.lines));
        let printed = if all_made { lines } else { before };
        self.private.register = Some(RegisterNote {
            lines,
            hash: register.last_hash().to_owned(),
            keys: register.keys().map(|key| key.public.clone()).collect(),
            printed: (printed < lines).then_some(printed),
        });
    }

    /// Writes what is noted of the register, and of nothing else.
    ///
    /// # Errors
    /// It cannot be written.
    pub fn record_register(&self) -> Result<(), ShelfError> {
        match self.private.register {
            Some(_) => self.write_below(&self.names.private, &self.private.to_json(), true),
            None => Ok(()),
        }
    }

    /// Notes which part of the private shelf this run makes.
    pub fn note_part(&mut self, note: PartNote) {
        self.private.part = Some(note);
    }

    /// Whether a file stands on its shelf as it was made, from just this.
    pub fn is_current(&self, shelf: Shelf, path: &str, fingerprint: &str) -> bool {
        let Some(entry) = self.record(shelf).find(shelf.name(), path) else { return false };
        entry.from == fingerprint
            && self.read(shelf, path).is_ok_and(|bytes| sha256_hex(&bytes) == entry.sha256)
    }

    /// What the last run made, where it made everything and all of that stands on its shelf as it was made.
    pub fn whole(&self) -> Option<&Whole> {
        let whole = self.public.whole.as_ref()?;
        let entries = || self.public.entries().iter().chain(self.private.entries());
        let is_as_made = |entry: &Entry| {
            let file = Shelf::ALL.into_iter().find(|shelf| shelf.name() == entry.shelf);
            let bytes = file.and_then(|shelf| self.read(shelf, &entry.path).ok());
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
        self.write(shelf, path, bytes).map_err(|error| error.after(self.changed))?;
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

    fn write(&self, shelf: Shelf, path: &str, bytes: &[u8]) -> Result<(), ShelfError> {
        let below = Path::new(shelf.name()).join(path);
        self.write_below(&below, bytes, shelf == Shelf::Private)
    }

    /// Writes in the making, then renames: the file is the old one or the new one at every moment.
    fn write_below(&self, below: &Path, bytes: &[u8], private: bool) -> Result<(), ShelfError> {
        let file = self.out.path().join(below);
        let (above, name) = parts(below).map_err(disk("write", &file))?;
        let holder = file.parent().unwrap_or(self.out.path());
        let failed = |WriteError { doing, source }| disk(doing, &file)(source);
        let making = self.names.making.as_ref();
        let making = self.out.inner(making).map_err(disk("write in", &self.out.path().join(making)))?;
        let permissions = permissions(if private { 0o600 } else { 0o644 });
        let staged = Staged::write(making.into(), bytes, permissions, Settle::GoOn).map_err(failed)?;
        // Closed to others from the first file on, whatever the user's folders are made with.
        let enter = |folder: &Folder, name: &OsStr| {
            let inner = folder.make(name, if private { 0o700 } else { 0o777 })?;
            if private {
                inner.set_mode(0o700)?;
            }
            Ok(inner)
        };
        let folder = self.out.walk(above, &enter).map_err(disk("make the folder", holder))?;
        match folder.kind(name).map_err(disk("look at", &file))? {
            Some(kind @ (Kind::Link | Kind::Special)) => {
                Err(ShelfError::Strange(vec![Strange { path: file, kind }]))
            }
            _ => staged.put(&folder, name).map_err(failed),
        }
    }

    /// The record of what stands in print, as the last run left it.
    pub fn printed(&self) -> Option<Vec<u8>> {
        read_in(&self.out, Path::new(PRINTED)).ok()
    }

    /// Writes the page to start with.
    ///
    /// # Errors
    /// It cannot be written, or something strange stands in its place.
    pub fn put_start_page(&self, page: &[u8]) -> Result<(), ShelfError> {
        self.write_beside(START_HERE, page, false)
    }

    /// Writes a file beside the shelves, where it does not say this already.
    fn write_beside(&self, name: &str, bytes: &[u8], private: bool) -> Result<(), ShelfError> {
        if read_in(&self.out, Path::new(name)).is_ok_and(|there| there == bytes) {
            return Ok(());
        }
        self.write_below(Path::new(name), bytes, private)
    }

    /// Notes what stands in print, to be written with the record of what was made.
    pub fn note_printed(&mut self, printed: Vec<u8>) {
        self.printed = Some(printed);
    }

    /// Whether a file of this shelf was put here, by this run or an earlier one.
    pub fn holds(&self, shelf: &str, path: &str) -> bool {
        self.public.find(shelf, path).is_some()
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
                let file = self.out.path().join(name).join(&path);
                if self
                    .take_away(shelf, &path)
                    .map_err(|error| disk("remove", &file)(error).after(self.changed))?
                {
                    self.changed.cleared += 1;
                }
                self.record_mut(shelf).remove(name, &path);
            }
        }
        Ok(self.changed.cleared)
    }

    /// Writes what was made from what: `made.json`, and `private/made.json` for what is personal.
    /// `inputs` gives each file of the program that was read, with its bytes.
    pub fn finish<'a>(mut self, inputs: impl Iterator<Item = (&'a str, &'a [u8])>) -> Result<(), ShelfError> {
        self.public.forget_read();
        self.private.forget_read();
        for (file, bytes) in inputs {
            let personal =
                self.names.public.is_none() || file.starts_with("people/") || file.starts_with("records/");
            let record = if personal { &mut self.private } else { &mut self.public };
            record.read_from(file, sha256_hex(bytes));
        }
        self.record_all().map_err(|error| error.after(self.changed))
    }

    /// Takes a plain file from its shelf, and the folders that are empty then. Gives whether it was there.
    fn take_away(&self, shelf: Shelf, path: &str) -> io::Result<bool> {
        let gone =
            |error: &io::Error| [ErrorKind::NotFound, ErrorKind::NotADirectory].contains(&error.kind());
        let (above, name) = parts(Path::new(path))?;
        let holder = self.out.inner(shelf.name().as_ref()).and_then(|top| top.below(above));
        let holder = match holder {
            Err(error) if gone(&error) => return Ok(false),
            holder => holder?,
        };
        let was_there = holder.kind(name)? == Some(Kind::File);
        if was_there {
            holder.remove_file(name)?;
        }
        for folder in above.ancestors().take_while(|folder| !folder.as_os_str().is_empty()) {
            let (above, name) = parts(folder)?;
            let top = self.out.inner(shelf.name().as_ref())?;
            // It fails where something still stands in the folder, which is where to stop.
            if top.below(above).and_then(|above| above.remove_folder(name)).is_err() {
                break;
            }
        }
        Ok(was_there)
    }

    fn record_all(&self) -> Result<(), ShelfError> {
        // The key of the questions is in it.
        if let Some(printed) = &self.printed {
            self.write_beside(PRINTED, printed, true)?;
        }
        if let Some(public) = self.names.public {
            self.write_below(Path::new(public), &self.public.to_json(), false)?;
        }
        if self.private.holds_pieces() {
            self.write_below(&self.names.private, &self.private.to_json(), true)?;
        }
        let making = self.out.path().join(&self.names.making);
        let swept = self.out.inner(self.names.making.as_ref()).and_then(|making| on_disk::sweep(&making));
        swept.map(drop).map_err(disk("empty the folder", &making))
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
    let Ok(out) = own_folder(out) else { return false };
    let names = Names::whole();
    let record = names.public.map(Path::new).filter(|_| shelf != Shelf::Private).unwrap_or(&names.private);
    let record = Record::of(read_in(&out, record));
    let entry = record.find(shelf.name(), path);
    let bytes = read_in(&out, &Path::new(shelf.name()).join(path));
    entry.zip(bytes.ok()).is_some_and(|(entry, bytes)| sha256_hex(&bytes) == entry.sha256)
}

/// Whether a folder below the one that pieces go into is packstring's own: a shelf, or of files in the making.
pub fn is_own_folder(name: &str) -> bool {
    Shelf::ALL.iter().any(|shelf| shelf.name() == name) || name.starts_with(names::MAKING)
}

/// Whether pieces were put into a folder: their record stands there.
pub fn holds_pieces(out: &Path) -> bool {
    let Names { public, private, .. } = Names::whole();
    let of_all = public.into_iter().map(PathBuf::from).chain([private]);
    let is_there = |path: PathBuf| out.join(path).symlink_metadata().is_ok();
    of_all.into_iter().any(is_there) || FoundPart::all_in(out).is_ok_and(|parts| !parts.is_empty())
}

/// What is noted of the certificate register on the private shelf below `out`, where anything is. It is only read, so
/// that `out` may be a link.
pub fn register_note(out: &Path) -> Option<RegisterNote> {
    let out = own_folder(&out.canonicalize().ok()?).ok()?;
    Record::of(read_in(&out, &Names::whole().private)).register
}

/// Notes on the private shelf below `out` how long the register is, whatever else stands there. A run that is at work
/// there notes it itself.
///
/// # Errors
/// Something strange stands there, or it cannot be written to.
pub fn note_register(out: &Path, program: &Path, register: &Register) -> Result<(), ShelfError> {
    let is_noted =
        |note: RegisterNote| note.lines == register.lines().len() && note.hash == register.last_hash();
    if register_note(out).is_some_and(is_noted) {
        return Ok(());
    }
    match Shelves::open(out, program) {
        Ok(mut shelves) => {
            shelves.note_register(register, false);
            shelves.record_register()
        }
        Err(ShelfError::Busy(_)) => Ok(()),
        Err(error) => Err(error),
    }
}

/// Takes away what a killed run left in the making, unless another run is at work there. What cannot be taken away
/// is left for who makes pieces again.
pub fn sweep(out: &Path) {
    let path = out.join(names::MAKING);
    let making = own_folder(out).and_then(|out| out.inner(names::MAKING.as_ref()));
    if let Ok(making) = making
        && making.names().is_ok_and(|names| names.iter().any(|name| on_disk::is_temporary(name)))
        && let Ok(_lock) = lock(out, &path, &making)
    {
        let _ = on_disk::sweep(&making);
    }
}

/// A folder whose own name is no link; how the user gets there is theirs.
pub(super) fn own_folder(folder: &Path) -> io::Result<Folder> {
    match folder.file_name() {
        Some(name) => Folder::open(on_disk::holder(folder))?.inner(name),
        None => Folder::open(folder),
    }
}

fn read_in(folder: &Folder, path: &Path) -> io::Result<Vec<u8>> {
    let (above, name) = parts(path)?;
    folder.below(above)?.read(name)
}

/// A path as what holds it and its last part.
fn parts(path: &Path) -> io::Result<(&Path, &OsStr)> {
    path.parent().zip(path.file_name()).ok_or_else(|| ErrorKind::InvalidFilename.into())
}

/// A hexadecimal SHA-256 (FIPS 180-4).
pub fn sha256_hex(bytes: &[u8]) -> String {
    hex(Sha256::digest(bytes))
}

/// Waits until no run is at work in this out folder.
///
/// # Errors
/// The lock cannot be opened or asked for.
pub fn wait(out: &Path) -> Result<(), ShelfError> {
    let making = Names::whole().making;
    let name = out.join(&making).join("lock");
    let lock = || -> io::Result<()> {
        let making = own_folder(out)?.inner(making.as_ref())?;
        making.open_file("lock".as_ref(), OpenAs::Kept)?.lock_shared()
    };
    match lock() {
        Err(error) if error.kind() != ErrorKind::NotFound => Err(disk("wait for", &name)(error)),
        _ => Ok(()),
    }
}

/// `path` is the folder of files in the making.
fn lock(out: &Path, path: &Path, making: &Folder) -> Result<File, ShelfError> {
    let name = path.join("lock");
    let file = making.open_file("lock".as_ref(), OpenAs::Kept).map_err(disk("open", &name))?;
    match file.try_lock() {
        Ok(()) => Ok(file),
        Err(fs::TryLockError::WouldBlock) => Err(ShelfError::Busy(out.to_owned())),
        Err(fs::TryLockError::Error(source)) => Err(disk("lock", &name)(source)),
    }
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
