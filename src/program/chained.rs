//! Records that are only ever added to: lines of JSON, and the hashes that hold them together.
//!
//! A line is a JSON object of `format`, `line` (its number), what it records, `before` (the hash of the line before it;
//! zeros on the first) and `hash`: SHA-256 over the rest of the line in the canonical form of RFC 8785, so that neither
//! spacing nor the order of keys matters. That the last lines are gone is noticed by a second file, the head, which says
//! how many there were. Pure: text in, a record ([`Chained`]) and faults out, and the other way round. What kinds there
//! are: [`super::register`], [`super::history`]; [`crate::shelf`] writes them.

use crate::credential::canonical;
use crate::digest::hex;
use crate::finding::Rule;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use std::ops::Range;

/// What stands for the hash of a line before the first.
pub const NONE_BEFORE: &str = "0000000000000000000000000000000000000000000000000000000000000000";

/// What tells one record from another: where it lies, and what people are told of it.
#[derive(Debug)]
pub struct Kind {
    /// Relative to the program folder.
    pub file: &'static str,
    /// How many lines there are, and the hash of the last: written after them.
    pub head: &'static str,
    /// As sentences call it.
    pub called: &'static str,
    /// The newest form of lines that this packstring knows.
    pub format: u64,
    pub broken: &'static Rule,
    pub cut: &'static Rule,
    pub newer: &'static Rule,
    /// How to mend what is broken or cut.
    pub put_back: &'static str,
    /// What to do about what is newer.
    pub update: &'static str,
    /// Why it is written only into a plain folder, and what did not happen.
    pub only_plain: &'static str,
    /// What did not happen where it could not be written.
    pub unchanged: &'static str,
}

/// A record of one kind, as it was read.
pub trait Chained: Default + Clone {
    /// What a line records.
    type Entry: Serialize + DeserializeOwned + Clone;
    /// What vouches for the lines in the head.
    type Seal: Serialize + DeserializeOwned + Clone;

    fn kind() -> &'static Kind;

    /// The oldest form of line that has all keys of the entry.
    fn format_of(entry: &Self::Entry) -> u64;

    fn lines(&self) -> &[Line<Self::Entry>];

    /// Adds a line.
    ///
    /// # Errors
    /// A sentence that says why such a line cannot stand here.
    fn push(&mut self, line: Line<Self::Entry>) -> Result<(), &'static str>;

    /// Where a killed run left it.
    fn left(&mut self) -> &mut Left;

    /// Holds the lines against what vouches for them.
    fn prove(&mut self, _seal: Option<Self::Seal>) -> Vec<Fault> {
        Vec::new()
    }

    /// The hash that the next line carries as the one before it.
    fn last_hash(&self) -> &str {
        self.lines().last().map_or(NONE_BEFORE, |line| &line.hash)
    }
}

/// What an interrupted run has left of a record.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Left {
    /// Where in the file a last line starts that was left unfinished. It never counted.
    pub torn: Option<usize>,
    /// Whether there are whole lines that the head does not count yet.
    pub head_lags: bool,
}

/// A line of a record.
#[derive(Clone, Debug)]
pub struct Line<E> {
    pub entry: E,
    /// SHA-256 over the rest of the line, in hexadecimal digits.
    pub hash: String,
    /// Where it starts in the file, in bytes.
    pub at: usize,
}

/// What is wrong with a record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    pub rule: &'static Rule,
    /// The record's file or its head.
    pub file: &'static str,
    /// Where in it, in bytes.
    pub at: usize,
    pub message: String,
    pub mend: &'static str,
}

/// What the head file says.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Head<S> {
    format: u64,
    lines: usize,
    hash: String,
    /// What vouches for the lines: where that was not at hand since, for fewer than there are.
    #[serde(default = "none", skip_serializing_if = "Option::is_none")]
    seal: Option<S>,
}

fn none<S>() -> Option<S> {
    None
}

/// For heads that nothing vouches for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Unsealed {}

impl<S: Serialize + DeserializeOwned> Head<S> {
    /// The head of a record; `seal` is the newest that there is.
    pub fn of<C: Chained<Seal = S>>(record: &C, seal: Option<S>) -> Self {
        Self { format: 1, lines: record.lines().len(), hash: record.last_hash().to_owned(), seal }
    }

