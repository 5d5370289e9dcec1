//! `packstring proofread --roster`: what was understood of the roster, row by row, and what was not; and
//! with `--save` what leaves no doubt is put right in its file.
//!
//! Reads the program as `proofread` does, and also where the people files alone have mistakes, so that
//! whoever has been sent a wild export sees all of it at once. [`table`] is the form for a person,
//! [`json`] the one for a program, which gives rows and columns and nothing that people wrote.

mod json;
mod table;

pub use json::RosterRecord;

use super::report::As;
use super::{CommandError, Outcome};
use crate::disk;
use crate::finding::{Finding, Sources, rules};
use crate::io_error::in_words;
use crate::people::repairs;
use crate::people::scoring::Scores;
use crate::program::roster::{Participant, Roster};
use crate::program::tables::{EditError, Table};
use crate::program::{Program, Unread};
use crate::proof;
use crate::session::letters_of_roster;
use crate::session::{Environment, SessionError};
use crate::shelf::own_files::Saving;
use crate::understand::Understood;
use std::collections::HashMap;
use std::io::Write;
use std::path::Path;
use std::sync::Arc;

/// What is asked of the command.
#[derive(Clone, Copy, Debug, Default)]
pub struct RosterOptions {
    pub form: As,
    pub for_press: bool,
    /// Put right in the file what leaves no doubt.
    pub save: bool,
    /// Show the rows of a long roster that have nothing to say, too.
    pub every_row: bool,
}

/// Shows the roster as it was understood.
pub fn run(
    folder: Option<&Path>,
    asked: RosterOptions,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    if asked.form == As::Sarif {
        return Err(CommandError::said(
            "The roster's table is not available as SARIF. Use --as json, or leave --roster out for findings as SARIF.",
        ));
    }
    let mut read = Read::open(folder, environment)?;
    let mut saved = Saved::default();
    if asked.save {
        saved = save(&read)?;
        if !saved.mends.is_empty() {
            read = Read::open(folder, environment)?;
        }
    }
    let Some(table) = &read.roster.table else { return untabled(&read, asked, environment, out) };
    let look = Look::new(&read, table);
    match asked.form {
        As::Json => writeln!(out, "{:#}", json::look(&look, &saved))?,
        _ => table::Teller::new(&look, environment.terminal, out).tell(&saved, asked.every_row)?,
    }
    Ok(outcome(&look, asked.for_press))
}

/// Where there is no table to show: why not, as findings.
fn untabled(
    read: &Read,
    asked: RosterOptions,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    if read.findings.is_empty() {
        return Err(CommandError::said(
            "There is no roster in the program folder. It is people/roster.csv, .tsv, .xlsx or .ods.",
        ));
    }
    let report = super::report::Report::of(&read.findings, &read.sources, None);
    report.write(asked.form, environment.terminal, out)?;
    Ok(Outcome::NotDone)
}

fn outcome(look: &Look, for_press: bool) -> Outcome {
    let findings = look.file.iter().chain(look.rows.iter().flat_map(|row| &row.findings));
    if look.whole { Outcome::of(findings.copied(), for_press) } else { Outcome::NotDone }
}

/// A program as far as it could be read.
struct Read {
    folder: std::path::PathBuf,
    sources: Sources,
    roster: Arc<Roster>,
    /// Of the people files.
    findings: Vec<Finding>,
    /// Files besides those of people that have mistakes, which `proofread` tells.
    elsewhere: bool,
    whole: bool,
}

impl Read {
    fn open(folder: Option<&Path>, environment: &Environment) -> Result<Self, CommandError> {
        match crate::session::open_program(folder, environment) {
            Ok(program) => Self::of(program, Vec::new(), environment),
            Err(SessionError::Unread(unread)) => Self::of_unread(*unread, environment),
            Err(error) => Err(error.into()),
        }
    }

    fn of_unread(unread: Unread, environment: &Environment) -> Result<Self, CommandError> {
        let Unread { sources, mistakes, partial } = unread;
        let (findings, elsewhere): (Vec<Finding>, Vec<Finding>) =
            mistakes.into_iter().partition(is_of_people);
        match partial {
            // Nothing but people files is wrong: the rules have all that they ask for.
            Some(mut program) if elsewhere.is_empty() => {
                program.sources = sources;
                Ok(Self { whole: false, ..Self::of(*program, findings, environment)? })
            }
            partial => {
                let program = partial.map(|program| *program);
                let folder = program.as_ref().map(|program| program.folder.clone()).unwrap_or_default();
                let roster = program.map(|program| program.people.roster).unwrap_or_default();
                Ok(Self { folder, sources, roster, findings, elsewhere: true, whole: false })
            }
        }
    }

    fn of(
        program: Program,
        mut findings: Vec<Finding>,
        environment: &Environment,
    ) -> Result<Self, CommandError> {
        let understood = Understood::new(&program);
        findings.extend(proof::proofread(&understood, &Scores::of(&understood), environment.today));
        let press = crate::session::open_press(&program)?;
        let mut letters = letters_of_roster(&press, &understood);
        proof::weigh(&program, &mut letters);
        findings.extend(letters);
        findings.retain(is_of_people);
        proof::in_order(&mut findings);
        let Program { folder, sources, people, .. } = program;
        Ok(Self { folder, sources, roster: people.roster, findings, elsewhere: false, whole: true })
    }
}

