//! Kills at every moment of every command that writes, and what must hold afterwards.
//!
//! A command is run once undisturbed. Then, on a fresh copy, it is killed so far into its time; whatever lies there
//! must be what was there before or what the undisturbed run gives. It is run again, and all must be as after the
//! undisturbed run, file by file, with nothing left over. No source outside: these are packstring's own promises.

use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Instant;

/// Each command that writes, with what prepares its program.
pub const COMMANDS: [(&str, &[&str]); 13] = [
    ("make", &[]),
    ("make --ink black", &["make"]),
    ("make --pieces certificates", &[]),
    ("score", &[]),
    ("tally", &[]),
    ("proofread", &[]),
    ("restate --save", &[]),
    ("restate --undo", &["restate --save"]),
    ("proofread --roster --save", &[]),
    ("certificates withdraw NUMBER --because mistaken", &["make --pieces certificates"]),
    ("certificates replace NUMBER --name Ada-Vellum", &["make --pieces certificates"]),
    ("begin new", &[]),
    ("theme themes/ours", &[]),
];

/// How often a command was killed, and how often it had ended before.
#[derive(Clone, Copy, Debug, Default)]
pub struct Killed {
    pub kills: usize,
    pub too_late: usize,
}

/// Every file by its path, with the hash of its bytes and its mode.
type Tree = BTreeMap<PathBuf, String>;

struct Place {
    folder: tempfile::TempDir,
}

impl Place {
    /// A program with people, in which figures and a name are to be put right.
    fn new(repository: &Path) -> Self {
        let place = Self { folder: tempfile::tempdir().expect("a folder for copies") };
        copy(&repository.join("tests/proof/sound"), &place.program());
        let edit = |file: &str, change: &dyn Fn(String) -> String| {
            let path = place.program().join(file);
            let text = fs::read_to_string(&path).unwrap_or_default();
            fs::create_dir_all(path.parent().expect("a file in a folder")).expect("a folder");
            fs::write(path, change(text)).expect("a file");
        };
        // Not a matter of safety, which would stop the press.
        edit("facts.toml", &|text| text.replace("value = \"200 feet\"", "value = \"300 feet\""));
        let mut rows = String::from("event,name,companion,attended,passed,email\n");
        (0..30).for_each(|n| {
            writeln!(rows, "spring,Rider Nr{n}x,,yes,yes,R{n}@Riders.Example ").expect("a string takes all");
        });
        edit("people/roster.csv", &|_| rows.clone());
        edit("people/answers.csv", &|_| {
            "event,name,email,lead\nspring,Rider Nr1x,,6 feet\nspring,Rider Nr2x,,20 feet\n".to_owned()
        });
        place
    }

    fn program(&self) -> PathBuf {
        self.folder.path().join("program")
    }

    fn copied(&self) -> Self {
        let folder = tempfile::tempdir().expect("a folder for copies");
        copy(&self.program(), &folder.path().join("program"));
        Self { folder }
    }

    fn command(&self, binary: &Path, command: &str) -> Command {
        let mut run = Command::new(binary);
        run.current_dir(self.program())
            .env("PACKSTRING_KEYS", self.folder.path().join("keys"))
            .args(command.split(' '))
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null());
        run
    }

    fn run(&self, binary: &Path, command: &str) -> Option<i32> {
        self.command(binary, command).status().expect("the binary runs").code()
    }

    /// The number of the first certificate.
    fn number(&self) -> String {
        let register =
            fs::read_to_string(self.program().join("records/certificates.jsonl")).unwrap_or_default();
        let rest = register.split("\"number\":\"").nth(1).unwrap_or_default();
        rest.split('"').next().unwrap_or_default().to_owned()
    }

    /// What was put away, without the locks, which say nothing.
    fn tree(&self) -> Tree {
        let entries =
            walkdir::WalkDir::new(self.folder.path()).into_iter().map(|entry| entry.expect("a folder"));
        let files = entries.filter(|entry| entry.file_type().is_file());
        files
            .filter(|entry| !matches!(entry.file_name().to_str(), Some("lock" | "certificates.lock")))
            .map(|entry| {
                let bytes = fs::read(entry.path()).expect("a file");
                let hash: String = Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect();
                let path = entry.path().strip_prefix(self.folder.path()).expect("it lies there").to_owned();
                (path, format!("{hash} {}", mode(entry.path())))
            })
            .collect()
    }
}

