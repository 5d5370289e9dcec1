//! Folders that mean harm, or that somebody else has spoiled: links that lead away, pipes that are never written to,
//! folders where files belong.
//!
//! Each folder of `tests/it/hostile/` is a case: `case.toml` says why it is there, what is put where in a small
//! program, and which commands are tried on it; `expected.txt` holds what each of them says. Whatever they say, none
//! of them may wait, panic, or touch anything outside; and what refuses has written nothing at all.
//! `PACKSTRING_ACCEPT=1` writes the expected texts anew: read them before you keep them.
//!
//! No source outside: these are packstring's own promises.

#![cfg(unix)]

use crate::folders::copy;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::os::unix::fs::{MetadataExt, PermissionsExt, symlink};
use std::os::unix::net::UnixListener;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// What no command needs on a program of this size, however busy the machine is.
const FOR_EVER: Duration = Duration::from_secs(90);

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Case {
    /// For the reader.
    #[allow(dead_code)]
    why: String,
    commands: Vec<String>,
    /// Whether a command may write in the program folder. Outside of it none ever may.
    #[serde(default)]
    may_write: bool,
    place: Vec<Place>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Place {
    /// In the program folder, or from `KEYS/` on in the folder of keys.
    path: String,
    kind: Kind,
    #[serde(default)]
    text: String,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Kind {
    File,
    Folder,
    Pipe,
    Socket,
    /// To a folder outside.
    Link,
    /// To a file outside.
    LinkToFile,
    /// To nothing.
    LinkToNothing,
    /// To another folder of the program.
    LinkWithin,
}

struct Trial {
    folder: tempfile::TempDir,
}

impl Trial {
    fn new(case: &Case) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let trial = Self { folder };
        copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/proof/sound"), &trial.program());
        for (name, text) in [
            ("mine.txt", "mine"),
            ("lock", "mine"),
            ("made.json", "mine"),
            ("certificates.jsonl", "mine"),
            ("inner/handbook.pdf", "mine"),
        ] {
            crate::folders::write(&trial.elsewhere(), name, text);
        }
        fs::create_dir(trial.folder.path().join("keys")).unwrap();
        fs::create_dir(trial.program().join("another")).unwrap();
        // A sharing colleague's folder has other permissions than packstring would give.
        fs::set_permissions(trial.elsewhere(), fs::Permissions::from_mode(0o775)).unwrap();
        case.place.iter().for_each(|place| trial.put(place));
        trial
    }

    fn program(&self) -> PathBuf {
        self.folder.path().join("program")
    }

    fn elsewhere(&self) -> PathBuf {
        self.folder.path().join("elsewhere")
    }

    fn put(&self, place: &Place) {
        let path = match place.path.strip_prefix("KEYS/") {
            Some(name) => self.folder.path().join("keys").join(name),
            None => self.program().join(&place.path),
        };
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        match fs::symlink_metadata(&path) {
            Ok(there) if there.is_dir() => fs::remove_dir_all(&path).unwrap(),
            Ok(_) => fs::remove_file(&path).unwrap(),
            Err(_) => {}
        }
        match place.kind {
            Kind::File => fs::write(path, &place.text).unwrap(),
            Kind::Folder => fs::create_dir(path).unwrap(),
            Kind::Pipe => {
                let made = Command::new("mkfifo").arg(&path).status().unwrap();
                assert!(made.success());
            }
            Kind::Socket => drop(UnixListener::bind(path).unwrap()),
            Kind::Link => symlink(self.elsewhere(), path).unwrap(),
            Kind::LinkToFile => symlink(self.elsewhere().join("mine.txt"), path).unwrap(),
            Kind::LinkToNothing => symlink(self.folder.path().join("nothing"), path).unwrap(),
            Kind::LinkWithin => symlink(self.program().join("another"), path).unwrap(),
        }
    }

    /// Runs a command to its end, and gives what it said with its exit code. It must end.
    fn run(&self, command: &str) -> String {
        let said = self.folder.path().join("said.txt");
        let file = fs::File::create(&said).unwrap();
        let mut child = Command::new(env!("CARGO_BIN_EXE_packstring"))
            .current_dir(self.program())
            .env("PACKSTRING_KEYS", self.folder.path().join("keys"))
            .args(command.split(' '))
            .stdin(Stdio::null())
            .stdout(file.try_clone().unwrap())
            .stderr(file)
            .spawn()
            .unwrap();
        let begun = Instant::now();
        let status = loop {
            if let Some(status) = child.try_wait().unwrap() {
                break status;
            }
            if begun.elapsed() > FOR_EVER {
                let _ = child.kill();
                panic!("{command} waits: {}", fs::read_to_string(&said).unwrap());
            }
            std::thread::sleep(Duration::from_millis(5));
        };
        let told = fs::read_to_string(&said).unwrap();
        assert!(!told.contains("panicked") && matches!(status.code(), Some(0..=2)), "{command}: {told}");
        let real = self.folder.path().canonicalize().unwrap();
        let told = [self.folder.path(), &real].iter().fold(told, |told, folder| {
            let folder = folder.to_str().unwrap();
            told.replace(&format!("{folder}/program"), "PROGRAM")
                .replace(&format!("{folder}/elsewhere"), "ELSEWHERE")
                .replace(&format!("{folder}/keys"), "KEYS")
                .replace(&format!("{folder}/nothing"), "NOTHING")
        });
        format!("$ packstring {command}\n{told}[{}]\n", status.code().unwrap())
    }

    /// Everything outside of the program folder and in it.
    fn outside(&self) -> BTreeMap<PathBuf, String> {
        let mut outside = tree(&self.elsewhere());
        outside.insert("nothing".into(), format!("{}", self.folder.path().join("nothing").exists()));
        outside
    }
}

/// Every name below a folder with its kind, its mode and its bytes. No link is followed.
fn tree(folder: &Path) -> BTreeMap<PathBuf, String> {
    let entries = walkdir::WalkDir::new(folder).into_iter().map(|entry| entry.unwrap());
    let described = entries.map(|entry| {
        let about = entry.path().symlink_metadata().unwrap();
        let bytes = if about.is_file() { fs::read(entry.path()).unwrap() } else { Vec::new() };
        let told = format!("{:o} {:?}", about.mode(), bytes);
        (entry.path().strip_prefix(folder).unwrap().to_owned(), told)
    });
    described.collect()
}

fn cases() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/it/hostile")
}

