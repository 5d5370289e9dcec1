//! Plan: which pieces are to be made, and the plain data that each hands to its template.
//!
//! A piece is a pure function from what was understood, the answers as they were [scored](Scores) and a
//! [`Selection`] to [`Job`]s. Nothing here typesets or writes; user text is data from here on and is never
//! parsed as a template's code. Each piece has a file of its own; the keys that its template is given are written
//! down in `docs/theme/schemas/`.

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
pub mod excerpt;
pub mod file_name;
pub mod handbook;
pub mod handout;
pub mod kit_sheets;
pub mod labels;
pub mod leaflet;
mod mailing;
pub mod name_tags;
pub mod orders;
pub mod packing_list;
pub mod presenters_copy;
pub mod question_sheet;
mod quoted;
mod roster_cells;
pub mod run_sheet;
pub mod scores;
pub mod season_report;
pub mod sign_in_sheet;
pub mod site;
pub mod slides;
pub mod tally;
mod terms;
pub mod tree;
pub mod wall_chart;
pub mod weights;
pub mod welcome_list;
pub mod words;

use crate::imposition::Reading;
use crate::people::scoring::Scores;
use crate::place::Place;
use crate::program::Program;
use crate::program::settings::{Event, Paper};
use crate::quantity::Exact;
use crate::understand::Understood;
use clap::ValueEnum;
use num_rational::BigRational;
pub use roster_cells::RosterCells;
use serde_json::Value;
pub use words::Words;

/// A thing that gets made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, ValueEnum)]
pub enum Piece {
    Handbook,
    Deck,
    /// One a lesson
    #[value(name = "handouts")]
    Handout,
    /// One sheet, folded twice
    Leaflet,
    WallChart,
    KitSheets,
    QuestionSheet,
    /// Lesson pages and the facts page
    Site,
    AnswerKey,
    PresentersCopy,
    /// One an event
    #[value(name = "run-sheets")]
    RunSheet,
    /// One for the program and one an event
    #[value(name = "bring-lists")]
    BringList,
    // From here on, pieces of people.
    Certificates,
    /// One an event
    #[value(name = "sign-in-sheets")]
    SignInSheet,
    /// One sheet set an event: person and companion
    #[value(name = "name-tags")]
    NameTags,
    /// Who came to which event
    #[value(name = "attendance")]
    Attendance,
    /// Answers as they were scored, and a sheet of those that the ranger has to look at
    #[value(name = "scores")]
    Scores,
    /// For the mail
    #[value(name = "labels")]
    Labels,
    /// For the mail
    #[value(name = "envelopes")]
    Envelopes,
    /// To find out how far a printer is off
    #[value(name = "calibration-sheet")]
    CalibrationSheet,
    /// What goes into each packet
    #[value(name = "packing-list")]
    PackingList,
    /// Hours and awards of the service unit
    #[value(name = "tally")]
    Tally,
    /// What to order, by size
    #[value(name = "orders")]
    Orders,
    /// Who asked to join the service unit
    #[value(name = "welcome-list")]
    WelcomeList,
    /// What the season achieved, for the agency; and the same without personal data
    #[value(name = "season-report")]
    SeasonReport,
}

impl Piece {
    /// How it is called at the head of a line.
    pub fn title(self) -> &'static str {
        match self {
            Self::Handbook => "Handbook",
            Self::Deck => "Deck",
            Self::Handout => "Handouts",
            Self::Leaflet => "Leaflet",
            Self::WallChart => "Wall chart",
            Self::KitSheets => "Kit sheets",
            Self::QuestionSheet => "Question sheet",
            Self::Site => "Site",
            Self::AnswerKey => "Answer key",
            Self::PresentersCopy => "Presenter's copy",
            Self::RunSheet => "Run sheets",
            Self::BringList => "Bring lists",
            Self::Certificates => "Certificates",
            Self::SignInSheet => "Sign-in sheets",
            Self::NameTags => "Name tags",
            Self::Attendance => "Attendance",
            Self::Scores => "Scores",
            Self::Labels => "Labels",
            Self::Envelopes => "Envelopes",
            Self::CalibrationSheet => "Calibration sheet",
            Self::PackingList => "Packing list",
            Self::Tally => "Tally",
            Self::Orders => "Orders",
            Self::WelcomeList => "Welcome list",
            Self::SeasonReport => "Season report",
        }
    }

    /// Whether each edition has it in its own words.
    pub fn is_of_an_edition(self) -> bool {
        !self.is_of_people()
    }

    /// Whether it is made of the roster and of what people answered.
    pub fn is_of_people(self) -> bool {
        self >= Self::Certificates
    }
}

