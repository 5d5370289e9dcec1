//! Mailing labels: the packets' addresses, each exactly on its label.
//!
//! Private: the data holds names and addresses. Beside the common head: `sheet` and `label` (`width`,
//! `height`), `nudge` (`x`, `y`), `sheets`: a list a sheet, of labels with `x`, `y` (the upper left
//! corner, without the nudge), `lines`, `narrow` (may be null) and `key`. All lengths are points. Places
//! before the first label of a half-used sheet stay empty, and so does a label that is held.

use super::mailing::{self, block, key, length, of_millimeters};
use super::{Selection, common};
use crate::imposition::size;
use crate::job::{Job, Make, Piece, Sheet, Shelf};
use crate::understand::Understood;
use serde_json::{Value, json};

/// Which part of the data holds labels, so that one that cannot be printed is held by itself.
const ONE_BY_ONE: &str = "sheets";

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let Some(mail) = mailing::mail(understood, selection, Piece::Labels) else { return Vec::new() };
    if mail.packets.is_empty() {
        return Vec::new();
    }
    let settings = understood.content.settings.mail();
    let grid = &settings.labels;
    let start = selection.start_label.map_or(1, |start| start as usize);
    let mut sheets: Vec<Vec<Value>> = Vec::new();
    for (at, packet) in mail.packets.iter().enumerate() {
        let (sheet, place) = grid.at(at, start);
        sheets.resize(sheet + 1, Vec::new());
        let (x, y) = grid.corner(place);
        let mut label = block(packet);
        label["key"] = key(at).into();
        label["x"] = length(&x);
        label["y"] = length(&y);
        sheets[sheet].push(label);
    }
    let (width, height) = size(grid.sheet);
    let mut data = common::head(understood, selection, &common::title(understood, selection, "labels", ""));
    data.insert("sheet".into(), json!({"width": length(&width), "height": length(&height)}));
    data.insert("label".into(), json!({"width": length(&grid.width), "height": length(&grid.height)}));
    data.insert(
        "nudge".into(),
        json!({
            "x": length(&of_millimeters(&settings.nudge_right)),
            "y": length(&of_millimeters(&settings.nudge_down)),
        }),
    );
    data.insert(ONE_BY_ONE.into(), sheets.into());
    let places = mail.packets.iter().enumerate().map(|(at, packet)| mailing::place(at, packet)).collect();
    vec![Job {
        piece: Piece::Labels,
        shelf: Shelf::Private,
        path: mailing::path(selection, &mail, "labels.pdf"),
        make: Make::Sheet(Sheet {
            template: "labels.typ".into(),
            data: Value::Object(data),
            places,
            one_by_one: Some(ONE_BY_ONE),
            ..Sheet::default()
        }),
    }]
}
