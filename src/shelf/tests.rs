//! Shelves: whole files or none, and nothing taken away that is not ours.

use super::*;

fn shelves(out: &Path) -> Shelves {
    Shelves::open(out, out).expect("an empty folder can be used")
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
    fs::write(out.path().join("open/handouts/a.pdf"), b"pape").unwrap();
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
    assert!(matches!(Shelves::open(out.path(), out.path()), Err(ShelfError::Busy(_))));
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
fn wherever_putting_away_stops_every_file_is_whole() {
    use crate::disk::trial::{Stop, at_each_step};
    let put_all = |out: &Path, bytes: &[u8]| -> Result<(), ShelfError> {
        let mut shelves = Shelves::open(out, out)?;
        shelves.put(Shelf::Open, "handouts/a.pdf", "f", bytes)?;
        shelves.put(Shelf::Private, "certificates/ines.pdf", "f", bytes)?;
        shelves.finish(std::iter::empty())
    };
    for stop in [Stop::Full, Stop::Killed] {
        let begin = || {
            let out = tempfile::tempdir().unwrap();
            put_all(out.path(), b"old").unwrap();
            out
        };
        let steps = at_each_step(
            stop,
            begin,
            |out| put_all(out.path(), b"new"),
            |out, stopped, done| {
                assert_eq!(done.is_err(), stopped.is_some(), "{stop:?} at {stopped:?}");
                for file in ["open/handouts/a.pdf", "private/certificates/ines.pdf"] {
                    let there = fs::read(out.path().join(file)).unwrap();
                    assert!(there == b"old" || there == b"new", "{stop:?} at {stopped:?}: {file}");
                }
                for record in ["made.json", "private/made.json"] {
                    let bytes = fs::read(out.path().join(record)).unwrap();
                    serde_json::from_slice::<serde_json::Value>(&bytes).expect("the record is whole");
                }
                put_all(out.path(), b"new").unwrap();
                let names = fs::read_dir(out.path().join(names::MAKING)).unwrap();
                let names: Vec<_> = names.map(|entry| entry.unwrap().file_name()).collect();
                assert_eq!(names, ["lock"], "{stop:?} at {stopped:?}");
            },
        );
        assert!(steps >= 12, "only {steps} steps were tried");
    }
}

/// Whoever shares the folder may have written the record.
#[test]
fn a_record_of_files_elsewhere_is_not_believed() {
    let place = tempfile::tempdir().unwrap();
    let mine = place.path().join("mine.txt");
    fs::write(&mine, "mine").unwrap();
    let out = place.path().join("out");
    let absolute = mine.to_str().unwrap().to_owned();
    let elsewhere = ["../../mine.txt", "../mine.txt", "a/../../../mine.txt", "", ".", "..", &absolute];
    for shelf in ["open", "private", "..", "", "mine"] {
        for path in elsewhere {
            let _ = fs::remove_dir_all(&out);
            fs::create_dir_all(out.join("private")).unwrap();
            let entry = serde_json::json!({
                "shelf": shelf, "path": path, "from": "f", "sha256": sha256_hex(b"mine"), "bytes": 4,
            });
            let record = serde_json::json!({
                "format": 1, "packstring": "0", "read": {}, "made": [entry],
                "whole": { "from": "f", "files": { "handbook": 1 } },
            });
            for file in ["made.json", "private/made.json"] {
                fs::write(out.join(file), record.to_string()).unwrap();
            }
            let mut shelves = shelves(&out);
            assert!(shelves.whole().is_none());
            assert_eq!(shelves.clear_rest(|_, _| true).unwrap(), 0);
            shelves.finish(std::iter::empty()).unwrap();
            assert_eq!(fs::read(&mine).unwrap(), b"mine", "{shelf} {path}");
        }
    }
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

/// Also after the places were looked at, somebody may put a link there.
#[cfg(unix)]
#[test]
fn a_link_that_is_put_there_meanwhile_leads_nowhere() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let swap = |folder: &Path, elsewhere: &Path| {
        fs::rename(folder, folder.with_extension("away")).unwrap();
        symlink(elsewhere, folder).unwrap();
    };
    for place in ["out/private", "out/private/certificates", "out/.making", "out"] {
        let (here, elsewhere) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        fs::create_dir_all(elsewhere.path().join("private/certificates")).unwrap();
        for mine in ["mine.txt", "b.pdf", "certificates/b.pdf", "private/certificates/b.pdf"] {
            fs::create_dir_all(elsewhere.path().join(mine).parent().unwrap()).unwrap();
            fs::write(elsewhere.path().join(mine), "mine").unwrap();
        }
        fs::set_permissions(elsewhere.path(), fs::Permissions::from_mode(0o775)).unwrap();
        let out = here.path().join("out");
        let mut first = Shelves::open(&out, here.path()).unwrap();
        first.put(Shelf::Private, "certificates/a.pdf", "f", b"a").unwrap();
        first.put(Shelf::Private, "certificates/b.pdf", "f", b"b").unwrap();
        first.finish(std::iter::empty()).unwrap();
        let mut shelves = Shelves::open(&out, here.path()).unwrap();
        swap(&here.path().join(place), elsewhere.path());
        let put = shelves.put(Shelf::Private, "certificates/a.pdf", "g", b"new");
        let cleared = shelves.clear_rest(|_, _| true);
        let finished = shelves.finish(std::iter::empty());
        if place != "out" {
            assert!(put.is_err() || cleared.is_err() || finished.is_err(), "{place} is refused");
        }
        let mut count = 0;
        for entry in walkdir::WalkDir::new(elsewhere.path()).into_iter().map(Result::unwrap) {
            if entry.file_type().is_file() {
                assert_eq!(fs::read(entry.path()).unwrap(), b"mine", "{place}: {}", entry.path().display());
                count += 1;
            }
        }
        assert_eq!(count, 4, "{place}");
        let mode = fs::metadata(elsewhere.path()).unwrap().permissions().mode() & 0o777;
        assert_eq!(mode, 0o775, "{place}");
    }
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
