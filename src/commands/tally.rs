//! `tally`: adds up the hours of the service unit, tells who has reached which award and what to order, and
//! makes the pieces that say the same.
//!
//! In lines for reading people stand by name, for that is what they are for. As JSON they stand by the rows
//! of the hours file or the roster, so that the output may be kept.

mod lines;
mod record;

use super::arguments::TallyArguments;
use super::make::{Count, make_all, open_press, put_away, tell};
use super::{Desk, Outcome, Trouble, decisions, open_or_tell, out_folder};
use crate::people::rewards::{self, Order};
use crate::people::scoring::Scores;
use crate::people::tally::{Tally, tally};
use crate::people::welcome::{Asked, asked};
use crate::pieces::{self, Piece, Selection};
use crate::program::Program;
use crate::proof;
use crate::shelf::Shelves;
use crate::understand::Understood;
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

/// The rules of proofreading whose findings make a tally wrong.
const RULES: [&str; 4] = ["hours-ahead", "hours-doubled", "hours-name-near", "hours-overlong"];

/// All that is told.
struct Counted<'p> {
    program: &'p Program,
    tally: Tally<'p>,
    orders: Vec<Order<'p>>,
    asked: Vec<Asked<'p>>,
}

pub fn run(arguments: &TallyArguments, desk: &Desk, out: &mut dyn Write) -> Result<Outcome, Trouble> {
    let is_text = arguments.tell_as == TellAs::Text;
    let opened = open_or_tell(arguments.program.folder.as_deref(), is_text, desk, out)?;
    let Some(mut program) = opened else { return Ok(Outcome::NotDone) };
    let into = out_folder(&program, arguments.printing.into.as_deref());
    decisions::take_in(&mut program, &into)?;
    let understood = Understood::new(&program);
    let scores = Scores::of(&understood);
    let mut findings = proof::proofread(&understood, &scores, desk.today);
    findings.retain(|finding| RULES.contains(&finding.rule));

    let tally = tally(&program);
    let orders = rewards::orders(&program, &rewards::due(&program, &scores, &tally));
    let counted = Counted { program: &program, asked: asked(&program), tally, orders };
    if is_text {
        lines::write(&counted, out)?
    } else {
        record::write(&counted, &findings, out)?
    };

    let press = open_press(&program)?;
    let selection = Selection {
        pieces: PIECES.to_vec(),
        paper: arguments.printing.paper,
        ink: arguments.printing.ink,
        words: press.words().clone(),
        ..Selection::default()
    };
    let jobs = pieces::plan(&understood, &scores, &selection);
    let mut shelves = Shelves::open(&into)?;
    let mut count = Count::default();
    let made = make_all(&jobs, &press, &mut shelves, desk, &mut count);
    let held_back = put_away(made, shelves, &program)?;
    if is_text {
        count.tell(&into, out)?;
    }
    findings.extend(held_back);
    if is_text && !findings.is_empty() {
        writeln!(out)?;
        tell(&findings, &understood, desk, out)?;
    }
    Ok(if findings.is_empty() { Outcome::Clear } else { Outcome::Findings })
}
