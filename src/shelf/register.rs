//! Adding to the certificate register: whole lines, one run at a time, and nothing ever changed.
//!
//! Who wants to add lines gives a function that says which, and gets the register as it is once no
//! other run can touch it: what was decided before may have been done by another run meanwhile. The
//! lines are on the disk before the head that counts them, so that a kill in between leaves either the
//! old register, or the new one, or a last line cut short; that one never counted, and the next run
//! takes it out.

use super::only_owner;
use crate::atomic_write::{self, Settle, WriteError};
use crate::credential::SecretKey;
use crate::io_error::in_words;
use crate::program::register::chain::{self, Fault, Head, Seal};
use crate::program::register::{Entry, FILE, HEAD, Register};
use std::fmt;
use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

/// Held by the run that writes; a file of its own, so that readers need not wait.
const LOCK: &str = "records/certificates.lock";

/// What came of adding to the register.
#[derive(Debug)]
pub struct Added {
    /// The register with the new lines.
    pub register: Register,
    /// Its text, for whoever keeps the program's sources.
    pub text: String,
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
/// The register is broken, or cannot be written; it is then as it was.
pub fn add(
    folder: &Path,
    key: Option<&SecretKey>,
    decide: impl FnOnce(&Register) -> Vec<Entry>,
) -> Result<Added, RegisterError> {
    let records = folder.join("records");
    make_records(&records)?;
    let _lock = lock(&folder.join(LOCK))?;
    let mut file = Opened::read(folder)?;
    let entries = decide(&file.register);
    if entries.is_empty() {
        let Opened { register, text, .. } = file;
        return Ok(Added { register, text, entries, mended: false });
    }
    let mended = file.mend()?;
    if !file.has_head {
        file.write_head(&records, key)?;
    }
    file.append(&entries, &records, key)?;
    let Opened { register, text, .. } = file;
    Ok(Added { register, text, entries, mended })
}

/// What adding would come to, where nothing is to be written.
pub fn suppose(register: &Register, decide: impl FnOnce(&Register) -> Vec<Entry>) -> Added {
    let entries = decide(register);
    let mut register = register.clone();
    for entry in &entries {
        let line = chain::next(&register, entry.clone(), 0).1;
        register.push(line).expect("what is added was decided on this very register");
    }
    Added { register, text: String::new(), entries, mended: false }
}

/// What came of putting a copy back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Restored {
    /// The register has so many lines again. What was there and did not fit was put beside it, under these names.
    Done { lines: usize, aside: Vec<String> },
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
    let records = folder.join("records");
    make_records(&records)?;
    let _lock = lock(&folder.join(LOCK))?;
    let read = |name: &str| match fs::read(folder.join(name)) {
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
            match fs::rename(folder.join(name), folder.join(&other)) {
                Ok(()) => aside.push(other),
                Err(error) if error.kind() == ErrorKind::NotFound => {}
                Err(error) => return Err(disk("move aside", &folder.join(name))(error)),
            }
        }
    }
    // In this order: a head that runs ahead of its register would be told as a loss.
    for (name, text) in [(FILE, text), (HEAD, head)] {
        let path = folder.join(name);
        atomic_write::write(&records, &path, text.as_bytes(), None, Settle::Wait)
            .map_err(|WriteError { doing, source }| disk(doing, &path)(source))?;
    }
    let lines = chain::parse(Some(text), Some(head)).0.lines().len();
    Ok(Restored::Done { lines, aside })
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

fn make_records(records: &Path) -> Result<(), RegisterError> {
    match fs::create_dir(records) {
        Ok(()) => only_owner(records, 0o700).map_err(disk("protect the folder", records)),
        Err(error) if error.kind() == ErrorKind::AlreadyExists && records.is_dir() => Ok(()),
        Err(error) => Err(disk("make the folder", records)(error)),
    }
}

/// Waits until no other run writes.
fn lock(path: &Path) -> Result<File, RegisterError> {
    let lock = private(OpenOptions::new().create(true).truncate(false).write(true))
        .open(path)
        .map_err(disk("open", path))?;
    lock.lock().map_err(disk("lock", path))?;
    Ok(lock)
}

/// The register's file, open for one run.
struct Opened {
    path: PathBuf,
    file: File,
    register: Register,
    text: String,
    has_head: bool,
    /// What of it is signed.
    seal: Option<Seal>,
}

impl Opened {
    fn read(folder: &Path) -> Result<Self, RegisterError> {
        let path = folder.join(FILE);
        let head = match fs::read_to_string(folder.join(HEAD)) {
            Ok(head) => Some(head),
            Err(error) if error.kind() == ErrorKind::NotFound => None,
            Err(error) => return Err(disk("read", &folder.join(HEAD))(error)),
        };
        let mut file = private(OpenOptions::new().create(true).truncate(false).read(true).write(true))
            .open(&path)
            .map_err(disk("open", &path))?;
        only_owner(&path, 0o600).map_err(disk("protect", &path))?;
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes).map_err(disk("read", &path))?;
        let text = without_cut_letter(bytes).map_err(disk("read", &path))?;
        let (register, faults) = chain::parse(Some(&text), head.as_deref());
        if !faults.is_empty() {
            return Err(RegisterError::Broken(faults));
        }
        let has_head = head.is_some();
        let seal = head.as_deref().and_then(Head::read).and_then(Head::into_seal);
        Ok(Self { path, file, register, text, has_head, seal })
    }

    /// Takes out a last line that was cut short, and ends one that lost only its end.
    fn mend(&mut self) -> Result<bool, RegisterError> {
        let torn = self.register.torn.take();
        self.text.truncate(torn.unwrap_or(self.text.len()));
        self.file.set_len(self.text.len() as u64).map_err(disk("mend", &self.path))?;
        self.file.seek(SeekFrom::End(0)).map_err(disk("read", &self.path))?;
        if !self.text.is_empty() && !self.text.ends_with('\n') {
            self.text.push('\n');
            self.file.write_all(b"\n").map_err(disk("mend", &self.path))?;
        }
        Ok(torn.is_some())
    }

    /// Adds lines and has the head count them: both, or neither.
    fn append(
        &mut self,
        entries: &[Entry],
        records: &Path,
        key: Option<&SecretKey>,
    ) -> Result<(), RegisterError> {
        let before = self.text.len();
        for entry in entries {
            let (line, parsed) = chain::next(&self.register, entry.clone(), self.text.len());
            self.register.push(parsed).expect("what is added was decided on this very register");
            self.text += &line;
            self.text.push('\n');
        }
        let lines = &self.text.as_bytes()[before..];
        let written = self.file.write_all(lines).and_then(|()| self.file.sync_all());
        let written = written.map_err(disk("write", &self.path)).and_then(|()| self.write_head(records, key));
        // A full disk leaves part of the lines; without it the file is as it was.
        written.inspect_err(|_| drop(self.file.set_len(before as u64)))
    }

    fn write_head(&self, records: &Path, key: Option<&SecretKey>) -> Result<(), RegisterError> {
        let path = self.path.with_file_name(HEAD.rsplit('/').next().expect("a path has a last part"));
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
        atomic_write::write(records, &path, head.as_bytes(), None, Settle::Wait)
            .map_err(|WriteError { doing, source }| disk(doing, &path)(source))
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

/// New files are for their owner only, from the first moment.
fn private(options: &mut OpenOptions) -> &mut OpenOptions {
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(options, 0o600);
    options
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::credential::number::Number;
    use crate::program::register::{Given, Occasion, State, Withdrawn};
    use jiff::civil::date;
    use std::collections::BTreeSet;

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
