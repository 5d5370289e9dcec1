//! What a reader can take away from the site: the other pieces of the open shelf.

use super::pages::PageAddress;
use crate::imposition::tiles;
use crate::people::scoring::Scores;
use crate::pieces::{
    Imposed, Job, Make, Onto, Piece, Selection, Sheet, Shelf, deck, handbook, handout, kit_sheets, leaflet,
    question_sheet, season_report, wall_chart,
};
use crate::program::settings::label_grid::size;
use crate::quantity::{Exact, Half, plain, round_to};
use crate::understand::Understood;
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// A piece to take away.
#[derive(Clone, Debug)]
pub struct Download {
    piece: Piece,
    form: Form,
    /// Below the open shelf.
    path: String,
    title: String,
    /// The id of the lesson that a handout holds.
    lesson: Option<String>,
    /// Whether it is the only one of its name, so that the name tells it.
    alone: bool,
    /// What it is printed on.
    paper: Paper,
    /// The facts that it prints.
    pub facts: BTreeSet<String>,
}

/// In what form a piece lies there.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Form {
    /// Page after page, for the screen and for paper.
    Pages,
    /// Two pages on each side, to be folded.
    Booklet,
    /// A large page on so many sheets.
    Tiles(Option<usize>),
    Workbook,
}

/// What a piece is printed on, as the theme's words name it; a size in its own unit where no printer has it.
#[derive(Clone, Debug, Default)]
struct Paper {
    name: Option<&'static str>,
    size: Option<String>,
}

impl Download {
    pub fn data(&self, page: &PageAddress) -> Value {
        let sheets = match self.form {
            Form::Tiles(sheets) => sheets,
            Form::Pages | Form::Booklet | Form::Workbook => None,
        };
        json!({
            "piece": piece_name(self.piece),
            "name": self.name(),
            "title": self.title,
            "alone": self.alone,
            "href": page.link_to_shelf(&self.path),
            "kind": self.path.rsplit('.').next().unwrap_or_default().to_uppercase(),
            "paper": self.paper.name,
            "size": self.paper.size,
            "sheets": sheets,
        })
    }

    /// The key of the piece in this form among the theme's words.
    fn name(&self) -> String {
        let form = match self.form {
            Form::Pages => "",
            Form::Booklet => "_booklet",
            Form::Tiles(_) => "_tiles",
            Form::Workbook => "_workbook",
        };
        piece_name(self.piece).to_owned() + form
    }

    /// Whether it is the piece itself and not another form of it.
    pub fn is_plain(&self) -> bool {
        self.form == Form::Pages
    }

    /// Whether it is a question sheet; that of version A comes first.
    pub fn is_question_sheet(&self) -> bool {
        self.piece == Piece::QuestionSheet
    }

    /// Whether it is the handout of a lesson.
    pub fn is_handout_of(&self, lesson: &str) -> bool {
        self.piece == Piece::Handout && self.lesson.as_deref() == Some(lesson)
    }
}

/// Every open piece that the program gives beside the site, also where only the site or one event is being made: what
/// was made before lies beside it, and the same program always has the same site.
pub fn gather(understood: &Understood, scores: &Scores, selection: &Selection) -> Vec<Download> {
    let all = Selection { pieces: Vec::new(), event: None, participant: None, ..selection.clone() };
    let planners = [
        handbook::plan,
        handout::plan,
        leaflet::plan,
        wall_chart::plan,
        kit_sheets::plan,
        deck::plan,
        question_sheet::plan,
    ];
    let is_edition = understood.program.fallback_language.is_some();
    let own = planners.iter().flat_map(|plan| plan(understood, &all));
    let jobs = own.chain(season_report::plan(understood, scores, &all));
    let jobs = jobs.filter(|job| job.shelf == Shelf::Open && (job.piece.is_of_an_edition() || !is_edition));
    let mut downloads: Vec<Download> = jobs.filter_map(download).collect();
    let names: Vec<String> = downloads.iter().map(Download::name).collect();
    for download in &mut downloads {
        let name = download.name();
        download.alone = names.iter().filter(|other| **other == name).count() == 1;
    }
    downloads
}

