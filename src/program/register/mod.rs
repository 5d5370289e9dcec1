//! `records/certificates.jsonl`: the certificate register, the lasting record of certificates given.
//!
//! One JSON object a line, only ever added to. Each line carries the hash of the one before it
//! ([`chain`]), so that a line that was changed, moved or taken out is noticed; that the last lines are
//! gone is noticed by a second file, [`HEAD`], which says how many there were. Here the register is read
//! and asked; [`crate::shelf::register`] is the only place that writes it, and [`crate::people::credit`]
//! says who is credited.
//!
//! The chain holds together what was written, and anybody who may write the file can make it anew. What cannot be
//! made anew without the program's key is the signature of each certificate's record, of the head, and of a later
//! key's line: [`proved`] holds the lines against them, and says of each certificate what bears it out.
//!
//! The file holds names and addresses. Its mistakes are told by line, never in its words.

pub mod chain;
mod proved;

pub use chain::Fault;
pub use proved::{Proof, says_otherwise};

use super::chained::Left;
use super::files::{Files, Page};
use super::mistakes::Mistakes;
use crate::credential::number::Number;
use crate::finding::Place;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::collections::BTreeMap;
use std::io;
use std::path::Path;
use std::sync::Arc;

/// Relative to the program folder.
pub const FILE: &str = "records/certificates.jsonl";
/// How many lines the register has, and the hash of the last: written after it.
pub const HEAD: &str = "records/certificates-head.json";

/// What a line records.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Entry {
    /// From here on, certificates are signed with this key.
    Key(Key),
    Given(Box<Given>),
    Withdrawn(Withdrawn),
}

/// The public half of a signing key.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Key {
    /// An Ed25519 public key as a W3C Multikey: `z6Mk…`.
    pub public: String,
    /// When it was made.
    pub day: Date,
    /// The word of a key that the program had before: without it a later key does not count.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub signed: Option<SignedIn>,
}

/// By which key of the program another was put into the register.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SignedIn {
    /// Its public half.
    pub by: String,
    /// Over the new key, its day, and the hash of the line before.
    pub signature: String,
}

/// A certificate that was given.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Given {
    pub number: Number,
    pub occasion: Occasion,
    /// The program's season, as it was called then.
    pub season: String,
    /// Who gave it, as it is printed. Lines of an older form have it in their signed record alone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub agency: Option<String>,
    /// Where the event was held, as it is printed. Lines of an older form do not say.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub venue: Option<String>,
    /// The last day on which it holds, where it does not hold for good.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<Date>,
    /// What it is called, where no signed record says it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub title: Option<String>,
    /// The program that gave it, where no signed record says it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub program: Option<String>,
    /// As it is printed.
    pub name: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub companion: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub email: Option<String>,
    /// The day on which the person was credited.
    pub day: Date,
    /// The certificate that this one stands in for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub replaces: Option<Number>,
    /// The signed record, where there was a key to sign with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub credential: Option<Value>,
}

/// What a certificate is given for.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase", deny_unknown_fields)]
pub enum Occasion {
    /// A workshop that was attended and passed.
    Event { id: String, name: String, date: Date },
    /// An award of the service unit, and the day on which its hours were full.
    Award { name: String, date: Date },
}

/// A certificate that no longer counts. Its number stays taken.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Withdrawn {
    pub number: Number,
    pub day: Date,
    pub why: String,
}

/// Whether a certificate counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State<'r> {
    Valid,
    /// By this number.
    Replaced(&'r Number),
    Withdrawn(&'r Withdrawn),
}

/// The register, in the order of its lines.
#[derive(Clone, Debug, Default)]
pub struct Register {
    lines: Vec<Line>,
    given: BTreeMap<Number, usize>,
    replaced: BTreeMap<Number, Number>,
    withdrawn: BTreeMap<Number, usize>,
    /// The lines of the keys that count.
    keys: Vec<usize>,
    /// So many lines from the first are held by a head that a key of the program signed.
    sealed: usize,
    /// Where an interrupted run left it.
    pub left: Left,
}

/// A line of the register.
pub type Line = super::chained::Line<Entry>;

impl Given {
    /// Who gave it, where its line or its record says so.
    pub fn agency(&self) -> Option<&str> {
        let of_record = || self.credential.as_ref()?.pointer("/issuer/name")?.as_str();
        self.agency.as_deref().or_else(of_record)
    }
}

impl Occasion {
    /// `person` or `award`.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Event { .. } => "person",
            Self::Award { .. } => "award",
        }
    }

    /// What tells one occasion from every other of a season.
    pub fn key(&self) -> String {
        match self {
            Self::Event { id, .. } => id.clone(),
            // No event's id has a space.
            Self::Award { name, .. } => format!("award {name}"),
        }
    }

    /// The event's or the award's name.
    pub fn name(&self) -> &str {
        match self {
            Self::Event { name, .. } | Self::Award { name, .. } => name,
        }
    }

    /// When it was.
    pub fn date(&self) -> Date {
        match self {
            Self::Event { date, .. } | Self::Award { date, .. } => *date,
        }
    }
}

/// Reads the register of a program folder by itself. A folder without one has an empty register.
///
/// # Errors
/// Where one of its files is there and cannot be read.
pub fn open(folder: &Path) -> io::Result<(Register, Vec<Fault>)> {
    let read = |file| match crate::disk::read(&folder.join(file)) {
        Ok(bytes) => Ok(Some(String::from_utf8_lossy(&bytes).into_owned())),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(error),
    };
    // In this order, for another run may be adding lines just now: the head never runs ahead.
    let head = read(HEAD)?;
    Ok(chain::parse(read(FILE)?.as_deref(), head.as_deref()))
}

