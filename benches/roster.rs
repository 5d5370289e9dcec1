//! `cargo bench --bench roster`: reads and checks a roster of 200,000 rows, beside the `csv` crate alone on
//! the same file in the same run. `-- 50000` takes as many rows. Fails where it takes two seconds or more,
//! or 300 MB.
//!
//! Checked is all that proofreading asks of the rows; laying out is not part of it.

// What a bench measures is for its reader.
#![allow(clippy::print_stdout)]

use jiff::civil::date;
use packstring::people::scoring::Scores;
use packstring::program::open;
use packstring::proof::proofread;
use packstring::understand::Understood;
use std::fmt::Write;
use std::fs;
use std::path::Path;
use std::process::ExitCode;
use std::time::{Duration, Instant};

const ROWS: usize = 200_000;
const LONGEST: Duration = Duration::from_secs(2);
const MOST_MEGABYTES: u64 = 300;

/// The program without its people.
const PROGRAM: &str = "tests/proof/sound";
const EVENT: &str = "spring";

fn main() -> ExitCode {
    let rows = std::env::args().skip(1).find_map(|argument| argument.parse().ok()).unwrap_or(ROWS);
    let folder = tempfile::tempdir().unwrap();
    copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join(PROGRAM), folder.path());
    let file = folder.path().join("people/roster.csv");
    fs::write(&file, roster(rows)).unwrap();
    let megabytes = fs::metadata(&file).unwrap().len() as f64 / 1e6;

    let start = Clock::start();
    let cells: usize = csv::Reader::from_path(&file).unwrap().records().map(|row| row.unwrap().len()).sum();
    let alone = start.elapsed();
    assert_eq!(cells, rows * 14);

    let before = peak_megabytes();
    let start = Clock::start();
    let program = open(folder.path()).unwrap_or_else(|unread| panic!("{:?}", unread.mistakes));
    let read = start.elapsed();
    assert_eq!(program.people.roster.rows.len(), rows);
    let understood = Understood::new(&program);
    let findings = proofread(&understood, &Scores::of(&understood), date(2026, 11, 2));
    let whole = start.elapsed();
    let peak = peak_megabytes();

    println!("{rows} rows, {megabytes:.1} MB, {} findings", findings.len());
    for (what, took) in [("csv crate alone", alone), ("read", read), ("read and checked", whole)] {
        println!(
            "{what:>17}: {:>6.0} ms, {:>4.0} MB/s, {:>9.0} rows/s, {:.1} times the csv crate",
            took.as_secs_f64() * 1000.0,
            megabytes / took.as_secs_f64(),
            rows as f64 / took.as_secs_f64(),
            took.as_secs_f64() / alone.as_secs_f64()
        );
    }
    println!("{:>17}: {peak} MB at most ({before} MB before)", "memory");
    match rows == ROWS && (whole >= LONGEST || peak >= MOST_MEGABYTES) {
        true => ExitCode::FAILURE,
        false => ExitCode::SUCCESS,
    }
}

/// Rows of all fields, some with accents, some with a comma in quotation marks; names come again.
fn roster(rows: usize) -> String {
    let given = ["Ana", "Ben", "Cléo", "Dana", "Ève", "Finn", "Gus", "Hana", "Ines", "Jon", "Lía", "Otis"];
    let family = ["Ruiz", "Ode", "Vell", "Whitlock", "Peñaloza", "Nováková", "Fairweather"];
    let mut text = String::from(
        "event,name,companion,attended,passed,email,street,town,state,postcode,country,size,join,note\n",
    );
    for row in 0..rows {
        let (given, family) = (given[row * 7 % given.len()], family[row * 5 % family.len()]);
        writeln!(
            text,
            "{EVENT},{given} {family}-{},Pepper {},yes,{},rider.{row}@mail.example,{} Mill Road,Dry Fork,NV,89{:03},US,M,{},\"came, and note {row}\"",
            family,
            row % 50,
            if row % 3 == 0 { "no" } else { "yes" },
            row % 999 + 1,
            row % 1000,
            if row % 5 == 0 { "yes" } else { "" },
        )
        .unwrap();
    }
    text
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        match entry.file_type().unwrap().is_dir() {
            true => copy(&entry.path(), &target),
            false => drop(fs::copy(entry.path(), target).unwrap()),
        }
    }
}

/// The time that this thread was on a core, so that other programs of the machine do not count; the time
/// that passed where the system does not tell.
struct Clock {
    passed: Instant,
    on_core: Option<Duration>,
}

impl Clock {
    fn start() -> Self {
        Self { passed: Instant::now(), on_core: on_core() }
    }

    fn elapsed(&self) -> Duration {
        match (self.on_core, on_core()) {
            (Some(start), Some(now)) => now - start,
            _ => self.passed.elapsed(),
        }
    }
}

fn on_core() -> Option<Duration> {
    let told = fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    Some(Duration::from_nanos(told.split_whitespace().next()?.parse().ok()?))
}

/// The most memory that this process ever held; 0 where the system does not tell.
fn peak_megabytes() -> u64 {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.and_then(|line| line.split_whitespace().next()?.parse::<u64>().ok()).map_or(0, |kb| kb / 1024)
}
