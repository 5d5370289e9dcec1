//! `records/restated.json`: what the last `restate --save` changed, so that it can be taken back byte for byte.
//!
//! Of each file that it changed the text is kept that it had before, and the hash of the one that it got. The note is
//! written before the first file is put in place, and one save before it is kept in it: whatever stops a save, the last
//! that changed anything can be told by what the files hold. It lies in `records`, which is no pieces' folder and is
//! closed to others, and holds nothing of people: their files are never restated.

use super::chained::{self, RecordError, Trouble};
use super::own_files::{SaveError, SaveTrouble, Saving};
use super::sha256_hex;
use crate::disk::{self, Kind, Settle, Staged, WriteError};
use crate::program::chained::Chained;
use crate::program::history::History;
use serde::{Deserialize, Serialize};
use std::io::ErrorKind;
use std::path::Path;

/// Relative to the program folder.
pub const FILE: &str = "records/restated.json";
const NAME: &str = "restated.json";
/// Raised when a packstring of today could misread tomorrow's note.
const FORMAT: u32 = 1;

#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Note {
    format: u32,
    last: Vec<Changed>,
    /// The save before it, for where that one came to nothing.
    before: Vec<Changed>,
}

/// A file that a save changed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Changed {
    /// By its path in the program folder.
    pub file: String,
    /// The text that it had.
    was: String,
    /// SHA-256 of the text that it got.
    now: String,
}

/// What a file holds beside what a save made of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Holds {
    /// What it got.
    Now,
    /// What it had before: the save did not come to it, or it was taken back.
    Was,
    /// Neither: somebody has changed it since, or it is gone.
    Other,
}

/// What came of taking the last save back.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Undone {
    /// The files that hold what they held before.
    pub back: Vec<String>,
    /// Those that somebody has changed since; they are left alone.
    pub left: Vec<String>,
}

impl Changed {
    pub fn new(file: &str, was: &str, now: &str) -> Self {
        Self { file: file.to_owned(), was: was.to_owned(), now: sha256_hex(now.as_bytes()) }
    }

    fn holds(&self, program: &Path) -> Holds {
        match disk::read(&program.join(&self.file)) {
            Ok(bytes) if sha256_hex(&bytes) == self.now => Holds::Now,
            Ok(bytes) if bytes == self.was.as_bytes() => Holds::Was,
            Ok(_) | Err(_) => Holds::Other,
        }
    }
}

/// Notes what a save is about to change. The caller holds the program folder.
///
/// # Errors
/// The note cannot be written; nothing is to be saved then, for it could not be taken back.
pub fn note(program: &Path, changed: Vec<Changed>) -> Result<(), SaveError> {
    let earlier = read(program)?.unwrap_or_default().standing(program);
    let holds: Vec<Holds> = earlier.last.iter().map(|changed| changed.holds(program)).collect();
    let is_half_done = holds.contains(&Holds::Now) && holds.contains(&Holds::Was);
    let note = match is_half_done {
        true => {
            Note::of(gone_on_with(earlier.last.into_iter().zip(holds).collect(), changed), earlier.before)
        }
        false => Note::of(changed, earlier.last),
    };
    write(program, &note)
}

/// Takes back what the last save changed; `None` where there is nothing to take back. A file that somebody has changed
/// since is left alone, and stays noted.
///
/// # Errors
/// It cannot be read or written: nothing, or the first files are taken back, and the next run does the rest.
pub fn undo(program: &Path) -> Result<Option<Undone>, SaveError> {
    let mut saving = Saving::open(program)?;
    let Some(note) = read(program)?.map(|note| note.standing(program)) else { return Ok(None) };
    let (mut undone, mut left) = (Undone::default(), Vec::new());
    for changed in &note.last {
        match changed.holds(program) {
            Holds::Now => {
                let bytes =
                    disk::read(&program.join(&changed.file)).map_err(|error| trouble("read", error))?;
                saving.stage(&changed.file, &bytes, changed.was.as_bytes())?;
                undone.back.push(changed.file.clone());
            }
            Holds::Was => {}
            Holds::Other => {
                undone.left.push(changed.file.clone());
                left.push(changed.clone());
            }
        }
    }
    if !note.before.is_empty() {
        // Else a run that is stopped behind the files would be taken for one that came to nothing.
        write(program, &Note::of(note.last.clone(), Vec::new()))?;
    }
    saving.save()?;
    match left.is_empty() {
        true => forget(program)?,
        false if left != note.last => write(program, &Note::of(left, Vec::new()))?,
        false => {}
    }
    Ok((undone != Undone::default()).then_some(undone))
}