impl Register {
    pub(super) fn read(files: &mut Files, mistakes: &Mistakes) -> Arc<Self> {
        // In this order, for another run may be adding lines just now: the head never runs ahead.
        let head = files.find(HEAD);
        let page = files.find_record(FILE);
        if let Some(before) = files.before(&[FILE, HEAD]) {
            let register = before.people.register.clone();
            register.remarks().into_iter().for_each(|remark| mistakes.add(remark));
            return register;
        }
        let text = |page: &Option<Page>| page.as_ref().map(|page| page.text().to_owned());
        let (register, faults) = chain::parse(text(&page).as_deref(), text(&head).as_deref());
        for remark in register.remarks() {
            mistakes.add(remark);
        }
        for fault in faults {
            let place = match &page {
                Some(page) if fault.file == FILE => page.place(fault.at..fault.at),
                _ => Place::whole(fault.file),
            };
            mistakes.tell(fault.rule, place, fault.message, fault.mend);
        }
        Arc::new(register)
    }

    pub fn lines(&self) -> &[Line] {
        &self.lines
    }

    /// The hash that the next line carries as the one before it.
    pub fn last_hash(&self) -> &str {
        self.lines.last().map_or(chain::NONE_BEFORE, |line| &line.hash)
    }

    /// Every certificate that was ever given, in the order in which they were.
    pub fn all_given(&self) -> impl Iterator<Item = &Given> {
        self.lines.iter().filter_map(|line| match &line.entry {
            Entry::Given(given) => Some(&**given),
            _ => None,
        })
    }

    /// Those that no other stands in for, withdrawn or not: one that was taken back was given all the same.
    pub fn not_replaced(&self) -> impl Iterator<Item = &Given> {
        self.all_given().filter(|given| !matches!(self.state(&given.number), State::Replaced(_)))
    }

    /// The certificates that count: neither withdrawn nor replaced.
    pub fn valid(&self) -> impl Iterator<Item = &Given> {
        self.all_given().filter(|given| self.state(&given.number) == State::Valid)
    }

    pub fn given(&self, number: &Number) -> Option<&Given> {
        match &self.lines[*self.given.get(number)?].entry {
            Entry::Given(given) => Some(given),
            _ => None,
        }
    }

    /// Whether a certificate counts. One that was withdrawn and then replaced is replaced.
    pub fn state(&self, number: &Number) -> State<'_> {
        if let Some(by) = self.replaced.get(number) {
            return State::Replaced(by);
        }
        let line = self.withdrawn.get(number).map(|at| &self.lines[*at].entry);
        match line {
            Some(Entry::Withdrawn(withdrawn)) => State::Withdrawn(withdrawn),
            _ => State::Valid,
        }
    }

    /// The certificate that counts in the place of this one, or was the last to do so.
    pub fn newest<'r>(&'r self, number: &'r Number) -> &'r Number {
        let mut newest = number;
        while let Some(by) = self.replaced.get(newest) {
            newest = by;
        }
        newest
    }

    /// The key to sign with: of those that count the one that was made last.
    pub fn key(&self) -> Option<&Key> {
        self.keys().last()
    }

    /// The program's keys, in the order in which they were made: the first, and each that one of them signed in.
    pub fn keys(&self) -> impl DoubleEndedIterator<Item = &Key> {
        self.keys.iter().filter_map(|at| match &self.lines[*at].entry {
            Entry::Key(key) => Some(key),
            _ => None,
        })
    }

    /// Keys that nobody signed in, each with its place. They count only where their private half is at hand.
    pub fn keys_unsigned(&self) -> impl Iterator<Item = (&Key, Place)> {
        let lines = self.lines.iter().enumerate().filter(|(at, _)| !self.keys.contains(at));
        lines.filter_map(|(_, line)| match &line.entry {
            Entry::Key(key) => Some((key, Place::new(&FILE.into(), line.at..line.at))),
            _ => None,
        })
    }

    /// Where a certificate's line stands, for findings: its start, so that no name is quoted.
    pub fn place(&self, number: &Number) -> Place {
        let at = self.given.get(number).map_or(0, |at| self.lines[*at].at);
        Place::new(&FILE.into(), at..at)
    }

    /// The number of a certificate's line, counted from 1.
    pub fn line_of(&self, number: &Number) -> Option<usize> {
        self.given.get(number).map(|at| at + 1)
    }

    /// Adds a line.
    ///
    /// # Errors
    /// A sentence that says why such a line cannot stand here.
    pub fn push(&mut self, line: Line) -> Result<(), &'static str> {
        let at = self.lines.len();
        match &line.entry {
            Entry::Key(key) => {
                if self.counts(key) {
                    self.keys.push(at);
                }
            }
            Entry::Given(given) => {
                if self.given.contains_key(&given.number) {
                    return Err("It gives a number that was given before.");
                }
                if let Some(old) = &given.replaces {
                    if !self.given.contains_key(old) {
                        return Err("It replaces a certificate that was never given.");
                    }
                    if self.replaced.contains_key(old) {
                        return Err("It replaces a certificate that was replaced before.");
                    }
                    self.replaced.insert(old.clone(), given.number.clone());
                }
                self.given.insert(given.number.clone(), at);
            }
            Entry::Withdrawn(withdrawn) => {
                if !self.given.contains_key(&withdrawn.number) {
                    return Err("It withdraws a certificate that was never given.");
                }
                self.withdrawn.insert(withdrawn.number.clone(), at);
            }
        }
        self.lines.push(line);
        Ok(())
    }
}
