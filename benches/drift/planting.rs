//! Makes wrong copies: each backed figure of a program with one thing in it changed.

use super::truth::{self, Exact, Fact, LIMITS, Number, Truth, UNITS, Unit, number_word, ratio, word_for};
use super::{Kind, Plant, Tally};
use num_traits::{Signed, Zero};
use packstring::program::Program;
use packstring::program::facts::Stated;
use packstring::program::series_column;
use packstring::understand::Understood;
use std::ops::Range;

/// A link as it stands in its file, with the words before it that set a limit.
struct Link<'p> {
    file: &'p str,
    /// From the words of a limit, or else the bracket, to the end of the link.
    range: Range<usize>,
    /// `at most `, where it stands before the bracket.
    before: &'p str,
    words: &'p str,
    /// `](fact:…)`
    tail: &'p str,
    fact: &'p str,
    called: &'p [String],
    truth: Truth<'p>,
    known_to: Option<Exact>,
}

/// Every wrong copy of every backed figure, with its link and, where its sentence names the fact, without.
/// Figures that the bench cannot read, and copies that are true all the same, are told to the tally.
pub fn of_figures(program: &Program, tally: &mut Tally) -> Vec<Plant> {
    let understood = Understood::new(program);
    let mut plants = Vec::new();
    for link in links(program, &understood) {
        let clean = format!("{}{}", link.before, link.words);
        if link.truth.holds(&clean) != Some(true) {
            tally.unread.push(format!("{}: {clean} ({})", link.file, link.fact));
            continue;
        }
        for (kind, before, words) in changed(&link) {
            let now = format!("{before}{words}");
            match link.truth.holds(&now) {
                Some(false) => {}
                Some(true) => {
                    tally.still_true += 1;
                    continue;
                }
                None => continue,
            }
            for backed in [true, false] {
                if backed || link.is_named(program, &now) {
                    plants.push(link.plant(kind, backed, &before, &words));
                }
            }
        }
        // False whatever the arithmetic says: what is changed is no number.
        for (kind, before, words) in rates(&link).into_iter().chain(ranges(&link)).chain(bounds(&link)) {
            let now = format!("{before}{words}");
            for backed in [true, false] {
                // one end of a range may be told of something else, where no link says of what
                let as_many = truth::numbers(&words).len() == truth::numbers(link.words).len();
                if backed || as_many && link.is_named(program, &now) {
                    plants.push(link.plant(kind, backed, &before, &words));
                }
            }
        }
    }
    plants
}

/// The span of time below the line put in others.
fn rates(link: &Link) -> Vec<(Kind, String, String)> {
    const SPANS: [&str; 6] = ["a second", "a minute", "an hour", "a day", "a week", "a year"];
    let words = link.words;
    let Some((own, at)) = SPANS.iter().find_map(|span| Some((*span, words.find(&format!(" {span}"))?)))
    else {
        return Vec::new();
    };
    let others = SPANS.iter().filter(|span| **span != own);
    let put = |span: &&str| {
        let words = format!("{} {span}{}", &words[..at], &words[at + 1 + own.len()..]);
        (Kind::Rate, link.before.to_owned(), words)
    };
    others.map(put).collect()
}

/// A range as one of its ends, or the one or the other; and a range that goes on beyond its upper end.
fn ranges(link: &Link) -> Vec<(Kind, String, String)> {
    let (words, stated) = (link.words, truth::numbers(link.words));
    let [low, high] = &stated[..] else { return Vec::new() };
    if words.contains('(') || !words[low.range.end..high.range.start].trim().eq("to") {
        return Vec::new();
    }
    let (before, after) = (&words[..low.range.start], &words[high.range.end..]);
    let (low_words, high_words) = (&words[low.range.clone()], &words[high.range.clone()]);
    let beyond = (&high.value * ratio(2, 1)).to_integer();
    let lower = (&low.value / ratio(2, 1)).to_integer();
    vec![
        (Kind::Range, link.before.to_owned(), format!("{before}{low_words} to {beyond}{after}")),
        (Kind::Range, link.before.to_owned(), format!("between {lower} and {high_words}{after}")),
        (Kind::Range, link.before.to_owned(), format!("{before}{low_words}{after}")),
    ]
}

