//! Crediting, run as a ranger runs it: nobody twice, no number twice, nothing lost, whatever happens in
//! between.

use crate::folders::copy;
use packstring::program::register::{Entry, FILE, Register, State};
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::time::Duration;

/// A small program with a roster of its own, and a folder for keys beside it.
struct Trial {
    folder: tempfile::TempDir,
}

impl Trial {
    fn new(roster: &str) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let sound = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/proof/sound");
        copy(&sound, &folder.path().join("program"));
        let trial = Self { folder };
        trial.roster(roster);
        trial
    }

    fn program(&self) -> PathBuf {
        self.folder.path().join("program")
    }

    fn keys(&self) -> PathBuf {
        self.folder.path().join("keys")
    }

    fn roster(&self, rows: &str) {
        let text = format!("event,name,companion,attended,passed,email\n{rows}");
        fs::write(self.program().join("people/roster.csv"), text).unwrap();
    }

    fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_packstring"));
        command.current_dir(self.program()).env("PACKSTRING_KEYS", self.keys()).args(arguments);
        command
    }

    /// Runs a command that must end with this exit code. Gives what it said.
    fn run(&self, arguments: &[&str], code: i32) -> String {
        let output = self.command(arguments).output().unwrap();
        assert_eq!(output.status.code(), Some(code), "{arguments:?}: {}", said(&output));
        said(&output)
    }

    fn make(&self) -> String {
        self.run(MAKE, 0)
    }

    fn start(&self) -> Child {
        self.command(MAKE).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap()
    }

    fn register(&self) -> Register {
        let program =
            packstring::program::open(&self.program()).unwrap_or_else(|it| panic!("{:#?}", it.mistakes));
        (*program.people.register).clone()
    }

    /// The PDFs of single certificates.
    fn certificates(&self) -> BTreeSet<String> {
        let folder = self.program().join("out/private/certificates/spring");
        let names = fs::read_dir(folder).unwrap().map(|it| it.unwrap().file_name().into_string().unwrap());
        names.filter(|name| name.ends_with(".pdf") && !name.starts_with("20")).collect()
    }
}

const MAKE: &[&str] = &["make", "--pieces", "certificates"];
const TWO: &str = "spring,Ada Vell,Bess,yes,yes,ada@vell.example\nspring,Oren Tasker,,yes,yes,\n";

fn said(output: &Output) -> String {
    format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr))
}

fn many(count: usize) -> String {
    let mut rows = String::new();
    (0..count).for_each(|n| writeln!(rows, "spring,Rider Nr{n}x,,yes,yes,r{n}@riders.example").unwrap());
    rows
}

/// Everybody was given one certificate, and no number was given twice.
fn assert_once_each(register: &Register, people: usize) {
    let names: BTreeSet<&str> = register.all_given().map(|given| given.name.as_str()).collect();
    let numbers: BTreeSet<_> = register.all_given().map(|given| &given.number).collect();
    assert_eq!((register.all_given().count(), names.len(), numbers.len()), (people, people, people));
}

#[test]
fn a_second_making_credits_nobody_and_a_later_row_is_one_more() {
    let trial = Trial::new(TWO);
    let first = trial.make();
    assert!(
        first.contains("Newly credited: 2 people for Spring Workshop; to print: private/certificates/spring"),
        "{first}"
    );
    let register = fs::read(trial.program().join(FILE)).unwrap();
    let second = trial.make();
    assert!(second.contains("made 0") && !second.contains("Newly"), "{second}");
    assert!(fs::read(trial.program().join(FILE)).unwrap() == register);

    trial.roster(&format!("spring,Ines Roe,,yes,yes,\n{TWO}"));
    let elsewhere = trial.folder.path().join("elsewhere");
    let third = trial.run(&[MAKE, &["--into", elsewhere.to_str().unwrap()]].concat(), 0);
    assert!(third.contains("Newly credited: 1 person"), "{third}");
    assert_once_each(&trial.register(), 3);
    assert!(!trial.make().contains("Newly"), "another folder has the same register");
}

#[test]
fn a_name_that_does_not_fit_is_told_each_time_and_nobody_elses_is_made_again() {
    let trial = Trial::new(&format!("{TWO}spring,{},,yes,yes,\n", "W".repeat(4000)));
    let first = trial.make();
    assert!(first.contains("sheet-crowded") && first.contains("In all: made 4, kept 0"), "{first}");
    let again = trial.make();
    assert!(again.contains("sheet-crowded") && again.contains("In all: made 1, kept 3"), "{again}");
}

