//! Kit sheets: one a kit, and one that shows all kits side by side.
//!
//! A bigger kit takes over everything of the smaller one that it adds to; its own sheet lists both,
//! the smaller ones first, so that one sheet is enough to pack by.

use super::common::Head;
use super::tree::{Inline, Trees};
use super::weights::{Load, Weight};
use super::{Selection, common};
use crate::finding::Place;
use crate::job::{Job, Make, Piece, Sheet, Shelf, file_name};
use crate::program::Kit;
use crate::program::kits::KitItem;
use crate::program::lesson::Prose;
use crate::understand::{Understood, plain_text};
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

/// What `kit-sheet.typ` is given.
#[derive(Serialize, JsonSchema)]
pub(super) struct KitSheet<'p> {
    #[serde(flatten)]
    head: Head<'p>,
    kit: WholeKit<'p>,
}

/// A kit with everything of the smaller ones that it takes over.
#[derive(Serialize, JsonSchema)]
struct WholeKit<'p> {
    /// The key under which it is told that the sheet does not fit.
    id: &'p str,
    name: &'p str,
    /// What it is for; null where the program does not say.
    purpose: Option<Vec<Inline>>,
    /// The kits that it is made of, the smallest first.
    tiers: Vec<Tier<'p>>,
    /// How many things there are in all.
    count: u32,
    weight: Weight,
}

/// A kit that another one takes over, or the kit itself.
#[derive(Serialize, JsonSchema)]
struct Tier<'p> {
    name: &'p str,
    /// Whether it is the kit itself.
    own: bool,
    items: Vec<TierItem<'p>>,
    weight: Weight,
}

/// A thing of a kit.
#[derive(Serialize, JsonSchema)]
struct TierItem<'p> {
    item: Vec<Inline>,
    count: u32,
    /// What one weighs, as the program has it; null where it was not weighed.
    each: Option<&'p str>,
    /// What all of them weigh; null where it was not weighed.
    together: Option<String>,
    note: Option<Vec<Inline>>,
}

/// What `kits-side-by-side.typ` is given.
#[derive(Serialize, JsonSchema)]
pub(super) struct KitsSideBySide<'p> {
    #[serde(flatten)]
    head: Head<'p>,
    side_by_side: SideBySide<'p>,
}

/// A column a kit. A row a thing, grouped by the kit that brings it in; a thing that a bigger kit adds more of keeps
/// one row.
#[derive(Serialize, JsonSchema)]
struct SideBySide<'p> {
    kits: Vec<KitColumn<'p>>,
    groups: Vec<KitGroup<'p>>,
}

/// A kit as the head of a column.
#[derive(Serialize, JsonSchema)]
struct KitColumn<'p> {
    name: &'p str,
    /// What it is for; null where the program does not say.
    purpose: Option<Vec<Inline>>,
    weight: Weight,
}

/// The things that one kit brings in.
#[derive(Serialize, JsonSchema)]
struct KitGroup<'p> {
    name: &'p str,
    rows: Vec<KitRow>,
}

/// A thing, and how many of it each kit holds.
#[derive(Serialize, JsonSchema)]
struct KitRow {
    item: Vec<Inline>,
    counts: Vec<u32>,
}

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let kits = &understood.content.kits;
    let trees = Trees::new(understood);
    let words = selection.words.of(&understood.content.settings.language);
    let one = |kit: &Kit| {
        let sheet = KitSheet {
            head: common::head(understood, selection, &kit.name),
            kit: one_kit(&trees, kits, kit, &words),
        };
        let path = format!("kit-sheets/{}.pdf", file_name::of_id(&kit.id));
        job(path, Sheet::of("kit-sheet.typ", &sheet), (kit.id.clone(), kit.place.clone()))
    };
    let mut jobs: Vec<Job> = kits.iter().map(one).collect();
    if kits.len() > 1 {
        let title = common::title(understood, selection, "kits-side-by-side", "");
        let sheet = KitsSideBySide {
            head: common::head(understood, selection, &title),
            side_by_side: side_by_side(&trees, kits, &words),
        };
        let sheet = Sheet::of("kits-side-by-side.typ", &sheet);
        jobs.push(job("kit-sheets.pdf".into(), sheet, ("kits".into(), kits[0].place.clone())));
    }
    jobs
}

