//! Jobs made, on every thread of the press, and handed over in their order.
//!
//! Sheets, pages and tables are a piece of work each, and so is each chunk of a run. Jobs next to each other that show
//! the same pages, as a chart and its tiles, are one: the pages are laid out once. What is handed over, and in which
//! order, is the same on every run; of several errors the first in the order of the jobs is told.

use super::broken;
use super::error::PressError;
use super::in_order::{About, Coming, in_order};
use super::sheet::{self, Done, Want, share_pages};
use super::station::Station;
use super::{Files, LayoutFinding, Output, Planned, Press, run, tables};
use crate::caught::caught;
use crate::finding::Finding;
use crate::job::{Job, Make};
use std::cell::RefCell;
use std::io;

/// How far a making is. Jobs are told by their place in the list, from 0.
pub enum Step<'a> {
    /// Files of this job are waited for.
    Begun(usize),
    /// So many more pages of its run are laid out.
    Laid(usize, usize),
    /// A file of it is whole.
    Made(usize, Made<'a>),
    /// All of its files are made, and this is wrong with them.
    Found(usize, Vec<LayoutFinding>),
}

/// A file that was made.
pub struct Made<'a> {
    pub output: &'a Output,
    pub bytes: &'a [u8],
    /// Of what is laid out, the words of each page; empty otherwise, and of runs.
    pub words: &'a [String],
    /// The pages of the file; of a booklet, its words' pages are smaller and more.
    pub sides: usize,
}

/// Takes each file as soon as it is whole and its turn has come.
pub type Take<'a> = &'a mut dyn FnMut(Step) -> io::Result<()>;

/// What is to be made of jobs that stand next to each other.
enum Part<'p> {
    /// Files of a sheet's pages, by their jobs' places.
    Sheets(Vec<usize>),
    /// A file that is not typeset.
    Plain(usize),
    Run(usize, run::Wanted<'p>),
}

