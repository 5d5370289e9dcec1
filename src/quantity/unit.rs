//! Units: the table of known ones, and products of their powers.
//!
//! The table is data, `units.csv`: name, plural, symbol, how it is printed, dimension, exact factor to
//! the coherent unit of that dimension (meter, kilogram, second, dollar …), further forms met in prose,
//! and where the factor comes from. Things that are counted (camps, horses) are units of no dimension,
//! as NIST SP 811 section 7.10 has it: they are kept for the reader's eye, not for the arithmetic.

use super::Exact;
use super::number::{parse, ratio};
use num_traits::{One, Zero};
use std::collections::{BTreeMap, HashMap, HashSet};
use std::sync::{Arc, LazyLock};

/// A row of the table, or a unit of a program's own.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Known {
    pub(super) name: String,
    pub(super) plural: String,
    pub(super) symbol: String,
    /// Printed by its symbol (`m`) and not in words (`feet`).
    pub(super) by_symbol: bool,
    /// `length`, `length^2`, `time`, `money dollar`, `number` …
    pub(super) dimension: String,
    pub(super) factor: Exact,
    /// Added before the factor is applied: scales that do not start at zero.
    pub(super) offset: Option<Exact>,
}

pub(super) struct Table {
    pub rows: Vec<Known>,
    exact: HashMap<String, u16>,
    folded: HashMap<String, u16>,
    /// The first word of every form in small letters.
    begins: HashSet<String>,
}

pub(super) static TABLE: LazyLock<Table> = LazyLock::new(|| Table::load(include_str!("units.csv")));

impl Table {
    /// The table is part of the program: a mistake in it is ours, and a test reads it.
    fn load(text: &str) -> Self {
        let mut rows = Vec::new();
        let mut forms: Vec<(String, u16)> = Vec::new();
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        for (at, record) in reader.records().enumerate() {
            let record = record.expect("units.csv is whole");
            let at = at as u16;
            let known = Known {
                name: record[0].into(),
                plural: record[1].into(),
                symbol: record[2].into(),
                by_symbol: &record[3] == "symbol",
                dimension: record[4].into(),
                factor: parse(&record[5]).expect("an exact factor"),
                offset: parse(&record[6]),
            };
            forms.extend([&known.name, &known.plural, &known.symbol].map(|form| (form.clone(), at)));
            forms.extend(record[7].split('|').filter(|form| !form.is_empty()).map(|form| (form.into(), at)));
            rows.push(known);
        }
        forms.extend(powers(&rows, &forms));
        let mut exact = HashMap::new();
        let mut begins = HashSet::new();
        let mut folded: HashMap<String, Option<u16>> = HashMap::new();
        for (form, at) in forms {
            let lower = form.to_lowercase();
            begins.insert(first_part(&lower).to_owned());
            folded
                .entry(lower)
                .and_modify(|held| *held = held.filter(|held| *held == at))
                .or_insert(Some(at));
            exact.entry(form).or_insert(at);
        }
        let folded = folded.into_iter().filter_map(|(form, at)| Some((form, at?))).collect();
        Self { rows, exact, folded, begins }
    }

    /// Whether a form may begin with that word or mark.
    pub fn may_begin(&self, part: &str) -> bool {
        let mut small = [0_u8; 16];
        match small_letters(part, &mut small) {
            Some(small) => self.begins.contains(small),
            None => self.begins.contains(&part.to_lowercase()),
        }
    }

    /// The unit of a form: as it is spelled, else whatever its capitals.
    pub fn find(&self, form: &str) -> Option<Atom> {
        self.exact.get(form).or_else(|| self.folded.get(&form.to_lowercase())).map(|at| Atom::Known(*at))
    }

    pub fn named(&self, name: &str) -> Atom {
        Atom::Known(*self.exact.get(name).expect("a unit of the table"))
    }
}

/// The units of the table, each by the name of one and of more than one: `gallon`, `gallons`.
pub fn unit_names() -> impl Iterator<Item = (&'static str, &'static str)> {
    TABLE.rows.iter().map(|known| (known.name.as_str(), known.plural.as_str()))
}