fn download(job: Job) -> Option<Download> {
    let facts = job.quoted_facts();
    let (form, sheet) = match job.make {
        Make::Sheet(sheet) => (Form::Pages, sheet),
        Make::Imposed(Imposed { pages, onto }) => (form_on(&onto, &pages), pages),
        Make::Tables(_) => (Form::Workbook, Sheet::default()),
        Make::Run(_) | Make::Drawing(_) | Make::Page { .. } | Make::Text(_) | Make::Copy { .. } => {
            return None;
        }
    };
    let text = |value: &Value| value.as_str().map(str::to_owned);
    // Among the handouts of a program, the lesson's title alone tells one from another.
    let lesson = &sheet.data["lesson"];
    let title = text(&lesson["title_text"]).or_else(|| text(&sheet.data["title"]));
    let title = title.unwrap_or_else(|| job.path.clone());
    Some(Download {
        piece: job.piece,
        paper: paper(job.piece, &form, &sheet.data),
        form,
        path: job.path,
        title,
        lesson: text(&lesson["id"]),
        alone: false,
        facts,
    })
}

fn form_on(onto: &Onto, pages: &Sheet) -> Form {
    match onto {
        Onto::Booklet { .. } => Form::Booklet,
        Onto::Tiles { sheet, margin, overlap } => {
            let tiling = size_of(&pages.data)
                .and_then(|whole| tiles::fewest(&whole, &size(*sheet).into(), margin, overlap));
            Form::Tiles(tiling.map(|tiling| tiling.count()))
        }
    }
}

fn paper(piece: Piece, form: &Form, data: &Value) -> Paper {
    let name = match data["paper"].as_str().unwrap_or_default() {
        "letter" | "half-letter" => "letter",
        "a4" | "a5" => "a4",
        _ => return Paper::default(),
    };
    match (piece, form, size_of(data)) {
        (Piece::Deck, ..) => Paper { name: Some("screen"), size: None },
        (Piece::WallChart, Form::Pages, Some(sides)) => Paper { name: None, size: Some(said(&sides, name)) },
        _ => Paper { name: Some(name), size: None },
    }
}

/// The width and height that a wall chart's data give it, in points.
fn size_of(data: &Value) -> Option<[Exact; 2]> {
    let side = |key: &str| {
        let points = data["size"][key].as_f64()?;
        Exact::from_float(points)
            .map(|points| round_to(&points, &Exact::new(1.into(), 1000.into()), Half::Up))
    };
    Some([side("width")?, side("height")?])
}

/// `24 × 36 in` where paper goes by inches, else `594 × 841 mm`.
fn said(sides: &[Exact; 2], paper: &str) -> String {
    let inch = Exact::from_integer(72.into());
    let (unit, a_unit, place) = match paper {
        "letter" => ("in", inch, Exact::new(1.into(), 10.into())),
        _ => ("mm", inch * Exact::new(10.into(), 254.into()), Exact::from_integer(1.into())),
    };
    let [width, height] = sides.each_ref().map(|side| plain(&round_to(&(side / &a_unit), &place, Half::Up)));
    format!("{width}\u{a0}×\u{a0}{height}\u{a0}{unit}")
}

/// The key of a piece among the theme's words.
fn piece_name(piece: Piece) -> &'static str {
    match piece {
        Piece::Handbook => "handbook",
        Piece::Deck => "deck",
        Piece::Handout => "handout",
        Piece::Leaflet => "leaflet",
        Piece::WallChart => "wall_chart",
        Piece::KitSheets => "kit_sheets",
        Piece::QuestionSheet => "question_sheet",
        Piece::Site => "site",
        Piece::AnswerKey => "answer_key",
        Piece::PresentersCopy => "presenters_copy",
        Piece::RunSheet => "run_sheet",
        Piece::BringList => "bring_list",
        Piece::Certificates => "certificates",
        Piece::SignInSheet => "sign_in_sheet",
        Piece::NameTags => "name_tags",
        Piece::Attendance => "attendance",
        Piece::Scores => "scores",
        Piece::Labels => "labels",
        Piece::Envelopes => "envelopes",
        Piece::CalibrationSheet => "calibration_sheet",
        Piece::PackingList => "packing_list",
        Piece::Tally => "tally",
        Piece::Orders => "orders",
        Piece::WelcomeList => "welcome_list",
        Piece::SeasonReport => "season_report",
    }
}