/// What a thread does at once.
enum Work<'w, 'p> {
    Sheets(Vec<&'p Job>),
    Plain(&'p Job),
    Chunk(run::ChunkOf<'w, 'p>),
}

/// What came of it.
enum Came {
    Files(Vec<Result<Done, PressError>>),
    Chunk(Box<Result<run::Chunk, PressError>>),
}

impl Press {
    /// Makes those files of some jobs that are `wanted`. Files that cannot be made as they should be are not, and
    /// come back with why; a mistake in the theme is an error, and what comes after it is not made.
    pub fn make_all(
        &self,
        planned: &[Planned],
        wanted: &dyn Fn(usize, &Output) -> bool,
        take: Take,
    ) -> Result<(), PressError> {
        let parts = self.parts(planned, wanted);
        let work: Vec<Work> = parts.iter().flat_map(|part| part.work(planned)).collect();
        let start = || Station::new(self);
        let each = |station: &mut Station, at: usize| work[at].done(station);
        let is_heavy = |at: usize| work[at].is_heavy();
        let name = |at: usize| work[at].name();
        let weight = |at: usize| work[at].weight();
        in_order(
            self.threads,
            work.len(),
            About { is_heavy: &is_heavy, name: &name, weight: &weight },
            start,
            each,
            |coming| parts.iter().try_for_each(|part| part.take(planned, coming, take)),
        )
    }

    /// The same for one job.
    pub fn make(
        &self,
        planned: &Planned,
        wanted: &dyn Fn(&Output) -> bool,
        put: &mut dyn FnMut(Made) -> io::Result<()>,
    ) -> Result<Vec<LayoutFinding>, PressError> {
        let mut findings = Vec::new();
        self.make_all(std::slice::from_ref(planned), &|_, output| wanted(output), &mut |step| match step {
            Step::Begun(_) | Step::Laid(..) => Ok(()),
            Step::Made(_, made) => put(made),
            Step::Found(_, found) => {
                findings.extend(found);
                Ok(())
            }
        })?;
        Ok(findings)
    }

    /// Lays jobs out and gives only what that tells of each, for proofreading.
    pub fn measure_all(
        &self,
        jobs: &[&Job],
        take: &mut dyn FnMut(usize, Vec<Finding>),
    ) -> Result<(), PressError> {
        let start = || Station::new(self);
        let each = |station: &mut Station, at: usize| {
            let measured = caught(|| self.measured(station, jobs[at]));
            measured.unwrap_or_else(|why| Ok(vec![broken::finding(jobs[at], &why)]))
        };
        let is_heavy = |at: usize| sheet::is_heavy(jobs[at]);
        let name = |at: usize| jobs[at].path.clone();
        in_order(
            self.threads,
            jobs.len(),
            About { is_heavy: &is_heavy, name: &name, weight: &|_| 1 },
            start,
            each,
            |coming| {
                (0..jobs.len()).try_for_each(|at| {
                    take(at, coming.next()?);
                    Ok(())
                })
            },
        )
    }

    /// The same for one job.
    pub fn measure(&self, job: &Job) -> Result<Vec<Finding>, PressError> {
        let mut findings = Vec::new();
        self.measure_all(&[job], &mut |_, found| findings.extend(found))?;
        Ok(findings)
    }

    /// Lays a job out and draws its pages, each as SVG, with what that tells. A job without pages, or one that is
    /// held, gives none.
    pub fn show(&self, job: &Job) -> Result<(Vec<String>, Vec<Finding>), PressError> {
        let mut shown = (Vec::new(), Vec::new());
        let start = || Station::new(self);
        let each = |station: &mut Station, _| {
            let done = caught(|| sheet::make(station, &[job], Want::Pages).into_iter().next().transpose());
            let done = done.unwrap_or_else(|why| {
                Ok(Some(Done { findings: vec![broken::finding(job, &why)], ..Done::default() }))
            });
            Ok(done?.unwrap_or_default())
        };
        let about =
            About { is_heavy: &|_| sheet::is_heavy(job), name: &|_| job.path.clone(), weight: &|_| 1 };
        in_order(1, 1, about, start, each, |coming| {
            let done: Done = coming.next()?;
            shown = (done.pages, done.findings);
            Ok(())
        })?;
        Ok(shown)
    }

    fn measured(&self, station: &mut Station, job: &Job) -> Result<Vec<Finding>, PressError> {
        match &job.make {
            Make::Sheet(_) | Make::Drawing(_) => {
                let done = sheet::make(station, &[job], Want::Findings);
                Ok(done.into_iter().next().transpose()?.unwrap_or_default().findings)
            }
            Make::Run(_) => Ok(self.plan(job).held),
            Make::Imposed(_) | Make::Page { .. } | Make::Tables(_) | Make::Text(_) | Make::Copy { .. } => {
                Ok(Vec::new())
            }
        }
    }

    fn parts<'p>(&'p self, planned: &'p [Planned], wanted: &dyn Fn(usize, &Output) -> bool) -> Vec<Part<'p>> {
        let mut parts: Vec<Part> = Vec::new();
        for (at, Planned { job, files, .. }) in planned.iter().enumerate() {
            match files {
                Files::Run(plan) => {
                    let wanted = run::Wanted::new(self, job, plan, &|output| wanted(at, output));
                    parts.push(Part::Run(at, wanted));
                }
                Files::One(output) if !wanted(at, output) => {}
                Files::One(_) if sheet::pages_of(job).is_none() => parts.push(Part::Plain(at)),
                Files::One(_) => match parts.last_mut() {
                    Some(Part::Sheets(before)) if share_pages(planned[before[0]].job, job) => before.push(at),
                    _ => parts.push(Part::Sheets(vec![at])),
                },
            }
        }
        parts
    }

    /// The bytes of a file that is not typeset.
    fn plain(&self, job: &Job) -> Result<Vec<u8>, PressError> {
        match &job.make {
            Make::Page { template, data } => self.pages()?.render(&self.theme, &job.path, template, data),
            Make::Tables(tables) => tables::bytes(&job.path, tables),
            Make::Text(text) => Ok(text.clone().into_bytes()),
            Make::Copy { of } => self.original(job, of),
            Make::Sheet(_) | Make::Drawing(_) | Make::Imposed(_) | Make::Run(_) => {
                unreachable!("what is typeset is made as sheets and runs")
            }
        }
    }
}

impl<'p> Part<'p> {
    fn work<'w>(&'w self, planned: &'p [Planned]) -> Vec<Work<'w, 'p>> {
        match self {
            Self::Sheets(jobs) => vec![Work::Sheets(jobs.iter().map(|&at| planned[at].job).collect())],
            Self::Plain(at) => vec![Work::Plain(planned[*at].job)],
            Self::Run(_, wanted) => wanted.chunks().map(Work::Chunk).collect(),
        }
    }

    /// Takes what came of the work of this part, in the same order.
    fn take(&self, planned: &[Planned], coming: &mut Coming<'_, Came>, take: Take) -> Result<(), PressError> {
        match self {
            Self::Plain(at) => take_files(planned, &[*at], coming, take),
            Self::Sheets(jobs) => take_files(planned, jobs, coming, take),
            Self::Run(at, wanted) => {
                // Both what comes and what is whole is told.
                let take = RefCell::new(take);
                let tell =
                    |step| take.borrow_mut()(step).map_err(|error| put_failed(planned[*at].job, error));
                tell(Step::Begun(*at))?;
                let mut next = || match coming.next() {
                    Came::Chunk(chunk) => {
                        let chunk = (*chunk)?;
                        tell(Step::Laid(*at, chunk.len()))?;
                        Ok(chunk)
                    }
                    Came::Files(_) => unreachable!("of a run come chunks"),
                };
                let found = wanted.take(&mut next, &mut |output, bytes| {
                    take.borrow_mut()(Step::Made(*at, Made { output, bytes, words: &[], sides: 0 }))
                        .map_err(|error| PressError::Put { path: output.path.clone(), error })
                })?;
                tell(Step::Found(*at, found))
            }
        }
    }
}

fn take_files(
    planned: &[Planned],
    jobs: &[usize],
    coming: &mut Coming<'_, Came>,
    take: Take,
) -> Result<(), PressError> {
    let failed = |at: usize| move |error| put_failed(planned[at].job, error);
    take(Step::Begun(jobs[0])).map_err(failed(jobs[0]))?;
    let Came::Files(files) = coming.next() else { unreachable!("of sheets come files") };
    for (&at, done) in jobs.iter().zip(files) {
        let (Done { bytes, words, sides, findings, .. }, job) = (done?, planned[at].job);
        if let (Some(bytes), Files::One(output)) = (bytes, &planned[at].files) {
            take(Step::Made(at, Made { output, bytes: &bytes, words: &words, sides })).map_err(failed(at))?;
        }
        let found = findings.into_iter().map(|finding| LayoutFinding { finding, path: job.path.clone() });
        take(Step::Found(at, found.collect())).map_err(failed(at))?;
    }
    Ok(())
}

fn put_failed(job: &Job, error: io::Error) -> PressError {
    PressError::Put { path: job.path.clone(), error }
}

impl Work<'_, '_> {
    fn is_heavy(&self) -> bool {
        matches!(self, Self::Sheets(jobs) if sheet::is_heavy(jobs[0]))
    }