#[cfg(unix)]
fn mode(path: &Path) -> String {
    use std::os::unix::fs::PermissionsExt;
    format!("{:o}", fs::metadata(path).expect("a file").permissions().mode())
}

#[cfg(not(unix))]
fn mode(_path: &Path) -> String {
    String::new()
}

fn copy(from: &Path, to: &Path) {
    for entry in walkdir::WalkDir::new(from) {
        let entry = entry.expect("a folder");
        let target = to.join(entry.path().strip_prefix(from).expect("it lies there"));
        match entry.file_type().is_dir() {
            true => fs::create_dir_all(target).expect("a folder"),
            false => drop(fs::copy(entry.path(), target).expect("a file")),
        }
    }
}

fn is_temporary(path: &Path) -> bool {
    path.iter().any(|part| {
        let part = part.to_string_lossy();
        part.starts_with(".packstring-") && part.ends_with(".part")
    })
}

/// Kills one command so many times, spread over its time from the first moment to the last.
///
/// # Panics
/// Anything was lost, half written or left over.
pub fn kill(binary: &Path, repository: &Path, which: usize, kills: usize) -> Killed {
    let (command, before) = COMMANDS[which];
    let base = Place::new(repository);
    for command in before {
        assert!(matches!(base.run(binary, command), Some(0 | 1)), "{command} prepares");
    }
    let command = command.replace("NUMBER", &base.number());
    let undisturbed = base.copied();
    let begun = Instant::now();
    let code = undisturbed.run(binary, &command);
    let time = begun.elapsed();
    assert!(matches!(code, Some(0 | 1)), "{command} ends with {code:?} undisturbed");
    let (old, new) = (base.tree(), undisturbed.tree());
    assert!(new.keys().all(|path| !is_temporary(path)), "{command} leaves something over");
    assert!(old != new, "{command} writes nothing");
    let mut killed = Killed::default();
    for at in 0..kills {
        let place = base.copied();
        let mut child = place.command(binary, &command).spawn().expect("the binary runs");
        let share = (2 * at + 1) as u32;
        std::thread::sleep(time * share / (2 * kills as u32));
        let ended = child.try_wait().expect("a child of ours").is_some();
        let _ = child.kill();
        child.wait().expect("a child of ours");
        *(if ended { &mut killed.too_late } else { &mut killed.kills }) += 1;
        let when = format!("{command}, killed after {:?} of {time:?}", time * share / (2 * kills as u32));
        look(&place, &old, &new, &when);
        // It may say that there is nothing left to do.
        let again = place.run(binary, &command);
        assert!(again.is_some(), "{when}: the next run was ended by a signal");
        assert_same(&place.tree(), &new, &when);
    }
    killed
}

/// Every file is the old one or the new one.
fn look(place: &Place, old: &Tree, new: &Tree, when: &str) {
    for (path, now) in place.tree() {
        let hash =
            |tree: &Tree| tree.get(&path).map(|entry| entry.split(' ').next().unwrap_or_default().to_owned());
        let now = now.split(' ').next().unwrap_or_default().to_owned();
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        // What was being written, the records of a run that was cut short, and what is only added to, which may lack its last lines.
        let is_record = [
            "made.json",
            "laid-out.json",
            "certificates.jsonl",
            "certificates-head.json",
            "facts.jsonl",
            "facts-head.json",
        ];
        if is_temporary(&path) || is_record.contains(&&*name) {
            continue;
        }
        assert!(
            hash(old).as_ref() == Some(&now) || hash(new).as_ref() == Some(&now),
            "{when}: {} is neither the old file nor the new one",
            path.display()
        );
    }
    for path in old.keys() {
        assert!(
            place.folder.path().join(path).exists() || !new.contains_key(path),
            "{when}: {} is gone",
            path.display()
        );
    }
}

fn assert_same(now: &Tree, new: &Tree, when: &str) {
    let differ: Vec<&PathBuf> =
        now.keys().chain(new.keys()).filter(|path| now.get(*path) != new.get(*path)).collect();
    assert!(differ.is_empty(), "{when}, then run again: not as undisturbed: {differ:?}");
}
