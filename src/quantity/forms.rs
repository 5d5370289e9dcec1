//! The forms in which units of the table stand in prose: words, symbols, and the marks for feet and
//! inches, told apart from the everyday words and letters that look the same.

use super::Exact;
use super::number::whole;
use super::tokens::{Kind, Text};
use super::unit::{Atom, TABLE, Unit};
use std::borrow::Cow;
use std::ops::Range;

/// The number that a unit stands beside.
#[derive(Clone, Copy)]
pub(super) struct Beside {
    /// It is in digits, so that a single letter may be its unit.
    pub digits: bool,
    /// It is one, so that "second" is no rank.
    pub one: bool,
    /// A hyphen joins it and its unit.
    pub joined: bool,
}

impl Beside {
    pub fn number(text: &Text, number: Range<usize>, value: &Exact) -> Self {
        let digits = number
            .clone()
            .any(|at| matches!(text.kind(at), Some(Kind::Digits | Kind::Mark)) && !text.is_dash(at));
        Self { digits, one: *value == whole(1), joined: false }
    }

    /// A number word, "a", or no number at all (below the line of a rate).
    pub const WORD: Self = Self { digits: false, one: true, joined: false };
    /// The name of a unit by itself.
    pub const NAME: Self = Self { digits: true, one: false, joined: true };

    pub fn joined(self) -> Self {
        Self { joined: true, ..self }
    }
}

/// Quotation marks that were opened before and not closed.
#[derive(Clone, Copy, Default)]
pub(super) struct Quotes {
    pub single: bool,
    pub double: bool,
}

/// Feet and inches by their marks: `6'`, `10"`, `5''`.
pub(super) fn mark_unit(text: &Text, at: usize, quotes: Quotes) -> Option<(Atom, usize)> {
    let inch = || TABLE.named("inch");
    if text.glued(at) && matches!(text.mark(at), '\'' | '’' | '′') {
        let second = text.glued(at + 1) && text.mark(at + 1) == text.mark(at);
        if second {
            return Some((inch(), at + 2));
        }
        // 1970's, and the end of a quotation
        let letter = text.glued(at + 1) && text.kind(at + 1) == Some(Kind::Word);
        if letter || (quotes.single && text.mark(at) != '′') {
            return None;
        }
        return Some((TABLE.named("foot"), at + 1));
    }
    let double = matches!(text.mark(at), '"' | '”' | '″');
    if double && (!quotes.double || text.mark(at) == '″') {
        let word_follows = text.glued(at + 1) && text.kind(at + 1) == Some(Kind::Word);
        if text.glued(at) && !word_follows || is_extent(text, at + 1) {
            return Some((inch(), at + 1));
        }
    }
    None
}

/// Words that tell of a length: `2 in thick`.
pub(super) fn is_extent(text: &Text, at: usize) -> bool {
    text.is_any(
        at,
        &["thick", "wide", "long", "high", "deep", "tall", "across", "diameter", "gap", "apart", "x", "by"],
    )
}

/// A unit of the table at a token: the longest form that fits, and the token after it.
pub(super) fn simple(text: &Text, at: usize, beside: Beside) -> Option<(Atom, usize)> {
    if let Some((form, next)) = dotted(text, at)
        && let Some(atom) = TABLE.find(&form)
    {
        return Some((atom, next));
    }
    let begins = part_of_form(text, at, at)?;
    let is_own = text.own.may_begin(begins);
    if !is_own && !TABLE.may_begin(begins) {
        return None;
    }
    let mut form = String::new();
    let mut found = None;
    for next in at..at + 4 {
        let Some(part) = part_of_form(text, at, next) else { break };
        // "98.6 ° Fahrenheit"
        if next > at && text.spaced(next) && !form.ends_with('°') {
            form.push(' ');
        }
        form.push_str(part);
        if is_own
            && ends_word(text, next)
            && let Some(atom) = text.own.find(&form)
        {
            found = Some((atom, next + 1));
        } else if ends_word(text, next)
            && let Some(atom) = TABLE.find(&form)
            && fits(text, at, next + 1, &form, beside)
        {
            found = Some((atom, next + 1));
        }
    }
    found
}

