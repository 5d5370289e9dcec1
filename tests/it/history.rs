//! What the facts were, held against its promises: `make` writes it down and nothing else does, `backing` shows it, what
//! has changed by itself is asked about, and the last `restate --save` can be taken back.
//!
//! No source outside: these are packstring's own promises.

use crate::folders::{self, copy, write};
use crate::proof::{TODAY, root, write_history};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

const HISTORY: &str = "records/facts.jsonl";

struct Copy {
    folder: tempfile::TempDir,
}

impl Copy {
    fn sound() -> Self {
        let here = Self { folder: tempfile::tempdir().unwrap() };
        copy(&root().join("tests/proof/sound"), here.path());
        here
    }

    fn path(&self) -> &Path {
        self.folder.path()
    }

    /// What the command says, and its exit code.
    fn run(&self, arguments: &str) -> (String, i32) {
        folders::run(self.path(), arguments.split(' '))
    }

    fn text(&self, file: &str) -> String {
        fs::read_to_string(self.path().join(file)).unwrap()
    }

    fn change(&self, file: &str, from: &str, to: &str) {
        let text = self.text(file);
        assert!(text.contains(from), "{file} has {from}");
        write(self.path(), file, text.replacen(from, to, 1));
    }

    fn history(&self) -> Vec<serde_json::Value> {
        self.text(HISTORY).lines().map(|line| serde_json::from_str(line).unwrap()).collect()
    }

    /// Every file but what is made.
    fn files(&self) -> BTreeMap<PathBuf, Vec<u8>> {
        let files = walkdir::WalkDir::new(self.path()).into_iter().map(Result::unwrap);
        let files = files.filter(|entry| entry.file_type().is_file());
        let files = files.filter(|entry| !entry.path().starts_with(self.path().join("out")));
        files.map(|entry| (entry.path().to_owned(), fs::read(entry.path()).unwrap())).collect()
    }
}

#[test]
fn making_writes_down_what_the_facts_are_and_nothing_else_does() {
    let here = Copy::sound();
    for command in
        ["proofread --no-layout", "make --dry-run", "make --specimen", "restate", "backing lead-length"]
    {
        here.run(command);
        assert!(!here.path().join(HISTORY).exists(), "{command}");
    }
    here.run("make --pieces leaflet");
    assert!(
        !here.path().join(HISTORY).exists(),
        "the program has nothing for a leaflet, and nothing is made"
    );
    assert_eq!(here.run("make --pieces handouts").1, 0);
    let first = here.text(HISTORY);
    let facts = here.history().len();
    let own =
        here.history().iter().filter(|line| !line["fact"]["name"].as_str().unwrap().contains('.')).count();
    let listed = here.text("facts.toml").lines().filter(|line| line.starts_with('[')).count();
    assert_eq!(own, listed, "{first}");
    assert!(first.contains("event.spring.date"), "what program.toml says is kept too");
    here.run("make --pieces handouts");
    assert_eq!(here.text(HISTORY), first, "nothing has changed");

    here.change("facts.toml", "value = \"200 feet\"", "value = \"300 feet\"");
    here.run("restate --save");
    here.run("make --dry-run");
    assert_eq!(here.text(HISTORY), first, "nothing is made by that");
    here.run("make --pieces handouts");
    let lines = here.text(HISTORY);
    assert!(lines.starts_with(&first), "what was written stays");
    let new = &here.history()[facts..];
    assert_eq!(new.len(), 1, "{new:#?}");
    assert_eq!(new[0]["fact"]["value"], "300 feet");
    assert_eq!(new[0]["before"], here.history()[facts - 1]["hash"]);
}

#[test]
fn backing_shows_what_a_fact_was_and_by_which_source() {
    let here = Copy::sound();
    let (told, _) = here.run("backing camp-distance");
    assert!(!told.contains("History"), "{told}");
    here.run("make --pieces handouts");
    here.change("facts.toml", "value = \"200 feet\"", "value = \"300 feet\"");
    here.run("restate --save");
    here.run("make --pieces handouts");
    let (told, code) = here.run("backing camp-distance");
    let shown = told.split("History").nth(1).unwrap_or_default();
    let was = shown.find("at least 200 feet").expect("what it was");
    let is = shown.find("at least 300 feet").expect("what it is");
    assert!(was < is && code == 0, "{told}");
    assert!(shown.contains("as of "), "{told}");
}

