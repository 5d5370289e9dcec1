//! Files that are hostile or huge: each folder under `tests/it/huge/` is a case, and its `expected.txt` says what
//! `packstring make` tells of it, or `packstring proofread` (`is_read`). None may break packstring down, and none may cost more than is stated in
//! `docs/limits.md`.
//!
//! `case.toml` says what lies in the program's folder beside or instead of the files of the sound program: texts of
//! pieces that are repeated (`%n` is the number of the repetition, from 0, and `%m` one more), archives of such texts,
//! and PNG files of any measure. With `PACKSTRING_ACCEPT=1` the expected texts are written anew: read them before you
//! keep them.
//!
//! The cases are ours. That workbooks, pictures and templates can be made so is common knowledge, no source.

use crate::folders::{copy, write};
use flate2::Compression;
use flate2::write::ZlibEncoder;
use packstring::limits;
use serde::Deserialize;
use std::fs;
use std::io::{Cursor, Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    /// What it is, in a sentence.
    #[serde(rename = "about")]
    _about: String,
    #[serde(default)]
    remove: Vec<String>,
    /// Whether it is about what proofreading finds, and not about what is made.
    #[serde(default)]
    is_read: bool,
    /// How many seconds one file may take to make.
    #[serde(default = "longest")]
    longest: u64,
    /// What it may cost.
    #[serde(default = "megabytes")]
    megabytes: u64,
    #[serde(default)]
    file: Vec<File>,
}

fn longest() -> u64 {
    60
}

/// What any hostile file may cost of memory.
fn megabytes() -> u64 {
    500
}

/// What any hostile file may cost of a processor's time, in seconds. It is two where packstring is compiled as it is
/// handed out and the machine has nothing else to do; the tests also run where neither holds.
const MOST_SECONDS: f64 = 15.0;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    path: String,
    #[serde(default)]
    text: Vec<Words>,
    /// Each letter is one byte.
    #[serde(default)]
    latin: bool,
    #[serde(default)]
    part: Vec<Part>,
    png: Option<Png>,
    hex: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Words {
    words: String,
    times: Option<usize>,
}

/// A file within an archive.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Part {
    name: String,
    text: Vec<Words>,
}

/// A PNG with nothing but its heading, one chunk and too few dots.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Png {
    width: u32,
    height: u32,
    #[serde(default = "eight")]
    depth: u8,
    #[serde(default)]
    kind: u8,
    chunk: Option<String>,
    #[serde(default)]
    packed: u64,
}

fn eight() -> u8 {
    8
}

fn said(text: &[Words]) -> String {
    let mut said = String::new();
    for Words { words, times } in text {
        match times {
            None => said.push_str(words),
            Some(times) if !words.contains('%') => said.push_str(&words.repeat(*times)),
            Some(times) => (0..*times).for_each(|at| {
                said.push_str(&words.replace("%n", &at.to_string()).replace("%m", &(at + 1).to_string()));
            }),
        }
    }
    said
}

impl File {
    fn bytes(&self) -> Vec<u8> {
        if let Some(png) = &self.png {
            return png.bytes();
        }
        if let Some(hex) = &self.hex {
            let digits = |at: usize| u8::from_str_radix(&hex[at..at + 2], 16).unwrap();
            return (0..hex.len()).step_by(2).map(digits).collect();
        }
        if self.part.is_empty() {
            let text = said(&self.text);
            return if self.latin {
                text.chars().map(|it| u8::try_from(it).unwrap()).collect()
            } else {
                text.into()
            };
        }
        let mut archive = zip::ZipWriter::new(Cursor::new(Vec::new()));
        for part in &self.part {
            archive.start_file(&*part.name, zip::write::SimpleFileOptions::default()).unwrap();
            archive.write_all(said(&part.text).as_bytes()).unwrap();
        }
        archive.finish().unwrap().into_inner()
    }
}