#[test]
fn a_corrected_name_is_held_and_replaced_by_hand() {
    let trial = Trial::new(TWO);
    trial.make();
    trial.roster(&TWO.replace("Ada Vell", "Adah Vell"));
    let held = trial.make();
    assert!(held.contains("certificate-corrected") && !held.contains("Newly"), "{held}");
    let number = trial.register().all_given().next().unwrap().number.clone();
    let replaced = trial.run(&["certificates", "replace", number.plain()], 0);
    assert!(replaced.contains(&format!("{number} is replaced by ")), "{replaced}");
    let register = trial.register();
    let State::Replaced(new) = register.state(&number) else { panic!("{register:?}") };
    assert_eq!(register.given(new).unwrap().name, "Adah Vell");
    let made = trial.make();
    assert!(!made.contains("certificate-corrected") && !made.contains("Newly"), "{made}");
    let files = trial.certificates();
    assert_eq!(files.len(), 2, "the old one does not stay beside the new: {files:?}");
    assert!(files.iter().any(|file| file.starts_with("adah-vell-")), "{files:?}");
    trial.run(&["certificates", "replace", number.plain(), "--name", "Adda Vell"], 2);
}

#[test]
fn a_withdrawn_certificate_is_taken_away_and_not_given_again() {
    let trial = Trial::new(TWO);
    trial.make();
    let number = trial.register().all_given().next().unwrap().number.to_string();
    trial.run(&["certificates", "withdraw", &number, "--because", "the wrong row was marked"], 0);
    trial.run(&["certificates", "withdraw", &number, "--because", "again"], 2);
    assert!(!trial.make().contains("Newly"));
    assert_eq!(trial.certificates().len(), 1);
    let list = trial.run(&["certificates", "list"], 0);
    assert!(list.contains(": the wrong row was marked") && list.contains("1 valid"), "{list}");
}

#[test]
fn nobody_is_credited_for_what_cannot_be_printed() {
    let trial = Trial::new("spring,Ada \u{378}Vell,,yes,yes,\nspring,Oren Tasker,,yes,yes,\n");
    for newly in [true, false] {
        let made = trial.run(MAKE, 1);
        assert!(made.contains("letter-missing"), "{made}");
        assert_eq!(made.contains("Newly credited: 1 person"), newly, "{made}");
        assert_eq!(made.contains("made 0"), !newly, "it is told without making the others again: {made}");
    }
    assert_once_each(&trial.register(), 1);
}

#[test]
fn a_key_signs_what_is_given_from_then_on_and_is_kept_apart() {
    let trial = Trial::new(TWO);
    let made = trial.run(&["certificates", "key"], 0);
    let files: Vec<PathBuf> = fs::read_dir(trial.keys()).unwrap().map(|it| it.unwrap().path()).collect();
    let [file] = &files[..] else { panic!("{files:?}") };
    let text = fs::read_to_string(file).unwrap();
    let secret = text.lines().last().unwrap();
    assert!(secret.starts_with("z3u2") && !made.contains(secret), "{made}");
    assert!(!trial.make().contains("not signed"));
    let register = trial.register();
    let signed: Vec<bool> = register.all_given().map(|given| given.credential.is_some()).collect();
    assert_eq!(signed, [true, true]);
    let public = register.key().unwrap().public.clone();
    assert!(trial.run(&["certificates", "key"], 0).contains(&public), "the same key is shown again");
    for entry in walkdir::WalkDir::new(trial.program()) {
        let path = entry.unwrap().into_path();
        let bytes = if path.is_file() { fs::read(&path).unwrap() } else { Vec::new() };
        let found = bytes.windows(secret.len()).any(|words| words == secret.as_bytes());
        assert!(!found, "the private half stands in {}", path.display());
    }
    trial.run(&["certificates", "key", "--new"], 0);
    let keys: Vec<String> = trial.register().keys().map(|key| key.public.clone()).collect();
    assert!(keys.len() == 2 && keys[0] == public && keys[1] != public, "{keys:?}");

    fs::remove_dir_all(trial.keys()).unwrap();
    trial.roster(&format!("{TWO}spring,Ines Roe,,yes,yes,\n"));
    let unsigned = trial.make();
    assert!(unsigned.contains("signing key is not on this machine"), "{unsigned}");
}

#[test]
fn two_runs_at_once_credit_everybody_once() {
    let trial = Trial::new(&many(40));
    // Into folders of their own, so that only the register keeps them apart.
    let mut runs: Vec<Child> = (0..4)
        .map(|n| {
            let into = trial.folder.path().join(format!("out-{n}"));
            trial.command(MAKE).arg("--into").arg(into).stdout(Stdio::null()).spawn().unwrap()
        })
        .collect();
    for run in &mut runs {
        assert!(run.wait().unwrap().success());
    }
    assert_once_each(&trial.register(), 40);
}