/// The other bound than the fact's, said in words that the fact's own file does not use.
fn bounds(link: &Link) -> Vec<(Kind, String, String)> {
    const UPPER: [&str; 7] = [
        "a maximum of",
        "not more than",
        "less than",
        "no longer than",
        "limited to",
        "as much as",
        "never over",
    ];
    const LOWER: [&str; 7] = [
        "a minimum of",
        "not less than",
        "more than",
        "no shorter than",
        "upwards of",
        "starting at",
        "never under",
    ];
    let Truth::One(fact) = &link.truth else { return Vec::new() };
    let others = match fact.limit {
        Some(packstring::quantity::Limit::AtMost) => LOWER,
        Some(packstring::quantity::Limit::AtLeast) => UPPER,
        _ => return Vec::new(),
    };
    let lower = link.words.to_lowercase();
    let own = LIMITS.iter().find(|(words, ..)| lower.starts_with(&format!("{words} ")));
    let rest = own.map_or(link.words, |(words, ..)| &link.words[words.len() + 1..]);
    if truth::numbers(rest).first().is_none_or(|number| number.range.start != 0) {
        return Vec::new();
    }
    others.iter().map(|bound| (Kind::Bound, String::new(), format!("{bound} {rest}"))).collect()
}

/// Each figure with its link taken away and nothing else: all of these are true.
pub fn unwrapped(program: &Program) -> Vec<Plant> {
    let understood = Understood::new(program);
    links(program, &understood).map(|link| link.plant(Kind::Digit, false, link.before, link.words)).collect()
}

fn links<'p>(program: &'p Program, understood: &'p Understood<'p>) -> impl Iterator<Item = Link<'p>> {
    let backed = understood.passages.iter().flat_map(|passage| &passage.backed);
    backed.filter_map(move |(_, backed)| {
        let file = &*backed.place.file;
        let text = program.sources.text(file)?;
        let (words, whole) = (&backed.words_place.range, &backed.place.range);
        if backed.is_open() || text.get(words.clone())? != backed.words {
            return None;
        }
        let fact = understood.fact(&backed.fact)?;
        let held = understood.held(&fact.name);
        let truth = match (&fact.stated, held) {
            (Stated::Series(series), _) => Truth::Series(
                series.rows.iter().map(|row| row.iter().zip(&series.columns).map(cell).collect()).collect(),
            ),
            (_, held) => Truth::One(Fact::new(held?, fact.limit)),
        };
        let start = words.start - 1;
        let limit = LIMITS.iter().map(|(words, ..)| words.len() + 1).find(|length| {
            let before = start.checked_sub(*length).and_then(|at| text.get(at..start));
            before.is_some_and(|before| LIMITS.iter().any(|(words, ..)| before == format!("{words} ")))
        });
        let from = start - limit.unwrap_or(0);
        Some(Link {
            file,
            range: from..whole.end,
            before: &text[from..start],
            words: &text[words.clone()],
            tail: &text[words.end..whole.end],
            fact: &fact.name,
            called: &fact.called,
            truth,
            known_to: held.and_then(|held| held.known_to.clone()),
        })
    })
}

type Written = packstring::program::Written;

fn cell((cell, column): (&Written, &Written)) -> (Exact, Option<&'static Unit>) {
    let value = truth::numbers(&cell.text).pop().map_or_else(Exact::zero, |number| number.value);
    (value, truth::unit_of(&series_column(&column.text).1))
}

impl Link<'_> {
    fn plant(&self, kind: Kind, backed: bool, before: &str, words: &str) -> Plant {
        let new = match backed {
            true => format!("{before}[{words}{}", self.tail),
            false => format!("{before}{words}"),
        };
        Plant {
            kind,
            backed,
            file: self.file.to_owned(),
            range: self.range.clone(),
            new,
            fact: self.fact.to_owned(),
            was: format!("{}{}", self.before, self.words),
            now: format!("{before}{words}"),
        }
    }

    /// Whether the sentence in which the words stand names the fact by one of its `called` words.
    fn is_named(&self, program: &Program, now: &str) -> bool {
        let Some(text) = program.sources.text(self.file) else { return false };
        let (before, after) = (&text[..self.range.start], &text[self.range.end..]);
        let start = [". ", "! ", "? ", "\n", "| ", "\"", ".\" "]
            .iter()
            .filter_map(|end| before.rfind(end).map(|at| at + end.len()))
            .max()
            .unwrap_or(0);
        let end = [". ", "! ", "? ", "\n", " |", ".\""].iter().filter_map(|end| after.find(end)).min();
        let sentence = format!("{}{now}{}", &before[start..], &after[..end.unwrap_or(after.len())]);
        let words = plain_words(&without_targets(&sentence));
        let named = |called: &String| {
            let called = plain_words(called);
            words.windows(called.len().max(1)).any(|window| *window == called[..])
        };
        self.called.iter().any(named)
    }
}