impl Png {
    fn bytes(&self) -> Vec<u8> {
        let mut png = b"\x89PNG\r\n\x1a\n".to_vec();
        let mut chunk = |name: &[u8], data: &[u8]| {
            png.extend(u32::try_from(data.len()).unwrap().to_be_bytes());
            png.extend(name);
            png.extend(data);
            png.extend(sum(&[name, data].concat()).to_be_bytes());
        };
        let measures = [self.width.to_be_bytes(), self.height.to_be_bytes()].concat();
        chunk(b"IHDR", &[&measures[..], &[self.depth, self.kind, 0, 0, 0]].concat());
        if let Some(name) = &self.chunk {
            chunk(name.as_bytes(), &[b"a\0\0", &packed(self.packed)[..]].concat());
        }
        chunk(b"IDAT", &packed(1000));
        chunk(b"IEND", b"");
        png
    }
}

fn packed(length: u64) -> Vec<u8> {
    let mut packer = ZlibEncoder::new(Vec::new(), Compression::best());
    std::io::copy(&mut std::io::repeat(0).take(length), &mut packer).unwrap();
    packer.finish().unwrap()
}

/// The sum that checks a chunk (PNG specification, third edition, annex D).
fn sum(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |sum, byte| {
        (0..8).fold(sum ^ u32::from(*byte), |sum, _| (sum >> 1) ^ if sum & 1 == 1 { 0xedb8_8320 } else { 0 })
    })
}

/// What a process has cost so far, as the system counts: megabytes of memory at the most, seconds of processors.
fn costs(child: &Child) -> Option<(u64, f64)> {
    let of = |file: &str| fs::read_to_string(format!("/proc/{}/{file}", child.id())).ok();
    let status = of("status")?;
    let most = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    let kilobytes: u64 = most.trim().trim_end_matches(" kB").parse().ok()?;
    let times = of("stat")?;
    let mut times = times.rsplit_once(')')?.1.split_whitespace().skip(11);
    // A tick is a hundredth of a second on every Linux that there is.
    let ticks = times.next()?.parse::<f64>().ok()? + times.next()?.parse::<f64>().ok()?;
    Some((kilobytes / 1024, ticks / 100.0))
}

/// What a case is told of, and what that cost.
fn run(case: &Case, folder: &Path) -> (String, (u64, f64)) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_packstring"));
    let told = folder.join("told");
    let output = fs::File::create(&told).unwrap();
    if case.is_read {
        child.args(["proofread", "--no-layout"]);
    } else {
        child.arg("make").arg("--into").arg(folder.join("out"));
    }
    child.arg("--program").arg(folder.join("program"));
    child.env("PACKSTRING_SECONDS", case.longest.to_string()).env("RUST_BACKTRACE", "0");
    child.env("PACKSTRING_KEYS", folder.join("keys")).stdin(Stdio::null());
    child.stdout(output.try_clone().unwrap()).stderr(output);
    let mut child = child.spawn().unwrap();
    let (mut most, begun) = ((0, 0.0), Instant::now());
    let status = loop {
        if let Some((memory, seconds)) = costs(&child) {
            most = (most.0.max(memory), f64::max(most.1, seconds));
        }
        if let Some(status) = child.try_wait().unwrap() {
            break status;
        }
        if begun.elapsed() > Duration::from_secs(300) || most.0 > 6000 {
            child.kill().unwrap();
        }
        std::thread::sleep(Duration::from_millis(5));
    };
    let code = status.code().map_or_else(|| "ended by the system".to_owned(), |code| code.to_string());
    let told = String::from_utf8_lossy(&fs::read(told).unwrap()).replace(&*folder.to_string_lossy(), "…");
    (format!("exit {code}\n\n{}", in_short(&told)), most)
}

/// Without how many files of each piece were made, which no case is about, and without the ends of long lines.
fn in_short(told: &str) -> String {
    const LONGEST: usize = 300;
    let is_count = |line: &str| {
        line.split_once(": ").is_some_and(|(_, what)| {
            what.ends_with('.') && (what.starts_with("made ") || what.starts_with("kept "))
        })
    };
    let short = |line: &str| match line.char_indices().nth(LONGEST) {
        Some((at, _)) => format!("{}…", &line[..at]),
        None => line.to_owned(),
    };
    told.lines().filter(|line| !is_count(line)).map(|line| short(line) + "\n").collect()
}

