//! Addresses of the United States, after USPS Publication 28, Postal Addressing Standards.
//!
//! From the top (sections 211, 214): attention line, name, other lines of the recipient such as a
//! company or `c/o`, delivery line, last line. A Puerto Rican `URB` line stands right above the
//! delivery line. The last line (sections 223–225) is town, two letters of the state, two spaces, ZIP
//! Code. Which sections were read and which are from memory stands in `tests/reference/addresses`.

use super::street::Delivery;
use super::tables::{Country, State};
use super::{Block, Doubt, Unmailable, tidy};
use crate::addresses::Address;

/// A delivery line longer than this parts with its unit (section 211: 64 characters).
const LONGEST_LINE: usize = 64;

/// The parts of an address that its last line is made of, in their standard form.
struct LastLine {
    town: String,
    state: &'static State,
    zip: String,
    doubts: Vec<Doubt>,
}

/// What is wrong with an address or looks so, without the work of setting its lines.
pub(super) fn doubts(address: &Address) -> Result<Vec<Doubt>, Unmailable> {
    let LastLine { state, mut doubts, .. } = last_line(address)?;
    if !is_plain(&address.street, state) {
        let delivery = Delivery::read(&address.street, state).ok_or(Unmailable::NoStreet)?;
        if !delivery.has_number {
            doubts.push(Doubt::NoNumber);
        }
    }
    Ok(doubts)
}

/// Whether a street is a number and plain words (`12 Mill Road`), as nearly all are: then it is one to
/// deliver to, and has a number.
fn is_plain(street: &str, state: &State) -> bool {
    let mut words = street.split(' ');
    let number = words.next().unwrap_or_default();
    !state.is_military()
        && !number.is_empty()
        && number.bytes().all(|byte| byte.is_ascii_digit())
        && words.clone().next().is_some()
        && words.all(|word| !word.is_empty() && word.bytes().all(|byte| byte.is_ascii_alphabetic()))
}

fn last_line(address: &Address) -> Result<LastLine, Unmailable> {
    let mut doubts = Vec::new();
    if address.street.is_empty() {
        return Err(Unmailable::NoStreet);
    }
    if address.town.is_empty() {
        return Err(Unmailable::NoTown);
    }
    let state = state(&address.state)?;
    let mut town = tidy(&address.town.replace(['.', ','], " "));
    let in_forces = ["APO", "FPO", "DPO"].iter().any(|office| town.eq_ignore_ascii_case(office));
    if in_forces != state.is_military() {
        return Err(Unmailable::HalfMilitary);
    }
    if in_forces {
        town.make_ascii_uppercase();
    }
    let zip = zip(&address.postcode, state, &mut doubts)?;
    Ok(LastLine { town, state, zip, doubts })
}

pub(super) fn block(name: &str, address: &Address, country: &'static Country) -> Result<Block, Unmailable> {
    let LastLine { town, state, mut zip, mut doubts } = last_line(address)?;
    let delivery = Delivery::read(&address.street, state).ok_or(Unmailable::NoStreet)?;
    if delivery.is_general && zip.len() == 5 {
        // Section 262.
        zip.push_str("-9999");
    }
    if !delivery.has_number {
        doubts.push(Doubt::NoNumber);
    }
    let last = format!("{town} {}  {zip}", state.code);

    let mut top = delivery.attention;
    top.push(name.to_owned());
    top.extend(delivery.above);
    let with = |lines: &[&str]| {
        top.iter().map(String::as_str).chain(lines.iter().copied()).map(str::to_owned).collect::<Vec<_>>()
    };
    let line = &delivery.line;
    let (lines, narrow) = match &delivery.unit {
        None => (with(&[line, &last]), None),
        Some(unit) => {
            let narrow = with(&[unit, line, &last]);
            let whole = format!("{line} {unit}");
            let fits = whole.chars().count() <= LONGEST_LINE;
            (if fits { with(&[&whole, &last]) } else { narrow.clone() }, Some(narrow))
        }
    };
    Ok(Block { lines, narrow, country, postcode: zip, doubts })
}

fn state(written: &str) -> Result<&'static State, Unmailable> {
    if written.is_empty() {
        return Err(Unmailable::NoState { country: "the United States" });
    }
    let unknown = || Unmailable::StateUnknown { country: "the United States", near: State::nearest(written) };
    State::find(written).ok_or_else(unknown)
}

/// Five digits, or five, a hyphen and four. Zeros in front that a spreadsheet took away come back
/// where every ZIP Code of the state begins with one.
fn zip(written: &str, state: &'static State, doubts: &mut Vec<Doubt>) -> Result<String, Unmailable> {
    if written.is_empty() {
        return Err(Unmailable::NoPostcode { country: "the United States" });
    }
    let unfit = || Unmailable::PostcodeUnfit {
        country: "the United States",
        form: "five digits, 97000, or nine, 97000-1234".into(),
    };
    let between = |letter: char| matches!(letter, ' ' | '-' | '\u{2010}'..='\u{2014}');
    let mut digits: String = written.chars().filter(|letter| !between(*letter)).collect();
    if digits.is_empty() || !digits.bytes().all(|digit| digit.is_ascii_digit()) {
        return Err(unfit());
    }
    let lost = match digits.len() {
        5 | 9 => 0,
        3 | 4 => 5 - digits.len(),
        7 | 8 => 9 - digits.len(),
        _ => return Err(unfit()),
    };
    digits.insert_str(0, &"0".repeat(lost));
    if lost > 0 && !(state.begins_with_zero() && state.has_zip(&digits)) {
        return Err(unfit());
    }
    if !state.has_zip(&digits) {
        return Err(Unmailable::PostcodeElsewhere { state: &state.name });
    }
    if digits.len() == 9 {
        digits.insert(5, '-');
    }
    if lost > 0 {
        doubts.push(Doubt::LostZero { offer: digits.clone() });
    }
    Ok(digits)
}
