//! Crediting, run as a ranger runs it: nobody twice, no number twice, nothing lost, whatever happens in
//! between.

use crate::folders::copy;
use packstring::program::register::{Entry, FILE, HEAD, Register, State, chain};
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::time::Duration;

/// A small program with a roster of its own, and a folder for keys beside it.
pub(crate) struct Trial {
    pub(crate) folder: tempfile::TempDir,
}

impl Trial {
    pub(crate) fn new(roster: &str) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let sound = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/proof/sound");
        copy(&sound, &folder.path().join("program"));
        let trial = Self { folder };
        trial.roster(roster);
        trial
    }

    pub(crate) fn program(&self) -> PathBuf {
        self.folder.path().join("program")
    }

    pub(crate) fn keys(&self) -> PathBuf {
        self.folder.path().join("keys")
    }

    pub(crate) fn roster(&self, rows: &str) {
        let text = format!("event,name,companion,attended,passed,email\n{rows}");
        fs::write(self.program().join("people/roster.csv"), text).unwrap();
    }

    fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_packstring"));
        command.current_dir(self.program()).env("PACKSTRING_KEYS", self.keys()).args(arguments);
        command
    }

    /// Runs a command that must end with this exit code. Gives what it said.
    pub(crate) fn run(&self, arguments: &[&str], code: i32) -> String {
        let output = self.command(arguments).output().unwrap();
        assert_eq!(output.status.code(), Some(code), "{arguments:?}: {}", said(&output));
        said(&output)
    }

    pub(crate) fn make(&self) -> String {
        self.run(MAKE, 0)
    }

    fn start(&self) -> Child {
        self.command(MAKE).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap()
    }

    pub(crate) fn register(&self) -> Register {
        let program =
            packstring::program::open(&self.program()).unwrap_or_else(|it| panic!("{:#?}", it.mistakes));
        (*program.people.register).clone()
    }

    /// The PDFs of single certificates.
    pub(crate) fn certificates(&self) -> BTreeSet<String> {
        let folder = self.program().join("out/private/certificates/spring");
        let names = fs::read_dir(folder).unwrap().map(|it| it.unwrap().file_name().into_string().unwrap());
        names.filter(|name| name.ends_with(".pdf") && !name.starts_with("20")).collect()
    }
}

pub(crate) const MAKE: &[&str] = &["make", "--pieces", "certificates"];
pub(crate) const TWO: &str = "spring,Ada Vell,Bess,yes,yes,ada@vell.example\nspring,Oren Tasker,,yes,yes,\n";

fn said(output: &Output) -> String {
    format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr))
}

pub(crate) fn many(count: usize) -> String {
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
    assert!(unsigned.contains("signing key is not on this computer"), "{unsigned}");
}

/// Whoever may write the folder can hash every line anew. What the key signed they cannot make.
#[test]
fn names_that_nobody_signed_are_neither_printed_nor_vouched_for() {
    let trial = Trial::new(TWO);
    trial.run(&["certificates", "key"], 0);
    trial.make();
    let head = fs::read_to_string(trial.program().join(HEAD)).unwrap();
    assert!(head.contains("\"seal\""), "{head}");
    let sound = trial.register();
    let number = sound.all_given().next().unwrap().number.to_string();
    let told = trial.run(&["certificates", "check", &number], 0);
    assert!(told.contains("counts") && told.contains("signature on its record"), "{told}");

    // Every line hashed anew; with the head as it was, with one that nobody signed, and without its records.
    for (with_records, with_seal) in [(true, true), (true, false), (false, true)] {
        let (mut register, mut text) = (Register::default(), String::new());
        for line in sound.lines() {
            let mut entry = line.entry.clone();
            if let Entry::Given(given) = &mut entry {
                given.name = given.name.replace("Ada Vell", "Eve Stranger");
                given.credential = given.credential.take().filter(|_| with_records);
            }
            let (line, read) = chain::next(&register, entry, text.len());
            register.push(read).unwrap();
            text += &(line + "\n");
        }
        fs::write(trial.program().join(FILE), text).unwrap();
        let seal = chain::Head::read(&head).and_then(chain::Head::into_seal).filter(|_| with_seal);
        fs::write(trial.program().join(HEAD), chain::Head::of(&register, seal).to_json()).unwrap();
        let told = trial.run(MAKE, 2);
        assert!(told.contains("register-forged") && !told.contains("Eve"), "{told}");
        let told = trial.run(&["certificates", "check", &number], 1);
        assert!(told.contains("proves nothing") && !told.contains("counts"), "{told}");
    }
}