/// `[six feet](fact:lead-length)` is `[six feet]` to a reader.
fn without_targets(sentence: &str) -> String {
    let mut plain = String::new();
    for (n, part) in sentence.split("](").enumerate() {
        plain += if n == 0 { part } else { part.split_once(')').map_or("", |(_, rest)| rest) };
        plain.push(' ');
    }
    plain
}

/// Words in lower case, without the endings of a plural.
fn plain_words(text: &str) -> Vec<String> {
    let words = text.split(|letter: char| !letter.is_alphanumeric()).filter(|word| !word.is_empty());
    words.map(|word| word.to_lowercase().trim_end_matches('s').trim_end_matches('e').to_owned()).collect()
}

/// All wrong wordings of a link: what is changed, the words before the bracket, those in it.
fn changed(link: &Link) -> Vec<(Kind, String, String)> {
    let mut made = Vec::new();
    let mut put = |kind, words: String| made.push((kind, link.before.to_owned(), words));
    let words = link.words;
    let second = words.find('(').unwrap_or(words.len());
    for (at, digit) in words.char_indices().filter(|(_, letter)| letter.is_ascii_digit()) {
        let leads = words[at + 1..].starts_with(|next: char| next.is_ascii_digit() || next == ',')
            && !words[..at].ends_with(|before: char| before.is_ascii_digit() || ".,".contains(before));
        for other in ('0'..='9').filter(|other| *other != digit && !(leads && *other == '0')) {
            let kind = if at > second { Kind::DualBroken } else { Kind::Digit };
            put(kind, format!("{}{other}{}", &words[..at], &words[at + 1..]));
        }
    }
    for (range, others) in number_words(words) {
        for other in others {
            put(Kind::Word, format!("{}{other}{}", &words[..range.start], &words[range.end..]));
        }
    }
    for (kind, words) in other_units(words) {
        put(kind, words);
    }
    too_fine(link).into_iter().for_each(|words| put(Kind::TooFine, words));
    broken_duals(words).into_iter().for_each(|words| put(Kind::DualBroken, words));
    made.extend(turned(link));
    made
}

/// The number words, and others to put in place of each: the neighbors and what is easily mistaken.
fn number_words(words: &str) -> Vec<(Range<usize>, Vec<&'static str>)> {
    let mut found = Vec::new();
    let mut at = 0;
    for part in words.split_inclusive(|letter: char| !letter.is_alphabetic()) {
        let word = part.trim_end_matches(|letter: char| !letter.is_alphabetic());
        let range = at..at + word.len();
        at += part.len();
        let others: Vec<&str> = match (word.to_lowercase().as_str(), number_word(&word.to_lowercase())) {
            ("half", _) => vec!["quarter", "third"],
            ("million", _) => vec!["thousand", "billion"],
            ("thousand", _) => vec!["hundred", "million"],
            (_, Some(n)) => {
                let near = if n < 20 {
                    [n - 1, n + 1, n + 3, n * 10]
                } else {
                    [n - 10, n + 10, n / 10, n / 10 + 10]
                };
                near.into_iter().filter_map(word_for).collect()
            }
            _ => continue,
        };
        found.push((range, others));
    }
    found
}

/// The unit put in others of its kind and of other kinds, in the form (singular, plural, symbol) in which
/// it stands. A noun that is counted gives way to units.
fn other_units(words: &str) -> Vec<(Kind, String)> {
    let end = words.find(" (").unwrap_or(words.len());
    let stated = truth::read(&words[..end]);
    let Some(number) = stated.numbers.last() else { return Vec::new() };
    let (kind, range) = match stated.unit {
        Some(unit) => (unit.kind, stated.unit_range),
        None => {
            // "four animals", "13 stock camps"
            let rest = &words[number.range.end..end];
            if !rest.starts_with(' ') || rest.trim().split(' ').count() > 2 {
                return Vec::new();
            }
            ("count", number.range.end + 1..end)
        }
    };
    let here = &words[range.clone()];
    let mut copies = Vec::new();
    let mut of_another = 0;
    for unit in UNITS.iter().filter(|unit| unit.many != here && unit.one != here && unit.symbol != here) {
        let form = match stated.unit {
            Some(own) if here == own.one => unit.one,
            Some(own) if here == own.symbol => unit.symbol,
            _ => unit.many,
        };
        let kind = if unit.kind == kind { Kind::UnitAkin } else { Kind::UnitApart };
        of_another += usize::from(kind == Kind::UnitApart);
        if kind == Kind::UnitAkin || of_another % 5 == 0 {
            copies.push((kind, format!("{}{form}{}", &words[..range.start], &words[range.end..])));
        }
    }
    copies
}

