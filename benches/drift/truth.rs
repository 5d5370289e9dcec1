//! Whether a statement is true of a fact, decided without packstring: a small reading of the words of a
//! link and an exact arithmetic of its own. What it cannot read is not planted.
//!
//! The rules, worked on exact fractions:
//!
//! - The fact is converted to the statement's unit by the factors below (NIST Handbook 44, Appendix C;
//!   each is exact by definition).
//! - A statement is true if its number is the fact, or what the fact rounds to at the last digit that is
//!   written, halves either way. Said with "about", or in another unit than the fact's, it may be rounded
//!   at its last digit that is not zero, if that is out by no more than one part in fifty.
//! - "At least" is false of a fact that is "at most", and the other way.
//! - More digits than the fact is known to are false.
//! - Of a dual statement both halves must be true, and of each other.

use num_rational::BigRational;
use num_traits::{Signed, Zero};
use packstring::quantity::{Amount, Held, Limit};

pub type Exact = BigRational;

/// A unit that this bench knows: singular, plural, symbol, what it measures, how many of the kind's base
/// unit it is as numerator and denominator.
pub struct Unit {
    pub one: &'static str,
    pub many: &'static str,
    pub symbol: &'static str,
    pub kind: &'static str,
    factor: (i64, i64),
}

const fn unit(
    one: &'static str,
    many: &'static str,
    symbol: &'static str,
    kind: &'static str,
    factor: (i64, i64),
) -> Unit {
    Unit { one, many, symbol, kind, factor }
}

/// Longer names first, so that "fluid ounces" is not taken for ounces.
pub static UNITS: [Unit; 23] = [
    unit("fluid ounce", "fluid ounces", "fl oz", "volume", (3_785_411_784, 128_000_000_000)),
    unit("cubic foot", "cubic feet", "cu ft", "volume", (28_316_846_592, 1_000_000_000)),
    unit("foot", "feet", "ft", "length", (3048, 10_000)),
    unit("inch", "inches", "in", "length", (254, 10_000)),
    unit("yard", "yards", "yd", "length", (9144, 10_000)),
    unit("mile", "miles", "mi", "length", (1_609_344, 1000)),
    unit("kilometer", "kilometers", "km", "length", (1000, 1)),
    unit("centimeter", "centimeters", "cm", "length", (1, 100)),
    unit("meter", "meters", "m", "length", (1, 1)),
    unit("pound", "pounds", "lb", "weight", (45_359_237, 100_000_000)),
    unit("ounce", "ounces", "oz", "weight", (45_359_237, 1_600_000_000)),
    unit("kilogram", "kilograms", "kg", "weight", (1, 1)),
    unit("gallon", "gallons", "gal", "volume", (3_785_411_784, 1_000_000_000)),
    unit("quart", "quarts", "qt", "volume", (3_785_411_784, 4_000_000_000)),
    unit("liter", "liters", "L", "volume", (1, 1)),
    unit("second", "seconds", "s", "time", (1, 1)),
    unit("minute", "minutes", "min", "time", (60, 1)),
    unit("hour", "hours", "h", "time", (3600, 1)),
    unit("day", "days", "d", "time", (86_400, 1)),
    unit("week", "weeks", "wk", "time", (604_800, 1)),
    unit("percent", "percent", "%", "share", (1, 1)),
    unit("°F", "°F", "°F", "temperature", (5, 9)),
    unit("°C", "°C", "°C", "temperature", (1, 1)),
];

pub fn ratio(n: i64, d: i64) -> Exact {
    Exact::new(n.into(), d.into())
}

impl Unit {
    /// A value of this unit in another of its kind.
    fn convert(&self, value: &Exact, to: &Self) -> Exact {
        let fahrenheit = |unit: &Self| if unit.one == "°F" { ratio(32, 1) } else { ratio(0, 1) };
        let base = (value - fahrenheit(self)) * ratio(self.factor.0, self.factor.1);
        base / ratio(to.factor.0, to.factor.1) + fahrenheit(to)
    }

    pub fn is(&self, other: &Self) -> bool {
        self.one == other.one
    }
}

