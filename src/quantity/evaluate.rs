//! Working an expression out: arithmetic on quantities with their units and the places that they are
//! known to. An error is a sentence about the part of the expression where it arises.

use super::expression::{Function, Node, Operator, What, WorkError};
use super::number::{magnitude, round_to, ten_to, whole};
use super::unit::{Atom, Unit};
use super::{Amount, Exact, Half, Held, Quantity};
use crate::capital::capital;
use num_traits::{One, Signed, Zero};

/// A quantity on its way: an interval, its unit, and how well it is known.
#[derive(Clone, Debug)]
pub(super) struct Value {
    low: Exact,
    high: Exact,
    unit: Unit,
    known_to: Option<Exact>,
    over: Option<Exact>,
}

impl Value {
    fn held(held: Held) -> Self {
        let (low, high) = match held.quantity.amount {
            Amount::One(value) => (value.clone(), value),
            Amount::Range(low, high) => (low, high),
        };
        Self { low, high, unit: held.quantity.unit, known_to: held.known_to, over: held.over }
    }

    fn exact(value: Exact, unit: Unit) -> Self {
        Self { low: value.clone(), high: value, unit, known_to: None, over: None }
    }

    pub fn finish(self) -> Held {
        let amount =
            if self.low == self.high { Amount::One(self.low) } else { Amount::Range(self.low, self.high) };
        Held {
            leans: None,
            quantity: Quantity { amount, unit: self.unit },
            known_to: self.known_to,
            limit: None,
            over: self.over,
        }
    }

    fn map(mut self, change: impl Fn(&Exact) -> Exact) -> Self {
        let (a, b) = (change(&self.low), change(&self.high));
        (self.low, self.high) = if a <= b { (a, b) } else { (b, a) };
        self
    }

    /// How many digits it is known to; `None` when exact.
    fn digits(&self) -> Option<i32> {
        let known = magnitude(self.known_to.as_ref()?)?;
        let first = magnitude(&self.high.abs().max(self.low.abs()))?;
        Some((first - known + 1).max(1))
    }

    /// In another unit; the place it is known to goes along as a power of ten.
    fn convert(&self, to: &Unit) -> Option<Value> {
        let to = if self.unit.is_difference() { to.clone().as_difference() } else { to.clone() };
        let (a, b) = (self.unit.convert(&self.low, &to)?, self.unit.convert(&self.high, &to)?);
        let factor = self.unit.factor() / to.factor();
        let known_to = self.known_to.as_ref().map(|known| {
            if factor.is_one() { known.clone() } else { ten_to(magnitude(&(known * &factor)).unwrap_or(0)) }
        });
        Some(Value {
            low: a.clone().min(b.clone()),
            high: a.max(b),
            unit: to,
            known_to,
            over: self.over.clone(),
        })
    }
}

/// The most bits of a number on either side of its fraction: more digits than any figure has.
pub const MOST_BITS: u64 = 20_000;

fn check_size(value: Value) -> Result<Value, String> {
    let is_huge = |number: &Exact| number.numer().bits().max(number.denom().bits()) > MOST_BITS;
    if is_huge(&value.low) || is_huge(&value.high) {
        return Err("The result has too many digits.".into());
    }
    Ok(value)
}

/// Works out a part of an expression.
pub(super) fn evaluate(node: &Node, named: &dyn Fn(&str) -> Held) -> Result<Value, WorkError> {
    let fail = |message: String| WorkError { range: node.range.clone(), message };
    match &node.what {
        What::Number(value, unit) => Ok(Value::exact(value.clone(), unit.clone())),
        What::Name(name) => Ok(Value::held(named(name))),
        What::Negated(inner) => Ok(evaluate(inner, named)?.map(|value| -value)),
        What::Pair(operator, a, b) => {
            let (a, b) = (evaluate(a, named)?, evaluate(b, named)?);
            match operator {
                Operator::Plus | Operator::Minus => add(&a, &b, *operator == Operator::Minus),
                Operator::Times => multiply(&a, &b),
                Operator::By => divide(&a, &b),
            }
            .and_then(check_size)
            .map_err(fail)
        }
        What::Power(inner, power) => raise(&evaluate(inner, named)?, *power).map_err(fail),
        What::Call(function, inner) => {
            let values = inner.iter().map(|node| evaluate(node, named)).collect::<Result<Vec<_>, _>>()?;
            call(*function, &values).map_err(fail)
        }
        What::In(inner, unit) => {
            let value = evaluate(inner, named)?;
            value.convert(unit).ok_or_else(|| {
                fail(format!("{} cannot be turned into {}.", capital(&called(&value.unit)), called(unit)))
            })
        }
    }
}

