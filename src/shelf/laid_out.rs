//! `laid-out.json`: what laying out found, by the fingerprint of what was laid out, so that what did not change
//! need not be laid out again to be proofread; and what fitting chose, so that it is not measured again.
//!
//! Only content is noted here and nothing of people; it lies beside `made.json`, and whoever deletes it loses
//! nothing but time.

use super::{ShelfError, disk, own_folder, places};
use crate::disk::{Kind, Settle, Staged};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::rc::Rc;

/// Raised when a reader of today could misread tomorrow's record.
const FORMAT: u32 = 2;
pub(super) const FILE: &str = "laid-out.json";
/// How much of what fitting found is kept: that of some hundred lessons in several languages and at several events.
const FITS: usize = 20_000;

/// What was found at each fingerprint.
#[derive(Clone, Debug, Default)]
pub struct LaidOut {
    found: BTreeMap<String, Vec<Found>>,
    /// What fitting found; what was asked for last stands last.
    fits: Vec<(String, Value)>,
    /// Whether it says more, or less, than the file does.
    changed: bool,
}

#[derive(Serialize, Deserialize)]
struct Record {
    format: u32,
    /// What another version finds may differ.
    packstring: String,
    found: BTreeMap<String, Vec<Found>>,
    fits: Vec<(String, Value)>,
}

/// A finding of laying out, without the place in the file: that may move while what is laid out stays the same.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Found {
    pub rule: String,
    pub level: String,
    /// The key of its place among the sheet's places; none where it is about the sheet as a whole.
    pub key: Option<String>,
    pub message: String,
    pub says: String,
    pub mend: Option<String>,
}

impl LaidOut {
    /// The record beside `made.json` in `out`. None, a damaged one or that of another version is an empty one.
    ///
    /// # Errors
    /// A link or the like stands where it belongs, and it could not be written.
    pub fn read(out: &Path, program: &Path) -> Result<Self, ShelfError> {
        places::check_notes(out, program)?;
        let bytes = match places::look(&out.join(FILE))? {
            Some(Kind::File) => own_folder(out).and_then(|out| out.read(FILE.as_ref())),
            _ => return Ok(Self::default()),
        };
        let bytes = bytes.map_err(disk("read", &out.join(FILE)))?;
        Ok(Self::parse(&bytes))
    }

    fn parse(bytes: &[u8]) -> Self {
        let record = serde_json::from_slice(bytes).ok();
        match record {
            Some(Record { format: FORMAT, packstring, found, fits })
                if packstring == env!("CARGO_PKG_VERSION") =>
            {
                Self { found, fits, changed: false }
            }
            _ => Self::default(),
        }
    }

    pub fn of(&self, fingerprint: &str) -> Option<&[Found]> {
        self.found.get(fingerprint).map(Vec::as_slice)
    }

    pub fn note(&mut self, fingerprint: &str, found: Vec<Found>) {
        if self.of(fingerprint) != Some(&found) {
            self.found.insert(fingerprint.to_owned(), found);
            self.changed = true;
        }
    }

    /// Forgets all that was laid out from other things.
    pub fn keep_only(&mut self, is_known: impl Fn(&str) -> bool) {
        let before = self.found.len();
        self.found.retain(|fingerprint, _| is_known(fingerprint));
        self.changed |= self.found.len() != before;
    }

    /// What fitting found.
    pub fn fits(&self) -> &[(String, Value)] {
        &self.fits
    }

    /// Notes what fitting found or was asked for now. Of what was not asked for for long, the oldest is forgotten.
    pub fn note_fits(&mut self, fits: Vec<(String, Value)>) {
        let asked: BTreeMap<&str, &Value> = fits.iter().map(|(key, value)| (key.as_str(), value)).collect();
        let is_known = |(key, value): &(String, Value)| asked.get(key.as_str()) == Some(&value);
        let known = self.fits.iter().filter(|fit| is_known(fit)).count();
        self.changed |= known < fits.len();
        self.fits.retain(|(key, _)| !asked.contains_key(key.as_str()));
        self.fits.extend(fits);
        let too_many = self.fits.len().saturating_sub(FITS);
        self.fits.drain(..too_many);
    }

    /// Writes the record, where it says anything new. It only saves time, so a folder that cannot be written to
    /// is no trouble.
    pub fn write(&mut self, out: &Path) {
        if !self.changed {
            return;
        }
        let (format, packstring) = (FORMAT, env!("CARGO_PKG_VERSION").to_owned());
        let (found, fits) = (self.found.clone(), self.fits.clone());
        let record = Record { format, packstring, found, fits };
        let Ok(mut json) = serde_json::to_vec_pretty(&record) else { return };
        json.push(b'\n');
        if fs::create_dir_all(out).is_ok() {
            let written = own_folder(out).and_then(|folder| {
                let folder = Rc::new(folder);
                let staged = Staged::write(folder.clone(), &json, super::permissions(0o644), Settle::GoOn);
                staged.and_then(|staged| staged.put(&folder, FILE.as_ref())).map_err(|error| error.source)
            });
            self.changed = written.is_err();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(out: &Path) -> LaidOut {
        LaidOut::read(out, out).unwrap()
    }

    fn found(message: &str) -> Found {
        let words = |words: &str| words.to_owned();
        let key = Some(words("water#boiling"));
        Found {
            rule: words("slide-overfull"),
            level: words("warning"),
            key,
            message: words(message),
            says: words(""),
            mend: None,
        }
    }

    #[test]
    fn what_was_found_is_read_back_and_what_is_no_longer_laid_out_is_forgotten() {
        let out = tempfile::tempdir().unwrap();
        let mut record = read(out.path());
        record.note("a", vec![found("two lines too many")]);
        record.note("b", Vec::new());
        record.write(out.path());
        let mut again = read(out.path());
        assert_eq!(again.of("a"), Some(&[found("two lines too many")][..]));
        assert_eq!(again.of("b"), Some(&[][..]));
        again.keep_only(|fingerprint| fingerprint == "b");
        again.write(out.path());
        assert_eq!(read(out.path()).of("a"), None);
    }

    #[test]
    fn of_what_fitting_found_the_longest_unasked_is_forgotten() {
        let out = tempfile::tempdir().unwrap();
        let fits =
            |keys: std::ops::Range<usize>| keys.map(|key| (format!("{key:05}"), Value::from(key))).collect();
        let mut record = read(out.path());
        record.note_fits(fits(0..10));
        record.note_fits(fits(10..FITS));
        record.note_fits(fits(0..5));
        record.note_fits(fits(FITS..FITS + 5));
        record.write(out.path());
        let again = read(out.path());
        let has = |key: usize| {
            again.fits().iter().any(|(known, value)| *known == format!("{key:05}") && *value == key)
        };
        assert_eq!(again.fits().len(), FITS);
        assert!(has(4) && !has(5) && !has(9) && has(10) && has(FITS + 4));
        let mut same = again.clone();
        same.note_fits(fits(0..5));
        assert!(!same.changed, "nothing new was found");
    }

    #[test]
    fn a_damaged_record_is_none() {
        let out = tempfile::tempdir().unwrap();
        fs::write(out.path().join(FILE), b"{\"format\": 2, \"pack").unwrap();
        assert_eq!(read(out.path()).of("a"), None);
    }
}
