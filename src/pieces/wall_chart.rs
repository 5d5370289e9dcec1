//! The wall chart: the program's principles as a poster, and whom to call.

use super::tree::Trees;
use super::{Job, Make, Piece, Selection, Sheet, Shelf, common};
use crate::program::walk::{self, Met};
use crate::understand::Understood;
use serde_json::{Value, json};

/// No wall chart where the program names no principles.
pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let settings = &understood.program.settings;
    if settings.principles.is_empty() {
        return Vec::new();
    }
    let trees = Trees::new(understood);
    let principles: Vec<Value> = settings
        .principles
        .iter()
        .map(|principle| {
            json!({
                "words": principle.words,
                "text": principle.text.as_ref().map(|text| trees.inlines(&text.inlines)),
            })
        })
        .collect();
    let title = format!(
        "{}: {}",
        settings.name,
        common::title(understood, selection, "wall-chart", &settings.season)
    );
    let mut data = common::head(understood, selection, &title);
    data.insert("principles".into(), principles.into());

    let texts = settings.principles.iter().filter_map(|principle| principle.text.as_ref());
    let pictures = texts.flat_map(walk::prose).filter_map(Met::picture).map(|picture| picture.file.clone());
    vec![Job {
        piece: Piece::WallChart,
        shelf: Shelf::Open,
        path: "wall-chart.pdf".into(),
        make: Make::Sheet(Sheet {
            template: "wall-chart.typ".into(),
            data: data.into(),
            pictures: pictures.collect(),
            places: settings
                .principles
                .iter()
                .enumerate()
                .map(|(at, principle)| (format!("principle-{}", at + 1), principle.place.clone()))
                .collect(),
            ..Sheet::default()
        }),
    }]
}
