//! The flow, once: a program folder is opened, understood, read as an editor would, planned, made and put away.
//!
//! Everything here gives values and findings and tells how far it is through a callback ([`Progress`]); nothing
//! prints. The commands put it into words for a terminal; whatever else is to hold a program open stands
//! beside them and calls the same.
//!
//! ```
//! use packstring::session::{Environment, Session};
//! use std::path::Path;
//!
//! let environment = Environment::here(false)?;
//! let mut session = Session::open(Some(Path::new("tests/proof/sound")), None, &environment)?;
//! for finding in session.know().findings {
//!     println!("{}: {}", finding.place.file, finding.message);
//! }
//! // Later, after somebody saved a file: what did not change is not read again.
//! session.refresh()?;
//! # Ok::<(), packstring::session::SessionError>(())
//! ```
//!
//! | file | holds |
//! | --- | --- |
//! | `environment` | the day, the current folder, the user's keys: what comes in from outside |
//! | `folder`, `asked` | which program is meant, and whether what is asked of it is there |
//! | `begin` | a new program folder laid out |
//! | `known` | what is known of a program before anything is laid out |
//! | `partly` | what is known of a program that cannot be read as a whole |
//! | `refresh` | a program that is held open, read again |
//! | `lesson_shown` | a lesson with its figures and its pages, to be looked at |
//! | `show` | pages of a piece, to be looked at, and files to be printed at once |
//! | `restating` | a fact that gets another value, with all that changes with it |
//! | `mending` | mends that can be written exactly where their findings stand |
//! | `replacing`, `withdrawing` | a certificate given anew with corrected words, or withdrawn |
//! | `roster_edit` | cells of the roster written one by one, and taken back |
//! | `roster_papers` | how each row of the roster stands with its certificate |
//! | `proofread` | what is found, at once and by laying out |
//! | `layouts` | what laying out found, remembered |
//! | `make` | jobs made and put away |
//! | `next_season` | a season turned over into the next |
//! | `part`, `gather` | a share of the private shelf made, and shares brought together |
//! | `crediting`, `decisions` | what is settled before pieces of people are made |
//! | `judging` | answers that wait for the ranger's eye, decided one after another |
//! | `history` | what the facts were, written on |
//! | `printed` | what stands in print: noted, kept, and compared with what would be printed now |
//! | `records` | whether the register is the one that there was before |
//! | `standing` | whether everything stands already as it would be made |
//! | `save` | the program's own files changed, and changed back |
//! | `theme` | the program's theme, and a press with it |

mod asked;
mod begin;
mod crediting;
mod decisions;
mod environment;
mod error;
mod folder;
mod gather;
mod history;
mod judging;
mod known;
mod layouts;
mod lesson_shown;
mod make;
mod mending;
mod next_season;
mod part;
mod partly;
mod printed;
mod proofread;
mod records;
mod refresh;
mod replacing;
mod restating;
mod roster_edit;
mod roster_papers;
mod save;
mod show;
mod standing;
mod theme;
#[cfg(test)]
mod typography;
mod withdrawing;

pub use asked::check_selection;
pub use begin::{begin, check_empty, languages_to_begin_in};
pub use crediting::{Credited, Signing, check_letters, signing};
pub use environment::{Environment, usual_places};
pub use error::SessionError;
pub use folder::{needed_folder, open_program, program_folder, programs_nearby};
pub use gather::Gathered;
pub use judging::{Answerer, DecisionChange, Judging, SheetChoice, WaitingAnswer};
pub use known::{Coverage, Known};
pub use lesson_shown::{FigureShown, FigureStands, LessonSheet};
pub use make::{Count, Made, Making};
pub use mending::{Mend, Mends, TextMend};
pub use next_season::{LeftToDo, TurnedOver, YearNamed, turn_over};
pub use part::Credits;
pub use partly::{FiguresChecked, Partly};
pub use proofread::letters_of_roster;
pub use records::{check_records, doubt_of_records, note_register};
pub use replacing::add_signed;
pub use restating::FactRestated;
pub use roster_edit::{
    CellAsked, Differs, NotWritten, RosterChange, RowAsked, RowConflict, Written, row_key,
};
pub use roster_papers::{Paper, Papers, Sheets};
pub use save::{save, undo};
pub use show::Shown;
pub use theme::open_press;
pub use withdrawing::withdraw;

pub(crate) use decisions::unknown as unknown_decisions;

