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
use super::own::{self, OwnUnits};
use super::tokens::{Kind, Text};
use super::unit::Unit;
use super::{Exact, Held, evaluate, measure, noun, numeral};
use num_traits::One;
use std::ops::Range;
use std::sync::Arc;

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
    /// Where a unit stands by itself, for one of it.
    units: Vec<Range<usize>>,
}

/// A part of the expression and where it stands in the text.
#[derive(Clone, Debug)]
pub(super) struct Node {
    pub range: Range<usize>,
    pub what: What,
}

#[derive(Clone, Debug)]
pub(super) enum What {
    Number(Exact, Unit),
    Name(String),
    Negated(Box<Node>),
    Pair(Operator, Box<Node>, Box<Node>),
    Power(Box<Node>, i32),
    Call(Function, Vec<Node>),
    In(Box<Node>, Unit),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Operator {
    Plus,
    Minus,
    Times,
    By,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Function {
    Min,
    Max,
    Round,
}

/// Deeper nesting than this is a slip of the pen.
const DEEPEST: usize = 64;

/// More parts than this are no expression that a person could check.
pub const MOST_PARTS: usize = 400;

impl Worked {
    /// Reads an expression.
    ///
    /// # Errors
    /// What cannot be read, and where it stands.
    pub fn parse(text: &str) -> Result<Self, WorkError> {
        Self::parse_by(text, &own::NONE)
    }

    /// The same in a program that has units of its own.
    pub(super) fn parse_by(text: &str, units: &Arc<OwnUnits>) -> Result<Self, WorkError> {
        let tokens = Text::new(text, units);
        if tokens.tokens.len() > MOST_PARTS {
            let range = tokens.bytes(MOST_PARTS..tokens.tokens.len());
            let message = format!("It has more than {MOST_PARTS} parts; work it out in steps, a fact each.");
            return Err(WorkError { range, message });
        }
        let mut parser = Parser { text: &tokens, at: 0, depth: 0, names: Vec::new(), units: Vec::new() };
        if tokens.tokens.is_empty() {
            return Err(WorkError { range: 0..text.len(), message: "There is nothing to work out.".into() });
        }
        let root = parser.expression()?;
        if parser.at < tokens.tokens.len() {
            return Err(parser.unexpected());
        }
        Ok(Self { root, names: parser.names, units: parser.units })
    }

    /// The names it needs, each once, with where it first stands.
    pub fn names(&self) -> Vec<(String, Range<usize>)> {
        self.names.clone()
    }

    /// Where units stand by themselves, in the order of the text: a fact of such a name cannot be meant by it.
    pub fn bare_units(&self) -> &[Range<usize>] {
        &self.units
    }

    /// Works it out; `named` gives the quantity of a name, which was checked to be known.
    /// What is known only to some place makes the result known only to a place.
    pub fn evaluate(&self, named: &dyn Fn(&str) -> Held) -> Result<Held, WorkError> {
        evaluate::evaluate(&self.root, named).map(|value| value.finish())
    }
}

struct Parser<'t> {
    text: &'t Text<'t>,
    at: usize,
    depth: usize,
    names: Vec<(String, Range<usize>)>,
    units: Vec<Range<usize>>,
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
                    format!("packstring does not know the unit “{}”.", self.text.str(rest)),
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
        let name_end = name_end(text, from);
        let hyphen = text.is_hyphen(from + 1) && name_end > from + 1;
        // "m2" is a unit, "zone2" a name
        if !hyphen
            && let Some((unit, next)) = unit_at(text, from).filter(|(unit, _)| unit.counted().is_none())
            && next >= name_end
        {
            self.at = next;
            let words = (from..next).filter(|at| text.kind(*at) == Some(Kind::Word));
            self.units.extend(words.map(|at| text.bytes(at..self::name_end(text, at))));
            return Ok(self.node(from, What::Number(Exact::one(), unit)));
        }
        self.at = name_end;
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
                let message = format!("packstring does not know “{other}”. You can use min, max and round.");
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

/// Where a fact's name ends that begins with a word: `lead`, `camp-2`, `zone2`, `string_water`.
fn name_end(text: &Text, from: usize) -> usize {
    let is_part = |at: usize| {
        text.glued(at)
            && (text.kind(at) == Some(Kind::Word) || text.str(at).bytes().all(|byte| byte.is_ascii_digit()))
    };
    let mut end = from + 1;
    loop {
        let joined = text.is_hyphen(end) || text.mark(end) == '_';
        end += match joined && text.glued(end) {
            true if is_part(end + 1) => 2,
            false if is_part(end) => 1,
            _ => return end,
        };
    }
}

/// A unit that is per one of what stands below its line.
fn per_one(rates: measure::Rates) -> Option<(Unit, usize)> {
    rates.each.is_one().then_some((rates.unit, rates.next))
}

/// A unit at a token: one of the table, or a noun in the plural.
fn unit_at(text: &Text, at: usize) -> Option<(Unit, usize)> {
    if let Some((atom, next)) = forms::simple(text, at, Beside::NAME) {
        return per_one(measure::rates(text, Unit::of(atom), next));
    }
    let word = text.word(at).to_lowercase();
    let hyphen = text.is_hyphen(at + 1) && text.glued(at + 1);
    (noun::is_plural(&word) && !hyphen)
        .then(|| per_one(measure::rates(text, Unit::noun(&noun::singular(&word)), at + 1)))
        .flatten()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::number::whole;
    use crate::quantity::{Agreement, Limit, agree, read_one, say};

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
            "zone2" | "zones_3a" | "m4" => "10 ft",
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
            assert_eq!(agree(&wording, &held), Agreement::Agrees, "{text}");
            assert_ne!(agree(&read_one("about 22 million pounds a day").unwrap(), &held), Agreement::Agrees);
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
        assert_eq!(fine, Agreement::TooFine { expected: "22 million pounds".into() });
        assert_eq!(agree(&read_one("about 22 million pounds a year").unwrap(), &held), Agreement::Agrees);
        assert_eq!(say(&held, None).unwrap(), "about 22 million pounds");
    }

    #[test]
    fn works_with_parentheses_powers_functions_and_conversion() {
        assert_eq!(said("(2 + 3) * 4"), "20");
        assert_eq!(said("2 + 3 * 4 - 1"), "13");
        assert_eq!(said("zone2 + zones_3a + 2*m4"), "40 feet");
        assert_eq!(said("2 * 3 m2 + m2"), "7 m²");
        assert_eq!(said("2^3 ÷ 4 × 5"), "10");
        assert_eq!(said("lead in in"), "72 inches");
        assert_eq!(said("10 mi in km"), "16 km");
        assert_eq!(said("asphalt - air"), "48 °F");
        assert_eq!(said("max(2 ft, 30 in)"), "2.5 feet");
        assert_eq!(said("round(waste / 7, 1000 lb/day)"), "21,000 pounds a day");
        assert_eq!(said("water * 3"), "15 to 30 gallons a day");
        assert_eq!(said("30 miles / 2 hours"), "15 miles an hour");
        assert_eq!(said("6 ft * 2 yd"), "36 square feet");
        assert!(agree(&read_one("27 °C hotter").unwrap(), &worked("asphalt - air")) == Agreement::Agrees);
    }

    #[test]
    fn units_that_stand_by_themselves_are_given() {
        let bare = |text: &str| -> Vec<String> {
            let worked = Worked::parse(text).unwrap();
            worked.bare_units().iter().map(|range| text[range.clone()].to_owned()).collect()
        };
        assert_eq!(bare("2 * m2 + m3"), ["m2", "m3"]);
        assert_eq!(bare("waste * 365 days / year"), ["year"]);
        assert_eq!(bare("2 m2 * lead"), Vec::<String>::new());
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