#[test]
fn a_new_key_counts_by_the_word_of_the_earlier_one() {
    let trial = Trial::new(TWO);
    trial.run(&["certificates", "key"], 0);
    trial.make();
    let elsewhere = trial.folder.path().join("elsewhere");
    fs::rename(trial.keys(), &elsewhere).unwrap();
    let refused = trial.run(&["certificates", "key", "--new"], 2);
    assert!(refused.contains("--lost"), "{refused}");
    fs::rename(&elsewhere, trial.keys()).unwrap();
    trial.run(&["certificates", "key", "--new"], 0);
    assert_eq!(trial.register().keys().count(), 2);

    fs::rename(trial.keys(), &elsewhere).unwrap();
    trial.run(&["certificates", "key", "--new", "--lost"], 0);
    assert_eq!(trial.register().keys().count(), 2, "nobody vouched for the third");
    trial.roster(&format!("{TWO}spring,Ines Roe,,yes,yes,\n"));
    let made = trial.make();
    assert!(made.contains("Newly credited: 1 person") && !made.contains("not signed"), "{made}");
    let number = trial.register().all_given().last().unwrap().number.to_string();
    let here = trial.run(&["certificates", "check", &number], 0);
    assert!(here.contains("is on this computer"), "{here}");
    fs::rename(trial.keys(), trial.folder.path().join("gone")).unwrap();
    let there = trial.run(&["certificates", "check", &number], 1);
    assert!(there.contains("no earlier key of this program vouches"), "{there}");
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
    assert!(told.contains("Certificates: none made. They are for people who attended and passed"), "{told}");
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

// ---- the register, the roster and the paper ----

impl Trial {
    pub(crate) fn settings(&self, change: impl FnOnce(&str) -> String) {
        let file = self.program().join("program.toml");
        let text = fs::read_to_string(&file).unwrap();
        let changed = change(&text);
        assert_ne!(changed, text);
        fs::write(file, changed).unwrap();
    }

    /// Every file below the program folder, with its bytes; locks left out.
    pub(crate) fn everything(&self) -> std::collections::BTreeMap<PathBuf, Vec<u8>> {
        let files = walkdir::WalkDir::new(self.program()).into_iter().map(|entry| entry.unwrap().into_path());
        let files = files.filter(|path| path.is_file() && !path.to_string_lossy().contains("lock"));
        files.map(|path| (path.clone(), fs::read(path).unwrap())).collect()
    }
}

#[test]
fn a_season_begun_with_last_years_roster_credits_nobody_and_takes_nothing_away() {
    let trial = Trial::new(&many(20));
    trial.make();
    let before = trial.certificates();
    trial.settings(|text| text.replace("season = \"2026\"", "season = \"2027\""));
    let made = trial.make();
    assert!(!made.contains("Newly credited") && trial.certificates() == before, "{made}");
    trial.settings(|text| text.replace("2026-05-16", "2026-05-16\nagain = false"));
    assert_once_each(&trial.register(), 20);

    let trial = Trial::new(&many(20));
    trial.make();
    trial.settings(|text| text.replace("id = \"spring\"", "id = \"may\""));
    trial.roster(&many(20).replace("spring,", "may,"));
    let made = trial.make();
    assert!(made.contains("event-renamed") && made.contains("was = \"spring\""), "{made}");
    assert!(!made.contains("Newly credited"), "{made}");
    trial.settings(|text| text.replace("id = \"may\"", "id = \"may\"\nwas = \"spring\""));
    let made = trial.make();
    assert!(!made.contains("event-renamed") && !made.contains("Newly credited"), "{made}");
    assert_once_each(&trial.register(), 20);
    assert!(trial.program().join("out/private/certificates/may.pdf").exists());
}

#[test]
fn a_name_and_an_address_that_are_both_mended_are_asked_about() {
    let trial = Trial::new(TWO);
    trial.make();
    trial.roster("spring,Adelheid Moreno,,yes,yes,a@moreno.example\nspring,Oren Tasker,,yes,yes,\n");
    let made = trial.make();
    assert!(made.contains("certificate-corrected") && !made.contains("Newly"), "{made}");
    let named = trial.run(&[MAKE, &["--participant", "Adelheid Moreno"]].concat(), 0);
    assert!(named.contains("Newly credited: 1 person"), "{named}");
}

#[test]
fn the_paper_says_what_the_register_says_until_it_is_replaced() {
    let trial = Trial::new(TWO);
    trial.make();
    let before = trial.certificates();
    let bytes = |trial: &Trial, name: &str| {
        fs::read(trial.program().join("out/private/certificates/spring").join(name)).unwrap()
    };
    let first = before.first().unwrap().clone();
    let printed = bytes(&trial, &first);
    trial.settings(|text| {
        text.replace("Spring Workshop", "May Workshop")
            .replace("2026-05-16", "2026-05-17")
            .replace("Tern Lake shelter", "Meadow hut")
            .replace("Tern Lake District", "Other District")
    });
    let made = trial.make();
    assert!(!made.contains("Newly"), "{made}");
    assert!(bytes(&trial, &first) == printed || pdf_text(&bytes(&trial, &first)) == pdf_text(&printed));
    let told = trial.run(&["proofread", "--no-layout"], 0);
    assert!(told.contains("event-changed") && told.contains("name, date, place, agency"), "{told}");
    let told = trial.run(&["certificates", "replace", "--event", "spring"], 0);
    assert!(told.contains("2 certificates"), "{told}");
    trial.run(&["certificates", "replace", "--event", "spring"], 2);
    trial.make();
    let after = trial.certificates();
    assert!(after.len() == 2 && after.is_disjoint(&before), "{after:?}");
    assert!(!trial.run(&["proofread", "--no-layout"], 0).contains("event-changed"));
}

pub(crate) fn pdf_text(bytes: &[u8]) -> Vec<String> {
    let document = lopdf::Document::load_mem(bytes).unwrap();
    document.get_pages().keys().map(|page| document.extract_text(&[*page]).unwrap_or_default()).collect()
}

#[test]
fn lost_and_older_records_stop_the_run_and_say_what_to_bring_back() {
    let trial = Trial::new(TWO);
    trial.run(&["certificates", "key"], 0);
    trial.make();
    let records = trial.program().join("records");
    let aside = trial.folder.path().join("records-before");
    let kept = trial.folder.path().join("kept.json");
    let kept_path = kept.to_str().unwrap();
    let told = trial.run(&["certificates", "keep", kept_path], 0);
    assert!(told.contains("3 lines"), "{told}");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        assert_eq!(fs::metadata(&kept).unwrap().permissions().mode() & 0o777, 0o600);
    }
    let older = fs::read(trial.program().join(FILE)).unwrap();
    let older_head = fs::read(trial.program().join(HEAD)).unwrap();
    trial.roster(&format!("{TWO}spring,Ines Roe,,yes,yes,\n"));
    trial.make();

    // Older, whole in itself.
    let (newer, newer_head) =
        (fs::read(trial.program().join(FILE)).unwrap(), fs::read(trial.program().join(HEAD)).unwrap());
    fs::write(trial.program().join(FILE), &older).unwrap();
    fs::write(trial.program().join(HEAD), &older_head).unwrap();
    for arguments in [MAKE, &["certificates", "withdraw", "3M85-R5DG", "--because", "x"]] {
        let told = trial.run(arguments, 2);
        assert!(told.contains("older than it was") && told.contains("records/certificates.jsonl"), "{told}");
    }
    fs::write(trial.program().join(FILE), &newer).unwrap();
    fs::write(trial.program().join(HEAD), &newer_head).unwrap();
    trial.make();

    // Gone.
    fs::rename(&records, &aside).unwrap();
    let told = trial.run(MAKE, 2);
    assert!(told.contains("register is gone") && told.contains("4 lines"), "{told}");
    // Gone with everything that was made: the key tells.
    fs::remove_dir_all(trial.program().join("out")).unwrap();
    let told = trial.run(MAKE, 2);
    assert!(told.contains("is a signing key of this program"), "{told}");
    assert!(!records.join("certificates.jsonl").exists());

    // A copy from before is put back, and the newer one in its place.
    let told = trial.run(&["certificates", "keep", "--restore", kept_path], 0);
    assert!(told.contains("3 lines"), "{told}");
    assert!(fs::read(trial.program().join(FILE)).unwrap() == older);
    fs::remove_dir_all(&records).unwrap();
    fs::rename(&aside, &records).unwrap();
    let told = trial.run(&["certificates", "keep", "--restore", kept_path], 0);
    assert!(told.contains("Nothing was changed"), "{told}");
    // What was spoiled is put aside and lost by nobody.
    let spoiled = String::from_utf8(newer.clone()).unwrap().replace("Oren", "Owen");
    fs::write(trial.program().join(FILE), &spoiled).unwrap();
    let told = trial.run(&["certificates", "keep", "--restore", kept_path], 0);
    assert!(told.contains("put aside: records/certificates-aside-1.jsonl"), "{told}");
    assert_eq!(fs::read_to_string(records.join("certificates-aside-1.jsonl")).unwrap(), spoiled);
    trial.run(&["certificates", "keep", "--restore", "program.toml"], 2);
}