/// `m.p.h.`, `p.s.i.`: an abbreviation of two letters or more with a stop behind each, and the token after it.
fn dotted(text: &Text, at: usize) -> Option<(String, usize)> {
    let lettered = |at: usize| text.word(at).len() == 1 && text.mark(at + 1) == '.' && text.glued(at + 1);
    let mut form = String::new();
    let mut next = at;
    while lettered(next) && (next == at || text.glued(next)) && next < at + 10 {
        form.push_str(text.word(next));
        next += 2;
    }
    (form.len() > 2).then(|| (form.to_ascii_lowercase(), next))
}

/// The characters of a token that may belong to a unit's form.
fn part_of_form<'t>(text: &Text<'t>, at: usize, next: usize) -> Option<&'t str> {
    let later = next > at && text.glued(next);
    match text.kind(next)? {
        Kind::Word => Some(text.str(next)),
        Kind::Digits => (later && matches!(text.str(next), "2" | "3")).then(|| text.str(next)),
        Kind::Mark => match text.mark(next) {
            'º' | '˚' => Some("°"),
            '°' | '%' | '‰' | '$' | '¢' | '℃' | '℉' | '²' | '³' => Some(text.str(next)),
            mark if super::measure::is_currency(mark) => Some(text.str(next)),
            '⋅' | '•' if later => Some("·"),
            '.' | '^' | '-' | '·' if later => Some(text.str(next)),
            _ => None,
        },
        _ => None,
    }
}

/// Whether a word or a row of digits does not go on after this token.
fn ends_word(text: &Text, at: usize) -> bool {
    let letters = matches!(text.kind(at), Some(Kind::Word | Kind::Digits));
    // "2h30m"
    let compound = text.is_any(at, &["h", "hr", "min", "ft", "d"])
        && text.kind(at + 1) == Some(Kind::Digits)
        && text.kind(at + 2) == Some(Kind::Word)
        && text.glued(at + 2);
    !(letters && text.glued(at + 1) && matches!(text.kind(at + 1), Some(Kind::Word | Kind::Digits)))
        || compound
}

/// Whether a form that is also an everyday word or letter is meant as a unit.
fn fits(text: &Text, at: usize, next: usize, form: &str, beside: Beside) -> bool {
    if form.len() == 1 && form.bytes().all(|byte| byte.is_ascii_alphabetic()) {
        return letter_fits(text, at, form, beside);
    }
    let attached = text.glued(at) || beside.joined;
    let short = form.len() <= 3 && form.bytes().any(|byte| byte.is_ascii_uppercase());
    match form.to_ascii_lowercase().as_str() {
        "in" => attached || is_extent(text, next) || ends_phrase(text, next),
        "second" => beside.digits || beside.joined || beside.one,
        "time" => (beside.one && !beside.joined) || text.is(next, "per"),
        "hand" => beside.joined,
        "hands" => text.is_any(next, &["high", "tall"]) || beside.joined,
        "st" | "pt" | "ac" | "mo" | "cal" | "kn" | "kt" | "ha" | "bu" | "cd" | "ly" | "au" => {
            beside.digits && form.starts_with(|c: char| c.is_lowercase())
        }
        "dollar" | "usd" | "eur" => true,
        // capitals after a number word are somebody's abbreviation
        _ => beside.digits || !short,
    }
}

