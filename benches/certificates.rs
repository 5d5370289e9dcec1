//! Runs of certificates, measured against two things in the same run:
//! - a page of the same look written by hand with krilla, untagged, with the same code, on as many threads: the floor;
//! - the typesetter over a plain world of our own, without typst-as-lib: what that costs.
//!
//! Codes hold a few words, or as much as a signed record packed. Then the peak memory of a short run and a long one, each in
//! a process of its own. Ends with 1 where a promised ratio is missed.
//!
//!     cargo bench --bench certificates

// What a bench measures is for its reader.
#![allow(clippy::print_stdout)]

use packstring::job::{Code, Correction, Job, Make, Piece, RunEntry, RunOfSheets, Shelf};
use packstring::press::{Press, Theme};
use serde_json::{Value, json};
use std::path::Path;
use std::process::ExitCode;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

#[path = "certificates/by_hand.rs"]
mod by_hand;
#[path = "certificates/plain_world.rs"]
mod plain_world;

const RUN: usize = 1000;
const ROUNDS: usize = 5;
/// Letters of a signed record packed.
const RECORD: usize = 160;

/// What a run may take of the processors, for one of the page by hand.
const AGAINST_HAND: f64 = 1.3;
/// And for one of a plain world; above it that would do the job.
const AGAINST_PLAIN: f64 = 1.2;

/// What the codes say.
#[derive(Clone, Copy)]
enum Says {
    Words,
    /// As many letters as a signed record packed.
    Record,
}

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().collect();
    if let [_, word, count, ..] = arguments.as_slice()
        && word == "memory"
    {
        memory(count.parse().expect("a number of certificates"));
        return ExitCode::SUCCESS;
    }
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    let mut kept = true;
    for (says, what) in [(Says::Words, "a few words"), (Says::Record, "a signed record")] {
        let job = job(RUN, says);
        let Make::Run(run) = &job.make else { unreachable!() };
        println!(
            "\n{RUN} certificates with {what} in the code, each by itself and all in one, on {threads} threads;"
        );
        println!("medians of {ROUNDS} rounds");
        let (press, hand) = race(
            || packstring(&job, threads, true),
            || in_threads(run, threads, by_hand::single) + by_hand::all(run),
        );
        press.told("packstring");
        hand.told("krilla by hand, untagged");
        kept &= press.against(&hand, AGAINST_HAND);
    }

    println!("\n{RUN} certificates, each by itself, on one thread");
    let job = job(RUN, Says::Words);
    let Make::Run(run) = &job.make else { unreachable!() };
    let (press, plain) = race(|| packstring(&job, 1, false), || plain_world::singles(run));
    press.told("packstring over typst-as-lib");
    plain.told("a plain world");
    kept &= press.against(&plain, AGAINST_PLAIN);

    println!("\npeak memory");
    for count in [500, 4000] {
        let own = std::env::current_exe().expect("this program has a path");
        let output = std::process::Command::new(own).args(["memory", &count.to_string()]).output();
        print!("{}", String::from_utf8_lossy(&output.expect("this program runs").stdout));
    }
    if kept { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// What one contender took: by the clock, and of the processors, which other work on the machine
/// disturbs less.
#[derive(Default)]
struct Times {
    clock: Vec<Duration>,
    processors: Vec<Duration>,
}

impl Times {
    fn take(&mut self, run: &mut dyn FnMut() -> usize) {
        let (start, before) = (Instant::now(), processor_time());
        std::hint::black_box(run());
        self.clock.push(start.elapsed());
        self.processors.push(processor_time() - before);
    }

    fn told(&self, what: &str) {
        let each = |times| median(times).as_secs_f64() * 1000.0 / RUN as f64;
        let (clock, processors) = (each(&self.clock), each(&self.processors));
        println!("{what}: {clock:.2} ms a certificate by the clock, {processors:.2} ms of the processors");
    }

    /// Whether the promise is kept: by the time of the processors, which others on the machine disturb least.
    fn against(&self, other: &Times, promised: f64) -> bool {
        let ratio = |one, other| median(one).as_secs_f64() / median(other).as_secs_f64();
        let clock = ratio(&self.clock, &other.clock);
        let processors = ratio(&self.processors, &other.processors);
        let is_kept = processors <= promised;
        let told = if is_kept { "kept" } else { "MISSED" };
        println!(
            "ratio {clock:.2} by the clock, {processors:.2} of the processors; at most {promised:.2}: {told}"
        );
        is_kept
    }
}

fn median(times: &[Duration]) -> Duration {
    let mut times = times.to_vec();
    times.sort();
    times[times.len() / 2]
}

/// What this process has used of the processors; nothing on systems that do not say it in a file.
fn processor_time() -> Duration {
    let line = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let fields: Vec<&str> = line.rsplit(')').next().unwrap_or_default().split_whitespace().collect();
    let ticks: u64 = [11, 12].iter().filter_map(|&at| fields.get(at)?.parse::<u64>().ok()).sum();
    Duration::from_millis(ticks * 10)
}

/// Runs both in turn, so that what disturbs one disturbs the other.
fn race(mut one: impl FnMut() -> usize, mut other: impl FnMut() -> usize) -> (Times, Times) {
    let (mut ones, mut others) = (Times::default(), Times::default());
    for _ in 0..ROUNDS {
        ones.take(&mut one);
        others.take(&mut other);
    }
    (ones, others)
}

/// The bytes that a fresh press makes of a run.
fn packstring(job: &Job, threads: usize, together: bool) -> usize {
    let press = Press::open(Theme::plain(), Path::new("")).with_threads(threads);
    let mut bytes = 0;
    let findings =
        press.make(&press.plan(job), &|output| together || output.path.contains('/'), &mut |made| {
            bytes += made.bytes.len();
            Ok(())
        });
    assert!(findings.expect("the run is made").is_empty());
    bytes
}

/// Makes every entry by itself, on threads that take the next one from a counter.
fn in_threads(run: &RunOfSheets, threads: usize, make: fn(&RunOfSheets, &RunEntry) -> usize) -> usize {
    let (next, bytes) = (AtomicUsize::new(0), AtomicUsize::new(0));
    std::thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(|| {
                while let Some(entry) = run.entries.get(next.fetch_add(1, Ordering::Relaxed)) {
                    bytes.fetch_add(make(run, entry), Ordering::Relaxed);
                }
            });
        }
    });
    bytes.into_inner()
}