/// Where pieces go.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Shelf {
    /// For anyone; never holds a name from the roster.
    Open,
    /// For the ranger and volunteers.
    Staff,
    /// Personal data; owner-only permissions.
    Private,
}

/// What to make.
#[derive(Clone, Debug, Default)]
pub struct Selection {
    /// Empty: all of them.
    pub pieces: Vec<Piece>,
    /// Only what belongs to this event (by id).
    pub event: Option<String>,
    /// Only this participant's certificates (by name as the roster has it).
    pub participant: Option<String>,
    pub paper: Option<Paper>,
    pub ink: Ink,
    /// The first label that is not used up on the first sheet, from 1.
    pub start_label: Option<u32>,
    /// What the theme itself says, in each language.
    pub words: Words,
}

/// The inks that a piece is set in, of those that the theme has.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, ValueEnum)]
pub enum Ink {
    #[default]
    Color,
    /// Saves ink, and says nothing by color alone.
    Black,
}

impl Selection {
    /// Whether what belongs to an event, by its id, is asked for.
    pub fn covers(&self, event: &str) -> bool {
        self.event.as_ref().is_none_or(|asked| asked == event)
    }

    /// The events of the program that are asked for, in its order.
    pub fn events<'p>(&self, program: &'p Program) -> impl Iterator<Item = &'p Event> {
        program.settings.events.iter().filter(|event| self.covers(&event.id))
    }

    /// Whether nothing of a piece is left out, so that what is not planned of it is no longer wanted.
    pub fn is_all_of(&self, piece: Piece) -> bool {
        self.is_everything()
            || (self.pieces.contains(&piece) && self.event.is_none() && self.participant.is_none())
    }

    /// Whether nothing is left out, so that what is not planned is no longer wanted at all.
    pub fn is_everything(&self) -> bool {
        self.pieces.is_empty() && self.event.is_none() && self.participant.is_none()
    }

    /// Whether a piece that is made of the roster and of answers belongs to it.
    pub fn has_people(&self) -> bool {
        self.pieces.is_empty() || self.pieces.iter().any(|piece| piece.is_of_people())
    }
}

/// One thing to make: everything that the press needs, and where it goes.
#[derive(Clone, Debug)]
pub struct Job {
    pub piece: Piece,
    pub shelf: Shelf,
    /// Below the shelf, with `/`: `handouts/water-and-heat.pdf`.
    pub path: String,
    pub make: Make,
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

/// A table for a spreadsheet.
#[derive(Clone, Debug, Default)]
pub struct Table {
    /// What its sheet is called in a workbook.
    pub name: String,
    pub headings: Vec<String>,
    pub rows: Vec<Vec<Cell>>,
}

/// A cell of a [`Table`].
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    Text(String),
    /// Exact; a workbook's own numbers are floating point, a CSV file has it with as many decimals
    /// as it needs, at most four.
    Number(BigRational),
    Date(jiff::civil::Date),
    Empty,
}

impl Table {
    pub fn new(name: &str, headings: &[&str]) -> Self {
        let headings = headings.iter().map(|&heading| heading.to_owned()).collect();
        Self { name: name.to_owned(), headings, rows: Vec::new() }
    }
}

impl Cell {
    /// Text, or nothing where there is none.
    pub fn text(text: Option<&str>) -> Self {
        text.map_or(Self::Empty, |text| Self::Text(text.to_owned()))
    }

    pub fn count(count: usize) -> Self {
        Self::Number(BigRational::from_integer(count.into()))
    }

    pub fn yes(yes: bool) -> Self {
        Self::Text(if yes { "yes" } else { "no" }.to_owned())
    }
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
    /// The row that the entry comes from.
    pub place: Option<Place>,
}

/// How a piece is planned.
#[derive(Clone, Copy)]
enum Planner {
    /// Without what anyone answered.
    Plain(fn(&Understood, &Selection) -> Vec<Job>),
    Scored(fn(&Understood, &Scores, &Selection) -> Vec<Job>),
}

