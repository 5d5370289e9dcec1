//! The calibration sheet: the outlines of the labels with rulers, to find out how far a printer is off.
//!
//! Staff: it holds no name. The first page tells how to read the second, which is printed and held
//! against a sheet of labels. Beside the common head: `sheet`, `label`, `nudge` as for the labels, `name` of
//! the grid, `outlines` (`x`, `y` and the label's number `n`), `now` (the nudge in millimeters, as
//! `program.toml` has it: `right`, `down`). All other lengths are points.

use super::mailing::{is_wanted, length, of_millimeters};
use super::{Selection, common};
use crate::imposition::size;
use crate::job::{Job, Make, Piece, Sheet, Shelf};
use crate::understand::Understood;
use num_traits::ToPrimitive;
use serde_json::{Value, json};

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    if !is_wanted(understood, selection, Piece::CalibrationSheet) {
        return Vec::new();
    }
    let settings = understood.content.settings.mail();
    let grid = &settings.labels;
    let outlines: Vec<Value> = (0..grid.on_sheet())
        .map(|place| {
            let (x, y) = grid.corner(place);
            json!({"n": place + 1, "x": length(&x), "y": length(&y)})
        })
        .collect();
    let (width, height) = size(grid.sheet);
    let mut data =
        common::head(understood, selection, &common::title(understood, selection, "calibration-sheet", ""));
    // The sheet of labels decides on the paper.
    data.insert("paper".into(), common::paper_name(grid.sheet).into());
    data.insert("name".into(), grid.name.clone().into());
    data.insert("sheet".into(), json!({"width": length(&width), "height": length(&height)}));
    data.insert("label".into(), json!({"width": length(&grid.width), "height": length(&grid.height)}));
    let (right, down) = (&settings.nudge_right, &settings.nudge_down);
    data.insert(
        "nudge".into(),
        json!({"x": length(&of_millimeters(right)), "y": length(&of_millimeters(down))}),
    );
    data.insert("now".into(), json!({"right": right.to_f64(), "down": down.to_f64()}));
    data.insert("outlines".into(), outlines.into());
    vec![Job {
        piece: Piece::CalibrationSheet,
        shelf: Shelf::Staff,
        path: "calibration-sheet.pdf".into(),
        make: Make::Sheet(Sheet {
            template: "calibration-sheet.typ".into(),
            data: Value::Object(data),
            ..Sheet::default()
        }),
    }]
}