/// A form's first run of letters, or its first mark.
fn first_part(form: &str) -> &str {
    let letters = form.find(|letter: char| !letter.is_alphabetic()).unwrap_or(form.len());
    match letters {
        0 => form.chars().next().map_or("", |mark| &form[..mark.len_utf8()]),
        _ => &form[..letters],
    }
}

/// A short ASCII word in small letters, without taking memory for it.
pub(super) fn small_letters<'b>(word: &str, buffer: &'b mut [u8; 16]) -> Option<&'b str> {
    if word.len() > buffer.len() || !word.is_ascii() {
        return None;
    }
    for (to, from) in buffer.iter_mut().zip(word.bytes()) {
        *to = from.to_ascii_lowercase();
    }
    std::str::from_utf8(&buffer[..word.len()]).ok()
}

/// `sq ft`, `ft²`, `cubic feet`, `m^3`: the forms of squares and cubes follow from those of lengths.
fn powers(rows: &[Known], forms: &[(String, u16)]) -> Vec<(String, u16)> {
    let mut made = Vec::new();
    for (at, row) in rows.iter().enumerate() {
        let Some((word, side)) = row.name.split_once(' ') else { continue };
        let (prefixes, digit, raised, past): (&[&str], _, _, _) = match word {
            "square" => (&["square", "sq", "sq."], "2", "²", "squared"),
            "cubic" => (&["cubic", "cu", "cu."], "3", "³", "cubed"),
            _ => continue,
        };
        let Some(side) = rows.iter().position(|row| row.name == side) else { continue };
        for (form, of) in forms.iter().filter(|(_, of)| usize::from(*of) == side) {
            made.extend(prefixes.iter().map(|prefix| (format!("{prefix} {form}"), at as u16)));
            made.push((format!("{form} {past}"), at as u16));
            if *form == rows[usize::from(*of)].symbol {
                made.extend([digit, raised].map(|power| (format!("{form}{power}"), at as u16)));
                made.push((format!("{form}^{digit}"), at as u16));
            }
        }
    }
    made
}

/// One factor of a unit.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Atom {
    /// Something counted, in the singular: `camp`.
    Noun(String),
    /// A row of the table.
    Known(u16),
    /// A unit of a program's own.
    Own(Arc<Known>),
}

impl Atom {
    pub(super) fn known(&self) -> Option<&Known> {
        match self {
            Atom::Known(at) => Some(&TABLE.rows[usize::from(*at)]),
            Atom::Own(known) => Some(known),
            Atom::Noun(_) => None,
        }
    }

    fn singular(&self) -> &str {
        match self {
            Atom::Known(at) => &TABLE.rows[usize::from(*at)].name,
            Atom::Own(known) => &known.name,
            Atom::Noun(noun) => noun,
        }
    }

    fn plural(&self) -> String {
        match self.known() {
            Some(known) => known.plural.clone(),
            None => super::noun::plural(self.singular()),
        }
    }

    /// The coherent dimension; empty for what is counted.
    pub(super) fn dimension(&self) -> &str {
        match self.known() {
            Some(known) if known.dimension != "number" => &known.dimension,
            _ => "",
        }
    }

    fn factor(&self) -> Exact {
        self.known().map_or_else(Exact::one, |known| known.factor.clone())
    }
}

/// A product of powers of units, such as pound per day. Nouns that are counted are units too; a bare
/// number has the empty unit.
#[derive(Clone, Debug, PartialEq, Eq, Default, Hash)]
pub struct Unit {
    /// Sorted: those above the line first, each unit once.
    factors: Vec<(Atom, i32)>,
    /// A difference of temperatures, which takes no offset.
    difference: bool,
}

/// How often each base (length, mass, money …) stands in a unit.
pub(super) type Dimension = BTreeMap<String, i32>;

impl Unit {
    pub(super) fn of(atom: Atom) -> Self {
        Self { factors: vec![(atom, 1)], difference: false }
    }

    /// The units of a program's own that it is made of.
    pub(super) fn own(&self) -> impl Iterator<Item = &Arc<Known>> {
        self.factors.iter().filter_map(|(atom, _)| match atom {
            Atom::Own(known) => Some(known),
            Atom::Noun(_) | Atom::Known(_) => None,
        })
    }

