//! Drawings: each fact series that a lesson draws, as an SVG for pages, the same as the one in print.

use super::tree::series_data;
use super::{Job, Make, Piece, Selection, Sheet, Shelf, common, file_name};
use crate::program::walk::{self, Met};
use crate::understand::Understood;

/// Where the drawing of a series goes, below the open shelf.
pub fn path(fact: &str) -> String {
    format!("site/drawings/{}.svg", file_name::of_id(fact))
}

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let mut drawn: Vec<&str> = Vec::new();
    let mut jobs = Vec::new();
    for view in walk::lessons(understood.program).filter_map(Met::series).filter(|view| !view.as_table) {
        let (Some(fact), Some(series)) = (understood.fact(&view.fact), understood.series(&view.fact)) else {
            continue;
        };
        if drawn.contains(&fact.name.as_str()) {
            continue;
        }
        drawn.push(&fact.name);
        let mut data = common::head(understood, selection, &view.title);
        data.insert("series".into(), series_data(fact, series, &view.title, false));
        jobs.push(Job {
            piece: Piece::Site,
            shelf: Shelf::Open,
            path: path(&fact.name),
            make: Make::Drawing(Sheet {
                template: "drawing.typ".into(),
                data: data.into(),
                ..Sheet::default()
            }),
        });
    }
    jobs
}
