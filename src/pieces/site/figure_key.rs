//! What a page must know to judge a figure without packstring: the fact's value in every unit in which
//! people answer, exactly, by each way to spell the unit.
//!
//! The page's script calls right only what scoring would, and wrong only what is far from the fact in a unit
//! that it knows; all else it leaves to the reader's own eye. So the list need not be complete.

use crate::quantity::{self, Amount, Exact, Held, Language, Limit, Unit};
use serde::Serialize;
use serde_json::{Map, Value};

/// Units in which people answer, each in its usual spellings.
const SPELLINGS: [&[&str]; 28] = [
    &["inches", "inch", "in"],
    &["feet", "foot", "ft"],
    &["yards", "yard", "yd"],
    &["miles", "mile", "mi"],
    &["millimeters", "millimetres", "mm"],
    &["centimeters", "centimetres", "centimeter", "cm"],
    &["meters", "metres", "meter", "metre", "m"],
    &["kilometers", "kilometres", "km"],
    &["ounces", "ounce", "oz"],
    &["pounds", "pound", "lb", "lbs"],
    &["grams", "gram", "g"],
    &["kilograms", "kilogram", "kg"],
    &["pints", "pint", "pt"],
    &["quarts", "quart", "qt"],
    &["gallons", "gallon", "gal"],
    &["liters", "litres", "liter", "litre", "l"],
    &["square feet", "square foot", "sq ft"],
    &["acres", "acre"],
    &["square meters", "square metres", "sq m"],
    &["hectares", "hectare", "ha"],
    &["°f", "degrees f", "degrees fahrenheit", "fahrenheit"],
    &["°c", "degrees c", "degrees celsius", "celsius"],
    &["seconds", "second", "sec", "s"],
    &["minutes", "minute", "min"],
    &["hours", "hour", "h", "hrs"],
    &["days", "day"],
    &["weeks", "week"],
    &["percent", "%"],
];

/// The periods of rates. In a fact of so many a day, the day may be left unsaid.
const PERIODS: [&str; 5] = ["hour", "day", "week", "month", "year"];

/// A fact's figure for the page's script. Each number is an exact fraction, and a range has two.
#[derive(Debug, Serialize)]
pub struct FigureKey {
    limit: Option<&'static str>,
    /// In the fact's own unit.
    own: Vec<String>,
    /// By each way to spell a unit: `{"ft": ["6"], "gallons": ["5", "10"]}`. What stands under the empty word is in
    /// the unit that a bare number is in, where that can be told. A map of JSON, since it keeps its order.
    units: Map<String, Value>,
}

/// `None` where there is nothing to convert.
pub fn of(held: &Held, asked: Option<&str>, language: &Language) -> Option<FigureKey> {
    let mut units = Map::new();
    for spellings in SPELLINGS {
        for period in std::iter::once(None).chain(PERIODS.map(Some)) {
            if let Some(value) = in_unit(held, spellings[0], period) {
                for spelling in spellings {
                    named(spelling, period).into_iter().for_each(|name| {
                        units.insert(name, value.clone().into());
                    });
                }
            }
        }
    }
    let own = &held.quantity.unit;
    for name in [own.name(), quantity::say(held, None).ok().map(|said| unit_words(&said)).unwrap_or_default()]
    {
        if !name.is_empty() {
            units.entry(name.to_lowercase()).or_insert_with(|| value(&held.quantity.amount).into());
        }
    }
    // A bare number states no share, and things that are counted only where it is of them.
    let is_number = own.is_none() || own.counted().is_some();
    let bare = if is_number { Some(own.clone()) } else { asked.and_then(|unit| language.unit_called(unit)) };
    let bare = bare.and_then(|unit| converted(held, &unit)).map(|amount| value(&amount));
    if let Some(bare) = bare {
        units.insert(String::new(), bare.into());
    }
    let limit = held.limit.map(|limit| match limit {
        Limit::AtMost => "at_most",
        Limit::AtLeast => "at_least",
        Limit::About => "about",
        Limit::Exactly => "exactly",
    });
    (!units.is_empty()).then(|| FigureKey { limit, own: value(&held.quantity.amount), units })
}

