//! Whether a stated figure says what a fact holds.
//!
//! - The held quantity is converted exactly to the unit that the prose uses.
//! - Without a hedge, the statement must be the fact itself, or what the fact rounds to at the last digit
//!   that is written (halves may go either way), out by one part in ten at most: "2 years" does not stand
//!   for 18 months. Zeros at the end of a whole number count as written, so that 200 does not stand for 150.
//! - With a hedge, or in another unit than the fact's, the statement may also be rounded to its last digit
//!   that is not zero, as long as it is out by no more than one part in fifty: "about 50" for 51, 60 m
//!   for 200 ft; but neither "about 20" for 22 nor 100 m for 200 ft.
//! - No rounding passes a bound: a fact of at most 5.6 ft is never 6 feet, one of at least 6.5 ft never six.
//!   What is bound above is rounded down, what is bound below is rounded up. Only where the bound itself stands
//!   just before, as in "at least 200 feet (60 m)", may what gives an idea of it in another unit be rounded to
//!   the nearest ([`agree_beside`]).
//! - "Nearly" wants the fact a little below, "over" a little above: by less than the place shown and
//!   by one part in twenty at most. "Over" and "under" may also name the fact itself, as a threshold:
//!   "call when it is over 102.5 °F".
//! - A limit must not be turned round. Where the fact itself is a limit, "more than" and "less than"
//!   are limits too; of things counted, "fewer than 9" is at most 8.
//! - In which units and for which span of time it may be stated, [`super::seen`] says.
//!
//! The table in `docs/rules/README.md` tells editors the same, with the reason of each row; a test reads it.

use super::number::{magnitude, rounds_to, ten_to, whole};
use super::say::{convert, expected, in_print, known_in_print, known_place, round_to_known, toward_safety};
use super::seen::{Seen, is_share, seen};
use super::unit::Unit;
use super::{Agreement, Amount, Exact, Figure, Hedge, Held, Limit, OwnUnits, read_one_by};
use num_traits::{Signed, Zero};

/// Holds a stated figure against a held one.
pub fn agree(stated: &Figure, held: &Held) -> Agreement {
    agree_at(stated, held, Stands::Alone)
}

/// As [`agree`], for a figure beside which the bound stands in the fact's own unit, or which nobody goes by, as an
/// answer that is scored: it is rounded to the nearest, as the second half of a dual statement is.
pub fn agree_beside(stated: &Figure, held: &Held) -> Agreement {
    agree_at(stated, held, Stands::Beside)
}

/// Whether a statement is all that a reader has of the fact.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Stands {
    Alone,
    /// Behind the same in the fact's own unit.
    Beside,
}

fn agree_at(stated: &Figure, held: &Held, stands: Stands) -> Agreement {
    let first = agree_half(stated, held, stands);
    let (Agreement::Agrees, Some(dual)) = (&first, &stated.dual) else { return first };
    let mut second = (**dual).clone();
    second.hedge = second.hedge.or(stated.hedge);
    second.limit = second.limit.or(stated.limit);
    match agree_half(&second, held, Stands::Beside) {
        Agreement::Agrees => Agreement::Agrees,
        Agreement::TooFine { .. } => Agreement::Agrees,
        _ => Agreement::DualDisagrees,
    }
}

/// Whether a statement is of values that all lie within a held range: "7 gallons", "6 to 8" of 5 to 10.
pub fn lies_within(stated: &Figure, held: &Held) -> bool {
    let inside = |seen: &Seen| match (&stated.quantity.amount, &seen.amount) {
        (Amount::One(value), Amount::Range(low, high)) => low <= value && value <= high,
        (Amount::Range(from, to), Amount::Range(low, high)) => low <= from && to <= high,
        (_, Amount::One(_)) => false,
    };
    seen(&stated.quantity.unit, held).iter().any(inside)
}