use crate::finding::Finding;
use crate::pieces::Selection;
use crate::press::Press;
use crate::program::roster::Roster;
use crate::program::{People, Program, Unread};
use crate::proof;
use crate::shelf::{self, register};
use crate::understand::Understood;
use jiff::civil::Date;
use known::Remembered;
use std::path::{Path, PathBuf};
use std::sync::{Arc, OnceLock};

/// What is known of people whose files have mistakes: nothing is made of them.
#[derive(Default)]
struct HeldPeople {
    /// Why.
    findings: Vec<Finding>,
    /// The roster as far as it was understood, for who shows and mends it.
    roster: Option<Arc<Roster>>,
}

/// A program of which only people files have mistakes, without its people; and those mistakes.
fn people_apart(unread: Unread) -> Result<(Program, HeldPeople), Unread> {
    let stops = |finding: &&Finding| finding.stops_press;
    let of_people = |finding: &Finding| finding.place.file.starts_with("people/");
    if !unread.mistakes.iter().filter(stops).all(of_people) {
        return Err(unread);
    }
    let Unread { sources, mistakes, partial } = unread;
    match partial {
        Some(mut program) => {
            let register = program.people.register.clone();
            let roster = program.people.roster.clone();
            program.people = People { register, ..People::default() };
            program.sources = sources;
            // It no longer stops the press, only what is made of people.
            let held = mistakes.into_iter().map(|finding| finding.stops_press(false)).collect();
            Ok((*program, HeldPeople { findings: held, roster: Some(roster) }))
        }
        None => Err(Unread { sources, mistakes, partial }),
    }
}

/// How far a session is with what was asked of it.
#[derive(Clone, Copy, Debug)]
pub enum Progress<'a> {
    /// So many files are to be looked at.
    Files(usize),
    /// This file is being made, by its path below its shelf.
    Making(&'a str),
    /// One more file is made, or was kept as it is.
    Done,
    /// What is known already, while more is being looked for: findings in their order.
    Found(&'a [Finding]),
}

/// Takes what a session tells while it works.
pub type Tell<'a> = &'a mut dyn FnMut(Progress);

/// A program folder that is open.
pub struct Session<'e> {
    environment: &'e Environment,
    program: Program,
    out: PathBuf,
    press: OnceLock<Press>,
    /// How many bytes the process may hold, where the session is held open.
    memory: Option<usize>,
    /// Why the people are not known, where one of their files cannot be read: then nothing is made of them.
    held_people: HeldPeople,
    remembered: Remembered,
    /// Whether the ranger's decisions are taken in.
    decided: decisions::Taken,
    /// As they were read last.
    decisions: decisions::Remembered,
}

impl<'e> Session<'e> {
    /// Opens the program folder that is `named`, or the nearest at or above the current one. Pieces go `into` a
    /// folder, otherwise into `out` in the program folder.
    ///
    /// # Errors
    /// There is no program folder, or it has mistakes: all of them.
    pub fn open(
        named: Option<&Path>,
        into: Option<&Path>,
        environment: &'e Environment,
    ) -> Result<Self, SessionError> {
        Self::of(open_program(named, environment)?, into, environment, HeldPeople::default())
    }

    /// The same where a people file may have mistakes: then all is made that needs none of them.
    ///
    /// # Errors
    /// There is no program folder, or another of its files has mistakes: all of them.
    pub fn open_to_make(
        named: Option<&Path>,
        into: Option<&Path>,
        environment: &'e Environment,
    ) -> Result<Self, SessionError> {
        let (program, held_people) = match open_program(named, environment) {
            Ok(program) => (program, HeldPeople::default()),
            Err(SessionError::Unread(unread)) => {
                people_apart(*unread).map_err(|unread| SessionError::Unread(Box::new(unread)))?
            }
            Err(error) => return Err(error),
        };
        Self::of(program, into, environment, held_people)
    }

    fn of(
        program: Program,
        into: Option<&Path>,
        environment: &'e Environment,
        held_people: HeldPeople,
    ) -> Result<Self, SessionError> {
        if let Some(into) = into {
            folder::refuse_sources(&program, into)?;
        }
        let out = into.map_or_else(|| folder::usual_out(&program.folder), Path::to_owned);
        shelf::sweep(&out);
        Ok(Self {
            environment,
            program,
            out,
            press: OnceLock::new(),
            memory: None,
            held_people,
            remembered: Remembered::default(),
            decided: decisions::Taken::No,
            decisions: None,
        })
    }

