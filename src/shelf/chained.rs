//! Adding to a record that is only ever added to: whole lines, one run at a time, and nothing ever changed.
//!
//! Who wants to add lines gives a function that says which, and gets the record as it is once no
//! other run can touch it: what was decided before may have been done by another run meanwhile. The
//! lines are on the disk before the head that counts them, so that a kill in between leaves either the
//! old record, or the new one, or a last line cut short; that one never counted, and the next run
//! takes it out. All records of a program lie in one folder, and one lock holds them.

use super::places::{self, Strange};
use crate::disk::{self as on_disk, Folder, Kind as Stands, OpenAs, Settle, Staged, WriteError};
use crate::io_error::in_words;
use crate::program::chained::{self, Chained, Fault, Head, Kind};
use std::fmt;
use std::fs::{self, File};
use std::io::{self, ErrorKind, Read, Seek, SeekFrom};
use std::path::{Path, PathBuf};
use std::rc::Rc;

/// Held by the run that writes; a file of its own, so that readers need not wait.
pub(super) const LOCK: &str = "records/certificates.lock";
const FOLDER: &str = "records";

/// What came of adding to a record.
#[derive(Debug)]
pub struct Written<C: Chained> {
    /// The record with the new lines.
    pub record: C,
    /// Its text, for whoever keeps the program's sources.
    pub text: String,
    /// The text of its head, where there is one.
    pub head: Option<String>,
    /// The new lines' entries.
    pub entries: Vec<C::Entry>,
    /// Whether a line that an interrupted run had left unfinished was taken out.
    pub mended: bool,
}

/// Why a record was not written. It is as it was.
#[derive(Debug)]
pub struct RecordError {
    /// Of which record.
    pub kind: &'static Kind,
    pub why: Trouble,
}

/// What kept a record from being written.
#[derive(Debug)]
pub enum Trouble {
    /// What is wrong with it.
    Broken(Vec<Fault>),
    /// Links, pipes and the like stand where its folder and its files must.
    Strange(Vec<Strange>),
    /// What was being done, to which file, and what the system said.
    Disk { doing: &'static str, file: PathBuf, source: io::Error },
}

impl fmt::Display for RecordError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let kind = self.kind;
        match &self.why {
            Trouble::Broken(faults) => {
                write!(f, "The {} was not written.", kind.called)?;
                let mends = faults.first().map(|fault| fault.mend);
                faults.iter().try_for_each(|fault| write!(f, " {}", fault.message))?;
                mends.iter().try_for_each(|mend| write!(f, " {mend}"))
            }
            Trouble::Strange(strange) => write!(
                f,
                "{} {} Move it elsewhere and put the folder records itself into the program folder.",
                places::told(strange),
                kind.only_plain
            ),
            Trouble::Disk { doing, file, source } => write!(
                f,
                "Could not {doing} {}: {}. {} Check the disk and who may write there.",
                file.display(),
                in_words(source),
                kind.unchanged
            ),
        }
    }
}

impl std::error::Error for RecordError {}

fn disk<'a>(
    kind: &'static Kind,
    doing: &'static str,
    file: &'a Path,
) -> impl FnOnce(io::Error) -> RecordError + 'a {
    move |source| RecordError { kind, why: Trouble::Disk { doing, file: file.to_owned(), source } }
}

/// Adds what `decide` says to a record of the program in `folder`; `seal` gives what is to vouch for its lines, where
/// that is at hand. Otherwise what was vouched for before stays so.
///
/// # Errors
/// Why `decide` refuses; or something strange stands there, the record is broken, or it cannot be written. It is then
/// as it was.
pub(super) fn add<C: Chained, E: From<RecordError>>(
    folder: &Path,
    seal: &dyn Fn(&C) -> Option<C::Seal>,
    decide: impl FnOnce(&C) -> Result<Vec<C::Entry>, E>,
) -> Result<Written<C>, E> {
    let (records, _lock) = hold(C::kind(), folder)?;
    let file = Opened::<C>::read(folder, records)?;
    match decide(&file.record) {
        Ok(entries) => Ok(file.with(entries, seal)?),
        Err(why) => {
            // A head that an interrupted run left behind is brought up all the same.
            file.with(Vec::new(), seal)?;
            Err(why)
        }
    }
}