#[test]
fn a_fact_that_is_taken_out_stays_in_its_history() {
    let here = Copy::sound();
    write_history(here.path(), TODAY);
    let facts = here.text("facts.toml");
    write(here.path(), "facts.toml", format!("{facts}\n[fence]\nvalue = \"4 rails\"\nsource = \"Rule\"\n"));
    write_history(here.path(), TODAY);
    write(here.path(), "facts.toml", facts);
    write_history(here.path(), TODAY);
    let last = here.history().pop().unwrap();
    assert_eq!(last["gone"]["name"], "fence");
    let count = here.history().len();
    write_history(here.path(), TODAY);
    assert_eq!(here.history().len(), count);
}

/// A history that somebody changed is told, and neither mended nor added to by itself.
#[test]
fn a_broken_history_is_told_with_its_mend_and_left_as_it_is() {
    type Spoil = fn(&Copy);
    let cases: [(&str, Spoil); 4] = [
        ("history-broken", |here| here.change(HISTORY, "200 feet", "100 feet")),
        ("history-cut", |here| {
            let lines = here.text(HISTORY);
            let kept = lines.trim_end().rfind('\n').unwrap() + 1;
            write(here.path(), HISTORY, &lines[..kept]);
        }),
        ("history-cut", |here| fs::remove_file(here.path().join("records/facts-head.json")).unwrap()),
        ("history-newer", |here| here.change(HISTORY, "\"format\":1", "\"format\":2")),
    ];
    for (rule, spoil) in cases {
        let here = Copy::sound();
        write_history(here.path(), TODAY);
        spoil(&here);
        here.change("facts.toml", "value = \"200 feet\"", "value = \"300 feet\"");
        here.run("restate --save");
        let before = here.files();
        let (told, _) = here.run("proofread --no-layout");
        assert!(told.contains(&format!("Rule           {rule}")) && told.contains("Mend"), "{rule}: {told}");
        assert!(!told.contains("change-unsourced"), "{rule}: {told}");
        let (told, _) = here.run("make --pieces handouts");
        assert!(told.contains("In all: made 2"), "{rule}: {told}");
        assert_eq!(here.files(), before, "{rule}");
        let (told, _) = here.run("backing camp-distance");
        assert!(told.contains("Its history is broken"), "{rule}: {told}");
    }
}

/// What changes together with its source or its day was looked up; what changes by itself is asked about.
#[test]
fn a_value_that_changed_by_itself_is_asked_about_until_it_is_answered() {
    let told = |here: &Copy| here.run("proofread --no-layout").0.contains("change-unsourced");
    let here = Copy::sound();
    assert!(!told(&here), "nothing is known of it yet");
    write_history(here.path(), TODAY);
    assert!(!told(&here));
    here.change("facts.toml", "value = \"200 feet\"", "value = \"200 ft\"");
    assert!(!told(&here), "the same in another writing");
    here.change("facts.toml", "value = \"200 ft\"", "value = \"300 ft\"");
    assert!(told(&here));
    write_history(here.path(), TODAY);
    assert!(told(&here), "that it was printed is no answer");

    // restate asks before it saves
    let (said, code) = here.run("restate --save");
    let (asks, saves) = (said.find("Was it looked up again?").unwrap(), said.find("restated in").unwrap());
    assert!(asks < saves && code == 0, "{said}");

    let slip = here.text("facts.toml");
    here.change("facts.toml", "5.1\"\nas-of = 2026-03-01", "5.1\"\nas-of = 2026-09-30");
    assert!(!told(&here), "it was looked up again");
    write(here.path(), "facts.toml", slip);
    here.change("facts.toml", "value = \"300 ft\"", "value = \"200 feet\"");
    assert!(!told(&here), "the slip was put right");
}

