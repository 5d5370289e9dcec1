//! `kits.toml`: gear lists in tiers; a bigger kit adds to a smaller one.

use super::Written;
use super::form::Form;
use super::lesson::Prose;
use super::measures::weight;
use crate::finding::Place;

/// A gear list; it goes on top of the smaller one that it adds to.
#[derive(Clone, Debug)]
pub struct Kit {
    pub id: String,
    pub name: String,
    pub purpose: Option<Prose>,
    /// The [`Kit::id`] of the smaller kit.
    pub adds_to: Option<Written>,
    /// Only what this kit adds.
    pub items: Vec<KitItem>,
    pub place: Place,
}

/// A thing that is packed, so many times.
#[derive(Clone, Debug)]
pub struct KitItem {
    pub item: Prose,
    pub count: u32,
    /// Of one, as written: `6 oz`.
    pub weight: Option<Written>,
    pub note: Option<Prose>,
}

/// Reads the kits in the order of the file.
pub(super) fn read(mut file: Form) -> Vec<Kit> {
    let kits = file.forms("kits", "kit").into_iter().map(Kit::read).collect();
    file.finish();
    kits
}

impl Kit {
    fn read(mut table: Form) -> Self {
        let id = table.need_id("id", "day-ride");
        if !table.has("items") && !table.has("adds-to") {
            table.miss("items", "Add a heading [[kits.items]] with item = \"Hoof pick\" below it.");
        }
        let kit = Self {
            id: id.text,
            name: table.need_text("name", "Day Ride Kit").text,
            purpose: table.prose("for"),
            adds_to: table.text("adds-to"),
            items: table.forms("items", "kit item").into_iter().map(KitItem::read).collect(),
            place: id.place,
        };
        table.finish();
        kit
    }
}

impl KitItem {
    fn read(mut table: Form) -> Self {
        let item = Self {
            item: table.need_prose("item", "Hoof pick"),
            count: table.count("count").unwrap_or(1),
            weight: weight(&mut table, "weight"),
            note: table.prose("note"),
        };
        table.finish();
        item
    }
}
