//! What a reader can take away from the site: the other pieces of the open shelf.

use super::pages::PageAddress;
use crate::imposition::{size, tiles};
use crate::job::{Imposed, Job, Make, Onto, Piece, Sheet};
use crate::pieces::row;
use crate::quantity::{Exact, Half, plain, round_to};
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;
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

/// A piece that lies beside the site, to take away.
#[derive(Serialize, JsonSchema)]
pub struct DownloadLink {
    /// The key of the piece among the theme's words.
    piece: &'static str,
    /// The key among `words.site.pieces` and `words.site.uses`: the piece, and its form where that is another
    /// (`handbook_booklet`).
    name: String,
    /// What it is called.
    title: String,
    /// Whether its name alone tells it.
    alone: bool,
    /// Relative to this page.
    href: String,
    /// PDF or XLSX.
    kind: String,
    /// The key among `words.site.papers`; null where no ordinary printer has such paper.
    paper: Option<&'static str>,
    /// The size of a large sheet, in print.
    size: Option<String>,
    /// On how many sheets a large one is cut.
    sheets: Option<usize>,
}

impl Download {
    pub fn data(&self, page: &PageAddress) -> DownloadLink {
        let sheets = match self.form {
            Form::Tiles(sheets) => sheets,
            Form::Pages | Form::Booklet | Form::Workbook => None,
        };
        DownloadLink {
            piece: row(self.piece).key,
            name: self.name(),
            title: self.title.clone(),
            alone: self.alone,
            href: page.link_to_shelf(&self.path),
            kind: self.path.rsplit('.').next().unwrap_or_default().to_uppercase(),
            paper: self.paper.name,
            size: self.paper.size.clone(),
            sheets,
        }
    }

    /// The key of the piece in this form among the theme's words.
    fn name(&self) -> String {
        let form = match self.form {
            Form::Pages => "",
            Form::Booklet => "_booklet",
            Form::Tiles(_) => "_tiles",
            Form::Workbook => "_workbook",
        };
        row(self.piece).key.to_owned() + form
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

/// What there is to take away of these jobs.
pub fn gather(offered: &[&Job]) -> Vec<Download> {
    let mut downloads: Vec<Download> = offered.iter().filter_map(|job| download(job)).collect();
    let names: Vec<String> = downloads.iter().map(Download::name).collect();
    for download in &mut downloads {
        let name = download.name();
        download.alone = names.iter().filter(|other| **other == name).count() == 1;
    }
    downloads
}

fn download(job: &Job) -> Option<Download> {
    let facts = job.quoted_facts();
    let in_workbook = Sheet::default();
    let (form, sheet) = match &job.make {
        Make::Sheet(sheet) => (Form::Pages, sheet),
        Make::Imposed(Imposed { pages, onto }) => (form_on(onto, pages), pages),
        Make::Tables(_) => (Form::Workbook, &in_workbook),
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
        path: job.path.clone(),
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