/// The value in a unit, alone or by a period; `None` where the fact is of another kind.
fn in_unit(held: &Held, name: &str, period: Option<&str>) -> Option<Vec<String>> {
    let own_period =
        PERIODS.into_iter().find(|period| held.quantity.unit.name().ends_with(&format!(" per {period}")));
    let by = match (period, own_period) {
        // Other periods than the fact's own depend on how long a year is: the reader's eye.
        (Some(period), Some(own)) if period == own => Some(period),
        (Some(_), _) => return None,
        (None, own) => own,
    };
    let unit = match by {
        Some(period) => quantity::unit(&format!("{name} per {period}"))?,
        None => quantity::unit(name)?,
    };
    converted(held, &unit).map(|amount| value(&amount))
}

fn converted(held: &Held, unit: &Unit) -> Option<Amount> {
    let own = &held.quantity.unit;
    let unit = if own.is_difference() { unit.clone().as_difference() } else { unit.clone() };
    let convert = |value: &Exact| own.convert(value, &unit).filter(|_| own.same_dimension(&unit));
    Some(match &held.quantity.amount {
        Amount::One(value) => Amount::One(convert(value)?),
        Amount::Range(low, high) => Amount::Range(convert(low)?, convert(high)?),
    })
}

/// The ways to write a unit by a period, in small letters.
fn named(spelling: &str, period: Option<&str>) -> Vec<String> {
    let Some(period) = period else { return vec![spelling.to_owned()] };
    let (article, adverb) = match period {
        "hour" => ("an", "hourly"),
        "day" => ("a", "daily"),
        "week" => ("a", "weekly"),
        "month" => ("a", "monthly"),
        _ => ("a", "yearly"),
    };
    [
        format!("{spelling} {article} {period}"),
        format!("{spelling} per {period}"),
        format!("{spelling} each {period}"),
        format!("{spelling} every {period}"),
        format!("{spelling} {adverb}"),
        format!("{spelling}/{period}"),
    ]
    .into()
}

/// The words after the last digit: the unit as the fact prints it.
fn unit_words(said: &str) -> String {
    let after = said.rfind(|letter: char| letter.is_ascii_digit()).map_or(0, |at| at + 1);
    said[after..].replace('\u{a0}', " ").trim().to_owned()
}

fn value(amount: &Amount) -> Vec<String> {
    match amount {
        Amount::One(value) => vec![value.to_string()],
        Amount::Range(low, high) => vec![low.to_string(), high.to_string()],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn key(fact: &str, limit: Option<Limit>, asked: Option<&str>) -> Value {
        crate::job::data(
            &of(&Held::stated(&quantity::read_one(fact).unwrap(), limit), asked, &Language::default())
                .unwrap(),
        )
    }

    #[test]
    fn a_length_is_known_in_other_units_exactly() {
        let key = key("200 ft", Some(Limit::AtLeast), Some("ft"));
        // 1 ft = 0.3048 m exactly (NIST SP 811)
        assert_eq!(key["units"]["m"], json!(["1524/25"]));
        assert_eq!(key["units"]["yards"], json!(["200/3"]));
        assert_eq!(key["units"][""], json!(["200"]));
        assert_eq!(key["limit"], "at_least");
        assert!(key["units"]["pounds"].is_null() && key["units"]["acres"].is_null());
    }

    #[test]
    fn a_rate_may_leave_its_period_unsaid() {
        let key = key("5 to 10 gallons a day", None, None);
        for name in ["gallons", "gal a day", "gallons per day", "gallons daily", "gallon/day"] {
            assert_eq!(key["units"][name], json!(["5", "10"]), "{name}");
        }
        assert!(key["units"]["gallons a week"].is_null() && key["units"]["days"].is_null());
        assert!(key["units"][""].is_null(), "a bare number is in no unit");
    }

    #[test]
    fn temperatures_and_counts() {
        assert_eq!(key("77 °F", None, None)["units"]["°c"], json!(["25"]));
        let camps = key("13 camps", None, None);
        assert_eq!((&camps["units"][""], &camps["units"]["camps"]), (&json!(["13"]), &json!(["13"])));
    }
}
