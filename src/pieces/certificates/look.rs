//! How a certificate looks and what it says beside the names: from `program.toml`, for an event or an
//! award. What is missing there, the theme has its own words for.

use crate::finding::Place;
use crate::pieces::tree::{Inline, Trees};
use crate::program::lesson::Prose;
use crate::program::settings::{Design, Event, KindWords, Settings, Signature};
use crate::understand::Understood;
use schemars::JsonSchema;
use serde::Serialize;

/// How a certificate looks and what it says beside the names.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "CertificateLook")]
pub struct Look<'p> {
    kind: KindName,
    /// The name of the design, as `program.toml` has it.
    design: &'static str,
    /// The name of the border, as `program.toml` has it.
    border: &'static str,
    /// The picture of the seal, below `/program/`; null where there is none.
    seal: Option<&'p str>,
    /// Null where the theme has its own.
    title: Option<&'p str>,
    /// Null where the theme has its own.
    text: Option<Vec<Inline>>,
    /// What it says where a companion takes part too; null for an award.
    #[serde(rename = "with-companion")]
    with_companion: Option<WithCompanion<'p>>,
    signatures: Vec<SignatureWithPicture<'p>>,
}

/// What a certificate is given for.
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
enum KindName {
    Person,
    Award,
}

/// What a certificate says where a companion takes part too; null where the theme has its own.
#[derive(Serialize, JsonSchema)]
struct WithCompanion<'p> {
    title: Option<&'p str>,
    text: Option<Vec<Inline>>,
}

/// Who signs.
#[derive(Serialize, JsonSchema)]
struct SignatureWithPicture<'p> {
    name: &'p str,
    /// The office that the person holds.
    title: &'p str,
    /// The picture of the signature, below `/program/`; null where there is none.
    picture: Option<&'p str>,
}

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

pub fn look<'p>(understood: &Understood<'p>, kind: Kind) -> Look<'p> {
    let settings = &understood.content.settings;
    let words = &settings.certificate;
    let prose =
        |prose: &Option<Prose>| prose.as_ref().map(|prose| Trees::new(understood).inlines(&prose.inlines));
    let KindWords { title: companion_title, text: companion_text, .. } = &words.companion;
    let (kind_name, text, with_companion) = match kind {
        Kind::Event(_) => {
            let companion = WithCompanion { title: companion_title.as_deref(), text: prose(companion_text) };
            (KindName::Person, &words.text, Some(companion))
        }
        Kind::Award => (KindName::Award, &words.award.text, None),
    };
    let signature = |signature: &'p Signature| SignatureWithPicture {
        name: &signature.name,
        title: &signature.title,
        picture: signature.picture.as_ref().map(|picture| picture.text.as_str()),
    };
    Look {
        kind: kind_name,
        design: kind.design(settings).name(),
        border: words.border.name(),
        seal: words.seal.as_ref().map(|seal| seal.text.as_str()),
        title: kind.title(settings),
        text: prose(text),
        with_companion,
        signatures: settings.signatures.iter().map(signature).collect(),
    }
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
