//! Whose certificates end, and when: the list by which people are asked to renew.
//!
//! Private. A plan knows no clock, so the list has all that end one day, the soonest first.

use super::super::Selection;
use super::super::table_words::TableWords;
use crate::job::{Cell, Job, Make, Piece, Shelf};
use crate::people::plain_name;
use crate::program::register::Given;
use crate::understand::Understood;
use std::collections::HashMap;

pub(super) fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    if !selection.scope.is_everybody() {
        return Vec::new();
    }
    let ending = || understood.root.people.register.valid().filter(|given| given.until.is_some());
    // Those of one person for the same, of which a later one takes the place of the others.
    let key = |given: &Given| (given.occasion.key(), plain_name(&given.name), given.companion.clone());
    let mut alike: HashMap<_, Vec<&Given>> = HashMap::new();
    ending().for_each(|given| alike.entry(key(given)).or_default().push(given));
    let is_last = |given: &&Given| !alike[&key(given)].iter().any(|other| renews(other, given));
    let mut ending: Vec<&Given> = ending().filter(is_last).collect();
    if ending.is_empty() {
        return Vec::new();
    }
    ending.sort_by(|left, right| {
        (left.until, &left.name, &left.number).cmp(&(right.until, &right.name, &right.number))
    });
    let headings = ["holds-until", "name", "email", "companion", "for", "date", "number"];
    let mut table = TableWords::of(understood, selection).table("renewals", &headings);
    for given in ending {
        let until = given.until.map_or(Cell::Empty, Cell::Date);
        table.rows.push(vec![
            until,
            Cell::Text(given.name.clone()),
            Cell::text(given.email.as_deref()),
            Cell::text(given.companion.as_deref()),
            Cell::Text(given.occasion.name().to_owned()),
            Cell::Date(given.occasion.date()),
            Cell::Text(given.number.to_string()),
        ]);
    }
    let job = |ending: &str| Job {
        piece: Piece::Certificates,
        shelf: Shelf::Private,
        path: format!("renewals.{ending}"),
        make: Make::Tables(vec![table.clone()]),
    };
    vec![job("csv"), job("xlsx")]
}

/// Whether of two certificates of one name for the same, one takes the place of the other that ends earlier.
fn renews(later: &Given, earlier: &Given) -> bool {
    let same_email = later.email.is_none() || earlier.email.is_none() || later.email == earlier.email;
    same_email && later.until > earlier.until
}