/// The links that leave their words to a fact print what it is by themselves: they are written in where it has changed
/// since the last making, and stay as they are where it has not.
#[test]
fn open_links_of_facts_that_did_not_change_stay_open() {
    let open = |fact: &str| format!("[…](fact:{fact})");
    let begin = || {
        let here = Copy::sound();
        let name = here.text("program.toml");
        let first = name.split("lesson = \"").nth(1).unwrap().split('"').next().unwrap().to_owned();
        let file = format!("lessons/{first}.md");
        let text = here.text(&file);
        let (lead, water) = (open("lead-length"), open("camp-distance"));
        write(
            here.path(),
            &file,
            format!("{text}\nTie with {lead} of lead rope. Camp {water} from water.\n"),
        );
        (here, file)
    };
    let (here, file) = begin();
    here.run("restate --save");
    assert!(!here.text(&file).contains("[…]"), "without a history all are written in");

    let (here, file) = begin();
    write_history(here.path(), TODAY);
    let (told, code) = here.run("restate --save");
    assert!(here.text(&file).contains(&open("lead-length")), "{told}");
    assert!(told.contains("3 links stay open") && code == 0, "{told}");
    here.change("facts.toml", "value = \"200 feet\"", "value = \"300 feet\"");
    let (told, _) = here.run("restate --save");
    let text = here.text(&file);
    assert!(text.contains(&open("lead-length")) && !text.contains(&open("camp-distance")), "{told}\n{text}");
    assert!(text.contains("300 feet](fact:camp-distance)"), "{text}");
    here.run("restate --save --fill");
    assert!(!here.text(&file).contains("[…]"), "all, where that is asked for");
}

#[test]
fn the_last_restate_is_taken_back_byte_for_byte() {
    let here = Copy::sound();
    let (told, code) = here.run("restate --undo");
    assert!(told.starts_with("There is nothing to undo") && code == 0, "{told}");
    let text = here.text("lessons/camps.md");
    write(here.path(), "lessons/camps.md", format!("\u{feff}{text}").replace('\n', "\r\n"));
    here.change("facts.toml", "value = \"200 feet\"", "value = \"300 feet\"");
    here.change("facts.toml", "value = \"6 ft\"", "value = \"8 ft\"");
    let own = |here: &Copy| {
        let files = here.files().into_iter();
        files.filter(|(path, _)| !path.starts_with(here.path().join("records"))).collect::<BTreeMap<_, _>>()
    };
    let before = own(&here);
    here.run("restate --save");
    let after = own(&here);
    let changed = before.iter().filter(|(path, bytes)| after[*path] != **bytes).count();
    assert!(changed > 1, "several files are changed: {changed}");
    // Also where the program cannot be read any more.
    write(here.path(), "questions.toml", "[[");
    let broken = own(&here);
    let (told, code) = here.run("restate --undo");
    assert!(told.contains(&format!("taken back in {changed} files.")) && code == 0, "{told}");
    let mut expected = before.clone();
    expected.insert(here.path().join("questions.toml"), broken[&here.path().join("questions.toml")].clone());
    assert_eq!(own(&here), expected);
    assert!(here.run("restate --undo").0.starts_with("There is nothing to undo"));
}

#[test]
fn a_file_that_was_edited_since_is_told_and_left_alone() {
    let here = Copy::sound();
    here.change("facts.toml", "value = \"200 feet\"", "value = \"300 feet\"");
    here.change("facts.toml", "value = \"6 ft\"", "value = \"8 ft\"");
    let before = here.files();
    here.run("restate --save");
    let after = here.files();
    let changed: Vec<&PathBuf> = before.keys().filter(|path| after[*path] != before[*path]).collect();
    assert!(changed.len() > 1, "{changed:?}");
    let mine = [&after[changed[0]][..], b"\nMine.\n"].concat();
    fs::write(changed[0], &mine).unwrap();
    let (told, code) = here.run("restate --undo");
    let name = changed[0].strip_prefix(here.path()).unwrap().display().to_string();
    assert!(told.contains(&format!("{name}: not changed")) && code == 1, "{told}");
    assert_eq!(fs::read(changed[0]).unwrap(), mine);
    for path in &changed[1..] {
        assert_eq!(fs::read(path).unwrap(), before[*path], "{}", path.display());
    }
}

/// What making the demo writes down of its facts stands in its folder, so that making it leaves that as it is. With
/// `PACKSTRING_ACCEPT=1` it is written anew.
#[test]
fn demo_history_is_in_step_with_the_facts() {
    let demo = root().join("content");
    let made = tempfile::tempdir().unwrap();
    copy(&demo, made.path());
    let files = [HISTORY, "records/facts-head.json"];
    files.iter().for_each(|file| drop(fs::remove_file(made.path().join(file))));
    write_history(made.path(), jiff::civil::date(2026, 3, 2));
    for file in files {
        let bytes = fs::read(made.path().join(file)).unwrap();
        if std::env::var_os("PACKSTRING_ACCEPT").is_some() {
            fs::write(demo.join(file), &bytes).unwrap();
        }
        let same = fs::read(demo.join(file)).is_ok_and(|kept| kept == bytes);
        assert!(same, "content/{file} is out of step with the facts file: write it anew");
    }
}