/// `place` is where it is told that a sheet does not fit.
fn job(path: String, sheet: Sheet, place: (String, Place)) -> Job {
    Job {
        piece: Piece::KitSheets,
        shelf: Shelf::Open,
        path,
        make: Make::Sheet(Sheet { places: vec![place], ..sheet }),
    }
}

/// The kit and every smaller one that it takes over, the smallest first.
pub(super) fn tiers<'k>(kits: &'k [Kit], kit: &'k Kit) -> Vec<&'k Kit> {
    let mut tiers = vec![kit];
    let mut top = kit;
    while let Some(smaller) = &top.adds_to {
        let Some(found) = kits.iter().find(|other| other.id == smaller.text) else { break };
        // Reading refuses kits that add to each other in a circle; never hang on one.
        if tiers.iter().any(|tier| tier.id == found.id) {
            break;
        }
        tiers.insert(0, found);
        top = found;
    }
    tiers
}

fn one_kit<'k>(trees: &Trees, kits: &'k [Kit], kit: &'k Kit, words: &Value) -> WholeKit<'k> {
    let mut whole = Load::default();
    let mut count = 0;
    let tier = |tier: &'k Kit| {
        let mut load = Load::default();
        let item = |item: &'k KitItem| {
            let of_item = load_of(item);
            load.add(&of_item);
            count += item.count;
            TierItem {
                item: trees.inlines(&item.item.inlines),
                count: item.count,
                each: item.weight.as_ref().map(|weight| weight.text.as_str()),
                together: of_item.words(words),
                note: prose(trees, &item.note),
            }
        };
        let items = tier.items.iter().map(item).collect();
        whole.add(&load);
        Tier { name: &tier.name, own: tier.id == kit.id, items, weight: Weight::of(&load, words) }
    };
    let tiers = tiers(kits, kit).into_iter().map(tier).collect();
    WholeKit {
        id: &kit.id,
        name: &kit.name,
        purpose: prose(trees, &kit.purpose),
        tiers,
        count,
        weight: Weight::of(&whole, words),
    }
}

fn load_of(item: &KitItem) -> Load {
    Load::of(item.count, item.weight.as_ref().map(|weight| weight.text.as_str()))
}

fn prose(trees: &Trees, prose: &Option<Prose>) -> Option<Vec<Inline>> {
    prose.as_ref().map(|prose| trees.inlines(&prose.inlines))
}

/// A thing of any kit, and how many of it each kit holds.
struct Row<'k> {
    item: &'k KitItem,
    key: String,
    counts: Vec<u32>,
}

fn side_by_side<'k>(trees: &Trees, kits: &'k [Kit], words: &Value) -> SideBySide<'k> {
    let mut loads = vec![Load::default(); kits.len()];
    let mut groups: Vec<Vec<Row>> = kits.iter().map(|_| Vec::new()).collect();
    for (home, kit) in kits.iter().enumerate() {
        // The kits that hold what this one brings in.
        let holders: Vec<usize> = (0..kits.len())
            .filter(|at| tiers(kits, &kits[*at]).iter().any(|tier| tier.id == kit.id))
            .collect();
        for item in &kit.items {
            let key = plain_text(&item.item.inlines).trim().to_lowercase();
            let load = load_of(item);
            for holder in &holders {
                loads[*holder].add(&load);
            }
            let known = groups.iter_mut().flatten().find(|row| row.key == key);
            let row = match known {
                Some(row) => row,
                None => {
                    groups[home].push(Row { item, key, counts: vec![0; kits.len()] });
                    groups[home].last_mut().expect("a row was just added")
                }
            };
            for holder in &holders {
                row.counts[*holder] += item.count;
            }
        }
    }
    let kept = kits.iter().zip(&groups).filter(|(_, rows)| !rows.is_empty());
    SideBySide {
        groups: kept.map(|(kit, rows)| KitGroup { name: &kit.name, rows: rows_data(trees, rows) }).collect(),
        kits: kits.iter().zip(&loads).map(|(kit, load)| column(trees, kit, load, words)).collect(),
    }
}

fn column<'k>(trees: &Trees, kit: &'k Kit, load: &Load, words: &Value) -> KitColumn<'k> {
    KitColumn { name: &kit.name, purpose: prose(trees, &kit.purpose), weight: Weight::of(load, words) }
}

fn rows_data(trees: &Trees, rows: &[Row]) -> Vec<KitRow> {
    rows.iter()
        .map(|row| KitRow { item: trees.inlines(&row.item.item.inlines), counts: row.counts.clone() })
        .collect()
}