/// Whether the two halves of a dual statement are the same quantity, as far as they show: the second is
/// what the first rounds to, or the first is what the second rounds to at its last digit. True for a
/// figure without a second half.
pub fn halves_agree(stated: &Figure) -> bool {
    let Some(dual) = &stated.dual else { return true };
    let in_unit_of = |a: &Figure, b: &Figure| convert(&a.quantity.amount, &a.quantity.unit, &b.quantity.unit);
    let forward = in_unit_of(stated, dual).is_some_and(|amount| {
        same_amount(&dual.quantity.amount, &amount, |half, value| {
            rounds_to(value, half, &dual.written_to)
                || (rounds_to(value, half, &dual.shown_to) && is_within(half, value, 50))
        })
    });
    let backward = in_unit_of(dual, stated).is_some_and(|amount| {
        same_amount(&stated.quantity.amount, &amount, |half, value| {
            rounds_to(value, half, &stated.written_to)
        })
    });
    forward || backward
}

/// Whether a statement is out by one of so many parts at most.
fn is_within(stated: &Exact, fact: &Exact, parts: i64) -> bool {
    (stated - fact).abs() * whole(parts) <= fact.abs()
}

/// Whether a figure is out of what is held by one of so many parts at most, in its own unit.
pub fn is_within_parts(stated: &Figure, held: &Held, parts: i64) -> bool {
    seen(&stated.quantity.unit, held).iter().any(|seen| {
        same_amount(&stated.quantity.amount, &seen.amount, |stated, held| is_within(stated, held, parts))
    })
}

fn same_amount(stated: &Amount, held: &Amount, fits: impl Fn(&Exact, &Exact) -> bool) -> bool {
    match (stated, held) {
        (Amount::One(stated), Amount::One(held)) => fits(stated, held),
        (Amount::Range(low, high), Amount::Range(held_low, held_high)) => {
            fits(low, held_low) && fits(high, held_high)
        }
        _ => false,
    }
}

fn agree_half(stated: &Figure, held: &Held, stands: Stands) -> Agreement {
    let readings = seen(&stated.quantity.unit, held);
    let Some(first) = readings.first() else { return Agreement::OtherUnit };
    // "over 48 mules" of exactly 48; what is measured may be a threshold
    let beyond_exact = held.limit == Some(Limit::Exactly)
        && first.unit.is_count()
        && matches!(stated.hedge, Some(Hedge::Over | Hedge::Under))
        && first.amount == stated.quantity.amount;
    if limit_turned(stated, held) || beyond_exact {
        return Agreement::LimitTurned;
    }
    let known = place_known(held, first);
    let fits = |seen: &Seen| amount_fits(stated, held, seen, stands);
    if !readings.iter().any(fits) {
        if other_things(&stated.quantity.unit, &held.quantity.unit) {
            return Agreement::OtherUnit;
        }
        let amount = end_that_is_meant(stated, &first.amount);
        return Agreement::Off { expected: settling(&amount, stated, held, first, stands) };
    }
    if let Some(place) = known
        && is_finer(stated, &place)
    {
        let bound = bound_of(stated, held);
        return Agreement::TooFine { expected: known_in_print(&first.amount, &first.unit, &place, bound) };
    }
    Agreement::Agrees
}

/// Whether a statement shows more than is known to a place. What is known to a half may be written in decimals:
/// 2.5 for two and a half.
fn is_finer(stated: &Figure, place: &Exact) -> bool {
    let on_place = |value: &Exact| (value / place).is_integer();
    let in_parts = !is_decimal(place)
        && match &stated.quantity.amount {
            Amount::One(value) => on_place(value),
            Amount::Range(low, high) => on_place(low) && on_place(high),
        };
    stated.shown_to < *place && !in_parts
}

