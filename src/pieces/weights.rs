//! What gear weighs: weights of single things added up exactly and said as people weigh.
//!
//! Pounds and ounces ("4 lb 6 oz"), or grams and kilograms where every weight is metric. Only what is
//! printed is rounded, to a tenth of an ounce or a gram, and then it says "about".

use crate::quantity::{self, Amount, Exact, Hedge};
use crate::words::filled_in;
use num_bigint::BigInt;
use num_traits::{ToPrimitive, Zero};
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

/// What things weigh together, as templates are given it.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Weight {
    /// The sum as it is to be printed: 4 lb 6 oz; null where nothing has a weight.
    pub words: Option<String>,
    /// How many things have no weight.
    pub unweighed: u32,
}

impl Weight {
    /// In the theme's words of a language.
    pub fn of(load: &Load, words: &Value) -> Self {
        Self { words: load.words(words), unweighed: load.unweighed }
    }
}

/// A sum of weights.
#[derive(Clone, Debug)]
pub struct Load {
    low: Grams,
    high: Grams,
    about: bool,
    /// Whether every weight in it was stated in metric units.
    metric: bool,
    /// How many things are in it without a weight.
    pub unweighed: u32,
}

type Grams = Exact;

impl Default for Load {
    fn default() -> Self {
        Self { low: Exact::zero(), high: Exact::zero(), about: false, metric: true, unweighed: 0 }
    }
}

impl Load {
    /// So many things of this weight each, as written; what is no weight counts as not weighed.
    pub fn of(count: u32, weight: Option<&str>) -> Self {
        let weighed = weight.and_then(one);
        weighed.map_or(Self { unweighed: count, ..Self::default() }, |one| one.times(count))
    }

    fn times(self, count: u32) -> Self {
        let count = whole(i64::from(count));
        Self { low: self.low * &count, high: self.high * &count, ..self }
    }

    pub fn add(&mut self, other: &Self) {
        self.low += &other.low;
        self.high += &other.high;
        self.about |= other.about;
        self.metric &= other.metric;
        self.unweighed += other.unweighed;
    }

    /// The weight in the theme's words of a language; nothing where nothing was weighed.
    pub fn words(&self, words: &Value) -> Option<String> {
        if self.high.is_zero() {
            return None;
        }
        let (low, low_rounded) = self.say(&self.low);
        let (high, high_rounded) = self.say(&self.high);
        let filled = |key: &str, known: &[(&str, &str)]| {
            let pattern = words["common"][key].as_str().unwrap_or_default();
            filled_in(pattern, |name| known.iter().find(|(known, _)| *known == name).map(|(_, it)| *it))
        };
        let weight = match low == high {
            true => low,
            false => filled("weight-range", &[("low", &low), ("high", &high)]),
        };
        let is_about = self.about || low_rounded || high_rounded;
        Some(if is_about { filled("weight-about", &[("weight", &weight)]) } else { weight })
    }

    fn say(&self, grams: &Grams) -> (String, bool) {
        if self.metric { metric_words(grams) } else { customary_words(grams) }
    }
}

/// What a text like `6 oz` weighs.
fn one(text: &str) -> Option<Load> {
    let figure = quantity::read_one_anywhere(text).ok()?;
    let unit = &figure.quantity.unit;
    let gram = quantity::unit("g")?;
    let (low, high) = match &figure.quantity.amount {
        Amount::One(value) => (value, value),
        Amount::Range(low, high) => (low, high),
    };
    let metric = METRIC.iter().any(|name| quantity::unit(name).as_ref() == Some(unit));
    Some(Load {
        low: unit.convert(low, &gram)?,
        high: unit.convert(high, &gram)?,
        about: matches!(figure.hedge, Some(Hedge::About)),
        metric,
        unweighed: 0,
    })
}

const METRIC: [&str; 4] = ["g", "kg", "mg", "metric tons"];

fn metric_words(grams: &Grams) -> (String, bool) {
    let (rounded, changed) = to_tenths(grams);
    let thousand = whole(1000);
    // To a gram above a kilogram: nobody weighs a kit finer.
    if rounded < thousand {
        return (format!("{} g", decimal(&rounded)), changed);
    }
    let grams_whole = grams.round();
    (format!("{} kg", decimal(&(&grams_whole / &thousand))), grams_whole != *grams)
}