    /// The pages of a chunk are held until they stand in their volume.
    fn weight(&self) -> usize {
        match self {
            Self::Chunk(_) => 12,
            Self::Sheets(_) | Self::Plain(_) => 1,
        }
    }

    fn name(&self) -> String {
        match self {
            Self::Sheets(jobs) => jobs[0].path.clone(),
            Self::Plain(job) => job.path.clone(),
            Self::Chunk(chunk) => chunk.path().to_owned(),
        }
    }

    /// What goes wrong within the typesetter is told with the files that it keeps from being made, and of no others.
    fn done(&self, station: &mut Station) -> Came {
        caught(|| self.work(station)).unwrap_or_else(|why| {
            station.forget();
            let held = |job: &Job| {
                let findings = vec![broken::finding(job, &why)];
                Ok(Done { findings, ..Done::default() })
            };
            match self {
                Self::Sheets(jobs) => Came::Files(jobs.iter().map(|job| held(job)).collect()),
                Self::Plain(job) => Came::Files(vec![held(job)]),
                Self::Chunk(chunk) => Came::Chunk(Box::new(Ok(chunk.broken(&why)))),
            }
        })
    }

    fn work(&self, station: &mut Station) -> Came {
        match self {
            Self::Sheets(jobs) => Came::Files(sheet::make(station, jobs, Want::File)),
            Self::Plain(job) => {
                let bytes = station.press.plain(job);
                Came::Files(vec![bytes.map(|bytes| Done { bytes: Some(bytes), ..Done::default() })])
            }
            Self::Chunk(chunk) => Came::Chunk(Box::new(chunk.made(station))),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::imposition::Paper;
    use crate::job::{Imposed, Onto, Piece, Sheet, Shelf};
    use crate::press::Theme;
    use crate::quantity::Exact;
    use serde_json::json;
    use std::path::Path;

    #[test]
    fn pages_that_two_jobs_next_to_each_other_show_are_laid_out_once() {
        let chart = |title: &str| Sheet {
            template: "wall-chart.typ".into(),
            data: json!({ "title": title }),
            ..Sheet::default()
        };
        let onto = || Onto::Tiles {
            sheet: Paper::Letter,
            margin: Exact::from_integer(18.into()),
            overlap: Exact::from_integer(36.into()),
        };
        let job =
            |path: &str, make| Job { piece: Piece::WallChart, shelf: Shelf::Open, path: path.into(), make };
        let tiled = |title| Make::Imposed(Imposed { pages: chart(title), onto: onto() });
        let jobs = [
            job("chart.pdf", Make::Sheet(chart("a"))),
            job("tiled.pdf", tiled("a")),
            job("other.pdf", tiled("b")),
        ];
        let press = Press::open(Theme::plain(), Path::new("."));
        let planned: Vec<_> = jobs.iter().map(|job| press.plan(job)).collect();
        let layouts = |wanted: &dyn Fn(usize) -> bool| -> Vec<Vec<usize>> {
            let parts = press.parts(&planned, &|at, _| wanted(at));
            let sheets = parts.into_iter().map(|part| match part {
                Part::Sheets(jobs) => jobs,
                Part::Plain(_) | Part::Run(..) => unreachable!("all are sheets"),
            });
            sheets.collect()
        };
        assert_eq!(layouts(&|_| true), [vec![0, 1], vec![2]]);
        assert_eq!(layouts(&|at| at != 0), [[1], [2]]);
    }
}