/// A unit as a message names it.
fn called(unit: &Unit) -> String {
    let words = unit.in_print(false);
    if words.is_empty() { "a bare number".into() } else { words }
}

fn add(a: &Value, b: &Value, take: bool) -> Result<Value, String> {
    let scale = |value: &Value| value.unit.temperature().is_some() && !value.unit.is_difference();
    let (a, b, difference) = match (scale(a), scale(b)) {
        (true, true) if take => {
            // the difference of two temperatures
            let b = b.convert(&a.unit).ok_or("These temperatures cannot be compared.")?;
            (a.clone(), b, true)
        }
        (true, true) => {
            return Err(
                "Two temperatures cannot be added; one must be a difference, such as “10 °F difference”."
                    .into(),
            );
        }
        (true, false) if b.unit.temperature().is_some() => {
            let b =
                b.convert(&a.unit.clone().as_difference()).ok_or("These temperatures cannot be added.")?;
            (a.clone(), b, false)
        }
        (false, true) if a.unit.temperature().is_some() && !take => {
            let a_as =
                a.convert(&b.unit.clone().as_difference()).ok_or("These temperatures cannot be added.")?;
            (b.clone(), a_as, false)
        }
        _ => {
            let joined = b.convert(&a.unit).filter(|_| comparable(&a.unit, &b.unit));
            let Some(joined) = joined else {
                let (left, right) = (called(&a.unit), called(&b.unit));
                return Err(if take {
                    format!("{} cannot be taken from {left}.", capital(&right))
                } else {
                    format!("{} cannot be added to {right}.", capital(&left))
                });
            };
            (a.clone(), joined, false)
        }
    };
    let known_to = match (&a.known_to, &b.known_to) {
        (Some(a), Some(b)) => Some(a.clone().max(b.clone())),
        (known, None) | (None, known) => known.clone(),
    };
    let (low, high) =
        if take { (&a.low - &b.high, &a.high - &b.low) } else { (&a.low + &b.low, &a.high + &b.high) };
    let unit = if difference { a.unit.clone().as_difference() } else { a.unit.clone() };
    Ok(Value { low, high, unit, known_to, over: a.over.clone().or(b.over) })
}

/// Counts add up whatever they count; a percent and a count do not.
fn comparable(a: &Unit, b: &Unit) -> bool {
    let percent = Unit::named("percent");
    (*a == percent) == (*b == percent)
}

fn multiply(a: &Value, b: &Value) -> Result<Value, String> {
    combine(a, b, 1)
}

fn divide(a: &Value, b: &Value) -> Result<Value, String> {
    if !b.low.is_positive() && !b.high.is_negative() {
        return Err("It divides by zero.".into());
    }
    combine(a, b, -1)
}

fn combine(a: &Value, b: &Value, power: i32) -> Result<Value, String> {
    for value in [a, b] {
        if value.unit.temperature().is_some()
            && !value.unit.is_difference()
            && !(a.unit.is_none() && power < 0)
        {
            let with_share = a.unit.is_count() && b.unit.is_count();
            if !with_share {
                return Err(format!(
                    "A temperature ({}) cannot be multiplied or divided; take a difference of two temperatures first.",
                    called(&value.unit)
                ));
            }
        }
    }
    let turned = |value: &Exact| if power < 0 { value.recip() } else { value.clone() };
    let (c, d) = (turned(&b.low), turned(&b.high));
    let corners = [&a.low * &c, &a.low * &d, &a.high * &c, &a.high * &d];
    let low = corners.iter().min().cloned().unwrap_or_else(Exact::zero);
    let high = corners.iter().max().cloned().unwrap_or_else(Exact::zero);
    // A factor written with one digit ("about 4 miles an hour") is a round number rather than a poor
    // one: two digits of a product are always kept.
    let digits = [a.digits(), b.digits()].into_iter().flatten().min().map(|digits| digits.max(2));
    let (unit, factor) = product_unit(&a.unit, &b.unit, power);
    let (low, high) = (low * &factor, high * &factor);
    let known_to = digits.map(|digits| {
        let first = magnitude(&high.abs().max(low.abs())).unwrap_or(0);
        ten_to(first - digits + 1)
    });
    let over = span_of(a, b, power).or_else(|| {
        let kept = a.over.clone().or_else(|| b.over.clone());
        kept.filter(|_| unit.split_period().is_none())
    });
    Ok(Value { low, high, unit, known_to, over })
}

