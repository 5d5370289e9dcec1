//! A number with its unit: `6 ft`, `six-foot`, `$1.5 million`, `50 lb per horse per day`, `13 camps`.

use super::Exact;
use super::forms::{self, Beside, Quotes, simple};
use super::noun;
use super::number::whole;
use super::numeral::{self, Setting};
use super::tokens::{Kind, Text};
use super::unit::{Atom, TABLE, Unit};
use num_traits::{One, Signed};

/// A number and its unit, by the tokens that they take.
#[derive(Clone, Debug)]
pub(super) struct Measure {
    pub first: usize,
    /// After the number and before its unit.
    pub number_end: usize,
    pub next: usize,
    pub value: Exact,
    pub shown: Exact,
    pub written: Exact,
    pub unit: Unit,
    /// The unit hangs on a hyphen: `six-foot`.
    pub joined: bool,
    /// Digits alone: what years and list numbers look like.
    pub bare_digits: bool,
    pub scale: Option<i32>,
    /// The unit stands before the number: `$5`.
    pub sign_first: bool,
    /// How many of what stands below the line the writer names: 100 of `mg per 100 mL`.
    pub each: Exact,
}

/// Reads a number with its unit at a token. Quotation marks that are open there close, and are no
/// marks for feet and inches.
pub(super) fn read(text: &Text, at: usize, setting: Setting, quotes: Quotes) -> Option<Measure> {
    if let Some(measure) = often(text, at) {
        return Some(measure);
    }
    let sign = usize::from(numeral::is_minus(text, at));
    if let Some((atom, start)) = currency_before(text, at + sign).or_else(|| scale_before(text, at)) {
        let setting = Setting { money: true, ..setting };
        let mut numeral = numeral::read(text, start, setting)?;
        // "−$5", "$-5"
        if sign == 1 && !numeral.value.is_negative() {
            numeral.value = -numeral.value;
        }
        let mut measure = made(at, numeral, Unit::of(atom));
        measure.sign_first = true;
        measure.bare_digits = false;
        measure.take_rates(text, measure.unit.clone(), measure.next);
        return Some(measure);
    }
    let numeral = numeral::read(text, at, setting)?;
    let mut measure = made(at, numeral, Unit::default());
    let end = measure.number_end;
    if let Some((atom, next)) = forms::mark_unit(text, end, quotes) {
        (measure.unit, measure.next) = (Unit::of(atom), next);
        return Some(measure);
    }
    // "6+ ft"
    let plus = usize::from(text.mark(end) == '+' && text.glued(end));
    let beside = Beside::number(text, measure.first..end, &measure.value);
    measure.joined = text.is_hyphen(end) && text.glued(end) && text.glued(end + 1);
    let (start, beside) = match measure.joined {
        true => (end + 1, beside.joined()),
        false => (past_whole(text, after_of_a(text, end + plus, &measure.value)), beside),
    };
    let found = forms::rate(text, start);
    match found.or_else(|| simple(text, start, beside).map(|(atom, next)| (Unit::of(atom), next))) {
        Some((unit, next)) => measure.take_rates(text, unit, next),
        None => {
            measure.joined = false;
            if text.is(end, "per") || goes_by_time(text, end, &measure.value) {
                measure.take_rates(text, Unit::default(), end);
            }
        }
    }
    Some(measure)
}

impl Measure {
    /// Takes a unit and what it is per; of "5 mg per 100 mL" the number is what goes to one of them.
    fn take_rates(&mut self, text: &Text, unit: Unit, next: usize) {
        let rates = rates(text, unit, next);
        for part in [&mut self.value, &mut self.shown, &mut self.written] {
            *part /= &rates.each;
        }
        (self.unit, self.next, self.each) = (rates.unit, rates.next, rates.each);
    }
}

/// "100 a minute": so many each time, where nothing says of what.
fn goes_by_time(text: &Text, at: usize, value: &Exact) -> bool {
    if !text.is_any(at, &["a", "an"]) || *value <= Exact::one() {
        return false;
    }
    let time = simple(text, at + 1, Beside::WORD).filter(|(atom, _)| atom.dimension() == "time");
    time.is_some_and(|(_, next)| !follows_as_time(text, next))
}

