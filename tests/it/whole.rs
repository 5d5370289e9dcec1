//! The whole of packstring, run as a user runs it: arguments in, files and exit code out.

use crate::folders::copy;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::time::Duration;

pub fn repository() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn packstring(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_packstring"))
        .current_dir(repository())
        .args(arguments)
        .output()
        .expect("the binary was built for this test")
}

fn said(output: &Output) -> String {
    format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr))
}

/// Makes the demo into `out` and expects nothing to report.
pub fn make_demo(out: &Path, more: &[&str]) -> String {
    let mut arguments = vec!["make", "--program", "content", "--into", out.to_str().unwrap()];
    arguments.extend(more);
    let output = packstring(&arguments);
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    said(&output)
}

/// Every file below `folder` by its relative path.
pub fn files(folder: &Path) -> BTreeMap<String, PathBuf> {
    walkdir::WalkDir::new(folder)
        .into_iter()
        .map(|entry| entry.expect("the folder can be read").into_path())
        .filter(|path| path.is_file())
        .map(|path| {
            let name = path.strip_prefix(folder).unwrap().to_string_lossy().replace('\\', "/");
            (name, path)
        })
        .collect()
}

/// What stands in `output-sample/` of all that the demo gives: enough to judge by, under 4 MB.
const SAMPLE: [&str; 19] = [
    "made.json",
    "open/handbook.pdf",
    "open/deck.pdf",
    "open/leaflet.pdf",
    "open/kit-sheets.pdf",
    "open/wall-chart.pdf",
    "open/question-sheet.pdf",
    "open/season-summary.pdf",
    "open/site/index.html",
    "open/site/facts.html",
    "open/site/site.css",
    "open/site/lessons/hot-ground-and-cold.html",
    "open/handouts/ropes-and-hitching.pdf",
    "open/es-us/handouts/ropes-and-hitching.pdf",
    "open/es-us/leaflet.pdf",
    "staff/answer-key.pdf",
    "staff/presenters-copy/evening-online.pdf",
    "staff/bring-list.pdf",
    "private/made.json",
];
const SAMPLE_FOLDERS: [&str; 5] = [
    "open/kit-sheets/",
    "open/site/drawings/",
    "open/site/pictures/",
    "staff/run-sheets/",
    "private/certificates/",
];

fn is_sample(path: &str) -> bool {
    let folder =
        SAMPLE_FOLDERS.iter().any(|folder| path.strip_prefix(folder).is_some_and(|rest| !rest.contains('/')));
    SAMPLE.contains(&path) || folder
}

#[test]
fn output_sample_is_what_the_demo_gives() {
    let out = tempfile::tempdir().unwrap();
    make_demo(out.path(), &[]);
    let made: BTreeMap<String, PathBuf> =
        files(out.path()).into_iter().filter(|(name, _)| is_sample(name)).collect();
    let sample = repository().join("output-sample");
    if std::env::var_os("PACKSTRING_ACCEPT").is_some() {
        let _ = fs::remove_dir_all(&sample);
        for (name, path) in &made {
            fs::create_dir_all(sample.join(name).parent().unwrap()).unwrap();
            fs::copy(path, sample.join(name)).unwrap();
        }
    }
    let kept = files(&sample);
    for name in SAMPLE {
        assert!(kept.contains_key(name), "output-sample/{name} is not there");
    }
    assert_eq!(kept.keys().collect::<Vec<_>>(), made.keys().collect::<Vec<_>>());
    for (name, path) in &kept {
        assert!(
            fs::read(path).unwrap() == fs::read(&made[name]).unwrap(),
            "output-sample/{name} is out of step"
        );
    }
    let size: u64 = kept.values().map(|path| path.metadata().unwrap().len()).sum();
    assert!(size < 4_000_000, "the sample has {size} bytes");
}

#[test]
fn a_second_making_keeps_everything_and_a_changed_word_remakes_only_what_carries_it() {
    let folder = tempfile::tempdir().unwrap();
    let program = folder.path().join("program");
    copy(&repository().join("content"), &program);
    let make = || {
        let output = packstring(&["make", "--program", program.to_str().unwrap()]);
        assert_eq!(output.status.code(), Some(0), "{}", said(&output));
        said(&output)
    };
    make();
    let first = contents(&program.join("out"));
    assert!(first.contains_key("made.json") && first.contains_key("private/made.json"));
    let again = make();
    assert!(again.contains("In all: made 0, kept "), "{again}");
    assert!(contents(&program.join("out")) == first, "the same input gave other bytes");

    let lesson = program.join("lessons/wildlife.md");
    let text = fs::read_to_string(&lesson).unwrap();
    let end = text.find('.').expect("the opening has a stop");
    fs::write(&lesson, format!("{}, friend{}", &text[..end], &text[end..])).unwrap();
    make();
    let changed: Vec<String> = contents(&program.join("out"))
        .into_iter()
        .filter(|(name, bytes)| first.get(name) != Some(bytes))
        .map(|(name, _)| name)
        .collect();
    assert!(changed.iter().any(|name| name == "open/site/lessons/wildlife.html"), "{changed:?}");
    assert!(
        !changed
            .iter()
            .any(|name| name.contains("certificates") || name.contains("kit") || name.contains("run-sheet")),
        "{changed:?}"
    );
}

