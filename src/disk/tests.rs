//! What holds of every file that is written, tried with a disk that fails and a run that is killed at one step after
//! the other. No source outside: these are packstring's own promises.

use super::trial::{Stop, at_each_step};
use super::*;
use std::ffi::{OsStr, OsString};
use std::fs;
use std::path::Path;
use std::rc::Rc;
use tempfile::TempDir;

const BOTH: [Stop; 2] = [Stop::Full, Stop::Killed];

fn name(name: &str) -> &OsStr {
    OsStr::new(name)
}

fn temporary_in(folder: &Path) -> Vec<OsString> {
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name());
    entries.filter(|name| is_temporary(name)).collect()
}

fn leftover() -> OsString {
    whole::temporary_name().unwrap()
}

#[test]
fn a_file_is_the_old_one_or_the_new_one_wherever_writing_stops() {
    for stop in BOTH {
        for settle in [Settle::Wait, Settle::GoOn] {
            let begin = || {
                let folder = tempfile::tempdir().unwrap();
                fs::write(folder.path().join("a.md"), "the old words").unwrap();
                folder
            };
            let write = |folder: &TempDir| {
                let here = Rc::new(Folder::open(folder.path()).unwrap());
                let permissions = fs::metadata(folder.path().join("a.md")).unwrap().permissions();
                let staged = Staged::write(here.clone(), b"the new words", Some(permissions), settle);
                staged.and_then(|staged| staged.put(&here, name("a.md")))
            };
            let steps = at_each_step(stop, begin, write, |folder, stopped, written| {
                let there = fs::read(folder.path().join("a.md")).unwrap();
                assert_eq!(written.is_ok(), stopped.is_none(), "{stop:?} at {stopped:?}");
                let expected: &[u8] = if stopped.is_none() { b"the new words" } else { b"the old words" };
                assert_eq!(there, expected, "{stop:?} at {stopped:?}");
                let left = temporary_in(folder.path());
                assert!(left.is_empty() || (stop == Stop::Killed && left.len() == 1), "{left:?}");
                let here = Folder::open(folder.path()).unwrap();
                assert_eq!(sweep(&here).unwrap(), left.len());
                assert_eq!(here.names().unwrap(), ["a.md"], "nothing but what was left is swept");
            });
            // Opened, written, given its permissions, put in place: a plain write has none of these.
            assert!(steps >= 4, "only {steps} steps were tried");
        }
    }
}

#[cfg(unix)]
#[test]
fn until_it_is_in_place_a_file_is_for_its_owner_only() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().unwrap();
    let here = Rc::new(Folder::open(folder.path()).unwrap());
    let mode = |name: &OsStr| fs::metadata(folder.path().join(name)).unwrap().permissions().mode() & 0o777;
    let open = fs::Permissions::from_mode(0o644);
    let staged = Staged::write(here.clone(), b"Ada Vell", Some(open), Settle::GoOn).unwrap();
    assert_eq!(mode(&temporary_in(folder.path())[0]), 0o600);
    staged.put(&here, name("roster.csv")).unwrap();
    assert_eq!(mode(name("roster.csv")), 0o644);
}

#[cfg(unix)]
#[test]
fn nothing_that_is_no_plain_file_is_waited_for_or_followed() {
    use crate::io_error::{Refusal, refusal};
    use std::os::unix::fs::symlink;
    let folder = tempfile::tempdir().unwrap();
    let elsewhere = tempfile::tempdir().unwrap();
    fs::write(elsewhere.path().join("mine.txt"), "mine").unwrap();
    let here = Folder::open(folder.path()).unwrap();
    rustix::fs::mknodat(
        rustix::fs::CWD,
        folder.path().join("pipe"),
        rustix::fs::FileType::Fifo,
        rustix::fs::Mode::RUSR | rustix::fs::Mode::WUSR,
        0,
    )
    .unwrap();
    symlink(elsewhere.path().join("mine.txt"), folder.path().join("file")).unwrap();
    symlink(elsewhere.path(), folder.path().join("folder")).unwrap();
    symlink("nowhere", folder.path().join("dangling")).unwrap();
    for open_as in [OpenAs::Read, OpenAs::Kept] {
        for (called, expected) in
            [("pipe", Refusal::Special), ("file", Refusal::Link), ("dangling", Refusal::Link)]
        {
            let error = here.open_file(name(called), open_as).unwrap_err();
            assert_eq!(refusal(&error), Some(expected), "{called}: {error}");
        }
    }
    assert_eq!(refusal(&here.inner(name("folder")).unwrap_err()), Some(Refusal::Link));
    assert_eq!(refusal(&here.make(name("folder"), 0o700).unwrap_err()), Some(Refusal::Link));
    assert!(here.make(name("dangling"), 0o700).is_err() && !folder.path().join("nowhere").exists());
    assert_eq!(refusal(&here.below(Path::new("folder/inner")).unwrap_err()), Some(Refusal::Link));
    assert!(here.below(Path::new("../x")).is_err() && here.below(Path::new("/")).is_err());
    // Who reads may follow a link, and still waits for nothing.
    assert_eq!(read(&folder.path().join("file")).unwrap(), b"mine");
    assert_eq!(refusal(&read(&folder.path().join("pipe")).unwrap_err()), Some(Refusal::Special));
    assert_eq!(refusal(&read(Path::new("/dev/zero")).unwrap_err()), Some(Refusal::Special));
    assert_eq!(read(folder.path()).unwrap_err().kind(), std::io::ErrorKind::IsADirectory);
}