    pub fn read(text: &str) -> Option<Self> {
        serde_json::from_str(text).ok()
    }

    pub fn into_seal(self) -> Option<S> {
        self.seal
    }

    pub fn to_json(&self) -> String {
        serde_json::to_string(self).expect("numbers and strings only") + "\n"
    }
}

/// Reads a record from the text of its file and of its head; `None` for a file that is not there.
/// It is whole only where there is no fault.
pub fn parse<C: Chained>(text: Option<&str>, head: Option<&str>) -> (C, Vec<Fault>) {
    let mut reader = Reader::<C>::default();
    if let Some(text) = text {
        reader.lines(text);
    }
    if !reader.faults.iter().any(|fault| fault.rule == C::kind().newer) {
        let seal = reader.head(text, head);
        // Without its head the lines can be held against what vouches for them all the same.
        if reader.faults.iter().all(|fault| fault.file == C::kind().head) {
            let faults = reader.record.prove(seal);
            reader.faults.extend(faults);
        }
    }
    (reader.record, reader.faults)
}

/// The hash of a line, counted from 1; of none before the first.
pub(super) fn hash_at<C: Chained>(record: &C, line: usize) -> Option<&str> {
    match line.checked_sub(1) {
        None => Some(NONE_BEFORE),
        Some(at) => record.lines().get(at).map(|line| line.hash.as_str()),
    }
}

/// The text of a line that follows on `record`, without its line end, and the line.
pub fn next<C: Chained>(record: &C, entry: C::Entry, at: usize) -> (String, Line<C::Entry>) {
    let mut line = match serde_json::to_value(&entry).expect("entries are plain data") {
        Value::Object(entry) => entry,
        _ => unreachable!("an entry is an object of one key"),
    };
    line.shift_insert(0, "format".into(), json!(C::format_of(&entry)));
    line.shift_insert(1, "line".into(), json!(record.lines().len() + 1));
    line.insert("before".into(), json!(record.last_hash()));
    let hash = hash(&Value::Object(line.clone()));
    line.insert("hash".into(), json!(hash));
    (Value::Object(line).to_string(), Line { entry, hash, at })
}

fn hash(line: &Value) -> String {
    hex(Sha256::digest(canonical::text(line)))
}

struct Reader<C> {
    record: C,
    faults: Vec<Fault>,
    /// The hash that the last line states, whether it is right or not.
    before: Option<String>,
    line: usize,
    /// Whether a line does not follow on the one before it.
    moved: bool,
}

impl<C: Chained> Default for Reader<C> {
    fn default() -> Self {
        Self { record: C::default(), faults: Vec::new(), before: None, line: 0, moved: false }
    }
}

/// What is wrong with one line.
enum Wrong {
    Unreadable,
    Newer,
    Changed,
    Moved,
    Senseless(&'static str),
}

impl<C: Chained> Reader<C> {
    fn lines(&mut self, text: &str) {
        for range in line_ranges(text) {
            let line = &text[range.clone()];
            if line.trim().is_empty() {
                continue;
            }
            self.line += 1;
            match self.one(line, range.start) {
                Ok(()) => {}
                // Only what never got its line end can have been cut short by a kill.
                Err(Wrong::Unreadable) if range.end == text.len() => {
                    self.record.left().torn = Some(range.start)
                }
                Err(Wrong::Newer) => return self.tell(range.start, Wrong::Newer),
                Err(wrong) => self.tell(range.start, wrong),
            }
        }
    }

