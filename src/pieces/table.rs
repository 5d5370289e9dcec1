//! The table of pieces: all that is to be said of each, in one row.

use super::selection::Selection;
use super::{
    answer_key, attendance, bring_list, calibration_sheet, certificates, deck, envelopes, errata, handbook,
    handout, kit_sheets, labels, leaflet, letters, name_tags, orders, packing_list, presenters_copy,
    question_sheet, run_sheet, scores, season_report, sign_in_sheet, site, tally, wall_chart, welcome_list,
};
use crate::job::{Job, Piece, Shelf};
use crate::people::scoring::Scores;
use crate::understand::Understood;
use Planner::{Plain, Scored, Site};
use Shelf::{Open, Private, Staff};

/// What there is to say of a piece.
pub struct Row {
    pub piece: Piece,
    /// How it is called at the head of a line.
    pub title: &'static str,
    /// Its key among the theme's words.
    pub key: &'static str,
    /// Whether it is made of the roster and of what people answered. All others each edition has in its own words.
    pub personal: bool,
    /// Whether it is made once more, in the event's own folder, where one event is asked for at which facts are
    /// otherwise. Pieces that belong to an event have a name of their own already; people's sheets state no
    /// facts; and the site states the common ones.
    pub local: bool,
    /// Its place among what the site offers to be taken away, where it does.
    pub download: Option<u8>,
    /// Where it goes.
    pub shelves: &'static [Shelf],
    pub(super) planner: Planner,
}

/// How a piece is planned.
#[derive(Clone, Copy)]
pub(super) enum Planner {
    /// Without what anyone answered.
    Plain(fn(&Understood, &Selection) -> Vec<Job>),
    Scored(fn(&Understood, &Scores, &Selection) -> Vec<Job>),
    /// With the jobs of all that it offers to be taken away.
    Site(fn(&Understood, &Selection, &[&Job]) -> Vec<Job>),
}

