//! Drawings: each fact series that a lesson draws, as SVGs for pages, the same as the one in print. Each is
//! drawn wide and narrow, and both by day and by night.

use super::tree::series_data;
use super::{Selection, common};
use crate::job::{Job, Make, Piece, Sheet, Shelf, file_name};
use crate::program::walk::{self, Met};
use crate::understand::Understood;

/// A form in which a series is drawn.
#[derive(Clone, Copy, Debug)]
pub struct Form {
    /// For a screen as wide as a hand.
    pub narrow: bool,
    /// In the inks for screens after dark.
    pub night: bool,
}

impl Form {
    pub const ALL: [Self; 4] = [
        Self { narrow: false, night: false },
        Self { narrow: true, night: false },
        Self { narrow: false, night: true },
        Self { narrow: true, night: true },
    ];
}

/// Where a drawing of a series goes, below the open shelf.
pub fn path(fact: &str, form: Form) -> String {
    let narrow = if form.narrow { "-narrow" } else { "" };
    let night = if form.night { "-night" } else { "" };
    format!("site/drawings/{}{narrow}{night}.svg", file_name::of_id(fact))
}

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let mut drawn: Vec<&str> = Vec::new();
    let mut jobs = Vec::new();
    for view in walk::lessons(understood.content).filter_map(Met::series).filter(|view| !view.as_table) {
        let (Some(fact), Some(series)) = (understood.fact(&view.fact), understood.series(&view.fact)) else {
            continue;
        };
        if drawn.contains(&fact.name.as_str()) {
            continue;
        }
        drawn.push(&fact.name);
        let series = series_data(fact, series, &view.title, false);
        for form in Form::ALL {
            let mut data = common::head(understood, selection, &view.title);
            data.insert("series".into(), series.clone());
            data.insert("narrow".into(), form.narrow.into());
            if form.night {
                data.insert("ink".into(), "night".into());
            }
            jobs.push(Job {
                piece: Piece::Site,
                shelf: Shelf::Open,
                path: path(&fact.name, form),
                make: Make::Drawing(Sheet {
                    template: "drawing.typ".into(),
                    data: data.into(),
                    ..Sheet::default()
                }),
            });
        }
    }
    jobs
}
