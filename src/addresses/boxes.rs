//! Delivery lines without a street: boxes, rural and highway contract routes, general delivery (sections
//! 241–254, 261 and 281–283 of USPS Publication 28).

use super::wording::{Word, after, after_number_sign, given};

pub(super) fn is_general(words: &[Word]) -> bool {
    let keys: Vec<&str> = words.iter().map(|word| word.key.as_str()).collect();
    matches!(keys[..], ["GENERAL" | "GEN", "DELIVERY" | "DEL" | "DELIV"])
}

/// `PO Box 91`.
pub(super) fn box_line(words: &[Word]) -> Option<String> {
    let beginnings = [
        "PO BOX",
        "P O BOX",
        "POST OFFICE BOX",
        "POST BOX",
        "POBOX",
        "POB",
        "PO DRAWER",
        "P O DRAWER",
        "POST OFFICE DRAWER",
        "PO LOCKBOX",
        "DRAWER",
        "LOCKBOX",
        "LOCK BOX",
        "BOX",
    ];
    let number = after_number_sign(after(words, &beginnings)?);
    let is_number = matches!(number, [one] if one.has_digit() || one.key.len() == 1);
    is_number.then(|| format!("{} {}", words[0].like("PO").to_uppercase() + " Box", given(number)))
}

/// A rural or a highway contract route: its letters, and what stands after them.
pub(super) fn route(words: &[Word]) -> Option<(&'static str, &[Word])> {
    let contract = [
        "HIGHWAY CONTRACT ROUTE",
        "HIGHWAY CONTRACT",
        "STAR ROUTE",
        "STAR RTE",
        "STAR RT",
        "HC ROUTE",
        "HCR",
        "HC",
    ];
    let rural = [
        "RURAL ROUTE",
        "RURAL RTE",
        "RURAL RT",
        "RURAL DELIVERY",
        "RFD ROUTE",
        "RFD",
        "R F D",
        "RR",
        "R R",
        "RD",
    ];
    // "Route 3" alone is a street, with a box it is a rural route.
    let has_box = words.iter().skip(1).any(|word| word.key == "BOX");
    let found = (after(words, &contract).map(|rest| ("HC", rest)))
        .or_else(|| after(words, &rural).map(|rest| ("RR", rest)))
        .or_else(|| after(words, &["ROUTE", "RTE", "RT"]).filter(|_| has_box).map(|rest| ("RR", rest)))?;
    let rest = after_number_sign(found.1);
    rest.first().filter(|number| number.has_digit())?;
    Some((found.0, rest))
}

/// `RR 2 Box 15`, `HC 68 Box 23A`.
pub(super) fn route_line(words: &[Word]) -> Option<String> {
    let (letters, rest) = route(words)?;
    let number = rest[0].given.trim_start_matches('0');
    let rest = after(&rest[1..], &["BOX"]).unwrap_or(&rest[1..]);
    let rest = after_number_sign(rest);
    Some(match rest {
        [] => format!("{letters} {number}"),
        rest => format!("{letters} {number} Box {}", given(rest)),
    })
}