#[test]
fn a_dry_run_tells_and_writes_nothing() {
    let trial = Trial::new(TWO);
    let before = trial.everything();
    let told = trial.run(&["make", "--dry-run"], 0);
    assert!(
        told.contains("Would credit 2 certificates for Spring Workshop: Ada Vell, Oren Tasker."),
        "{told}"
    );
    assert!(told.contains("Handbook: would make") && told.contains("Nothing was written"), "{told}");
    assert_eq!(trial.everything(), before);
    assert!(!trial.program().join("out").exists());
    trial.make();
    let before = trial.everything();
    let told = trial.run(&[MAKE, &["--dry-run"]].concat(), 0);
    assert!(told.contains("would make 0") && !told.contains("Would credit"), "{told}");
    assert_eq!(trial.everything(), before);
}

#[test]
fn a_specimen_says_so_has_no_number_and_credits_nobody() {
    let trial = Trial::new(TWO);
    let told = trial.run(&["make", "--specimen"], 0);
    assert!(!told.contains("Newly"), "{told}");
    assert!(trial.register().lines().is_empty());
    let made = fs::read(trial.program().join("out/private/specimens/spring.pdf")).unwrap();
    let text = pdf_text(&made).concat();
    assert!(!text.contains("No. "), "{text}");
    assert!(!trial.program().join("out/private/certificates").exists());
    trial.run(&["make", "--specimen", "--participant", "Oren Tasker"], 0);
    assert!(!trial.program().join("out/private/specimens/service_awards.pdf").exists());
}

