//! What bears a certificate's line out: the chain of hashes alone, the signature on its record, or the signature
//! on the register's head.
//!
//! A line and its record must say the same. Lines that a signed head holds are the ones that the program's key
//! vouched for; the records of all others are verified one by one. The first key of a register counts by itself,
//! for nobody was there to vouch for it; a later one counts where a key that counts signed it in.

use super::chain::{self, Fault, PUT_BACK, Seal};
use super::{Entry, FILE, Given, HEAD, Key, Register, SignedIn};
use crate::credential::number::Number;
use crate::credential::{Checked, SecretKey, badge, statement};
use crate::finding::{Finding, Place, Rule, rules};
use jiff::civil::Date;
use serde_json::{Value, json};

/// What bears a certificate out, beside the chain of hashes that every line is in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proof<'r> {
    /// Nothing: whoever may write the register's file can have written it.
    Chain,
    /// The record in its line says the same, and is signed by this key of the program.
    Record(&'r Key),
    /// The same by a key that nobody signed in.
    KeyUnsigned(&'r Key),
    /// Its line is held by a head that a key of the program signed.
    Head,
}

impl SignedIn {
    /// The word of a key that the program has for a new one, whose line is to come after `register`.
    pub fn of(public: &str, day: Date, register: &Register, by: &SecretKey) -> Self {
        let signature = statement::sign(&states(public, day, register.last_hash()), by);
        Self { by: by.public().to_string(), signature }
    }
}

fn states(public: &str, day: Date, before: &str) -> Value {
    json!({"key": {"public": public, "day": day, "before": before}})
}

impl Register {
    /// Whether a key that is to be the next line counts.
    pub(super) fn counts(&self, key: &Key) -> bool {
        let Some(signed) = &key.signed else { return self.lines.iter().all(|line| !is_key(&line.entry)) };
        let known = self.keys().any(|known| known.public == signed.by);
        known
            && statement::fits(&states(&key.public, key.day, self.last_hash()), &signed.by, &signed.signature)
    }

    /// What bears a certificate out. Of a register with a fault nothing does.
    pub fn proof(&self, number: &Number) -> Option<Proof<'_>> {
        let at = *self.given.get(number)?;
        let Entry::Given(given) = &self.lines[at].entry else { return None };
        let named = given.credential.as_ref().and_then(|record| badge::stated(record).ok());
        let named = named.map(|record| record.key.to_string());
        let is_named = |key: &&Key| named.as_ref().is_some_and(|named| key.public == *named);
        Some(if let Some(key) = self.keys().find(is_named) {
            Proof::Record(key)
        } else if let Some((key, _)) = self.keys_unsigned().find(|(key, _)| is_named(key)) {
            // Also where a head that was signed later holds the line: whoever signed it gave another certificate, and
            // did not look into who had put that key in.
            Proof::KeyUnsigned(key)
        } else if at < self.sealed {
            Proof::Head
        } else {
            Proof::Chain
        })
    }

    /// Holds the lines against what is signed of them, and tells what does not fit.
    pub(super) fn prove(&mut self, seal: Option<Seal>) -> Vec<Fault> {
        let mut faults = Vec::new();
        if let Some(seal) = seal {
            match self.doubt(&seal) {
                Some(message) => faults.push(forged(HEAD, 0, message.to_owned())),
                None => self.sealed = seal.lines,
            }
        }
        for (at, line) in self.lines.iter().enumerate() {
            let Entry::Given(given) = &line.entry else { continue };
            if let Some(why) = self.doubt_of_record(given, at < self.sealed) {
                let message = format!("Line {} of the certificate register {why}.", at + 1);
                faults.push(forged(FILE, line.at, message));
            }
        }
        faults
    }

    fn doubt(&self, seal: &Seal) -> Option<&'static str> {
        let known = self.keys().any(|key| key.public == seal.key);
        match () {
            () if !known => Some(
                "The head of the certificate register is signed with a key that is none of this program's.",
            ),
            () if !seal.fits() => Some(
                "The signature on the head of the certificate register does not fit: what it says is not what was signed.",
            ),
            () if !seal.is_of(self) => Some(
                "The certificate register is not the one whose head the program's key signed: its lines were written anew.",
            ),
            () => None,
        }
    }

    /// What is wrong with the record of a line. One that a signed head holds was verified when that was signed.
    fn doubt_of_record(&self, given: &Given, sealed: bool) -> Option<&'static str> {
        let record = given.credential.as_ref()?;
        let read = if sealed { badge::stated(record) } else { badge::verify_value(record) };
        let Ok(said) = read else { return Some("has a record whose signature does not fit it") };
        let key = said.key.to_string();
        let known = self.keys().any(|known| known.public == key);
        if !known && !self.keys_unsigned().any(|(known, _)| known.public == key) {
            return Some("has a record that is signed with no key of this program");
        }
        says_otherwise(given, &said)
    }

    /// What is odd about keys and signatures, and no fault.
    pub(super) fn remarks(&self) -> Vec<Finding> {
        let mut remarks: Vec<Finding> = self
            .keys_unsigned()
            .map(|(key, place)| {
                let message = format!(
                    "The key of {} was put into the certificate register without the word of an earlier key of this program, so it counts only where its private half is.",
                    key.day
                );
                Finding::of(&rules::REGISTER_KEY_UNSIGNED, place, message).mend(
                    "If you made it because the earlier one is lost, make the new key known to those who check certificates. If you did not, put both files of records/ back from a copy, or with `packstring certificates keep --restore FILE`.",
                )
            })
            .collect();
        let first = self.keys.first().copied().unwrap_or(usize::MAX);
        let unsigned = self.lines.iter().enumerate().skip(self.sealed.max(first));
        let unsigned: Vec<usize> = unsigned
            .filter(|(_, line)| matches!(&line.entry, Entry::Given(given) if given.credential.is_none()))
            .map(|(_, line)| line.at)
            .collect();
        if let [at, ..] = unsigned[..] {
            let certificates = match unsigned.len() {
                1 => "A certificate was".to_owned(),
                count => format!("{count} certificates were"),
            };
            let message = format!("{certificates} given without a signature, though this program has a key.");
            let finding = Finding::of(&rules::REGISTER_UNSIGNED, Place::new(&FILE.into(), at..at), message);
            remarks.push(finding.mend("Where the key is at hand again, the next certificate that is given, replaced or withdrawn signs the register's head, which holds these too."));
        }
        remarks
    }
}

fn is_key(entry: &Entry) -> bool {
    matches!(entry, Entry::Key(_))
}

fn forged(file: &'static str, at: usize, message: String) -> Fault {
    let rule: &'static Rule = &rules::REGISTER_FORGED;
    chain::Fault { rule, file, at, message, mend: PUT_BACK }
}

/// What a line says otherwise than its record.
pub fn says_otherwise(given: &Given, record: &Checked) -> Option<&'static str> {
    let companion = given.companion.as_deref().map(badge::narrative);
    match () {
        () if record.number.as_deref() != Some(&given.number.to_string()) => {
            Some("has another number than its signed record")
        }
        () if record.holder != given.name => Some("names another person than its signed record"),
        () if record.narrative != companion => Some("names another companion than its signed record"),
        () if record.achievement != given.occasion.name() => {
            Some("is for something else than its signed record")
        }
        () if record.date != given.occasion.date().to_string() => {
            Some("has another date than its signed record")
        }
        () if record.until != given.until.map(|until| until.to_string()) => {
            Some("ends on another day than its signed record")
        }
        () => None,
    }
}