/// A number in a text.
#[derive(Clone, Debug, PartialEq)]
pub struct Number {
    /// Bytes of the text.
    pub range: std::ops::Range<usize>,
    pub value: Exact,
    /// The place of the last digit written, and of the last that is not zero.
    pub written: Exact,
    pub shown: Exact,
}

/// What the words of a link state.
pub struct Statement {
    pub numbers: Vec<Number>,
    pub unit: Option<&'static Unit>,
    /// Where the unit's words stand.
    pub unit_range: std::ops::Range<usize>,
    pub about: bool,
    pub limit: Option<Limit>,
}

/// Words that set a limit, and those that set the other one.
pub const LIMITS: [(&str, &str, Limit); 8] = [
    ("no more than", "no less than", Limit::AtMost),
    ("no less than", "no more than", Limit::AtLeast),
    ("no closer than", "no farther than", Limit::AtLeast),
    ("at most", "at least", Limit::AtMost),
    ("at least", "at most", Limit::AtLeast),
    ("up to", "at least", Limit::AtMost),
    ("within", "at least", Limit::AtMost),
    ("no farther than", "no closer than", Limit::AtMost),
];

const SMALL: [&str; 20] = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
];
const TENS: [&str; 8] = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"];

/// A number word below a hundred.
pub fn number_word(word: &str) -> Option<i64> {
    let small = SMALL.iter().position(|known| *known == word).map(|n| n as i64);
    small.or_else(|| TENS.iter().position(|known| *known == word).map(|n| (n as i64 + 2) * 10))
}

/// The word for a number below twenty, or of whole tens below a hundred.
pub fn word_for(n: i64) -> Option<&'static str> {
    match n {
        0..20 => Some(SMALL[n as usize]),
        20..100 if n % 10 == 0 => Some(TENS[n as usize / 10 - 2]),
        _ => None,
    }
}

/// Reads a half of a statement: `at least 200 feet`, `about two and a half hours`.
pub fn read(text: &str) -> Statement {
    let lower = text.to_lowercase();
    let limit = LIMITS.iter().find(|(words, ..)| lower.starts_with(words)).map(|(.., limit)| *limit);
    let about = ["about ", "around ", "roughly "].iter().any(|word| lower.contains(word));
    let numbers = numbers(text);
    let after = numbers.last().map_or(0, |number| number.range.end);
    let (unit, unit_range) = unit_after(text, after);
    Statement { numbers, unit, unit_range, about, limit }
}

fn unit_after(text: &str, after: usize) -> (Option<&'static Unit>, std::ops::Range<usize>) {
    let rest = &text[after..];
    let start = after + (rest.len() - rest.trim_start_matches([' ', '\u{a0}', '-']).len());
    for unit in &UNITS {
        for form in [unit.many, unit.one, unit.symbol] {
            let ends = |tail: &str| !tail.starts_with(char::is_alphanumeric);
            if text[start..].strip_prefix(form).is_some_and(ends) {
                return (Some(unit), start..start + form.len());
            }
        }
    }
    (None, start..start)
}

/// Every number of a short text, in digits or in words.
pub fn numbers(text: &str) -> Vec<Number> {
    let mut found = Vec::new();
    let mut at = 0;
    while at < text.len() {
        let free = text[..at].chars().next_back().is_none_or(|before| !before.is_alphanumeric());
        match (free).then(|| in_digits(text, at).or_else(|| in_words(text, at))).flatten() {
            Some(number) => {
                at = number.range.end;
                found.push(number);
            }
            None => at += text[at..].chars().next().map_or(1, char::len_utf8),
        }
    }
    found
}

fn in_digits(text: &str, at: usize) -> Option<Number> {
    let sign = ["−", "-"].into_iter().find(|sign| text[at..].starts_with(sign)).map_or(0, str::len);
    let sign = if at == 0 || text[..at].ends_with(' ') { sign } else { 0 };
    let start = at + sign;
    let bytes = text.as_bytes();
    let digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
    if !digit(start) {
        return None;
    }
    let mut end = start;
    while digit(end) || (matches!(bytes.get(end), Some(b',' | b'.')) && digit(end + 1)) {
        end += 1;
    }
    let figures: String = text[start..end].replace(',', "");
    let (head, tail) = figures.split_once('.').unwrap_or((&figures, ""));
    let all: i64 = format!("{head}{tail}").parse().ok()?;
    let written = ratio(1, 10_i64.checked_pow(tail.len() as u32)?);
    let value = ratio(all, 1) * &written * ratio(if sign > 0 { -1 } else { 1 }, 1);
    let shown = if tail.is_empty() { last_place(&value) } else { written.clone() };
    Some(scaled(text, Number { range: at..end, value, written, shown }))
}