/// "once a day", "twice daily": how often, where the time stands beside it; and the first half of "once or twice
/// a week".
fn often(text: &Text, at: usize) -> Option<Measure> {
    let times = match text.word(at).len() {
        4 if text.is(at, "once") => 1,
        5 if text.is(at, "twice") => 2,
        6 if text.is(at, "thrice") => 3,
        _ => return None,
    };
    let numeral = |unit, next| {
        let value = whole(times);
        let mut measure = made(
            at,
            numeral::Numeral {
                value,
                shown: whole(1),
                written: whole(1),
                first: at,
                next: at + 1,
                bare_digits: false,
                scale: None,
            },
            unit,
        );
        measure.next = next;
        measure
    };
    let time = Unit::named("time");
    if let Some((per, next)) = one_rate(text, &time, at + 1)
        .filter(|(per, _)| {
            let of_time = per.unit.single().is_some_and(|atom| atom.dimension() == "time");
            let of_occasion = per.unit.counted().is_some_and(|noun| OCCASIONS.contains(&noun));
            (of_time || of_occasion) && per.each.is_one()
        })
        .map(|(per, next)| (per.unit, next))
    {
        // "once a day has passed"
        let clause =
            times == 1 && text.is_any(next, &["has", "have", "is", "was", "passes", "ends", "comes", "goes"]);
        return (!clause).then(|| numeral(time.times(&per, -1), next));
    }
    let joins = text.is_any(at + 1, &["or", "to"]) && text.is_any(at + 2, &["twice", "thrice"]);
    (joins && often(text, at + 2).is_some()).then(|| numeral(Unit::default(), at + 1))
}

fn made(first: usize, numeral: numeral::Numeral, unit: Unit) -> Measure {
    Measure {
        first,
        number_end: numeral.next,
        next: numeral.next,
        value: numeral.value,
        shown: numeral.shown,
        written: numeral.written,
        unit,
        joined: false,
        bare_digits: numeral.bare_digits,
        scale: numeral.scale,
        sign_first: false,
        each: Exact::one(),
    }
}

/// `a month`, `an hour`: one of a unit, told by its article.
pub(super) fn article(text: &Text, at: usize) -> Option<Measure> {
    if !text.is_any(at, &["a", "an"]) || text.word(at + 1).is_empty() {
        return None;
    }
    let one = Exact::one();
    let (atom, next) = simple(text, past_whole(text, at + 1), Beside::WORD)?;
    let mut measure = Measure {
        first: at,
        number_end: at + 1,
        next,
        value: one.clone(),
        shown: one.clone(),
        written: one,
        unit: Unit::of(atom),
        joined: false,
        bare_digits: false,
        scale: None,
        sign_first: false,
        each: Exact::one(),
    };
    let unit = measure.unit.clone();
    measure.take_rates(text, unit, next);
    Some(measure)
}

/// A currency sign or code that stands before its number, and where the number starts.
fn currency_before(text: &Text, at: usize) -> Option<(Atom, usize)> {
    let name = match text.mark(at) {
        '$' => "dollar",
        '€' => "euro",
        '£' => "pound sterling",
        '¥' => "yen",
        mark if is_currency(mark) => {
            let atom = TABLE.find(text.str(at))?;
            return (text.kind(at + 1) == Some(Kind::Digits)).then_some((atom, at + 1));
        }
        _ => {
            let dollar = text.mark(at + 1) == '$' && text.glued(at + 1);
            let name = match text.word(at).to_ascii_uppercase().as_str() {
                "US" if dollar => "dollar",
                "C" | "CA" if dollar => "Canadian dollar",
                "A" | "AU" if dollar => "Australian dollar",
                other => {
                    // a code of ISO 4217, or letters before the sign of a dollar
                    let form = if dollar { format!("{other}$") } else { other.to_owned() };
                    let atom = TABLE.find(&form).filter(|atom| atom.dimension().starts_with("money"))?;
                    let start = at + 1 + usize::from(dollar);
                    let code = dollar || other.len() == 3 && text.word(at) == other;
                    return (code && text.kind(start) == Some(Kind::Digits)).then_some((atom, start));
                }
            };
            let start = at + 2;
            return (text.kind(start) == Some(Kind::Digits)).then(|| (TABLE.named(name), start));
        }
    };
    let minus = usize::from(text.is_dash(at + 1) && text.glued(at + 1) && text.glued(at + 2));
    let number = text.kind(at + 1 + minus) == Some(Kind::Digits);
    number.then(|| (TABLE.named(name), at + 1))
}