/// The span of time that a rate was multiplied with, in seconds.
fn span_of(a: &Value, b: &Value, power: i32) -> Option<Exact> {
    let span = |span: &Value, rate: &Value| {
        let time = span.unit.single()?.known().filter(|known| known.dimension == "time")?;
        (power == 1 && rate.unit.split_period().is_some() && span.low == span.high)
            .then(|| &span.low * &time.factor)
    };
    span(b, a).or_else(|| span(a, b))
}

/// The unit of a product, and what the number must be multiplied with: units of one kind are brought
/// to one, percents and dozens are worked in, counted things give way to what is measured.
fn product_unit(a: &Unit, b: &Unit, power: i32) -> (Unit, Exact) {
    let mut unit = Unit::default();
    let mut factor = Exact::one();
    let turned = b.factors().iter().map(|(atom, n)| (atom.clone(), n * power));
    for (atom, n) in a.factors().iter().cloned().chain(turned) {
        let same_kind = unit.factors().iter().find(|(held, _)| {
            !atom.dimension().is_empty() && held.dimension() == atom.dimension() && *held != atom
        });
        match same_kind.map(|(held, _)| held.clone()) {
            Some(held) => {
                factor *= raised(&(Unit::of(atom).factor() / Unit::of(held.clone()).factor()), n);
                unit = unit.times(&Unit::of(held), n);
            }
            None => unit = unit.times(&Unit::of(atom), n),
        }
    }
    let measured = unit.factors().iter().any(|(atom, _)| !atom.dimension().is_empty());
    let nouns: Vec<_> =
        unit.factors().iter().filter(|(atom, _)| matches!(atom, Atom::Noun(_))).cloned().collect();
    let below = nouns.iter().any(|(_, n)| *n < 0);
    let above: Vec<_> = nouns.iter().filter(|(_, n)| *n > 0).map(|(atom, _)| atom.clone()).collect();
    // shares and dozens are numbers once they are multiplied
    for (atom, n) in unit.clone().factors() {
        let share = atom.dimension().is_empty() && !matches!(atom, Atom::Noun(_));
        if share && (unit.factors().len() > 1 || *n != 1) {
            factor *= raised(&Unit::of(atom.clone()).factor(), *n);
            unit = unit.times(&Unit::of(atom.clone()), -n);
        }
    }
    // "horses * 50 lb" is a mass; "horses * 50 lb per animal" too
    let keep = if measured || below { 0 } else { 1 };
    let drop = above.len().saturating_sub(keep);
    for atom in above.into_iter().take(drop) {
        let n = unit.factors().iter().find(|(held, _)| *held == atom).map_or(0, |(_, n)| *n);
        unit = unit.times(&Unit::of(atom), -n);
        if let Some((other, _)) = nouns.iter().find(|(_, n)| *n < 0) {
            unit = unit.times(&Unit::of(other.clone()), 1);
        }
    }
    if b.is_difference() || a.is_difference() {
        unit = unit.as_difference();
    }
    (unit, factor)
}

fn raised(value: &Exact, power: i32) -> Exact {
    let mut made = Exact::one();
    for _ in 0..power.unsigned_abs() {
        made *= value;
    }
    if power < 0 { made.recip() } else { made }
}

fn raise(value: &Value, power: i32) -> Result<Value, String> {
    let one = Value::exact(Exact::one(), Unit::default());
    let mut made = one.clone();
    for _ in 0..power.unsigned_abs() {
        made = check_size(multiply(&made, value)?)?;
    }
    if power < 0 { divide(&one, &made) } else { Ok(made) }
}

fn call(function: Function, values: &[Value]) -> Result<Value, String> {
    let first = &values[0];
    if function == Function::Round {
        let step = match values.get(1) {
            None => whole(1),
            Some(step) => {
                let step = if step.unit.is_none() { Some(step.clone()) } else { step.convert(&first.unit) };
                let step = step.ok_or_else(|| {
                    format!("{} cannot be rounded to a step of another kind.", capital(&called(&first.unit)))
                })?;
                step.low
            }
        };
        if !step.is_positive() {
            return Err("What it is rounded to must be more than zero.".into());
        }
        return Ok(first.clone().map(|value| round_to(value, &step, Half::Up)));
    }
    let mut best = first.clone();
    for other in &values[1..] {
        let Some(other) = other.convert(&first.unit).filter(|_| comparable(&first.unit, &other.unit)) else {
            return Err(format!(
                "{} cannot be compared with {}.",
                capital(&called(&first.unit)),
                called(&other.unit)
            ));
        };
        let takes = if function == Function::Min { other.high < best.high } else { other.high > best.high };
        if takes {
            best = other;
        }
    }
    Ok(best)
}
