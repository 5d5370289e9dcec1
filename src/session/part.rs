//! Crediting by itself, and one share of the private shelf by itself: so that several runs, on several machines, make
//! what one would, from a folder that none of them writes to.
//!
//! A part credits nobody: who is credited is decided once, before. It makes whole files only, and of a run whole
//! volumes, so that what parts made is the same bytes, and is brought together without joining anything.

use super::crediting::{self, Credited};
use super::make::{Count, Made, Making, expected, make_all, put_away};
use super::printed::MadeWords;
use super::{Session, SessionError, Tell, check_selection, decisions, folder, standing};
use crate::finding::Finding;
use crate::job::{Job, Part, Piece, Shelf};
use crate::pieces::{self, Selection};
use crate::press::{Planned, Press};
use crate::proof;
use crate::shelf::laid_out::LaidOut;
use crate::shelf::{PartNote, Settles, Shelves};
use clap::ValueEnum;
use std::path::PathBuf;

/// What came of crediting without making anything.
pub enum Credits {
    /// Nobody was credited: these stop the press.
    Stopped(Vec<Finding>),
    Done(Box<Credited>),
}

impl Session<'_> {
    /// Credits whom a selection asks for and who is due, and makes nothing.
    ///
    /// # Errors
    /// What was asked for is not there, or it could not be done; nobody is credited then.
    pub fn credit_only(&mut self, selection: &Selection) -> Result<Credits, SessionError> {
        check_selection(&self.program, selection)?;
        self.take_in_decisions()?;
        let known = self.know();
        let stops = known.stops();
        if !stops.is_empty() {
            return Ok(Credits::Stopped(stops));
        }
        let press = self.press()?;
        // Held while the register is written: two runs would decide at once.
        let mut shelves = match selection.trial {
            true => Shelves::look(&self.out, &self.program.folder)?,
            false => Shelves::open(&self.out, &self.program.folder)?,
        };
        self.check_register()?;
        let mut credited = crediting::credit(&known, press.letters(), selection, self.environment)?;
        proof::weigh(&self.program, &mut credited.held);
        proof::in_order(&mut credited.held);
        if let Some(program) = credited.program.take() {
            self.program = program;
        }
        if !selection.trial {
            self.note_credited(&mut shelves, &self.program.people.register)?;
        }
        Ok(Credits::Done(Box::new(credited)))
    }

    /// Makes one part of a selection's private pieces, and takes away what this part made before and no longer gives.
    ///
    /// # Errors
    /// People are due who are not credited, what was asked for is not there, or it could not be done.
    pub fn make_part(
        &mut self,
        part: Part,
        selection: Selection,
        tell: Tell,
    ) -> Result<Making, SessionError> {
        check_selection(&self.program, &selection)?;
        self.check_places()?;
        let decided = self.decided_in();
        decisions::take_in(&mut self.program, &decided, &mut self.decisions)?;
        let known = self.know();
        let stops = known.stops();
        if !stops.is_empty() {
            return Ok(Making::Stopped(stops));
        }
        let press = self.press()?;
        let selection = private_of(self.worded(selection)?)?;
        let waiting = crediting::waiting(&known, press.letters(), &selection, self.environment);
        if waiting > 0 {
            return Err(uncredited(waiting));
        }
        let (out, folder) = (&self.out, &self.program.folder);
        let mut shelves = match selection.trial {
            true => Shelves::look_at_part(part, out, folder)?,
            false => Shelves::open_part(part, out, folder)?,
        };
        self.check_register()?;
        let jobs: Vec<Job> = pieces::plan(&known.understood, &known.scores, &selection)
            .into_iter()
            .filter(|job| job.shelf == Shelf::Private)
            .collect();
        let (jobs, wordless) = pieces::held_for_words(&known.understood, jobs);
        let planned = share(part, &jobs, press);
        let mut count = Count::default();
        let found = if selection.trial {
            count = expected(&planned, &mut shelves);
            wordless
        } else {
            let note = |finished| PartNote {
                number: part.number(),
                of: part.of(),
                from: standing::of_all(&self.program, press, ""),
                asked: asked(&selection),
                settles: settles(&selection),
                finished,
            };
            shelves.note_part(note(false));
            press.take_fits(LaidOut::read(out, folder)?.fits().iter().cloned());
            let made = make_all(&planned, press, &mut shelves, (&mut count, &mut MadeWords::default()), tell)
                .and_then(|mut found| {
                    found.extend(wordless);
                    count.cleared = shelves.clear_rest(|_, _| true)?;
                    // The others have the rest.
                    shelves.note_register(&self.program.people.register, false);
                    shelves.note_part(note(true));
                    Ok(found)
                });
            put_away(made, shelves, &known.understood)?
        };
        let planned = planned.iter().map(|planned| planned.job().piece).collect();
        Ok(Making::Done(Box::new(Made { count, planned, ..Made::of(&known, found) })))
    }

    /// Where the ranger's decisions stand: in what was made last in the program folder, for a part's own folder has
    /// none of them.
    fn decided_in(&self) -> PathBuf {
        folder::usual_out(&self.program.folder)
    }
}

