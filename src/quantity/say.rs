//! Writing quantities for print, in American English: `about 22 million pounds a year`, `3 m`, `$5 a head`.

use super::number::{last_place, magnitude, round_to, ten_to, whole, written};
use super::{Amount, Exact, Half, Held, Limit, Unit};
use num_traits::{One, Signed, Zero};

/// Writes a held quantity for print: `about 22 million pounds a year`, `3 m`.
///
/// `unit` asks for another unit of the same dimension. The number is then rounded to as few digits
/// (two or more) as [`super::agree`] takes and as keep a limit on its safe side: `at most` is never
/// rounded up, `at least` never down. The error is a sentence.
pub fn say(held: &Held, unit: Option<&Unit>) -> Result<String, String> {
    let plain = say_plain(held, unit)?;
    let bound = match held.limit {
        Some(Limit::Exactly) | None if held.known_to.is_some() => bound(Limit::About),
        limit => limit.and_then(bound),
    };
    Ok(match bound {
        Some(bound) => format!("{bound} {plain}"),
        None => plain,
    })
}

/// The words before a quantity that say which way it binds.
pub fn bound(limit: Limit) -> Option<&'static str> {
    match limit {
        Limit::AtMost => Some("at most"),
        Limit::AtLeast => Some("at least"),
        Limit::About => Some("about"),
        Limit::Exactly => None,
    }
}

/// As [`say`] writes it, without the words that say which way it binds.
///
/// # Errors
/// As [`say`].
pub fn say_plain(held: &Held, unit: Option<&Unit>) -> Result<String, String> {
    let own = &held.quantity.unit;
    let unit = unit.unwrap_or(own);
    let target = if own.is_difference() { unit.clone().as_difference() } else { unit.clone() };
    let Some(amount) = convert(&held.quantity.amount, own, &target) else {
        return Err(format!(
            "A {} cannot be given in {}, which is a {}.",
            own.kind_in_words(),
            unit.in_print(false),
            unit.kind_in_words()
        ));
    };
    let converted = target != *own;
    let round = |value: &Exact| rounded(value, held, own, &target, converted);
    let amount = match &amount {
        Amount::One(value) => Amount::One(round(value)),
        Amount::Range(low, high) => Amount::Range(round(low), round(high)),
    };
    Ok(in_print(&amount, &target))
}

/// The unit in which a time is said that is less than one of its own: 50 minutes for 0.84 hour. `None` where its
/// own will do.
pub fn finer_time(held: &Held) -> Option<Unit> {
    let (Amount::One(amount) | Amount::Range(_, amount)) = &held.quantity.amount;
    let (mut unit, mut amount) = (held.quantity.unit.clone(), amount.clone());
    for (coarse, fine) in [("day", "hour"), ("hour", "minute"), ("minute", "second")] {
        if unit == Unit::named(coarse) && amount < Exact::one() && amount.is_positive() {
            let fine = Unit::named(fine);
            amount = unit.convert(&amount, &fine)?;
            unit = fine;
        }
    }
    (unit != held.quantity.unit).then_some(unit)
}

/// A quantity in another unit; `None` where the dimensions differ.
pub(super) fn convert(amount: &Amount, from: &Unit, to: &Unit) -> Option<Amount> {
    Some(match amount {
        Amount::One(value) => Amount::One(from.convert(value, to)?),
        Amount::Range(low, high) => Amount::Range(from.convert(low, to)?, from.convert(high, to)?),
    })
}

/// The value to print: exact where it has an end as a decimal and was not converted, else rounded.
fn rounded(value: &Exact, held: &Held, own: &Unit, target: &Unit, converted: bool) -> Exact {
    if value.is_zero() {
        return value.clone();
    }
    if let Some(known) = &held.known_to {
        let place = known_place(known, &(own.factor() / target.factor()), converted);
        return round_to_known(value, &place, held.limit);
    }
    let decimals = last_place(value);
    if !converted && decimals.is_some_and(|place| place >= -3) {
        return value.clone();
    }
    let first = magnitude(value).unwrap_or(0);
    for digits in 2..=6 {
        let place =
            ten_to((first - digits + 1).min(if target.temperature().is_some() { 0 } else { i32::MAX }));
        let rounded = round_to(value, &place, Half::Even);
        let safe = match held.limit {
            Some(Limit::AtMost) => rounded <= *value,
            Some(Limit::AtLeast) => rounded >= *value,
            _ => true,
        };
        // as near as agreement asks of what drops its zeros
        if safe && (&rounded - value).abs() * whole(50) <= value.abs() {
            return rounded;
        }
    }
    toward_safety(value, &ten_to(first - 5), held.limit)
}

/// A value at a place: to the nearest, or where it is bound, away from the side on which the bound lies.
pub(super) fn toward_safety(value: &Exact, place: &Exact, bound: Option<Limit>) -> Exact {
    if place.is_zero() {
        return value.clone();
    }
    match bound {
        Some(Limit::AtMost) => (value / place).floor() * place,
        Some(Limit::AtLeast) => (value / place).ceil() * place,
        _ => round_to(value, place, Half::Even),
    }
}

/// The place to which a quantity is known in another unit, one of its own being worth `factor` of those.
/// There it is a power of ten, and may be finer by up to a fifth of what the known place comes to: what is
/// known to 1 foot is known to 0.1 m, and what is known to 0.001 mile is known to 10 feet.
pub(super) fn known_place(known: &Exact, factor: &Exact, converted: bool) -> Exact {
    let place = known * factor;
    if !converted || place.is_zero() {
        return place;
    }
    let finest = place / whole(5);
    let power = ten_to(magnitude(&finest).unwrap_or(0));
    if power == finest { power } else { power * whole(10) }
}