#[test]
fn only_temporary_names_of_packstring_are_swept() {
    let folder = tempfile::tempdir().unwrap();
    let strangers = [
        ".packstring-0123456789abcde.part",
        ".packstring-0123456789abcdef0.part",
        ".packstring-0123456789ABCDEF.part",
        ".packstring-0123456789abcdef.part.bak",
        "packstring-0123456789abcdef.part",
        ".tmpAb12Cd",
        "notes.part",
    ];
    strangers.iter().for_each(|name| fs::write(folder.path().join(name), "mine").unwrap());
    let (file, inside) = (leftover(), leftover());
    fs::write(folder.path().join(&file), "half a roster").unwrap();
    fs::create_dir_all(folder.path().join(&inside).join("lessons")).unwrap();
    fs::write(folder.path().join(&inside).join("lessons/a.md"), "half").unwrap();
    assert_eq!(sweep(&Folder::open(folder.path()).unwrap()).unwrap(), 2);
    let mut left: Vec<_> = fs::read_dir(folder.path()).unwrap().map(|it| it.unwrap().file_name()).collect();
    left.sort();
    let mut expected: Vec<OsString> = strangers.iter().map(OsString::from).collect();
    expected.sort();
    assert_eq!(left, expected);
}

#[cfg(unix)]
#[test]
fn a_link_with_a_temporary_name_leads_the_sweep_nowhere() {
    use std::os::unix::fs::symlink;
    let folder = tempfile::tempdir().unwrap();
    let elsewhere = tempfile::tempdir().unwrap();
    fs::write(elsewhere.path().join("mine.txt"), "mine").unwrap();
    symlink(elsewhere.path(), folder.path().join(leftover())).unwrap();
    let inside = leftover();
    fs::create_dir(folder.path().join(&inside)).unwrap();
    symlink(elsewhere.path(), folder.path().join(&inside).join("lessons")).unwrap();
    sweep(&Folder::open(folder.path()).unwrap()).unwrap();
    assert_eq!(fs::read(elsewhere.path().join("mine.txt")).unwrap(), b"mine");
    assert!(!folder.path().join(&inside).exists());
}

#[test]
fn what_another_run_is_at_work_with_is_left() {
    let folder = tempfile::tempdir().unwrap();
    let here = Folder::open(folder.path()).unwrap();
    fs::write(folder.path().join(leftover()), "being written").unwrap();
    let held = here.hold().unwrap().expect("nobody else is here");
    sweep_where_free(&Folder::open(folder.path()).unwrap());
    assert_eq!(temporary_in(folder.path()).len(), 1);
    drop(held);
    sweep_where_free(&here);
    assert!(temporary_in(folder.path()).is_empty());
}

const FILES: [(&str, &[u8]); 3] =
    [("program.toml", b"[program]\n"), ("lessons/a.md", b"# A\n"), ("people/roster.csv", b"name\n")];

fn laid(into: &Path) -> Result<(), LayOutError> {
    let files: Vec<LaidFile> = FILES
        .iter()
        .map(|(name, bytes)| {
            let access = if name.starts_with("people/") { Access::Personal } else { Access::Shared };
            LaidFile { path: Path::new(name), bytes, access }
        })
        .collect();
    lay_out(into, Path::new("/"), &files)
}

