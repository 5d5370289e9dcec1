//! `made.json`: what stands on the shelves and what it was made from.

use crate::job::Shelf;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::io;
use std::path::{Component, Path};

/// Raised when a reader of today could misread tomorrow's record.
const FORMAT: u32 = 1;

#[derive(Clone, Debug, Serialize, Deserialize)]
pub(super) struct Entry {
    pub shelf: String,
    /// Below the shelf.
    pub path: String,
    /// The fingerprint of all that it was made from: template, theme, data, pictures, packstring.
    pub from: String,
    /// Of its bytes.
    pub sha256: String,
    pub bytes: u64,
}

impl Entry {
    fn is_on_a_shelf(&self) -> bool {
        let parts = Path::new(&self.path).components();
        Shelf::ALL.iter().any(|shelf| shelf.name() == self.shelf)
            && !self.path.is_empty()
            && parts.into_iter().all(|part| matches!(part, Component::Normal(_)))
            // As another system would read it.
            && !self.path.contains(['\\', '\0'])
    }
}

/// That everything was made that a program gives, from just these things, and nothing was to be mended.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Whole {
    /// The fingerprint of all that it was made from and of what was asked.
    pub from: String,
    /// How many files there are of each piece, by its key.
    pub files: BTreeMap<String, usize>,
}

/// How long the certificate register was, and with which last line: what is there later must go on from it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct RegisterNote {
    pub lines: usize,
    /// Of the last of them.
    pub hash: String,
    /// The public halves of its keys.
    pub keys: Vec<String>,
    /// As many of its lines have been made into certificates, and told as to print; without it all of them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub printed: Option<usize>,
}

/// Which share of the private shelf a run made, and from what.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct PartNote {
    pub number: usize,
    pub of: usize,
    /// The fingerprint of all that it was made from.
    pub from: String,
    /// What was asked for, in the words of the command line.
    pub asked: String,
    pub settles: Settles,
    /// Whether all of it was put away.
    pub finished: bool,
}

/// Of what a making leaves nothing out, so that what it did not make is no longer wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Settles {
    All,
    Certificates,
    Nothing,
}

#[derive(Debug, Serialize, Deserialize)]
pub(super) struct Record {
    format: u32,
    packstring: String,
    /// The program's files that were read, with the SHA-256 of each.
    read: BTreeMap<String, String>,
    made: Vec<Entry>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub whole: Option<Whole>,
    /// Only on the private shelf.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub register: Option<RegisterNote>,
    /// Only in the record of a part.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part: Option<PartNote>,
}

impl Default for Record {
    fn default() -> Self {
        Self {
            format: FORMAT,
            packstring: env!("CARGO_PKG_VERSION").to_owned(),
            read: BTreeMap::new(),
            made: Vec::new(),
            whole: None,
            register: None,
            part: None,
        }
    }
}

impl Record {
    /// The record of a file's bytes. None, a damaged one or one of another format only means that everything
    /// is made anew. What it says of files elsewhere than on a shelf, packstring never wrote.
    pub fn of(bytes: io::Result<Vec<u8>>) -> Self {
        let record = bytes.ok().and_then(|bytes| serde_json::from_slice::<Self>(&bytes).ok());
        let Some(record) = record.filter(|record| record.format == FORMAT) else { return Self::default() };
        let Self { read, mut made, whole, register, part, .. } = record;
        let all = made.len();
        made.retain(Entry::is_on_a_shelf);
        made.sort_by(|a, b| (&a.shelf, &a.path).cmp(&(&b.shelf, &b.path)));
        let whole = whole.filter(|_| made.len() == all);
        Self { made, whole, read, register, part, ..Self::default() }
    }

    pub fn find(&self, shelf: &str, path: &str) -> Option<&Entry> {
        self.position(shelf, path).ok().map(|at| &self.made[at])
    }

    pub fn paths<'r>(&'r self, shelf: &'r str) -> impl Iterator<Item = &'r str> {
        self.made.iter().filter(move |entry| entry.shelf == shelf).map(|entry| entry.path.as_str())
    }

    pub fn entries(&self) -> &[Entry] {
        &self.made
    }

    pub fn insert(&mut self, entry: Entry) {
        match self.position(&entry.shelf, &entry.path) {
            Ok(at) => self.made[at] = entry,
            Err(at) => self.made.insert(at, entry),
        }
    }

    /// Forgets what an entry was made from, so that nothing matches it.
    pub fn unsettle(&mut self, shelf: &str, path: &str) {
        if let Ok(at) = self.position(shelf, path) {
            self.made[at].from.clear();
        }
    }

    pub fn remove(&mut self, shelf: &str, path: &str) {
        if let Ok(at) = self.position(shelf, path) {
            self.made.remove(at);
        }
    }

    /// Forgets which files were read: another run says it anew.
    pub fn forget_read(&mut self) {
        self.read.clear();
    }

    pub fn read_from(&mut self, file: &str, sha256: String) {
        self.read.insert(file.to_owned(), sha256);
    }

    pub fn holds_pieces(&self) -> bool {
        !self.made.is_empty() || self.register.is_some() || self.part.is_some()
    }

    pub fn to_json(&self) -> Vec<u8> {
        let mut json = serde_json::to_vec_pretty(self).expect("strings and numbers only");
        json.push(b'\n');
        json
    }

    /// Entries are kept in the order of shelf and path, so that the record is the same on every run.
    fn position(&self, shelf: &str, path: &str) -> Result<usize, usize> {
        self.made.binary_search_by(|entry| (entry.shelf.as_str(), entry.path.as_str()).cmp(&(shelf, path)))
    }
}