/// What a statement would have to be, in its own unit: at its own precision where that agrees, else as finely
/// as it must be ("0.33 mile" for a third of a mile, which would be more than is known). Under words that may
/// be a threshold, as "over" is, the fact's own digits come first.
fn settling(amount: &Amount, stated: &Figure, held: &Held, seen: &Seen, stands: Stands) -> String {
    let units = OwnUnits::within(&seen.unit);
    let settles = |words: &String| {
        read_one_by(words, &units).is_ok_and(|figure| {
            let known = place_known(held, seen);
            amount_fits(&figure, held, seen, stands) && known.is_none_or(|place| !is_finer(&figure, &place))
        })
    };
    let finer = (0..6).map(|step| ten_to(1 - step));
    let places: Vec<Exact> = std::iter::once(stated.written_to.clone()).chain(finer).collect();
    let known = place_known(held, seen);
    let bound = bound_of(stated, held);
    let is_threshold = matches!(stated.hedge, Some(Hedge::Over | Hedge::Under)) && !seen.converted;
    // of "at most 6 gallons" for 5 to 10 the 10 is meant, which without the words around it is not the fact
    for amount in [amount, &seen.amount] {
        let at_places = places.iter().map(|place| expected(amount, &seen.unit, place, known.as_ref(), bound));
        let as_known = known.iter().map(|place| known_in_print(amount, &seen.unit, place, bound));
        let exact = || std::iter::once_with(|| in_print(amount, &seen.unit));
        let own_digits = exact().filter(|_| is_threshold);
        if let Some(words) = own_digits.chain(at_places).chain(as_known).chain(exact()).find(settles) {
            return words;
        }
    }
    expected(amount, &seen.unit, &stated.written_to, known.as_ref(), bound)
}

/// Which way no rounding may go: that of the fact's own limit, or of the end of a range that "up to" or "at
/// least" speaks of.
pub(super) fn bound_of(stated: &Figure, held: &Held) -> Option<Limit> {
    let is_end =
        matches!(held.quantity.amount, Amount::Range(..)) && matches!(stated.quantity.amount, Amount::One(_));
    match (held.limit, stated.limit) {
        (Some(limit @ (Limit::AtMost | Limit::AtLeast)), _) => Some(limit),
        (_, Some(limit @ (Limit::AtMost | Limit::AtLeast))) if is_end => Some(limit),
        (_, None) if is_end && stated.hedge == Some(Hedge::Under) => Some(Limit::AtMost),
        _ => None,
    }
}

/// Whether a value lies on the wrong side of a bound.
pub fn passes(value: &Exact, fact: &Exact, bound: Option<Limit>) -> bool {
    match bound {
        Some(Limit::AtMost) => value > fact,
        Some(Limit::AtLeast) => value < fact,
        _ => false,
    }
}

/// The place to which the held quantity is known in the unit of the statement; `None`: exactly.
pub(super) fn place_known(held: &Held, seen: &Seen) -> Option<Exact> {
    held.known_to.as_ref().map(|known| known_place(known, &seen.factor, seen.converted))
}

/// Whether two units count different things. The same number of them may be the same thing by another
/// name ("13 sites" for 13 camps); another number is not to be compared ("2 riders").
fn other_things(a: &Unit, b: &Unit) -> bool {
    matches!((a.thing(), b.thing()), (Some(a), Some(b)) if a != b)
}

fn limit_turned(stated: &Figure, held: &Held) -> bool {
    let up = stated.limit == Some(Limit::AtLeast) || stated.hedge == Some(Hedge::Over);
    let down = stated.limit == Some(Limit::AtMost) || stated.hedge == Some(Hedge::Under);
    if stated.denied && matches!(held.limit, Some(Limit::AtMost | Limit::AtLeast | Limit::Exactly)) {
        return true;
    }
    match held.limit {
        Some(Limit::AtMost) => up || stated.limit == Some(Limit::Exactly),
        Some(Limit::AtLeast) => down || stated.limit == Some(Limit::Exactly),
        Some(Limit::Exactly) => matches!(stated.limit, Some(Limit::AtLeast | Limit::AtMost)),
        // a threshold by its own words: "over 102.5 °F"
        Some(Limit::About) | None => match held.leans {
            Some(Hedge::Over) => down,
            Some(Hedge::Under) => up,
            _ => false,
        },
    }
}

