//! Pages of a sheet set on other sheets, for paper alone.
//!
//! The pages are laid out and made a PDF by themselves; a second template sets them as pictures where
//! [`imposition`](crate::imposition) says. `booklet.typ` and `tiles.typ` read from `/data/imposed.json`
//! what stands where, and the pages from `/data/pages.pdf`. All lengths there are points.

use super::engine::{Engine, Root};
use super::error::Fault;
use super::{json, pdf};
use crate::imposition::tiles::{self, Tiling};
use crate::imposition::{saddle, size};
use crate::job::{Imposed, Onto};
use crate::quantity::Exact;
use num_traits::ToPrimitive;
use serde_json::{Value, json};
use typst::foundations::Bytes;
use typst_layout::PagedDocument;

/// The template that sets the pages on sheets.
pub(super) fn template(onto: &Onto) -> &'static str {
    match onto {
        Onto::Booklet { .. } => "booklet.typ",
        Onto::Tiles { .. } => "tiles.typ",
    }
}

/// The bytes of the sheets.
pub(super) fn bytes(
    engine: &Engine,
    imposed: &Imposed,
    (document, path): (&PagedDocument, &str),
) -> Result<(Vec<u8>, usize), Vec<Fault>> {
    let template = &format!("sheets/{}", template(&imposed.onto));
    let mut data = match &imposed.onto {
        Onto::Booklet { .. } => booklet(&imposed.onto, document.pages().len()),
        Onto::Tiles { .. } => tiled(&imposed.onto, document),
    };
    data["title"] = imposed.pages.data["title"].clone();
    let faults = |errors| engine.faults(Root::Common, template, &errors);
    let pages = pdf::write_for_paper(document, path).map_err(faults)?;
    engine.place(Root::Common, "data/pages.pdf", Bytes::new(pages));
    engine.place(Root::Common, "data/imposed.json", json(&data));
    let sheets = engine.lay_out(Root::Common, template)?;
    let sides = sheets.pages().len();
    Ok((pdf::write_for_paper(&sheets, path).map_err(faults)?, sides))
}

/// `width` and `height` of the sheet as it lies, whether it has `staples`, and its `faces` in the order of
/// printing: `left` and `right` page (or null), `creep` toward the fold, whether it is the `outer` front
/// and whether the `inner` back.
fn booklet(onto: &Onto, pages: usize) -> Value {
    let Onto::Booklet { sheet, reading, thickness, staples } = onto else { return Value::Null };
    // Half sheets stand upright on a sheet that lies.
    let (height, width) = size(*sheet);
    let faces = saddle::faces(pages, *reading);
    let last = faces.len().saturating_sub(1);
    let faces: Vec<Value> = faces
        .iter()
        .enumerate()
        .map(|(at, face)| {
            json!({
                "left": face.left,
                "right": face.right,
                "creep": length(&saddle::creep(face.sheet, thickness)),
                "outer": at == 0,
                "inner": at == last,
            })
        })
        .collect();
    json!({"width": length(&width), "height": length(&height), "staples": staples, "faces": faces})
}

/// `width` and `height` of a sheet and of the `whole`, the `margin`, the `overlap`, what a tile `shows`,
/// and where each begins, by row: `tiles` with `x` and `y`.
fn tiled(onto: &Onto, document: &PagedDocument) -> Value {
    let Onto::Tiles { sheet, margin, overlap } = onto else { return Value::Null };
    let Some(page) = document.pages().first() else { return Value::Null };
    let whole = [page.frame.width(), page.frame.height()].map(|side| points(side.to_pt()));
    let tiling = tiles::fewest(&whole, &size(*sheet).into(), margin, overlap);
    let Some(Tiling { across, down, width, height }) = tiling else { return Value::Null };
    let tiles: Vec<Vec<Value>> = (0..down.count)
        .map(|row| {
            let tile = |column| json!({"x": length(&across.begin(column)), "y": length(&down.begin(row))});
            (0..across.count).map(tile).collect()
        })
        .collect();
    json!({
        "width": length(&width),
        "height": length(&height),
        "whole": {"width": length(&whole[0]), "height": length(&whole[1])},
        "margin": length(margin),
        "overlap": length(overlap),
        "shows": {"width": length(&across.shown), "height": length(&down.shown)},
        "tiles": tiles,
    })
}

/// Points as the typesetter has them, to a thousandth: no length of ours is finer.
fn points(value: f64) -> Exact {
    Exact::new(((value * 1000.0).round() as i64).into(), 1000.into())
}

/// A length for the typesetter, to a hundred-thousandth of a point.
fn length(points: &Exact) -> f64 {
    let fine = Exact::from_integer(100_000.into());
    (points * &fine).round().to_f64().unwrap_or_default() / 100_000.0
}
