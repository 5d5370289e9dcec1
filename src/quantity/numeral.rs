//! Numbers as they stand in prose: digits, fractions, mixed forms, and number words.

use super::Exact;
use super::forms::{self, Beside};
use super::fractions::fractions;
use super::number::{last_place, parse, ratio, ten_to, whole};
use super::tokens::{Kind, Text};
use super::words::{self, Word, classify};
use num_traits::{One, Signed};

/// A number and the tokens it takes.
#[derive(Clone, Debug)]
pub(super) struct Numeral {
    pub value: Exact,
    /// The place of its last digit that is not a trailing zero of a whole number.
    pub shown: Exact,
    /// The place of its last digit.
    pub written: Exact,
    pub first: usize,
    pub next: usize,
    /// In digits, without a fraction or a scale word: what dates, years and lists are made of.
    pub bare_digits: bool,
    /// The power of ten of a scale at its end: 6 for `15 million`.
    pub scale: Option<i32>,
}

/// What is known of the surroundings.
#[derive(Clone, Copy, Default)]
pub(super) struct Setting {
    /// After "between", where "and" parts two numbers.
    pub between: bool,
    /// After a currency sign, where `M`, `B` and `T` are scales.
    pub money: bool,
    /// Beside other temperatures, where `K` is the kelvin and not a thousand.
    pub kelvin: bool,
}

/// Reads the number that starts at a token.
pub(super) fn read(text: &Text, at: usize, setting: Setting) -> Option<Numeral> {
    if let Some(start) = negative(text, at) {
        let mut numeral = read(text, start, setting).filter(|numeral| !numeral.value.is_negative())?;
        numeral.value = -numeral.value;
        numeral.first = at;
        return Some(numeral);
    }
    match text.kind(at)? {
        Kind::Digits => in_digits(text, at, setting),
        Kind::Word => in_words(text, at, setting),
        Kind::Mark => fractions(text.mark(at)).map(|(n, d)| {
            let numeral = fraction(at, at + 1, ratio(n, d), d);
            with_dozen(text, numeral)
        }),
        _ => None,
    }
}

/// Whether a minus stands before a sign of money: `−$5`, `minus $5`.
pub(super) fn is_minus(text: &Text, at: usize) -> bool {
    if !super::measure::is_currency(text.mark(at + 1)) {
        return false;
    }
    let free = at == 0 || text.spaced(at) || matches!(text.mark(at - 1), '(' | '[' | ':' | '"' | '“' | '=');
    text.is_any(at, &["minus", "negative"])
        || matches!(text.mark(at), '-' | '−' | '–') && text.glued(at + 1) && free
}

/// The token after a minus sign or word, where one stands at `at`.
fn negative(text: &Text, at: usize) -> Option<usize> {
    if text.is_any(at, &["minus", "negative"]) {
        let follows = text.kind(at + 1) == Some(Kind::Digits) || classify(text.word(at + 1)).is_some();
        return follows.then_some(at + 1);
    }
    // "$-5"
    if text.is_dash(at) && text.glued(at) && super::measure::is_currency(text.mark(at.wrapping_sub(1))) {
        return (text.kind(at + 1) == Some(Kind::Digits) && text.glued(at + 1)).then_some(at + 1);
    }
    if !matches!(text.mark(at), '-' | '−' | '–')
        || text.kind(at + 1) != Some(Kind::Digits)
        || !text.glued(at + 1)
    {
        return None;
    }
    let free = at == 0
        || text.spaced(at)
        || matches!(
            text.mark(at - 1),
            '(' | '[' | '~' | '∼' | '≤' | '≥' | '<' | '>' | '=' | '/' | ':' | '"' | '“'
        );
    // "2 -7 l" is a range with a careless space
    let after_number = at > 0 && text.kind(at - 1) == Some(Kind::Digits);
    (free && !after_number).then_some(at + 1)
}

fn fraction(first: usize, next: usize, value: Exact, parts: i64) -> Numeral {
    let place = ratio(1, parts);
    Numeral { value, shown: place.clone(), written: place, first, next, bare_digits: false, scale: None }
}