    /// Is held open: its press remembers what it laid out while the process holds no more than so many bytes.
    pub fn held(self, bytes: usize) -> Self {
        Self { memory: Some(bytes), ..self }
    }

    pub fn program(&self) -> &Program {
        &self.program
    }

    /// The roster; where a people file has mistakes, as far as it was understood.
    pub fn roster(&self) -> &Arc<Roster> {
        self.held_people.roster.as_ref().unwrap_or(&self.program.people.roster)
    }

    /// Whether nothing is made of people, because one of their files has mistakes.
    pub fn people_are_held(&self) -> bool {
        !self.held_people.findings.is_empty()
    }

    /// The day on which it was opened: facts fall due and events come by it.
    pub fn today(&self) -> Date {
        self.environment.today
    }

    /// The folder that pieces go into.
    pub fn out(&self) -> &Path {
        &self.out
    }

    /// Reads what the ranger decided on answers in the pieces of an earlier run.
    ///
    /// # Errors
    /// It cannot be read, or it is not sure which file counts: then nothing may be made over it. Or a link stands in a
    /// place that is written to.
    pub fn take_in_decisions(&mut self) -> Result<(), SessionError> {
        self.check_places()?;
        decisions::take_in(&mut self.program, &self.out, &mut self.decisions)?;
        self.decided = match self.decided {
            decisions::Taken::Looked(_) => decisions::Taken::Looked(None),
            decisions::Taken::No | decisions::Taken::Needed => decisions::Taken::Needed,
        };
        Ok(())
    }

    /// Takes the ranger's decisions in from now on, where they can be read, for who only shows what is known.
    pub fn look_at_decisions(&mut self) {
        let taken = decisions::take_in(&mut self.program, &self.out, &mut self.decisions);
        self.decided = decisions::Taken::Looked(taken.err().map(|error| error.to_string()));
    }

    /// Why the decisions that are looked at could not be read.
    pub fn decisions_unread(&self) -> Option<&str> {
        match &self.decided {
            decisions::Taken::Looked(why) => why.as_deref(),
            decisions::Taken::No | decisions::Taken::Needed => None,
        }
    }

    /// Looks at the places that are written to, before anything is: no link may stand there, and the register must be
    /// the one that there was.
    ///
    /// # Errors
    /// What stands there.
    fn check_places(&self) -> Result<(), SessionError> {
        shelf::places::check(&self.out, &self.program.folder)?;
        let folder = &self.program.folder;
        let checked = register::check(folder).and_then(|()| crate::shelf::history::check(folder));
        checked.map_err(|error| SessionError::said(error.to_string()))?;
        self.check_register()
    }

    /// Understands the program, scores its answers, and reads it as an editor would. After a [`refresh`](Self::refresh)
    /// only what changed is read: a lesson's texts, answers whose key or words are others.
    pub fn know(&self) -> Known<'_> {
        self.know_beside(|_| ()).0
    }

    /// The same, while other work is done with what was understood.
    pub fn know_beside<T: Send>(&self, work: impl FnOnce(&Understood) -> T + Send) -> (Known<'_>, T) {
        let today = self.environment.today;
        let (mut known, done) = Known::remembering(&self.program, today, &self.remembered, work);
        known.findings.extend(self.held_people.findings.iter().cloned());
        known.findings.extend(self.register_lost());
        proof::in_order(&mut known.findings);
        (known, done)
    }

    /// Understands a state of the program; texts that were read before are not read again.
    pub fn understand<'p>(&self, program: &'p Program) -> Understood<'p> {
        Understood::remembering(program, &self.remembered.texts)
    }

    /// The press with the program's theme and pictures. It is opened once.
    ///
    /// # Errors
    /// The theme cannot be read.
    pub fn press(&self) -> Result<&Press, SessionError> {
        if let Some(press) = self.press.get() {
            return Ok(press);
        }
        let mut press = open_press(&self.program)?;
        if let Some(bytes) = self.memory {
            press = press.with_memory(bytes);
        }
        Ok(self.press.get_or_init(|| press))
    }

    /// A selection with the words of the theme, in which pieces are planned, and the type of its pages.
    fn worded(&self, selection: Selection) -> Result<Selection, SessionError> {
        let press = self.press()?;
        Ok(Selection { words: press.words().clone(), faces: press.faces(), ..selection })
    }
}