#[test]
fn awards_have_specimens_too() {
    let trial = Trial::new(TWO);
    trial.settings(|text| {
        format!("{text}\n[[awards]]\nname = \"Trail Hand\"\nhours = 10\n\n[[awards]]\nname = \"Trail Lead\"\nhours = 100\n")
    });
    let file = trial.program().join("out/private/specimens/service_awards.pdf");
    let specimen = || pdf_text(&fs::read(&file).unwrap()).concat().replace('\n', " ");
    trial.run(&["make", "--specimen"], 0);
    let said = specimen();
    assert!(said.contains("Trail Hand") && said.contains("Trail Lead") && !said.contains("No. "), "{said}");
    fs::write(
        trial.program().join("people/hours.csv"),
        "date,name,activity,hours\n2026-05-20,Wilhelmina Oldroyd,gate,12\n2026-05-21,Bo Ray,gate,2\n",
    )
    .unwrap();
    trial.run(&["make", "--specimen"], 0);
    assert!(specimen().contains("Wilhelmina Oldroyd"), "{}", specimen());
    fs::remove_file(&file).unwrap();
    trial.run(&["make", "--specimen", "--event", "spring"], 0);
    assert!(!file.exists(), "an event was asked for");
    trial.run(&["make", "--specimen", "--participant", "Bo Ray"], 0);
    assert!(trial.register().lines().is_empty());
}

