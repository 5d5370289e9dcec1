//! Lost, older and other records, and folders that hold something else: every command that would trust them says so.
//!
//! Common practice, no source: what must last is compared with what was noted elsewhere before it is believed.

use crate::certificates::{MAKE, TWO, Trial};
use packstring::program::register::{FILE, HEAD};
use std::fs;
use std::path::Path;

const RESTORE: &str = "certificates keep --restore";

/// The texts of both files of the register.
type Records = [Vec<u8>; 2];

impl Trial {
    fn records(&self) -> Records {
        [FILE, HEAD].map(|file| fs::read(self.program().join(file)).unwrap())
    }

    fn put_records(&self, records: &Records) {
        fs::create_dir_all(self.program().join("records")).unwrap();
        for (file, bytes) in [FILE, HEAD].into_iter().zip(records) {
            fs::write(self.program().join(file), bytes).unwrap();
        }
    }

    /// Every command that reads the register says that it is not the one, and how to bring it back; nothing is written.
    fn assert_all_tell(&self, number: &str) {
        let before = self.everything();
        let elsewhere = self.folder.path().join("elsewhere");
        let elsewhere = elsewhere.to_str().unwrap();
        let kept = self.folder.path().join("kept-of-old.json");
        let asked: [(&[&str], i32); 14] = [
            (&["certificates", "list"], 2),
            (&["certificates", "list", "--as", "json"], 2),
            (&["certificates", "check", number], 1),
            (&["certificates", "replace", number, "--name", "Ada Vell Ruiz"], 2),
            (&["certificates", "replace", "--event", "spring"], 2),
            (&["certificates", "withdraw", number, "--because", "x"], 2),
            (&["certificates", "key"], 2),
            (&["certificates", "keep", kept.to_str().unwrap()], 2),
            (&["proofread", "--no-layout"], 1),
            (&["tally"], 2),
            (&["make", "--dry-run"], 2),
            (&["make", "--into", elsewhere], 2),
            (&["make", "--credit-only"], 2),
            (&["make", "--part", "1/2", "--into", elsewhere], 2),
        ];
        for (arguments, code) in asked {
            let told = self.run(arguments, code);
            assert!(told.contains(RESTORE) && told.contains(FILE), "{arguments:?}: {told}");
        }
        assert_eq!(self.everything(), before);
        assert!(!kept.exists() && !Path::new(elsewhere).exists());
    }

    fn number(&self) -> String {
        self.register().all_given().next().unwrap().number.to_string()
    }
}

#[test]
fn records_older_than_what_was_noted_are_told_by_every_command() {
    let trial = Trial::new(TWO);
    trial.make();
    let older = trial.records();
    trial.roster(&format!("{TWO}spring,Ines Roe,,yes,yes,\n"));
    trial.make();
    let newer = trial.records();
    trial.put_records(&older);
    trial.assert_all_tell(&trial.number());
    trial.put_records(&newer);
    trial.run(&["certificates", "list"], 0);

    // Another line at the end of the old ones: as long, and not the same.
    trial.put_records(&older);
    fs::rename(trial.program().join("out"), trial.folder.path().join("out-before")).unwrap();
    trial.roster(&format!("{TWO}spring,Otto Roe,,yes,yes,\n"));
    trial.make();
    fs::remove_dir_all(trial.program().join("out")).unwrap();
    fs::rename(trial.folder.path().join("out-before"), trial.program().join("out")).unwrap();
    trial.assert_all_tell(&trial.number());
}

#[test]
fn records_that_are_gone_are_told_by_every_command() {
    let trial = Trial::new(TWO);
    trial.make();
    let number = trial.number();
    fs::remove_dir_all(trial.program().join("records")).unwrap();
    trial.assert_all_tell(&number);
    // Nothing is left that could tell, and what may have been lost is said all the same.
    fs::remove_dir_all(trial.program().join("out")).unwrap();
    let told = trial.run(&["certificates", "check", &number], 1);
    assert!(told.contains("or it is lost") && told.contains(RESTORE), "{told}");
    assert!(trial.run(&["certificates", "list"], 0).contains(RESTORE));
}

