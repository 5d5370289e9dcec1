//! `kits.toml`: gear lists in tiers; a bigger kit adds to a smaller one.

use super::facts::Written;
use super::lesson::Prose;
use crate::place::Place;

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

#[derive(Clone, Debug)]
pub struct KitItem {
    pub item: Prose,
    pub count: u32,
    /// Of one, as written: `6 oz`.
    pub weight: Option<Written>,
    pub note: Option<Prose>,
}