/// The place of the last digit of a whole number that is not zero.
fn last_place(value: &Exact) -> Exact {
    let mut place = ratio(1, 1);
    while !value.is_zero() && (value / (&place * ratio(10, 1))).is_integer() {
        place *= ratio(10, 1);
    }
    place
}

fn in_words(text: &str, at: usize) -> Option<Number> {
    let (mut total, mut group, mut end) = (0, 0, at);
    let mut half = false;
    loop {
        let joint = if end == at { 0 } else { usize::from(text[end..].starts_with([' ', '-'])) };
        let start = end + joint;
        let word = word_at(text, start);
        let (word, start) = if word == "and" && end > at {
            let next = start + 4;
            if text.get(next..).is_some_and(|rest| rest.starts_with("a half")) {
                (half, end) = (true, next + 6);
                break;
            }
            (word_at(text, next.min(text.len())), next)
        } else {
            (word, start)
        };
        match (number_word(&word), word.as_str()) {
            (Some(n), _) if group % 100 == 0 || (group % 10 == 0 && group % 100 >= 20 && n < 10) => {
                group += n
            }
            (None, "hundred") if group > 0 => group *= 100,
            (None, "thousand") if group > 0 => (total, group) = (total + group * 1000, 0),
            (None, "half") if end == at => {
                (half, end) = (true, start + 4);
                break;
            }
            _ => break,
        }
        end = start + word.len();
    }
    if end == at {
        return None;
    }
    let part = if half { ratio(1, 2) } else { ratio(0, 1) };
    let value = ratio(total + group, 1) + part;
    let (written, shown) = if half { (ratio(1, 2), ratio(1, 2)) } else { (ratio(1, 1), last_place(&value)) };
    Some(scaled(text, Number { range: at..end, value, written, shown }))
}

fn word_at(text: &str, at: usize) -> String {
    text[at..].chars().take_while(|letter| letter.is_alphabetic()).collect::<String>().to_lowercase()
}

/// `22 million`
fn scaled(text: &str, mut number: Number) -> Number {
    for (word, scale) in [(" thousand", 1000), (" million", 1_000_000), (" billion", 1_000_000_000)] {
        if text[number.range.end..].starts_with(word) {
            for part in [&mut number.value, &mut number.written, &mut number.shown] {
                *part *= ratio(scale, 1);
            }
            number.range.end += word.len();
        }
    }
    number
}

/// What a statement is held against.
pub enum Truth<'f> {
    One(Fact<'f>),
    /// The rows of a series, each cell with its column's unit.
    Series(Vec<Vec<(Exact, Option<&'static Unit>)>>),
}

impl Truth<'_> {
    /// Whether a statement is true; `None` where that cannot be told.
    pub fn holds(&self, text: &str) -> Option<bool> {
        let rows = match self {
            Self::One(fact) => return fact.holds(text),
            Self::Series(rows) => rows,
        };
        let stated = read(text);
        let unit = stated.unit?;
        let cell_is = |cell: &(Exact, Option<&'static Unit>), number: &Number| {
            let (value, own) = cell;
            own.is_some_and(|own| {
                own.kind == unit.kind
                    && fits(number, &own.convert(value, unit), !own.is(unit), &Exact::zero())
            })
        };
        let in_row =
            |row: &Vec<_>| stated.numbers.iter().all(|number| row.iter().any(|cell| cell_is(cell, number)));
        (!stated.numbers.is_empty()).then(|| rows.iter().any(in_row))
    }
}

/// The unit that a text begins with.
pub fn unit_of(text: &str) -> Option<&'static Unit> {
    let text = match text {
        "degree Fahrenheit" => "°F",
        "degree Celsius" => "°C",
        text => text,
    };
    unit_after(text, 0).0
}

