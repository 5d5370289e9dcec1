//! The register as text: its lines, and the hashes that hold them together.
//!
//! A line is a JSON object of `format`, `line` (its number), one of `key`, `given` and `withdrawn`,
//! `before` (the hash of the line before it; zeros on the first) and `hash`: SHA-256 over the rest of the
//! line in the canonical form of RFC 8785, so that neither spacing nor the order of keys matters. Pure:
//! text in, [`Register`] and faults out, and the other way round.

use super::{Entry, FILE, HEAD, Line, Register};
use crate::credential::{SecretKey, canonical, statement};
use crate::digest::hex;
use crate::finding::{Rule, rules};
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value, json};
use sha2::{Digest, Sha256};
use std::ops::Range;

/// Raised when a packstring of today could misread tomorrow's register. A line is of the oldest form that has all
/// its keys, so that what an older packstring can read it may.
pub const FORMAT: u64 = 2;

/// What stands for the hash of a line before the first.
pub const NONE_BEFORE: &str = "0000000000000000000000000000000000000000000000000000000000000000";

/// What is wrong with the register.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    pub rule: &'static Rule,
    /// [`FILE`] or [`HEAD`].
    pub file: &'static str,
    /// Where in it, in bytes.
    pub at: usize,
    pub message: String,
    pub mend: &'static str,
}

pub(super) const PUT_BACK: &str = "Put both files of records/ back from a copy. Without one, move both away and keep them: packstring begins a new register then, and credits everybody on the roster again.";
const UPDATE: &str = "Use the newest packstring; this one leaves the register as it is.";

/// What the head file says.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Head {
    format: u64,
    lines: usize,
    hash: String,
    /// What a key of the program signed last: where the key was not at hand since, fewer lines than there are.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    seal: Option<Seal>,
}

/// So many lines, ending with this hash, by the word of a key.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Seal {
    pub lines: usize,
    hash: String,
    /// The key's public half.
    pub key: String,
    signature: String,
}

impl Seal {
    pub fn of(register: &Register, key: &SecretKey) -> Self {
        let (lines, hash) = (register.lines().len(), register.last_hash().to_owned());
        let signature = statement::sign(&Self::states(lines, &hash), key);
        Self { lines, hash, key: key.public().to_string(), signature }
    }

    fn states(lines: usize, hash: &str) -> Value {
        json!({"register": {"lines": lines, "hash": hash}})
    }

    pub(super) fn fits(&self) -> bool {
        statement::fits(&Self::states(self.lines, &self.hash), &self.key, &self.signature)
    }

    /// Whether the register's lines are the ones that were signed.
    pub(super) fn is_of(&self, register: &Register) -> bool {
        hash_at(register, self.lines) == Some(&self.hash)
    }
}

impl Head {
    /// The head of a register; `seal` is the newest that there is.
    pub fn of(register: &Register, seal: Option<Seal>) -> Self {
        Self { format: 1, lines: register.lines().len(), hash: register.last_hash().to_owned(), seal }
    }

    pub fn read(text: &str) -> Option<Self> {
        serde_json::from_str(text).ok()
    }

    pub fn into_seal(self) -> Option<Seal> {
        self.seal
    }

    pub fn to_json(&self) -> String {
        serde_json::to_string(self).expect("numbers and strings only") + "\n"
    }
}

/// Reads the register from the text of its file and of its head; `None` for a file that is not there.
/// The register is whole only where there is no fault.
pub fn parse(text: Option<&str>, head: Option<&str>) -> (Register, Vec<Fault>) {
    let mut reader = ChainReader::default();
    if let Some(text) = text {
        reader.lines(text);
    }
    if !reader.faults.iter().any(|fault| fault.rule == &rules::REGISTER_NEWER) {
        let seal = reader.head(text, head);
        // Without its head the lines can be held against their records all the same.
        if reader.faults.iter().all(|fault| fault.file == HEAD) {
            let faults = reader.register.prove(seal);
            reader.faults.extend(faults);
        }
    }
    (reader.register, reader.faults)
}

/// The hash of a line, counted from 1; of none before the first.
fn hash_at(register: &Register, line: usize) -> Option<&str> {
    match line.checked_sub(1) {
        None => Some(NONE_BEFORE),
        Some(at) => register.lines().get(at).map(|line| line.hash.as_str()),
    }
}

/// The text of a line that follows on `register`, without its line end, and the line.
pub fn next(register: &Register, entry: Entry, at: usize) -> (String, Line) {
    let mut line = match serde_json::to_value(&entry).expect("entries are plain data") {
        Value::Object(entry) => entry,
        _ => unreachable!("an entry is an object of one key"),
    };
    line.shift_insert(0, "format".into(), json!(entry.format()));
    line.shift_insert(1, "line".into(), json!(register.lines().len() + 1));
    line.insert("before".into(), json!(register.last_hash()));
    let hash = hash(&Value::Object(line.clone()));
    line.insert("hash".into(), json!(hash));
    (Value::Object(line).to_string(), Line { entry, hash, at })
}

fn hash(line: &Value) -> String {
    hex(Sha256::digest(canonical::text(line)))
}

