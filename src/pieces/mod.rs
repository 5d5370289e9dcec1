//! Plan: which pieces are to be made, and the plain data that each hands to its template.
//!
//! A piece is a pure function from what was understood, the answers as they were [scored](Scores) and a
//! [`Selection`] to [`Job`]s. Nothing here typesets or writes; user text is data from here on and is never
//! parsed as a template's code. Each piece has a file of its own, which opens with its model: what its template is
//! given, as a type that is serialized where the job is built. From the models [`schemas`] makes what
//! `docs/theme/schemas/` tells.

pub mod agenda;
pub mod answer_key;
pub mod attendance;
pub mod bring;
pub mod bring_list;
pub mod calibration_sheet;
pub mod certificates;
pub mod common;
pub mod deck;
pub mod drawings;
pub mod envelopes;
pub mod errata;
pub mod excerpt;
pub mod handbook;
pub mod handout;
pub mod kit_sheets;
pub mod labels;
pub mod leaflet;
pub mod letters;
mod mailing;
pub mod name_tags;
pub mod orders;
pub mod packing_list;
pub mod presenters_copy;
pub mod question_sheet;
pub mod reprint_list;
pub mod run_sheet;
pub mod schemas;
pub mod scores;
pub mod season_report;
pub mod selection;
pub mod sign_in_sheet;
pub mod site;
pub mod slides;
pub mod start_here;
mod table;
mod table_words;
pub mod tally;
mod terms;
pub mod tree;
pub mod wall_chart;
mod wanting;
pub mod weights;
pub mod welcome_list;

use crate::job::{Job, Piece, Shelf, file_name};
use crate::people::scope::Scope;
use crate::people::scoring::Scores;
use crate::program::Program;
use crate::program::lesson::Lesson;
use crate::understand::Understood;
use std::collections::BTreeMap;
use table::Planner;

pub use selection::{Ink, Selection};
pub use table::{Row, TABLE, row};
pub use wanting::held_for_words;

/// Every job of a selection, in the order in which pieces are told of.
///
/// What belongs to an event states the facts as they are there. Where one event is asked for at which
/// they are otherwise, so does all else but the site, in a folder of its own beside the common pieces. The
/// pieces of an edition in another language lie in a folder of its language; nobody answers to an edition.
pub fn plan(understood: &Understood, scores: &Scores, selection: &Selection) -> Vec<Job> {
    let everything: Vec<&Row> = TABLE.iter().collect();
    let mut jobs = planned(&everything, understood, scores, selection);
    let shared: Vec<&Row> = TABLE.iter().filter(|row| !row.personal).collect();
    for (edition, own) in understood.root.editions.iter().zip(&understood.editions) {
        let mut own = planned(&shared, own, &Scores::default(), selection);
        let folder = edition_folder(&edition.language);
        own.iter_mut().for_each(|job| job.path = format!("{folder}/{}", job.path));
        jobs.extend(own);
    }
    jobs
}

/// The language of the edition whose file lies at a path.
pub fn edition_of<'p>(program: &'p Program, path: &str) -> &'p str {
    let own = program.editions.iter().map(|edition| edition.language.as_str()).find(|language| {
        path.strip_prefix(&edition_folder(language)).is_some_and(|rest| rest.starts_with('/'))
    });
    own.unwrap_or(&program.content.settings.language)
}

/// The folder on each shelf of the edition in a language other than the main one.
fn edition_folder(language: &str) -> String {
    file_name::of_id(&language.to_lowercase())
}

/// The pieces that can be made of one participant.
const OF_ONE: [Piece; 7] = [
    Piece::Certificates,
    Piece::Letters,
    Piece::Labels,
    Piece::Envelopes,
    Piece::PackingList,
    Piece::NameTags,
    Piece::Scores,
];

/// Where the pieces of one participant stand that otherwise hold everybody's.
pub(crate) fn participant_folder(name: &str) -> String {
    format!("participants/{}", file_name::of_id(name))
}

