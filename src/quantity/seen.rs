//! What a fact holds, as the unit of a statement can mean it.
//!
//! A total over a span of time may be stated as a rate for that span, and a rate without its period, which
//! prose often gives elsewhere ("drinks 10 gallons on each day"). A year is 365 days or 365.25.

use super::number::whole;
use super::say::convert;
use super::unit::{Unit, year_readings};
use super::{Amount, Exact, Held};
use num_traits::One;

/// A held amount in the unit of the statement.
pub(super) struct Seen {
    pub amount: Amount,
    pub unit: Unit,
    /// Another unit than the fact's own.
    pub converted: bool,
    /// How many of the statement's units one of the fact's is: what a place of the fact is worth.
    pub factor: Exact,
}

/// The held quantity as the statement's unit can mean it; none where the units are of another kind.
pub(super) fn seen(unit: &Unit, held: &Held) -> Vec<Seen> {
    let own = &held.quantity.unit;
    let amount = &held.quantity.amount;
    if let Some(scale) = own.temperature() {
        return temperature(unit, own, amount, scale.factor.clone());
    }
    let mut readings = in_unit(unit, own, amount);
    if readings.is_empty()
        && let Some((_, rest)) = own.split_period()
    {
        // the period stands elsewhere in the sentence
        readings = in_unit(unit, &rest, amount);
    }
    if readings.is_empty()
        && let (Some(over), Some((period, rest))) = (&held.over, unit.split_period())
        && same_span(over, &period)
    {
        // a total over 365 days, stated by the year
        readings = in_unit(&rest, own, amount);
        for reading in &mut readings {
            reading.unit = unit.clone();
        }
    }
    readings
}

fn in_unit(unit: &Unit, own: &Unit, amount: &Amount) -> Vec<Seen> {
    if !unit.same_dimension(own) || (unit.is_none() && is_share(own)) || shares_differ(unit, own) {
        return Vec::new();
    }
    let Some(converted) = convert(amount, own, unit) else { return Vec::new() };
    let changed = unit.factor() != own.factor();
    let factor = own.factor() / unit.factor();
    let mut readings =
        vec![Seen { amount: converted, unit: unit.clone(), converted: changed, factor: factor.clone() }];
    if changed && (has_year(unit) != has_year(own)) {
        for year in &year_readings()[1..] {
            let times = if per_year(unit) || (has_year(own) && !per_year(own)) {
                Exact::one() / year
            } else {
                year.clone()
            };
            let scaled = match &readings[0].amount {
                Amount::One(value) => Amount::One(value * &times),
                Amount::Range(low, high) => Amount::Range(low * &times, high * &times),
            };
            // the year of 365 days comes first: it is the one that prose is worked with
            let reading =
                Seen { amount: scaled, unit: unit.clone(), converted: changed, factor: factor.clone() };
            readings.insert(0, reading);
        }
    }
    readings
}

fn temperature(unit: &Unit, own: &Unit, amount: &Amount, scale: Exact) -> Vec<Seen> {
    // "77 degrees" is on the fact's own scale
    let unit = if *unit == Unit::named("degree") { own.clone() } else { unit.clone() };
    if unit.temperature().is_none() || (unit.is_difference() && !own.is_difference()) {
        return Vec::new();
    }
    let unit = if own.is_difference() { unit.as_difference() } else { unit };
    let Some(converted) = convert(amount, own, &unit) else { return Vec::new() };
    let factor = scale / unit.factor();
    let changed = factor != Exact::one();
    vec![Seen { amount: converted, converted: changed, factor, unit }]
}

/// Percent: a share, which a bare number does not state.
pub(super) fn is_share(unit: &Unit) -> bool {
    *unit == Unit::named("percent")
}

/// A share against a count of things.
fn shares_differ(a: &Unit, b: &Unit) -> bool {
    (is_share(a) && b.counted().is_some()) || (is_share(b) && a.counted().is_some())
}

fn has_year(unit: &Unit) -> bool {
    unit.factors().iter().any(|(atom, _)| is_long(atom))
}

fn per_year(unit: &Unit) -> bool {
    unit.factors().iter().any(|(atom, power)| is_long(atom) && *power < 0)
}

fn is_long(atom: &super::Atom) -> bool {
    atom.known().is_some_and(|known| ["month", "year", "decade", "century"].contains(&known.name.as_str()))
}

/// Whether a span in seconds is one of that unit of time: 365, 365.25 or 366 days for a year.
fn same_span(over: &Exact, period: &Unit) -> bool {
    let factor = period.factor();
    if *over == factor {
        return true;
    }
    let days = over / whole(86_400);
    has_year(period) && period.name() == "year" && (days == whole(365) || days == whole(366))
        || period.name() == "month" && (days == whole(30) || days == whole(31))
}
