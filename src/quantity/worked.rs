//! Expressions over named quantities: `horses * manure-daily * 365 days`, `(air - 32 °F) in °C`.
//!
//! ```text
//! expression  = sum [ "in" unit ]
//! sum         = product { ("+" | "-") product }
//! product     = power { ("*" | "×" | "of" | "/" | "÷") power }
//! power       = [ "-" ] single [ "^" whole number ]
//! single      = number [ unit ] | unit | name | "(" expression ")"
//!             | ("min" | "max" | "round") "(" expression { "," expression } ")"
//! ```
//!
//! A name is lower case with hyphens; a minus therefore needs spaces around it. A word that is a unit of
//! the table stands for one of it (`/ year`). What is counted has no dimension: `horses * 50 lb` is a
//! mass. A rate times a span of time is a total that remembers its span ([`Held::over`]), so that prose
//! may go on stating it by the year. Precision is carried: a result shows no more digits than the least
//! known of what it was worked from.

use super::forms::{self, Beside};
use super::number::{magnitude, round_to, ten_to, whole};
use super::tokens::{Kind, Text};
use super::unit::{Atom, Unit};
use super::{Amount, Exact, Half, Held, Quantity, measure, noun, numeral};
use num_traits::{One, Signed, Zero};
use std::ops::Range;

/// Why an expression cannot be worked, in a sentence, and where in its text.
#[derive(Clone, Debug, PartialEq)]
pub struct WorkError {
    pub range: Range<usize>,
    pub message: String,
}

/// An expression over named quantities: `horses * manure-daily * 365 days`.
#[derive(Clone, Debug)]
pub struct Worked {
    root: Node,
    names: Vec<(String, Range<usize>)>,
}

/// A part of the expression and where it stands in the text.
#[derive(Clone, Debug)]
struct Node {
    range: Range<usize>,
    what: What,
}

#[derive(Clone, Debug)]
enum What {
    Number(Exact, Unit),
    Name(String),
    Negated(Box<Node>),
    Pair(Operator, Box<Node>, Box<Node>),
    Power(Box<Node>, i32),
    Call(Function, Vec<Node>),
    In(Box<Node>, Unit),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Operator {
    Plus,
    Minus,
    Times,
    By,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Function {
    Min,
    Max,
    Round,
}

/// Deeper nesting than this is a slip of the pen.
const DEEPEST: usize = 64;

impl Worked {
    pub fn parse(text: &str) -> Result<Self, WorkError> {
        let tokens = Text::new(text);
        let mut parser = Parser { text: &tokens, at: 0, depth: 0, names: Vec::new() };
        if tokens.tokens.is_empty() {
            return Err(WorkError { range: 0..text.len(), message: "There is nothing to work out.".into() });
        }
        let root = parser.expression()?;
        if parser.at < tokens.tokens.len() {
            return Err(parser.unexpected());
        }
        Ok(Self { root, names: parser.names })
    }

    /// The names it needs, each once, with where it first stands.
    pub fn names(&self) -> Vec<(String, Range<usize>)> {
        self.names.clone()
    }

    /// Works it out; `named` gives the quantity of a name, which was checked to be known.
    /// What is known only to some place makes the result known only to a place.
    pub fn evaluate(&self, named: &dyn Fn(&str) -> Held) -> Result<Held, WorkError> {
        evaluate(&self.root, named).map(Value::finish)
    }
}

struct Parser<'t> {
    text: &'t Text<'t>,
    at: usize,
    depth: usize,
    names: Vec<(String, Range<usize>)>,
}

impl Parser<'_> {
    fn error(&self, tokens: Range<usize>, message: impl Into<String>) -> WorkError {
        WorkError { range: self.text.bytes(tokens), message: message.into() }
    }

    fn unexpected(&self) -> WorkError {
        let found = self.text.str(self.at);
        if found.is_empty() {
            return self.error(self.at..self.at, "The expression stops before it is whole.");
        }
        let message = format!("“{found}” cannot stand here; put +, -, * or / between two quantities.");
        self.error(self.at..self.at + 1, message)
    }

    fn node(&self, from: usize, what: What) -> Node {
        Node { range: self.text.bytes(from..self.at), what }
    }