/// A lesson as it is printed in a piece: its chapter of the handbook, its handout, its slides. No other piece has a
/// part for a lesson.
pub fn of_lesson(
    understood: &Understood,
    selection: &Selection,
    piece: Piece,
    lesson: &Lesson,
) -> Option<Job> {
    let selection = Selection { pieces: vec![piece], lesson: Some(lesson.id.clone()), ..selection.clone() };
    match piece {
        Piece::Handbook => handbook::plan(understood, &selection).into_iter().next(),
        Piece::Deck => deck::plan(understood, &selection).into_iter().next(),
        Piece::Handout => Some(handout::of_lesson(understood, &selection, lesson)),
        _ => None,
    }
}

/// The jobs of one edition. The site comes last, for it offers what is planned of the others.
fn planned(rows: &[&Row], understood: &Understood, scores: &Scores, selection: &Selection) -> Vec<Job> {
    let mut by_piece: BTreeMap<Piece, Vec<Job>> = BTreeMap::new();
    // Of one participant only what is made for people is meant, where no piece is named.
    let of_one = selection.scope.participant.is_some();
    let asked = |piece| match selection.pieces.is_empty() {
        true => !of_one || OF_ONE.contains(&piece),
        false => selection.pieces.contains(&piece),
    };
    for row in rows.iter().filter(|row| asked(row.piece)) {
        by_piece.insert(row.piece, of_piece(row, understood, scores, selection));
    }
    if let Some(site) = rows.iter().find(|row| row.piece == Piece::Site && asked(row.piece)) {
        let jobs = of_site(site, rows, understood, scores, selection, &by_piece);
        by_piece.insert(Piece::Site, jobs);
    }
    by_piece.into_values().flatten().collect()
}

fn of_piece(row: &Row, understood: &Understood, scores: &Scores, selection: &Selection) -> Vec<Job> {
    let plan = |understood: &Understood| match row.planner {
        Planner::Plain(plan) => plan(understood, selection),
        Planner::Scored(plan) => plan(understood, scores, selection),
        Planner::Site(_) => Vec::new(),
    };
    let event = selection.scope.event.as_deref().filter(|_| row.local);
    let shared = row.piece == Piece::NameTags;
    if let Some(name) = selection.scope.participant.as_deref().filter(|_| shared) {
        // The other pieces of one person have a place of their own already.
        let mut jobs = plan(understood);
        jobs.iter_mut().for_each(|job| job.path = format!("{}/{}", participant_folder(name), job.path));
        return jobs;
    }
    match event.and_then(|event| Some((event, understood.at_events.get(event)?))) {
        Some((event, local)) => {
            let mut jobs = plan(local);
            jobs.iter_mut().for_each(|job| job.path = format!("{}/{}", file_name::of_id(event), job.path));
            jobs
        }
        None => plan(understood),
    }
}

/// The site offers every open piece that the program gives, also where only the site or one event is being made:
/// what was made before lies beside it, and the same program always has the same site.
fn of_site(
    site: &Row,
    rows: &[&Row],
    understood: &Understood,
    scores: &Scores,
    selection: &Selection,
    planned: &BTreeMap<Piece, Vec<Job>>,
) -> Vec<Job> {
    let Planner::Site(plan) = site.planner else { return Vec::new() };
    let all = Selection { pieces: Vec::new(), scope: Scope::default(), ..selection.clone() };
    let missing: Vec<Vec<Job>>;
    let mut offered: Vec<&&Row> = rows.iter().filter(|row| row.download.is_some()).collect();
    offered.sort_by_key(|row| row.download);
    let offered = offered.into_iter();
    let offered: Vec<&Job> = if selection.is_everything() {
        offered.filter_map(|row| planned.get(&row.piece)).flatten().collect()
    } else {
        missing = offered.map(|row| of_piece(row, understood, scores, &all)).collect();
        missing.iter().flatten().collect()
    };
    let open: Vec<&Job> =
        offered.into_iter().filter(|job| job.shelf == Shelf::Open && job.wants().is_empty()).collect();
    plan(understood, selection, &open)
}