/// Looks at the folder of records and the files of one before anything is written: no link may stand there.
///
/// # Errors
/// What stands there.
pub(super) fn check(kind: &'static Kind, folder: &Path) -> Result<(), RecordError> {
    let mut strange = Vec::new();
    let files = [(kind.file, Stands::File), (kind.head, Stands::File), (LOCK, Stands::File)];
    for (name, should_be) in [(FOLDER, Stands::Folder)].into_iter().chain(files) {
        let path = folder.join(name);
        let stands = on_disk::kind_at(&path).map_err(disk(kind, "look at", &path))?;
        if let Some(stands) = stands.filter(|stands| *stands != should_be) {
            strange.push(Strange { path, kind: stands });
        }
        if !strange.is_empty() && name == FOLDER {
            break;
        }
    }
    if strange.is_empty() { Ok(()) } else { Err(RecordError { kind, why: Trouble::Strange(strange) }) }
}

/// Holds the folder of records, tidied up, until the lock is dropped.
pub(super) fn hold(kind: &'static Kind, folder: &Path) -> Result<(Rc<Folder>, File), RecordError> {
    check(kind, folder)?;
    let records = Rc::new(open_records(kind, folder)?);
    let path = folder.join(LOCK);
    let lock = records.open_file(last(LOCK).as_ref(), OpenAs::Kept).map_err(disk(kind, "open", &path))?;
    // Waits until no other run writes.
    lock.lock().map_err(disk(kind, "lock", &path))?;
    on_disk::sweep(&records).map_err(disk(kind, "tidy up", records.path()))?;
    Ok((records, lock))
}

/// The text of a file of the folder of records; none where it is not there.
pub(super) fn read(
    kind: &'static Kind,
    folder: &Path,
    records: &Folder,
    name: &str,
) -> Result<Option<Vec<u8>>, RecordError> {
    match records.read(last(name).as_ref()) {
        Ok(bytes) => Ok(Some(bytes)),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
        Err(error) => Err(disk(kind, "read", &folder.join(name))(error)),
    }
}

/// Writes a file of the folder of records, whole or not at all, for its owner only.
pub(super) fn write_whole(
    kind: &'static Kind,
    records: &Rc<Folder>,
    path: &Path,
    text: &str,
) -> Result<(), RecordError> {
    let name = path.file_name().unwrap_or_default();
    Staged::write(records.clone(), text.as_bytes(), None, Settle::Wait)
        .and_then(|staged| staged.put(records, name))
        .map_err(|WriteError { doing, source }| disk(kind, doing, path)(source))
}

/// Moves a file of the folder of records beside itself. Gives whether it was there.
pub(super) fn move_aside(
    kind: &'static Kind,
    folder: &Path,
    records: &Folder,
    (name, other): (&str, &str),
) -> Result<bool, RecordError> {
    match records.rename(last(name).as_ref(), records, last(other).as_ref()) {
        Ok(()) => Ok(true),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(false),
        Err(error) => Err(disk(kind, "move aside", &folder.join(name))(error)),
    }
}

fn open_records(kind: &'static Kind, folder: &Path) -> Result<Folder, RecordError> {
    let path = folder.join(FOLDER);
    let program = Folder::open(folder).map_err(disk(kind, "open the folder", folder))?;
    let is_new = program.kind(FOLDER.as_ref()).map_err(disk(kind, "look at", &path))?.is_none();
    let records = program.make(FOLDER.as_ref(), 0o700).map_err(disk(kind, "make the folder", &path))?;
    if is_new {
        records.set_mode(0o700).map_err(disk(kind, "protect the folder", &path))?;
    }
    Ok(records)
}

/// The last part of a path that is written down here.
fn last(path: &str) -> &str {
    path.rsplit('/').next().unwrap_or(path)
}

/// A record's file, open for one run.
struct Opened<C: Chained> {
    records: Rc<Folder>,
    path: PathBuf,
    file: File,
    record: C,
    text: String,
    head: Option<String>,
    /// What vouches for its lines.
    seal: Option<C::Seal>,
}