/// What is written by a command that makes no piece, or for a folder elsewhere, is noted too.
#[test]
fn every_line_is_noted_whichever_command_wrote_it() {
    let withdraw = |trial: &Trial| {
        trial.run(&["certificates", "withdraw", &trial.number(), "--because", "the wrong row"], 0);
    };
    let replace = |trial: &Trial| {
        trial.run(&["certificates", "replace", &trial.number(), "--name", "Ada Vell Ruiz"], 0);
    };
    let key = |trial: &Trial| drop(trial.run(&["certificates", "key"], 0));
    let elsewhere = |trial: &Trial| {
        trial.roster(&format!("{TWO}spring,Ines Roe,,yes,yes,\n"));
        let into = trial.folder.path().join("made-elsewhere");
        trial.run(&["make", "--pieces", "certificates", "--into", into.to_str().unwrap()], 0);
    };
    let credit = |trial: &Trial| {
        trial.roster(&format!("{TWO}spring,Ines Roe,,yes,yes,\n"));
        trial.run(&["make", "--credit-only"], 0);
    };
    let changes: [&dyn Fn(&Trial); 5] = [&withdraw, &replace, &key, &elsewhere, &credit];
    for (at, change) in changes.into_iter().enumerate() {
        let trial = Trial::new(TWO);
        trial.make();
        let older = trial.records();
        change(&trial);
        let _ = fs::remove_dir_all(trial.folder.path().join("made-elsewhere"));
        let _ = fs::remove_dir_all(trial.keys());
        trial.run(&["certificates", "list"], 0);
        trial.put_records(&older);
        let told = trial.run(&["certificates", "list"], 2);
        assert!(told.contains("older than it was") && told.contains(RESTORE), "change {at}: {told}");
    }
    // Only ever made elsewhere, each time in another place.
    let trial = Trial::new(TWO);
    let make_into = |name: &str, code| {
        let into = trial.folder.path().join(name);
        trial.run(&["make", "--pieces", "certificates", "--into", into.to_str().unwrap()], code)
    };
    make_into("one", 0);
    fs::remove_dir_all(trial.program().join("records")).unwrap();
    assert!(make_into("two", 2).contains(RESTORE));
    // What was printed there is still to be printed here.
    let trial = Trial::new(TWO);
    let into = trial.folder.path().join("one");
    trial.run(&["make", "--pieces", "certificates", "--into", into.to_str().unwrap()], 0);
    assert!(trial.make().contains("made here for the first time: 2 people"));
}

#[test]
fn a_run_that_was_killed_after_crediting_has_noted_it() {
    let trial = Trial::new(TWO);
    trial.make();
    let older = trial.records();
    trial.roster(&format!("{TWO}spring,Ines Roe,,yes,yes,\n"));
    // A folder stands where a certificate is to be put: the run stops after crediting.
    let in_the_way = trial.program().join("out/private/certificates/spring.pdf");
    fs::remove_file(&in_the_way).unwrap();
    fs::create_dir_all(in_the_way.join("mine")).unwrap();
    trial.run(MAKE, 2);
    assert_eq!(trial.register().all_given().count(), 3);
    fs::remove_dir_all(&in_the_way).unwrap();
    trial.put_records(&older);
    assert!(trial.run(MAKE, 2).contains("older than it was"));
}

#[test]
fn a_copy_that_is_not_the_newest_is_put_back_and_told() {
    let trial = Trial::new(TWO);
    trial.make();
    let kept = trial.folder.path().join("kept.json");
    let kept = kept.to_str().unwrap();
    trial.run(&["certificates", "keep", kept], 0);
    trial.roster(&format!("{TWO}spring,Ines Roe,,yes,yes,\n"));
    trial.make();
    fs::remove_dir_all(trial.program().join("records")).unwrap();
    let told = trial.run(&["certificates", "keep", "--restore", kept], 1);
    assert!(told.contains("with 2 lines") && told.contains("not the newest"), "{told}");
    // What a broken register says names the same way back.
    let [mut lines, head] = trial.records();
    let at = lines.iter().position(|byte| *byte == b'V').unwrap();
    lines[at] = b'W';
    trial.put_records(&[lines, head]);
    for (arguments, code) in
        [(&["proofread"][..], 2), (&["make"], 2), (&["certificates", "check", "RQ4V-5RGY"], 1)]
    {
        let told = trial.run(arguments, code);
        assert!(told.contains(RESTORE), "{arguments:?}: {told}");
    }
    let told = trial.run(&["certificates", "keep", "--restore", kept], 1);
    assert!(told.contains("put aside"), "{told}");
}