/// The signs that stand before a number of money.
pub(super) fn is_currency(mark: char) -> bool {
    matches!(
        mark,
        '$' | '€'
            | '£'
            | '¥'
            | '₹'
            | '₩'
            | '₽'
            | '₺'
            | '₴'
            | '₪'
            | '₫'
            | '₱'
            | '฿'
            | '₦'
            | '₵'
            | '₲'
            | '₡'
            | '৳'
    )
}

/// A scale whose name stands before its number, with the unit and where the number starts: `pH 7.5`, `UV index of 8`,
/// `magnitude 6.5`.
fn scale_before(text: &Text, at: usize) -> Option<(Atom, usize)> {
    const NAMES: &[(&[&str], &str)] = &[
        (&["ph"], "pH"),
        (&["uvi"], "UV index"),
        (&["uv", "index"], "UV index"),
        (&["magnitude"], "magnitude"),
    ];
    let (name, unit) = NAMES.iter().find(|(name, _)| text.are(at, name))?;
    let end = at + name.len();
    let start =
        end + usize::from(text.is_any(end, &["of", "is"]) || text.mark(end) == '=' || text.is_hyphen(end));
    let start = start + usize::from(text.is_any(start, &["about", "around"]));
    (text.kind(start) == Some(Kind::Digits)).then(|| (TABLE.named(unit), start))
}

pub(super) fn may_be_currency(text: &Text, at: usize) -> bool {
    match text.kind(at) {
        Some(Kind::Mark) => is_currency(text.mark(at)),
        Some(Kind::Word) => match text.word(at).len() {
            2 | 9 if scale_before(text, at).is_some() => true,
            3 if text.is(at, "UVI") => scale_before(text, at).is_some(),
            1..=3 => currency_before(text, at).is_some(),
            _ => false,
        },
        _ => false,
    }
}

/// `one full minute`, `two whole days`: the word before a unit that says only that none of it is lacking.
fn past_whole(text: &Text, at: usize) -> usize {
    at + usize::from(says_whole(text, at) && simple(text, at + 1, Beside::WORD).is_some())
}

/// Whether a word says that none of the unit behind it is lacking.
pub(super) fn says_whole(text: &Text, at: usize) -> bool {
    text.is_any(at, &["full", "whole", "entire", "solid"])
}

/// `half an hour`, `a quarter of a mile`: the words between a share and its unit.
fn after_of_a(text: &Text, at: usize, value: &Exact) -> usize {
    if *value >= Exact::one() {
        return at;
    }
    let of = usize::from(text.is(at, "of"));
    if text.is_any(at + of, &["a", "an", "one"]) {
        at + of + 1
    } else if of == 1 && simple(text, at + 1, Beside::WORD).is_some() {
        // "¾ of cup", as other languages have it
        at + 1
    } else {
        at
    }
}

/// A unit with all that it is per.
pub(super) struct Rates {
    pub unit: Unit,
    pub next: usize,
    /// How many of what stands below the line: 100 of `mg per 100 mL`.
    pub each: Exact,
}

/// What a unit is per, and how many of it.
struct Per {
    unit: Unit,
    each: Exact,
}

/// Takes what a unit is per: `lb/day`, `gallons per horse per day`, `miles an hour`, `$ a head`,
/// `50 lb of manure a day`, `mg per 100 mL`.
pub(super) fn rates(text: &Text, unit: Unit, next: usize) -> Rates {
    let mut made = Rates { unit, next, each: Exact::one() };
    for _ in 0..3 {
        let start = past_stop(text, made.next);
        let Some((per, after)) =
            one_rate(text, &made.unit, start).or_else(|| rate_after_of(text, &made.unit, start))
        else {
            break;
        };
        made.unit = made.unit.times(&per.unit, -1);
        made.each *= per.each;
        made.next = after;
    }
    made
}

