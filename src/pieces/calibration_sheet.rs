//! The calibration sheet: the outlines of the labels with rulers, to find out how far a printer is off.
//!
//! Staff: it holds no name. The first page tells how to read the second, which is printed and held
//! against a sheet of labels.

use super::common::Head;
use super::mailing::{Measures, Nudge, is_wanted, length};
use super::{Selection, common};
use crate::imposition::size;
use crate::job::{Job, Make, Piece, Sheet, Shelf};
use crate::understand::Understood;
use num_traits::ToPrimitive;
use schemars::JsonSchema;
use serde::Serialize;

/// What `calibration-sheet.typ` is given. All lengths but `now` are points.
#[derive(Serialize, JsonSchema)]
pub(super) struct CalibrationSheet<'p> {
    #[serde(flatten)]
    head: Head<'p>,
    /// What the grid of labels is called.
    name: &'p str,
    sheet: Measures,
    label: Measures,
    nudge: Nudge,
    now: NudgeNow,
    outlines: Vec<Outline>,
}

/// The nudge in millimeters, as `program.toml` has it.
#[derive(Serialize, JsonSchema)]
struct NudgeNow {
    right: Option<f64>,
    down: Option<f64>,
}

/// The outline of a label.
#[derive(Serialize, JsonSchema)]
struct Outline {
    /// The label's number on the sheet, from 1.
    n: usize,
    /// The upper left corner.
    x: f64,
    y: f64,
}

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    if !is_wanted(understood, selection, Piece::CalibrationSheet) {
        return Vec::new();
    }
    let settings = understood.content.settings.mail();
    let grid = &settings.labels;
    let outline = |place| {
        let (x, y) = grid.corner(place);
        Outline { n: place + 1, x: length(&x), y: length(&y) }
    };
    let (width, height) = size(grid.sheet);
    let title = common::title(understood, selection, "calibration-sheet", "");
    // The sheet of labels decides on the paper.
    let head = Head { paper: grid.sheet.into(), ..common::head(understood, selection, &title) };
    let sheet = CalibrationSheet {
        head,
        name: &grid.name,
        sheet: Measures::of(&width, &height),
        label: Measures::of(&grid.width, &grid.height),
        nudge: Nudge::of(&settings),
        now: NudgeNow { right: settings.nudge_right.to_f64(), down: settings.nudge_down.to_f64() },
        outlines: (0..grid.on_sheet()).map(outline).collect(),
    };
    vec![Job {
        piece: Piece::CalibrationSheet,
        shelf: Shelf::Staff,
        path: "calibration-sheet.pdf".into(),
        make: Make::Sheet(Sheet::of("calibration-sheet.typ", &sheet)),
    }]
}