/// Without any copy the advice of the findings leads to a new register, as it says.
#[test]
fn a_new_register_is_begun_as_the_advice_says() {
    let trial = Trial::new(TWO);
    trial.run(&["certificates", "key"], 0);
    trial.make();
    fs::write(trial.program().join(FILE), "spoiled\n").unwrap();
    let told = trial.run(&["proofread"], 2);
    assert!(told.contains("out/private/made.json") && told.contains("signing key"), "{told}");
    fs::rename(trial.program().join("records"), trial.folder.path().join("spoiled")).unwrap();
    fs::remove_file(trial.program().join("out/private/made.json")).unwrap();
    fs::rename(trial.keys(), trial.folder.path().join("keys-before")).unwrap();
    assert!(trial.make().contains("Newly credited: 2 people"));
}

#[test]
fn pieces_are_put_neither_onto_a_shelf_nor_into_another_program() {
    let trial = Trial::new(TWO);
    trial.make();
    let other = trial.folder.path().join("other");
    crate::folders::copy(&trial.program(), &other);
    let elsewhere = trial.folder.path().join("elsewhere");
    trial.run(&["make", "--pieces", "certificates", "--into", elsewhere.to_str().unwrap()], 0);
    let parts = trial.folder.path().join("parts");
    trial.run(&["make", "--part", "1/1", "--into", parts.to_str().unwrap()], 0);
    let before = trial.everything();
    let shelves = [
        "out/open",
        "new/../out/open",
        "out/staff",
        "out/private",
        "out/private/certificates/x",
        "out/.making",
    ];
    let of_others = ["../elsewhere/open", "../elsewhere/private/certificates", "../parts/private"];
    for into in shelves.into_iter().chain(of_others) {
        let told = trial.run(&["make", "--pieces", "leaflet", "--into", into], 2);
        assert!(told.contains("is on a shelf of") && told.contains("--into"), "{into}: {told}");
    }
    for into in [
        "../other",
        "../other/lessons",
        "../other/people/new",
        "../other/records",
        "../other/out",
        "new/../../other/out",
    ] {
        let told = trial.run(&["make", "--pieces", "leaflet", "--into", into], 2);
        assert!(told.contains("of another program") && told.contains("--into"), "{into}: {told}");
    }
    for command in ["tally", "make"] {
        trial.run(&[command, "--into", "out/open"], 2);
    }
    assert_eq!(trial.everything(), before);
    assert!(!other.join("out").exists() && !other.join("people/new").exists());
    for into in ["out", "./out/", "out-2", "made/open", "../elsewhere"] {
        trial.run(&["make", "--pieces", "leaflet", "--into", into], 0);
    }
}

/// The note is a help and no hindrance: who may not write in `out` makes pieces elsewhere as before.
#[cfg(unix)]
#[test]
fn where_it_cannot_be_noted_the_register_is_written_all_the_same() {
    use std::os::unix::fs::PermissionsExt;
    let trial = Trial::new(TWO);
    let real = trial.folder.path().join("real-out");
    fs::create_dir_all(&real).unwrap();
    std::os::unix::fs::symlink(&real, trial.program().join("out")).unwrap();
    assert!(trial.run(MAKE, 2).contains("is a link"));
    let made = trial.run(&["make", "--pieces", "certificates", "--into", real.to_str().unwrap()], 0);
    assert!(made.contains("Newly credited: 2 people"), "{made}");
    trial.run(&["certificates", "withdraw", &trial.number(), "--because", "the wrong row"], 0);
    // Reading through a link does no harm.
    fs::remove_dir_all(trial.program().join("records")).unwrap();
    assert!(trial.run(&["certificates", "list"], 2).contains("register is gone"));
    // What is noted is its owner's alone, also where nothing else was made.
    let trial = Trial::new(TWO);
    let into = trial.folder.path().join("elsewhere");
    trial.run(&["make", "--pieces", "certificates", "--into", into.to_str().unwrap()], 0);
    let mode = |path: &str| fs::metadata(trial.program().join(path)).unwrap().permissions().mode() & 0o777;
    assert_eq!([mode("out/private"), mode("out/private/made.json")], [0o700, 0o600]);
}