/// Past the stop of an abbreviation (`gal. per day`) where a rate follows.
fn past_stop(text: &Text, at: usize) -> usize {
    // a capital begins the next sentence
    let stop =
        text.mark(at) == '.' && text.glued(at) && ["per", "a", "an", "each"].contains(&text.word(at + 1));
    if stop { at + 1 } else { at }
}

fn one_rate(text: &Text, unit: &Unit, at: usize) -> Option<(Per, usize)> {
    let one = |(unit, next): (Unit, usize)| (Per { unit, each: Exact::one() }, next);
    if text.mark(at) == '/' && text.glued(at) && text.glued(at + 1) && !unit.is_none() {
        let digits = text.kind(at + 1) == Some(Kind::Digits);
        return match digits {
            // "5 mg/100 mL", and not the dose of "1 mg/60 kg"
            true if text.str(at + 1).trim_end_matches('0') == "1" => so_many(text, at + 1),
            true => None,
            false => denominator(text, at + 1).filter(|_| text.kind(at + 1) == Some(Kind::Word)).map(one),
        };
    }
    let hyphen = usize::from(text.is_hyphen(at) && text.glued(at));
    if text.is(at + hyphen, "per") {
        let start = at + hyphen + 1;
        let start = start + usize::from(text.is_hyphen(start));
        return so_many(text, start).or_else(|| denominator(text, start).map(one));
    }
    if unit.is_none() && !text.is_any(at, &["a", "an"]) {
        return None;
    }
    if let Some(period) = period_word(text.word(at)) {
        return Some(one((Unit::named(period), at + 1)));
    }
    // "0.6 lb each a day": what each is stays unsaid
    let each = usize::from(
        text.is_any(at, &["each", "apiece"]) && text.is_any(at + 1, &["a", "an", "per", "every"]),
    );
    let at = at + each;
    if each == 1 && text.is(at, "per") {
        return denominator(text, at + 1).map(one);
    }
    if !text.is_any(at, &["a", "an", "each", "every"]) {
        return None;
    }
    if let Some((atom, next)) = simple(text, at + 1, Beside::WORD) {
        let period = atom.dimension() == "time" && !follows_as_time(text, next);
        return (period || is_money(unit)).then(|| one((Unit::of(atom), next)));
    }
    if unit.is_none() {
        return None;
    }
    let word = text.word(at + 1).to_lowercase();
    (SHARERS.contains(&&*word)
        || OCCASIONS.contains(&&*word)
        || (is_money(unit) && noun::may_stand(&word) && super::words::part(&word).is_none()))
    .then(|| one((Unit::noun(&noun::singular(&word)), at + 2)))
}

/// What an amount is for one of, behind an article: "50 lb a horse".
const SHARERS: &[&str] = &[
    "head", "person", "piece", "animal", "horse", "mule", "rider", "visitor", "dog", "child", "bag", "bale",
];

/// What comes again and again and is no unit of time: "once a season", "3 quarts a ride".
const OCCASIONS: &[&str] =
    &["season", "ride", "trip", "outing", "visit", "session", "shift", "meal", "feeding", "stop", "use"];

/// `100 mL`, `1,000 sq ft`, `ten gallons` below the line.
fn so_many(text: &Text, at: usize) -> Option<(Per, usize)> {
    let starts = text.kind(at) == Some(Kind::Digits) || super::words::classify(text.word(at)).is_some();
    let number = starts.then(|| numeral::read(text, at, Setting::default())).flatten()?;
    if !number.value.is_positive() {
        return None;
    }
    let beside = Beside::number(text, at..number.next, &number.value);
    let (unit, next) = match simple(text, number.next, beside) {
        Some((atom, next)) => (Unit::of(atom), next),
        None => {
            let (noun, next) = counted(text, number.next, &number.value)?;
            (Unit::noun(&noun), next)
        }
    };
    Some((Per { unit, each: number.value }, next))
}