/// What the first making notes is what the second would, though the register was only written by the first.
#[test]
fn a_second_making_writes_the_same_records() {
    let trial = Trial::new(TWO);
    let records = || {
        ["out/made.json", "out/private/made.json"].map(|file| fs::read(trial.program().join(file)).unwrap())
    };
    trial.make();
    let first = records();
    trial.make();
    assert!(first == records(), "the records of the second making are others");
    trial.run(&["make"], 0);
    let whole = records();
    trial.run(&["make"], 0);
    assert!(whole == records(), "the records of a second whole making are others");
}

/// Killed at many moments, from before the register is touched until the certificates are printed.
#[test]
fn a_kill_loses_no_credit_and_gives_none_twice() {
    let (mut early, mut late) = (0, 0);
    let mut round: u64 = 0;
    // Later and later, until it was late a few times: when that is depends on the machine.
    while late < 4 && round < 60 {
        round += 1;
        let trial = Trial::new(&many(30));
        let mut run = trial.start();
        std::thread::sleep(Duration::from_millis(4 + round * round * 5));
        let _ = run.kill();
        run.wait().unwrap();
        let lines = trial.register().lines().len();
        assert!(lines == 0 || lines == 30, "{lines} lines: some were credited and others not");
        *(if lines == 0 { &mut early } else { &mut late }) += 1;
        trial.make();
        assert_once_each(&trial.register(), 30);
        assert_eq!(trial.certificates().len(), 30, "what was credited is printed by the next run");
    }
    assert!(early > 0 && late > 0, "killed {early} times before the register was written, {late} after");
}

#[test]
fn a_register_that_was_tampered_with_stops_everything_and_stays_as_it_is() {
    let trial = Trial::new(TWO);
    trial.make();
    let file = trial.program().join(FILE);
    let tampered = fs::read_to_string(&file).unwrap().replace("Oren", "Owen");
    fs::write(&file, &tampered).unwrap();
    for arguments in [MAKE, &["certificates", "list"], &["certificates", "key"]] {
        let told = trial.run(arguments, 2);
        assert!(told.contains("register-broken") && told.contains(":2:1"), "{told}");
        assert!(!told.contains("Owen"), "names stay in the register: {told}");
    }
    assert_eq!(fs::read_to_string(&file).unwrap(), tampered);
}

/// Also of root, to whom no permission says no: a folder stands where a file belongs.
#[test]
fn a_register_that_cannot_be_written_credits_nobody() {
    let trial = Trial::new(TWO);
    let out = trial.folder.path().join("out");
    fs::create_dir_all(trial.program().join("records/certificates.lock")).unwrap();
    let told = trial.run(&[MAKE, &["--into", out.to_str().unwrap()]].concat(), 2);
    assert!(told.contains("Nobody was credited") && told.contains("certificates.lock"), "{told}");
    assert!(!trial.program().join(FILE).exists());
    assert!(!out.join("private/certificates/spring.pdf").exists());

    fs::remove_dir(trial.program().join("records/certificates.lock")).unwrap();
    trial.make();
    assert_once_each(&trial.register(), 2);
}

#[test]
fn what_was_asked_for_and_not_made_is_told_with_the_reason() {
    let trial = Trial::new("spring,Ada Vell,,yes,yes,\nspring,Oren Tasker,,yes,no,\n");
    let told = trial.run(&["make", "--pieces", "labels,scores"], 0);
    assert!(told.contains("Labels: none made.") && told.contains("--pieces certificates"), "{told}");
    assert!(told.contains("Scores: none made. There are no answers"), "{told}");
    let told = trial.run(&[MAKE, &["--participant", "Oren Tasker"]].concat(), 0);
    assert!(told.contains("Certificates: none made. They are for who attended and passed"), "{told}");
    trial.make();
    let told = trial.run(&["make", "--pieces", "labels"], 0);
    assert!(told.contains("gave an address"), "{told}");
}

#[test]
fn a_kind_of_line_that_is_not_known_is_not_passed_over() {
    let trial = Trial::new(TWO);
    trial.make();
    let kinds: Vec<bool> =
        trial.register().lines().iter().map(|line| matches!(line.entry, Entry::Given(_))).collect();
    assert_eq!(kinds, [true, true]);
    let file = trial.program().join(FILE);
    let other = fs::read_to_string(&file).unwrap().replace("\"given\":", "\"lent\":");
    fs::write(&file, other).unwrap();
    trial.run(&["certificates", "list"], 2);
}
