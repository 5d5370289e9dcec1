//! The leaflet: one sheet, both sides, folded twice like a letter, to hand out at the trailhead.
//!
//! The front names the program; inside stand its habits and a kit to pack, on the panel folded in
//! its gravest signal boxes, on the back whom to call and the workshops.

use super::common::{Head, LaterDay};
use super::handbook::Signal;
use super::mailing::length;
use super::tree::{Inline, Trees};
use super::wall_chart::HabitData;
use super::{Selection, common, excerpt, handbook, kit_sheets};
use crate::imposition::{Reading, panels, size};
use crate::job::{Job, Make, Piece, Sheet, Shelf};
use crate::program::kits::KitItem;
use crate::program::settings::Event;
use crate::program::walk::{self, Met};
use crate::understand::Understood;
use schemars::JsonSchema;
use serde::Serialize;

/// What `leaflet.typ` is given.
#[derive(Serialize, JsonSchema)]
pub(super) struct Leaflet<'p> {
    #[serde(flatten)]
    head: Head<'p>,
    habits: Vec<HabitData<'p>>,
    /// A kit to pack; null where the program has none.
    kit: Option<LeafletKit<'p>>,
    /// The gravest first.
    signals: Vec<Signal>,
    /// How many lessons the program has.
    lessons: usize,
    /// By date.
    workshops: Vec<Workshop<'p>>,
    panels: PanelWidths,
}

/// A kit to pack, with everything that it takes over from smaller ones.
#[derive(Serialize, JsonSchema)]
struct LeafletKit<'p> {
    name: &'p str,
    items: Vec<LeafletItem>,
}

/// A thing of the kit.
#[derive(Serialize, JsonSchema)]
struct LeafletItem {
    item: Vec<Inline>,
    count: u32,
}

/// A workshop to come to.
#[derive(Serialize, JsonSchema)]
struct Workshop<'p> {
    name: &'p str,
    /// Year, month and day: 2026-05-16.
    date: String,
    /// Its other days; mostly none.
    later_days: Vec<LaterDay>,
    /// Where it is held; of a workshop by video, how to come in.
    place: &'p str,
}

/// The panels of both sides, in points: how high they are, and how wide from the left.
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
struct PanelWidths {
    height: f64,
    outside: Vec<f64>,
    inside: Vec<f64>,
    /// Whether lines run from the right, and the leaflet opens to that side.
    from_right: bool,
}

/// No leaflet where the program names no habits.
pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let settings = &understood.content.settings;
    let Some(first) = settings.habits.first() else { return Vec::new() };
    let title = common::title(understood, selection, "leaflet", &settings.season);
    let trees = Trees::new(understood);
    let (signals, signal_pictures) = signals(understood);
    let leaflet = Leaflet {
        head: common::head(understood, selection, &format!("{}: {title}", settings.name)),
        habits: settings.habits.iter().map(|it| HabitData::of(&trees, it)).collect(),
        kit: kit(understood, &trees),
        signals,
        lessons: settings.syllabus.len(),
        workshops: workshops(&settings.events),
        panels: panels_of(understood, selection),
    };

    let texts = settings.habits.iter().filter_map(|habit| habit.text.as_ref());
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
            pictures,
            places: ["leaflet", "leaflet-dangers"].map(|key| (key.into(), first.place.clone())).to_vec(),
            ..Sheet::of("leaflet.typ", &leaflet)
        }),
    }]
}

/// The kit that `[leaflet]` names, else the smallest: what everybody is asked to have along. With all that it takes
/// over from smaller ones.
fn kit<'p>(understood: &Understood<'p>, trees: &Trees) -> Option<LeafletKit<'p>> {
    let kits = &understood.content.kits;
    let whole = |kit| -> Vec<&KitItem> {
        kit_sheets::tiers(kits, kit).into_iter().flat_map(|tier| &tier.items).collect()
    };
    let named = understood.content.settings.leaflet.kit.as_ref();
    let kit = named
        .and_then(|named| kits.iter().find(|kit| kit.id == named.text))
        .or_else(|| kits.iter().min_by_key(|kit| whole(kit).len()))?;
    let items = whole(kit);
    let item = |item: &KitItem| LeafletItem { item: trees.inlines(&item.item.inlines), count: item.count };
    Some(LeafletKit { name: &kit.name, items: items.into_iter().map(item).collect() })
}

/// By date, whatever the order of the file.
fn workshops(events: &[Event]) -> Vec<Workshop<'_>> {
    let mut events: Vec<&Event> = events.iter().collect();
    events.sort_by_key(|event| (event.date, event.start));
    events.into_iter().map(workshop).collect()
}

fn workshop(event: &Event) -> Workshop<'_> {
    Workshop {
        name: &event.name,
        date: event.date.to_string(),
        later_days: common::later_days(event),
        place: &event.venue,
    }
}

/// The signal boxes of all lessons, the gravest first, and the pictures that may stand in them.
fn signals(understood: &Understood) -> (Vec<Signal>, Vec<String>) {
    let lessons: Vec<_> = understood
        .content
        .lessons
        .iter()
        .map(|lesson| excerpt::lesson(lesson, |blocks| excerpt::without(blocks, &handbook::PRESENTERS_CUES)))
        .collect();
    let trees = Trees::new(understood);
    let mut told: Vec<_> = lessons.iter().map(|lesson| trees.lesson(lesson)).collect();
    (handbook::gather_signals(&mut told), excerpt::pictures(&lessons).files)
}

fn panels_of(understood: &Understood, selection: &Selection) -> PanelWidths {
    let settings = &understood.content.settings;
    // The sheet lies.
    let (height, width) = size(selection.paper.unwrap_or(settings.paper));
    let reading = Reading::of(&settings.language);
    let panels = panels::panels(&width, &panels::narrower(), reading);
    let lengths = |panels: &[_; 3]| -> Vec<f64> { panels.iter().map(length).collect() };
    PanelWidths {
        height: length(&height),
        outside: lengths(&panels.outside),
        inside: lengths(&panels.inside),
        from_right: reading == Reading::RightToLeft,
    }
}