/// Single letters are units in their own case, and those that are common otherwise only right at
/// the number.
fn letter_fits(text: &Text, at: usize, letter: &str, beside: Beside) -> bool {
    let attached = text.glued(at) || beside.joined;
    let own_case =
        TABLE.find(letter).is_some_and(|atom| atom.known().is_some_and(|known| known.symbol == letter))
            || matches!(letter, "l" | "F" | "C" | "d" | "y" | "c" | "x");
    let named = text.word_before(at.saturating_sub(1)).starts_with(|c: char| c.is_uppercase());
    let after_name = named && !at.checked_sub(2).is_some_and(|before| text.starts_sentence(before));
    match letter {
        _ if !own_case || !beside.digits => false,
        "F" | "C" => {
            let capital = text.word(at + 1).starts_with(|c: char| c.is_uppercase());
            let open = attached || !capital && !text.is_hyphen(at + 1);
            !after_name && open && tells_of_heat(text, at)
        }
        "L" => !after_name || text.is(at + 1, "of"),
        "c" | "d" | "y" => attached,
        // "3x", and not "10x12"
        "x" => text.glued(at),
        "V" | "W" | "A" => {
            attached || ends_phrase(text, at + 1) || text.word(at + 1).starts_with(|c: char| c.is_lowercase())
        }
        _ => true,
    }
}

/// Whether the letter of a scale behind a number is meant as one: the number is of a size that weather, ovens and
/// fevers have, or the words around tell of heat. "13F" by itself is a seat, and "2C" a state of something.
pub(super) fn tells_of_heat(text: &Text, at: usize) -> bool {
    const BEFORE: &[&str] = &[
        "to", "at", "of", "is", "was", "below", "above", "over", "under", "about", "around", "near",
        "nearly", "and", "than", "between", "from", "by", "reach", "reaches", "hit", "hits", "least", "most",
        "exceed", "exceeds", "minus",
    ];
    const STEMS: &[&str] = &[
        "temp",
        "heat",
        "hot",
        "cold",
        "cool",
        "warm",
        "freez",
        "boil",
        "oven",
        "fever",
        "degree",
        "water",
        "air",
        "weather",
        "thermo",
        "bak",
        "melt",
        "frost",
        "chill",
        "simmer",
        "roast",
        "celsius",
        "fahrenheit",
        "overnight",
        "high",
        "low",
        "wind",
        "store",
        "cook",
        "body",
        "ground",
        "asphalt",
    ];
    let first = at.saturating_sub(1);
    let value: f32 = text.str(first).replace(',', "").parse().unwrap_or(0.0);
    let usual = text.str(first).contains('.') || value >= 60.0;
    let near = first.saturating_sub(12)..at + 12;
    let told = |place: usize| {
        let word = text.word(place).to_lowercase();
        matches!(text.mark(place), '°' | 'º' | '˚') || STEMS.iter().any(|stem| word.starts_with(stem))
    };
    let sign = text.is_dash(first.wrapping_sub(1));
    usual
        || sign
        || first == 0 && text.kind(at + 1).is_none()
        || text.is_any(first.wrapping_sub(1), BEFORE)
        || near.into_iter().any(told)
}

/// Whether nothing goes on here that a preposition could stand before.
fn ends_phrase(text: &Text, at: usize) -> bool {
    match text.kind(at) {
        None => true,
        Some(Kind::Mark) => !matches!(text.mark(at), '"' | '“' | '‘' | '\'' | '[' | '-' | '$' | '*'),
        Some(Kind::Word) => text.is_any(at, &["of", "and", "or", "more", "to", "per"]),
        _ => false,
    }
}

/// Rates that have an abbreviation of their own.
const RATES: &[(&str, &str, &str)] = &[
    ("mph", "mile", "hour"),
    ("kph", "kilometer", "hour"),
    ("kmph", "kilometer", "hour"),
    ("mpg", "mile", "gallon"),
    ("tpd", "ton", "day"),
    ("gpm", "gallon", "minute"),
    ("gph", "gallon", "hour"),
    ("gpd", "gallon", "day"),
    ("cfs", "cubic foot", "second"),
];

/// `mph`, `gpm`, `m.p.h.`: a rate by its abbreviation.
pub(super) fn rate(text: &Text, at: usize) -> Option<(Unit, usize)> {
    let (word, next) = match dotted(text, at) {
        Some((form, next)) => (Cow::Owned(form), next),
        None if ends_word(text, at) => (Cow::Borrowed(text.word(at)), at + 1),
        None => return None,
    };
    let (_, above, below) = RATES.iter().find(|(form, ..)| word.eq_ignore_ascii_case(form))?;
    Some((Unit::named(above).times(&Unit::named(below), -1), next))
}
