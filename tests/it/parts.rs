//! A private shelf made in parts, on machines that share nothing but a folder that they may read: the same files, byte
//! for byte, as one run makes; and what is missing or doubled is told when they are brought together.

use crate::folders::copy;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// A small program with a roster of its own. What one run makes of it stands in `whole`.
struct Office {
    folder: tempfile::TempDir,
}

impl Office {
    /// With so many people at each of two events.
    fn new(people: usize) -> Self {
        let folder = tempfile::tempdir().unwrap();
        copy(
            &Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/proof/sound"),
            &folder.path().join("program"),
        );
        let office = Self { folder };
        let mut roster = String::from("event,name,companion,attended,passed,email\n");
        for at in 0..people {
            let letters: String =
                [at / 26 % 26, at % 26].map(|at| char::from(b'a' + at as u8)).iter().collect();
            writeln!(
                roster,
                "spring,Rider {letters} Of The North,Dusty {letters},yes,yes,{letters}@example.org"
            )
            .unwrap();
        }
        fs::write(office.at("program/people/roster.csv"), roster).unwrap();
        office
    }

    fn at(&self, path: &str) -> PathBuf {
        self.folder.path().join(path)
    }

    fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_packstring"));
        command.current_dir(self.folder.path()).env("PACKSTRING_KEYS", self.at("keys"));
        command.args(["make", "--program", "program"]).args(arguments);
        command
    }

    /// Makes all parts at once, by GNU parallel as `docs/scale.md` has it, or without one as processes of our own.
    fn make_parts(&self, of: usize) {
        let is_gnu = Command::new("parallel").arg("--version").output();
        if is_gnu.is_ok_and(|output| said(&output).starts_with("GNU parallel")) {
            let mut parallel = Command::new("parallel");
            parallel
                .current_dir(self.folder.path())
                .env("PACKSTRING_KEYS", self.at("keys"))
                .args(["--jobs", "2"]);
            parallel.arg(env!("CARGO_BIN_EXE_packstring"));
            parallel.args([
                "make",
                "--program",
                "program",
                "--part",
                &format!("{{}}/{of}"),
                "--into",
                "parts/{}",
                ":::",
            ]);
            let output = parallel.args((1..=of).map(|number| number.to_string())).output().unwrap();
            assert_eq!(output.status.code(), Some(0), "{}", said(&output));
            return;
        }
        let start = |number: usize| {
            let (part, into) = (format!("{number}/{of}"), format!("parts/{number}"));
            let mut command = self.command(&["--part", &part, "--into", &into]);
            command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap()
        };
        let started: Vec<_> = (1..=of).map(start).collect();
        for child in started {
            let output = child.wait_with_output().unwrap();
            assert_eq!(output.status.code(), Some(0), "{}", said(&output));
        }
    }

    fn run(&self, arguments: &[&str], code: i32) -> String {
        let output = self.command(arguments).output().unwrap();
        assert_eq!(output.status.code(), Some(code), "{arguments:?}: {}", said(&output));
        said(&output)
    }
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr)
}

/// Every file below a folder, by its path; records of runs apart.
fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let entries = walkdir::WalkDir::new(folder).into_iter().map(Result::unwrap);
    let files = entries.filter(|entry| entry.file_type().is_file());
    let files = files.filter(|entry| !entry.file_name().to_string_lossy().starts_with("made"));
    files
        .map(|entry| {
            let path = entry.path().strip_prefix(folder).unwrap().to_string_lossy().replace('\\', "/");
            (path, fs::read(entry.path()).unwrap())
        })
        .collect()
}

/// As [`files`], by what the files hold alone, for a failing test to be read.
fn sums(folder: &Path) -> BTreeMap<String, String> {
    files(folder).into_iter().map(|(path, bytes)| (path, packstring::shelf::sha256_hex(&bytes))).collect()
}

fn set_mode(folder: &Path, mode: u32) {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        for entry in walkdir::WalkDir::new(folder).contents_first(true).into_iter().map(Result::unwrap) {
            let mode = if entry.file_type().is_dir() { mode } else { mode & 0o666 };
            fs::set_permissions(entry.path(), fs::Permissions::from_mode(mode)).unwrap();
        }
    }
}