    fn expression(&mut self) -> Result<Node, WorkError> {
        self.depth += 1;
        if self.depth > DEEPEST {
            return Err(self
                .error(self.at..self.at + 1, "The expression has too many parentheses inside one another."));
        }
        let from = self.at;
        let mut node = self.sum()?;
        while self.text.is(self.at, "in") {
            let rest = self.at + 1;
            let Some((unit, next)) = unit_at(self.text, rest) else {
                return Err(self.error(
                    rest..rest + 1,
                    format!("“{}” is no unit that is known here.", self.text.str(rest)),
                ));
            };
            self.at = next;
            node = self.node(from, What::In(Box::new(node), unit));
        }
        self.depth -= 1;
        Ok(node)
    }

    fn sum(&mut self) -> Result<Node, WorkError> {
        let from = self.at;
        let mut node = self.product()?;
        loop {
            let operator = match self.text.mark(self.at) {
                '+' => Operator::Plus,
                '-' | '−' | '–' => Operator::Minus,
                _ => return Ok(node),
            };
            self.at += 1;
            let other = self.product()?;
            node = self.node(from, What::Pair(operator, Box::new(node), Box::new(other)));
        }
    }

    fn product(&mut self) -> Result<Node, WorkError> {
        let from = self.at;
        let mut node = self.power()?;
        loop {
            let operator = match self.text.mark(self.at) {
                '*' | '×' | '·' => Operator::Times,
                '/' | '÷' => Operator::By,
                _ if self.text.is(self.at, "of") => Operator::Times,
                _ => return Ok(node),
            };
            self.at += 1;
            let other = self.power()?;
            node = self.node(from, What::Pair(operator, Box::new(node), Box::new(other)));
        }
    }

    fn power(&mut self) -> Result<Node, WorkError> {
        let from = self.at;
        if matches!(self.text.mark(from), '-' | '−') {
            self.at += 1;
            self.depth += 1;
            if self.depth > DEEPEST {
                return Err(self.unexpected());
            }
            let inner = self.power()?;
            self.depth -= 1;
            return Ok(self.node(from, What::Negated(Box::new(inner))));
        }
        let node = self.single()?;
        if self.text.mark(self.at) != '^' {
            return Ok(node);
        }
        let sign = matches!(self.text.mark(self.at + 1), '-' | '−');
        let digits = self.at + 1 + usize::from(sign);
        let power = self.text.str(digits).parse::<i32>().ok().filter(|power| (0..=12).contains(power));
        let Some(power) = power else {
            return Err(self.error(digits..digits + 1, "A power must be a whole number up to 12."));
        };
        self.at = digits + 1;
        Ok(self.node(from, What::Power(Box::new(node), if sign { -power } else { power })))
    }

    fn single(&mut self) -> Result<Node, WorkError> {
        let (from, text) = (self.at, self.text);
        if text.mark(from) == '(' {
            self.at += 1;
            let inner = self.expression()?;
            self.close()?;
            return Ok(inner);
        }
        if text.mark(from + 1) == '(' && text.kind(from) == Some(Kind::Word) {
            return self.call();
        }
        if text.kind(from) == Some(Kind::Digits) || text.mark(from) == '$' {
            return self.number();
        }
        if text.kind(from) != Some(Kind::Word) {
            return Err(self.unexpected());
        }
        let hyphen = text.is_hyphen(from + 1) && text.glued(from + 1) && text.glued(from + 2);
        if !hyphen
            && let Some((unit, next)) = unit_at(text, from).filter(|(unit, _)| unit.counted().is_none())
        {
            self.at = next;
            return Ok(self.node(from, What::Number(Exact::one(), unit)));
        }
        self.at += 1;
        while text.is_hyphen(self.at)
            && text.glued(self.at)
            && text.glued(self.at + 1)
            && matches!(text.kind(self.at + 1), Some(Kind::Word | Kind::Digits))
        {
            self.at += 2;
        }
        let range = text.bytes(from..self.at);
        let name = text.text[range.clone()].to_owned();
        if !self.names.iter().any(|(known, _)| *known == name) {
            self.names.push((name.clone(), range));
        }
        Ok(self.node(from, What::Name(name)))
    }

    fn close(&mut self) -> Result<(), WorkError> {
        if self.text.mark(self.at) != ')' {
            let message = "A parenthesis is opened and not closed.";
            return Err(if self.at < self.text.tokens.len() {
                self.unexpected()
            } else {
                self.error(self.at..self.at, message)
            });
        }
        self.at += 1;
        Ok(())
    }

