//! `make`: the whole flow, from the program folder to files on their shelves.
//!
//! Nothing is written before the program was read and proofread. What already stands on its shelf,
//! made from the same things, is kept.

use super::arguments::MakeArguments;
use super::report::{As, Looked, Report, counted};
use super::{Desk, Outcome, Trouble, crediting, decisions, none_made, open_program, out_folder};
use crate::finding::{Finding, Level};
use crate::nearest::nearest;
use crate::people;
use crate::people::scoring::Scores;
use crate::pieces::{self, Job, Piece, Selection, Shelf, certificates};
use crate::press::{Planned, Press, Theme, Told};
use crate::program::Program;
use crate::proof;
use crate::shelf::Shelves;
use crate::understand::Understood;
use indicatif::{ProgressBar, ProgressStyle};
use std::collections::{BTreeMap, BTreeSet};
use std::io::{self, Write};
use std::path::Path;

pub fn run(asked: &MakeArguments, desk: &Desk, out: &mut dyn Write) -> Result<Outcome, Trouble> {
    let mut program = open_program(asked.program.folder.as_deref(), desk)?;
    let mut selection = asked.selection();
    check_selection(&program, &selection)?;
    let into = out_folder(&program, asked.printing.into.as_deref());
    if selection.has_people() {
        decisions::take_in(&mut program, &into)?;
    }
    let mut understood = Understood::new(&program);
    let scores = Scores::of(&understood);
    let mut findings = proof::proofread(&understood, &scores, desk.today);
    if findings.iter().any(|finding| finding.stops_press) {
        findings.retain(|finding| finding.stops_press);
        tell(&findings, &understood, desk, out)?;
        writeln!(out, "Nothing was made: a safety fact must be right before anything is printed.")?;
        return Ok(Outcome::Findings);
    }

    let press = open_press(&program)?;
    selection.words = press.words().clone();
    let mut shelves = Shelves::open(&into)?;
    let credited = crediting::credit(understood.program, &scores, press.letters(), &selection, desk)?;
    if let Some(program) = &credited.program {
        understood = Understood::new(program);
    }
    let program = understood.program;
    let jobs = pieces::plan(&understood, &scores, &selection);
    let mut count = Count::default();
    let made = make_all(&jobs, &press, &mut shelves, desk, &mut count).and_then(|told| {
        count.cleared = shelves.clear_rest(|shelf, path| is_settled(&selection, shelf, path))?;
        Ok(told)
    });
    let mut held_back = credited.held.clone();
    held_back.extend(put_away(made, shelves, program)?);
    proof::weigh(program, &mut held_back);
    proof::in_order(&mut held_back);
    count.tell(&into, out)?;
    let is_held = |piece| jobs.iter().any(|job| job.piece == piece);
    none_made::tell(program, &selection, |piece| !count.has(piece), is_held, out)?;
    credited.tell(program, out)?;
    if !program.decisions.rows.is_empty() {
        decisions::tell(program, &scores, out)?;
    }
    findings.retain(|finding| !held_back.contains(finding));
    tell_rest(&findings, &held_back, &understood, desk, out)
}

/// Whether a file belongs to what was to be made whole, so that it stays only where it was made now. A
/// certificate that was replaced or withdrawn does not linger beside the new one.
fn is_settled(selection: &Selection, shelf: Shelf, path: &str) -> bool {
    let certificates = shelf == Shelf::Private && path.starts_with(certificates::FOLDER);
    selection.is_everything() || (certificates && selection.is_all_of(Piece::Certificates))
}