#[test]
fn what_is_made_for_one_person_leaves_what_is_everybodys() {
    let trial = Trial::new(TWO);
    trial.run(&["make"], 0);
    let before = trial.everything();
    trial.roster(&format!("{TWO}spring,Ines Roe,Moss,yes,yes,\n"));
    let told = trial.run(&["make", "--participant", "Ines Roe"], 0);
    assert!(told.contains("Newly credited: 1 person"), "{told}");
    let changed: Vec<String> = trial
        .everything()
        .into_iter()
        .filter(|(path, bytes)| before.get(path) != Some(bytes))
        .map(|(path, _)| path.strip_prefix(trial.program()).unwrap().display().to_string())
        .collect();
    for file in &changed {
        let own = file.contains("ines-roe")
            || file.contains("made.json")
            || file.starts_with("records/")
            || file == "people/roster.csv";
        assert!(own, "{file} is everybody's: {changed:?}");
    }
    assert!(changed.iter().any(|file| file.contains("private/certificates/spring/ines-roe")), "{changed:?}");
}

#[test]
fn an_odd_cell_of_the_roster_holds_what_needs_the_roster_and_nothing_else() {
    let trial = Trial::new(TWO);
    trial.run(&["make"], 0);
    let before = trial.certificates();
    trial.roster(&TWO.replace("Bess,yes,yes", "Bess,perhaps,yes"));
    let told = trial.run(&["make"], 1);
    assert!(told.contains("value-unfit") && told.contains("kept") && !told.contains("Handbook"), "{told}");
    assert_eq!(trial.certificates(), before, "what was made of people stays");
    trial.run(&["make", "--pieces", "deck"], 1);
    let told = trial.run(MAKE, 2);
    assert!(told.contains("value-unfit"), "{told}");
}

#[test]
fn a_roster_by_another_name_takes_nothing_away() {
    let trial = Trial::new(TWO);
    trial.run(&["make"], 0);
    let before = trial.certificates();
    let people = trial.program().join("people");
    fs::rename(people.join("roster.csv"), people.join("roster (1).csv")).unwrap();
    let told = trial.run(&["make"], 1);
    assert!(told.contains("people-file-unread") && told.contains("roster (1).csv"), "{told}");
    assert_eq!(trial.certificates(), before);
    fs::rename(people.join("roster (1).csv"), people.join("Roster.CSV")).unwrap();
    let told = trial.run(&["make"], 0);
    assert!(!told.contains("people-file-unread"), "{told}");
    assert_eq!(trial.certificates(), before);
}

#[test]
fn pieces_are_named_with_spaces_too_and_no_sources_are_written_over() {
    let trial = Trial::new(TWO);
    let told = trial.run(&["make", "--pieces", "leaflet, wall-chart"], 0);
    assert!(told.contains("Wall chart") || told.contains("Wall Chart"), "{told}");
    let wrong = trial.run(&["make", "--pieces", "leaflt"], 2);
    assert!(wrong.contains("leaflet"), "{wrong}");
    for into in [".", "lessons", "people/x", "records", "./lessons/../pictures", "new/../people", "new/.."] {
        let told = trial.run(&["make", "--pieces", "leaflet", "--into", into], 2);
        assert!(told.contains("holds what pieces are made from"), "{into}: {told}");
    }
    trial.run(&["make", "--pieces", "leaflet", "--into", "elsewhere"], 0);
}

/// Each is told, and nobody is credited for it; the mend of the first is the row that the person needs.
#[test]
fn nobody_is_credited_under_a_name_that_cannot_be_right() {
    for (name, rule) in [
        ("\"Lee, Ann\"", "name-miswritten"),
        ("Ann and Bo Lee", "name-several"),
        ("Ann Lee; Bo Ray", "name-several"),
        ("\"Ann Lee\nBo Ray\"", "name-several"),
        ("Jos? Lee", "letters-garbled"),
        ("Total", "name-none"),
        ("N/A", "name-none"),
        ("-", "name-none"),
        ("12345", "name-none"),
    ] {
        let trial = Trial::new(&format!("{TWO}spring,{name},,yes,yes,\n"));
        let told = trial.make();
        assert!(told.contains(rule), "{name}: {told}");
        assert!(told.contains("Newly credited: 2 people"), "{name}: {told}");
        let told = trial.make();
        assert!(told.contains(rule) && !told.contains("Newly"), "{name}: {told}");
    }
}