fn amount_fits(stated: &Figure, held: &Held, seen: &Seen, stands: Stands) -> bool {
    let fits = |value: &Exact, fact: &Exact| value_fits(value, fact, stated, held, seen, stands);
    match (&stated.quantity.amount, &seen.amount) {
        (Amount::One(value), Amount::One(fact)) => fits(value, fact),
        (Amount::Range(low, high), Amount::Range(fact_low, fact_high)) => {
            // "5 or 10 gallons" leaves out what is between; "six or seven" does not
            let leaves_out = stated.either && high - low > stated.written_to;
            !leaves_out && fits(low, fact_low) && fits(high, fact_high)
        }
        (Amount::One(value), Amount::Range(..)) => match end_that_is_meant(stated, &seen.amount) {
            Amount::One(end) => fits(value, &end),
            Amount::Range(..) => false,
        },
        (Amount::Range(low, high), Amount::One(fact)) => {
            // "26 to 27 pounds" for 26 2/3: the two neighbors at the place shown; of a bound one of them passes it
            let step = high - low;
            let is_near = step <= stated.shown_to && &step * whole(20) <= fact.abs();
            low < fact && fact < high && is_near && bound_of(stated, held).is_none()
        }
    }
}

/// The end of a held range that "up to" or "at least" speaks of.
pub(super) fn end_that_is_meant(stated: &Figure, held: &Amount) -> Amount {
    let Amount::Range(low, high) = held else { return held.clone() };
    if matches!(stated.quantity.amount, Amount::Range(..)) {
        return held.clone();
    }
    match (stated.limit, stated.hedge) {
        (Some(Limit::AtMost), _) | (_, Some(Hedge::Under)) => Amount::One(high.clone()),
        (Some(Limit::AtLeast), _) => Amount::One(low.clone()),
        _ => held.clone(),
    }
}

fn value_fits(
    value: &Exact,
    fact: &Exact,
    stated: &Figure,
    held: &Held,
    seen: &Seen,
    stands: Stands,
) -> bool {
    let bound = bound_of(stated, held);
    let is_bound = matches!(held.limit, Some(Limit::AtMost | Limit::AtLeast));
    let known = place_known(held, seen).map(|place| round_to_known(fact, &place, bound));
    let same = value == fact || known.as_ref() == Some(value);
    let out_by = (value - fact).abs();
    let within = |parts: i64| is_within(value, fact, parts);
    // away from danger further than to the nearest, though not of a threshold, whose safe side is not known
    let is_threshold = matches!(stated.hedge, Some(Hedge::Over | Hedge::Under));
    let safely = |place: &Exact| {
        bound.is_some() && !is_threshold && toward_safety(fact, place, bound) == *value && within(20)
    };
    let rounds = |place: &Exact| rounds_to(fact, value, place) || safely(place);
    let passes = passes(value, fact, bound);
    let loosens = passes && stands == Stands::Alone;
    // what shows a decimal or a scale is rounded there; a fraction stands for itself
    let written = is_decimal(&stated.written_to) && rounds(&stated.written_to);
    // prices and frequencies are looked up and set, and never rounded
    let is_exact =
        is_set_exactly(seen) && held.known_to.is_none() && !seen.converted && stated.written_to <= whole(1);
    // in another unit, as the table of hedges has it; what binds is rounded away from danger a little further, and a share
    // in percent is no other unit
    let is_otherwise = seen.converted && seen.unit.temperature().is_none() && !is_share(&seen.unit);
    let narrow = passes || (is_otherwise && bound.is_none());
    let written = written && within(if narrow { 50 } else { 10 });
    let written = written && !is_exact;
    let coarse = rounds(&stated.shown_to);
    let plain = !loosens && (same || written || (seen.converted && coarse && within(50)));
    match stated.hedge {
        None => plain,
        // a bound that is only about so much is none
        Some(Hedge::About) if is_bound && stands == Stands::Alone => false,
        Some(Hedge::About) => plain || (!loosens && coarse && within(50)),
        Some(Hedge::Nearly) => !loosens && fact < value && (plain || (near(stated, &out_by) && within(20))),
        // "fewer than 9 riders" is at most 8
        Some(Hedge::Under) if is_bound && is_counted(seen, value) => value - whole(1) == *fact,
        Some(Hedge::Over) if is_bound && is_counted(seen, value) => value + whole(1) == *fact,
        Some(Hedge::Under | Hedge::Over) if bound.is_some() => plain,
        // a threshold: "over 102.5 °F" of the very 102.5 °F from which something holds
        Some(Hedge::Under | Hedge::Over) if value == fact || (seen.converted && plain) => true,
        Some(Hedge::Under) => fact < value && near(stated, &out_by) && within(20),
        Some(Hedge::Over) => fact > value && near(stated, &out_by) && within(20),
    }
}