fn in_digits(text: &Text, at: usize, setting: Setting) -> Option<Numeral> {
    if text.str(at) == "1"
        && let Some((value, parts, next)) = fraction_words(text, at)
    {
        // 1 quarter
        return Some(fraction(at, next, value, parts));
    }
    let (value, mut written, mut shown, mut next) = digits(text, at)?;
    let decimal = written < Exact::one();
    if let Some((n, d, after)) = ratio_of(text, at) {
        return Some(fraction(at, after, ratio(n, d), d));
    }
    if let Some((n, d, after)) = slash(text, at).filter(|_| !slash_range(text, at)) {
        // 3/4
        if d == 0 || n >= d.max(1) * 4 {
            return None;
        }
        return Some(with_dozen(text, fraction(at, after, ratio(n, d), d)));
    }
    if !decimal && let Some((part, parts, after)) = fraction_after(text, next) {
        // 1 1/2, 2½, 5 and a half
        let mut numeral = fraction(at, after, value + part, parts);
        scale_fraction(text, &mut numeral);
        return Some(with_dozen(text, numeral));
    }
    let mut bare_digits = true;
    let mut scale = None;
    let mut value = value;
    if let Some(spoken) = words::scaled(text, &value, &written, next, setting.between) {
        shown = spoken_shown(&spoken.value, &(&shown * (&spoken.written / &written)), decimal);
        (value, written, next, bare_digits) = (spoken.value, spoken.written, spoken.next, false);
        scale = scale_before(text, next);
    } else if let Some(power) = letter_scale(text, next, setting) {
        value *= ten_to(power);
        shown *= ten_to(power);
        written *= ten_to(power);
        next += 1;
        bare_digits = false;
        scale = Some(power);
    } else if text.is(next, "point") && text.kind(next + 1) == Some(Kind::Digits) && !decimal {
        // 1 point 1
        let tail = text.str(next + 1);
        value = parse(&format!("{value}.{tail}"))?;
        written = ten_to(-(tail.len() as i32));
        shown = written.clone();
        next += 2;
    }
    Some(with_dozen(text, Numeral { value, shown, written, first: at, next, bare_digits, scale }))
}

fn spoken_shown(value: &Exact, scaled: &Exact, decimal: bool) -> Exact {
    if decimal { scaled.clone() } else { ten_to(last_place(value).unwrap_or(0)) }
}

/// The value of digits at a token, the places of their last one and of their last one that is no trailing
/// zero, and the token after.
fn digits(text: &Text, at: usize) -> Option<(Exact, Exact, Exact, usize)> {
    let token = text.str(at);
    let mut figures = token.replace(',', "");
    let mut next = at + 1;
    if token.len() <= 3 && !token.contains('.') {
        next = spaced_groups(text, at, &mut figures);
    }
    let decimals = figures.split_once('.').map_or(0, |(_, tail)| tail.len() as i32);
    let mut value = parse(&figures)?;
    let mut written = ten_to(-decimals);
    let zeros = figures.bytes().rev().take_while(|byte| *byte == b'0').count();
    let trailing = if decimals > 0 || zeros == figures.len() { 0 } else { zeros as i32 };
    let mut shown = ten_to(trailing - decimals);
    if let Some((power, after)) = power_of_ten(text, at, next) {
        // 2.48 × 10⁻⁵, 10^6
        let factor = ten_to(power);
        if token == "10" && after > next && text.mark(next) != '×' && !text.is(next, "x") {
            value = factor.clone();
            written = factor.clone();
            shown = factor;
        } else {
            value *= &factor;
            written *= &factor;
            shown *= &factor;
        }
        return Some((value, written, shown, after));
    }
    if text.glued(next) && text.is(next, "e") {
        // 1e-3
        let minus = usize::from(text.is_dash(next + 1) && text.glued(next + 1));
        let power = next + 1 + minus;
        if text.glued(power) && text.kind(power) == Some(Kind::Digits) && text.str(power).len() <= 2 {
            let power_of: i32 = text.str(power).parse().ok()?;
            let factor = ten_to(if minus == 1 { -power_of } else { power_of });
            value *= &factor;
            written *= &factor;
            shown *= &factor;
            next = power + 1;
        }
    }
    Some((value, written, shown, next))
}

