//! Addresses elsewhere, in the form of the Universal Postal Union: name, street or box, town and
//! postcode in the order of the country, and the country last (added by the caller, since mail that
//! stays in its country has no such line).
//!
//! The street's lines stay as they are written; who writes an address of a country knows its streets
//! better than a table does. The town's line is put in capitals, as the Union asks (S42, from memory).

use super::tables::Country;
use super::{Block, Unmailable, tidy};
use crate::addresses::Address;

/// Places that are a town and a country in one.
const TOWN_AND_COUNTRY: [&str; 7] = ["GI", "HK", "MC", "MO", "NR", "SG", "VA"];

pub(super) fn block(name: &str, address: &Address, country: &'static Country) -> Result<Block, Unmailable> {
    if address.street.is_empty() {
        return Err(Unmailable::NoStreet);
    }
    let mut town = address.town.clone();
    if town.is_empty() {
        if !TOWN_AND_COUNTRY.contains(&&*country.code) {
            return Err(Unmailable::NoTown);
        }
        town = country.name.clone();
    }
    let state = state(&address.state, country)?;
    let postcode = postcode(&address.postcode, country)?;

    let mut lines = vec![name.to_owned()];
    lines.extend(address.street.lines().map(tidy));
    for form in country.form.split('|') {
        let line = fill(form, [&town, &state, &postcode]);
        lines.extend(Some(line.to_uppercase()).filter(|line| !line.is_empty()));
    }
    Ok(Block { lines, narrow: None, country, postcode, doubts: Vec::new() })
}

/// The letters of a province where the country's mail wants them, else as written.
fn state(written: &str, country: &'static Country) -> Result<String, Unmailable> {
    if !country.wants_province() {
        return Ok(written.to_owned());
    }
    if written.is_empty() {
        return Err(Unmailable::NoState { country: &country.name });
    }
    let unknown = Unmailable::StateUnknown { country: &country.name, near: None };
    country.province(written).map(str::to_owned).ok_or(unknown)
}

/// In the country's form, whatever spaces and hyphens were written.
fn postcode(written: &str, country: &'static Country) -> Result<String, Unmailable> {
    if country.postcodes().next().is_none() {
        return Ok(written.to_uppercase());
    }
    if written.is_empty() {
        return Err(Unmailable::NoPostcode { country: &country.name });
    }
    let upper = written.to_uppercase();
    // The letters of the country in front are an old way of naming it.
    let own = upper.strip_prefix(&*country.code).or_else(|| upper.strip_prefix(&country.code[..1]));
    let own = own.and_then(|rest| rest.strip_prefix('-')).unwrap_or(&upper);
    country.postcodes().find_map(|form| in_form(own, form)).ok_or_else(|| {
        let example: Vec<String> = country.postcodes().map(example).collect();
        Unmailable::PostcodeUnfit { country: &country.name, form: example.join(" or ") }
    })
}

fn in_form(written: &str, form: &str) -> Option<String> {
    let mut letters = written.chars().filter(|letter| !matches!(letter, ' ' | '-' | '\u{2013}'));
    let mut filled = String::new();
    for mark in form.chars() {
        match mark {
            ' ' | '-' => filled.push(mark),
            _ => {
                let letter = letters.next()?;
                let fits = match mark {
                    '9' => letter.is_ascii_digit(),
                    'A' => letter.is_ascii_uppercase(),
                    _ => letter.is_ascii_alphanumeric(),
                };
                fits.then(|| filled.push(letter))?;
            }
        }
    }
    letters.next().is_none().then_some(filled)
}

/// `A9A 9A9` as a person would write one: `A1B 2C3`.
fn example(form: &str) -> String {
    let (mut digits, mut capitals) = (('1'..='9').cycle(), ('A'..='Z').cycle());
    let letters = form.chars().filter_map(|mark| match mark {
        '9' => digits.next(),
        'A' | '*' => capitals.next(),
        between => Some(between),
    });
    letters.collect()
}

/// Fills `T`, `S` and `P` of a form. What stands between two of them is left out where one of them is
/// empty.
fn fill(form: &str, [town, state, postcode]: [&str; 3]) -> String {
    let mut line = String::new();
    let mut between = String::new();
    let mut rest = form;
    while let Some(first) = rest.chars().next() {
        let word: String = rest.chars().take_while(char::is_ascii_alphabetic).collect();
        let value = match word.as_str() {
            "T" => town,
            "S" => state,
            "P" => postcode,
            _ => {
                let literal = if word.is_empty() { first.to_string() } else { word };
                rest = &rest[literal.len()..];
                between += &literal;
                continue;
            }
        };
        rest = &rest[1..];
        let gap = std::mem::take(&mut between);
        if value.is_empty() {
            continue;
        }
        line += if line.is_empty() { gap.trim_start_matches([' ', ',', '-', '/']) } else { &gap };
        line += value;
    }
    line
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_form_is_filled_and_empty_parts_leave_no_gap() {
        assert_eq!(fill("T S  P", ["Maple Ford", "ON", "K1A 0B1"]), "Maple Ford ON  K1A 0B1");
        assert_eq!(fill("T, S", ["Nassau", "", ""]), "Nassau");
        assert_eq!(fill("T-S", ["", "SP", ""]), "SP");
        assert_eq!(fill("LT-P T", ["Vilnius", "", "01100"]), "LT-01100 Vilnius");
    }

    #[test]
    fn postcodes_are_put_into_the_form_of_their_country() {
        let code = |country, written| postcode(written, Country::find(country).unwrap());
        assert_eq!(code("CA", "k1a0b1").as_deref(), Ok("K1A 0B1"));
        assert_eq!(code("NL", "1234ab").as_deref(), Ok("1234 AB"));
        assert_eq!(code("SE", "SE-12345").as_deref(), Ok("123 45"));
        assert_eq!(code("DE", "D-12345").as_deref(), Ok("12345"));
        assert_eq!(code("GB", "zz999zz").as_deref(), Ok("ZZ99 9ZZ"));
        assert_eq!(code("AO", "anything").as_deref(), Ok("ANYTHING"));
        assert_eq!(
            code("CA", "12345"),
            Err(Unmailable::PostcodeUnfit { country: "Canada", form: "A1B 2C3".into() })
        );
    }
}
