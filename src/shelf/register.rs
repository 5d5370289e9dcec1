//! Adding to the certificate register: whole lines, one run at a time, and nothing ever changed.
//!
//! Who wants to add lines gives a function that says which, and gets the register as it is once no
//! other run can touch it: what was decided before may have been done by another run meanwhile. The
//! lines are on the disk before the head that counts them, so that a kill in between leaves either the
//! old register, or the new one, or a last line cut short; that one never counted, and the next run
//! takes it out.

use super::places::{self, Strange};
use crate::credential::SecretKey;
use crate::disk::{self as on_disk, Folder, Kind, OpenAs, Settle, Staged, WriteError};
use crate::io_error::in_words;
use crate::program::register::chain::{self, Fault, Head, Seal};
use crate::program::register::{Entry, FILE, HEAD, Register};
use std::fmt;
use std::fs::{self, File};
use std::io::{self, ErrorKind, Read, Seek, SeekFrom};
use std::path::{Path, PathBuf};
use std::rc::Rc;

/// Held by the run that writes; a file of its own, so that readers need not wait.
const LOCK: &str = "records/certificates.lock";
const FOLDER: &str = "records";

/// What came of adding to the register.
#[derive(Debug)]
pub struct Added {
    /// The register with the new lines.
    pub register: Register,
    /// Its text, for whoever keeps the program's sources.
    pub text: String,
    /// The text of its head, where there is one.
    pub head: Option<String>,
    /// The new lines' entries.
    pub entries: Vec<Entry>,
    /// Whether a line that an interrupted run had left unfinished was taken out.
    pub mended: bool,
}

/// Why the register was not written. It is as it was.
#[derive(Debug)]
pub enum RegisterError {
    /// What is wrong with it.
    Broken(Vec<Fault>),
    /// Links, pipes and the like stand where its folder and its files must.
    Strange(Vec<Strange>),
    /// What was being done, to which file, and what the system said.
    Disk { doing: &'static str, file: PathBuf, source: io::Error },
}

impl fmt::Display for RegisterError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Broken(faults) => {
                f.write_str("The certificate register was not written.")?;
                let mends = faults.first().map(|fault| fault.mend);
                faults.iter().try_for_each(|fault| write!(f, " {}", fault.message))?;
                mends.iter().try_for_each(|mend| write!(f, " {mend}"))
            }
            Self::Strange(strange) => write!(
                f,
                "{} The certificate register is written only into a plain folder of the program's own, so that nobody is credited elsewhere by mistake. Nobody was credited, and nothing was written. Move it elsewhere and put the folder records itself into the program folder.",
                places::told(strange)
            ),
            Self::Disk { doing, file, source } => write!(
                f,
                "Could not {doing} {}: {}. Nobody was credited, and the certificate register is as it was. Check the disk and who may write there.",
                file.display(),
                in_words(source)
            ),
        }
    }
}

impl std::error::Error for RegisterError {}

fn disk<'a>(doing: &'static str, file: &'a Path) -> impl FnOnce(io::Error) -> RegisterError + 'a {
    move |source| RegisterError::Disk { doing, file: file.to_owned(), source }
}

/// Adds what `decide` says to the register of the program in `folder`, and signs its head with the program's key
/// where that is at hand; otherwise what was signed before stays signed.
///
/// # Errors
/// Why `decide` refuses; or something strange stands there, the register is broken, or it cannot be written. It is then
/// as it was.
pub fn add<E: From<RegisterError>>(
    folder: &Path,
    key: Option<&SecretKey>,
    decide: impl FnOnce(&Register) -> Result<Vec<Entry>, E>,
) -> Result<Added, E> {
    let (records, _lock) = hold(folder)?;
    let file = Opened::read(folder, records)?;
    match decide(&file.register) {
        Ok(entries) => Ok(file.with(entries, key)?),
        Err(why) => {
            // A head that an interrupted run left behind is brought up all the same.
            file.with(Vec::new(), key)?;
            Err(why)
        }
    }
}

/// What adding would come to, where nothing is to be written.
///
/// # Errors
/// Why `decide` refuses.
pub fn suppose<E>(
    register: &Register,
    decide: impl FnOnce(&Register) -> Result<Vec<Entry>, E>,
) -> Result<Added, E> {
    let entries = decide(register)?;
    let mut register = register.clone();
    for entry in &entries {
        let line = chain::next(&register, entry.clone(), 0).1;
        register.push(line).expect("what is added was decided on this very register");
    }
    Ok(Added { register, text: String::new(), head: None, entries, mended: false })
}