impl<C: Chained> Opened<C> {
    fn read(folder: &Path, records: Rc<Folder>) -> Result<Self, RecordError> {
        let kind = C::kind();
        let path = folder.join(kind.file);
        let head = read(kind, folder, &records, kind.head)?.map(in_letters).transpose();
        let head = head.map_err(disk(kind, "read", &folder.join(kind.head)))?;
        let file = records.open_file(last(kind.file).as_ref(), OpenAs::Kept);
        let mut file = file.map_err(disk(kind, "open", &path))?;
        only_owner(&file).map_err(disk(kind, "protect", &path))?;
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes).map_err(disk(kind, "read", &path))?;
        let text = without_cut_letter(bytes).map_err(disk(kind, "read", &path))?;
        let (record, faults) = chained::parse::<C>(Some(&text), head.as_deref());
        if !faults.is_empty() {
            return Err(RecordError { kind, why: Trouble::Broken(faults) });
        }
        let seal = head.as_deref().and_then(Head::read).and_then(Head::into_seal);
        Ok(Self { records, path, file, record, text, head, seal })
    }

    /// Adds what was decided, and has the head count it; one that lags is brought up also where nothing is added.
    fn with(
        mut self,
        entries: Vec<C::Entry>,
        seal: &dyn Fn(&C) -> Option<C::Seal>,
    ) -> Result<Written<C>, RecordError> {
        let mut mended = false;
        if !entries.is_empty() {
            mended = self.mend()?;
            if self.head.is_none() {
                self.write_head(seal)?;
            }
            self.append(&entries, seal)?;
        } else if self.record.left().head_lags {
            self.write_head(seal)?;
        }
        let Self { record, text, head, .. } = self;
        Ok(Written { record, text, head, entries, mended })
    }

    /// Takes out a last line that was cut short, and ends one that lost only its end.
    fn mend(&mut self) -> Result<bool, RecordError> {
        let kind = C::kind();
        let torn = self.record.left().torn.take();
        self.text.truncate(torn.unwrap_or(self.text.len()));
        if torn.is_some() {
            on_disk::cut(&mut self.file, self.text.len() as u64).map_err(disk(kind, "mend", &self.path))?;
        }
        self.file.seek(SeekFrom::End(0)).map_err(disk(kind, "read", &self.path))?;
        if !self.text.is_empty() && !self.text.ends_with('\n') {
            self.text.push('\n');
            on_disk::append(&mut self.file, b"\n").map_err(disk(kind, "mend", &self.path))?;
        }
        Ok(torn.is_some())
    }

    /// Adds lines and has the head count them: both, or neither.
    fn append(
        &mut self,
        entries: &[C::Entry],
        seal: &dyn Fn(&C) -> Option<C::Seal>,
    ) -> Result<(), RecordError> {
        let before = self.text.len();
        for entry in entries {
            let (line, parsed) = chained::next(&self.record, entry.clone(), self.text.len());
            self.record.push(parsed).expect("what is added was decided on this very record");
            self.text += &line;
            self.text.push('\n');
        }
        let lines = &self.text.as_bytes()[before..];
        let written = on_disk::append(&mut self.file, lines).and_then(|()| self.file.sync_all());
        let written =
            written.map_err(disk(C::kind(), "write", &self.path)).and_then(|()| self.write_head(seal));
        // A full disk leaves part of the lines; without it the file is as it was.
        written.inspect_err(|_| drop(on_disk::cut(&mut self.file, before as u64)))
    }

    fn write_head(&mut self, seal: &dyn Fn(&C) -> Option<C::Seal>) -> Result<(), RecordError> {
        let path = self.path.with_file_name(last(C::kind().head));
        let seal = seal(&self.record).or_else(|| self.seal.clone());
        let head = Head::of(&self.record, seal).to_json();
        write_whole(C::kind(), &self.records, &path, &head)?;
        self.head = Some(head);
        self.record.left().head_lags = false;
        Ok(())
    }
}

/// Text whose last letter may have been cut in the middle.
fn without_cut_letter(bytes: Vec<u8>) -> io::Result<String> {
    String::from_utf8(bytes).or_else(|error| {
        let utf8 = error.utf8_error();
        let mut bytes = error.into_bytes();
        if utf8.error_len().is_some() {
            return Err(ErrorKind::InvalidData.into());
        }
        bytes.truncate(utf8.valid_up_to());
        String::from_utf8(bytes).map_err(|_| ErrorKind::InvalidData.into())
    })
}

fn in_letters(bytes: Vec<u8>) -> io::Result<String> {
    String::from_utf8(bytes).map_err(|_| ErrorKind::InvalidData.into())
}

/// Closes a file that was made otherwise to everybody but its owner.
#[cfg(unix)]
fn only_owner(file: &File) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    file.set_permissions(fs::Permissions::from_mode(0o600))
}

/// Elsewhere a user's own folders are closed to others by their place.
#[cfg(not(unix))]
fn only_owner(_file: &File) -> io::Result<()> {
    Ok(())
}
