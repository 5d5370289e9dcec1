//! The table of units: its page in the docs, and each of its factors beside one that others have published.

use super::{exact, table, unit};
use num_traits::Signed;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

const TABLE: &str = include_str!("../../../src/quantity/units.csv");

/// Source: named beside each row; all from memory.
#[test]
fn factors_are_as_published_and_none_stands_alone() {
    let mut held: BTreeSet<String> = BTreeSet::new();
    for row in table(include_str!("../../reference/quantities/unit-factors.csv")) {
        let (from, to) = (unit(&row["from_unit"]), unit(&row["to_unit"]));
        let converted = from.convert(&exact(&row["from_value"]), &to).unwrap_or_else(|| panic!("{row:?}"));
        let expected = exact(&row["to_value"]);
        let out_by = (&converted - &expected).abs();
        assert!(out_by * exact("1000000") <= expected.abs(), "{row:?}: {converted}");
        held.extend([row["from_unit"].clone(), row["to_unit"].clone()]);
    }
    for row in table(include_str!("../../reference/quantities/unit-conversions.csv")) {
        held.extend([row["from_unit"].clone(), row["to_unit"].clone()]);
    }
    // what is worth one of itself has nothing to be held against
    let alone = table(TABLE).into_iter().filter(|row| row["factor"] != "1" && !held.contains(&row["name"]));
    let named = |name: &str| {
        match name {
            "ton" => "short ton",
            "degree Fahrenheit" => "degF",
            "degree Celsius" => "degC",
            name => name,
        }
        .to_owned()
    };
    let alone: Vec<String> =
        alone.map(|row| row["name"].clone()).filter(|name| !held.contains(&named(name))).collect();
    assert!(alone.is_empty(), "no published factor stands beside {alone:?}");
}

#[test]
fn every_unit_is_found_by_its_name_and_stands_on_the_page() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/units.md");
    let page = fs::read_to_string(&path).unwrap();
    let (head, _) =
        page.split_once("| --- | --- | --- | --- | --- | --- | --- |\n").expect("the table's rule");
    let mut made = format!("{head}| --- | --- | --- | --- | --- | --- | --- |\n");
    for row in table(TABLE) {
        assert_eq!(unit(&row["name"]).name(), row["name"]);
        let worth = match row["offset"].as_str() {
            "" => row["factor"].clone(),
            offset => format!("{}, after adding {offset}", row["factor"]),
        };
        let forms: Vec<&str> = row["forms"].split('|').filter(|form| !form.is_empty()).collect();
        made += &format!(
            "| {} | {} | {} | {} | {worth} | {} | {} |\n",
            row["name"],
            row["plural"],
            row["symbol"],
            row["dimension"],
            forms.join(", "),
            row["source"]
        );
    }
    if std::env::var_os("PACKSTRING_ACCEPT").is_some() {
        fs::write(&path, &made).unwrap();
    }
    assert_eq!(page, made, "PACKSTRING_ACCEPT=1 writes docs/units.md anew");
}
