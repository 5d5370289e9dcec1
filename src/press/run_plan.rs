//! What a run gives, planned before anything is laid out: its entries, and the common files that hold them.

use super::*;
use crate::job::{Piece, RunEntry, RunOfSheets};
use std::collections::BTreeSet;
use std::ops::Range;

/// Pages that one common file holds at most.
const VOLUME: usize = 1500;

/// What is to be made of a run, before anything is laid out.
pub(super) struct Plan<'r> {
    pub run: &'r RunOfSheets,
    pub entries: Vec<Ready<'r>>,
    pub volumes: Vec<Volume>,
}

/// An entry whose letters can all be printed.
pub(super) struct Ready<'r> {
    pub entry: &'r RunEntry,
    pub output: Output,
    /// Fonts of this machine that it needs beside the theme's.
    pub helpers: Vec<Font>,
}

/// A common file and the entries that it holds, counted among those that are ready.
pub(super) struct Volume {
    pub output: Output,
    pub entries: Range<usize>,
}

impl Plan<'_> {
    pub fn outputs(&self) -> Vec<&Output> {
        let mut outputs = Vec::new();
        for volume in &self.volumes {
            if self.run.alone {
                outputs.extend(self.entries[volume.entries.clone()].iter().map(|ready| &ready.output));
            }
            if !self.run.is_of_letters() {
                outputs.push(&volume.output);
            }
        }
        outputs
    }
}

/// Plans a run, and tells why entries are left out of it.
pub(super) fn plan<'r>(press: &Press, job: &Job, run: &'r RunOfSheets) -> (Plan<'r>, Vec<Finding>) {
    let mut common = press.fresh_fingerprint();
    press.absorb_template(&mut common, "run", &run.template, &run.data, &run.pictures);

    let mut held = Vec::new();
    let mut entries = Vec::new();
    for entry in &run.entries {
        if let Some(missing) = missing_letters(press, job, entry) {
            held.push(missing);
            continue;
        }
        let outside = press.letters.outside_theme(strings(&entry.data));
        let helpers = press.letters.helpers(outside);
        let mut hash = common.clone();
        absorb(&mut hash, entry.title.as_bytes());
        absorb(&mut hash, &json(&entry.data));
        if let Some(code) = &entry.code {
            absorb(&mut hash, format!("{:?}", code.correction()).as_bytes());
            absorb(&mut hash, code.says().as_bytes());
        }
        if let Some(letter) = &entry.letter {
            absorb(&mut hash, format!("{letter:?}").as_bytes());
        }
        press.absorb_fonts(&mut hash, &helpers);
        let output = Output { path: entry.path.clone(), fingerprint: hex(hash.finalize()) };
        entries.push(Ready { entry, output, helpers });
    }
    (Plan { run, volumes: volumes(&job.path, &entries), entries }, held)
}

fn volumes(path: &str, entries: &[Ready]) -> Vec<Volume> {
    let in_one = entries.len() <= VOLUME;
    entries
        .chunks(VOLUME)
        .enumerate()
        .map(|(number, held)| {
            let path = if in_one { path.to_owned() } else { volume_path(path, number + 1) };
            let mut hash = Sha256::new();
            held.iter().for_each(|ready| absorb(&mut hash, ready.output.fingerprint.as_bytes()));
            let start = number * VOLUME;
            Volume {
                output: Output { path, fingerprint: hex(hash.finalize()) },
                entries: start..start + held.len(),
            }
        })
        .collect()
}

/// `north-camp.pdf` becomes `north-camp-2.pdf`.
fn volume_path(path: &str, number: usize) -> String {
    let (stem, ending) = path.rsplit_once('.').unwrap_or((path, "pdf"));
    format!("{stem}-{number}.{ending}")
}

/// One finding for all letters of an entry that cannot be printed.
fn missing_letters(press: &Press, job: &Job, entry: &RunEntry) -> Option<Finding> {
    let found = strings(&entry.data).into_iter().map(|words| (words, press.letters.missing(words)));
    held_for(found.filter(|(_, letters)| !letters.is_empty()), job, entry)
}

/// The finding for an entry with letters that cannot be printed, given with the words they stand in.
pub(super) fn held_for<W: AsRef<str>>(
    found: impl IntoIterator<Item = (W, Vec<char>)>,
    job: &Job,
    entry: &RunEntry,
) -> Option<Finding> {
    let (words, letters): (Vec<W>, Vec<Vec<char>>) = found.into_iter().unzip();
    let letters: BTreeSet<char> = letters.into_iter().flatten().collect();
    let mut words: Vec<&str> = words.iter().map(AsRef::as_ref).collect();
    words.dedup();
    let held = match job.piece {
        // Of a letter it is the certificate in it that is held: told in the same words, it is told once.
        Piece::Certificates | Piece::Letters => "this certificate is held",
        Piece::NameTags => "this name tag is held",
        Piece::Labels => "this label is held",
        Piece::Envelopes => "this envelope is held",
        _ => "this sheet is held",
    };
    let place = entry.place.clone().unwrap_or_else(|| Place::whole(&job.path));
    let letters: Vec<char> = letters.into_iter().collect();
    (!letters.is_empty()).then(|| letters::letters_missing(&letters, &words, place, held))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_volume_is_named_before_its_ending() {
        assert_eq!(volume_path("certificates/north.camp.pdf", 2), "certificates/north.camp-2.pdf");
    }
}
