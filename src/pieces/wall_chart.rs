//! The wall chart: the program's habits as a poster, and whom to call; in tiles where it is larger
//! than a sheet.

use super::common::Head;
use super::mailing::Measures;
use super::tree::{Inline, Trees};
use super::{Selection, common};
use crate::imposition::{Paper, size};
use crate::job::{Imposed, Job, Make, Onto, Piece, Sheet, Shelf};
use crate::program::settings::Habit;
use crate::program::walk::{self, Met};
use crate::quantity::Exact;
use crate::understand::Understood;
use schemars::JsonSchema;
use serde::Serialize;

/// What `wall-chart.typ` is given.
#[derive(Serialize, JsonSchema)]
pub(super) struct WallChart<'p> {
    #[serde(flatten)]
    head: Head<'p>,
    habits: Vec<HabitData<'p>>,
    size: Measures,
}

/// One of the program's habits.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Habit")]
pub(super) struct HabitData<'p> {
    words: &'p str,
    /// What it means; null where the program does not say.
    text: Option<Vec<Inline>>,
}

impl<'p> HabitData<'p> {
    pub fn of(trees: &Trees, habit: &'p Habit) -> Self {
        let text = habit.text.as_ref().map(|text| trees.inlines(&text.inlines));
        Self { words: &habit.words, text }
    }
}

/// No wall chart where the program names no habits.
pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let settings = &understood.content.settings;
    if settings.habits.is_empty() {
        return Vec::new();
    }
    let trees = Trees::new(understood);
    let title = format!(
        "{}: {}",
        settings.name,
        common::title(understood, selection, "wall-chart", &settings.season)
    );
    let chart = &settings.wall_chart;
    let paper = selection.paper.unwrap_or(settings.paper);
    let (width, height) = chart.size_on(paper);
    let data = WallChart {
        head: common::head(understood, selection, &title),
        habits: settings.habits.iter().map(|it| HabitData::of(&trees, it)).collect(),
        size: Measures::of(&width, &height),
    };

    let texts = settings.habits.iter().filter_map(|habit| habit.text.as_ref());
    let pictures = texts.flat_map(walk::prose).filter_map(Met::picture).map(|picture| picture.file.clone());
    let sheet = Sheet {
        pictures: pictures.collect(),
        places: vec![("habits".into(), settings.habits[0].place.clone())],
        ..Sheet::of("wall-chart.typ", &data)
    };
    let mut jobs = vec![job("wall-chart.pdf", Make::Sheet(sheet.clone()))];
    if !fits_on(paper, &width, &height) {
        let onto = Onto::Tiles { sheet: paper, margin: margin(), overlap: chart.overlap.clone() };
        jobs.push(job("wall-chart-tiled.pdf", Make::Imposed(Imposed { pages: sheet, onto })));
    }
    jobs
}

fn job(path: &str, make: Make) -> Job {
    Job { piece: Piece::WallChart, shelf: Shelf::Open, path: path.into(), make }
}

/// Whether one sheet of the paper holds the chart, whichever way it lies.
fn fits_on(paper: Paper, width: &Exact, height: &Exact) -> bool {
    let (across, down) = size(paper);
    (*width <= across && *height <= down) || (*width <= down && *height <= across)
}

/// Around each tile: a quarter of an inch that most office printers cannot print on (common practice, no
/// source), and room for the marks.
fn margin() -> Exact {
    Exact::new((72 * 2).into(), 5.into())
}