/// `$1.17 billion a year earlier`, `stocks a week before`: a time, not a rate.
fn follows_as_time(text: &Text, at: usize) -> bool {
    text.is_any(at, &["earlier", "later", "before", "after", "ago", "old"])
        || super::joining::and_a_half(text, at).is_some()
}

fn is_money(unit: &Unit) -> bool {
    unit.single().is_some_and(|atom| atom.dimension().starts_with("money"))
}

fn period_word(word: &str) -> Option<&'static str> {
    Some(match word {
        "hourly" => "hour",
        "daily" => "day",
        "weekly" => "week",
        "monthly" => "month",
        "yearly" | "annually" => "year",
        _ => return None,
    })
}

/// What stands below the line: a unit of the table or a thing counted.
fn denominator(text: &Text, at: usize) -> Option<(Unit, usize)> {
    if let Some((atom, next)) = simple(text, at, Beside::NAME) {
        return Some((Unit::of(atom), next));
    }
    let word = text.word(at).to_lowercase();
    let thing = noun::may_stand(&word) && !matches!(word.as_str(), "se" | "capita" | "unit");
    if word == "capita" {
        return Some((Unit::noun("person"), at + 1));
    }
    thing.then(|| (Unit::noun(&noun::singular(&word)), at + 1))
}

/// `50 lb of manure per horse per day`: the rate that stands behind what is measured.
fn rate_after_of(text: &Text, unit: &Unit, at: usize) -> Option<(Per, usize)> {
    if !text.is(at, "of") || unit.is_count() {
        return None;
    }
    for words in 1..=3 {
        let after = at + 1 + words;
        if !noun::may_stand(&text.word(at + words).to_lowercase()) {
            return None;
        }
        if text.is_any(after, &["per", "a", "an", "each", "every"]) {
            let (per, next) = one_rate(text, unit, after)?;
            let by_time = per.unit.single().is_some_and(|atom| atom.dimension() == "time");
            let sure = text.is(after, "per") || by_time;
            return sure.then_some((per, next));
        }
    }
    None
}

/// The noun that is counted after a bare number: `13 camps`, `12 wild horses`. The noun and the token
/// after it.
pub(super) fn counted(text: &Text, at: usize, value: &Exact) -> Option<(String, usize)> {
    if text.is_hyphen(at) && text.glued(at) && text.glued(at + 1) {
        // "a 13-camp circuit"
        let word = text.word(at + 1).to_lowercase();
        return (noun::may_stand(&word) && word.len() > 2).then(|| (noun::singular(&word), at + 2));
    }
    if text.glued(at) {
        return None;
    }
    let one = *value == whole(1);
    for next in at..at + 3 {
        let word = text.word(next);
        if word.is_empty() || (next > at && text.glued(next)) {
            return None;
        }
        let lower = word.to_lowercase();
        let proper = next > at && word.starts_with(|c: char| c.is_uppercase());
        if proper || !noun::may_stand(&lower) {
            return None;
        }
        let hyphen = text.is_hyphen(next + 1) && text.glued(next + 1);
        // "13 stock camps" counts camps
        let goes_on = noun::is_unchanged(&lower) && noun::is_plural(&text.word(next + 1).to_lowercase());
        if !one && noun::is_plural(&lower) && !hyphen && !goes_on {
            return Some((noun::singular(&lower), next + 1));
        }
        if one {
            return (!hyphen && lower.len() > 2).then(|| (noun::singular(&lower), next + 1));
        }
    }
    None
}

/// A noun on its own as a unit: `camps`, or the head of `wild horses`.
pub(super) fn noun_unit(text: &Text, at: usize) -> Option<(Unit, usize)> {
    let (noun, next) = counted(text, at, &whole(2)).or_else(|| {
        let word = text.word(at).to_lowercase();
        noun::may_stand(&word).then(|| (word, at + 1))
    })?;
    Some((Unit::noun(&noun), next))
}
