//! The deck for print and projector: a PDF of the slides, 16 : 9.

use super::slides::Slides;
use super::{Selection, common, excerpt};
use crate::job::{Job, Make, Piece, Sheet, Shelf, file_name};
use crate::understand::Understood;
use serde_json::{Value, json};

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let settings = &understood.content.settings;
    let event = settings.events.iter().find(|event| Some(&event.id) == selection.scope.event.as_ref());
    let understood = event.map_or(understood, |event| understood.at(&event.id));
    let Slides { lessons, data: slides, by_video } = Slides::new(understood, event);
    let title =
        format!("{}: {}", settings.name, common::title(understood, selection, "deck", &settings.season));
    let mut data = common::head(understood, selection, &title);
    let parts: Vec<(String, Value)> =
        slides.into_iter().enumerate().map(|(at, lesson)| (format!("lesson-{}", at + 1), lesson)).collect();
    data.insert("lessons".into(), parts.iter().map(|(part, lesson)| outline(part, lesson)).collect());
    data.insert("by_video".into(), by_video.into());
    data.insert("send_to".into(), common::answers_go_to(settings).into());
    let pictures = excerpt::pictures(&lessons);
    vec![Job {
        piece: Piece::Deck,
        shelf: Shelf::Open,
        path: match event {
            Some(event) => format!("decks/{}.pdf", file_name::of_id(&event.id)),
            None => "deck.pdf".into(),
        },
        make: Make::Sheet(Sheet {
            template: "deck.typ".into(),
            data: data.into(),
            parts,
            pictures: pictures.files,
            places: [
                pictures.places,
                excerpt::places(&lessons),
                vec![("title slide".into(), settings.name_place.clone())],
            ]
            .concat(),
            ..Sheet::default()
        }),
    }]
}

fn outline(part: &str, lesson: &Value) -> Value {
    let sections: Vec<&Value> =
        lesson["sections"].as_array().into_iter().flatten().map(|section| &section["id"]).collect();
    json!({"part": part, "id": lesson["id"], "sections": sections})
}
