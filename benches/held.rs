//! `cargo bench --bench held`: a program that is held open, after one changed word in a lesson: how long until what is
//! wrong is known, and until the pages of the lesson's handout are drawn; each beside a process that opens the same
//! folder anew, taking turns with it. Fails where a session that is held takes more than its share of the time.

// What a bench measures is for its reader.
#![allow(clippy::print_stdout)]

use jiff::civil::date;
use packstring::job::Piece;
use packstring::pieces::Selection;
use packstring::session::{Environment, Session};
use std::fs;
use std::path::Path;
use std::process::{Command, ExitCode};
use std::time::{Duration, Instant};

const LESSON: &str = "lessons/water-and-heat.md";
const HANDOUT: &str = "handouts/water-and-heat.pdf";
const ROUNDS: usize = 11;

/// The greatest share of a new process's time that findings and a handout's pages may take.
const MOST: [f64; 2] = [0.6, 0.5];

/// Names the folder in the environment of a process that opens it anew.
const ANEW: &str = "PACKSTRING_BENCH_ANEW";

fn main() -> ExitCode {
    if let Some(folder) = std::env::var_os(ANEW) {
        let environment = environment(Path::new(&folder));
        let start = Instant::now();
        let session = open(Path::new(&folder), &environment);
        let opened = start.elapsed();
        let [known, shown] = times(&session);
        println!("{} {}", (opened + known).as_micros(), shown.as_micros());
        return ExitCode::SUCCESS;
    }
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("content"), folder);
    let environment = environment(folder);
    let mut held = open(folder, &environment);
    times(&held);
    let lesson = folder.join(LESSON);
    let text = fs::read_to_string(&lesson).unwrap();
    let mut took: [[Vec<Duration>; 2]; 2] = Default::default();
    for round in 0..ROUNDS {
        fs::write(&lesson, text.replace("Mules are", &format!("Mule {round} and the others are"))).unwrap();
        let start = Instant::now();
        held.refresh().unwrap();
        let refreshed = start.elapsed();
        let [known, shown] = times(&held);
        took[0][0].push(refreshed + known);
        took[1][0].push(shown);
        let anew = Command::new(std::env::current_exe().unwrap()).env(ANEW, folder).output().unwrap();
        let said = String::from_utf8(anew.stdout).unwrap();
        let each = said.split_whitespace().map(|micros| Duration::from_micros(micros.parse().unwrap()));
        took.iter_mut().zip(each).for_each(|(took, it)| took[1].push(it));
    }
    let mut missed = false;
    for ((what, took), most) in ["findings", "pages of the handout"].into_iter().zip(took).zip(MOST) {
        let [held, anew] = took.map(median);
        let share = held.as_secs_f64() / anew.as_secs_f64();
        println!("{what}: held {held:.1?}, a new process {anew:.1?}, share {share:.2} (at most {most})");
        missed |= share > most;
    }
    if missed { ExitCode::FAILURE } else { ExitCode::SUCCESS }
}

fn environment(folder: &Path) -> Environment {
    Environment { today: date(2026, 11, 2), folder: folder.into(), terminal: false, keys: None }
}

fn open<'e>(folder: &Path, environment: &'e Environment) -> Session<'e> {
    Session::open(Some(folder), Some(&folder.join("held-out")), environment).unwrap().held(1 << 30)
}

/// How long until findings are known, and then until the handout's pages are drawn.
fn times(session: &Session) -> [Duration; 2] {
    let start = Instant::now();
    let known = session.know();
    let knew = start.elapsed();
    let start = Instant::now();
    let selection = Selection { pieces: vec![Piece::Handout], ..Selection::default() };
    let shown = session.show(&known, selection, HANDOUT).unwrap();
    assert!(!shown.pages.is_empty(), "{:?}", shown.findings);
    [knew, start.elapsed()]
}

fn median(mut times: Vec<Duration>) -> Duration {
    times.sort();
    times[times.len() / 2]
}

fn copy(from: &Path, to: &Path) {
    let entries = walkdir::WalkDir::new(from).min_depth(1).into_iter();
    for entry in entries.filter_entry(|it| it.file_name() != "out").map(Result::unwrap) {
        let target = to.join(entry.path().strip_prefix(from).unwrap());
        match entry.file_type().is_dir() {
            true => fs::create_dir_all(target).unwrap(),
            false => drop(fs::copy(entry.path(), target).unwrap()),
        }
    }
}