/// Whether what is measured so is a price or a frequency.
fn is_set_exactly(seen: &Seen) -> bool {
    let above = seen.unit.factors().iter().filter(|(_, power)| *power > 0);
    let known = above.filter_map(|(atom, _)| atom.known());
    let mut dimensions = known.map(|known| known.dimension.as_str());
    dimensions.any(|dimension| dimension.starts_with("money") || dimension == "frequency")
}

fn is_counted(seen: &Seen, value: &Exact) -> bool {
    seen.unit.is_count() && !is_share(&seen.unit) && value.is_integer()
}

fn near(stated: &Figure, out_by: &Exact) -> bool {
    *out_by < stated.shown_to
}

fn is_decimal(place: &Exact) -> bool {
    !place.is_zero() && magnitude(place).is_some_and(|power| ten_to(power) == *place)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::number::ratio;
    use crate::quantity::read_one;

    fn held(text: &str, limit: Option<Limit>) -> Held {
        Held::stated(&read_one(text).unwrap(), limit)
    }

    fn verdict(stated: &str, fact: &Held) -> Agreement {
        agree(&read_one(stated).unwrap_or_else(|error| panic!("{error}")), fact)
    }

    fn agrees(stated: &str, fact: &Held) -> bool {
        verdict(stated, fact) == Agreement::Agrees
    }

    #[test]
    fn every_changed_digit_is_seen() {
        let fact = held("150 ft", None);
        assert!(agrees("150 feet", &fact));
        assert!(agrees("one hundred and fifty feet", &fact));
        for wrong in
            ["151 ft", "160 ft", "140 ft", "250 ft", "200 ft", "two hundred feet", "50 ft", "about 200 ft"]
        {
            assert!(matches!(verdict(wrong, &fact), Agreement::Off { .. }), "{wrong}");
        }
    }

    #[test]
    fn what_is_known_to_a_half_may_be_written_in_decimals() {
        let fact = held("2 1/2 hours", Some(Limit::About));
        assert!(agrees("about 2.5 hours", &fact));
        assert!(agrees("about two and a half hours", &fact));
        assert!(!agrees("about 2.6 hours", &fact));
        assert!(matches!(
            verdict("2.50 hours", &held("2.5 hours", Some(Limit::About))),
            Agreement::TooFine { .. }
        ));
    }

    #[test]
    fn what_is_expected_is_told_in_the_statement_s_unit() {
        let fact = held("200 ft", None);
        assert_eq!(verdict("50 m", &fact), Agreement::Off { expected: "61 m".into() });
        assert_eq!(verdict("250 ft", &fact), Agreement::Off { expected: "200 feet".into() });
        let year = held("54,750,000 lb", None);
        assert_eq!(
            verdict("54 million pounds", &year),
            Agreement::Off { expected: "55 million pounds".into() }
        );
    }

    #[test]
    fn limits_must_not_be_turned_round() {
        let fact = held("6 ft", Some(Limit::AtMost));
        for right in [
            "six feet",
            "at most six feet",
            "up to 6 ft",
            "no more than six feet",
            "within 6 feet",
            "less than 6 feet",
        ] {
            assert!(agrees(right, &fact), "{right}");
        }
        for turned in ["at least six feet", "more than 6 feet", "6 feet or more", "no less than 6 ft"] {
            assert_eq!(verdict(turned, &fact), Agreement::LimitTurned, "{turned}");
        }
        let riders = held("8 riders", Some(Limit::AtMost));
        assert!(agrees("fewer than nine riders", &riders));
        assert!(!agrees("fewer than eight riders", &riders));
        let least = held("200 feet", Some(Limit::AtLeast));
        assert!(agrees("at least 200 feet", &least));
        assert!(agrees("no closer than 200 feet", &least));
        assert_eq!(verdict("within 200 feet", &least), Agreement::LimitTurned);
        assert_eq!(verdict("no more than 200 feet", &least), Agreement::LimitTurned);
    }

    #[test]
    fn hedges_widen_or_turn_the_rule() {
        let fact = held("21,900,000 lb", None);
        for right in [
            "about 22 million pounds",
            "22 million pounds",
            "nearly 22 million pounds",
            "over 21 million pounds",
        ] {
            assert!(agrees(right, &fact), "{right}");
        }
        for wrong in [
            "about 21 million pounds",
            "about 20 million pounds",
            "over 22 million pounds",
            "nearly 21 million pounds",
        ] {
            assert!(!agrees(wrong, &fact), "{wrong}");
        }
        assert!(agrees("about 50 lb", &held("51 lb", None)));
    }

    #[test]
    fn conversions_may_drop_trailing_zeros() {
        let fact = held("200 ft", None);
        for right in ["60 m", "61 m", "200 ft (60 m)", "60 m, or 200 feet"] {
            assert!(agrees(right, &fact), "{right}");
        }
        assert_eq!(verdict("200 ft (50 m)", &fact), Agreement::DualDisagrees);
        assert_eq!(verdict("6 ft (1.9 m)", &held("6 ft", None)), Agreement::DualDisagrees);
        assert!(agrees("68,000 kg", &held("150,000 lb", None)));
    }

    #[test]
    fn ranges_against_ranges_and_values() {
        let fact = held("5 to 10 gallons a day", None);
        for right in [
            "5–10 gallons a day",
            "five to ten gallons",
            "up to 10 gallons a day",
            "at least 5 gallons a day",
            "19 to 38 L a day",
        ] {
            assert!(agrees(right, &fact), "{right}");
        }
        for wrong in ["5 to 12 gallons", "10 gallons a day", "up to 12 gallons"] {
            assert!(!agrees(wrong, &fact), "{wrong}");
        }
        assert!(agrees(
            "26 to 27 pounds",
            &Held::new(
                crate::quantity::Quantity { amount: Amount::One(ratio(80, 3)), unit: Unit::named("pound") },
                None
            )
        ));
    }

    #[test]
    fn units_of_another_kind() {
        let fact = held("10 ft", None);
        assert_eq!(verdict("10 pounds", &fact), Agreement::OtherUnit);
        assert_eq!(verdict("10", &fact), Agreement::OtherUnit);
        let camps = held("13 camps", None);
        assert!(agrees("13", &camps));
        assert!(agrees("thirteen sites", &camps));
        assert_eq!(verdict("2 riders", &camps), Agreement::OtherUnit);
        assert!(matches!(verdict("12 camps", &camps), Agreement::Off { .. }));
        assert!(agrees("18,250 pounds a year", &held("50 lb/day", None)));
        assert!(!agrees("18,400 pounds a year", &held("50 lb/day", None)));
    }

    #[test]
    fn temperatures_and_their_differences() {
        assert!(agrees("25 °C", &held("77 °F", None)));
        assert!(agrees("77 degrees", &held("77 °F", None)));
        let rise = held("48 °F difference", None);
        assert!(agrees("27 °C hotter", &rise));
        assert!(!agrees("9 °C hotter", &rise));
    }

    #[test]
    fn a_threshold_is_the_fact_itself() {
        for limit in [None, Some(Limit::Exactly), Some(Limit::About), Some(Limit::AtLeast)] {
            for right in
                ["over 102.5 °F", "above 102.5 degrees", "more than 102.5 °F", "over 102.5 °F (39 °C)"]
            {
                assert!(agrees(right, &held("102.5 °F", limit)), "{right} for {limit:?}");
            }
            for wrong in ["over 102.6 °F", "above 103.5 °F", "over 40 °C"] {
                assert!(!agrees(wrong, &held("102.5 °F", limit)), "{wrong} for {limit:?}");
            }
        }
        for limit in [None, Some(Limit::Exactly), Some(Limit::About), Some(Limit::AtMost)] {
            for right in [
                "below 95 °F",
                "falls below 95 °F",
                "cools below 95 °F",
                "less than 95 °F",
                "under 95 °F (35 °C)",
                "below 35 °C",
            ] {
                let read = crate::quantity::read(right);
                let agrees = agree(&read[0], &held("95 °F", limit));
                assert_eq!(agrees, Agreement::Agrees, "{right} for {limit:?}");
            }
        }
        let (most, least) = (held("200 feet", Some(Limit::AtMost)), held("200 feet", Some(Limit::AtLeast)));
        assert_eq!(verdict("more than 200 feet", &most), Agreement::LimitTurned);
        assert_eq!(verdict("less than 200 feet", &least), Agreement::LimitTurned);
        assert!(agrees("more than 200 feet", &least));
        assert!(!agrees("more than 210 feet", &least));
    }

    #[test]
    fn what_is_to_be_rounded_is_rounded_to_what_is_known_and_then_agrees() {
        let mut way = held("1 mile", None);
        way.quantity.amount = Amount::One(ratio(1, 120));
        way.known_to = Some(ratio(1, 1000));
        let rounded = Agreement::TooFine { expected: "40 feet".into() };
        assert_eq!(verdict("44 feet", &way), rounded);
        assert!(agrees("40 feet", &way) && agrees("about 40 feet", &way));
        assert!(!agrees("50 feet", &way) && !agrees("about 30 feet", &way));
        for (fact, known, fine) in [
            ("68 °F", whole(1), "20.0 °C"),
            ("1,234 feet", whole(1), "376.12 m"),
            ("54,750,000 lb", whole(1_000_000), "24,834,182 kg"),
            ("3 miles", whole(1), "4.8 km"),
            ("2 miles", whole(1), "3.22 km"),
        ] {
            let mut held = held(fact, None);
            held.known_to = Some(known);
            let Agreement::TooFine { expected } = verdict(fine, &held) else { panic!("{fine}") };
            assert!(agrees(&expected, &held), "{expected} for {fact}");
        }
    }

    #[test]
    fn what_is_off_is_told_no_finer_than_is_known() {
        let mut hours = held("1 hour", None);
        hours.quantity.amount = Amount::One(ratio(63, 50));
        hours.known_to = Some(ratio(1, 10));
        assert_eq!(verdict("50 minutes", &hours), Agreement::Off { expected: "80 minutes".into() });
        assert!(agrees("80 minutes", &hours));
        assert_eq!(verdict("76 minutes", &hours), Agreement::TooFine { expected: "80 minutes".into() });
    }

    #[test]
    fn nothing_finer_than_is_known() {
        let mut fact = held("54,750,000 lb", None);
        fact.known_to = Some(whole(1_000_000));
        assert_eq!(
            verdict("54.75 million pounds", &fact),
            Agreement::TooFine { expected: "55 million pounds".into() }
        );
        assert!(agrees("55 million pounds", &fact));
        assert!(agrees("about 55,000,000 pounds", &fact));
    }
}
