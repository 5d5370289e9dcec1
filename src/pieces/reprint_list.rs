//! The reprint list: which printed pieces are out of date, on how many sheets of paper, and every sentence that changed.
//!
//! It is made of a comparison with an earlier making, and so by `since` alone, to a file that the user names.

use super::common::Head;
use super::{Selection, common};
use crate::job::{Job, Make, Piece, Sheet, Shelf};
use crate::since::{Change, Comparison, FactChange, Level, PieceNow, Verdict};
use crate::understand::Understood;
use schemars::JsonSchema;
use serde::Serialize;

/// What `reprint-list.typ` is given.
#[derive(Serialize, JsonSchema)]
pub(super) struct ReprintList<'p> {
    #[serde(flatten)]
    head: Head<'p>,
    /// The season that it is compared with.
    season_was: &'p str,
    /// What is printed and out of date, new or gone, the dangerous first.
    pieces: Vec<ReprintRow<'p>>,
    /// Sheets of paper for all that is to be reprinted, both sides; null where the pages of some are not known.
    sheets: Option<usize>,
    /// How many printed files are still good.
    good: usize,
    /// The sentences that changed in them.
    changes: Vec<ReprintChange<'p>>,
}

/// A file to reprint, or to take away.
#[derive(Serialize, JsonSchema)]
struct ReprintRow<'p> {
    verdict: Verdict,
    /// The piece's key among the words.
    piece: &'p str,
    /// Below its shelf.
    path: &'p str,
    /// Its pages when it was made; null where they are not known.
    pages: Option<usize>,
    /// Sheets of paper for them, both sides.
    sheets: Option<usize>,
    changes: usize,
}

/// A sentence that changed.
#[derive(Serialize, JsonSchema)]
struct ReprintChange<'p> {
    level: Level,
    /// The language (BCP 47) of its edition.
    edition: &'p str,
    /// Null where it is new.
    was: Option<&'p str>,
    /// Null where it is gone.
    now: Option<&'p str>,
    /// Whether the sentence still says what its fact no longer is.
    not_restated: bool,
    facts: Vec<ReprintFact<'p>>,
    stands: Vec<ReprintPlace<'p>>,
}

/// A fact that is another now.
#[derive(Serialize, JsonSchema)]
struct ReprintFact<'p> {
    name: &'p str,
    source: Option<&'p str>,
    as_of: Option<&'p str>,
}

/// Where a sentence stands.
#[derive(Serialize, JsonSchema)]
struct ReprintPlace<'p> {
    /// The piece's key among the words.
    piece: &'p str,
    path: &'p str,
    /// None where they are not known.
    pages: &'p [usize],
}

/// The list as a job of its own, for a file that is called `path`.
pub fn job(understood: &Understood, selection: &Selection, told: &Comparison, path: &str) -> Job {
    let title = common::title(understood, selection, "reprint-list", &understood.content.settings.season);
    let printed = || told.pieces.iter().filter(|piece| !piece.on_screen);
    let stale = printed().filter(|piece| piece.verdict != Verdict::Good);
    let to_print = || printed().filter(|piece| !matches!(piece.verdict, Verdict::Good | Verdict::Gone));
    let list = ReprintList {
        head: common::head(understood, selection, &title),
        season_was: &told.season_was,
        pieces: stale.map(row).collect(),
        sheets: to_print().map(PieceNow::sheets).sum(),
        good: printed().filter(|piece| piece.verdict == Verdict::Good).count(),
        changes: told.changes.iter().filter_map(|it| change(told, it)).collect(),
    };
    // It goes to no shelf; what is told of it is told of the office's sheets.
    let make = Make::Sheet(Sheet::of("reprint-list.typ", &list));
    Job { piece: Piece::CalibrationSheet, shelf: Shelf::Staff, path: path.to_owned(), make }
}

fn row(piece: &PieceNow) -> ReprintRow<'_> {
    ReprintRow {
        verdict: piece.verdict,
        piece: &piece.key,
        path: &piece.path,
        pages: piece.pages,
        sheets: piece.sheets(),
        changes: piece.all_changes(),
    }
}

/// What stands on screens alone is on no paper.
fn change<'p>(told: &'p Comparison, change: &'p Change) -> Option<ReprintChange<'p>> {
    let on_paper = change.stands.iter().filter(|stands| !stands.on_screen);
    let stands: Vec<ReprintPlace> = on_paper
        .map(|stands| ReprintPlace { piece: &stands.key, path: &stands.path, pages: &stands.pages })
        .collect();
    let facts = told.facts.iter().filter(|fact| change.facts.contains(&fact.name)).map(fact);
    (!stands.is_empty()).then(|| ReprintChange {
        level: change.level,
        edition: &change.edition,
        was: change.was.as_deref(),
        now: change.now.as_deref(),
        not_restated: change.not_restated,
        facts: facts.collect(),
        stands,
    })
}

fn fact(fact: &FactChange) -> ReprintFact<'_> {
    ReprintFact { name: &fact.name, source: fact.source.as_deref(), as_of: fact.as_of.as_deref() }
}
