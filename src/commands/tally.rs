//! `tally`: adds up the hours of the service unit, tells who has reached which award and what to order, and
//! makes the pieces that say the same.
//!
//! In lines for reading people stand by name, for that is what they are for. As JSON they stand by the rows
//! of the hours file or the roster, so that the output may be kept.

mod lines;
mod record;

pub use record::TallyRecord;

use super::arguments::TallyArguments;
use super::make::{tell, tell_count};
use super::progress::Bar;
use super::{CommandError, Outcome, open_or_tell};
use crate::job::Piece;
use crate::people::rewards::{self, Order};
use crate::people::tally::{Tally, tally};
use crate::people::welcome::{JoinRequest, asked};
use crate::pieces::Selection;
use crate::program::Program;
use crate::proof;
use crate::session::Environment;
use std::io::Write;

/// The form in which the tally is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, clap::ValueEnum)]
pub enum TellAs {
    /// Lines, for reading; with names
    #[default]
    Text,
    /// JSON, for other programs; with rows and no names
    Json,
}

/// What the command makes.
const PIECES: [Piece; 5] =
    [Piece::Tally, Piece::Orders, Piece::WelcomeList, Piece::Attendance, Piece::SeasonReport];

/// All that is told.
struct Counted<'p> {
    program: &'p Program,
    tally: Tally<'p>,
    orders: Vec<Order<'p>>,
    asked: Vec<JoinRequest<'p>>,
}

pub fn run(
    arguments: &TallyArguments,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    let is_text = arguments.tell_as == TellAs::Text;
    let folders = (arguments.program.folder.as_deref(), arguments.printing.into.as_deref());
    let Some(mut session) = open_or_tell(folders, is_text, environment, out)? else {
        return Ok(Outcome::NotDone);
    };
    session.take_in_decisions()?;
    let known = session.know();
    let mut findings = known.findings.clone();
    findings.retain(|finding| proof::OF_HOURS.contains(&finding.rule));

    let program = session.program();
    let tally = tally(program);
    let orders = rewards::orders(program, &rewards::due(program, &known.scores, &tally));
    let counted = Counted { program, asked: asked(program), tally, orders };
    if is_text {
        lines::write(&counted, out)?
    } else {
        record::write(&counted, &findings, out)?
    };

    let selection = Selection {
        pieces: PIECES.to_vec(),
        paper: arguments.printing.paper,
        ink: arguments.printing.ink,
        ..Selection::default()
    };
    let bar = Bar::new(environment);
    let made = session.make_of(&known, selection, &mut |progress| bar.show(progress))?;
    bar.clear();
    if is_text {
        tell_count(&made.count, session.out(), out)?;
    }
    findings.extend(made.held_back);
    if is_text && !findings.is_empty() {
        writeln!(out)?;
        tell(&findings, &known.understood, environment, out)?;
    }
    Ok(Outcome::of(&findings, false))
}
