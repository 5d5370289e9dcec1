//! The leaflet: one sheet, both sides, folded twice like a letter, to hand out at the trailhead.
//!
//! The front names the program; inside stand its principles and a kit to pack, on the panel folded in
//! its gravest signal boxes, on the back whom to call and the workshops. Beside the common head: `principles`
//! (`words`, `text`), `kit` (`name`, `items` with `item` and `count`; or null), `signals` (cues as in lessons, the
//! gravest first), `workshops` (`name`, `date`, `place`), `panels` (`height` and the widths of `outside` and
//! `inside` from the left, in points; whether it is read `from-right`).

use super::mailing::length;
use super::tree::Trees;
use super::{Selection, common, excerpt, handbook, kit_sheets};
use crate::imposition::{Reading, panels, size};
use crate::job::{Job, Make, Piece, Sheet, Shelf};
use crate::program::kits::KitItem;
use crate::program::settings::{Event, Principle};
use crate::program::walk::{self, Met};
use crate::understand::Understood;
use serde_json::{Value, json};

/// No leaflet where the program names no principles.
pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let settings = &understood.content.settings;
    let Some(first) = settings.principles.first() else { return Vec::new() };
    let title = common::title(understood, selection, "leaflet", &settings.season);
    let mut data = common::head(understood, selection, &format!("{}: {title}", settings.name));
    let trees = Trees::new(understood);
    data.insert("principles".into(), settings.principles.iter().map(|it| principle(&trees, it)).collect());
    data.insert("kit".into(), kit(understood, &trees));
    let (signals, signal_pictures) = signals(understood);
    data.insert("signals".into(), signals.into());
    data.insert("workshops".into(), settings.events.iter().map(workshop).collect());
    data.insert("panels".into(), panels_of(understood, selection));

    let texts = settings.principles.iter().filter_map(|principle| principle.text.as_ref());
    let mut pictures: Vec<String> = texts
        .flat_map(walk::prose)
        .filter_map(Met::picture)
        .map(|picture| picture.file.clone())
        .chain(signal_pictures)
        .collect();
    pictures.sort();
    pictures.dedup();
    vec![Job {
        piece: Piece::Leaflet,
        shelf: Shelf::Open,
        path: "leaflet.pdf".into(),
        make: Make::Sheet(Sheet {
            template: "leaflet.typ".into(),
            data: data.into(),
            pictures,
            places: vec![("leaflet".into(), first.place.clone())],
            ..Sheet::default()
        }),
    }]
}

fn principle(trees: &Trees, principle: &Principle) -> Value {
    let text = principle.text.as_ref().map(|text| trees.inlines(&text.inlines));
    json!({"words": principle.words, "text": text})
}

/// As many things as a panel holds in letters that are read at ease.
const MOST_THINGS: usize = 18;

/// The largest kit, with all that it takes over from smaller ones, that a panel holds; else the smallest.
fn kit(understood: &Understood, trees: &Trees) -> Value {
    let kits = &understood.content.kits;
    let whole = |kit| -> Vec<&KitItem> {
        kit_sheets::tiers(kits, kit).into_iter().flat_map(|tier| &tier.items).collect()
    };
    let sized = kits.iter().map(|kit| (whole(kit), kit));
    let held = sized.clone().filter(|(items, _)| items.len() <= MOST_THINGS);
    let Some((items, kit)) =
        held.max_by_key(|(items, _)| items.len()).or_else(|| sized.min_by_key(|(items, _)| items.len()))
    else {
        return Value::Null;
    };
    let items: Vec<Value> = items
        .into_iter()
        .map(|item| json!({"item": trees.inlines(&item.item.inlines), "count": item.count}))
        .collect();
    json!({"name": kit.name, "items": items})
}

fn workshop(event: &Event) -> Value {
    json!({"name": event.name, "date": event.date.to_string(), "place": event.venue})
}

/// The signal boxes of all lessons, the gravest first, and the pictures that may stand in them.
fn signals(understood: &Understood) -> (Vec<Value>, Vec<String>) {
    let lessons: Vec<_> = understood
        .content
        .lessons
        .iter()
        .map(|lesson| excerpt::lesson(lesson, |blocks| excerpt::without(blocks, &handbook::PRESENTERS_CUES)))
        .collect();
    let trees = Trees::new(understood);
    let mut parts: Vec<(String, Value)> =
        lessons.iter().map(|lesson| (lesson.id.clone(), trees.lesson(lesson))).collect();
    (handbook::gather_cautions(&mut parts), excerpt::pictures(&lessons).files)
}

fn panels_of(understood: &Understood, selection: &Selection) -> Value {
    let settings = &understood.content.settings;
    // The sheet lies.
    let (height, width) = size(selection.paper.unwrap_or(settings.paper));
    let reading = Reading::of(&settings.language);
    let panels = panels::panels(&width, &panels::narrower(), reading);
    let lengths = |panels: &[_; 3]| -> Vec<Value> { panels.iter().map(length).collect() };
    json!({
        "height": length(&height),
        "outside": lengths(&panels.outside),
        "inside": lengths(&panels.inside),
        "from-right": reading == Reading::RightToLeft,
    })
}