fn memory(count: usize) {
    let bytes = packstring(
        &job(count, Says::Words),
        std::thread::available_parallelism().map_or(1, usize::from),
        true,
    );
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let peak = status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:")?.trim().strip_suffix(" kB")?.parse::<f64>().ok());
    let peak = peak
        .map_or("not known on this system".to_owned(), |kilobytes| format!("{:.0} MB", kilobytes / 1024.0));
    println!("{count} certificates, {:.0} MB of files: {peak}", bytes as f64 / 1e6);
}

/// A run for `count` invented riders.
fn job(count: usize, says: Says) -> Job {
    let first = ["Ana", "Rosalind", "José Ángel", "Wilhelmina", "Łucja", "Theo", "Marisol", "Ingrid"];
    let last =
        ["Okafor", "Núñez O’Brien", "Brandvold", "Quintana-Ferreira", "Dvořáková", "Lee", "Featherstone"];
    let entry = |n: usize| {
        let name = format!("{} {} {n}", first[n % first.len()], last[n % last.len()]);
        let said = format!("Trail Rider Stewards 2026\nNorth Camp Spring Workshop\n2026-05-16\n{n:08}");
        let code = match says {
            Says::Words => Code::of(said, Correction::Medium),
            Says::Record => {
                Code::of(format!("PS:{n:08}{}", "RECORD$ ".repeat(RECORD / 8)), Correction::Quartile)
            }
        };
        let code = code.expect("no longer than a code may be");
        RunEntry {
            path: format!("certificates/{n}.pdf"),
            title: format!("Certificate: {name}"),
            data: json!({
                "name": name, "companion": "Biscuit", "number": format!("{n:08}"),
                "qr": { "size": code.size() },
            }),
            code: Some(code),
            place: None,
            letter: None,
        }
    };
    let run = RunOfSheets {
        template: "certificate.typ".into(),
        data: data(),
        entries: (0..count).map(entry).collect(),
        pictures: Vec::new(),
        places: Vec::new(),
        alone: true,
    };
    Job {
        piece: Piece::Certificates,
        shelf: Shelf::Private,
        path: "certificates.pdf".into(),
        make: Make::Run(run),
    }
}

fn data() -> Value {
    json!({
        "title": "Certificate: North Camp Spring Workshop", "paper": "letter", "ink": "color",
        "program": {
            "name": "Trail Rider Stewards", "agency": "Juniper Basin Open Lands", "season": "2026",
            "language": "en", "summary": null, "contacts": [],
            "signatures": [
                { "name": "Ines Calloway", "title": "Outreach Ranger" },
                { "name": "Theo Brandvold", "title": "Volunteer Service Unit" },
            ],
        },
        "event": { "name": "North Camp Spring Workshop", "date": "2026-05-16", "place": "North Camp shelter" },
        "certificate": { "title": null, "text": null },
    })
}