#[derive(Default)]
struct ChainReader {
    register: Register,
    faults: Vec<Fault>,
    /// The hash that the last line states, whether it is right or not.
    before: Option<String>,
    line: usize,
    /// Whether a line does not follow on the one before it.
    moved: bool,
}

/// What is wrong with one line.
enum Wrong {
    Unreadable,
    Newer,
    Changed,
    Moved,
    Senseless(&'static str),
}

impl ChainReader {
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
                Err(Wrong::Unreadable) if range.end == text.len() => self.register.torn = Some(range.start),
                Err(Wrong::Newer) => return self.tell(range.start, Wrong::Newer),
                Err(wrong) => self.tell(range.start, wrong),
            }
        }
    }

    fn one(&mut self, line: &str, at: usize) -> Result<(), Wrong> {
        let Ok(Value::Object(mut line)) = canonical::read(line) else { return Err(Wrong::Unreadable) };
        let format = line.get("format").and_then(Value::as_u64);
        if format.is_some_and(|format| format > FORMAT) {
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
        let entry = entry(line).ok_or(Wrong::Senseless("It records nothing that packstring knows."))?;
        let line = Line { entry, hash: stated.unwrap_or_default(), at };
        self.register.push(line).map_err(Wrong::Senseless)
    }

    fn tell(&mut self, at: usize, wrong: Wrong) {
        let (rule, what, mend) = match wrong {
            Wrong::Newer => {
                (&rules::REGISTER_NEWER, "was written by a newer packstring than this one", UPDATE)
            }
            Wrong::Unreadable => (&rules::REGISTER_BROKEN, "cannot be read", PUT_BACK),
            Wrong::Changed => (&rules::REGISTER_BROKEN, "was changed after it was written", PUT_BACK),
            Wrong::Moved => {
                self.moved = true;
                (
                    &rules::REGISTER_BROKEN,
                    "does not follow on the line before it: lines were taken out, put in or moved",
                    PUT_BACK,
                )
            }
            Wrong::Senseless(why) => {
                let message = format!("Line {} of the certificate register makes no sense. {why}", self.line);
                return self.fault(&rules::REGISTER_BROKEN, FILE, at, message, PUT_BACK);
            }
        };
        let message = format!("Line {} of the certificate register {what}.", self.line);
        self.fault(rule, FILE, at, message, mend);
    }

    fn fault(
        &mut self,
        rule: &'static Rule,
        file: &'static str,
        at: usize,
        message: String,
        mend: &'static str,
    ) {
        self.faults.push(Fault { rule, file, at, message, mend });
    }

    /// Holds the register against its head. The head is written last, so it may lag behind.
    /// Gives what of it is signed.
    fn head(&mut self, text: Option<&str>, head: Option<&str>) -> Option<Seal> {
        let lines = self.line - usize::from(self.register.torn.is_some());
        let Some(head) = head else {
            if text.is_some_and(|text| !text.trim().is_empty()) {
                let message =
                    format!("{HEAD} is not there, which says how long the certificate register is.");
                self.fault(&rules::REGISTER_CUT, HEAD, 0, message, PUT_BACK);
            }
            return None;
        };
        let Some(head) = Head::read(head) else {
            let message = format!("{HEAD} cannot be read, which says how long the certificate register is.");
            self.fault(&rules::REGISTER_BROKEN, HEAD, 0, message, PUT_BACK);
            return None;
        };
        if head.format > FORMAT {
            let message = format!("{HEAD} was written by a newer packstring than this one.");
            self.fault(&rules::REGISTER_NEWER, HEAD, 0, message, UPDATE);
            return None;
        }
        self.register.head_lags = head.lines < lines;
        // Lines that do not follow on one another say already that some are gone.
        if head.lines == 0 && head.hash != NONE_BEFORE {
            let message =
                format!("{HEAD} says that the certificate register has no line, and what the last one is.");
            self.fault(&rules::REGISTER_BROKEN, HEAD, 0, message, PUT_BACK);
        } else if head.lines > lines && !self.moved {
            let message = format!(
                "The certificate register has {lines} of its {} lines: the last are gone.",
                head.lines
            );
            self.fault(&rules::REGISTER_CUT, FILE, 0, message, PUT_BACK);
        } else if self.faults.is_empty() && Some(&*head.hash) != hash_at(&self.register, head.lines) {
            let message =
                format!("Line {} of the certificate register is not the one that was written.", head.lines);
            let line = head.lines.checked_sub(1).and_then(|at| self.register.lines().get(at));
            let at = line.map_or(0, |line| line.at);
            self.fault(&rules::REGISTER_BROKEN, FILE, at, message, PUT_BACK);
        }
        head.seal
    }
}

impl Entry {
    /// The oldest form of line that has all its keys.
    fn format(&self) -> u64 {
        match self {
            Self::Key(key) if key.signed.is_some() => 2,
            Self::Given(given)
                if given.agency.is_some() || given.venue.is_some() || given.until.is_some() =>
            {
                2
            }
            Self::Key(_) | Self::Given(_) | Self::Withdrawn(_) => 1,
        }
    }
}

/// What a line records, of an object that has nothing else in it.
fn entry(line: Map<String, Value>) -> Option<Entry> {
    serde_json::from_value(Value::Object(line)).ok()
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