/// The sound program, at a time that is past for everybody, with what the case lays over it.
fn lay_out(case: &Case, program: &Path) {
    copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/mistakes/sound"), program);
    let settings = fs::read_to_string(program.join("program.toml")).unwrap().replace("2026", "2020");
    write(program, "program.toml", settings);
    case.remove.iter().for_each(|name| fs::remove_file(program.join(name)).unwrap());
    case.file.iter().for_each(|file| write(program, &file.path, file.bytes()));
}

fn cases() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/it/huge");
    let mut cases: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    cases.sort();
    cases
}

/// `PACKSTRING_CASE` names the one case that is run.
#[test]
fn what_is_hostile_or_huge_is_told_and_costs_little() {
    let accept = std::env::var_os("PACKSTRING_ACCEPT").is_some();
    let only = std::env::var("PACKSTRING_CASE").ok();
    let mut wrong = String::new();
    let mut count = 0;
    for folder in cases() {
        let name = folder.file_name().unwrap().to_string_lossy().into_owned();
        if only.as_ref().is_some_and(|only| *only != name) {
            continue;
        }
        count += 1;
        let text = fs::read_to_string(folder.join("case.toml")).unwrap();
        let case: Case = toml::from_str(&text).unwrap_or_else(|error| panic!("{name}: {error}"));
        let place = tempfile::tempdir().unwrap();
        lay_out(&case, &place.path().join("program"));
        let (told, (memory, seconds)) = run(&case, place.path());
        let expected = folder.join("expected.txt");
        if accept {
            fs::write(&expected, &told).unwrap();
        } else if fs::read_to_string(&expected).unwrap_or_default() != told {
            wrong += &format!("== {name} is told otherwise than expected:\n{told}\n");
        }
        if told.contains("panicked at") || told.contains("overflowed") || told.starts_with("exit ended") {
            wrong += &format!("== {name} breaks packstring down:\n{told}\n");
        }
        if memory > case.megabytes || seconds > MOST_SECONDS {
            wrong += &format!("== {name} costs {memory} MB and {seconds} s\n");
        }
        let out = place.path().join("out/open");
        for file in walkdir::WalkDir::new(out).into_iter().flatten().filter(|it| it.file_type().is_file()) {
            let bytes = fs::read(file.path()).unwrap();
            let text = String::from_utf8_lossy(&bytes).to_lowercase();
            for mark in ["alert(1)", "javascript:", "basin.example"] {
                // In a page, what stands in the lesson as words is shown as words.
                let is_run = text.contains(mark) && file.path().extension().is_some_and(|it| it == "svg");
                if is_run {
                    wrong += &format!("== {name} puts “{mark}” into {}\n", file.path().display());
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
    assert!(only.is_some() || count > 60, "only {count} cases were found");
}

#[test]
fn the_page_of_limits_has_every_limit() {
    let page = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/limits.md")).unwrap();
    let of_quantity = [
        ("MOST_PARTS", packstring::quantity::MOST_PARTS as u64),
        ("MOST_BITS", packstring::quantity::MOST_BITS),
    ];
    let mut numbers: Vec<String> = page
        .lines()
        .filter_map(|line| {
            line.strip_prefix("| ")?.split(" | ").nth(1).map(|it| it.trim_end_matches(" |").replace(',', ""))
        })
        .collect();
    for (name, value) in limits::ALL.iter().chain(&of_quantity) {
        let at = numbers.iter().position(|number| *number == value.to_string());
        numbers.remove(at.unwrap_or_else(|| panic!("docs/limits.md has no row for {name}, {value}")));
    }
    numbers.retain(|number| number.parse::<u64>().is_ok());
    assert!(numbers.is_empty(), "docs/limits.md has rows for no limit: {numbers:?}");
}
