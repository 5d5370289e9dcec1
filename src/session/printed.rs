//! What stands in print: noted beside the pieces at each making, kept under a name where that is asked for, and
//! compared with what would be printed now.

use super::{Session, SessionError};
use crate::disk;
use crate::finding::Finding;
use crate::io_error::in_words;
use crate::job::{Job, Make, Piece, Shelf, Table, file_name};
use crate::people::scope::Scope;
use crate::pieces::{self, Selection, TABLE, row};
use crate::press::{Made, Planned, Press};
use crate::program::Program;
use crate::shelf::{PRINTED, Shelves, kept};
use crate::since::{self, Change, Comparison, PieceMade, PrintRecord, Unusable};
use crate::understand::Understood;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The words of what was made, by shelf and path.
#[derive(Default)]
pub(super) struct MadeWords(BTreeMap<(Shelf, String), (Vec<String>, usize)>);

impl MadeWords {
    /// Notes a file that was made. What is personal is not looked at.
    pub fn note(&mut self, job: &Job, made: &Made) {
        if job.shelf == Shelf::Private {
            return;
        }
        let words = match std::str::from_utf8(made.bytes) {
            _ if !made.words.is_empty() => made.words.to_vec(),
            Ok(page) if job.path.ends_with(".html") => vec![since::words_of_html(page)],
            _ => return,
        };
        self.0.insert((job.shelf, job.path.clone()), (words, made.sides));
    }

    fn take(&mut self, job: &Job) -> PieceMade {
        let made = self.0.remove(&(job.shelf, job.path.clone()));
        made.map_or(PieceMade::Before, |(words, sides)| PieceMade::Now { words, sides })
    }
}

/// Notes on the shelves what stands in print after a making.
pub(super) fn note(
    understood: &Understood,
    planned: &[Planned],
    mut words: MadeWords,
    selection: &Selection,
    shelves: &mut Shelves,
) {
    // Of one person's pieces there is nothing to tell.
    if selection.scope.participant.is_some() || selection.specimen {
        return;
    }
    let earlier = shelves.printed().and_then(|bytes| PrintRecord::parse(&bytes).ok());
    let earlier = earlier.filter(|earlier| is_of_this_program(earlier, understood.root).is_ok());
    let jobs: Vec<(&Job, Option<String>)> =
        planned.iter().map(|planned| (planned.job(), fingerprint_of(planned))).collect();
    // Where it was lost, records that were kept may know the same files.
    let kept: Vec<PrintRecord> = match &earlier {
        Some(_) => Vec::new(),
        None => all_kept(&understood.root.folder),
    };
    let record = gather(understood, &jobs, &mut words, &earlier.iter().chain(&kept).collect::<Vec<_>>());
    let is_of_all = selection.scope.event.is_none();
    let record = match &earlier {
        Some(earlier) => record.with_rest_of(earlier, is_of_all, &|shelf, path| shelves.holds(shelf, path)),
        None => record,
    };
    shelves.note_printed(record.to_json());
}

fn all_kept(program: &Path) -> Vec<PrintRecord> {
    let names = kept::names(program);
    names.iter().rev().filter_map(|name| read_record(&kept::path(program, name)).ok()).collect()
}

fn fingerprint_of(planned: &Planned) -> Option<String> {
    match planned.outputs().as_slice() {
        [only] => Some(only.fingerprint.chars().take(16).collect()),
        _ => None,
    }
}

fn gather(
    understood: &Understood,
    jobs: &[(&Job, Option<String>)],
    words: &mut MadeWords,
    earlier: &[&PrintRecord],
) -> PrintRecord {
    let program = understood.root;
    let planned: Vec<since::Planned> = jobs
        .iter()
        // What people are counted in on the open shelf is the season's report, and no text of the program.
        .filter(|(job, _)| !row(job.piece).personal || job.shelf == Shelf::Private)
        // They speak of what was printed before.
        .filter(|(job, _)| job.piece != Piece::Errata)
        .map(|(job, from)| since::Planned {
            job,
            piece: row(job.piece).key,
            shelf: job.shelf.name(),
            language: pieces::edition_of(program, &job.path).to_owned(),
            personal: row(job.piece).personal,
            from: from.clone(),
            made: words.take(job),
        })
        .collect();
    since::gather(understood, &planned, earlier, &|file| {
        disk::read(&program.folder.join(file)).unwrap_or_default()
    })
}