    fn call(&mut self) -> Result<Node, WorkError> {
        let from = self.at;
        let function = match self.text.str(from) {
            "min" => Function::Min,
            "max" => Function::Max,
            "round" => Function::Round,
            other => {
                let message =
                    format!("“{other}” is nothing that can be worked out; there are min, max and round.");
                return Err(self.error(from..from + 1, message));
            }
        };
        self.at += 2;
        let mut inner = vec![self.expression()?];
        while self.text.mark(self.at) == ',' {
            self.at += 1;
            inner.push(self.expression()?);
        }
        self.close()?;
        if function == Function::Round && inner.len() > 2 {
            return Err(self.error(
                from..self.at,
                "round takes a quantity, and what to round it to: round(load, 10 lb).",
            ));
        }
        Ok(self.node(from, What::Call(function, inner)))
    }

    /// "in" before a unit asks for a conversion; elsewhere it is the inch.
    fn turns_into(&self, at: usize) -> bool {
        self.text.is(at, "in") && unit_at(self.text, at + 1).is_some()
    }

    fn number(&mut self) -> Result<Node, WorkError> {
        let (from, text) = (self.at, self.text);
        let money = text.mark(from) == '$';
        let start = from + usize::from(money);
        // a slash between two numbers divides here
        let slash = text.mark(start + 1) == '/' && text.kind(start) == Some(Kind::Digits);
        let (value, next) = if slash {
            (super::number::parse(&text.str(start).replace(',', "")), start + 1)
        } else {
            let numeral = numeral::read(text, start, numeral::Setting::default());
            (
                numeral.as_ref().map(|numeral| numeral.value.clone()),
                numeral.map_or(start, |numeral| numeral.next),
            )
        };
        let Some(value) = value else { return Err(self.unexpected()) };
        self.at = next;
        let unit = if money {
            Unit::named("dollar")
        } else if text.kind(next) == Some(Kind::Word) && !text.is(next, "of") && !self.turns_into(next)
            || matches!(text.mark(next), '%' | '°')
        {
            let Some((unit, next)) = unit_at(text, next) else { return Err(self.unexpected()) };
            self.at = next;
            unit
        } else {
            Unit::default()
        };
        Ok(self.node(from, What::Number(value, unit)))
    }
}

/// A unit at a token: one of the table, or a noun in the plural.
fn unit_at(text: &Text, at: usize) -> Option<(Unit, usize)> {
    if let Some((atom, next)) = forms::simple(text, at, Beside::NAME) {
        return Some(measure::rates(text, Unit::of(atom), next));
    }
    let word = text.word(at).to_lowercase();
    let hyphen = text.is_hyphen(at + 1) && text.glued(at + 1);
    (noun::is_plural(&word) && !hyphen)
        .then(|| measure::rates(text, Unit::noun(&noun::singular(&word)), at + 1))
}

/// A quantity on its way: an interval, its unit, and how well it is known.
#[derive(Clone, Debug)]
struct Value {
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

