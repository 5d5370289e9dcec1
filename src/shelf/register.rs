//! Adding to the certificate register ([`super::chained`] says how), and putting a copy of it back.

use super::chained::{self, RecordError};
use crate::credential::SecretKey;
use crate::program::chained::Chained;
use crate::program::register::chain::{self, Seal};
use crate::program::register::{Entry, FILE, HEAD, Register};
use std::path::Path;

/// Why the register was not written. It is as it was.
pub type RegisterError = RecordError;

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
    let seal = |register: &Register| {
        // A key that the register does not count vouches for nothing.
        let counts = |key: &&SecretKey| {
            let public = key.public().to_string();
            register.keys().any(|known| known.public == public)
        };
        key.filter(counts).map(|key| Seal::of(register, key))
    };
    let written = chained::add(folder, &seal, decide)?;
    let chained::Written { record: register, text, head, entries, mended } = written;
    Ok(Added { register, text, head, entries, mended })
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
    let kind = Register::kind();
    let (records, _lock) = chained::hold(kind, folder)?;
    let read = |name| chained::read(kind, folder, &records, name);
    let (now, now_head) = (read(FILE)?, read(HEAD)?);
    let lossy = |bytes: &Option<Vec<u8>>| bytes.as_ref().map(|it| String::from_utf8_lossy(it).into_owned());
    let (register, faults) = chain::parse(lossy(&now).as_deref(), lossy(&now_head).as_deref());
    let now_bytes = now.as_deref().unwrap_or_default();
    let is_whole = faults.is_empty() && register.left.torn.is_none();
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
            if chained::move_aside(kind, folder, &records, (name, &other))? {
                aside.push(other);
            }
        }
    }
    // In this order: a head that runs ahead of its register would be told as a loss.
    for (name, text) in [(FILE, text), (HEAD, head)] {
        chained::write_whole(kind, &records, &folder.join(name), text)?;
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
    chained::check(Register::kind(), folder)
}

#[cfg(test)]
mod tests {
    use super::chained::{LOCK, Trouble};
    use super::*;
    use crate::credential::number::Number;
    use crate::disk as on_disk;
    use crate::program::register::chain::Head;
    use crate::program::register::{Given, Occasion, State, Withdrawn};
    use jiff::civil::date;
    use std::collections::BTreeSet;
    use std::fs;

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
            title: None,
            program: None,
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
            Err(RegisterError { why: Trouble::Broken(faults), .. }) => {
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
        change(folder.path(), |lines| lines[1] = lines[1].replace("\"format\":1", "\"format\":4"));
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
