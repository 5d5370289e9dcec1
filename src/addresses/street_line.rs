//! The delivery line of a street: number, direction, name, suffix, direction and units (sections 213, 233, 234
//! and 237 of USPS Publication 28).

use super::tables::{suffix, unit};
use super::wording::{Word, after_number_sign, has_digit};

/// A part that is nothing but units, in standard form.
pub(super) fn units_of(words: &[Word]) -> Option<String> {
    let mut units = Vec::new();
    let mut rest = words;
    while !rest.is_empty() {
        let (unit, after) = unit_at(rest)?;
        units.push(unit);
        rest = after;
    }
    (!units.is_empty()).then(|| units.join(" "))
}

/// The unit that these words begin with, and what comes after it. The pound sign goes where the kind
/// of unit is known (section 213).
fn unit_at(words: &[Word]) -> Option<(String, &[Word])> {
    let (first, rest) = words.split_first()?;
    if first.key == "#" {
        let (number, rest) = rest.split_first()?;
        return Some((format!("# {}", number.given), rest));
    }
    // "3rd Floor".
    let ordinal = first.key.strip_suffix("ST").or_else(|| first.key.strip_suffix("ND"));
    let ordinal = ordinal.or_else(|| first.key.strip_suffix("RD")).or_else(|| first.key.strip_suffix("TH"));
    if let (Some(number), Some(next)) = (ordinal, rest.first())
        && number.bytes().all(|it| it.is_ascii_digit())
        && let Some(floor) = unit(&next.key).filter(|unit| unit.abbreviation == "FL")
    {
        return Some((format!("{} {number}", next.like(&floor.abbreviation)), &rest[1..]));
    }
    let short = unit(&first.key)?;
    let name = first.like(&short.abbreviation);
    match after_number_sign(rest) {
        [number, rest @ ..] if number.has_digit() || number.key.chars().count() == 1 => {
            Some((format!("{name} {}", number.given), rest))
        }
        _ if !short.is_numbered() => Some((name, rest)),
        _ => None,
    }
}

/// Parts the units off the end of a street. A street's own name may be the word for a unit, so one
/// word of the name stays, and a unit without a number stands only after a suffix.
pub(super) fn part_units(line: &[Word]) -> (&[Word], Option<String>) {
    let name = after_house_number(line);
    for at in name + 1..line.len() {
        let known = line[at].key == "#" || unit(&line[at].key).is_none_or(|unit| unit.is_numbered());
        let stands_alone = suffix(&line[at - 1].key).is_some() || line[at - 1].has_digit();
        let units = units_of(&line[at..]).filter(|_| known || stands_alone || has_digit(&line[at..]));
        if units.is_some() {
            return (&line[..at], units);
        }
    }
    (line, None)
}

/// Where the name of a street begins: after `12`, `12 1/2`.
fn after_house_number(line: &[Word]) -> usize {
    let number = line.first().is_some_and(Word::has_digit);
    let fraction = line.get(1).is_some_and(|word| word.key.contains('/') && word.has_digit());
    usize::from(number) + usize::from(number && fraction)
}

/// `N` for `North` and `N`, also of two words (`North East`), with how many words it took.
fn direction(words: &[Word]) -> Option<(&'static str, usize)> {
    let single = |word: &Word| {
        Some(match word.key.as_str() {
            "N" | "NORTH" => "N",
            "S" | "SOUTH" => "S",
            "E" | "EAST" => "E",
            "W" | "WEST" => "W",
            "NE" | "NORTHEAST" | "NORTH-EAST" => "NE",
            "NW" | "NORTHWEST" | "NORTH-WEST" => "NW",
            "SE" | "SOUTHEAST" | "SOUTH-EAST" => "SE",
            "SW" | "SOUTHWEST" | "SOUTH-WEST" => "SW",
            _ => return None,
        })
    };
    let first = single(words.first()?)?;
    let two = match (first, words.get(1).and_then(single)) {
        ("N", Some("E")) => Some("NE"),
        ("N", Some("W")) => Some("NW"),
        ("S", Some("E")) => Some("SE"),
        ("S", Some("W")) => Some("SW"),
        _ => None,
    };
    Some(two.map_or((first, 1), |both| (both, 2)))
}

/// Number, direction, name, suffix, direction. A direction that is the whole name of a street is
/// spelled out as it is written, and a suffix is one only after a name.
pub(super) fn street_line(line: &[Word]) -> String {
    let at = after_house_number(line);
    let mut done: Vec<String> = line[..at].iter().map(|word| word.given.clone()).collect();
    let mut name = &line[at..];
    let is_only_suffix =
        |words: &[Word]| matches!(words, [] | [_] if words.iter().all(|it| suffix(&it.key).is_some()));

    if let Some((short, count)) = direction(name) {
        if !is_only_suffix(&name[count..]) {
            done.push(short.to_owned());
            name = &name[count..];
        } else if count == 2 && !name[1..].is_empty() && name.len() > 2 {
            // "North East Street": of two directions the second is the name.
            done.push(direction(&name[..1]).expect("it is one of two").0.to_owned());
            name = &name[1..];
        }
    }

    let mut end = Vec::new();
    for count in [2, 1] {
        let Some(start) = name.len().checked_sub(count).filter(|start| *start > 0) else { continue };
        let (before, last) = (&name[start - 1], &name[start..]);
        let follows = suffix(&before.key).is_some() || before.has_digit();
        if let Some((short, _)) = direction(last).filter(|(_, took)| *took == count && follows) {
            end.push(short.to_owned());
            name = &name[..start];
            break;
        }
    }

    let highway = highway(name);
    let spanish = name.first().is_some_and(|word| word.is(&SPANISH_STREETS));
    match name {
        _ if highway.is_some() => done.extend(highway),
        [.., _, last] if !spanish => {
            done.extend(name[..name.len() - 1].iter().map(|word| word.given.clone()));
            done.push(match suffix(&last.key) {
                Some(short) => last.like(&short.abbreviation),
                None => last.given.clone(),
            });
        }
        _ => done.extend(name.iter().map(|word| word.given.clone())),
    }
    done.extend(end);
    done.join(" ")
}

/// Words that begin the name of a street in Spanish: its last word is no suffix (section 291).
const SPANISH_STREETS: [&str; 9] =
    ["CALLE", "AVENIDA", "AVE", "CAMINO", "CARRETERA", "CALLEJON", "PASEO", "VIA", "VEREDA"];

/// Highways and numbered roads, spelled out (section 237): `County Road 12`.
fn highway(name: &[Word]) -> Option<String> {
    let (number, kind) = name.split_last()?;
    let is_number = number.has_digit() || number.key.chars().count() == 1;
    let (road, before) = kind.split_last()?;
    let road = match road.key.as_str() {
        "HIGHWAY" | "HWY" => "Highway",
        "ROAD" | "RD" if !before.is_empty() => "Road",
        "ROUTE" | "RTE" | "RT" => "Route",
        "CR" if before.is_empty() => "County Road",
        _ => return None,
    };
    let mut spelled = Vec::new();
    for word in before {
        spelled.push(match word.key.as_str() {
            "CO" | "CNTY" | "CTY" => "County",
            "ST" => "State",
            "STATE" | "COUNTY" | "US" | "FARM" | "TO" | "MARKET" | "RANCH" | "TOWNSHIP" | "FOREST"
            | "SERVICE" => &word.given,
            _ => return None,
        });
    }
    spelled.push(road);
    spelled.push(&number.given);
    is_number.then(|| spelled.join(" "))
}