/// What a save that was stopped has changed, gone on with by another one: the two are taken back as one.
fn gone_on_with(stopped: Vec<(Changed, Holds)>, new: Vec<Changed>) -> Vec<Changed> {
    let is_new = |file: &str| new.iter().any(|new| new.file == file);
    let keeps = |(changed, holds): &(Changed, Holds)| match holds {
        Holds::Now => true,
        Holds::Was => false,
        // What somebody wrote there since must not be lost.
        Holds::Other => !is_new(&changed.file),
    };
    let mut last: Vec<Changed> = stopped.into_iter().filter(keeps).map(|(changed, _)| changed).collect();
    for new in new {
        match last.iter_mut().find(|known| known.file == new.file) {
            Some(known) => known.now = new.now,
            None => last.push(new),
        }
    }
    last.sort_by(|a, b| a.file.cmp(&b.file));
    last
}

impl Note {
    fn of(last: Vec<Changed>, before: Vec<Changed>) -> Self {
        Self { format: FORMAT, last, before }
    }

    /// The note as it stands: a save that changed nothing, for it was stopped before, is none.
    fn standing(self, program: &Path) -> Self {
        let came_to_nothing = self.last.iter().all(|changed| changed.holds(program) == Holds::Was);
        match came_to_nothing {
            true => Self { last: self.before, before: Vec::new(), ..self },
            false => self,
        }
    }
}

fn trouble(doing: &'static str, source: std::io::Error) -> SaveError {
    failed(SaveTrouble::Disk(WriteError { doing, source }))
}

fn failed(why: SaveTrouble) -> SaveError {
    SaveError { file: FILE.to_owned(), why, saved: Vec::new(), left: Vec::new() }
}

/// What is noted; `None` where nothing is.
fn read(program: &Path) -> Result<Option<Note>, SaveError> {
    let path = program.join(FILE);
    match disk::kind_at(&path).map_err(|error| trouble("look at", error))? {
        None => return Ok(None),
        Some(Kind::File) => {}
        Some(_) => return Err(failed(SaveTrouble::Strange)),
    }
    let bytes = disk::read(&path).map_err(|error| trouble("read", error))?;
    let note = serde_json::from_slice::<Note>(&bytes).ok().filter(|note| note.format == FORMAT);
    note.map(Some).ok_or_else(|| failed(SaveTrouble::Unknown))
}

/// Writes the note, under the lock that all records have.
fn write(program: &Path, note: &Note) -> Result<(), SaveError> {
    let (records, _lock) = chained::hold(History::kind(), program).map_err(of_records)?;
    let mut json = serde_json::to_vec(note).expect("strings and numbers only");
    json.push(b'\n');
    let staged = Staged::write(records.clone(), &json, None, Settle::Wait);
    let put = staged.and_then(|staged| staged.put(&records, NAME.as_ref()));
    put.map_err(|WriteError { doing, source }| trouble(doing, source))
}

/// Takes the note away.
fn forget(program: &Path) -> Result<(), SaveError> {
    let (records, _lock) = chained::hold(History::kind(), program).map_err(of_records)?;
    match records.remove_file(NAME.as_ref()) {
        Err(error) if error.kind() != ErrorKind::NotFound => Err(trouble("take away", error)),
        Ok(()) | Err(_) => Ok(()),
    }
}