/// Tells what the press found, in full, and of what proofreading found only that it did: the pieces are
/// made, and the rest is for `proofread`.
fn tell_rest(
    proofread: &[Finding],
    pressed: &[Finding],
    understood: &Understood,
    desk: &Desk,
    out: &mut dyn Write,
) -> Result<Outcome, Trouble> {
    if !pressed.is_empty() {
        writeln!(out)?;
        tell(pressed, understood, desk, out)?;
    }
    let wrong = proofread.iter().filter(|finding| finding.level > Level::Note).count();
    if wrong > 0 {
        let findings = counted(wrong, "finding");
        writeln!(
            out,
            "Proofreading has {findings} that did not stop the press: see `packstring proofread`."
        )?;
    }
    let wrong = proofread.iter().chain(pressed).any(|finding| finding.level == Level::Error);
    Ok(if wrong { Outcome::Findings } else { Outcome::Clear })
}

pub(super) fn tell(
    findings: &[Finding],
    understood: &Understood,
    desk: &Desk,
    out: &mut dyn Write,
) -> io::Result<()> {
    tell_as(As::Text, findings, understood, desk, out)
}

pub(super) fn tell_as(
    form: As,
    findings: &[Finding],
    understood: &Understood,
    desk: &Desk,
    out: &mut dyn Write,
) -> io::Result<()> {
    let report =
        Report { findings, sources: &understood.program.sources, looked: Some(Looked::at(understood)) };
    report.write(form, desk.terminal, out)
}

/// The press with the program's theme and pictures.
pub(super) fn open_press(program: &Program) -> Result<Press, Trouble> {
    let theme = theme_of(program)?;
    theme.words()?;
    Ok(Press::open(theme, &program.folder))
}

/// The program's theme: the built-in one, with the files of the program's own folder where it has one.
pub(super) fn theme_of(program: &Program) -> Result<Theme, Trouble> {
    Ok(match &program.settings.theme {
        Some(folder) => Theme::with_folder(&program.folder, &folder.text)?,
        None => Theme::plain(),
    })
}

/// An event or a participant that is not there is a slip of the keyboard; the nearest one is offered.
pub(super) fn check_selection(program: &Program, selection: &Selection) -> Result<(), Trouble> {
    if let Some(event) = &selection.event
        && !program.settings.events.iter().any(|known| known.id == *event)
    {
        let known: Vec<&str> = program.settings.events.iter().map(|event| event.id.as_str()).collect();
        let offer = match nearest(event, known.iter().copied()) {
            Some(near) => format!("Did you mean “{near}”?"),
            None if known.is_empty() => "It names none; add one under [[events]].".to_owned(),
            None => format!("The events are: {}.", known.join(", ")),
        };
        return Err(Trouble::said(format!("There is no event “{event}” in program.toml. {offer}")));
    }
    let labels = program.settings.mail().labels;
    if let Some(start) = selection.start_label.filter(|start| *start as usize > labels.on_sheet()) {
        return Err(Trouble::said(format!(
            "There is no label {start} on a sheet of {} ({}). Write a number from 1 to {0}.",
            labels.on_sheet(),
            labels.name
        )));
    }
    if let Some(name) = &selection.participant {
        find_participant(program, name)?;
    }
    Ok(())
}

fn find_participant(program: &Program, name: &str) -> Result<(), Trouble> {
    let given = program.register.all_given().map(|given| &given.name);
    let served = program.hours.iter().map(|entry| &entry.name);
    if !people::find(program, name).is_empty()
        || given.chain(served).any(|known| people::same_name(known, name))
    {
        return Ok(());
    }
    let near = people::nearest_names(program, name, 3);
    let offer = if near.is_empty() {
        "Write the name as the roster has it.".to_owned()
    } else {
        format!("Did you mean {}?", near.join(" or "))
    };
    Err(Trouble::said(format!("There is no participant “{name}” in the roster. {offer}")))
}