/// What came of putting a copy back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Restored {
    /// The register is the copy's again. What was there and did not fit was put beside it, under these names.
    Done { aside: Vec<String> },
    /// What is there is whole and has all lines of the copy.
    NotNeeded { lines: usize },
    /// Both are whole, and neither goes on from the other.
    Apart,
}

/// Puts the texts of a register and its head, which are whole, into the records of a program again.
///
/// # Errors
/// It cannot be read or written; it is then as it was.
pub fn restore(folder: &Path, text: &str, head: &str) -> Result<Restored, RegisterError> {
    let (records, _lock) = hold(folder)?;
    let read = |name: &str| match records.read(last(name).as_ref()) {
        Ok(bytes) => Ok(Some(bytes)),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
        Err(error) => Err(disk("read", &folder.join(name))(error)),
    };
    let (now, now_head) = (read(FILE)?, read(HEAD)?);
    let lossy = |bytes: &Option<Vec<u8>>| bytes.as_ref().map(|it| String::from_utf8_lossy(it).into_owned());
    let (register, faults) = chain::parse(lossy(&now).as_deref(), lossy(&now_head).as_deref());
    let now_bytes = now.as_deref().unwrap_or_default();
    let is_whole = faults.is_empty() && register.torn.is_none();
    if is_whole && now_bytes.starts_with(text.as_bytes()) {
        return Ok(Restored::NotNeeded { lines: register.lines().len() });
    }
    let goes_on = text.as_bytes().starts_with(now_bytes);
    if is_whole && !goes_on {
        return Ok(Restored::Apart);
    }
    let mut aside = Vec::new();
    if !goes_on {
        // Nothing is lost by putting it back: what is there may be looked into later.
        for name in [FILE, HEAD] {
            let other = free_name(folder, name);
            match records.rename(last(name).as_ref(), &records, last(&other).as_ref()) {
                Ok(()) => aside.push(other),
                Err(error) if error.kind() == ErrorKind::NotFound => {}
                Err(error) => return Err(disk("move aside", &folder.join(name))(error)),
            }
        }
    }
    // In this order: a head that runs ahead of its register would be told as a loss.
    for (name, text) in [(FILE, text), (HEAD, head)] {
        write_whole(&records, &folder.join(name), text)?;
    }
    Ok(Restored::Done { aside })
}

/// A name beside a file that nothing has: `records/certificates-aside-1.jsonl`.
fn free_name(folder: &Path, name: &str) -> String {
    let (stem, ending) = name.rsplit_once('.').expect("both files have an ending");
    let names = (1..).map(|n| format!("{stem}-aside-{n}.{ending}"));
    names
        .into_iter()
        .find(|name| folder.join(name).symlink_metadata().is_err())
        .expect("there are enough numbers")
}

/// Looks at the register's folder and files before anything is written: no link may stand there.
///
/// # Errors
/// What stands there.
pub fn check(folder: &Path) -> Result<(), RegisterError> {
    let mut strange = Vec::new();
    for (name, should_be) in
        [(FOLDER, Kind::Folder), (FILE, Kind::File), (HEAD, Kind::File), (LOCK, Kind::File)]
    {
        let path = folder.join(name);
        let kind = on_disk::kind_at(&path).map_err(disk("look at", &path))?;
        if let Some(kind) = kind.filter(|kind| *kind != should_be) {
            strange.push(Strange { path, kind });
        }
        if !strange.is_empty() && name == FOLDER {
            break;
        }
    }
    if strange.is_empty() { Ok(()) } else { Err(RegisterError::Strange(strange)) }
}

/// Holds the register's folder, tidied up, until the lock is dropped.
fn hold(folder: &Path) -> Result<(Rc<Folder>, File), RegisterError> {
    check(folder)?;
    let records = Rc::new(open_records(folder)?);
    let lock = lock(&records, &folder.join(LOCK))?;
    on_disk::sweep(&records).map_err(disk("tidy up", records.path()))?;
    Ok((records, lock))
}

/// Writes a file of the register's folder, whole or not at all, for its owner only.
fn write_whole(records: &Rc<Folder>, path: &Path, text: &str) -> Result<(), RegisterError> {
    let name = path.file_name().unwrap_or_default();
    Staged::write(records.clone(), text.as_bytes(), None, Settle::Wait)
        .and_then(|staged| staged.put(records, name))
        .map_err(|WriteError { doing, source }| disk(doing, path)(source))
}