#[test]
fn a_certificate_may_hold_for_some_years() {
    let trial = Trial::new(TWO);
    trial.run(&["certificates", "key"], 0);
    trial.settings(|text| format!("{text}\n[certificate]\nvalid-for = \"18 months\"\n"));
    trial.make();
    let register = trial.register();
    let given = register.all_given().next().unwrap();
    assert_eq!(given.until.unwrap().to_string(), "2027-11-16");
    assert_eq!(given.credential.as_ref().unwrap()["validUntil"], "2027-11-16T23:59:59Z");
    let listed = trial.run(&["certificates", "list", "--ends-before", "2027-11-17"], 0);
    assert!(listed.contains("2 valid") && listed.contains("valid until 2027-11-16"), "{listed}");
    let listed = trial.run(&["certificates", "list", "--ends-before", "2027-11-16"], 0);
    assert!(listed.contains("No such certificate"), "{listed}");
    trial.settings(|text| text.replace("18 months", "soon"));
    assert!(trial.run(MAKE, 2).contains("is not a time that a certificate"));
}

// ---- runs that are stopped, wait, or have a clock that is wrong ----

#[test]
fn what_is_to_print_is_said_by_the_run_after_one_that_was_stopped() {
    let trial = Trial::new(TWO);
    assert!(trial.make().contains("Newly credited: 2 people"));
    // As a run leaves it that was killed between crediting and making.
    let whole = fs::read(trial.program().join("out/private/made.json")).unwrap();
    let folder = trial.program().join("out/private/certificates");
    trial.roster(&format!("{TWO}spring,Ines Roe,,yes,yes,\n"));
    trial.make();
    fs::remove_dir_all(&folder).unwrap();
    fs::write(trial.program().join("out/private/made.json"), &whole).unwrap();
    fs::remove_file(trial.program().join("out/made.json")).unwrap();
    let told = trial.make();
    assert!(
        told.contains(
            "made here for the first time: 1 person for Spring Workshop; to print: private/certificates/"
        ),
        "{told}"
    );
    assert!(!told.contains("Newly"), "{told}");
    assert!(!trial.make().contains("to print"), "said once");
    // A run of other pieces in between has printed nothing.
    trial.roster(&format!("{TWO}spring,Ines Roe,,yes,yes,\nspring,Ola Strand,,yes,yes,\n"));
    let before = fs::read(trial.program().join("out/private/made.json")).unwrap();
    trial.make();
    fs::write(trial.program().join("out/private/made.json"), &before).unwrap();
    fs::remove_file(trial.program().join("out/made.json")).unwrap();
    trial.run(&["make", "--pieces", "attendance"], 0);
    let told = trial.make();
    assert!(told.contains("made here for the first time: 1 person"), "{told}");
}

#[test]
fn a_second_run_waits_until_the_first_lets_go() {
    let trial = Trial::new(TWO);
    trial.make();
    trial.roster(&format!("{TWO}spring,Ines Roe,,yes,yes,\n"));
    let lock =
        fs::OpenOptions::new().write(true).open(trial.program().join("records/certificates.lock")).unwrap();
    lock.lock().unwrap();
    let mut second = trial.start();
    let mut third = trial.command(&["certificates", "withdraw", "AAAA-AAAA", "--because", "x"]);
    let mut third = third.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
    std::thread::sleep(Duration::from_secs(2));
    assert!(second.try_wait().unwrap().is_none(), "it waits");
    // A number that is none is refused before anything is waited for.
    assert!(third.try_wait().unwrap().is_some());
    assert_once_each(&trial.register(), 2);
    drop(lock);
    assert!(second.wait().unwrap().success());
    assert_once_each(&trial.register(), 3);
    third.wait().unwrap();
}

#[cfg(unix)]
#[test]
fn records_stay_their_owners_alone_after_each_write() {
    use std::os::unix::fs::PermissionsExt;
    let trial = Trial::new(TWO);
    trial.make();
    let mode = |file: &str| fs::metadata(trial.program().join(file)).unwrap().permissions().mode() & 0o777;
    assert_eq!(mode("records"), 0o700);
    for file in [FILE, HEAD] {
        // As a copy or a checkout leaves them.
        fs::set_permissions(trial.program().join(file), fs::Permissions::from_mode(0o666)).unwrap();
    }
    trial.roster(&format!("{TWO}spring,Ines Roe,,yes,yes,\n"));
    trial.make();
    for file in [FILE, HEAD, "out/private/made.json"] {
        assert_eq!(mode(file), 0o600, "{file}");
    }
    let number = trial.register().all_given().next().unwrap().number.to_string();
    fs::set_permissions(trial.program().join(FILE), fs::Permissions::from_mode(0o644)).unwrap();
    trial.run(&["certificates", "withdraw", &number, "--because", "in error"], 0);
    trial.run(&["certificates", "key"], 0);
    for file in [FILE, HEAD] {
        assert_eq!(mode(file), 0o600, "{file}");
    }
}

