//! What reads text of any kind, given text of any kind: `targets` are the functions that `fuzz/` drives too, and here
//! they are driven for a moment from a small corpus, changed by chance from a fixed seed, on any compiler.
//!
//! `PACKSTRING_FUZZ_SECONDS=60` gives each target so many seconds (`PACKSTRING_FUZZ_SEED` another way through them).
//! What breaks one is printed, so that it can go into the corpus.

#[path = "fuzz/targets.rs"]
mod targets;

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::time::{Duration, Instant};

/// Changes texts by chance, the same way for the same seed (xorshift64*, Vigna 2016; from memory).
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_f491_4f6c_dd1d)
    }

    fn below(&mut self, most: usize) -> usize {
        (self.next() % most.max(1) as u64) as usize
    }

    fn one<'a, T: ?Sized>(&mut self, of: &[&'a T]) -> &'a T {
        of[self.below(of.len())]
    }

    fn changed(&mut self, corpus: &[&[u8]], words: &[&str]) -> Vec<u8> {
        let mut bytes = self.one(corpus).to_vec();
        for _ in 0..=self.below(6) {
            let at = self.below(bytes.len() + 1);
            let end = (at + self.below(12)).min(bytes.len());
            match self.below(7) {
                0 if at < bytes.len() => bytes[at] = self.next() as u8,
                1 => drop(bytes.drain(at..end)),
                2 => drop(bytes.splice(at..end, self.one(words).bytes())),
                3 => {
                    let part = bytes[at..end].repeat(self.below(9));
                    drop(bytes.splice(at..at, part));
                }
                4 => {
                    let other = self.one(corpus);
                    let from = self.below(other.len());
                    drop(bytes.splice(at..bytes.len(), other[from..].iter().copied()));
                }
                5 => drop(bytes.splice(at..at, ODD[self.below(ODD.len())].bytes())),
                _ => drop(bytes.splice(at..at, self.one(words).bytes())),
            }
        }
        bytes.truncate(20_000);
        bytes
    }
}

/// What texts seldom hold and software often stumbles over.
const ODD: [&str; 16] = [
    "\0",
    "\u{feff}",
    "\u{2028}",
    "\u{301}",
    "\u{200d}",
    "\u{1f468}\u{200d}\u{1f33e}",
    "ﬁ",
    "İ",
    "ß",
    "٣",
    "½",
    "\r",
    "\t",
    "99999999999999999999",
    "-0",
    "1e999",
];

fn drive(target: &targets::Target) {
    let number = |name: &str| std::env::var(name).ok().and_then(|said| said.parse::<u64>().ok());
    let seconds = number("PACKSTRING_FUZZ_SECONDS");
    let length = seconds.map_or(Duration::from_millis(700), Duration::from_secs);
    let mut chance = Chance(number("PACKSTRING_FUZZ_SEED").unwrap_or(0x9e37_79b9_7f4a_7c15) | 1);
    let corpus: Vec<&[u8]> = target.corpus.iter().map(|text| text.as_bytes()).collect();
    let ask = |bytes: &[u8]| {
        let asked = Instant::now();
        if catch_unwind(AssertUnwindSafe(|| (target.ask)(bytes))).is_err() {
            panic!("{} breaks over {:?}", target.name, String::from_utf8_lossy(bytes));
        }
        let took = asked.elapsed();
        assert!(
            took < Duration::from_secs(20),
            "{} takes {took:?} for {:?}",
            target.name,
            String::from_utf8_lossy(bytes)
        );
    };
    corpus.iter().for_each(|text| ask(text));
    let begun = Instant::now();
    let mut count = 0;
    while begun.elapsed() < length {
        ask(&chance.changed(&corpus, target.words));
        count += 1;
    }
    assert!(count > 0);
    if seconds.is_some() {
        eprintln!("{}: {count} texts", target.name);
    }
}

macro_rules! driven {
    ($($name:ident)+) => {
        $(#[test]
        fn $name() {
            drive(&targets::$name());
        })+

        #[test]
        fn every_target_is_driven() {
            assert_eq!(targets::ALL.len(), [$(stringify!($name)),+].len());
        }
    };
}

driven! { figures formula markdown facts settings questions kits roster workbook hours answers address register history svg }
