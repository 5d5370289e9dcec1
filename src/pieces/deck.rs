//! The deck for print and projector: a PDF of the slides, 16 : 9.

use super::common::{Head, SendTo};
use super::slides::{Slides, SlidesOfLesson};
use super::{Selection, common, excerpt};
use crate::job::{self, Job, Make, Piece, Sheet, Shelf, file_name};
use crate::understand::Understood;
use schemars::JsonSchema;
use serde::Serialize;

/// What `deck.typ` is given; each lesson is a part of its own.
#[derive(Serialize, JsonSchema)]
pub(super) struct Deck<'p> {
    #[serde(flatten)]
    head: Head<'p>,
    lessons: Vec<DeckOutline>,
    /// The id of the lesson of which alone the slides are to be looked at; null for the whole deck.
    only: Option<&'p str>,
    /// Whether asks are pauses.
    by_video: bool,
    /// Null where no contact has an e-mail address.
    send_to: Option<SendTo<'p>>,
}

/// What the rest of the deck must know of a lesson.
#[derive(Serialize, JsonSchema)]
struct DeckOutline {
    /// The name of its part: `/data/PART.json`.
    part: String,
    id: String,
    /// The ids of its sections, one a slide.
    sections: Vec<String>,
}

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let settings = &understood.content.settings;
    let event = settings.events.iter().find(|event| Some(&event.id) == selection.scope.event.as_ref());
    let understood = event.map_or(understood, |event| understood.at(&event.id));
    let mut slides = Slides::new(understood, event);
    let here: Vec<DeckOutline> = slides.data.iter().map(|lesson| outline(String::new(), lesson)).collect();
    // Where a link leads to decides what is said beside it.
    slides.fitted_beside(&here);
    let fits = slides.fits();
    let Slides { lessons, data: slides, by_video } = slides;
    let title =
        format!("{}: {}", settings.name, common::title(understood, selection, "deck", &settings.season));
    let named = || slides.iter().enumerate().map(|(at, lesson)| (format!("lesson-{}", at + 1), lesson));
    let data = Deck {
        head: common::head(understood, selection, &title),
        lessons: named().map(|(part, lesson)| outline(part, lesson)).collect(),
        only: selection.lesson.as_deref(),
        by_video,
        send_to: common::answers_go_to(settings),
    };
    let parts = named().map(|(part, lesson)| (part, job::data(lesson))).collect();
    let pictures = excerpt::pictures(&lessons);
    vec![Job {
        piece: Piece::Deck,
        shelf: Shelf::Open,
        path: match event {
            Some(event) => format!("decks/{}.pdf", file_name::of_id(&event.id)),
            None => "deck.pdf".into(),
        },
        make: Make::Sheet(Sheet {
            parts,
            pictures: pictures.files,
            places: [
                pictures.places,
                excerpt::places(&lessons),
                vec![("title slide".into(), settings.name_place.clone())],
            ]
            .concat(),
            fits,
            ..Sheet::of("deck.typ", &data)
        }),
    }]
}

fn outline(part: String, lesson: &SlidesOfLesson) -> DeckOutline {
    let sections = lesson.lesson.sections.iter().map(|slide| slide.section.id.clone());
    DeckOutline { part, id: lesson.lesson.id.clone(), sections: sections.collect() }
}
