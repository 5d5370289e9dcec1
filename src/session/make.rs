//! Jobs made and put away: what already stands on its shelf, made from the same things, is kept.

use super::crediting::{self, Credited};
use super::printed::{self, MadeWords};
use super::{Known, Progress, Session, SessionError, Tell, check_selection, history, standing};
use crate::finding::Finding;
use crate::job::{Job, Piece, Shelf};
use crate::pieces::{self, Selection, certificates, errata, letters};
use crate::press::{Planned, Press, Step};
use crate::proof;
use crate::shelf::laid_out::LaidOut;
use crate::shelf::{PRINTED, START_HERE, Shelves, is_beside};
use crate::understand::Understood;
use std::collections::{BTreeMap, BTreeSet};
use std::io;
use std::sync::Arc;

/// What came of asking for pieces.
pub enum Making {
    /// Nothing was made: these stop the press.
    Stopped(Vec<Finding>),
    Done(Box<Made>),
}

/// What was made.
#[derive(Default)]
pub struct Made {
    pub count: Count,
    /// The pieces of which anything was planned.
    pub planned: BTreeSet<Piece>,
    /// What the press found, and who was held, in order and at the levels that the program sets.
    pub held_back: Vec<Finding>,
    /// What proofreading had found before, without what is told as held back.
    pub proofread: Vec<Finding>,
    pub credited: Credited,
    /// The ranger's decisions on answers that are no longer there.
    pub decisions_left_over: usize,
}

/// How many files of each piece were made and kept.
#[derive(Clone, Debug, Default)]
pub struct Count {
    /// By piece, how many were made and how many kept.
    pub pieces: BTreeMap<Piece, (usize, usize)>,
    /// How many were taken away, because nothing in the program is behind them any more.
    pub cleared: usize,
}

