//! The register as text: a record of lines that hashes hold together ([`chained`]), with the seal of the program's key
//! on its head.

use super::{Entry, FILE, HEAD, Line, Register};
use crate::credential::{SecretKey, statement};
use crate::finding::rules;
use crate::program::chained::{self, Chained, Kind, Left};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

pub use crate::program::chained::{Fault, NONE_BEFORE};

/// Raised when a packstring of today could misread tomorrow's register. A line is of the oldest form that has all
/// its keys, so that what an older packstring can read it may.
pub const FORMAT: u64 = 3;

pub(super) const PUT_BACK: &str = "Put both files of records/ back from one copy of the folder, or with `packstring certificates keep --restore FILE` from a file that `keep` made. Without a copy, move both away and keep them, and out/private/made.json and the program's signing key too: packstring then begins a new register, and credits everybody on the roster again.";

static KIND: Kind = Kind {
    file: FILE,
    head: HEAD,
    called: "certificate register",
    format: FORMAT,
    broken: &rules::REGISTER_BROKEN,
    cut: &rules::REGISTER_CUT,
    newer: &rules::REGISTER_NEWER,
    put_back: PUT_BACK,
    update: "Use the newest packstring; this one leaves the register as it is.",
    only_plain: "The certificate register is written only into a plain folder of the program's own, so that nobody is credited elsewhere by mistake. Nobody was credited, and nothing was written.",
    unchanged: "Nobody was credited, and the certificate register is as it was.",
};

/// What the head file says.
pub type Head = chained::Head<Seal>;

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
        chained::hash_at(register, self.lines) == Some(&self.hash)
    }
}

/// Reads the register from the text of its file and of its head; `None` for a file that is not there.
/// The register is whole only where there is no fault.
pub fn parse(text: Option<&str>, head: Option<&str>) -> (Register, Vec<Fault>) {
    chained::parse(text, head)
}

/// The text of a line that follows on `register`, without its line end, and the line.
pub fn next(register: &Register, entry: Entry, at: usize) -> (String, Line) {
    chained::next(register, entry, at)
}

impl Chained for Register {
    type Entry = Entry;
    type Seal = Seal;

    fn kind() -> &'static Kind {
        &KIND
    }

    fn format_of(entry: &Entry) -> u64 {
        entry.format()
    }

    fn lines(&self) -> &[Line] {
        &self.lines
    }

    fn push(&mut self, line: Line) -> Result<(), &'static str> {
        Register::push(self, line)
    }

    fn left(&mut self) -> &mut Left {
        &mut self.left
    }

    fn prove(&mut self, seal: Option<Seal>) -> Vec<Fault> {
        Register::prove(self, seal)
    }
}

impl Entry {
    /// The oldest form of line that has all its keys.
    fn format(&self) -> u64 {
        match self {
            Self::Key(key) if key.signed.is_some() => 2,
            Self::Given(given) if given.title.is_some() || given.program.is_some() => 3,
            Self::Given(given)
                if given.agency.is_some() || given.venue.is_some() || given.until.is_some() =>
            {
                2
            }
            Self::Key(_) | Self::Given(_) | Self::Withdrawn(_) => 1,
        }
    }
}
