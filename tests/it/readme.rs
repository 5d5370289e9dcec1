//! The README's pictures: drawn from what `output-sample/` holds now, and from what proofreading says now.

use crate::folders::copy;
use sha2::{Digest, Sha256};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_owned()
}

#[test]
fn pictures_are_drawn_from_the_sample_as_it_is() {
    let list = fs::read_to_string(root().join("docs/pictures/drawn-from.txt")).unwrap();
    let readme = fs::read_to_string(root().join("README.md")).unwrap();
    let mut drawn = 0;
    for line in list.lines() {
        let [hash, picture, from] = line.split("  ").collect::<Vec<_>>()[..] else { panic!("{line}") };
        let bytes = fs::read(root().join("output-sample").join(from)).unwrap();
        let now: String = Sha256::digest(&bytes).iter().map(|byte| format!("{byte:02x}")).collect();
        assert_eq!(now, hash, "{from} has changed: run docs/pictures/make and look at {picture}");
        assert!(readme.contains(&format!("docs/pictures/{picture}")), "the README does not show {picture}");
        let dimensions = imagesize::size(root().join("docs/pictures").join(picture)).unwrap();
        assert!(dimensions.width > 400, "{picture} is too small to tell anything");
        drawn += 1;
    }
    assert_eq!(drawn, 4);
}

/// What proofreading says where a lesson of the demo program says another length than its fact.
fn finding() -> Vec<String> {
    let folder = tempfile::tempdir().unwrap();
    copy(&root().join("content"), folder.path());
    let lesson = folder.path().join("lessons/ropes-and-hitching.md");
    let text = fs::read_to_string(&lesson).unwrap();
    let wrong = text.replace("[at most six feet](fact:lead-length)", "[at most ten feet](fact:lead-length)");
    assert_ne!(text, wrong);
    fs::write(&lesson, wrong).unwrap();
    let done = Command::new(env!("CARGO_BIN_EXE_packstring"))
        .args(["proofread", "--no-layout"])
        .current_dir(folder.path())
        .output()
        .unwrap();
    let said = String::from_utf8(done.stdout).unwrap();
    let of_lesson = said.lines().skip_while(|line| !line.starts_with("lessons/ropes-and-hitching.md:7"));
    let lines: Vec<String> = of_lesson.take_while(|line| !line.is_empty()).map(str::to_owned).collect();
    assert!(lines.iter().any(|line| line.contains("figure-drift")), "{said}");
    ["$ packstring proofread".to_owned(), String::new()].into_iter().chain(lines).collect()
}

/// A line in several, none longer than a terminal is wide.
fn wrapped(line: &str) -> Vec<String> {
    const WIDTH: usize = 92;
    let mut lines = vec![String::new()];
    for word in line.split_inclusive(' ') {
        let is_full = lines.last().is_some_and(|last| last.chars().count() + word.chars().count() > WIDTH);
        if is_full && !lines.last().unwrap().trim().is_empty() {
            lines.push(" ".repeat(17));
        }
        lines.last_mut().unwrap().push_str(word);
    }
    lines
}

/// A terminal with some lines in it, as SVG.
fn terminal(lines: &[String], (paper, ink): (&str, &str)) -> String {
    let lines: Vec<String> = lines.iter().flat_map(|line| wrapped(line)).collect();
    let height = 22 * lines.len() + 30;
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 830 {height}\" width=\"830\" height=\"{height}\">\n\
         <rect width=\"830\" height=\"{height}\" fill=\"{paper}\"/>\n\
         <g font-family=\"ui-monospace, monospace\" font-size=\"14\" fill=\"{ink}\">\n"
    );
    for (at, line) in lines.iter().enumerate() {
        let escaped = line.trim_end().replace('&', "&amp;").replace('<', "&lt;");
        let y = 22 * at + 34;
        svg += &format!("<text x=\"20\" y=\"{y}\" xml:space=\"preserve\">{escaped}</text>\n");
    }
    svg + "</g>\n</svg>\n"
}

#[test]
fn the_finding_in_the_terminal_is_what_proofreading_says() {
    let lines = finding();
    let readme = fs::read_to_string(root().join("README.md")).unwrap();
    for (name, inks) in
        [("finding.svg", ("#f4eddf", "#22262b")), ("finding-dark.svg", ("#17191c", "#efe9dc"))]
    {
        let file = root().join("docs/pictures").join(name);
        let now = terminal(&lines, inks);
        if std::env::var_os("PACKSTRING_ACCEPT").is_some() {
            fs::write(&file, &now).unwrap();
        }
        let kept = fs::read_to_string(&file).unwrap_or_default();
        assert!(kept == now, "docs/pictures/{name} is out of step: set PACKSTRING_ACCEPT=1 and look at it");
        assert!(readme.contains(&format!("docs/pictures/{name}")), "the README does not show {name}");
    }
}