/// A value as it is known; where its place is coarser than all of it, to its first digit. What is bound goes to
/// the safe side.
pub(super) fn round_to_known(value: &Exact, place: &Exact, bound: Option<Limit>) -> Exact {
    let rounded = toward_safety(value, place, bound);
    if rounded.is_zero() {
        toward_safety(value, &ten_to(magnitude(value).unwrap_or(0)), bound)
    } else {
        rounded
    }
}

/// An amount as it is known, for print.
pub(super) fn known_in_print(amount: &Amount, unit: &Unit, place: &Exact, bound: Option<Limit>) -> String {
    let round = |value: &Exact| round_to_known(value, place, bound);
    let amount = match amount {
        Amount::One(value) => Amount::One(round(value)),
        Amount::Range(low, high) => Amount::Range(round(low), round(high)),
    };
    in_print(&amount, unit)
}

/// An amount with its unit: `5 to 10 gallons a day`, `$5`, `22 million pounds`.
pub(super) fn in_print(amount: &Amount, unit: &Unit) -> String {
    let one = match amount {
        // "0.2 horses", but "0.33 mile"
        Amount::One(value) if unit.counts_things() => value.is_one(),
        Amount::One(value) => value.abs() <= Exact::one() && !value.is_zero(),
        Amount::Range(..) => false,
    };
    let number = |value: &Exact| number_in_print(value);
    let words = unit.in_print(one);
    let (sign, words) = match words.strip_prefix(['$', '€']) {
        Some(rest) => (&words[..words.len() - rest.len()], rest.trim_start()),
        None => ("", words.as_str()),
    };
    let numbers = match amount {
        Amount::One(value) => format!("{sign}{}", number(value)),
        Amount::Range(low, high) => format!("{sign}{} to {sign}{}", number(low), number(high)),
    };
    match words {
        "" => numbers,
        "°" => format!("{numbers}°"),
        words => format!("{numbers} {words}"),
    }
}

/// `22 million`, `54,750,000`, `1.5`, `2/3`.
fn number_in_print(value: &Exact) -> String {
    for (power, word) in [(12, "trillion"), (9, "billion"), (6, "million")] {
        let scaled = value / ten_to(power);
        if scaled.abs() >= Exact::one() && last_place(&scaled).is_some_and(|place| place >= -2) {
            return format!("{} {word}", written(&scaled));
        }
    }
    written(value)
}

/// What a statement would have to be, in its own unit and at its own precision, though no finer than it is
/// known. What is bound is rounded away from the side on which the bound lies.
pub(super) fn expected(
    amount: &Amount,
    unit: &Unit,
    place: &Exact,
    known: Option<&Exact>,
    bound: Option<Limit>,
) -> String {
    let place = known.map_or(place, |known| known.max(place));
    let fit = |value: &Exact| {
        let rounded = toward_safety(value, place, bound);
        if !rounded.is_zero() || value.is_zero() {
            let error = (&rounded - value).abs();
            if error * whole(20) <= value.abs() {
                return rounded;
            }
        }
        let finer = ten_to(magnitude(value).unwrap_or(0) - 1);
        match known.filter(|known| **known > finer) {
            Some(known) => round_to_known(value, known, bound),
            None => toward_safety(value, &finer, bound),
        }
    };
    let amount = match amount {
        Amount::One(value) => Amount::One(fit(value)),
        Amount::Range(low, high) => Amount::Range(fit(low), fit(high)),
    };
    in_print(&amount, unit)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{read_one, unit};

    fn held(text: &str, limit: Option<Limit>) -> Held {
        Held::stated(&read_one(text).unwrap(), limit)
    }

    #[test]
    fn says_a_fact_in_its_own_words_and_in_another_unit() {
        let meter = unit("m").unwrap();
        assert_eq!(say(&held("10 ft", None), None).unwrap(), "10 feet");
        assert_eq!(say(&held("10 ft", None), Some(&meter)).unwrap(), "3 m");
        assert_eq!(say(&held("200 ft", None), Some(&meter)).unwrap(), "61 m");
        assert_eq!(say(&held("100 ft", Some(Limit::AtLeast)), Some(&meter)).unwrap(), "at least 30.5 m");
        assert_eq!(say(&held("6 ft", Some(Limit::AtMost)), Some(&meter)).unwrap(), "at most 1.8 m");
        assert_eq!(say(&held("125 °F", None), unit("°C").as_ref()).unwrap(), "52 °C");
        assert_eq!(say(&held("5 to 10 gallons a day", None), None).unwrap(), "5 to 10 gallons a day");
        assert_eq!(
            say(&held("about 22 million pounds a year", None), None).unwrap(),
            "about 22 million pounds a year"
        );
        assert_eq!(say(&held("$5 a head", None), None).unwrap(), "$5 a head");
        assert_eq!(say(&held("13 camps", None), None).unwrap(), "13 camps");
        assert_eq!(say(&held("1 mile", None), None).unwrap(), "1 mile");
    }

    #[test]
    fn a_time_of_less_than_one_is_said_in_a_finer_unit() {
        for (written, said_as) in [
            ("0.84 hours", "50 minutes"),
            ("0.01 day", "14.4 minutes"),
            ("1 hour", "1 hour"),
            ("2.5 hours", "2.5 hours"),
            ("0.5 gallon an hour", "0.5 gallon an hour"),
            ("0 hours", "0 hours"),
        ] {
            let held = held(written, None);
            assert_eq!(say(&held, finer_time(&held).as_ref()).unwrap(), said_as);
        }
    }

    #[test]
    fn a_unit_of_another_kind_is_refused_in_words() {
        let error = say(&held("10 ft", None), unit("lb").as_ref()).unwrap_err();
        assert_eq!(error, "A length cannot be given in pounds, which is a mass.");
    }
}