/// `1 234 567`: groups of three parted by spaces; a single group only where it begins with a zero or
/// the space is a thin or no-break one, as `5 100-mile rides` would be read wrong otherwise.
fn spaced_groups(text: &Text, at: usize, figures: &mut String) -> usize {
    let mut next = at + 1;
    let mut thin = true;
    let mut zeros = false;
    let mut groups = String::new();
    while let Some(token) = text.get(next).filter(|token| token.kind == Kind::Digits && token.spaced) {
        let group = text.str(next);
        // the last may have decimals
        let (head, tail) = group.split_once('.').unwrap_or((group, ""));
        if head.len() != 3 || !head.bytes().all(|byte| byte.is_ascii_digit()) || next - at > 8 {
            break;
        }
        let gap = &text.text[text.tokens[next - 1].end..token.start];
        if gap.chars().count() != 1 || gap == "\n" || gap == "\t" {
            break;
        }
        thin &= gap != " ";
        zeros |= group.starts_with('0');
        groups.push_str(group);
        next += 1;
        if !tail.is_empty() {
            break;
        }
    }
    if next - at > 2 || (next - at == 2 && (thin || zeros)) {
        figures.push_str(&groups);
        return next;
    }
    at + 1
}

/// `10:1`, `1:4`, and `1:12` beside a word that tells of a ratio, as it could be a clock time: both numbers and
/// the token after. A map's scale is none, nor is a verse.
pub(super) fn ratio_of(text: &Text, at: usize) -> Option<(i64, i64, usize)> {
    const TELLS: &[&str] = &[
        "ratio",
        "ratios",
        "slope",
        "slopes",
        "mix",
        "mixed",
        "mixture",
        "dilution",
        "dilute",
        "diluted",
        "solution",
        "scope",
        "proportion",
        "gradient",
        "pitch",
        "odds",
        "advantage",
        "anchor",
        "rode",
        "pulley",
        "haul",
    ];
    let whole = |at: usize, most: usize| {
        let digits = text.kind(at) == Some(Kind::Digits) && text.str(at).len() <= most;
        digits.then(|| text.str(at).parse::<i64>().ok()).flatten()
    };
    let joined = text.mark(at + 1) == ':' && text.glued(at + 1) && text.glued(at + 2);
    let goes_on = text.glued(at + 3)
        && matches!(text.mark(at + 3), ':' | '.' | '-' | '–')
        && text.kind(at + 4) == Some(Kind::Digits);
    if !joined || goes_on || (text.glued(at + 3) && text.kind(at + 3) == Some(Kind::Word)) {
        return None;
    }
    let (n, d) = (whole(at, 4)?, whole(at + 2, 3)?);
    let tells =
        (1..=4).any(|away| text.is_any(at.wrapping_sub(away), TELLS) || text.is_any(at + 2 + away, TELLS));
    let like_clock = text.str(at + 2).len() == 2 && n < 25 && d < 60;
    let verse = text.word_before(at).starts_with(char::is_uppercase) && !text.get(at - 1)?.first_of_line;
    (n > 0 && d > 0 && (tells || !(like_clock || verse))).then_some((n, d, at + 3))
}

/// The power of ten that multiplies digits (`× 10⁻⁵`, `x 10^6`, `×10−5`), or that the digits 10 themselves are
/// raised to (`10^6`, `10⁶`): it, and the token after.
pub(super) fn power_of_ten(text: &Text, at: usize, next: usize) -> Option<(i32, usize)> {
    let times = matches!(text.mark(next), '×' | '·' | '⋅' | '*') || text.is(next, "x");
    if times && text.str(next + 1) == "10" {
        return raised(text, next + 2, true);
    }
    if text.str(at) == "10" && next == at + 1 { raised(text, next, false) } else { None }
}