fn customary_words(grams: &Grams) -> (String, bool) {
    let in_ounces =
        quantity::unit("g").zip(quantity::unit("oz")).and_then(|(gram, oz)| gram.convert(grams, &oz));
    let Some(ounces) = in_ounces else { return metric_words(grams) };
    let (ounces, changed) = to_tenths(&ounces);
    let sixteen = whole(16);
    let pounds = (&ounces / &sixteen).floor();
    let rest = &ounces - &pounds * &sixteen;
    let words = match (pounds.is_zero(), rest.is_zero()) {
        (true, _) => format!("{} oz", decimal(&rest)),
        (false, true) => format!("{} lb", decimal(&pounds)),
        (false, false) => format!("{} lb {} oz", decimal(&pounds), decimal(&rest)),
    };
    (words, changed)
}

fn whole(value: i64) -> Exact {
    Exact::from_integer(BigInt::from(value))
}

/// Rounded to tenths, half up, and whether that changed it.
fn to_tenths(value: &Exact) -> (Exact, bool) {
    let rounded = (value * whole(10)).round() / whole(10);
    let changed = rounded != *value;
    (rounded, changed)
}

/// A number with up to three decimals, and marks at the thousands.
fn decimal(value: &Exact) -> String {
    let thousandths = (value * whole(1000)).round().to_integer().to_u128().unwrap_or(u128::MAX);
    let mut words = String::new();
    let digits = (thousandths / 1000).to_string();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            words.push(',');
        }
        words.push(digit);
    }
    match thousandths % 1000 {
        0 => words,
        rest => format!("{words}.{}", format!("{rest:03}").trim_end_matches('0')),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::Words;

    fn sum(things: &[(u32, &str)]) -> Load {
        let mut load = Load::default();
        for (count, weight) in things {
            load.add(&Load::of(*count, Some(weight).filter(|weight| !weight.is_empty()).copied()));
        }
        load
    }

    fn words(things: &[(u32, &str)]) -> String {
        in_language(things, "en")
    }

    fn in_language(things: &[(u32, &str)], language: &str) -> String {
        sum(things).words(&Words::default().of(language)).unwrap_or_default()
    }

    #[test]
    fn ounces_and_pounds_are_added_exactly() {
        // 16 avoirdupois ounces are a pound.
        assert_eq!(words(&[(1, "6 oz"), (2, "5 oz")]), "1 lb");
        assert_eq!(words(&[(2, "2.3 lb"), (1, "6 oz")]), "4 lb 15.6 oz");
        assert_eq!(words(&[(10, "0.1 oz")]), "1 oz");
        assert_eq!(words(&[(100, "20 lb")]), "2,000 lb");
        assert_eq!(words(&[(1, "1 lb 4 oz"), (1, "half a pound")]), "1 lb 12 oz");
    }

    #[test]
    fn metric_weights_stay_metric_and_mixed_ones_do_not() {
        assert_eq!(words(&[(1, "250 g"), (3, "1.5 kg")]), "4.75 kg");
        assert_eq!(words(&[(2, "40.5 g")]), "81 g");
        // An ounce is 28.349523125 g exactly.
        assert_eq!(words(&[(1, "1 kg"), (1, "1 oz")]), "about 2 lb 4.3 oz");
    }

    #[test]
    fn ranges_and_hedges_are_kept() {
        assert_eq!(words(&[(2, "3 to 4 lb"), (1, "8 oz")]), "6 lb 8 oz to 8 lb 8 oz");
        assert_eq!(words(&[(1, "about 3 lb")]), "about 3 lb");
        let mixed = [(1, "1 kg"), (1, "1 oz")];
        assert_eq!(in_language(&mixed, "es-MX"), "cerca de 2 lb 4.3 oz");
        assert_eq!(in_language(&[(2, "3 to 4 lb")], "fr"), "6 lb à 8 lb");
    }

    #[test]
    fn what_has_no_weight_is_counted() {
        let load = sum(&[(2, ""), (1, "6 ft"), (1, "6 oz")]);
        let english = Words::default().of("en");
        assert_eq!((load.words(&english).as_deref(), load.unweighed), (Some("6 oz"), 3));
        assert_eq!(sum(&[(1, "")]).words(&english), None);
    }
}
