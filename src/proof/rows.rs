//! The rows of the roster, as the rules about people walk them.

use super::galley::Galley;
use crate::people::mends::{self, OddCell};
use crate::place::Place;
use crate::program::roster::{Field, Participant};
use std::hash::{BuildHasher, BuildHasherDefault, DefaultHasher, Hash};

pub(super) fn all<'g>(galley: &'g Galley) -> impl Iterator<Item = &'g Participant> {
    galley.understood.program.roster.rows.iter()
}

/// The rows of which another has the same key, in the order of the file, and rarely one more: only these can be
/// doubles, and in a long roster they are few. Keys of all rows would take more memory than the roster.
pub(super) fn recurring<'g, K: Hash>(
    galley: &'g Galley,
    key: impl Fn(&'g Participant) -> Option<K>,
) -> impl Iterator<Item = &'g Participant> {
    let hash = |key: K| BuildHasherDefault::<DefaultHasher>::default().hash_one(key);
    let hashes: Vec<Option<u64>> = all(galley).map(|row| key(row).map(hash)).collect();
    let mut sorted: Vec<u64> = hashes.iter().copied().flatten().collect();
    sorted.sort_unstable();
    all(galley).zip(hashes).filter_map(move |(row, hash)| {
        let hash = hash?;
        let first = sorted.partition_point(|other| *other < hash);
        (sorted.get(first + 1) == Some(&hash)).then_some(row)
    })
}

/// Where a field of a row stands, by its heading; the name where the row has no such cell.
pub(super) fn place(galley: &Galley, row: &Participant, heading: &str) -> Place {
    let field = Field::ALL.into_iter().find(|field| field.word() == heading);
    let cell = field.and_then(|field| galley.understood.program.roster.place_of(row, field));
    cell.unwrap_or_else(|| row.place.clone())
}

/// The cells whose words have something odd.
pub(super) fn cells<'g>(galley: &'g Galley) -> impl Iterator<Item = OddCell<'g>> {
    mends::cells(&galley.understood.program.roster)
}
