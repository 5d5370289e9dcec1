//! Errata: what puts printed pieces right instead of throwing them away. For each open piece that was printed and in
//! which a figure is another now, a sheet of slips to lay in, and a sheet of stickers to paste over the old words.
//!
//! They are made of a comparison with an earlier making, so only where one is given ([`Selection::since`]). What
//! changed in words alone misleads nobody and gets no slip.

use super::common::Head;
use super::mailing::{Measures, Nudge, length};
use super::{Selection, common};
use crate::imposition::label_grid::LabelGrid;
use crate::imposition::size;
use crate::job::{Job, Make, Piece, Sheet, Shelf, file_name};
use crate::since::{Change, Comparison, Level, PieceNow};
use crate::understand::Understood;
use schemars::JsonSchema;
use serde::Serialize;

/// Where errata lie on the open shelf.
pub const FOLDER: &str = "errata";

/// What `errata-slips.typ` is given.
#[derive(Serialize, JsonSchema)]
pub(super) struct Slips<'p> {
    #[serde(flatten)]
    head: Head<'p>,
    #[serde(flatten)]
    of: Corrected<'p>,
    errata: Vec<Erratum<'p>>,
}

/// What `errata-stickers.typ` is given. All lengths are points.
#[derive(Serialize, JsonSchema)]
pub(super) struct Stickers<'p> {
    #[serde(flatten)]
    head: Head<'p>,
    #[serde(flatten)]
    of: Corrected<'p>,
    sheet: Measures,
    label: Measures,
    nudge: Nudge,
    errata: Vec<Erratum<'p>>,
    /// A list of stickers a sheet, set after set.
    sheets: Vec<Vec<Sticker>>,
}

/// The piece that is put right.
#[derive(Clone, Copy, Serialize, JsonSchema)]
struct Corrected<'p> {
    /// Its key among the words.
    key: &'p str,
    /// Its file, below the open shelf.
    path: &'p str,
    /// The season that it was printed for.
    season_was: &'p str,
}

/// A sentence to be read otherwise.
#[derive(Clone, Serialize, JsonSchema)]
struct Erratum<'p> {
    /// Whether a safety fact in it is another.
    safety: bool,
    /// Where it stands in print; none where that is not known.
    pages: &'p [usize],
    /// As it is printed; null where it is missing there.
    was: Option<&'p str>,
    /// As it should read; null where it is to be struck out.
    now: Option<&'p str>,
    sources: Vec<ErratumSource<'p>>,
}

/// Where the new figure comes from.
#[derive(Clone, PartialEq, Serialize, JsonSchema)]
struct ErratumSource<'p> {
    source: &'p str,
    /// The day on which it was looked at (ISO 8601); null where that is not said.
    as_of: Option<&'p str>,
}

/// A sticker where it lies on its sheet.
#[derive(Serialize, JsonSchema)]
struct Sticker {
    /// Which of the errata it is, from 0.
    erratum: usize,
    /// The upper left corner, without the nudge.
    x: f64,
    y: f64,
}

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let Some(since) = selection.since.as_deref() else { return Vec::new() };
    let language = &understood.content.settings.language;
    // A deck is shown from the newest file.
    let printed = since.pieces.iter().filter(|piece| {
        piece.shelf == Shelf::Open.name()
            && !piece.on_screen
            && piece.key != "deck"
            && piece.edition == *language
    });
    printed.flat_map(|piece| jobs(understood, selection, since, piece)).collect()
}

fn jobs(understood: &Understood, selection: &Selection, since: &Comparison, piece: &PieceNow) -> Vec<Job> {
    let mut errata: Vec<Erratum> =
        since.changes.iter().filter_map(|change| erratum(since, change, piece)).collect();
    // The dangerous first, and then as one turns the pages.
    errata.sort_by_key(|erratum| (!erratum.safety, erratum.pages.first().copied()));
    if errata.is_empty() {
        return Vec::new();
    }
    let of = Corrected { key: &piece.key, path: &piece.path, season_was: &since.season_was };
    let head = |key: &str| {
        common::head(understood, selection, &common::title(understood, selection, key, &since.season_was))
    };
    let mut jobs = Vec::new();
    let stuck: Vec<Erratum> =
        errata.iter().filter(|it| it.was.is_some() && it.now.is_some()).cloned().collect();
    let slips = Slips { head: head("errata-slips"), of, errata };
    jobs.push(job(piece, "slips", Sheet::of("errata-slips.typ", &slips)));
    if !stuck.is_empty() {
        let mail = understood.content.settings.mail();
        let grid = &mail.labels;
        let (width, height) = size(grid.sheet);
        let stickers = Stickers {
            head: head("errata-stickers"),
            of,
            sheet: Measures::of(&width, &height),
            label: Measures::of(&grid.width, &grid.height),
            nudge: Nudge::of(&mail),
            sheets: sheets(grid, stuck.len(), selection.start_label),
            errata: stuck,
        };
        jobs.push(job(piece, "stickers", Sheet::of("errata-stickers.typ", &stickers)));
    }
    jobs
}

fn job(piece: &PieceNow, what: &str, sheet: Sheet) -> Job {
    // An edition's own folder is put before it where all of the edition's are.
    let folder = format!("{}/", super::edition_folder(&piece.edition));
    let path = piece.path.strip_prefix(&folder).unwrap_or(&piece.path);
    let stem = path.trim_end_matches(".pdf").replace('/', "-");
    Job {
        piece: Piece::Errata,
        shelf: Shelf::Open,
        path: format!("{FOLDER}/{}-{what}.pdf", file_name::of_id(&stem)),
        make: Make::Sheet(sheet),
    }
}

/// What stands in the piece and states a figure that is another now.
fn erratum<'p>(since: &'p Comparison, change: &'p Change, piece: &PieceNow) -> Option<Erratum<'p>> {
    if !matches!(change.level, Level::Safety | Level::Figure) || change.edition != piece.edition {
        return None;
    }
    let stands =
        change.stands.iter().find(|stands| stands.path == piece.path && stands.piece == piece.piece)?;
    let mut sources = Vec::new();
    for fact in since.facts.iter().filter(|fact| change.facts.contains(&fact.name)) {
        let Some(source) = fact.source.as_deref().filter(|_| fact.now.is_some()) else { continue };
        let source = ErratumSource { source, as_of: fact.as_of.as_deref() };
        if !sources.contains(&source) {
            sources.push(source);
        }
    }
    Some(Erratum {
        safety: change.level == Level::Safety,
        pages: &stands.pages,
        was: change.was.as_deref(),
        now: change.now.as_deref(),
        sources,
    })
}

/// As many whole sets of stickers as one sheet takes; of more than it takes, one set on as many sheets as need be.
fn sheets(grid: &LabelGrid, count: usize, start: Option<u32>) -> Vec<Vec<Sticker>> {
    let start = start.map_or(1, |start| start as usize);
    let sets = ((grid.on_sheet() + 1 - start) / count).max(1);
    let mut sheets: Vec<Vec<Sticker>> = Vec::new();
    for at in 0..sets * count {
        let (sheet, place) = grid.at(at, start);
        if sheets.len() <= sheet {
            sheets.resize_with(sheet + 1, Vec::new);
        }
        let (x, y) = grid.corner(place);
        sheets[sheet].push(Sticker { erratum: at % count, x: length(&x), y: length(&y) });
    }
    sheets
}