#[test]
fn a_clock_far_from_the_days_is_told_before_anything_is_written() {
    let trial = Trial::new(TWO);
    let file = trial.program().join("program.toml");
    let program = fs::read_to_string(&file).unwrap();
    let long_ago =
        program.replace("2026-05-16", "2011-05-14").replace("season = \"2026\"", "season = \"2011\"");
    fs::write(&file, &long_ago).unwrap();
    let told = trial.run(MAKE, 0);
    assert!(told.contains("more than 2 years after 2011-05-14") && told.contains("clock-far"), "{told}");
    assert!(!trial.program().join(FILE).exists());
    // Who is asked for by name is meant, and a rule that is off holds nobody.
    trial.run(&["make", "--pieces", "certificates", "--participant", "Oren Tasker"], 0);
    assert_once_each(&trial.register(), 1);
    fs::write(&file, long_ago + "\n[proofread.rules]\nclock-far = \"off\"\n").unwrap();
    trial.make();
    assert_once_each(&trial.register(), 2);
}

#[test]
fn a_sheet_with_a_name_that_is_held_is_not_made_again_by_each_run() {
    let trial = Trial::new(&format!("{TWO}spring,Zed \u{10380}\u{10381},,yes,yes,\n"));
    let pieces = ["make", "--pieces", "sign-in-sheets,attendance,name-tags"];
    let first = trial.run(&pieces, 1);
    assert!(first.contains("letter-missing"), "{first}");
    let second = trial.run(&pieces, 1);
    assert!(second.contains("letter-missing") && second.contains("In all: made 0,"), "{second}");
}

/// A key that a stranger puts into the register, and a certificate that they sign with it: every hash fits.
#[test]
fn a_key_that_nobody_vouched_for_is_told_and_proves_nothing() {
    use packstring::credential::SecretKey;
    use packstring::program::register::Key;
    let trial = Trial::new(TWO);
    trial.run(&["certificates", "key"], 0);
    trial.make();
    let sound = trial.register();
    let first = sound.all_given().next().unwrap().clone();
    assert!(!trial.run(&["proofread", "--no-layout"], 0).contains("register-key-unsigned"));
    let stranger = SecretKey::from_seed([7; 32]);
    let program = packstring::program::open(&trial.program()).unwrap();
    let mut entries: Vec<Entry> = sound.lines().iter().map(|line| line.entry.clone()).collect();
    let day = first.day;
    entries.push(Entry::Key(Key { public: stranger.public().to_string(), day, signed: None }));
    let number = packstring::credential::number::Number::from_parts(&["a stranger's"], 0);
    let given = packstring::program::register::Given {
        number: number.clone(),
        name: "Eve Stranger".into(),
        credential: None,
        ..first.clone()
    };
    let settings = &program.content.settings;
    let given = packstring::people::credit::record::sign(given, settings, &stranger);
    entries.push(Entry::Given(Box::new(given)));
    let (mut register, mut text) = (Register::default(), String::new());
    for entry in entries {
        let (line, read) = chain::next(&register, entry, text.len());
        register.push(read).unwrap();
        text += &(line + "\n");
    }
    let head = fs::read_to_string(trial.program().join(HEAD)).unwrap();
    let seal = chain::Head::read(&head).and_then(chain::Head::into_seal);
    fs::write(trial.program().join(FILE), &text).unwrap();
    fs::write(trial.program().join(HEAD), chain::Head::of(&register, seal).to_json()).unwrap();

    let told = trial.run(&["proofread", "--no-layout"], 0);
    assert_eq!(told.matches("register-key-unsigned").count(), 1, "{told}");
    assert!(told.contains("certificates.jsonl:4:1"), "at its line: {told}");
    assert!(trial.run(&["certificates", "check", &first.number.to_string()], 0).contains("counts"));
    let told = trial.run(&["certificates", "check", &number.to_string()], 1);
    assert!(told.contains("no earlier key of this program vouches"), "{told}");
    // The program signs with its own key all the same, and does not vouch for the stranger's line by the head.
    trial.roster(&format!("{TWO}spring,Ines Roe,,yes,yes,\n"));
    // By name, for the stranger's certificate has no row, and so new rows of its event are held.
    trial.run(&["make", "--pieces", "certificates", "--participant", "Ines Roe"], 0);
    let ines =
        trial.register().all_given().find(|given| given.name == "Ines Roe").unwrap().number.to_string();
    assert!(trial.run(&["certificates", "check", &ines], 0).contains("signature on its record"));
    trial.run(&["certificates", "check", &number.to_string()], 1);
}