#[test]
fn a_kill_at_any_moment_leaves_every_file_whole() {
    let out = tempfile::tempdir().unwrap();
    make_demo(out.path(), &[]);
    let whole = contents(out.path());
    // Black ink changes the sheets, so that both sets are written over one another, back and forth.
    let black = tempfile::tempdir().unwrap();
    make_demo(black.path(), &["--ink", "black"]);
    let whole_black = contents(black.path());

    for round in 0..12u64 {
        let ink = if round % 2 == 0 { "black" } else { "color" };
        let mut child = Command::new(env!("CARGO_BIN_EXE_packstring"))
            .current_dir(repository())
            .args(["make", "--program", "content", "--ink", ink, "--into"])
            .arg(out.path())
            .stdout(std::process::Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(Duration::from_millis(150 + 230 * round));
        let _ = child.kill();
        child.wait().unwrap();
        for (name, bytes) in contents(out.path()) {
            if name.ends_with("made.json") {
                serde_json::from_slice::<serde_json::Value>(&bytes).expect("the record is whole");
            } else {
                let known = whole.get(&name) == Some(&bytes) || whole_black.get(&name) == Some(&bytes);
                assert!(known, "{name} is neither the old file nor the new one after round {round}");
            }
        }
    }
    make_demo(out.path(), &[]);
    let mended: Vec<String> = contents(out.path())
        .into_iter()
        .filter(|(name, bytes)| whole.get(name) != Some(bytes))
        .map(|(name, _)| name)
        .collect();
    assert!(mended.is_empty(), "not the same as an undisturbed making: {mended:?}");
}

#[test]
fn a_safety_fact_that_is_off_stops_the_press() {
    let folder = tempfile::tempdir().unwrap();
    let program = folder.path().join("program");
    copy(&repository().join("content"), &program);
    let facts = fs::read_to_string(program.join("facts.toml")).unwrap();
    let safety = facts.find("safety = true").expect("the demo has safety facts");
    let review = facts[..safety].rfind("review-by = ").expect("each has a review date");
    let end = review + facts[review..].find('\n').unwrap();
    fs::write(
        program.join("facts.toml"),
        format!("{}review-by = 2020-01-01{}", &facts[..review], &facts[end..]),
    )
    .unwrap();
    let output = packstring(&["make", "--program", program.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(1), "{}", said(&output));
    assert!(
        said(&output).contains("fact-overdue") && said(&output).contains("Nothing was made"),
        "{}",
        said(&output)
    );
    assert!(!program.join("out").exists(), "something was written");
}

#[test]
fn an_unreadable_program_writes_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let program = folder.path().join("program");
    copy(&repository().join("content"), &program);
    let settings = fs::read_to_string(program.join("program.toml")).unwrap();
    fs::write(program.join("program.toml"), settings.replacen("minutes", "minuts", 1)).unwrap();
    let output = packstring(&["make", "--program", program.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(2), "{}", said(&output));
    assert!(said(&output).contains("minuts") && said(&output).contains("minutes"), "{}", said(&output));
    assert!(!program.join("out").exists(), "something was written");
}

#[test]
fn what_is_not_there_is_told_and_is_exit_code_two() {
    for (arguments, word) in [
        (&["make", "--program", "no-such-folder"][..], "no-such-folder"),
        (&["make", "--program", "content", "--event", "nowhere"], "nowhere"),
        (&["make", "--program", "content", "--participant", "Nobody Atall"], "Nobody Atall"),
        (&["make", "--program", "content", "--pieces", "handbok"], "handbook"),
        (&["backing", "--program", "content", "no-such-fact"], "no-such-fact"),
        (&["make", "--program", "content", "--event", "north-cam"], "Did you mean “north-camp”?"),
        (&["make", "--program", "README.md"], "is a file, not a program folder"),
        (&["make", "--program", "content/lessons"], "there is no program.toml in it"),
        (&["make", "--program", "content", "--into", "README.md"], "Could not make the folder README.md"),
        (&["make", "--program", "content", "--into", ""], "--into needs something after it"),
        (&["proofread", "--program", "content", "--as", "xml"], "text, json, sarif"),
        (&["figures", "no-such-file.md"], "no-such-file.md"),
        (&["figures", "content"], "content: it is a folder"),
        (&["figures", "content/none.md", "output-sample/open/deck.pdf"], "deck.pdf: it is not UTF-8 text"),
        (&["begin", "README.md/below"], "a file stands where a folder must be"),
        (&["begin", "content"], "content"),
        (&["burn"], "burn"),
    ] {
        let output = packstring(arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        let said = said(&output);
        assert!(said.contains(word), "{arguments:?}: {said}");
        assert!(!said.contains("os error") && !said.contains("error:"), "{arguments:?}: {said}");
    }
}

#[test]
fn a_program_may_be_named_by_its_settings_file() {
    let output = packstring(&["backing", "--program", "content/program.toml", "--due"]);
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
}

fn contents(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    files(folder)
        .into_iter()
        .filter(|(name, _)| !name.starts_with(".making/"))
        .map(|(name, path)| (name, fs::read(path).unwrap()))
        .collect()
}

/// The text that a reader could take from a file: of a PDF what its pages show and its title says.
pub fn text_of(path: &Path) -> String {
    let bytes = fs::read(path).unwrap();
    if !bytes.starts_with(b"%PDF") {
        return String::from_utf8_lossy(&bytes).into_owned();
    }
    let document = lopdf::Document::load_mem(&bytes).expect("a PDF that can be read");
    let pages: Vec<u32> = document.get_pages().keys().copied().collect();
    document.extract_text(&pages).expect("text that can be read")
}
