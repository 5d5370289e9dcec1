//! What a reader can take away from the site: the printed pieces of the open shelf.

use super::pages::PageAddress;
use crate::pieces::{
    Job, Make, Piece, Selection, Shelf, deck, handbook, handout, kit_sheets, leaflet, question_sheet,
    season_report, wall_chart,
};
use crate::understand::Understood;
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// A printed piece.
#[derive(Clone, Debug)]
pub struct Download {
    piece: Piece,
    /// Below the open shelf.
    path: String,
    title: String,
    /// The id of the lesson that a handout holds.
    lesson: Option<String>,
    /// Whether it is the only one of its piece, so that the piece's name tells it.
    alone: bool,
    /// The facts that it prints.
    pub facts: BTreeSet<String>,
}

impl Download {
    pub fn data(&self, page: &PageAddress) -> Value {
        json!({
            "piece": piece_name(self.piece),
            "title": self.title,
            "alone": self.alone,
            "href": page.link_to_shelf(&self.path),
        })
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

/// Every open PDF that the program gives, also where only the site or one event is being made: what
/// was made before lies beside it, and the same program always has the same site.
pub fn gather(understood: &Understood, selection: &Selection) -> Vec<Download> {
    let all = Selection { pieces: Vec::new(), event: None, participant: None, ..selection.clone() };
    let planners = [
        handbook::plan,
        handout::plan,
        leaflet::plan,
        wall_chart::plan,
        kit_sheets::plan,
        deck::plan,
        question_sheet::plan,
        season_report::plan,
    ];
    let mut downloads: Vec<Download> =
        planners.iter().flat_map(|plan| plan(understood, &all)).filter_map(download).collect();
    let pieces: Vec<Piece> = downloads.iter().map(|download| download.piece).collect();
    for download in &mut downloads {
        download.alone = pieces.iter().filter(|piece| **piece == download.piece).count() == 1;
    }
    downloads
}

fn download(job: Job) -> Option<Download> {
    let facts = job.quoted_facts();
    let Make::Sheet(sheet) = job.make else { return None };
    if job.shelf != Shelf::Open {
        return None;
    }
    let text = |value: &Value| value.as_str().map(str::to_owned);
    // Among the handouts of a program, the lesson's title alone tells one from another.
    let lesson = &sheet.data["lesson"];
    let title = text(&lesson["title_text"]).or_else(|| text(&sheet.data["title"]));
    let title = title.unwrap_or_else(|| job.path.clone());
    Some(Download {
        piece: job.piece,
        path: job.path,
        title,
        lesson: text(&lesson["id"]),
        alone: false,
        facts,
    })
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