    fn finish(self) -> Held {
        let amount =
            if self.low == self.high { Amount::One(self.low) } else { Amount::Range(self.low, self.high) };
        Held {
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

fn evaluate(node: &Node, named: &dyn Fn(&str) -> Held) -> Result<Value, WorkError> {
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

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
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
        made = multiply(&made, value)?;
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

#[cfg(test)]
mod tests {
    use super::super::{Limit, Verdict, agree, read_one, say};
    use super::*;

    fn named(name: &str) -> Held {
        let value = match name {
            "horses" => "1,200 horses",
            "animals" => "250,000 animals",
            "manure-daily" => "50 lb a day",
            "manure-each" => "50 lb per horse per day",
            "manure-about" => return Held::stated(&read_one("about 50 lb a day").unwrap(), None),
            "waste" => "150,000 lb a day",
            "air" => "77 °F",
            "asphalt" => "125 °F",
            "lead" => "6 ft",
            "water" => "5 to 10 gallons a day",
            "load-share" => "20 percent",
            "horse" => "1,000 lb",
            other => panic!("{other}"),
        };
        Held::stated(&read_one(value).unwrap(), None)
    }

    fn worked(text: &str) -> Held {
        Worked::parse(text)
            .unwrap_or_else(|error| panic!("{error:?}"))
            .evaluate(&named)
            .unwrap_or_else(|error| panic!("{error:?}"))
    }

    fn said(text: &str) -> String {
        say(&worked(text), None).unwrap()
    }

    fn message(text: &str) -> String {
        match Worked::parse(text) {
            Err(error) => error.message,
            Ok(worked) => worked.evaluate(&named).unwrap_err().message,
        }
    }

    #[test]
    fn totals_come_out_however_the_rate_is_written() {
        for text in ["horses * manure-daily * 365 days", "horses * manure-each * 365 days"] {
            let held = worked(text);
            assert_eq!(held.quantity.unit.name(), "pound", "{text}");
            let wording = read_one("about 22 million pounds a year").unwrap();
            assert_eq!(agree(&wording, &held), Verdict::Agrees, "{text}");
            assert_ne!(agree(&read_one("about 22 million pounds a day").unwrap(), &held), Verdict::Agrees);
        }
        assert_eq!(said("waste * 365 days / year"), "54.75 million pounds a year");
        assert_eq!(said("waste / animals"), "0.6 pound per animal a day");
        assert_eq!(said("3 horses * 10 gal * 2"), "60 gallons");
        assert_eq!(said("load-share of horse"), "200 pounds");
        assert_eq!(said("load-share * horse"), "200 pounds");
    }

    #[test]
    fn precision_is_carried() {
        let held = worked("horses * manure-about * 365 days");
        assert_eq!(held.known_to, Some(whole(1_000_000)));
        let fine = agree(&read_one("21.9 million pounds").unwrap(), &held);
        assert_eq!(fine, Verdict::TooFine { expected: "22 million pounds".into() });
        assert_eq!(agree(&read_one("about 22 million pounds a year").unwrap(), &held), Verdict::Agrees);
        assert_eq!(say(&held, None).unwrap(), "about 22 million pounds");
    }

    #[test]
    fn works_with_parentheses_powers_functions_and_conversion() {
        assert_eq!(said("(2 + 3) * 4"), "20");
        assert_eq!(said("2 + 3 * 4 - 1"), "13");
        assert_eq!(said("2^3 ÷ 4 × 5"), "10");
        assert_eq!(said("lead in in"), "72 inches");
        assert_eq!(said("10 mi in km"), "16 km");
        assert_eq!(said("asphalt - air"), "48 °F");
        assert_eq!(said("max(2 ft, 30 in)"), "2.5 feet");
        assert_eq!(said("round(waste / 7, 1000 lb/day)"), "21,000 pounds a day");
        assert_eq!(said("water * 3"), "15 to 30 gallons a day");
        assert_eq!(said("30 miles / 2 hours"), "15 miles an hour");
        assert_eq!(said("6 ft * 2 yd"), "36 square feet");
        assert!(agree(&read_one("27 °C hotter").unwrap(), &worked("asphalt - air")) == Verdict::Agrees);
    }

    #[test]
    fn mistakes_are_told_in_words() {
        assert_eq!(message("manure-daily + lead"), "Pounds a day cannot be added to feet.");
        assert_eq!(message("lead - horse"), "Pounds cannot be taken from feet.");
        assert_eq!(message("horse in ft"), "Pounds cannot be turned into feet.");
        assert_eq!(message("horse / 0"), "It divides by zero.");
        assert_eq!(
            message("horses horses"),
            "“horses” cannot stand here; put +, -, * or / between two quantities."
        );
        assert_eq!(message("(2 + 3"), "A parenthesis is opened and not closed.");
        assert_eq!(message("2 +"), "The expression stops before it is whole.");
        assert!(message("air * 2 lb").starts_with("A temperature"));
        assert_eq!(Worked::parse("lead + lead").unwrap().names(), vec![("lead".to_owned(), 0..4)]);
    }

    #[test]
    fn limits_of_inputs_are_not_handed_on() {
        let held = Held::stated(&read_one("at most 6 ft").unwrap(), None);
        assert_eq!(held.limit, Some(Limit::AtMost));
        assert_eq!(Worked::parse("lead * 2").unwrap().evaluate(&|_| held.clone()).unwrap().limit, None);
    }
}
