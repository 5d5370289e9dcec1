//! How a certificate looks and what it says beside the names: from `program.toml`, for an event or an
//! award. What is missing there, the theme has its own words for.

use crate::finding::Place;
use crate::pieces::tree::Trees;
use crate::program::lesson::Prose;
use crate::program::settings::{Design, Event, KindWords, Settings};
use crate::understand::Understood;
use serde_json::{Value, json};

/// What a certificate is given for.
#[derive(Clone, Copy, Debug)]
pub enum Kind<'p> {
    Event(&'p Event),
    /// Of the service unit.
    Award,
}

impl Kind<'_> {
    pub fn design(self, settings: &Settings) -> Design {
        let own = match self {
            Self::Event(event) => event.certificate,
            Self::Award => settings.certificate.award.design,
        };
        own.unwrap_or(settings.certificate.design)
    }

    /// The title where the program gives one.
    pub fn title(self, settings: &Settings) -> Option<&str> {
        match self {
            Self::Event(_) => settings.certificate.title.as_deref(),
            Self::Award => settings.certificate.award.title.as_deref(),
        }
    }
}

/// The `certificate` part of a run's data.
pub fn look(understood: &Understood, kind: Kind) -> Value {
    let settings = &understood.content.settings;
    let words = &settings.certificate;
    let prose =
        |prose: &Option<Prose>| prose.as_ref().map(|prose| Trees::new(understood).inlines(&prose.inlines));
    let KindWords { title: companion_title, text: companion_text, .. } = &words.companion;
    let signatures = settings.signatures.iter().map(|signature| {
        let picture = signature.picture.as_ref().map(|picture| &picture.text);
        json!({"name": signature.name, "title": signature.title, "picture": picture})
    });
    let (name, text, with_companion) = match kind {
        Kind::Event(_) => {
            ("person", &words.text, json!({"title": companion_title, "text": prose(companion_text)}))
        }
        Kind::Award => ("award", &words.award.text, Value::Null),
    };
    json!({
        "kind": name,
        "design": kind.design(settings).name(),
        "border": words.border.name(),
        "seal": words.seal.as_ref().map(|seal| &seal.text),
        "title": kind.title(settings),
        "text": prose(text),
        "with-companion": with_companion,
        "signatures": signatures.collect::<Vec<_>>(),
    })
}

/// Where all that comes from, for findings that only laying out can give.
pub fn places(settings: &Settings, kind: Kind) -> Vec<(String, Place)> {
    let words = &settings.certificate;
    let mut places = settings.pictures().map(|it| (it.text.clone(), it.place.clone())).collect::<Vec<_>>();
    let text = match kind {
        Kind::Event(event) => {
            places.push(("event".into(), event.place.clone()));
            &words.text
        }
        Kind::Award => &words.award.text,
    };
    places.extend(text.iter().map(|prose| ("text".into(), prose.place.clone())));
    places
}
