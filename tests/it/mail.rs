//! Addresses, against blocks from outside: `tests/reference/addresses`.

use packstring::people::mail::{self, Block, Country, Style, Unmailable};
use packstring::program::roster::Address;

fn style(capitals: bool) -> Style {
    Style { home: Country::united_states(), capitals }
}

fn rows(table: &str) -> Vec<csv::StringRecord> {
    csv::Reader::from_reader(table.as_bytes()).records().map(Result::unwrap).collect()
}

fn us_pairs() -> Vec<csv::StringRecord> {
    rows(include_str!("../reference/addresses/us_pairs.csv"))
}

/// The name, and the rest in the street's cell, as a form with one field for the address gives it.
fn in_one_cell(written: &str) -> Result<Block, Unmailable> {
    let written = written.replace("\\n", "\n");
    let (name, street) = match written.split_once('\n') {
        Some(parts) => parts,
        None => written.split_once(',').unwrap(),
    };
    let address = Address { street: street.to_owned(), ..Address::default() };
    mail::block(name.trim(), &address, &style(true))
}

/// Each part in its own cell.
fn in_cells(written: &str) -> Option<Result<Block, Unmailable>> {
    let lines: Vec<&str> = written.split("\\n").collect();
    let ([name, street @ .., last], true) = (&lines[..], lines.len() > 2) else { return None };
    let last = last.trim().replace(',', " ");
    let mut words: Vec<&str> = last.split_whitespace().collect();
    let postcode = words.pop_if(|word| word.starts_with(|first: char| first.is_ascii_digit()));
    let state = words.pop()?;
    let address = Address {
        street: street.join("\n"),
        town: words.join(" "),
        state: state.into(),
        postcode: postcode.unwrap_or("").into(),
        country: "USA".into(),
    };
    Some(mail::block(name.trim(), &address, &style(true)))
}

#[test]
fn blocks_are_those_of_publication_28() {
    let mut checked = (0, 0);
    for row in us_pairs() {
        let (id, written, expected) = (&row[0], &row[1], &row[2]);
        let mut blocks = vec![in_one_cell(written)];
        blocks.extend(in_cells(written));
        for block in blocks {
            match expected {
                "FINDING" => {
                    assert!(block.is_err(), "{id}: {block:?}");
                    checked.1 += 1;
                }
                expected => {
                    let block = block.unwrap_or_else(|why| panic!("{id}: {why:?}"));
                    assert_eq!(block.lines.join("|"), expected, "{id}");
                    assert_eq!(block.doubts.is_empty(), id != "lost-zero", "{id}");
                    checked.0 += 1;
                }
            }
        }
    }
    assert!(checked.0 > 60 && checked.1 > 6, "{checked:?}");
}

#[test]
fn blocks_abroad_are_those_of_the_reference() {
    let table = rows(include_str!("../reference/addresses/international.csv"));
    assert_eq!(table.len(), 9);
    for row in table {
        let (id, country, expected) = (&row[0], &row[1], &row[3]);
        let parts: Vec<&str> = row[2].split(" / ").collect();
        let (name, street, town, state, postcode) = match parts[..] {
            [name, street, town, postcode] => (name, street, town, "", postcode),
            [name, street, town, state, postcode] => (name, street, town, state, postcode),
            _ => panic!("{id}"),
        };
        let address = Address {
            street: street.into(),
            town: town.into(),
            state: state.into(),
            postcode: postcode.into(),
            country: country.into(),
        };
        let block = mail::block(name, &address, &style(true)).unwrap();
        assert_eq!(block.lines.join("|"), expected, "{id}");
        // Mail that stays in its country has no line for it.
        let home = Style { home: Country::find(country).unwrap(), capitals: true };
        let block = mail::block(name, &address, &home).unwrap();
        assert_eq!(block.lines.join("|"), expected.rsplit_once('|').unwrap().0, "{id}");
    }
}

#[test]
fn a_name_is_printed_exactly_as_given_unless_capitals_are_asked_for() {
    let address = Address {
        street: "8 St. Clair's Court, Apartment 4".into(),
        town: "Pine Hollow".into(),
        state: "Washington".into(),
        postcode: "98000".into(),
        ..Address::default()
    };
    for name in ["Nuala O’Dea", "Zoë Ångström-Peña", "देविका राजपुरोहित", "Fenwick \"Buck\" Tarrant, Jr."]
    {
        let block = mail::block(name, &address, &style(false)).unwrap();
        assert_eq!(block.lines, [name, "8 St Clair's Ct Apt 4", "Pine Hollow WA  98000"]);
        assert_eq!(block.narrow.unwrap()[1..3], ["Apt 4", "8 St Clair's Ct"]);
    }
}

#[test]
fn what_cannot_be_mailed_names_its_column_and_nothing_of_the_address() {
    let whole = || Address {
        street: "12 Mill Road".into(),
        town: "Hollow Ford".into(),
        state: "OR".into(),
        postcode: "97000".into(),
        country: String::new(),
    };
    let cases: [(&str, Address); 9] = [
        ("street", Address { street: String::new(), ..whole() }),
        ("town", Address { town: String::new(), ..whole() }),
        ("town", Address { town: "APO".into(), ..whole() }),
        ("state", Address { state: String::new(), ..whole() }),
        ("state", Address { state: "Orgon".into(), ..whole() }),
        ("postcode", Address { postcode: String::new(), ..whole() }),
        ("postcode", Address { postcode: "9700".into(), ..whole() }),
        ("postcode", Address { postcode: "04000".into(), ..whole() }),
        ("country", Address { country: "Germny".into(), ..whole() }),
    ];
    for (column, address) in cases {
        let why = mail::block("Kit Dale", &address, &style(false)).unwrap_err();
        assert_eq!(why.column(), column, "{why:?}");
        for told in [why.message(), why.mend()] {
            let repeats = ["Mill", "Hollow", "Kit"].iter().any(|word| told.contains(word));
            assert!(!repeats && told.ends_with(['.', '?']), "{told}");
        }
    }
}

#[test]
fn an_address_is_posted_home_from_abroad() {
    let address = Address {
        street: "12 Mill Road".into(),
        town: "Hollow Ford".into(),
        state: "OR".into(),
        postcode: "97000".into(),
        country: "United States".into(),
    };
    let from_canada = Style { home: Country::find("CA").unwrap(), capitals: false };
    let lines = mail::block("Kit Dale", &address, &from_canada).unwrap().lines;
    assert_eq!(lines[2..], ["Hollow Ford OR  97000", "UNITED STATES OF AMERICA"]);
}
