//! What passes between plan and make: a [`Job`] is one thing to make, with everything that the press needs and
//! where it goes. Known to `pieces/`, which plans jobs, to `press/`, which makes them, and to `shelf/`, which
//! puts away what came of them. Nothing here knows a program.

mod code;
pub mod file_name;
mod fit;
mod letter;
mod part;
mod piece;
mod quoted;
mod roster_cells;
mod table;
mod wanting;

pub use code::{Code, Correction};
pub use fit::{Fit, fit_key};
pub use letter::{Letter, Mailbox};
pub use part::Part;
pub use piece::{Piece, Shelf};
pub use roster_cells::RosterCells;
pub use table::{Cell, Table};
pub use wanting::wanted;

use crate::finding::Place;
use crate::imposition::{Paper, Reading};
use crate::quantity::Exact;
use serde::Serialize;
use serde_json::Value;

/// One thing to make: everything that the press needs, and where it goes.
#[derive(Clone, Debug)]
pub struct Job {
    pub piece: Piece,
    pub shelf: Shelf,
    /// Below the shelf, with `/`: `handouts/water-and-heat.pdf`.
    pub path: String,
    pub make: Make,
}

impl Job {
    /// The file, as findings name it. What stands on a private sheet may be personal, and its place says so to who
    /// passes it on.
    pub fn place(&self) -> Place {
        match self.shelf {
            Shelf::Private => Place::whole(&format!("private/{}", self.path)),
            Shelf::Open | Shelf::Staff => Place::whole(&self.path),
        }
    }
}

/// How a job is made.
#[derive(Clone, Debug)]
pub enum Make {
    /// A PDF from one sheet template of the theme.
    Sheet(Sheet),
    /// A PDF for paper alone: the pages of a sheet template, each set by itself on other sheets.
    Imposed(Imposed),
    /// A PDF that holds the pages of a run: many sheets of one template, each also made by itself.
    Run(RunOfSheets),
    /// An SVG from one sheet template: a drawing for pages, the same as the one in print.
    Drawing(Sheet),
    /// An HTML page, or its style sheet, from one template in the theme's `pages/`. The template
    /// sees the keys of `data`, and beside them `words` (the theme's words in the program's language)
    /// and `inks` (its `inks.toml`) as they stand in those files. Everything is escaped for HTML.
    Page { template: String, data: Value },
    /// Rows for a spreadsheet: CSV or XLSX after the ending of the path. A CSV file holds the first
    /// table. Text stays text there, also where a spreadsheet could take it for a formula.
    Tables(Vec<Table>),
    /// A text that is finished, such as a record for other software.
    Text(String),
    /// A file as it is. Plans read no files, so they name it and the press fetches its bytes.
    Copy { of: Original },
}

/// A file that is put on a shelf unchanged.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Original {
    /// In the theme's folder: `type/Andika-Regular.ttf`.
    Theme(String),
    /// In the program's folder: `pictures/high-line.svg`.
    Program(String),
}

/// What the typesetter sets: a template with its data.
#[derive(Clone, Debug, Default)]
pub struct Sheet {
    /// In the theme's `sheets/`: `handbook.typ`.
    pub template: String,
    /// What the template reads from `/data/piece.json`.
    pub data: Value,
    /// Large parts kept apart so that a change to one leaves the others' layout standing, by name:
    /// `/data/NAME.json`. The handbook and the deck have one a lesson.
    pub parts: Vec<(String, Value)>,
    /// Pictures of the program that the sheet shows: `pictures/x.svg`, at `/program/pictures/x.svg`.
    pub pictures: Vec<String>,
    /// Where the parts of the sheet come from, so that what only laying out can tell is reported
    /// there: by the key that the template gives to a slide (`lesson#section`) or by the picture's
    /// path.
    pub places: Vec<(String, Place)>,
    /// A list in `data` whose entries (with a `key` each, maybe in lists of their own) are held one by
    /// one: an entry with a letter that no font has is handed over with nothing but its `key`, and the
    /// rest is made.
    pub one_by_one: Option<&'static str>,
    /// Cells of lists of people, which are held by themselves: one with a letter that no font has is handed
    /// over as `{"held": ROW}`, and the rest is made.
    pub cells: Vec<RosterCells>,
    /// What its template fits to its room by measuring.
    pub fits: Vec<Fit>,
}

impl Sheet {
    /// A sheet of what one template is given, with nothing beside it.
    pub fn of(template: &str, model: &impl Serialize) -> Self {
        Self { template: template.to_owned(), data: data(model), ..Self::default() }
    }
}

/// A model as the plain data that a template is given.
pub fn data(model: &impl Serialize) -> Value {
    serde_json::to_value(model).expect("the keys of a model are words")
}

/// Pages that are laid onto sheets of another size. What comes out is for paper and not tagged; the same
/// pages are a piece of their own for the screen.
#[derive(Clone, Debug)]
pub struct Imposed {
    pub pages: Sheet,
    pub onto: Onto,
}

/// How pages come onto sheets. Lengths are exact points.
#[derive(Clone, Debug)]
pub enum Onto {
    /// Two on each side, to be folded and stapled. The pages are half a sheet large.
    Booklet { sheet: Paper, reading: Reading, thickness: Exact, staples: bool },
    /// One large page cut into tiles, with a plan of them.
    Tiles { sheet: Paper, margin: Exact, overlap: Exact },
}

/// A run of sheets (certificates): one template, one common part, one entry a person.
#[derive(Clone, Debug)]
pub struct RunOfSheets {
    pub template: String,
    /// What all entries share, at `/data/piece.json`.
    pub data: Value,
    /// One page each; the template reads them from `/data/entries.json`.
    pub entries: Vec<RunEntry>,
    pub pictures: Vec<String>,
    /// Where what the entries share comes from: pictures by their paths, and by the words of the
    /// template what may come out too small (`text`, `event`, `signature`, `agency`, `title`).
    pub places: Vec<(String, Place)>,
    /// Whether each entry is a file of its own too.
    pub alone: bool,
}

/// A page of a run, which is a file of its own too.
#[derive(Clone, Debug, Default)]
pub struct RunEntry {
    /// Where the page goes by itself, below the shelf.
    pub path: String,
    /// The title of the single file.
    pub title: String,
    pub data: Value,
    /// Drawn by the press, for the template at `/data/codes/N.luma`, N being the entry's place in the list.
    pub code: Option<Code>,
    /// The row that the entry comes from.
    pub place: Option<Place>,
    /// The letter that the page is attached to: its own file is that letter, and no PDF.
    pub letter: Option<Letter>,
}

impl RunOfSheets {
    /// Whether it is one of letters, each with its page: these have no file in which all pages stand.
    pub fn is_of_letters(&self) -> bool {
        self.entries.iter().any(|entry| entry.letter.is_some())
    }
}