/// Makes what is not current and puts it away. Gives what only laying out could tell.
pub(super) fn make_all(
    jobs: &[Job],
    press: &Press,
    shelves: &mut Shelves,
    desk: &Desk,
    count: &mut Count,
) -> Result<Vec<Finding>, Trouble> {
    let planned: Vec<Planned> = jobs.iter().map(|job| press.plan(job)).collect();
    let bar = progress_bar(planned.iter().map(|job| job.outputs().len()).sum(), desk);
    let mut findings = Vec::new();
    for (job, planned) in jobs.iter().zip(planned) {
        findings.extend(planned.held.iter().cloned());
        bar.set_message(job.path.clone());
        for told in make_one(job, &planned, press, shelves, count, &bar)? {
            // A file that was made with something to mend is made again until it is mended, so that
            // it is told of each time.
            shelves.make_again(job.shelf, &told.path);
            findings.push(told.finding);
        }
    }
    bar.finish_and_clear();
    Ok(findings)
}

/// Records what was put away, also before a trouble, so that the next run need not make that again. Of
/// troubles the first is told: the others come of it.
pub(super) fn put_away<T>(
    made: Result<T, Trouble>,
    shelves: Shelves,
    program: &Program,
) -> Result<T, Trouble> {
    let recorded = shelves.finish(program.sources.files().map(|(name, text)| (&**name, text.as_bytes())));
    let made = made?;
    recorded?;
    Ok(made)
}

fn make_one(
    job: &Job,
    planned: &Planned,
    press: &Press,
    shelves: &mut Shelves,
    count: &mut Count,
    bar: &ProgressBar,
) -> Result<Vec<Told>, Trouble> {
    let mut stale = BTreeSet::new();
    for output in planned.outputs() {
        if !shelves.is_current(job.shelf, &output.path, &output.fingerprint) {
            stale.insert(output.path.as_str());
            continue;
        }
        shelves.keep(job.shelf, &output.path);
        count.kept(job.piece);
        bar.inc(1);
    }
    if stale.is_empty() {
        return Ok(Vec::new());
    }
    let mut trouble = None;
    let told = press.make(planned, &|output| stale.contains(output.path.as_str()), &mut |made| {
        bar.inc(1);
        count.made(job.piece);
        shelves.put(job.shelf, &made.output.path, &made.output.fingerprint, made.bytes).map_err(|error| {
            trouble = Some(error);
            io::Error::other("the shelf is in trouble")
        })
    });
    match trouble {
        Some(trouble) => Err(trouble.into()),
        None => Ok(told?),
    }
}

/// A bar on a terminal, nothing elsewhere; standard error, so that output can be kept in a file.
fn progress_bar(files: usize, desk: &Desk) -> ProgressBar {
    if !desk.terminal {
        return ProgressBar::hidden();
    }
    let style = ProgressStyle::with_template("{pos} of {len}  {wide_bar}  {msg}")
        .expect("the template is written above");
    ProgressBar::new(files as u64).with_style(style)
}

/// How many files of each piece were made and kept.
#[derive(Default)]
pub(super) struct Count {
    pieces: BTreeMap<Piece, (usize, usize)>,
    cleared: usize,
}

impl Count {
    fn made(&mut self, piece: Piece) {
        self.pieces.entry(piece).or_default().0 += 1;
    }

    fn has(&self, piece: Piece) -> bool {
        self.pieces.contains_key(&piece)
    }

    fn kept(&mut self, piece: Piece) {
        self.pieces.entry(piece).or_default().1 += 1;
    }

    pub(super) fn tell(&self, into: &Path, out: &mut dyn Write) -> io::Result<()> {
        for (piece, &(made, kept)) in &self.pieces {
            let name = piece.title();
            match (made, kept) {
                (made, 0) => writeln!(out, "{name}: made {made}.")?,
                (0, kept) => writeln!(out, "{name}: kept {kept}.")?,
                (made, kept) => writeln!(out, "{name}: made {made}, kept {kept}.")?,
            }
        }
        let made: usize = self.pieces.values().map(|(made, _)| made).sum();
        let kept: usize = self.pieces.values().map(|(_, kept)| kept).sum();
        write!(out, "In all: made {made}, kept {kept}")?;
        if self.cleared > 0 {
            write!(out, ", took away {} no longer in the program", self.cleared)?;
        }
        writeln!(out, ". They are in {}.", into.display())
    }
}