impl Session<'_> {
    /// Makes a selection of pieces: credits whom it asks for and who is due, makes what is not current, and takes
    /// away what a whole making no longer gives.
    ///
    /// # Errors
    /// What was asked for is not there, or it could not be done. What was put away by then is whole.
    pub fn make(&mut self, selection: Selection, tell: Tell) -> Result<Making, SessionError> {
        check_selection(&self.program, &selection)?;
        if selection.has_people() {
            self.take_in_decisions()?;
        } else {
            self.check_places()?;
        }
        let known = self.know();
        let stops = known.stops();
        if !stops.is_empty() {
            return Ok(Making::Stopped(stops));
        }
        let selection = self.without_held_people(selection)?;
        let press = self.press()?;
        let selection = self.worded(selection)?;
        let mut shelves = match selection.trial {
            true => Shelves::look(&self.out, &self.program.folder)?,
            false => Shelves::open(&self.out, &self.program.folder)?,
        };
        // Once more, for another run may have been waited for.
        self.check_register()?;
        let mut credited = crediting::credit(&known, press.letters(), &selection, self.environment)?;
        credited.unprinted = self.unprinted(&shelves, &selection);
        let with_credited = credited.program.take();
        if let Some(program) = with_credited.as_ref().filter(|_| !selection.trial) {
            self.note_credited(&mut shelves, &program.people.register)?;
        }
        let again = with_credited.as_ref().map(|program| self.understand(program));
        let understood = again.as_ref().unwrap_or(&known.understood);
        let from = standing::fingerprint(understood.root, press, &selection);
        // What stands in print, and the page to start with, are written by who plans them.
        let has_notes = [PRINTED, START_HERE].iter().all(|name| is_beside(&self.out, name));
        let from_noted = from.as_ref().filter(|_| has_notes);
        let standing = from_noted.and_then(|from| standing::kept(&shelves, from));
        let (count, planned, found) = match standing {
            Some(count) => (count.clone(), count.pieces.into_keys().collect(), Vec::new()),
            None => {
                let jobs = pieces::plan(understood, &known.scores, &selection);
                let planned = jobs.iter().map(|job| job.piece).collect();
                let (jobs, wordless) = pieces::held_for_words(understood, jobs);
                if selection.trial {
                    (expected(&plan_of(&jobs, press), &mut shelves), planned, wordless)
                } else {
                    let mut count = Count::default();
                    let mut laid_out = LaidOut::read(&self.out, &self.program.folder)?;
                    press.take_fits(laid_out.fits().iter().cloned());
                    let (files, mut words) = (plan_of(&jobs, press), MadeWords::default());
                    let made = make_all(&files, press, &mut shelves, (&mut count, &mut words), tell)
                        .and_then(|mut found| {
                            printed::note(understood, &files, words, &selection, &mut shelves);
                            found.extend(wordless);
                            if selection.is_everything() && !selection.specimen {
                                let page = pieces::start_here::data(understood, &selection, &jobs);
                                shelves.put_start_page(&press.page(START_HERE, &page)?)?;
                            }
                            count.cleared = shelves.clear_rest(|shelf, path| {
                                let asked = credited.asks && is_of_credits(shelf, path);
                                is_settled(&selection, shelf, path) && !asked
                            })?;
                            let whole = from.filter(|_| found.is_empty() && !press.has_borrowed());
                            shelves.note_whole(whole.map(|from| standing::note(from, &count)));
                            let all_made = selection.is_all_of(Piece::Certificates) && !selection.specimen;
                            shelves.note_register(&understood.root.people.register, all_made);
                            Ok(found)
                        });
                    laid_out.note_fits(press.fits());
                    laid_out.write(&self.out);
                    (count, planned, put_away(made, shelves, understood)?)
                }
            }
        };
        let mut held_back = credited.held.clone();
        held_back.extend(found);
        // What is only looked at is no print.
        let mut history = None;
        if !selection.trial && !selection.specimen && !count.pieces.is_empty() {
            match history::write_on(understood, self.environment) {
                Ok(written) => history = written,
                Err(finding) => held_back.push(*finding),
            }
        }
        held_back.extend(self.held_people.findings.iter().cloned());
        let made = Made { count, planned, credited, ..Made::of(&known, held_back) };
        if let Some(program) = with_credited {
            self.program = program;
        }
        if let Some(history) = history {
            self.program.history = Arc::new(history);
        }
        Ok(Making::Done(Box::new(made)))
    }

    /// Makes a selection of pieces of what is `known`. Nobody is credited, and nothing is taken away.
    ///
    /// # Errors
    /// It could not be done. What was put away by then is whole.
    pub fn make_of(&self, known: &Known, selection: Selection, tell: Tell) -> Result<Made, SessionError> {
        let press = self.press()?;
        let selection = self.worded(selection)?;
        let jobs = pieces::plan(&known.understood, &known.scores, &selection);
        let planned = jobs.iter().map(|job| job.piece).collect();
        let (jobs, wordless) = pieces::held_for_words(&known.understood, jobs);
        let mut shelves = Shelves::open(&self.out, &self.program.folder)?;
        let mut count = Count::default();
        let (planned_jobs, mut words) = (plan_of(&jobs, press), MadeWords::default());
        let made = make_all(&planned_jobs, press, &mut shelves, (&mut count, &mut words), tell);
        let mut held_back = put_away(made, shelves, &known.understood)?;
        held_back.extend(wordless);
        proof::weigh(&self.program, &mut held_back);
        proof::in_order(&mut held_back);
        Ok(Made { count, planned, held_back, ..Made::default() })
    }
}

/// What a making would make and keep, were it not only asked what that is.
pub(super) fn expected(planned: &[Planned], shelves: &mut Shelves) -> Count {
    let mut count = Count::default();
    let stale = keep_current(planned, shelves, &mut count, &mut |_| {});
    for (planned, stale) in planned.iter().zip(&stale) {
        stale.iter().for_each(|_| count.made(planned.job().piece));
    }
    count
}

fn plan_of<'j>(jobs: &'j [Job], press: &Press) -> Vec<Planned<'j>> {
    jobs.iter().map(|job| press.plan(job)).collect()
}

/// Whether a file belongs to what was to be made whole, so that it stays only where it was made now. A
/// certificate that was replaced or withdrawn does not linger beside the new one, and neither does its letter.
pub(super) fn is_settled(selection: &Selection, shelf: Shelf, path: &str) -> bool {
    let settled = |folder: &str, piece| {
        shelf == Shelf::Private && path.starts_with(folder) && selection.is_all_of(piece)
    };
    // Errata stay until they are made again: only who asks for them says since when.
    let is_errata = shelf == Shelf::Open && path.split('/').any(|part| part == errata::FOLDER);
    if is_errata {
        return selection.since.is_some();
    }
    selection.is_everything()
        || settled(certificates::FOLDER, Piece::Certificates)
        || settled(letters::FOLDER, Piece::Letters)
}