impl Session<'_> {
    /// Looks whether what stands in print could be kept under a name, before anything is made.
    ///
    /// # Errors
    /// The name is none for a file, or a record is there already.
    pub fn check_keeping(&self, name: &str) -> Result<(), SessionError> {
        let is_plain = |letter: char| letter.is_ascii_alphanumeric() || "-_.".contains(letter);
        let is_named = name.chars().all(is_plain) && name.starts_with(|it: char| it.is_ascii_alphanumeric());
        if !is_named || name.len() > 60 {
            return Err(SessionError::said(format!(
                "“{name}” cannot be the name of a record. Use letters, digits, points and hyphens, such as 2026 or 2026-spring."
            )));
        }
        kept::check(&self.program.folder, name)
            .map_err(|error| SessionError::said(format!("{error} Nothing was made.")))
    }

    /// Keeps what stands in print in the out folder under a name.
    ///
    /// # Errors
    /// There is nothing yet, or it cannot be written.
    pub fn keep_record(&self, name: &str) -> Result<(PathBuf, usize), SessionError> {
        let bytes = disk::read(&self.out.join(PRINTED)).map_err(|error| {
            SessionError::said(format!(
                "The record of what stands in print cannot be read: {}. Make all pieces once, and keep the record then.",
                in_words(&error)
            ))
        })?;
        let file = kept::keep(&self.program.folder, name, &bytes);
        Ok((file.map_err(|error| SessionError::said(error.to_string()))?, bytes.len()))
    }

    /// Compares an earlier making with what would be printed now.
    ///
    /// # Errors
    /// There is no such making, or it cannot be compared with.
    pub fn since(&mut self, old: &str) -> Result<Comparison, SessionError> {
        let record = find(old, &self.program, &self.environment.folder)?;
        self.take_in_decisions()?;
        let known = self.know();
        let press = self.press()?;
        let selection = self.worded(Selection::default())?;
        let mut jobs = pieces::plan(&known.understood, &known.scores, &selection);
        jobs.extend(of_events(&known.understood, &jobs, &record, |event| {
            let scope = Scope { event: Some(event.to_owned()), ..Scope::default() };
            let shared: Vec<_> = TABLE.iter().filter(|row| !row.personal).map(|row| row.piece).collect();
            let selection = Selection { scope, pieces: shared, ..selection.clone() };
            pieces::plan(&known.understood, &known.scores, &selection)
        }));
        let from = |job: &Job| match row(job.piece).personal {
            true => None,
            false => fingerprint_of(&press.plan(job)),
        };
        let jobs: Vec<(&Job, Option<String>)> = jobs.iter().map(|job| (job, from(job))).collect();
        // The pages of what is made by now.
        let here = read_record(&self.out.join(PRINTED)).ok();
        let earlier: Vec<&PrintRecord> = std::iter::once(&record).chain(&here).collect();
        let now = gather(&known.understood, &jobs, &mut MadeWords::default(), &earlier);
        let title = |key: &str| {
            TABLE.iter().find(|row| row.key == key).map_or_else(|| key.to_owned(), |row| row.title.to_owned())
        };
        Ok(since::compare(&record, &now, &known.understood, &title))
    }

    /// A selection with what differs from an earlier making, for errata.
    ///
    /// # Errors
    /// There is no such making; or a sentence still says what its fact no longer is, so that no correction can be told.
    pub fn with_since(&mut self, selection: Selection, old: &str) -> Result<Selection, SessionError> {
        let comparison = self.since(old)?;
        let is_on_paper = |change: &&Change| change.stands.iter().any(|stands| !stands.on_screen);
        let not_restated =
            comparison.changes.iter().filter(is_on_paper).filter(|change| change.not_restated).count();
        if not_restated > 0 {
            return Err(SessionError::said(format!(
                "{} still what the facts no longer say, so that no correction can be printed yet. `packstring restate` shows where, and `packstring restate --save` writes the new figures. Nothing was made.",
                match not_restated {
                    1 => "1 sentence says".to_owned(),
                    more => format!("{more} sentences say"),
                }
            )));
        }
        Ok(Selection { since: Some(Arc::new(comparison)), ..selection })
    }

    /// Makes a file that a job gives, beside the shelves.
    ///
    /// # Errors
    /// It cannot be made as it should be.
    fn made_alone(&self, job: &Job) -> Result<(Vec<u8>, Vec<Finding>), SessionError> {
        let press: &Press = self.press()?;
        let planned = press.plan(job);
        let mut bytes = Vec::new();
        let found = press.make(&planned, &|_| true, &mut |made| {
            bytes = made.bytes.to_vec();
            Ok(())
        })?;
        Ok((bytes, found.into_iter().map(|found| found.finding).collect()))
    }

    /// The list for the office of what is to be reprinted, as a PDF.
    ///
    /// # Errors
    /// It cannot be made as it should be.
    pub fn reprint_list(
        &self,
        told: &Comparison,
        path: &str,
    ) -> Result<(Vec<u8>, Vec<Finding>), SessionError> {
        let understood = self.understand(&self.program);
        let selection = self.worded(Selection::default())?;
        self.made_alone(&pieces::reprint_list::job(&understood, &selection, told, path))
    }

    /// Tables as a workbook.
    ///
    /// # Errors
    /// They do not fit one.
    pub fn workbook(&self, tables: Vec<Table>, path: &str) -> Result<Vec<u8>, SessionError> {
        let (path, make) = (path.to_owned(), Make::Tables(tables));
        // It goes to no shelf, and belongs to no piece.
        let job = Job { piece: Piece::CalibrationSheet, shelf: Shelf::Staff, path, make };
        Ok(self.made_alone(&job)?.0)
    }
}