/// Every job of a selection, in the order in which pieces are told of.
///
/// What belongs to an event states the facts as they are there. Where one event is asked for at which
/// they are otherwise, so does all else but the site, in a folder of its own beside the common pieces. The
/// pieces of an edition in another language lie in a folder of its language; nobody answers to an edition.
pub fn plan(understood: &Understood, scores: &Scores, selection: &Selection) -> Vec<Job> {
    use Planner::{Plain, Scored};
    let planners: [(Piece, Planner); 26] = [
        (Piece::Handbook, Plain(handbook::plan)),
        (Piece::Deck, Plain(deck::plan)),
        (Piece::Handout, Plain(handout::plan)),
        (Piece::Leaflet, Plain(leaflet::plan)),
        (Piece::WallChart, Plain(wall_chart::plan)),
        (Piece::KitSheets, Plain(kit_sheets::plan)),
        (Piece::QuestionSheet, Plain(question_sheet::plan)),
        (Piece::Site, Plain(drawings::plan)),
        (Piece::Site, Scored(site::plan)),
        (Piece::AnswerKey, Plain(answer_key::plan)),
        (Piece::PresentersCopy, Plain(presenters_copy::plan)),
        (Piece::RunSheet, Plain(run_sheet::plan)),
        (Piece::BringList, Plain(bring_list::plan)),
        (Piece::Certificates, Plain(certificates::plan)),
        (Piece::SignInSheet, Plain(sign_in_sheet::plan)),
        (Piece::NameTags, Plain(name_tags::plan)),
        (Piece::Attendance, Scored(attendance::plan)),
        (Piece::Scores, Scored(scores::plan)),
        (Piece::Labels, Plain(labels::plan)),
        (Piece::Envelopes, Plain(envelopes::plan)),
        (Piece::CalibrationSheet, Plain(calibration_sheet::plan)),
        (Piece::PackingList, Plain(packing_list::plan)),
        (Piece::Tally, Plain(tally::plan)),
        (Piece::Orders, Scored(orders::plan)),
        (Piece::WelcomeList, Plain(welcome_list::plan)),
        (Piece::SeasonReport, Scored(season_report::plan)),
    ];
    let mut jobs = planned(&planners, understood, scores, selection);
    for (edition, own) in understood.program.editions.iter().zip(&understood.editions) {
        let shared: Vec<_> = planners.iter().copied().filter(|(piece, _)| piece.is_of_an_edition()).collect();
        let mut own = planned(&shared, own, &Scores::default(), selection);
        let folder = edition_folder(&edition.language);
        own.iter_mut().for_each(|job| job.path = format!("{folder}/{}", job.path));
        jobs.extend(own);
    }
    jobs
}

/// The folder on each shelf of the edition in a language other than the main one.
fn edition_folder(language: &str) -> String {
    file_name::of_id(&language.to_lowercase())
}

fn planned(
    planners: &[(Piece, Planner)],
    understood: &Understood,
    scores: &Scores,
    selection: &Selection,
) -> Vec<Job> {
    let plan = |planner: Planner, understood: &Understood| match planner {
        Planner::Plain(plan) => plan(understood, selection),
        Planner::Scored(plan) => plan(understood, scores, selection),
    };
    planners
        .iter()
        .copied()
        .filter(|(piece, _)| selection.pieces.is_empty() || selection.pieces.contains(piece))
        .flat_map(|(piece, planner)| match local(understood, selection, piece) {
            Some((event, local)) => {
                let mut jobs = plan(planner, local);
                jobs.iter_mut()
                    .for_each(|job| job.path = format!("{}/{}", file_name::of_id(event), job.path));
                jobs
            }
            None => plan(planner, understood),
        })
        .collect()
}

/// The event whose own facts a common piece is to state, and what is understood there.
fn local<'u, 'p>(
    understood: &'u Understood<'p>,
    selection: &'u Selection,
    piece: Piece,
) -> Option<(&'u str, &'u Understood<'p>)> {
    let event = selection.event.as_deref()?;
    let is_common = match piece {
        Piece::Handbook
        | Piece::Handout
        | Piece::Leaflet
        | Piece::WallChart
        | Piece::KitSheets
        | Piece::QuestionSheet
        | Piece::AnswerKey => true,
        // An event's deck has a name of its own already; so have the staff's sheets and certificates.
        Piece::Deck | Piece::PresentersCopy | Piece::RunSheet | Piece::BringList | Piece::Certificates => {
            false
        }
        // People's sheets state no facts, and the site states the common ones.
        Piece::Site
        | Piece::SignInSheet
        | Piece::NameTags
        | Piece::Attendance
        | Piece::Scores
        | Piece::Labels
        | Piece::Envelopes
        | Piece::CalibrationSheet
        | Piece::PackingList
        | Piece::Tally
        | Piece::Orders
        | Piece::WelcomeList
        | Piece::SeasonReport => false,
    };
    Some((event, understood.at_events.get(event)?)).filter(|_| is_common)
}