/// Every piece, in the order in which pieces are told of.
pub const TABLE: &[Row] = &[
    Row {
        piece: Piece::Handbook,
        title: "Handbook",
        key: "handbook",
        personal: false,
        local: true,
        download: Some(1),
        shelves: &[Open],
        planner: Plain(handbook::plan),
    },
    Row {
        piece: Piece::Deck,
        title: "Deck",
        key: "deck",
        personal: false,
        local: false,
        download: Some(6),
        shelves: &[Open],
        planner: Plain(deck::plan),
    },
    Row {
        piece: Piece::Handout,
        title: "Handouts",
        key: "handout",
        personal: false,
        local: true,
        download: Some(2),
        shelves: &[Open],
        planner: Plain(handout::plan),
    },
    Row {
        piece: Piece::Leaflet,
        title: "Leaflet",
        key: "leaflet",
        personal: false,
        local: true,
        download: Some(3),
        shelves: &[Open],
        planner: Plain(leaflet::plan),
    },
    Row {
        piece: Piece::WallChart,
        title: "Wall chart",
        key: "wall_chart",
        personal: false,
        local: true,
        download: Some(4),
        shelves: &[Open],
        planner: Plain(wall_chart::plan),
    },
    Row {
        piece: Piece::KitSheets,
        title: "Kit sheets",
        key: "kit_sheets",
        personal: false,
        local: true,
        download: Some(5),
        shelves: &[Open],
        planner: Plain(kit_sheets::plan),
    },
    Row {
        piece: Piece::QuestionSheet,
        title: "Question sheet",
        key: "question_sheet",
        personal: false,
        local: true,
        download: Some(7),
        shelves: &[Open],
        planner: Plain(question_sheet::plan),
    },
    Row {
        piece: Piece::Site,
        title: "Site",
        key: "site",
        personal: false,
        local: false,
        download: None,
        shelves: &[Open],
        planner: Site(site::plan),
    },
    Row {
        piece: Piece::Errata,
        title: "Errata",
        key: "errata",
        personal: false,
        local: false,
        download: None,
        shelves: &[Open],
        planner: Plain(errata::plan),
    },
    Row {
        piece: Piece::AnswerKey,
        title: "Answer key",
        key: "answer_key",
        personal: false,
        local: true,
        download: None,
        shelves: &[Staff],
        planner: Plain(answer_key::plan),
    },
    Row {
        piece: Piece::PresentersCopy,
        title: "Presenter's copy",
        key: "presenters_copy",
        personal: false,
        local: false,
        download: None,
        shelves: &[Staff],
        planner: Plain(presenters_copy::plan),
    },
    Row {
        piece: Piece::RunSheet,
        title: "Run sheets",
        key: "run_sheet",
        personal: false,
        local: false,
        download: None,
        shelves: &[Staff],
        planner: Plain(run_sheet::plan),
    },
    Row {
        piece: Piece::BringList,
        title: "Bring lists",
        key: "bring_list",
        personal: false,
        local: false,
        download: None,
        shelves: &[Staff],
        planner: Plain(bring_list::plan),
    },
    Row {
        piece: Piece::Certificates,
        title: "Certificates",
        key: "certificates",
        personal: true,
        local: false,
        download: None,
        shelves: &[Private],
        planner: Plain(certificates::plan),
    },
    Row {
        piece: Piece::Letters,
        title: "Letters",
        key: "letters",
        personal: true,
        local: false,
        download: None,
        shelves: &[Private],
        planner: Plain(letters::plan),
    },
    Row {
        piece: Piece::SignInSheet,
        title: "Sign-in sheets",
        key: "sign_in_sheet",
        personal: true,
        local: false,
        download: None,
        shelves: &[Private],
        planner: Plain(sign_in_sheet::plan),
    },
    Row {
        piece: Piece::NameTags,
        title: "Name tags",
        key: "name_tags",
        personal: true,
        local: false,
        download: None,
        shelves: &[Private],
        planner: Plain(name_tags::plan),
    },
    Row {
        piece: Piece::Attendance,
        title: "Attendance",
        key: "attendance",
        personal: true,
        local: false,
        download: None,
        shelves: &[Private],
        planner: Scored(attendance::plan),
    },
    Row {
        piece: Piece::Scores,
        title: "Scores",
        key: "scores",
        personal: true,
        local: false,
        download: None,
        shelves: &[Private],
        planner: Scored(scores::plan),
    },
    Row {
        piece: Piece::Labels,
        title: "Labels",
        key: "labels",
        personal: true,
        local: false,
        download: None,
        shelves: &[Private],
        planner: Plain(labels::plan),
    },
    Row {
        piece: Piece::Envelopes,
        title: "Envelopes",
        key: "envelopes",
        personal: true,
        local: false,
        download: None,
        shelves: &[Private],
        planner: Plain(envelopes::plan),
    },
    Row {
        piece: Piece::CalibrationSheet,
        title: "Calibration sheet",
        key: "calibration_sheet",
        personal: true,
        local: false,
        download: None,
        shelves: &[Staff],
        planner: Plain(calibration_sheet::plan),
    },
    Row {
        piece: Piece::PackingList,
        title: "Packing list",
        key: "packing_list",
        personal: true,
        local: false,
        download: None,
        shelves: &[Private],
        planner: Plain(packing_list::plan),
    },
    Row {
        piece: Piece::Tally,
        title: "Tally",
        key: "tally",
        personal: true,
        local: false,
        download: None,
        shelves: &[Private],
        planner: Plain(tally::plan),
    },
    Row {
        piece: Piece::Orders,
        title: "Orders",
        key: "orders",
        personal: true,
        local: false,
        download: None,
        shelves: &[Private],
        planner: Scored(orders::plan),
    },
    Row {
        piece: Piece::WelcomeList,
        title: "Welcome list",
        key: "welcome_list",
        personal: true,
        local: false,
        download: None,
        shelves: &[Private],
        planner: Plain(welcome_list::plan),
    },
    Row {
        piece: Piece::SeasonReport,
        title: "Season report",
        key: "season_report",
        personal: true,
        local: false,
        download: Some(8),
        shelves: &[Private, Open],
        planner: Scored(season_report::plan),
    },
];

/// The row of a piece.
pub fn row(piece: Piece) -> &'static Row {
    TABLE.iter().find(|row| row.piece == piece).expect("a test holds a row for every piece")
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::ValueEnum;

    #[test]
    fn every_piece_has_one_row_in_the_order_of_its_name() {
        let pieces: Vec<Piece> = TABLE.iter().map(|row| row.piece).collect();
        assert_eq!(pieces, Piece::value_variants());
    }

    #[test]
    fn what_is_personal_stays_off_the_open_shelf_but_for_the_seasons_summary() {
        for row in TABLE.iter().filter(|row| row.personal && row.piece != Piece::SeasonReport) {
            assert!(!row.shelves.contains(&Open), "{}", row.title);
        }
    }
}