/// Whether a file is one of those that are made of who was credited.
fn is_of_credits(shelf: Shelf, path: &str) -> bool {
    shelf == Shelf::Private
        && [certificates::FOLDER, letters::FOLDER].iter().any(|folder| path.starts_with(folder))
}

/// Makes what is not current and puts it away. Gives what only laying out could tell.
pub(super) fn make_all(
    planned: &[Planned],
    press: &Press,
    shelves: &mut Shelves,
    (count, words): (&mut Count, &mut MadeWords),
    tell: Tell,
) -> Result<Vec<Finding>, SessionError> {
    tell(Progress::Files(planned.iter().map(|job| job.outputs().len()).sum()));
    let mut findings: Vec<Vec<Finding>> = planned.iter().map(|planned| planned.held.clone()).collect();
    let stale = keep_current(planned, shelves, count, tell);
    let mut failed = None;
    let made = press.make_all(planned, &|at, output| stale[at].contains(output.path.as_str()), &mut |step| {
        match step {
            Step::Laid(..) => {}
            Step::Begun(at) => tell(Progress::Making(&planned[at].job().path)),
            Step::Made(at, made) => {
                tell(Progress::Done);
                let job = planned[at].job();
                count.made(job.piece);
                words.note(job, &made);
                let put = shelves.put(job.shelf, &made.output.path, &made.output.fingerprint, made.bytes);
                return put.map_err(|error| {
                    failed = Some(error);
                    io::Error::other("the shelf is in trouble")
                });
            }
            Step::Found(at, found) => {
                // What is held is known before, and told whether the file is made or kept.
                let held = &planned[at].held;
                for found in found.into_iter().filter(|found| !held.contains(&found.finding)) {
                    // A file that was made with something to mend is made again until it is mended, so that
                    // it is told of each time.
                    shelves.make_again(planned[at].job().shelf, &found.path);
                    findings[at].push(found.finding);
                }
            }
        }
        Ok(())
    });
    match failed {
        Some(error) => Err(error.into()),
        None => Ok(made.map(|()| findings.concat())?),
    }
}

/// Keeps what stands on its shelf, made from the same things. Gives what does not, by job.
fn keep_current<'p>(
    planned: &'p [Planned],
    shelves: &mut Shelves,
    count: &mut Count,
    tell: Tell,
) -> Vec<BTreeSet<&'p str>> {
    let mut stale = vec![BTreeSet::new(); planned.len()];
    for (at, planned) in planned.iter().enumerate() {
        let job = planned.job();
        for output in planned.outputs() {
            if shelves.is_current(job.shelf, &output.path, &output.fingerprint) {
                shelves.keep(job.shelf, &output.path);
                count.kept(job.piece);
                tell(Progress::Done);
            } else {
                stale[at].insert(output.path.as_str());
            }
        }
    }
    stale
}

/// Records what was put away, also before a trouble, so that the next run need not make that again. Of
/// troubles the first is told: the others come of it.
pub(super) fn put_away<T>(
    made: Result<T, SessionError>,
    shelves: Shelves,
    understood: &Understood,
) -> Result<T, SessionError> {
    let sources = understood.root.sources.files();
    let recorded = shelves.finish(sources.map(|(name, text)| (&**name, text.as_bytes())));
    let made = made?;
    recorded?;
    Ok(made)
}

impl Made {
    /// What was `held_back`, in order, and the rest of what is known to be wrong.
    pub(super) fn of(known: &Known, mut held_back: Vec<Finding>) -> Self {
        proof::weigh(known.understood.root, &mut held_back);
        proof::in_order(&mut held_back);
        let mut proofread = known.findings.clone();
        proofread.retain(|finding| !held_back.contains(finding));
        let decisions_left_over = known.scores.leftover.len();
        Self { held_back, proofread, decisions_left_over, ..Self::default() }
    }
}

impl Count {
    fn made(&mut self, piece: Piece) {
        self.pieces.entry(piece).or_default().0 += 1;
    }

    fn kept(&mut self, piece: Piece) {
        self.pieces.entry(piece).or_default().1 += 1;
    }

    /// Whether any file of a piece was made or kept.
    pub fn has(&self, piece: Piece) -> bool {
        self.pieces.contains_key(&piece)
    }
}
