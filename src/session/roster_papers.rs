//! How each row of the roster stands with its certificate: given, ready to be given, or held and why. Nothing is
//! written, and nobody is credited.

use super::crediting::{self, missing};
use super::{Known, Session, SessionError};
use crate::credential::number::Number;
use crate::finding::{Finding, Level, Place};
use crate::job::{Job, Make, Piece};
use crate::people::credit::{self, credited};
use crate::people::scope::Scope;
use crate::pieces::{self, Selection};
use crate::press::Step;
use crate::proof;
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};
use std::io;

/// A row's certificate.
#[derive(Clone, Debug)]
pub enum Paper {
    /// It was given, by this number and on this day.
    Given { number: String, day: Date },
    /// It was given, and withdrawn on this day for this reason.
    Withdrawn { number: String, day: Date, why: String },
    /// Whoever gives the event's certificates gives this one.
    Ready,
    /// It is not given, for this.
    Held(Vec<Finding>),
}

/// Files to be printed at once.
#[derive(Debug, Default)]
pub struct Sheets {
    /// Each by its path below its shelf.
    pub files: Vec<(String, Vec<u8>)>,
    /// What the press found.
    pub findings: Vec<Finding>,
}

/// The certificates of the roster.
#[derive(Clone, Debug, Default)]
pub struct Papers {
    /// By the number of the row.
    pub rows: BTreeMap<usize, Paper>,
    /// By the number of a row that looks like the person of a certificate with a corrected name: that certificate.
    pub replaces: BTreeMap<usize, Number>,
    /// What holds more than a row.
    pub told: Vec<Finding>,
}

impl Session<'_> {
    /// How the rows stand with their certificates.
    ///
    /// # Errors
    /// The theme cannot be read.
    pub fn papers(&self, known: &Known) -> Result<Papers, SessionError> {
        let program = known.understood.root;
        let Some(table) = &program.people.roster.table else { return Ok(Papers::default()) };
        let letters = self.press()?.letters();
        let today = self.environment.today;
        let scope = Scope::default();
        let mut papers = Papers::default();
        let row_of = |place: &Place| {
            (place.file == table.file).then(|| program.sources.row(place)).filter(|row| *row > 0)
        };
        let hold = |papers: &mut Papers, finding: Finding| match row_of(&finding.place) {
            Some(row) => match papers.rows.entry(row).or_insert_with(|| Paper::Held(Vec::new())) {
                Paper::Held(why) if !why.contains(&finding) => why.push(finding),
                Paper::Held(_) | Paper::Given { .. } | Paper::Withdrawn { .. } | Paper::Ready => {}
            },
            None => papers.told.push(finding),
        };
        for credit in credited(program, &scope) {
            if let Some(row) = credit.participant {
                let paper = Paper::Given { number: credit.given.number.to_string(), day: credit.given.day };
                papers.rows.insert(row.row, paper);
            }
        }
        for (row, line) in credit::withdrawn(program) {
            let (number, why) = (line.number.to_string(), line.why.clone());
            papers.rows.insert(row.row, Paper::Withdrawn { number, day: line.day, why });
        }
        let (held_rows, told_of_rows) = proof::held_rows(program, &known.findings);
        let mut due = credit::due(program, &known.scores, &program.people.register, &scope);
        due.take_ahead(today);
        due.take_held(&held_rows);
        let corrected = due.corrected.iter().filter_map(|it| Some((row_of(it.place)?, it.number.clone())));
        papers.replaces = corrected.collect();
        let stops = known.stops();
        let far = proof::clock_far(program, &due.people, today);
        let is_stopped = far.is_some() || !stops.is_empty();
        told_of_rows.into_iter().filter(|told| told.level > Level::Note).for_each(|it| hold(&mut papers, it));
        crediting::told_of_held(&due, program, today).into_iter().for_each(|it| hold(&mut papers, it));
        far.into_iter().chain(stops).for_each(|it| papers.told.push(it));
        for candidate in &due.people {
            match (missing(candidate, letters), row_of(candidate.place)) {
                (Some(finding), _) => hold(&mut papers, finding),
                (None, Some(row)) if !is_stopped => {
                    papers.rows.entry(row).or_insert(Paper::Ready);
                }
                (None, _) => {}
            }
        }
        Ok(papers)
    }

    /// Files of what is selected and known, as they would be printed, in memory. Nothing is put away and nobody is
    /// credited. Of certificates only those of some `rows` where these are asked for. `go_on` is told how many sheets
    /// of how many are laid out, and says whether to go on; `None` where it did not.
    ///
    /// # Errors
    /// The theme cannot set it.
    pub fn print(
        &self,
        known: &Known,
        selection: Selection,
        rows: Option<&BTreeSet<usize>>,
        go_on: &mut dyn FnMut(usize, usize) -> bool,
    ) -> Result<Option<Sheets>, SessionError> {
        let press = self.press()?;
        let selection = self.worded(selection)?;
        let jobs = pieces::plan(&known.understood, &known.scores, &selection);
        let (jobs, mut findings) = pieces::held_for_words(&known.understood, jobs);
        let sources = &known.understood.root.sources;
        // Certificates of one day stand in the event's run already.
        let mut seen = BTreeSet::new();
        let jobs: Vec<Job> = jobs
            .into_iter()
            .filter_map(|mut job| {
                match &mut job.make {
                    Make::Run(run) => {
                        if let Some(wanted) = rows {
                            run.entries.retain(|entry| {
                                entry.place.as_ref().is_some_and(|place| wanted.contains(&sources.row(place)))
                            });
                        }
                        run.entries.retain(|entry| seen.insert(entry.path.clone()));
                        run.alone = false;
                        (!run.entries.is_empty()).then_some(job)
                    }
                    // The signed record beside a certificate is no paper.
                    _ => (job.piece != Piece::Certificates).then_some(job),
                }
            })
            .collect();
        let planned: Vec<_> = jobs.iter().map(|job| press.plan(job)).collect();
        findings.extend(planned.iter().flat_map(|planned| planned.held.clone()));
        let mut files = Vec::new();
        let (mut done, of) = (0, jobs.iter().map(sheets_of).sum());
        let mut is_stopped = false;
        let made = press.make_all(&planned, &|_, _| true, &mut |step| {
            match step {
                Step::Begun(_) => {}
                Step::Laid(_, pages) => done += pages,
                Step::Made(_, made) => files.push((made.output.path.clone(), made.bytes.to_vec())),
                Step::Found(at, found) => {
                    done += usize::from(!matches!(jobs[at].make, Make::Run(_)));
                    findings.extend(found.into_iter().map(|found| found.finding));
                }
            }
            is_stopped = !go_on(done, of);
            if is_stopped { Err(io::ErrorKind::Interrupted.into()) } else { Ok(()) }
        });
        match made {
            Err(_) if is_stopped => Ok(None),
            made => made.map(|()| Some(Sheets { files, findings })).map_err(SessionError::from),
        }
    }
}

/// So many sheets a job counts for, where it is told how far a print is.
fn sheets_of(job: &Job) -> usize {
    match &job.make {
        Make::Run(run) => run.entries.len(),
        _ => 1,
    }
}
