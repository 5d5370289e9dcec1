//! The drift bench: how many wrong figures get past proofreading.
//!
//! From a clean program, wrong copies are made ([`planting`]): one statement changed in each, backed by its
//! link or with the link taken away. A copy counts as planted only where the changed statement is false
//! indeed, which [`truth`] decides by a reading and an arithmetic of its own; nothing of packstring's
//! reader or of its rule of agreement is asked. Of what was planted, [`Tally`] counts what proofreading
//! tells as a warning or an error at that place and did not tell of the clean program.
//!
//! Shared by `benches/drift.rs`, which plants thousands, and by a test that plants a sample.

mod keys;
mod planting;
mod tally;
mod truth;

pub use tally::Tally;

use packstring::finding::{Finding, Level};
use packstring::people::scoring::Scores;
use packstring::program::{self, Program};
use packstring::proof;
use packstring::understand::Understood;
use std::collections::BTreeSet;
use std::fs;
use std::ops::Range;
use std::path::Path;

/// The day on which all of this is read.
const TODAY: jiff::civil::Date = jiff::civil::date(2026, 11, 2);

/// What is changed in a wrong copy.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    Digit,
    Word,
    UnitAkin,
    UnitApart,
    LimitTurned,
    TooFine,
    DualBroken,
    QuestionKey,
    /// The other bound, in words of many kinds.
    Bound,
    /// Per another span of time.
    Rate,
    /// A range that says less or more than the fact's.
    Range,
}

impl Kind {
    fn name(self) -> &'static str {
        match self {
            Self::Digit => "a digit changed",
            Self::Word => "a number word changed",
            Self::UnitAkin => "another unit of the same kind",
            Self::UnitApart => "a unit of another kind",
            Self::LimitTurned => "the limit turned round",
            Self::TooFine => "stated too finely",
            Self::DualBroken => "a dual statement broken",
            Self::QuestionKey => "a question's key changed",
            Self::Bound => "the other bound in other words",
            Self::Rate => "another rate",
            Self::Range => "another range",
        }
    }
}

/// One wrong copy: the words to put in place of others in one file.
struct Plant {
    kind: Kind,
    backed: bool,
    file: String,
    range: Range<usize>,
    new: String,
    fact: String,
    /// The statement before and after, for the list of misses.
    was: String,
    now: String,
}

/// Plants in a program folder, every `step`-th of what can be planted, and counts what is caught.
pub fn run(folder: &Path, step: usize, tally: &mut Tally) {
    let program = program::open(folder).unwrap_or_else(|unread| panic!("{:#?}", unread.mistakes));
    let clean = told(&program);
    tally.clean.extend(clean.iter().map(|(rule, file, message)| format!("{file}: {rule}: {message}")));
    let copies = Copies::of(folder);
    let mut plants = planting::of_figures(&program, tally);
    plants.extend(keys::of_questions(&program));
    for plant in plants.iter().skip(step / 2).step_by(step) {
        tally.planted(plant, caught(&program, &copies, &clean, plant));
    }
    for unwrapped in planting::unwrapped(&program).iter().skip(step / 2).step_by(step) {
        tally.unwrapped += 1;
        let findings = copies.findings(&program, unwrapped);
        let untrue = findings.iter().filter(|finding| !clean.contains(&key(finding)));
        tally.untrue.extend(
            untrue.map(|finding| format!("{}: {}: {}", unwrapped.file, finding.rule.name, finding.message)),
        );
    }
}

type Key = (&'static str, String, String);

fn key(finding: &Finding) -> Key {
    (finding.rule.name, finding.place.file.to_string(), finding.message.clone())
}

fn told(program: &Program) -> BTreeSet<Key> {
    proofread(program).iter().map(key).collect()
}

fn proofread(program: &Program) -> Vec<Finding> {
    let understood = Understood::new(program);
    serious(proof::proofread(&understood, &Scores::of(&understood), TODAY))
}

fn serious(mut findings: Vec<Finding>) -> Vec<Finding> {
    findings.retain(|finding| finding.level >= Level::Warning);
    findings
}

fn caught(program: &Program, copies: &Copies, clean: &BTreeSet<Key>, plant: &Plant) -> bool {
    let there = plant.range.start..plant.range.start + plant.new.len();
    copies.findings(program, plant).iter().any(|finding| {
        let range = &finding.place.range;
        let at_place = *finding.place.file == *plant.file
            && (range.start < there.end && there.start < range.end || *range == there);
        // Of a question, what is told stands at its key, at its choices or at the question as a whole.
        let of_question = plant.kind == Kind::QuestionKey && *finding.place.file == *plant.file;
        (at_place || of_question) && !clean.contains(&key(finding))
    })
}

/// Where changed copies of a program are made: lessons in memory, other files in a folder of their own.
struct Copies {
    folder: tempfile::TempDir,
}

impl Copies {
    fn of(original: &Path) -> Self {
        let folder = tempfile::tempdir().expect("a folder for copies");
        for entry in walkdir::WalkDir::new(original).into_iter().filter_map(Result::ok) {
            let target = folder.path().join(entry.path().strip_prefix(original).expect("inside of it"));
            if entry.file_type().is_dir() {
                fs::create_dir_all(target).expect("a folder");
            } else {
                fs::copy(entry.path(), target).expect("a copy");
            }
        }
        Self { folder }
    }

    /// The warnings and errors of the copy in which a plant stands; a copy that cannot be read any more
    /// is told by its mistakes.
    fn findings(&self, program: &Program, plant: &Plant) -> Vec<Finding> {
        let text = program.sources.text(&plant.file).expect("a file of the program");
        let changed = format!("{}{}{}", &text[..plant.range.start], plant.new, &text[plant.range.end..]);
        let lesson = program.content.lessons.iter().find(|lesson| *lesson.file == *plant.file);
        let copy = match lesson {
            Some(lesson) => program.with_lesson(&lesson.id, &changed),
            None => {
                let path = self.folder.path().join(&plant.file);
                fs::write(&path, changed).expect("a changed copy");
                let copy = program::open(self.folder.path());
                fs::write(&path, &**text).expect("the copy as it was");
                copy
            }
        };
        match copy {
            Ok(copy) => proofread(&copy),
            Err(unread) => serious(unread.mistakes),
        }
    }
}
