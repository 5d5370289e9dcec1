//! Drawings: each fact series that a lesson draws, as SVGs for pages, the same as the one in print. Each is
//! drawn wide and narrow, and both by day and by night.

use super::common::{Head, InkName};
use super::tree::{SeriesAlone, SeriesForm, series_data};
use super::{Selection, common};
use crate::job::{Job, Make, Piece, Sheet, Shelf, file_name};
use crate::program::walk::{self, Met};
use crate::understand::Understood;
use schemars::JsonSchema;
use serde::Serialize;

/// What `drawing.typ` is given.
#[derive(Serialize, JsonSchema)]
pub(super) struct Drawing<'p> {
    #[serde(flatten)]
    head: Head<'p>,
    series: SeriesAlone,
    /// Whether it is for a screen as wide as a hand.
    narrow: bool,
}

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
        let series = series_data(fact, series, &view.title, SeriesForm::Chart);
        for form in Form::ALL {
            let head = common::head(understood, selection, &view.title);
            let ink = if form.night { InkName::Night } else { head.ink };
            let drawing = Drawing {
                head: Head { ink, ..head },
                series: SeriesAlone::Series(series.clone()),
                narrow: form.narrow,
            };
            jobs.push(Job {
                piece: Piece::Site,
                shelf: Shelf::Open,
                path: path(&fact.name, form),
                make: Make::Drawing(Sheet::of("drawing.typ", &drawing)),
            });
        }
    }
    jobs
}