#[test]
fn each_hostile_folder_is_told_and_nothing_outside_is_touched() {
    let accept = std::env::var_os("PACKSTRING_ACCEPT").is_some();
    let mut names: Vec<_> = fs::read_dir(cases()).unwrap().map(|entry| entry.unwrap().path()).collect();
    names.sort();
    let mut wrong = Vec::new();
    for folder in &names {
        let name = folder.file_name().unwrap().to_string_lossy().into_owned();
        let case: Case = toml::from_str(&fs::read_to_string(folder.join("case.toml")).unwrap())
            .unwrap_or_else(|error| panic!("{name}: {error}"));
        let mut told = String::new();
        for command in &case.commands {
            let trial = Trial::new(&case);
            let (outside, inside) = (trial.outside(), tree(&trial.program()));
            let keys = tree(&trial.folder.path().join("keys"));
            write!(told, "{}", trial.run(command)).unwrap();
            assert!(trial.outside() == outside, "{name}: {command} touched what lies outside");
            if !case.may_write {
                let changed: Vec<_> = tree(&trial.program())
                    .into_iter()
                    .filter(|(path, now)| inside.get(path) != Some(now))
                    .map(|(path, _)| path)
                    .collect();
                assert!(changed.is_empty(), "{name}: {command} wrote {changed:?}");
                assert_eq!(tree(&trial.program()).len(), inside.len(), "{name}: {command} removed something");
                assert!(tree(&trial.folder.path().join("keys")) == keys, "{name}: {command} wrote a key");
            }
        }
        let expected = folder.join("expected.txt");
        if accept {
            fs::write(&expected, &told).unwrap();
        } else if fs::read_to_string(&expected).unwrap_or_default() != told {
            wrong.push(format!("{name}:\n{told}"));
        }
    }
    assert!(names.len() > 40, "only {} cases", names.len());
    assert!(wrong.is_empty(), "{} cases are told otherwise:\n{}", wrong.len(), wrong.join("\n"));
}

/// They hold names: whichever command comes next takes them away, and nothing that is only called alike.
#[test]
fn what_killed_runs_left_is_swept_by_the_next_run() {
    let none = Case { why: String::new(), commands: Vec::new(), may_write: true, place: Vec::new() };
    let left = ".packstring-00ff00ff00ff00ff.part";
    for command in
        ["restate", "proofread --no-layout", "backing --due", "score", "make --pieces certificates"]
    {
        let trial = Trial::new(&none);
        let folders = ["", "lessons", "lessons/es", "people", "out/.making"];
        for folder in folders {
            let folder = trial.program().join(folder);
            fs::create_dir_all(&folder).unwrap();
            for name in [left, ".packstring-notes.part", "notes.part"] {
                fs::write(folder.join(name), "Ada Vell").unwrap();
            }
            symlink(trial.elsewhere().join("mine.txt"), folder.join(".packstring-11ff00ff00ff00ff.part"))
                .unwrap();
        }
        // A link in the making is refused and not swept: that case stands by itself.
        fs::remove_file(trial.program().join("out/.making/.packstring-11ff00ff00ff00ff.part")).unwrap();
        let outside = trial.outside();
        let told = trial.run(command);
        for folder in folders {
            let folder = trial.program().join(folder);
            // Only who makes pieces knows where they go.
            let is_of_pieces = folder.ends_with(".making") && ["restate", "backing --due"].contains(&command);
            assert!(
                is_of_pieces || !folder.join(left).exists(),
                "{command} leaves {}: {told}",
                folder.display()
            );
            for name in [".packstring-notes.part", "notes.part"] {
                assert!(folder.join(name).exists(), "{command} took {name} from {}", folder.display());
            }
        }
        assert!(trial.outside() == outside, "{command}");
    }
}

