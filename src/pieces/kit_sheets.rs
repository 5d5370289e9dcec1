//! Kit sheets: one a kit, and one that shows all kits side by side.
//!
//! A bigger kit takes over everything of the smaller one that it adds to; its own sheet lists both,
//! the smaller ones first, so that one sheet is enough to pack by.

use super::tree::Trees;
use super::weights::Load;
use super::{Selection, common};
use crate::finding::Place;
use crate::job::{Job, Make, Piece, Sheet, Shelf, file_name};
use crate::program::Kit;
use crate::program::kits::KitItem;
use crate::program::lesson::Prose;
use crate::understand::{Understood, plain_text};
use serde_json::{Value, json};

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let kits = &understood.content.kits;
    let trees = Trees::new(understood);
    let mut jobs: Vec<Job> = kits
        .iter()
        .map(|kit| {
            let mut data = common::head(understood, selection, &kit.name);
            data.insert("kit".into(), one_kit(&trees, kits, kit));
            let path = format!("kit-sheets/{}.pdf", file_name::of_id(&kit.id));
            job(path, "kit-sheet.typ", data.into(), (kit.id.clone(), kit.place.clone()))
        })
        .collect();
    if kits.len() > 1 {
        let mut data = common::head(
            understood,
            selection,
            &common::title(understood, selection, "kits-side-by-side", ""),
        );
        data.insert("side_by_side".into(), side_by_side(&trees, kits));
        let place = ("kits".into(), kits[0].place.clone());
        jobs.push(job("kit-sheets.pdf".into(), "kits-side-by-side.typ", data.into(), place));
    }
    jobs
}

/// `place` is where it is told that a sheet does not fit.
fn job(path: String, template: &str, data: Value, place: (String, Place)) -> Job {
    Job {
        piece: Piece::KitSheets,
        shelf: Shelf::Open,
        path,
        make: Make::Sheet(Sheet { template: template.into(), data, places: vec![place], ..Sheet::default() }),
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

fn one_kit(trees: &Trees, kits: &[Kit], kit: &Kit) -> Value {
    let mut whole = Load::default();
    let mut count = 0;
    let tiers: Vec<Value> = tiers(kits, kit)
        .into_iter()
        .map(|tier| {
            let mut load = Load::default();
            let items: Vec<Value> = tier
                .items
                .iter()
                .map(|item| {
                    let of_item = load_of(item);
                    load.add(&of_item);
                    count += item.count;
                    json!({
                        "item": trees.inlines(&item.item.inlines),
                        "count": item.count,
                        "each": item.weight.as_ref().map(|weight| &weight.text),
                        "together": of_item.words(),
                        "note": prose(trees, &item.note),
                    })
                })
                .collect();
            whole.add(&load);
            json!({"name": tier.name, "own": tier.id == kit.id, "items": items, "weight": weight(&load)})
        })
        .collect();
    json!({
        "id": kit.id,
        "name": kit.name,
        "purpose": prose(trees, &kit.purpose),
        "tiers": tiers,
        "count": count,
        "weight": weight(&whole),
    })
}

fn load_of(item: &KitItem) -> Load {
    Load::of(item.count, item.weight.as_ref().map(|weight| weight.text.as_str()))
}

/// `{"words": "4 lb 6 oz" or null, "unweighed": how many things have no weight}`.
fn weight(load: &Load) -> Value {
    json!({"words": load.words(), "unweighed": load.unweighed})
}

fn prose(trees: &Trees, prose: &Option<Prose>) -> Option<Value> {
    prose.as_ref().map(|prose| trees.inlines(&prose.inlines))
}

/// A thing of any kit, and how many of it each kit holds.
struct Row<'k> {
    item: &'k KitItem,
    key: String,
    counts: Vec<u32>,
}

/// A column a kit. A row a thing, grouped by the kit that brings it in; a thing that a bigger kit
/// adds more of keeps one row.
fn side_by_side(trees: &Trees, kits: &[Kit]) -> Value {
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
    let groups: Vec<Value> = kits
        .iter()
        .zip(&groups)
        .filter(|(_, rows)| !rows.is_empty())
        .map(|(kit, rows)| json!({"name": kit.name, "rows": rows_data(trees, rows)}))
        .collect();
    let kits: Vec<Value> = kits
        .iter()
        .zip(&loads)
        .map(|(kit, load)| {
            json!({"name": kit.name, "purpose": prose(trees, &kit.purpose), "weight": weight(load)})
        })
        .collect();
    json!({"kits": kits, "groups": groups})
}

fn rows_data(trees: &Trees, rows: &[Row]) -> Vec<Value> {
    rows.iter()
        .map(|row| json!({"item": trees.inlines(&row.item.item.inlines), "counts": row.counts}))
        .collect()
}
