//! The page to start with: what was made, for whom it is, when it is printed, and where it lies.
//!
//! It lies beside the shelves and is for the ranger. Of the private shelf it names folders and no file, for a file may
//! be called after a person. It says nothing of a run, so that the same program gives the same page.

use super::{Selection, row};
use crate::job::{Job, Shelf};
use crate::understand::Understood;
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;
use std::collections::BTreeSet;

/// What `start-here.html` is given. The page lies beside the folders of the shelves; addresses are relative to it.
#[derive(Serialize, JsonSchema)]
pub(super) struct StartHere<'p> {
    /// Whose language, name and season they are.
    program: ProgramNamed<'p>,
    /// The style sheet, where the site is made; null where it is not.
    style: Option<&'static str>,
    shelves: Vec<ShelfListed>,
}

/// The program that the pieces belong to.
#[derive(Serialize, JsonSchema)]
struct ProgramNamed<'p> {
    /// A language (BCP 47): en, es-MX.
    language: &'p str,
    name: &'p str,
    agency: &'p str,
    season: &'p str,
}

/// A shelf with what lies on it.
#[derive(Serialize, JsonSchema)]
struct ShelfListed {
    /// open, staff or private: its key among the words, and its folder.
    name: &'static str,
    pieces: Vec<PieceListed>,
}

/// A piece with its files.
#[derive(Serialize, JsonSchema)]
struct PieceListed {
    /// Its key among the words.
    key: &'static str,
    /// On the private shelf, its folders.
    files: Vec<FileListed>,
    /// How many more there are that are not listed.
    more: usize,
}

/// A file, or a folder.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
struct FileListed {
    href: String,
    /// Its path below the shelf.
    path: String,
    /// What the language of its edition is called in itself; null where there is but one.
    edition: Option<String>,
}

/// Of one piece so many files are listed at most.
const LISTED: usize = 24;

/// The data of the page; `jobs` are all that the program gives.
pub fn data(understood: &Understood, selection: &Selection, jobs: &[Job]) -> Value {
    let settings = &understood.content.settings;
    let shelf =
        |shelf: Shelf| ShelfListed { name: shelf.name(), pieces: pieces(understood, selection, jobs, shelf) };
    let has_style = |job: &Job| job.shelf == Shelf::Open && job.path == "site/site.css";
    let page = StartHere {
        program: ProgramNamed {
            language: &settings.language,
            name: &settings.name,
            agency: &settings.agency,
            season: &settings.season,
        },
        style: jobs.iter().any(has_style).then_some("open/site/site.css"),
        shelves: [Shelf::Open, Shelf::Staff, Shelf::Private]
            .into_iter()
            .map(shelf)
            .filter(|shelf| !shelf.pieces.is_empty())
            .collect(),
    };
    crate::job::data(&page)
}

fn pieces(understood: &Understood, selection: &Selection, jobs: &[Job], shelf: Shelf) -> Vec<PieceListed> {
    let of_shelf: Vec<&Job> = jobs.iter().filter(|job| job.shelf == shelf).collect();
    let kinds = super::TABLE.iter().map(|row| row.piece);
    let listed = kinds.filter_map(|piece| {
        let of_piece = || of_shelf.iter().filter(|job| job.piece == piece);
        of_piece().next()?;
        let key = row(piece).key;
        let listed = |job: &&&Job| key != "site" || job.path.ends_with("site/index.html");
        let files: Vec<FileListed> = match shelf {
            Shelf::Private => {
                of_piece().map(|job| folder(job)).collect::<BTreeSet<_>>().into_iter().collect()
            }
            // A site is entered by its front page.
            Shelf::Open | Shelf::Staff => {
                of_piece().filter(listed).map(|job| file(understood, selection, job)).collect()
            }
        };
        let more = files.len().saturating_sub(LISTED);
        Some(PieceListed { key, files: files.into_iter().take(LISTED).collect(), more })
    });
    listed.collect()
}

fn file(understood: &Understood, selection: &Selection, job: &Job) -> FileListed {
    let program = understood.root;
    let language = super::edition_of(program, &job.path);
    let is_one_of_several = !program.editions.is_empty();
    FileListed {
        href: encoded(&format!("{}/{}", job.shelf.name(), job.path)),
        path: job.path.clone(),
        edition: is_one_of_several.then(|| selection.words.own_name(language).to_owned()),
    }
}

/// The folder of a private file. No link leads there.
fn folder(job: &Job) -> FileListed {
    let path = match job.path.split_once('/') {
        Some((folder, _)) => format!("{folder}/"),
        None => "private/".to_owned(),
    };
    FileListed { href: String::new(), path, edition: None }
}

fn encoded(path: &str) -> String {
    super::site::encoded_path(path)
}