fn of_records(error: RecordError) -> SaveError {
    match error.why {
        Trouble::Disk { doing, file, source } => {
            let why = SaveTrouble::Disk(WriteError { doing, source });
            SaveError { file: file.display().to_string(), ..failed(why) }
        }
        Trouble::Strange(strange) => {
            let file =
                strange.first().map_or_else(|| FILE.to_owned(), |found| found.path.display().to_string());
            SaveError { file, ..failed(SaveTrouble::Strange) }
        }
        Trouble::Broken(_) => failed(SaveTrouble::Unknown),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::disk::trial::{Stop, at_each_step};
    use std::fs;
    use tempfile::TempDir;

    const FILES: [&str; 2] = ["facts.toml", "lessons/a.md"];

    fn program() -> TempDir {
        let folder = tempfile::tempdir().unwrap();
        fs::create_dir(folder.path().join("lessons")).unwrap();
        FILES.iter().for_each(|file| put(&folder, file, &format!("one {file}")));
        folder
    }

    fn put(folder: &TempDir, file: &str, text: &str) {
        fs::write(folder.path().join(file), text).unwrap();
    }

    fn text(folder: &TempDir, file: &str) -> String {
        fs::read_to_string(folder.path().join(file)).unwrap()
    }

    /// Changes a word in every file, as a restate would.
    fn save(folder: &TempDir, from: &str, to: &str) -> Result<(), SaveError> {
        let mut saving = Saving::open(folder.path())?;
        let mut changed = Vec::new();
        for file in FILES {
            let was = text(folder, file);
            let now = was.replace(from, to);
            if was != now {
                saving.stage(file, was.as_bytes(), now.as_bytes())?;
                changed.push(Changed::new(file, &was, &now));
            }
        }
        if changed.is_empty() {
            return Ok(());
        }
        note(folder.path(), changed)?;
        saving.save()
    }

    fn words(folder: &TempDir) -> Vec<String> {
        FILES.iter().map(|file| text(folder, file).split(' ').next().unwrap().to_owned()).collect()
    }

    fn undone(back: &[&str], left: &[&str]) -> Option<Undone> {
        let owned = |files: &[&str]| files.iter().map(|file| (*file).to_owned()).collect();
        Some(Undone { back: owned(back), left: owned(left) })
    }

    #[test]
    fn the_last_save_is_taken_back_and_no_other() {
        let folder = program();
        assert_eq!(undo(folder.path()).unwrap(), None);
        assert!(!folder.path().join("records").exists(), "looking leaves nothing behind");
        save(&folder, "one", "two").unwrap();
        save(&folder, "two", "three").unwrap();
        assert_eq!(undo(folder.path()).unwrap(), undone(&FILES, &[]));
        assert_eq!(words(&folder), ["two", "two"]);
        assert_eq!(undo(folder.path()).unwrap(), None);
        assert_eq!(words(&folder), ["two", "two"]);
    }

    #[test]
    fn what_somebody_changed_since_is_left_alone_until_it_is_as_it_was_saved() {
        let folder = program();
        save(&folder, "one", "two").unwrap();
        put(&folder, "facts.toml", "mine");
        assert_eq!(undo(folder.path()).unwrap(), undone(&["lessons/a.md"], &["facts.toml"]));
        assert_eq!(
            (text(&folder, "facts.toml"), text(&folder, "lessons/a.md")),
            ("mine".into(), "one lessons/a.md".into())
        );
        assert_eq!(undo(folder.path()).unwrap(), undone(&[], &["facts.toml"]));
        put(&folder, "facts.toml", "two facts.toml");
        assert_eq!(undo(folder.path()).unwrap(), undone(&["facts.toml"], &[]));
        assert_eq!(words(&folder), ["one", "one"]);
    }

    /// Whatever stops a save, taking the last one back gives a state that there was: the one before the save that was
    /// stopped, or the one before it where that came to nothing.
    #[test]
    fn a_save_that_is_stopped_can_be_taken_back_and_the_one_before_it_too() {
        for stop in [Stop::Full, Stop::Killed] {
            let begin = || {
                let folder = program();
                save(&folder, "one", "two").unwrap();
                folder
            };
            at_each_step(
                stop,
                begin,
                |folder| save(folder, "two", "three"),
                |folder, stopped, _| {
                    let came_to_nothing = words(folder) == ["two", "two"];
                    let before = if came_to_nothing { "one" } else { "two" };
                    assert!(undo(folder.path()).unwrap().is_some(), "{stop:?} at {stopped:?}");
                    assert_eq!(words(folder), [before, before], "{stop:?} at {stopped:?}");
                },
            );
        }
    }

    #[test]
    fn a_save_that_was_stopped_and_gone_on_with_is_taken_back_as_one() {
        at_each_step(
            Stop::Killed,
            program,
            |folder| save(folder, "one", "two"),
            |folder, stopped, _| {
                save(folder, "one", "two").unwrap();
                assert_eq!(words(folder), ["two", "two"]);
                undo(folder.path()).unwrap();
                assert_eq!(words(folder), ["one", "one"], "at {stopped:?}");
            },
        );
    }

    #[test]
    fn taking_back_that_is_stopped_loses_nothing_and_is_gone_on_with() {
        for stop in [Stop::Full, Stop::Killed] {
            let begin = || {
                let folder = program();
                save(&folder, "one", "two").unwrap();
                save(&folder, "two", "three").unwrap();
                folder
            };
            let steps = at_each_step(
                stop,
                begin,
                |folder| undo(folder.path()),
                |folder, stopped, _| {
                    let is_whole = |word: &String| word == "two" || word == "three";
                    assert!(words(folder).iter().all(is_whole), "{stop:?} at {stopped:?}");
                    undo(folder.path()).unwrap();
                    assert_eq!(words(folder), ["two", "two"], "{stop:?} at {stopped:?}");
                },
            );
            assert!(steps >= 4, "only {steps} steps were tried");
        }
    }

    #[cfg(unix)]
    #[test]
    fn the_note_is_for_its_owner_only() {
        use std::os::unix::fs::PermissionsExt;
        let folder = program();
        save(&folder, "one", "two").unwrap();
        let mode = |path: &str| fs::metadata(folder.path().join(path)).unwrap().permissions().mode() & 0o777;
        assert_eq!([mode("records"), mode(FILE)], [0o700, 0o600]);
    }

    #[test]
    fn a_note_that_cannot_be_read_is_told_and_not_written_over() {
        let folder = program();
        save(&folder, "one", "two").unwrap();
        put(&folder, FILE, "{\"format\":2}");
        for told in [undo(folder.path()).unwrap_err(), save(&folder, "two", "three").unwrap_err()] {
            assert!(told.to_string().contains("records/restated.json cannot be read"), "{told}");
        }
        assert_eq!(
            (words(&folder), text(&folder, FILE)),
            (vec!["two".into(), "two".into()], "{\"format\":2}".into())
        );
    }
}