fn open_records(folder: &Path) -> Result<Folder, RegisterError> {
    let path = folder.join(FOLDER);
    let program = Folder::open(folder).map_err(disk("open the folder", folder))?;
    let is_new = program.kind(FOLDER.as_ref()).map_err(disk("look at", &path))?.is_none();
    let records = program.make(FOLDER.as_ref(), 0o700).map_err(disk("make the folder", &path))?;
    if is_new {
        records.set_mode(0o700).map_err(disk("protect the folder", &path))?;
    }
    Ok(records)
}

/// Waits until no other run writes.
fn lock(records: &Folder, path: &Path) -> Result<File, RegisterError> {
    let lock = records.open_file(last(LOCK).as_ref(), OpenAs::Kept).map_err(disk("open", path))?;
    lock.lock().map_err(disk("lock", path))?;
    Ok(lock)
}

/// The last part of a path that is written down here.
fn last(path: &str) -> &str {
    path.rsplit('/').next().unwrap_or(path)
}

/// The register's file, open for one run.
struct Opened {
    records: Rc<Folder>,
    path: PathBuf,
    file: File,
    register: Register,
    text: String,
    head: Option<String>,
    /// What of it is signed.
    seal: Option<Seal>,
}

impl Opened {
    fn read(folder: &Path, records: Rc<Folder>) -> Result<Self, RegisterError> {
        let path = folder.join(FILE);
        let head = match records.read(last(HEAD).as_ref()).and_then(in_letters) {
            Ok(head) => Some(head),
            Err(error) if error.kind() == ErrorKind::NotFound => None,
            Err(error) => return Err(disk("read", &folder.join(HEAD))(error)),
        };
        let mut file = records.open_file(last(FILE).as_ref(), OpenAs::Kept).map_err(disk("open", &path))?;
        only_owner(&file).map_err(disk("protect", &path))?;
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes).map_err(disk("read", &path))?;
        let text = without_cut_letter(bytes).map_err(disk("read", &path))?;
        let (register, faults) = chain::parse(Some(&text), head.as_deref());
        if !faults.is_empty() {
            return Err(RegisterError::Broken(faults));
        }
        let seal = head.as_deref().and_then(Head::read).and_then(Head::into_seal);
        Ok(Self { records, path, file, register, text, head, seal })
    }

    /// Adds what was decided, and has the head count it; one that lags is brought up also where nothing is added.
    fn with(mut self, entries: Vec<Entry>, key: Option<&SecretKey>) -> Result<Added, RegisterError> {
        let mut mended = false;
        if !entries.is_empty() {
            mended = self.mend()?;
            if self.head.is_none() {
                self.write_head(key)?;
            }
            self.append(&entries, key)?;
        } else if self.register.head_lags {
            self.write_head(key)?;
        }
        let Self { register, text, head, .. } = self;
        Ok(Added { register, text, head, entries, mended })
    }

    /// Takes out a last line that was cut short, and ends one that lost only its end.
    fn mend(&mut self) -> Result<bool, RegisterError> {
        let torn = self.register.torn.take();
        self.text.truncate(torn.unwrap_or(self.text.len()));
        if torn.is_some() {
            on_disk::cut(&mut self.file, self.text.len() as u64).map_err(disk("mend", &self.path))?;
        }
        self.file.seek(SeekFrom::End(0)).map_err(disk("read", &self.path))?;
        if !self.text.is_empty() && !self.text.ends_with('\n') {
            self.text.push('\n');
            on_disk::append(&mut self.file, b"\n").map_err(disk("mend", &self.path))?;
        }
        Ok(torn.is_some())
    }

    /// Adds lines and has the head count them: both, or neither.
    fn append(&mut self, entries: &[Entry], key: Option<&SecretKey>) -> Result<(), RegisterError> {
        let before = self.text.len();
        for entry in entries {
            let (line, parsed) = chain::next(&self.register, entry.clone(), self.text.len());
            self.register.push(parsed).expect("what is added was decided on this very register");
            self.text += &line;
            self.text.push('\n');
        }
        let lines = &self.text.as_bytes()[before..];
        let written = on_disk::append(&mut self.file, lines).and_then(|()| self.file.sync_all());
        let written = written.map_err(disk("write", &self.path)).and_then(|()| self.write_head(key));
        // A full disk leaves part of the lines; without it the file is as it was.
        written.inspect_err(|_| drop(on_disk::cut(&mut self.file, before as u64)))
    }

    fn write_head(&mut self, key: Option<&SecretKey>) -> Result<(), RegisterError> {
        let path = self.path.with_file_name(last(HEAD));
        // A key that the register does not count vouches for nothing.
        let counts = |key: &&SecretKey| {
            let public = key.public().to_string();
            self.register.keys().any(|known| known.public == public)
        };
        let seal = match key.filter(counts) {
            Some(key) => Some(Seal::of(&self.register, key)),
            None => self.seal.clone(),
        };
        let head = Head::of(&self.register, seal).to_json();
        write_whole(&self.records, &path, &head)?;
        self.head = Some(head);
        self.register.head_lags = false;
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::credential::number::Number;
    use crate::program::register::{Given, Occasion, State, Withdrawn};
    use jiff::civil::date;
    use std::collections::BTreeSet;

    /// Nothing is refused here.
    fn add(
        folder: &Path,
        key: Option<&SecretKey>,
        decide: impl FnOnce(&Register) -> Vec<Entry>,
    ) -> Result<Added, RegisterError> {
        super::add(folder, key, |register| Ok(decide(register)))
    }

    fn number(n: usize) -> Number {
        Number::from_parts(&[&n.to_string()], 0)
    }

    fn given(n: usize) -> Entry {
        let event = Occasion::Event { id: "camp".into(), name: "Camp".into(), date: date(2026, 5, 16) };
        Entry::Given(Box::new(Given {
            number: number(n),
            occasion: event,
            season: "2026".into(),
            agency: None,
            venue: None,
            until: None,
            name: format!("Šárka \u{1f40e} {n}"),
            companion: None,
            email: None,
            day: date(2026, 5, 17),
            replaces: None,
            credential: None,
        }))
    }

    fn withdrawn(n: usize) -> Entry {
        Entry::Withdrawn(Withdrawn { number: number(n), day: date(2026, 6, 1), why: "by mistake".into() })
    }

    /// A folder whose register has these lines, each added by itself.
    fn folder(entries: &[Entry]) -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        for entry in entries {
            add(folder.path(), None, |_| vec![entry.clone()]).unwrap();
        }
        folder
    }

    fn read(folder: &Path) -> Result<Register, RegisterError> {
        add(folder, None, |_| Vec::new()).map(|added| added.register)
    }

    fn faults(folder: &Path) -> Vec<String> {
        match read(folder) {
            Err(RegisterError::Broken(faults)) => {
                faults.into_iter().map(|fault| format!("{}: {}", fault.rule, fault.message)).collect()
            }
            other => panic!("{other:?}"),
        }
    }

    /// Rewrites the register's lines.
    fn change(folder: &Path, change: impl FnOnce(&mut Vec<String>)) {
        let file = folder.join(FILE);
        let mut lines: Vec<String> =
            fs::read_to_string(&file).unwrap().lines().map(|line| format!("{line}\n")).collect();
        change(&mut lines);
        fs::write(file, lines.concat()).unwrap();
    }

    #[test]
    fn what_was_added_is_read_back_and_asked_for() {
        let folder = folder(&[given(1), given(2), withdrawn(1)]);
        let register = read(folder.path()).unwrap();
        assert_eq!(register.lines().len(), 3);
        assert!(matches!(register.state(&number(1)), State::Withdrawn(line) if line.why == "by mistake"));
        assert_eq!(register.valid().map(|given| &given.number).collect::<Vec<_>>(), [&number(2)]);
        assert_eq!(register.line_of(&number(2)), Some(2));
    }

    #[test]
    fn a_changed_line_is_noticed() {
        let folder = folder(&[given(1), given(2), given(3)]);
        change(folder.path(), |lines| lines[1] = lines[1].replace("Šárka", "Sarka"));
        let expected =
            "register-broken: Line 2 of the certificate register was changed after it was written.";
        assert_eq!(faults(folder.path()), [expected]);
    }

    #[test]
    fn a_changed_line_whose_hash_was_worked_out_again_is_noticed_too() {
        for at in 0..3 {
            let folder = folder(&[given(1), given(2), given(3)]);
            let mut before = Register::default();
            let entries = [given(1), given(2), given(3)];
            entries[..at]
                .iter()
                .for_each(|entry| before.push(chain::next(&before, entry.clone(), 0).1).unwrap());
            let forged = chain::next(&before, given(9), 0).0;
            change(folder.path(), |lines| lines[at] = forged + "\n");
            assert_eq!(faults(folder.path()).len(), 1, "line {}", at + 1);
        }
    }

    #[test]
    fn lines_taken_out_or_moved_are_noticed() {
        type Change = fn(&mut Vec<String>);
        let changes: [(Change, &str); 6] = [
            (|lines| drop(lines.remove(1)), "register-broken: Line 2 of"),
            (|lines| lines.swap(1, 2), "register-broken: Line 2 of"),
            (|lines| lines.insert(1, lines[2].clone()), "register-broken: Line 2 of"),
            (|lines| drop(lines.pop()), "register-cut: The certificate register has 3 of its 4 lines"),
            (Vec::clear, "register-cut: The certificate register has 0 of its 4 lines"),
            (|lines| drop(lines.remove(0)), "register-broken: Line 1 of"),
        ];
        for (at, (spoil, expected)) in changes.into_iter().enumerate() {
            let folder = folder(&[given(1), given(2), given(3), given(4)]);
            change(folder.path(), spoil);
            let found = faults(folder.path());
            assert!(found[0].starts_with(expected), "change {at}: {found:?}");
        }
    }

    #[test]
    fn a_lost_file_is_noticed_whichever_it_is() {
        for lost in [FILE, HEAD] {
            let folder = folder(&[given(1)]);
            fs::remove_file(folder.path().join(lost)).unwrap();
            assert!(faults(folder.path())[0].starts_with("register-cut"), "{lost}");
        }
    }

    #[test]
    fn spacing_and_line_ends_are_no_change() {
        let folder = folder(&[given(1), given(2)]);
        change(folder.path(), |lines| {
            for line in lines {
                let spaced = serde_json::from_str::<serde_json::Value>(line).unwrap();
                *line = format!("{}\r\n", spaced.to_string().replace("\":", "\" : "));
            }
        });
        assert_eq!(read(folder.path()).unwrap().lines().len(), 2);
    }

    #[test]
    fn what_is_newer_is_neither_read_nor_written() {
        let folder = folder(&[given(1), given(2)]);
        change(folder.path(), |lines| lines[1] = lines[1].replace("\"format\":1", "\"format\":3"));
        let before = fs::read(folder.path().join(FILE)).unwrap();
        assert!(faults(folder.path())[0].starts_with("register-newer"));
        add(folder.path(), None, |_| vec![given(3)]).unwrap_err();
        assert!(fs::read(folder.path().join(FILE)).unwrap() == before);
    }

    /// A kill at any moment leaves a register that can be read, and added to.
    #[test]
    fn a_kill_in_between_leaves_whole_lines() {
        let folder = folder(&[given(1)]);
        let (file, head) = (folder.path().join(FILE), folder.path().join(HEAD));
        let (old, old_head) = (fs::read(&file).unwrap(), fs::read(&head).unwrap());
        add(folder.path(), None, |_| vec![given(2), given(3)]).unwrap();
        let new = fs::read(&file).unwrap();
        let ends: Vec<usize> = (0..new.len()).filter(|at| new[*at] == b'\n').collect();
        for cut in old.len()..=new.len() {
            fs::write(&file, &new[..cut]).unwrap();
            fs::write(&head, &old_head).unwrap();
            let whole = ends.iter().filter(|end| **end <= cut).count();
            assert_eq!(read(folder.path()).unwrap().lines().len(), whole, "cut at {cut}");
            let torn = !ends.contains(&cut) && cut > 0 && new[cut - 1] != b'\n';
            let added = add(folder.path(), None, |_| vec![given(4)]).unwrap();
            assert_eq!(added.mended, torn, "cut at {cut}");
            assert_eq!(read(folder.path()).unwrap().lines().len(), whole + 1, "cut at {cut}");
        }
        // Before the very first line.
        fs::write(&file, b"").unwrap();
        fs::write(&head, Head::of(&Register::default(), None).to_json()).unwrap();
        assert_eq!(read(folder.path()).unwrap().lines().len(), 0);
    }

    /// The head never counts lines that are not there: whatever stops the writing, the register can be read.
    #[test]
    fn wherever_writing_stops_the_register_is_whole() {
        use crate::disk::trial::{Stop, at_each_step};
        for (stop, is_first) in
            [(Stop::Full, true), (Stop::Full, false), (Stop::Killed, true), (Stop::Killed, false)]
        {
            let begin = || if is_first { folder(&[]) } else { folder(&[given(1)]) };
            let before = usize::from(!is_first);
            let write = |folder: &tempfile::TempDir| add(folder.path(), None, |_| vec![given(2), given(3)]);
            let steps = at_each_step(stop, begin, write, |folder, stopped, done| {
                let text = |file: &str| fs::read_to_string(folder.path().join(file)).ok();
                let (register, faults) = chain::parse(text(FILE).as_deref(), text(HEAD).as_deref());
                assert!(faults.is_empty(), "{stop:?} at {stopped:?}: {faults:?}");
                let count = register.lines().len();
                match (&done, stop) {
                    (Ok(_), _) => assert_eq!(count, before + 2),
                    (Err(_), Stop::Full) => assert_eq!(count, before, "at {stopped:?}"),
                    (Err(_), Stop::Killed) => assert!((before..=before + 2).contains(&count)),
                }
                // Whoever goes on afterwards loses nothing and gives nothing twice.
                let missing = |register: &Register| {
                    let wanted = [2, 3].into_iter().filter(|n| register.given(&number(*n)).is_none());
                    wanted.map(given).collect()
                };
                let added = add(folder.path(), None, missing).unwrap();
                assert_eq!(added.register.lines().len(), before + 2, "{stop:?} at {stopped:?}");
                let head = Head::of(&added.register, None).to_json();
                assert_eq!(text(HEAD), Some(head), "{stop:?} at {stopped:?}: the head counts every line");
                let names = fs::read_dir(folder.path().join("records")).unwrap();
                let names = names.map(|entry| entry.unwrap().file_name());
                assert_eq!(names.filter(|name| on_disk::is_temporary(name)).count(), 0);
            });
            assert!(steps >= 5, "only {steps} steps were tried");
        }
    }

    #[test]
    fn a_head_that_makes_no_sense_is_told() {
        let folder = folder(&[given(1)]);
        let whole = fs::read_to_string(folder.path().join(HEAD)).unwrap();
        for spoiled in [
            whole.replace("\"lines\":1", "\"lines\":0"),
            whole.replace("\"lines\":1", "\"lines\":18446744073709551615"),
            whole.replace("\"lines\":1", "\"lines\":-1"),
            "{\"format\":1,\"lines\":0,\"hash\":\"\"}".to_owned(),
            String::new(),
        ] {
            assert_ne!(spoiled, whole);
            fs::write(folder.path().join(HEAD), &spoiled).unwrap();
            assert!(faults(folder.path())[0].starts_with("register-"), "{spoiled}");
        }
    }

    #[test]
    fn a_run_that_waited_decides_on_what_the_other_wrote() {
        let folder = tempfile::tempdir().unwrap();
        std::thread::scope(|scope| {
            for thread in 0..8 {
                let folder = folder.path();
                scope.spawn(move || {
                    for n in 0..20 {
                        // Every thread wants to give the same twenty, and ten of its own.
                        let wanted = [n, 1000 + thread * 20 + n];
                        add(folder, None, |register| {
                            let new = wanted.iter().filter(|n| register.given(&number(**n)).is_none());
                            new.map(|n| given(*n)).collect()
                        })
                        .unwrap();
                    }
                });
            }
        });
        let register = read(folder.path()).unwrap();
        let numbers: BTreeSet<&Number> = register.all_given().map(|given| &given.number).collect();
        assert_eq!((numbers.len(), register.lines().len()), (180, 180));
    }

    #[cfg(unix)]
    #[test]
    fn it_is_for_its_owner_only() {
        use std::os::unix::fs::PermissionsExt;
        let folder = folder(&[given(1)]);
        let mode = |path: &str| fs::metadata(folder.path().join(path)).unwrap().permissions().mode() & 0o777;
        assert_eq!([mode("records"), mode(FILE), mode(HEAD), mode(LOCK)], [0o700, 0o600, 0o600, 0o600]);
    }

    #[test]
    fn a_place_that_cannot_be_written_is_told_in_plain_words() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("records"), "a file").unwrap();
        let told = add(folder.path(), None, |_| vec![given(1)]).unwrap_err().to_string();
        assert!(told.contains("Nobody was credited"), "{told}");
    }
}