/// A fact's one value.
pub struct Fact<'f> {
    pub held: &'f Held,
    pub limit: Option<Limit>,
    /// The fact's unit, where this bench knows it.
    pub unit: Option<&'static Unit>,
}

impl<'f> Fact<'f> {
    pub fn new(held: &'f Held, limit: Option<Limit>) -> Self {
        let name = held.quantity.unit.name();
        Self { held, limit: limit.or(held.limit), unit: unit_of(&name) }
    }

    /// Of a dual statement, whether both halves are true, and of each other.
    fn holds(&self, text: &str) -> Option<bool> {
        let (first, second) = match text.split_once('(') {
            Some((first, second)) => (read(first.trim_end()), Some(read(second.trim_end_matches(')')))),
            None => (read(text), None),
        };
        let holds = self.half_holds(&first)?;
        let Some(second) = second else { return Some(holds) };
        Some(holds && self.half_holds(&second)? && halves_hold(&first, &second)?)
    }

    fn half_holds(&self, stated: &Statement) -> Option<bool> {
        let turned = matches!(
            (self.limit, stated.limit),
            (Some(Limit::AtMost), Some(Limit::AtLeast)) | (Some(Limit::AtLeast), Some(Limit::AtMost))
        );
        if turned || stated.numbers.is_empty() {
            return (!stated.numbers.is_empty()).then_some(false);
        }
        if let (Some(own), Some(unit)) = (self.unit, stated.unit)
            && own.kind != unit.kind
        {
            return Some(false);
        }
        if self.unit.is_none() != stated.unit.is_none() && stated.unit.is_some() {
            return Some(false);
        }
        let facts: Vec<&Exact> = match &self.held.quantity.amount {
            Amount::One(value) => vec![value],
            Amount::Range(low, high) => vec![low, high],
        };
        let facts = match (facts.len(), stated.numbers.len(), stated.limit) {
            (2, 1, Some(Limit::AtMost)) => vec![facts[1]],
            (2, 1, Some(Limit::AtLeast)) => vec![facts[0]],
            (many, numbers, _) if many == numbers => facts,
            _ => return None,
        };
        let converted = match (self.unit, stated.unit) {
            (Some(own), Some(unit)) => !own.is(unit),
            _ => false,
        };
        let known = self.held.known_to.clone().unwrap_or_else(Exact::zero);
        Some(facts.iter().zip(&stated.numbers).all(|(fact, number)| {
            let (fact, known) = match (self.unit, stated.unit) {
                (Some(own), Some(unit)) if converted => {
                    let step = own.convert(&known, unit) - own.convert(&Exact::zero(), unit);
                    (own.convert(fact, unit), step / ratio(5, 1))
                }
                _ => ((*fact).clone(), known.clone()),
            };
            number.shown >= known && fits(number, &fact, stated.about || converted, &known)
        }))
    }
}

fn fits(number: &Number, fact: &Exact, loose: bool, known: &Exact) -> bool {
    let out = (&number.value - fact).abs();
    let rounds = |place: &Exact| out <= place / ratio(2, 1);
    let whole_digit = !(number.written.clone() * ratio(2, 1)).is_integer() || number.written >= ratio(1, 1);
    let as_known = !known.is_zero() && out <= known / ratio(2, 1) && number.shown >= *known;
    out.is_zero()
        || (whole_digit && rounds(&number.written))
        || (as_known && number.written <= *known)
        || (loose && rounds(&number.shown) && &out * ratio(50, 1) <= fact.abs())
}

fn halves_hold(first: &Statement, second: &Statement) -> Option<bool> {
    let (a, b) = (first.unit?, second.unit?);
    if a.kind != b.kind {
        return Some(false);
    }
    let none = Exact::zero();
    Some(
        first.numbers.len() == second.numbers.len()
            && first.numbers.iter().zip(&second.numbers).all(|(one, other)| {
                let forward = fits(other, &a.convert(&one.value, b), true, &none);
                forward || fits(one, &b.convert(&other.value, a), false, &none)
            }),
    )
}