    pub(super) fn named(name: &str) -> Self {
        Self::of(TABLE.named(name))
    }

    pub(super) fn noun(noun: &str) -> Self {
        Self::of(Atom::Noun(noun.into()))
    }

    pub(super) fn times(&self, other: &Unit, power: i32) -> Self {
        let mut factors = self.factors.clone();
        for (atom, n) in &other.factors {
            match factors.iter_mut().find(|(held, _)| held == atom) {
                Some((_, held)) => *held += n * power,
                None => factors.push((atom.clone(), n * power)),
            }
        }
        factors.retain(|(_, power)| *power != 0);
        factors.sort_by(|a, b| (b.1 > 0).cmp(&(a.1 > 0)).then_with(|| a.0.cmp(&b.0)));
        let difference = factors.len() == 1 && (self.difference || other.difference);
        Self { factors, difference }
    }

    /// The same unit for a difference of temperatures; other units stay as they are.
    pub fn as_difference(mut self) -> Self {
        self.difference = self.temperature().is_some();
        self
    }

    pub fn is_difference(&self) -> bool {
        self.difference
    }

    /// No unit at all: a bare number.
    pub fn is_none(&self) -> bool {
        self.factors.is_empty()
    }

    /// Nothing but things counted, percent, dozens: a number in the end.
    pub fn is_count(&self) -> bool {
        self.dimension().is_empty()
    }

    pub(super) fn factors(&self) -> &[(Atom, i32)] {
        &self.factors
    }

    /// What stands above the line: cents of cents per vehicle.
    pub(super) fn above(&self) -> Self {
        let factors = self.factors.iter().filter(|(_, power)| *power > 0).cloned().collect();
        Self { factors, ..self.clone() }
    }

    /// The single unit that this is, if it is one to the first power.
    pub(super) fn single(&self) -> Option<&Atom> {
        match self.factors.as_slice() {
            [(atom, 1)] => Some(atom),
            _ => None,
        }
    }

    /// The thing counted, where that is all there is: `camp`.
    pub fn counted(&self) -> Option<&str> {
        match self.single() {
            Some(Atom::Noun(noun)) => Some(noun),
            _ => None,
        }
    }

    /// Whether it is of a room or a weight: what a thing fills or weighs.
    pub(super) fn is_volume_or_mass(&self) -> bool {
        self.single().is_some_and(|atom| ["length^3", "mass"].contains(&atom.dimension()))
    }

    /// Whether things are what the number says: `13 camps`, `28 beats a minute`, `3 times`.
    pub fn counts_things(&self) -> bool {
        match self.factors.first() {
            Some((Atom::Noun(_), power)) => *power > 0,
            _ => self.name() == "time",
        }
    }

    /// The things below the line, in the singular: `horse` of gallons per horse a day.
    pub fn per_things(&self) -> impl Iterator<Item = &str> {
        self.factors.iter().filter_map(|(atom, power)| match atom {
            Atom::Noun(noun) if *power < 0 => Some(noun.as_str()),
            _ => None,
        })
    }

    /// The span of time below the line, in the singular: `day` of gallons a day.
    pub fn per_time(&self) -> Option<&str> {
        let below = self.factors.iter().find(|(atom, power)| *power < 0 && atom.dimension() == "time");
        below.map(|(atom, _)| atom.singular())
    }

    /// The thing that the number says how many of, alone or per something: `beat` of beats a minute.
    pub fn thing(&self) -> Option<&str> {
        match self.factors.first() {
            Some((Atom::Noun(noun), power)) if *power > 0 => Some(noun),
            _ => None,
        }
    }

    /// The scale, where this is a temperature (or a difference of them).
    pub(super) fn temperature(&self) -> Option<&Known> {
        self.single().and_then(Atom::known).filter(|known| known.dimension == "temperature")
    }

    /// The name in the singular: `pound per day`, `gallon per horse per day`; empty for a bare number.
    pub fn name(&self) -> String {
        self.spelled(" per ", |atom, _| atom.singular().to_owned())
    }