/// The number of a rough fact with a digit more than it is known to.
fn too_fine(link: &Link) -> Option<String> {
    let (known, Truth::One(fact)) = (link.known_to.as_ref()?, &link.truth) else { return None };
    let stated = truth::read(link.words);
    let [number] = &stated.numbers[..] else { return None };
    let (packstring::quantity::Amount::One(value), Some(own)) = (&fact.held.quantity.amount, fact.unit)
    else {
        return None;
    };
    let same_unit = stated.unit.is_some_and(|unit| unit.is(own));
    if known.is_zero() || !same_unit || link.words.contains('(') {
        return None;
    }
    let mut place = ratio(1, 1);
    while place >= *known {
        place /= ratio(10, 1);
    }
    let digits = decimal(&(value / &place).round(), &place);
    Some(format!("{}{digits}{}", &link.words[..number.range.start], &link.words[number.range.end..]))
}

/// `steps` times a place of 1, 1/10, 1/100 … written out.
fn decimal(steps: &Exact, place: &Exact) -> String {
    let tail = place.denom().to_string().len() - 1;
    let digits = format!("{:0>width$}", steps.abs().numer(), width = tail + 1);
    let sign = if steps.is_negative() { "−" } else { "" };
    let (head, rest) = digits.split_at(digits.len() - tail);
    if rest.is_empty() { format!("{sign}{head}") } else { format!("{sign}{head}.{rest}") }
}

/// A second half added that is wrong: the right one in the other system of units with its first digit
/// changed.
fn broken_duals(words: &str) -> Vec<String> {
    const PAIRS: [(&str, i64, i64, &str); 7] = [
        ("foot", 3048, 10_000, "m"),
        ("yard", 9144, 10_000, "m"),
        ("inch", 254, 100, "cm"),
        ("mile", 1_609_344, 1_000_000, "km"),
        ("pound", 45_359_237, 100_000_000, "kg"),
        ("gallon", 3_785_411_784, 1_000_000_000, "L"),
        ("fluid ounce", 3_785_411_784, 128_000_000, "mL"),
    ];
    let stated = truth::read(words);
    let ([Number { value, .. }], Some(unit)) = (&stated.numbers[..], stated.unit) else { return Vec::new() };
    let Some((_, n, d, symbol)) = PAIRS.iter().find(|(name, ..)| *name == unit.one) else {
        return Vec::new();
    };
    if !words.ends_with(unit.many) {
        return Vec::new();
    }
    let right = value * ratio(*n, *d);
    let mut place = ratio(1, 10);
    while right >= &place * ratio(100, 1) {
        place *= ratio(10, 1);
    }
    let steps = (right / &place).round();
    let wrong = [&steps + ratio(if steps < ratio(50, 1) { 30 } else { -30 }, 1), &steps + ratio(7, 1)];
    let say = |steps: Exact| match place.denom().to_string().len() {
        1 => (steps * &place).to_string(),
        _ => decimal(&steps, &place),
    };
    wrong.into_iter().map(|steps| format!("{words} ({} {symbol})", say(steps))).collect()
}

/// The limit turned round where one is said; the other one put in where the fact has one that the words
/// do not say.
fn turned(link: &Link) -> Vec<(Kind, String, String)> {
    let Truth::One(fact) = &link.truth else { return Vec::new() };
    let whole = format!("{}{}", link.before, link.words);
    let lower = whole.to_lowercase();
    for (words, other, _) in LIMITS {
        if lower.starts_with(words) {
            let rest = &whole[words.len()..];
            return match link.before.is_empty() {
                true => vec![(Kind::LimitTurned, String::new(), format!("{other}{rest}"))],
                false => vec![(Kind::LimitTurned, format!("{other} "), link.words.to_owned())],
            };
        }
    }
    let starts_bare = truth::numbers(link.words).first().is_some_and(|number| number.range.start == 0);
    let Some(limit) = fact.limit.filter(|_| starts_bare) else { return Vec::new() };
    let others = LIMITS.iter().filter(|(.., other)| match limit {
        packstring::quantity::Limit::AtMost => *other == packstring::quantity::Limit::AtLeast,
        packstring::quantity::Limit::AtLeast => *other == packstring::quantity::Limit::AtMost,
        _ => false,
    });
    others.map(|(words, ..)| (Kind::LimitTurned, String::new(), format!("{words} {}", link.words))).collect()
}