/// A power as it is written behind its base; a plain minus or digits may stand where their raising was lost.
fn raised(text: &Text, at: usize, times: bool) -> Option<(i32, usize)> {
    let power = |at: usize| {
        let short = text.kind(at) == Some(Kind::Digits) && text.glued(at) && text.str(at).len() <= 2;
        short.then(|| text.str(at).parse::<i32>().ok()).flatten()
    };
    if text.mark(at) == '^' && text.glued(at) {
        let minus = usize::from(text.is_dash(at + 1));
        let n = power(at + 1 + minus)?;
        return Some((if minus == 1 { -n } else { n }, at + 2 + minus));
    }
    if times && text.mark(at) == '−' && text.glued(at) {
        return Some((-power(at + 1)?, at + 2));
    }
    const DIGITS: [char; 10] = ['⁰', '¹', '²', '³', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹'];
    let minus = usize::from(text.mark(at) == '⁻' && text.glued(at));
    let mut next = at + minus;
    let mut n = 0;
    while let Some(digit) = DIGITS.iter().position(|digit| *digit == text.mark(next))
        && text.glued(next)
        && next < at + 3
    {
        n = n * 10 + digit as i32;
        next += 1;
    }
    (next > at + minus).then_some((if minus == 1 { -n } else { n }, next))
}

/// `n/d` in digits: both, and the token after.
fn slash(text: &Text, at: usize) -> Option<(i64, i64, usize)> {
    let glued = text.glued(at + 1) && text.glued(at + 2);
    let whole = |at| {
        let token = text.str(at);
        (text.kind(at) == Some(Kind::Digits) && token.len() <= 4).then(|| token.parse::<i64>().ok()).flatten()
    };
    if !matches!(text.mark(at + 1), '/' | '⁄') || !glued {
        return None;
    }
    let (n, d) = (whole(at)?, whole(at + 2)?);
    // 3/4/2026 and 22/10a are no fractions
    let goes_on = text.glued(at + 3) && (text.mark(at + 3) == '/' && text.kind(at + 4) == Some(Kind::Digits));
    (!goes_on).then_some((n, d, at + 3))
}

/// `20/30 L`: from the one to the other, where no such part is usual and a unit follows.
pub(super) fn slash_range(text: &Text, at: usize) -> bool {
    const PARTS: [i64; 5] = [16, 32, 64, 100, 1000];
    text.kind(at) == Some(Kind::Digits)
        && slash(text, at).is_some_and(|(n, d, next)| {
            let usual = d <= 12 || PARTS.contains(&d);
            n < d && !usual && forms::simple(text, next, Beside::NAME).is_some()
        })
}

/// The fraction that follows a whole number: `1/2`, `½`, `and a half`. Its value, its parts, the
/// token after.
fn fraction_after(text: &Text, at: usize) -> Option<(Exact, i64, usize)> {
    if let Some((n, d)) = fractions(text.mark(at)) {
        return Some((ratio(n, d), d, at + 1));
    }
    let hyphen = usize::from(text.is_hyphen(at) && text.glued(at) && text.glued(at + 1));
    if text.kind(at + hyphen) == Some(Kind::Digits)
        && let Some((n, d, next)) = slash(text, at + hyphen)
    {
        return (0 < n && n < d && d <= 64).then(|| (ratio(n, d), d, next));
    }
    if text.is(at, "and") || text.mark(at) == '&' {
        return fraction_words(text, at + 1).or_else(|| {
            if let Some((n, d)) = fractions(text.mark(at + 1)) {
                return Some((ratio(n, d), d, at + 2));
            }
            let (n, d, next) = slash(text, at + 1)?;
            (0 < n && n < d && d <= 64).then(|| (ratio(n, d), d, next))
        });
    }
    None
}

/// `a half`, `three quarters`, `fifty-four hundredths`, as they follow "and".
pub(super) fn fraction_words(text: &Text, at: usize) -> Option<(Exact, i64, usize)> {
    if text.is(at, "half") {
        return Some((ratio(1, 2), 2, at + 1));
    }
    let (n, next) = if text.is_any(at, &["a", "an", "one"]) || text.str(at) == "1" {
        (1, at + 1)
    } else {
        small(text, at)?
    };
    let next = next + usize::from(text.is_hyphen(next));
    let (of, many) = words::part(text.word(next))?;
    (many == (n > 1)).then(|| (words::parts(n, of), of.into(), next + 1))
}

/// A number word below 100 and the token after.
fn small(text: &Text, at: usize) -> Option<(u32, usize)> {
    match classify(text.word(at))? {
        Word::One(n) | Word::Teen(n) => Some((n, at + 1)),
        Word::Ten(n) => {
            let ones = at + 1 + usize::from(text.is_hyphen(at + 1));
            match classify(text.word(ones)) {
                Some(Word::One(one)) => Some((n + one, ones + 1)),
                _ => Some((n, at + 1)),
            }
        }
        _ => None,
    }
}

fn in_words(text: &Text, at: usize, setting: Setting) -> Option<Numeral> {
    if text.is(at, "a") && text.are(at + 1, &["couple", "of"])
        || text.is(at, "couple") && text.is(at + 1, "of")
    {
        // "a couple of hundred", "a couple of dozen", "a couple of yards"
        let after = at + 2 + usize::from(text.is(at, "a"));
        if let Some(spoken) = words::scaled(text, &whole(2), &whole(1), after, true) {
            return Some(spoken_numeral(text, at, spoken));
        }
        let counts = is_dozen(text.word(after)) || forms::simple(text, after, Beside::WORD).is_some();
        return counts.then(|| {
            let two = words::Spoken { value: whole(2), written: whole(1), fine: false, next: after };
            with_dozen(text, spoken_numeral(text, at, two))
        });
    }
    if let Some(numeral) = share(text, at) {
        return Some(with_dozen(text, numeral));
    }
    if text.is_any(at, &["a", "an"]) && is_dozen(text.word(at + 1)) {
        return Some(dozen(at, at + 2, whole(1)));
    }
    let spoken = words::whole_number(text, at, setting.between)?;
    if !spoken.fine
        && let Some((part, parts, next)) = fraction_after(text, spoken.next)
        && (text.is(spoken.next, "and") || text.mark(spoken.next) == '&')
    {
        let mut numeral = fraction(at, next, spoken.value + part, parts);
        scale_fraction(text, &mut numeral);
        return Some(with_dozen(text, numeral));
    }
    Some(with_dozen(text, once_more_in_digits(text, spoken_numeral(text, at, spoken))))
}

/// `ten (10)`: the same number once more.
fn once_more_in_digits(text: &Text, mut numeral: Numeral) -> Numeral {
    let next = numeral.next;
    let is_it = text.mark(next) == '('
        && text.kind(next + 1) == Some(Kind::Digits)
        && text.mark(next + 2) == ')'
        && digits(text, next + 1).is_some_and(|(value, ..)| value == numeral.value);
    if is_it {
        numeral.next = next + 3;
    }
    numeral
}

fn spoken_numeral(text: &Text, first: usize, spoken: words::Spoken) -> Numeral {
    let shown =
        if spoken.fine { spoken.written.clone() } else { ten_to(last_place(&spoken.value).unwrap_or(0)) };
    Numeral {
        value: spoken.value,
        shown,
        written: spoken.written,
        first,
        next: spoken.next,
        bare_digits: false,
        scale: scale_before(text, spoken.next),
    }
}

/// The scale word that ends a number.
fn scale_before(text: &Text, next: usize) -> Option<i32> {
    match classify(text.word_before(next))? {
        Word::Hundred => Some(2),
        Word::Scale(power) => Some(power),
        _ => None,
    }
}

/// `half`, `a quarter`, `two thirds`, `half a million`: a share on its own.
fn share(text: &Text, at: usize) -> Option<Numeral> {
    let bare = text.is_any(at, &["half", "quarter"]);
    let (value, parts, next) = if bare {
        let parts = if text.is(at, "half") { 2 } else { 4 };
        (ratio(1, parts), parts, at + 1)
    } else {
        fraction_words(text, at)?
    };
    let mut numeral = fraction(at, next, value, parts);
    let article = usize::from(text.is_any(next, &["a", "of"])) + usize::from(text.are(next, &["of", "a"]));
    if let Some(Word::Scale(_) | Word::Hundred) = classify(text.word(next + article)) {
        numeral.next += article;
        scale_fraction(text, &mut numeral);
    } else if is_dozen(text.word(next + article)) {
        numeral.next += article;
    }
    Some(numeral)
}

/// `half a million`, `two and a half thousand`.
fn scale_fraction(text: &Text, numeral: &mut Numeral) {
    let factor = match classify(text.word(numeral.next)) {
        Some(Word::Scale(power)) => ten_to(power),
        Some(Word::Hundred) => ten_to(2),
        _ => return,
    };
    numeral.value *= &factor;
    numeral.shown *= &factor;
    numeral.written *= &factor;
    numeral.next += 1;
}

fn is_dozen(word: &str) -> bool {
    ["dozen", "dozens", "doz", "dozs"].iter().any(|dozen| word.eq_ignore_ascii_case(dozen))
}

fn dozen(first: usize, next: usize, value: Exact) -> Numeral {
    let value = value * whole(12);
    Numeral { value, shown: whole(1), written: whole(1), first, next, bare_digits: false, scale: None }
}

fn with_dozen(text: &Text, numeral: Numeral) -> Numeral {
    if is_dozen(text.word(numeral.next)) {
        dozen(numeral.first, numeral.next + 1, numeral.value)
    } else {
        numeral
    }
}

/// 40 for `forties`.
pub(super) fn decade_word(word: &str) -> Option<i64> {
    const WORDS: [&str; 8] =
        ["twenties", "thirties", "forties", "fifties", "sixties", "seventies", "eighties", "nineties"];
    let at = WORDS.iter().position(|known| word.eq_ignore_ascii_case(known))?;
    Some(20 + 10 * at as i64)
}

/// `10k`, `1.5K`, `$2.174T`: the power of ten of a letter that stands at the digits.
fn letter_scale(text: &Text, at: usize, setting: Setting) -> Option<i32> {
    if !text.glued(at) {
        return None;
    }
    match text.word(at) {
        "k" => Some(3),
        "K" if !setting.kelvin => Some(3),
        "m" | "M" | "mn" if setting.money => Some(6),
        "b" | "B" | "bn" if setting.money => Some(9),
        "M" if counts_millions(text, at) => Some(6),
        "B" | "bn" if counts_millions(text, at) => Some(9),
        "T" | "tn" if setting.money => Some(12),
        _ => None,
    }
}

/// Whether a letter at digits counts millions: `2.3M visitors`, `1.5M a year`, and not the metres of `5M deep`.
fn counts_millions(text: &Text, at: usize) -> bool {
    let word = text.word(at + 1).to_lowercase();
    let of_length = super::forms::is_extent(text, at + 1);
    let counted = super::noun::is_plural(&word) || forms::simple(text, at + 1, Beside::WORD).is_some();
    !of_length && (text.str(at - 1).contains('.') || counted)
}

/// Whether a number may start at a token, so that the reader looks closer.
pub(super) fn may_start(text: &Text, at: usize) -> bool {
    match text.kind(at) {
        Some(Kind::Digits) => true,
        Some(Kind::Mark) => {
            fractions(text.mark(at)).is_some()
                || (text.is_dash(at)
                    && (text.kind(at + 1) == Some(Kind::Digits)
                        || super::measure::is_currency(text.mark(at + 1))))
        }
        Some(Kind::Word) => {
            let word = text.word(at);
            classify(word).is_some()
                || match word.len() {
                    1 => text.is(at, "a"),
                    2 => text.is(at, "an"),
                    4 => text.is_any(at, &["half", "once"]),
                    5 => text.is_any(at, &["minus", "twice"]),
                    6 => text.is_any(at, &["couple", "thrice"]),
                    7 => text.is(at, "quarter") || decade_word(word).is_some(),
                    8 => text.is(at, "negative") || decade_word(word).is_some(),
                    9 => decade_word(word).is_some(),
                    _ => false,
                }
        }
        _ => false,
    }
}