    fn spelled(&self, per: &str, word: impl Fn(&Atom, bool) -> String) -> String {
        let mut text = String::new();
        for (atom, power) in &self.factors {
            let first = text.is_empty();
            if *power < 0 {
                text.push_str(if first { per.trim_start() } else { per });
            } else if !first {
                text.push('-');
            }
            let word = word(atom, *power > 0);
            let short = atom.known().is_some_and(|known| known.by_symbol && known.symbol == word);
            text.push_str(&match (atom.dimension(), power.abs()) {
                (_, 1) => word,
                ("length", 2) if short => format!("{word}²"),
                ("length", 3) if short => format!("{word}³"),
                ("length", 2) => format!("square {word}"),
                ("length", 3) => format!("cubic {word}"),
                (_, times) => format!("{word} to the power {times}"),
            });
        }
        text
    }

    /// The words behind a number in print: `pounds a year`, `m`, `°F`. `one` asks for the singular.
    pub(super) fn in_print(&self, one: bool) -> String {
        let mut text = self.spelled("\u{0}", |atom, above| match atom.known() {
            Some(known) if known.by_symbol => known.symbol.clone(),
            _ if above && !one => atom.plural(),
            _ => atom.singular().to_owned(),
        });
        while let Some(at) = text.find('\u{0}') {
            let next = text[at + 1..].chars().next().unwrap_or(' ');
            let later = text[at + 1..].contains('\u{0}');
            let symbols =
                self.factors.iter().all(|(atom, _)| atom.known().is_some_and(|known| known.by_symbol));
            let word = match next {
                _ if symbols => "/",
                _ if later => " per ",
                _ if text[at + 1..].starts_with("hour") => " an ",
                'a' | 'e' | 'i' | 'o' => " an ",
                _ => " a ",
            };
            text.replace_range(at..=at, word);
        }
        text.trim().to_owned()
    }

    pub(super) fn dimension(&self) -> Dimension {
        let mut made = Dimension::new();
        for (atom, power) in &self.factors {
            for (base, n) in bases(atom.dimension()) {
                *made.entry(base.to_owned()).or_insert(0) += n * power;
            }
        }
        made.retain(|_, power| *power != 0);
        made
    }

    /// Its dimension by name, and a value of it in coherent units: what can be compared stands together in their order.
    pub fn coherent(&self, value: &Exact) -> (String, Exact) {
        let name = self.dimension().iter().map(|(base, power)| format!("{base}^{power} ")).collect();
        let offset = self.temperature().filter(|_| !self.difference).and_then(|known| known.offset.clone());
        (name, (value + offset.unwrap_or_else(Exact::zero)) * self.factor())
    }

    pub fn same_dimension(&self, other: &Unit) -> bool {
        self.dimension() == other.dimension()
    }

    /// How many coherent units one of this is; scales' offsets left aside.
    pub(super) fn factor(&self) -> Exact {
        let mut made = Exact::one();
        for (atom, power) in &self.factors {
            let factor = atom.factor();
            for _ in 0..power.abs() {
                if *power > 0 { made *= &factor } else { made /= &factor }
            }
        }
        made
    }

    /// The same quantity in another unit; `None` where the dimensions differ. Temperatures take their
    /// scales' zero points into account, differences of temperatures do not.
    pub fn convert(&self, value: &Exact, to: &Unit) -> Option<Exact> {
        if self.factors == to.factors && self.difference == to.difference {
            return Some(value.clone());
        }
        if !self.same_dimension(to) {
            return None;
        }
        if let (Some(from), Some(into)) = (self.temperature(), to.temperature())
            && !self.difference
            && !to.difference
        {
            let zero = Exact::zero();
            let absolute = (value + from.offset.as_ref().unwrap_or(&zero)) * &from.factor;
            return Some(absolute / &into.factor - into.offset.as_ref().unwrap_or(&zero));
        }
        Some(value * self.factor() / to.factor())
    }

