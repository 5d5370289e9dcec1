//! Mailing labels: the packets' addresses, each exactly on its label.
//!
//! Private: the data holds names and addresses. Places before the first label of a half-used sheet stay empty,
//! and so does a label that is held.

use super::common::Head;
use super::mailing::{self, AddressBlock, Measures, Nudge, key, length};
use super::{Selection, common};
use crate::imposition::size;
use crate::job::{Job, Make, Piece, Sheet, Shelf};
use crate::understand::Understood;
use schemars::JsonSchema;
use serde::Serialize;

/// Which part of the data holds labels, so that one that cannot be printed is held by itself.
const ONE_BY_ONE: &str = "sheets";

/// What `labels.typ` is given. All lengths are points.
#[derive(Serialize, JsonSchema)]
pub(super) struct Labels<'p> {
    #[serde(flatten)]
    head: Head<'p>,
    sheet: Measures,
    label: Measures,
    nudge: Nudge,
    /// A list of labels a sheet.
    sheets: Vec<Vec<Label<'p>>>,
}

/// A label where it lies on its sheet.
#[derive(Clone, Serialize, JsonSchema)]
struct Label<'p> {
    #[serde(flatten)]
    block: AddressBlock<'p>,
    /// Names what the mark `<label-overfull>` speaks of.
    key: String,
    /// The upper left corner, without the nudge.
    x: f64,
    y: f64,
}

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let Some(mail) = mailing::mail(understood, selection, Piece::Labels) else { return Vec::new() };
    if mail.packets.is_empty() {
        return Vec::new();
    }
    let settings = understood.content.settings.mail();
    let grid = &settings.labels;
    let start = selection.start_label.map_or(1, |start| start as usize);
    let mut sheets: Vec<Vec<Label>> = Vec::new();
    for (at, packet) in mail.packets.iter().enumerate() {
        let (sheet, place) = grid.at(at, start);
        sheets.resize(sheet + 1, Vec::new());
        let (x, y) = grid.corner(place);
        let block = AddressBlock::of(packet);
        sheets[sheet].push(Label { block, key: key(at), x: length(&x), y: length(&y) });
    }
    let (width, height) = size(grid.sheet);
    let title = common::title(understood, selection, "labels", "");
    let labels = Labels {
        head: common::head(understood, selection, &title),
        sheet: Measures::of(&width, &height),
        label: Measures::of(&grid.width, &grid.height),
        nudge: Nudge::of(&settings),
        sheets,
    };
    let places = mail.packets.iter().enumerate().map(|(at, packet)| mailing::place(at, packet)).collect();
    vec![Job {
        piece: Piece::Labels,
        shelf: Shelf::Private,
        path: mailing::path(selection, &mail, "labels.pdf"),
        make: Make::Sheet(Sheet { places, one_by_one: Some(ONE_BY_ONE), ..Sheet::of("labels.typ", &labels) }),
    }]
}