    fn one(&mut self, line: &str, at: usize) -> Result<(), Wrong> {
        let Ok(Value::Object(mut line)) = canonical::read(line) else { return Err(Wrong::Unreadable) };
        let format = line.get("format").and_then(Value::as_u64);
        if format.is_some_and(|format| format > C::kind().format) {
            return Err(Wrong::Newer);
        }
        let text = |value: Option<Value>| value.as_ref().and_then(Value::as_str).map(str::to_owned);
        let stated = text(line.remove("hash"));
        let before = self.before.replace(stated.clone().unwrap_or_default());
        if stated.as_deref() != Some(&*hash(&Value::Object(line.clone()))) {
            return Err(Wrong::Changed);
        }
        let number = line.remove("line").and_then(|number| number.as_u64());
        let follows =
            text(line.remove("before")).as_deref() == Some(before.as_deref().unwrap_or(NONE_BEFORE));
        if !follows || number != Some(self.line as u64) {
            return Err(Wrong::Moved);
        }
        line.remove("format");
        let entry = serde_json::from_value(Value::Object(line)).ok();
        let entry = entry.ok_or(Wrong::Senseless("It records nothing that packstring knows."))?;
        let line = Line { entry, hash: stated.unwrap_or_default(), at };
        self.record.push(line).map_err(Wrong::Senseless)
    }

    fn tell(&mut self, at: usize, wrong: Wrong) {
        let kind = C::kind();
        let (rule, what, mend) = match wrong {
            Wrong::Newer => (kind.newer, "was written by a newer packstring than this one", kind.update),
            Wrong::Unreadable => (kind.broken, "cannot be read", kind.put_back),
            Wrong::Changed => (kind.broken, "was changed after it was written", kind.put_back),
            Wrong::Moved => {
                self.moved = true;
                let what = "does not follow the line before it: lines were removed, added or moved";
                (kind.broken, what, kind.put_back)
            }
            Wrong::Senseless(why) => {
                let message = format!("Line {} of the {} cannot be right. {why}", self.line, kind.called);
                return self.fault(kind.broken, kind.file, at, message);
            }
        };
        let message = format!("Line {} of the {} {what}.", self.line, kind.called);
        self.faults.push(Fault { rule, file: kind.file, at, message, mend });
    }

    fn fault(&mut self, rule: &'static Rule, file: &'static str, at: usize, message: String) {
        self.faults.push(Fault { rule, file, at, message, mend: C::kind().put_back });
    }

    /// Holds the record against its head. The head is written last, so it may lag behind.
    /// Gives what vouches for the lines.
    fn head(&mut self, text: Option<&str>, head: Option<&str>) -> Option<C::Seal> {
        let kind = C::kind();
        let (file, called) = (kind.head, kind.called);
        let lines = self.line - usize::from(self.record.left().torn.is_some());
        let Some(head) = head else {
            if text.is_some_and(|text| !text.trim().is_empty()) {
                let message = format!("{file} is not there, which says how long the {called} is.");
                self.fault(kind.cut, file, 0, message);
            }
            return None;
        };
        let Some(head) = Head::<C::Seal>::read(head) else {
            let message = format!("{file} cannot be read, which says how long the {called} is.");
            self.fault(kind.broken, file, 0, message);
            return None;
        };
        if head.format > kind.format {
            let message = format!("{file} was written by a newer packstring than this one.");
            self.faults.push(Fault { rule: kind.newer, file, at: 0, message, mend: kind.update });
            return None;
        }
        self.record.left().head_lags = head.lines < lines;
        // Lines that do not follow on one another say already that some are gone.
        if head.lines == 0 && head.hash != NONE_BEFORE {
            let message = format!("{file} says that the {called} has no line, and what the last one is.");
            self.fault(kind.broken, file, 0, message);
        } else if head.lines > lines && !self.moved {
            let message = format!("The {called} has {lines} of its {} lines: the last are gone.", head.lines);
            self.fault(kind.cut, kind.file, 0, message);
        } else if self.faults.is_empty() && Some(&*head.hash) != hash_at(&self.record, head.lines) {
            let message = format!("Line {} of the {called} is not the one that was written.", head.lines);
            let line = head.lines.checked_sub(1).and_then(|at| self.record.lines().get(at));
            let at = line.map_or(0, |line| line.at);
            self.fault(kind.broken, kind.file, at, message);
        }
        head.seal
    }
}

/// The lines of a text, without their line ends.
fn line_ranges(text: &str) -> impl Iterator<Item = Range<usize>> {
    let mut start = 0;
    text.split_inclusive('\n').map(move |line| {
        let whole = start..start + line.len();
        start = whole.end;
        let end = if line.ends_with('\n') { whole.end - 1 } else { whole.end };
        whole.start..end
    })
}