    /// In words, for messages: `a length`, `a mass per time`.
    pub(super) fn kind_in_words(&self) -> String {
        if self.temperature().is_some() {
            return if self.difference { "difference of temperatures" } else { "temperature" }.into();
        }
        let dimension = self.dimension();
        if dimension.is_empty() {
            return "bare number".into();
        }
        let word = |base: &str, power: i32| match (base, power.abs()) {
            ("length", 2) => "area".to_owned(),
            ("length", 3) => "volume".to_owned(),
            (base, 1) => base.split(' ').next().unwrap_or(base).to_owned(),
            (base, power) => format!("{base} to the power {power}"),
        };
        let side = |above: bool| {
            let words: Vec<_> = dimension
                .iter()
                .filter(|(_, n)| (**n > 0) == above)
                .map(|(base, n)| word(base, *n))
                .collect();
            words.join(" times ")
        };
        match (side(true), side(false)) {
            (above, below) if below.is_empty() => above,
            (above, below) if above.is_empty() => format!("number per {below}"),
            (above, below) => format!("{above} per {below}"),
        }
    }

    /// The part of this unit that is per time, as (unit of time, the rest): `pound per day` gives
    /// (`day`, `pound`).
    pub(super) fn split_period(&self) -> Option<(Unit, Unit)> {
        let (atom, _) =
            self.factors.iter().find(|(atom, power)| *power == -1 && atom.dimension() == "time")?.clone();
        let period = Unit::of(atom);
        let rest = self.times(&period, 1);
        Some((period, rest))
    }
}

fn bases(dimension: &str) -> Vec<(&str, i32)> {
    match dimension {
        "" => Vec::new(),
        "length/time" => vec![("length", 1), ("time", -1)],
        _ => dimension
            .split('*')
            .map(|part| match part.split_once('^') {
                Some((base, power)) => (base, power.parse().unwrap_or(1)),
                None => (part, 1),
            })
            .collect(),
    }
}

/// A year is 365 days or the Julian year of 365.25, as the writer pleases: what a statement by the
/// year may be out by.
pub(super) fn year_readings() -> [Exact; 2] {
    [Exact::one(), ratio(36525, 36500)]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_whole_and_says_where_each_factor_comes_from() {
        assert!(TABLE.rows.len() > 90);
        for record in csv::Reader::from_reader(include_str!("units.csv").as_bytes()).records() {
            let record = record.unwrap();
            assert!(!record[8].is_empty(), "{}", &record[0]);
            assert!(!parse(&record[5]).unwrap().is_zero(), "{}", &record[0]);
        }
    }

    #[test]
    fn converts_exactly() {
        let convert = |value: &str, from: &str, to: &str| {
            Unit::named(from).convert(&parse(value).unwrap(), &Unit::named(to)).unwrap()
        };
        assert_eq!(convert("200", "foot", "meter"), parse("60.96").unwrap());
        assert_eq!(convert("77", "degree Fahrenheit", "degree Celsius"), parse("25").unwrap());
        assert_eq!(convert("125", "degree Fahrenheit", "degree Celsius"), parse("155/3").unwrap());
        assert_eq!(convert("1", "acre", "square foot"), parse("43560").unwrap());
        assert_eq!(convert("1", "acre-foot", "cubic foot"), parse("43560").unwrap());
    }

    #[test]
    fn a_difference_of_temperatures_takes_no_zero_point() {
        let f = Unit::named("degree Fahrenheit").as_difference();
        let c = Unit::named("degree Celsius").as_difference();
        assert_eq!(f.convert(&parse("48").unwrap(), &c), parse("80/3"));
    }

    #[test]
    fn rates_have_names_and_print_forms() {
        let rate = Unit::named("gallon").times(&Unit::noun("horse"), -1).times(&Unit::named("day"), -1);
        assert_eq!(rate.name(), "gallon per horse per day");
        assert_eq!(Unit::named("pound").times(&Unit::named("year"), -1).in_print(false), "pounds a year");
        assert_eq!(Unit::named("mile").times(&Unit::named("hour"), -1).in_print(false), "miles an hour");
        assert_eq!(rate.in_print(false), "gallons per horse a day");
        assert_eq!(rate.kind_in_words(), "volume per time");
    }

    #[test]
    fn forms_of_squares_follow_from_lengths() {
        for form in ["sq ft", "ft2", "ft²", "square feet", "sq. ft"] {
            assert_eq!(TABLE.find(form), Some(TABLE.named("square foot")), "{form}");
        }
    }
}