#[test]
fn parts_in_two_processes_make_the_same_bytes_as_one_run() {
    let office = Office::new(40);
    let told = office.run(&["--part", "1/2", "--into", "parts/1"], 2);
    assert!(told.contains("40 certificates are due") && told.contains("--credit-only"), "{told}");
    assert!(!office.at("parts").exists(), "a part that may not be made makes nothing");
    let told = office.run(&["--credit-only"], 0);
    assert!(told.contains("Newly credited: 40 certificates"), "{told}");
    assert!(office.run(&["--credit-only"], 0).contains("Nobody is newly credited"));
    // But for the note of how long the register is.
    assert!(files(&office.at("program/out/private")).is_empty(), "crediting makes nothing");
    let program = sums(&office.at("program"));
    set_mode(&office.at("program"), 0o555);
    office.make_parts(3);
    set_mode(&office.at("program"), 0o755);
    assert_eq!(sums(&office.at("program")), program, "a part changes nothing in the program folder");
    let told = office.run(&["--gather", "parts/1", "parts/2", "parts/3", "--into", "gathered"], 0);
    assert!(told.contains("Gathered 3 parts"), "{told}");
    office.run(&["--into", "whole"], 0);
    let whole = sums(&office.at("whole/private"));
    assert!(whole.len() > 40, "{whole:?}");
    assert_eq!(sums(&office.at("gathered/private")), whole);
    let each: Vec<_> = (1..=3).map(|number| sums(&office.at(&format!("parts/{number}/private")))).collect();
    assert!(each.iter().all(|part| !part.is_empty()), "every part has something to do");
    assert_eq!(each.iter().map(BTreeMap::len).sum::<usize>(), whole.len(), "no file is made twice");
    // The records are one, so that a run over it keeps everything and makes the other shelves.
    let told = office.run(&["--into", "gathered", "--pieces", "certificates"], 0);
    assert!(told.contains("In all: made 0, kept"), "{told}");
    assert!(
        office.run(&["--gather", "parts/1", "parts/2", "parts/3", "--into", "gathered"], 0).contains("put 0")
    );
}

#[test]
fn parts_may_share_a_folder_and_take_away_only_their_own() {
    let office = Office::new(12);
    office.run(&["--credit-only"], 0);
    office.run(&["--into", "whole"], 0);
    for part in ["1/2", "2/2", "1/2"] {
        office.run(&["--part", part, "--into", "shared"], 0);
    }
    assert_eq!(sums(&office.at("shared/private")), sums(&office.at("whole/private")));
    let told = office.run(&["--gather", "shared", "--into", "shared"], 0);
    assert!(told.contains("Gathered 2 parts: put 0"), "{told}");
    assert!(office.run(&["--into", "shared", "--pieces", "certificates"], 0).contains("made 0"));
}

#[test]
fn what_is_missing_doubled_or_from_other_files_is_told_and_nothing_is_gathered() {
    let office = Office::new(6);
    office.run(&["--credit-only"], 0);
    for (part, into) in [("1/3", "1"), ("2/3", "2"), ("3/3", "3"), ("1/2", "half"), ("2/3", "again")] {
        office.run(&["--part", part, "--into", into], 0);
    }
    let refused = |folders: &[&str], words: &[&str]| {
        let arguments: Vec<&str> =
            ["--into", "gathered", "--gather"].into_iter().chain(folders.iter().copied()).collect();
        let told = office.run(&arguments, 2);
        for word in words.iter().chain(&["Nothing was gathered."]) {
            assert!(told.contains(word), "{folders:?}: {told}");
        }
        assert!(!office.at("gathered/private").exists(), "{folders:?}");
    };
    refused(&["1"], &["Parts 2/3, 3/3 are missing."]);
    refused(&["1", "2", "again", "3"], &["Part 2 is there 2 times: in 2 and again."]);
    refused(&["1", "1", "2"], &["Part 1 is there 2 times", "Part 3/3 is missing."]);
    refused(&["half", "1"], &["parts are of different numbers: of 2 and of 3"]);
    refused(&["1", "2", "3", "program"], &["There is no part in program"]);
    office.run(&["--part", "3/3", "--into", "other", "--pieces", "certificates"], 0);
    refused(&["1", "2", "other"], &["had different options"]);
    // A file that was lost, one that was changed, and a part that did not finish.
    let one = files(&office.at("1/private")).into_keys().next().unwrap();
    let file = office.at("1/private").join(&one);
    let bytes = fs::read(&file).unwrap();
    fs::remove_file(&file).unwrap();
    refused(&["1", "2", "3"], &[&one, "is missing or was changed since"]);
    fs::write(&file, &bytes).unwrap();
    let record = office.at("2/private/made-2-of-3.json");
    let text = fs::read_to_string(&record).unwrap();
    fs::write(&record, text.replace("\"finished\": true", "\"finished\": false")).unwrap();
    refused(&["1", "2", "3"], &["Part 2/3 in 2 was interrupted."]);
    fs::write(&record, &text[..text.len() / 2]).unwrap();
    refused(&["1", "2", "3"], &["Part 2/3 in 2 has a damaged record."]);
    fs::write(&record, &text).unwrap();
    // As long as it was, and yet another.
    let mut other = bytes.clone();
    other[bytes.len() / 2] ^= 1;
    fs::write(&file, &other).unwrap();
    let told = office.run(&["--into", "gathered", "--gather", "1", "2", "3"], 2);
    assert!(told.contains(&one) && told.contains("is not as its part made it"), "{told}");
    assert!(!office.at("gathered/private").join(&one).exists(), "what is damaged is not put");
    fs::write(&file, &bytes).unwrap();
    office.run(&["--into", "gathered", "--gather", "1", "2", "3"], 0);
    fs::write(office.at("program/kits.toml"), "# changed\n").unwrap();
    let told = office.run(&["--into", "gathered", "--gather", "1", "2", "3"], 2);
    assert!(told.contains("from other files or decisions than the program has now"), "{told}");
}