fn is_of_people(finding: &Finding) -> bool {
    finding.place.file.starts_with("people/roster.")
}

/// What is told: the rows with their findings, and what concerns the file as a whole.
struct Look<'r> {
    table: &'r Table,
    roster: &'r Roster,
    sources: &'r Sources,
    rows: Vec<Line<'r>>,
    file: Vec<&'r Finding>,
    elsewhere: bool,
    whole: bool,
}

/// A row of data.
struct Line<'r> {
    number: usize,
    /// `None` where nothing could be read of the row.
    participant: Option<&'r Participant>,
    findings: Vec<&'r Finding>,
}

impl Line<'_> {
    /// Whether everything in it was understood; there may be something to look at all the same.
    fn is_understood(&self) -> bool {
        self.participant.is_some() && !self.findings.iter().any(|finding| finding.stops_press)
    }
}

impl<'r> Look<'r> {
    fn new(read: &'r Read, table: &'r Table) -> Self {
        let participants: HashMap<usize, &Participant> =
            read.roster.rows.iter().map(|participant| (participant.row, participant)).collect();
        let mut rows: Vec<Line> = table
            .rows()
            .map(|row| row.number())
            .map(|number| Line {
                number,
                participant: participants.get(&number).copied(),
                findings: Vec::new(),
            })
            .collect();
        let starts: Vec<usize> = table
            .rows()
            .map(|row| row.cell(0).map_or(usize::MAX, |cell| cell.source_range().start))
            .collect();
        let first = starts.first().copied().unwrap_or(usize::MAX);
        let mut file = Vec::new();
        for finding in &read.findings {
            let start = finding.place.range.start;
            match starts.partition_point(|row| *row <= start).checked_sub(1) {
                Some(at) if start >= first && finding.place.file == table.file && is_of_row(finding) => {
                    rows[at].findings.push(finding);
                }
                _ => file.push(finding),
            }
        }
        let Read { elsewhere, whole, .. } = *read;
        Self { table, roster: &read.roster, sources: &read.sources, rows, file, elsewhere, whole }
    }
}

/// Some findings stand at the first row where they show, and are about the whole file.
fn is_of_row(finding: &Finding) -> bool {
    ![&rules::ENCODING_GUESSED, &rules::ENCODING_UNCLEAR, &rules::PASSED_OVER].contains(&finding.rule)
}

/// What `--save` has done.
#[derive(Default)]
struct Saved {
    mends: Vec<SavedMend>,
    /// Why something that could have been put right was left, in sentences.
    left: Vec<String>,
    asked: bool,
}

struct SavedMend {
    row: usize,
    field: &'static str,
    was: String,
    now: String,
}

fn save(read: &Read) -> Result<Saved, CommandError> {
    let mut saved = Saved { asked: true, ..Saved::default() };
    let mends = repairs::plan(&read.roster);
    let (Some(table), false) = (&read.roster.table, mends.is_empty()) else { return Ok(saved) };
    let file = &table.file;
    let path = read.folder.join(&**file);
    let there = disk::read(&path)
        .map_err(|error| CommandError::said(format!("Could not read {file}: {}.", in_words(&error))))?;
    let edited = match table.edited(&there, &repairs::changes(&mends)) {
        Ok(edited) => edited,
        Err(EditError::Workbook) => {
            let cells: Vec<String> = mends
                .iter()
                .map(|mend| format!("row {} ({})", mend.cell.row, mend.cell.field.word()))
                .collect();
            saved.left.push(format!(
                "{file} is a workbook, which packstring does not write into. Put these cells right there: {}.",
                few(&cells)
            ));
            return Ok(saved);
        }
        Err(EditError::Changed) => return Err(changed(file)),
    };
    for (number, letter) in &edited.left {
        let mend = &mends[*number].cell;
        saved.left.push(format!(
            "Row {}, {}: left as it is, since the encoding of {file} has no {}. Save the file as CSV in UTF-8 first.",
            mend.row,
            mend.field.word(),
            crate::spelling::marks::told(*letter)
        ));
    }
    let left: Vec<usize> = edited.left.iter().map(|(number, _)| *number).collect();
    let written = mends.iter().enumerate().filter(|(number, _)| !left.contains(number));
    saved.mends = written
        .map(|(_, mend)| SavedMend {
            row: mend.cell.row,
            field: mend.cell.field.word(),
            was: mend.cell.text.clone().into_owned(),
            now: mend.now.clone(),
        })
        .collect();
    if saved.mends.is_empty() {
        return Ok(saved);
    }
    let mut saving = Saving::open(&read.folder)?;
    saving.stage(file, &there, &edited.bytes)?;
    saving.save()?;
    Ok(saved)
}

fn changed(file: &str) -> CommandError {
    CommandError::said(format!(
        "{file} was changed by someone else just now, so nothing was saved. Run the command again."
    ))
}

/// The first of a list, and how many more there are.
fn few(list: &[String]) -> String {
    const MOST: usize = 12;
    let shown = list.iter().take(MOST).cloned().collect::<Vec<_>>().join(", ");
    if list.len() > MOST { format!("{shown} and {} more", list.len() - MOST) } else { shown }
}