/// What of some jobs is a part's. All parts see the same jobs, and of each run the same volumes.
fn share<'j>(part: Part, jobs: &'j [Job], press: &Press) -> Vec<Planned<'j>> {
    let mut planned: Vec<Planned> = jobs.iter().map(|job| press.plan(job)).collect();
    let units: Vec<Vec<usize>> = planned.iter().map(Planned::units).collect();
    let mut mine = part.shares(units.iter().flatten().copied()).into_iter();
    let mut units = units.into_iter();
    planned.retain_mut(|planned| {
        let own: Vec<bool> = mine.by_ref().take(units.next().map_or(0, |units| units.len())).collect();
        if own.is_empty() {
            // Everybody in it is held, which somebody must tell.
            return part.number() == 1;
        }
        planned.only(&own);
        own.contains(&true)
    });
    planned
}

/// A selection that asks for nothing by name of which parts make nothing. What else is in it is left out: who asks for a
/// piece by name may get more of it than who asks for all.
fn private_of(selection: Selection) -> Result<Selection, SessionError> {
    let is_private = |piece: Piece| pieces::row(piece).shelves.contains(&Shelf::Private);
    if let Some(other) = selection.pieces.iter().find(|piece| !is_private(**piece)) {
        return Err(SessionError::said(format!(
            "{}: parts make the private shelf alone. Make the others in one run: they are the same for however many people.",
            pieces::row(*other).title
        )));
    }
    Ok(selection)
}

fn uncredited(waiting: usize) -> SessionError {
    let people =
        if waiting == 1 { "1 certificate is".to_owned() } else { format!("{waiting} certificates are") };
    SessionError::said(format!(
        "{people} due and not given yet, and a part gives none: each would decide by itself. Run `packstring make --credit-only` once, and then all parts. Nothing was made."
    ))
}

/// What was asked for, in the words of the command line.
fn asked(selection: &Selection) -> String {
    let word = |value: Option<clap::builder::PossibleValue>| value.map(|value| value.get_name().to_owned());
    let pieces: Vec<String> =
        selection.pieces.iter().filter_map(|piece| word(piece.to_possible_value())).collect();
    let mut words = Vec::new();
    words.extend((!pieces.is_empty()).then(|| format!("--pieces {}", pieces.join(","))));
    words.extend(selection.scope.event.as_ref().map(|event| format!("--event {event}")));
    words.extend(
        selection.paper.and_then(|paper| word(paper.to_possible_value())).map(|it| format!("--paper {it}")),
    );
    words.extend(word(selection.ink.to_possible_value()).map(|ink| format!("--ink {ink}")));
    words.extend(selection.start_label.map(|label| format!("--start-label {label}")));
    words.join(" ")
}

/// Of what the parts of a selection leave nothing out.
fn settles(selection: &Selection) -> Settles {
    if selection.is_everything() {
        Settles::All
    } else if selection.is_all_of(Piece::Certificates) {
        Settles::Certificates
    } else {
        Settles::Nothing
    }
}