fn is_whole(folder: &Path) -> bool {
    FILES.iter().all(|(name, bytes)| fs::read(folder.join(name)).is_ok_and(|there| there == *bytes))
}

#[test]
fn a_folder_is_laid_out_whole_or_not_at_all() {
    for stop in BOTH {
        for is_there in [false, true] {
            let begin = || {
                let place = tempfile::tempdir().unwrap();
                if is_there {
                    fs::create_dir(place.path().join("ours")).unwrap();
                }
                place
            };
            let target = |place: &TempDir| place.path().join(if is_there { "ours" } else { "new/ours" });
            let steps = at_each_step(
                stop,
                begin,
                |place| laid(&target(place)),
                |place, stopped, done| {
                    let into = target(place);
                    assert!(done.is_ok() || stopped.is_some());
                    if done.is_err() {
                        let count = fs::read_dir(&into).map_or(0, Iterator::count);
                        assert_eq!(count, 0, "{stop:?} at {stopped:?} left a part of it");
                        assert!(stop == Stop::Killed || !place.path().join("new").exists());
                    } else {
                        assert!(is_whole(&into), "{stop:?} at {stopped:?}");
                    }
                    if done.is_err() {
                        laid(&into).unwrap_or_else(|error| panic!("{stop:?} at {stopped:?}: {error:?}"));
                    }
                    assert!(is_whole(&into));
                    assert!(temporary_in(into.parent().unwrap()).is_empty(), "{stop:?} at {stopped:?}");
                    assert!(temporary_in(&into).is_empty(), "{stop:?} at {stopped:?}");
                },
            );
            assert!(steps > 8, "only {steps} steps were tried");
        }
    }
}

#[test]
fn a_folder_that_others_use_gets_all_files_or_none_when_the_disk_is_full() {
    let begin = || {
        let place = tempfile::tempdir().unwrap();
        fs::create_dir_all(place.path().join("lessons")).unwrap();
        fs::write(place.path().join(".hidden"), "mine").unwrap();
        place
    };
    at_each_step(
        Stop::Full,
        begin,
        |place| laid(place.path()),
        |place, stopped, done| {
            assert_eq!(done.is_err(), stopped.is_some_and(|_| done.is_err()));
            let mut names: Vec<OsString> =
                fs::read_dir(place.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
            names.sort();
            match done {
                Ok(()) => assert!(is_whole(place.path())),
                Err(_) => {
                    assert_eq!(names, [".hidden", "lessons"], "at {stopped:?}");
                    assert_eq!(fs::read_dir(place.path().join("lessons")).unwrap().count(), 0);
                }
            }
            assert_eq!(fs::read(place.path().join(".hidden")).unwrap(), b"mine");
        },
    );
    // Killed, it is no program folder yet: what makes it one is put last.
    at_each_step(
        Stop::Killed,
        begin,
        |place| laid(place.path()),
        |place, _, _| {
            assert!(!place.path().join("program.toml").exists() || is_whole(place.path()));
        },
    );
}

#[test]
fn nothing_is_laid_out_over_what_is_there() {
    let place = tempfile::tempdir().unwrap();
    fs::create_dir_all(place.path().join("lessons")).unwrap();
    fs::write(place.path().join("lessons/a.md"), "mine").unwrap();
    assert!(laid(place.path()).is_err());
    assert_eq!(fs::read(place.path().join("lessons/a.md")).unwrap(), b"mine");
    assert!(!place.path().join("program.toml").exists() && !place.path().join("people").exists());
}

#[cfg(unix)]
#[test]
fn nothing_is_laid_out_through_a_link() {
    use std::os::unix::fs::symlink;
    let place = tempfile::tempdir().unwrap();
    let elsewhere = tempfile::tempdir().unwrap();
    symlink(elsewhere.path(), place.path().join("ours")).unwrap();
    fs::create_dir(place.path().join("theirs")).unwrap();
    symlink(elsewhere.path(), place.path().join("theirs/lessons")).unwrap();
    assert!(laid(&place.path().join("ours")).is_err());
    assert!(laid(&place.path().join("ours/")).is_err());
    assert!(laid(&place.path().join("theirs")).is_err());
    assert_eq!(fs::read_dir(elsewhere.path()).unwrap().count(), 0);
    assert_eq!(fs::read_dir(place.path().join("theirs")).unwrap().count(), 1);
}
