//! Parts brought together on one private shelf, once all of them are there and were made from the same things.

use super::{Progress, Session, SessionError, Tell, standing};
use crate::job::Shelf;
use crate::pieces::certificates;
use crate::shelf::{FoundPart, PartNote, Putting, Settles, Shelves};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// What was brought together.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Gathered {
    pub parts: usize,
    pub put: usize,
    pub kept: usize,
    pub cleared: usize,
}

/// How many files are told one by one.
const TOLD: usize = 8;

impl Session<'_> {
    /// Puts what all parts in these folders made on the private shelf, and makes their records one.
    ///
    /// # Errors
    /// A part or a file is missing, doubled, damaged, or was made from other things: all of it is told, and nothing is
    /// put. Or it could not be done.
    pub fn gather(&mut self, folders: &[PathBuf], tell: Tell) -> Result<Gathered, SessionError> {
        self.take_in_decisions()?;
        let mut parts = Vec::new();
        let mut wrong = Vec::new();
        for folder in folders {
            let found = FoundPart::all_in(folder)?;
            if found.is_empty() {
                wrong.push(format!("There is no part in {}.", folder.display()));
            }
            parts.extend(found);
        }
        let press = self.press()?;
        wrong.extend(told_of_parts(&parts, &standing::of_all(&self.program, press, "")));
        if wrong.is_empty() {
            wrong.extend(told_of_files(&parts));
        }
        if !wrong.is_empty() {
            wrong.push("Nothing was gathered.".to_owned());
            return Err(SessionError::said(wrong.join("\n")));
        }
        let settles = parts.iter().filter_map(FoundPart::note).map(|note| note.settles).next();
        let mut shelves = Shelves::open(&self.out, &self.program.folder)?;
        self.check_register()?;
        let mut gathered = Gathered { parts: parts.len(), ..Gathered::default() };
        let put = put_all(&parts, &mut shelves, &mut gathered, tell);
        if matches!(put, Ok(ref damaged) if damaged.is_empty()) {
            gathered.cleared = shelves.clear_rest(|shelf, path| is_settled(settles, shelf, path))?;
            let all_made = matches!(settles, Some(Settles::All | Settles::Certificates));
            shelves.note_register(&self.program.people.register, all_made);
        }
        let sources = self.program.sources.files();
        shelves.finish(sources.map(|(name, text)| (&**name, text.as_bytes())))?;
        let damaged = put?;
        if !damaged.is_empty() {
            return Err(SessionError::said(format!(
                "{} What stands in {} beside them is whole.",
                few("is not as its part made it. Make that part again", &damaged),
                self.out.display()
            )));
        }
        Ok(gathered)
    }
}

/// Puts the files of all parts. Gives those that are damaged.
fn put_all(
    parts: &[FoundPart],
    shelves: &mut Shelves,
    gathered: &mut Gathered,
    tell: Tell,
) -> Result<Vec<String>, SessionError> {
    tell(Progress::Files(parts.iter().map(|part| part.paths().count()).sum()));
    let mut damaged = Vec::new();
    for part in parts {
        shelves.take_in(part, &mut |path, putting| {
            tell(Progress::Done);
            match putting {
                Putting::Put => gathered.put += 1,
                Putting::Kept => gathered.kept += 1,
                Putting::Damaged => damaged.push(in_part(part, path)),
            }
        })?;
    }
    Ok(damaged)
}

/// Whether a file belongs to what the parts made whole.
fn is_settled(settles: Option<Settles>, shelf: Shelf, path: &str) -> bool {
    shelf == Shelf::Private
        && match settles {
            Some(Settles::All) => true,
            Some(Settles::Certificates) => path.starts_with(certificates::FOLDER),
            Some(Settles::Nothing) | None => false,
        }
}

/// What is wrong with the parts as such, against each other and against the program as it is now.
fn told_of_parts(parts: &[FoundPart], now: &str) -> Vec<String> {
    let mut told = Vec::new();
    let mut by_number: BTreeMap<usize, Vec<&Path>> = BTreeMap::new();
    let mut counts: BTreeSet<usize> = BTreeSet::new();
    let mut asked: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for part in parts {
        let name = format!("Part {} in {}", part.part(), part.folder().display());
        by_number.entry(part.part().number()).or_default().push(part.folder());
        counts.insert(part.part().of());
        match part.note() {
            None => told.push(format!("{name} has a damaged record. Make it again.")),
            Some(PartNote { finished: false, .. }) => {
                told.push(format!("{name} was interrupted. Make it again: what is there is kept."));
            }
            Some(note) if note.from != now => told.push(format!(
                "{name} was made from other files or decisions than the program has now. Make it again."
            )),
            Some(note) => asked.entry(&note.asked).or_default().push(part.part().to_string()),
        }
    }
    if counts.len() > 1 {
        let counts: Vec<String> = counts.iter().map(usize::to_string).collect();
        told.push(format!(
            "These parts are of different numbers: of {}. Gather parts of one number.",
            counts.join(" and of ")
        ));
        return told;
    }
    if asked.len() > 1 {
        let each = asked.iter().map(|(asked, parts)| format!("{} with `{asked}`", parts.join(", ")));
        told.push(format!("The parts had different options: {}.", each.collect::<Vec<_>>().join("; ")));
    }
    for (number, folders) in by_number.iter().filter(|(_, folders)| folders.len() > 1) {
        let folders: Vec<String> = folders.iter().map(|folder| folder.display().to_string()).collect();
        told.push(format!(
            "Part {number} is there {} times: in {}. Name one of them.",
            folders.len(),
            folders.join(" and ")
        ));
    }
    let of = counts.into_iter().next().unwrap_or_default();
    let missing: Vec<String> = (1..=of)
        .filter(|number| !by_number.contains_key(number))
        .map(|number| format!("{number}/{of}"))
        .collect();
    if !missing.is_empty() {
        let (parts, are) = if missing.len() == 1 { ("Part", "is") } else { ("Parts", "are") };
        told.push(format!(
            "{parts} {} {are} missing. Make what is missing with `packstring make --part`.",
            missing.join(", ")
        ));
    }
    told
}

/// What is wrong with the files of parts: missing, or made by two of them.
fn told_of_files(parts: &[FoundPart]) -> Vec<String> {
    let missing: Vec<String> =
        parts.iter().flat_map(|part| part.missing().map(move |path| in_part(part, path))).collect();
    let mut seen = BTreeSet::new();
    let doubled: Vec<String> = parts
        .iter()
        .flat_map(|part| part.paths().map(move |path| (part, path)))
        .filter(|(_, path)| !seen.insert(*path))
        .map(|(part, path)| in_part(part, path))
        .collect();
    let mut told = Vec::new();
    if !missing.is_empty() {
        told.push(few("is missing or was changed since. Make that part again", &missing));
    }
    if !doubled.is_empty() {
        told.push(few("was made by another part too. Make all parts again, with one packstring", &doubled));
    }
    told
}

fn in_part(part: &FoundPart, path: &str) -> String {
    part.folder().join(Shelf::Private.name()).join(path).display().to_string()
}

/// The first of some files, and how many more there are.
fn few(what: &str, files: &[String]) -> String {
    let mut told: Vec<String> = files.iter().take(TOLD).map(|file| format!("{file} {what}.")).collect();
    if files.len() > TOLD {
        told.push(format!("So it is with {} more.", files.len() - TOLD));
    }
    told.join("\n")
}