/// The title, the program and the agency: of certificates that nobody signed as of those that somebody did.
#[test]
fn what_is_called_otherwise_is_told_and_printed_as_it_was_given() {
    for is_signed in [false, true] {
        let trial = Trial::new(TWO);
        trial.settings(|text| format!("{text}\n[certificate]\ntitle = \"Trail Certificate\"\n"));
        if is_signed {
            trial.run(&["certificates", "key"], 0);
        }
        trial.make();
        let paper = |trial: &Trial| {
            pdf_text(&fs::read(trial.program().join("out/private/certificates/spring.pdf")).unwrap()).concat()
        };
        let before = paper(&trial);
        assert!(before.contains("Trail Certificate"), "{before}");
        let name = trial.register().all_given().next().unwrap().clone();
        assert_eq!((name.title.is_none(), name.program.is_none()), (is_signed, is_signed));
        let old = "name = \"Lake Riders\"";
        trial.settings(|text| {
            text.replace("Trail Certificate", "Lake Certificate").replacen(old, "name = \"Lake Crew\"", 1)
        });
        trial.make();
        assert_eq!(paper(&trial), before, "printed as it was given");
        let told = trial.run(&["proofread", "--no-layout"], 0);
        assert!(told.contains("event-changed") && told.contains("title, program"), "{told}");
        assert!(told.contains("title “Trail Certificate”"), "{told}");
        trial.run(&["certificates", "replace", "--event", "spring"], 0);
        trial.make();
        assert!(paper(&trial).contains("Lake Certificate") && paper(&trial).contains("Lake Crew"));
        assert!(!trial.run(&["proofread", "--no-layout"], 0).contains("event-changed"));
        // Without a title of the program's own the theme has its words, and had them then.
        trial.settings(|text| text.replace("title = \"Lake Certificate\"\n", ""));
        trial.make();
        assert!(paper(&trial).contains("Lake Certificate"));
        let told = trial.run(&["proofread", "--no-layout"], 0);
        assert!(told.contains("another title than"), "{told}");
    }
}

#[test]
fn events_that_need_each_other_are_told() {
    let with_needs = |needs: &[(&str, &str)]| {
        let trial = Trial::new(TWO);
        trial.settings(|text| {
            let event = |id: &str| {
                let needs: Vec<String> =
                    needs.iter().filter(|(of, _)| *of == id).map(|(_, need)| format!("\"{need}\"")).collect();
                format!(
                    "[[events]]\nid = \"{id}\"\nname = \"Workshop {id}\"\ndate = 2026-06-01\nstart = 09:00\nminutes = 90\nplace = \"Hut\"\nform = \"in person\"\nneeds = [{}]\n\n",
                    needs.join(", ")
                )
            };
            let events: String = ["a", "b", "c", "d"].map(event).concat();
            text.replacen("[[events]]", &format!("{events}[[events]]"), 1)
        });
        said(&trial.command(&["proofread", "--no-layout"]).output().unwrap())
    };
    for circle in [
        &[("a", "b"), ("b", "a")][..],
        &[("a", "b"), ("b", "c"), ("c", "a")],
        &[("d", "c"), ("c", "b"), ("b", "d"), ("a", "d")],
    ] {
        let told = with_needs(circle);
        assert_eq!(told.matches("names-in-circle").count(), 1, "{circle:?}: {told}");
        assert!(told.contains("needs itself in the end"), "{told}");
    }
    assert!(with_needs(&[("a", "a")]).contains("no other event “a”"));
    for sound in
        [&[("a", "b"), ("a", "c"), ("b", "d"), ("c", "d")][..], &[("d", "a"), ("c", "a"), ("b", "a")]]
    {
        assert!(!with_needs(sound).contains("names-in-circle"));
    }
}