/// What was made for events by themselves, and is in an old record.
fn of_events(
    understood: &Understood,
    common: &[Job],
    record: &PrintRecord,
    plan: impl Fn(&str) -> Vec<Job>,
) -> Vec<Job> {
    let common: BTreeSet<&str> = common.iter().map(|job| job.path.as_str()).collect();
    let paths: BTreeSet<&str> =
        record.editions.iter().flat_map(|edition| &edition.pieces).map(|piece| piece.path.as_str()).collect();
    let missing: BTreeSet<&str> = paths.difference(&common).copied().collect();
    let mut jobs = Vec::new();
    for event in &understood.content.settings.events {
        let name = file_name::of_id(&event.id);
        let is_of_it = |path: &&str| path.split('/').any(|part| part.split('.').next() == Some(&*name));
        if missing.iter().any(is_of_it) {
            jobs.extend(plan(&event.id).into_iter().filter(|job| missing.contains(job.path.as_str())));
        }
    }
    jobs
}

/// The record that is meant: of an out folder, its `made.json`, a program folder, a file, or a name that was kept.
fn find(old: &str, program: &Program, here: &Path) -> Result<PrintRecord, SessionError> {
    let path = here.join(old);
    let file = if path.is_dir() {
        let out = if path.join("program.toml").is_file() { path.join("out") } else { path.clone() };
        beside(&out)?
    } else if path.file_name().is_some_and(|name| name == "made.json") && path.is_file() {
        beside(disk::holder(&path))?
    } else if path.exists() {
        path
    } else {
        let file = kept::path(&program.folder, old);
        if old.contains(['/', '\\']) || !file.is_file() {
            return Err(not_there(old, program));
        }
        file
    };
    let record = read_record(&file)?;
    is_of_this_program(&record, program)?;
    Ok(record)
}

fn not_there(old: &str, program: &Program) -> SessionError {
    let names = kept::names(&program.folder);
    let there = match names.as_slice() {
        [] => "No record is kept yet: `packstring make --keep-record NAME` keeps one.".to_owned(),
        names => format!("Kept are: {}.", names.join(", ")),
    };
    SessionError::said(format!(
        "“{old}” is no folder, no file, and no record in {}. Name an earlier out folder, its made.json, or a record that was kept. {there}",
        program.folder.join("records").join("editions").display()
    ))
}

/// The record of an out folder.
fn beside(out: &Path) -> Result<PathBuf, SessionError> {
    let file = out.join(PRINTED);
    if file.is_file() {
        return Ok(file);
    }
    let why = if out.join("made.json").is_file() {
        format!(
            "holds pieces, but no {PRINTED}: an older packstring made them, which did not note what it printed. They cannot be compared"
        )
    } else {
        "is no out folder: there is no made.json in it".to_owned()
    };
    Err(SessionError::said(format!(
        "{} {why}. Name an out folder, or a record that `packstring make --keep-record NAME` kept.",
        out.display()
    )))
}

fn read_record(file: &Path) -> Result<PrintRecord, SessionError> {
    let said = |why: String| SessionError::said(format!("{} {why}", file.display()));
    let bytes = disk::read(file).map_err(|error| said(format!("cannot be read: {}.", in_words(&error))))?;
    PrintRecord::parse(&bytes).map_err(|error| match error {
        Unusable::NoRecord => said(
            "is no record of what was printed, or it is damaged. Name an earlier out folder, its made.json, or a record that `packstring make --keep-record NAME` kept."
                .to_owned(),
        ),
        Unusable::Newer(format) => said(format!(
            "was written by a newer packstring (form {format}), and this one cannot read it. Use the newest packstring."
        )),
    })
}

/// A program may have the season in its name.
fn is_of_this_program(record: &PrintRecord, program: &Program) -> Result<(), SessionError> {
    let settings = &program.content.settings;
    let without = |name: &str, season: &str| match season.trim() {
        "" => name.trim().to_owned(),
        season => name.replace(season, "").trim().to_owned(),
    };
    if without(&record.program, &record.season) == without(&settings.name, &settings.season) {
        return Ok(());
    }
    Err(SessionError::said(format!(
        "This is a record of another program: “{}”, and this program is “{}”. Name an earlier making of this program.",
        record.program, settings.name
    )))
}