/// A command through a shell that takes something away from it: room on the disk, or its outputs.
fn through_shell(folder: &Path, before: &str, command: &str, after: &str) -> std::process::Output {
    let script = format!("{before} exec \"$0\" {command} {after}");
    let mut shell = Command::new("sh");
    shell.arg("-c").arg(script).arg(env!("CARGO_BIN_EXE_packstring"));
    shell.current_dir(folder).env("PACKSTRING_KEYS", folder.join("../keys")).output().unwrap()
}

#[test]
fn nobody_to_tell_is_no_reason_to_panic() {
    let none = Case { why: String::new(), commands: Vec::new(), may_write: true, place: Vec::new() };
    for command in [
        "make --pieces certificates",
        "proofread --no-layout",
        "proofread --no-layout --as json",
        "proofread --roster",
        "restate",
        "backing --due",
        "backing lead-length",
        "certificates list",
        "certificates check K7M3-P2QX",
        "score",
        "tally",
        "figures lessons/ropes.md nowhere.md",
        "theme themes/ours",
        "begin new",
        "burn",
        "make --program nowhere",
        "--help",
    ] {
        for after in [">/dev/full 2>/dev/full", ">&- 2>&-", ">/dev/full 2>&-"] {
            let trial = Trial::new(&none);
            let output = through_shell(&trial.program(), "", command, after);
            assert!(matches!(output.status.code(), Some(0..=2)), "{command} {after}: {:?}", output.status);
        }
        let trial = Trial::new(&none);
        let output = through_shell(&trial.program(), "", command, ">/dev/full");
        let told = String::from_utf8_lossy(&output.stderr);
        // The parser of arguments prints its help itself.
        if command != "--help" {
            assert_eq!(output.status.code(), Some(2), "{command}: {told}");
            assert!(!told.trim().is_empty(), "{command} failed in silence");
        }
    }
}

/// A limit on the size of files stands for a disk that takes nothing more.
const NO_ROOM: &str = "trap '' XFSZ; ulimit -f 0;";

#[test]
fn a_disk_without_room_leaves_everything_as_it_was() {
    let none = Case { why: String::new(), commands: Vec::new(), may_write: true, place: Vec::new() };
    for command in [
        "make --pieces certificates",
        "restate --save",
        "restate --save --back",
        "proofread --roster --save",
        "certificates key",
        "theme themes/ours",
        "begin new",
        "backing --due --calendar due.ics",
    ] {
        let trial = Trial::new(&none);
        if command.starts_with("restate") {
            let facts = trial.program().join("facts.toml");
            let changed = fs::read_to_string(&facts).unwrap().replacen("\"6 ft\"", "\"8 ft\"", 1);
            fs::write(&facts, changed).unwrap();
            let unbacked = trial.program().join("lessons/ropes.md");
            let more = "\nA string is four animals long.\n";
            fs::write(&unbacked, fs::read_to_string(&unbacked).unwrap() + more).unwrap();
        }
        let roster = trial.program().join("people/roster.csv");
        let rows = fs::read_to_string(&roster).unwrap().replace("Ada Vell,Bess", "ADA  VELL ,Bess");
        fs::write(&roster, rows).unwrap();
        let before = tree(&trial.program());
        let output = through_shell(&trial.program(), NO_ROOM, command, "2>&1 | cat");
        let told = String::from_utf8_lossy(&output.stdout);
        assert!(!told.contains("panicked"), "{command}: {told}");
        let mut after = tree(&trial.program());
        // What was only begun: empty folders and locks, and a register without a line.
        after.retain(|path, about| {
            let is_begun = path.starts_with("out") || path.starts_with("records");
            !(is_begun && (about.ends_with(" []") || before.contains_key(path)))
        });
        assert!(after == before, "{command}: {told}\n{:?}", after.keys().collect::<Vec<_>>());
        if command.contains("--save") {
            assert!(told.contains("nothing was saved"), "{command}: {told}");
        }
        assert!(told.contains("too large for the disk"), "{command}: {told}");
    }
}
