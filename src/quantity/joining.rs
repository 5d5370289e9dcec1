//! Joining what was measured: compounds (5 ft 10 in), ranges (5 to 10 gallons), tolerances (5 ± 1) and
//! lists that share a unit (3.2 and 4.9 mm).

use super::forms::{self, Beside, simple};
use super::measure::{self, Measure};
use super::number::{ratio, ten_to, whole};
use super::numeral::{self, Setting};
use super::reader::Walk;
use super::tokens::Text;
use super::unit::Unit;
use super::{Amount, Exact, Figure, asides, hedges};
use num_traits::{One, Signed};
use std::ops::Range;

/// Two numbers, or one, with what belongs to them.
pub(super) struct Core {
    pub number: Range<usize>,
    pub amount: Amount,
    pub unit: Unit,
    pub shown: Exact,
    pub written: Exact,
    pub first: usize,
    pub next: usize,
    pub bare_digits: bool,
    pub scale: Option<i32>,
    /// Two numbers that an "or" joins.
    pub either: bool,
    /// How many of what stands below the line the writer names.
    pub each: Exact,
}

impl Walk<'_> {
    /// `5 ft 10 in`, `2 h 30 min`, `an hour and a half`: takes the smaller units that follow.
    pub fn compound(&self, first: Measure) -> Core {
        let text = self.text;
        let mut core = Core {
            number: first.first..first.number_end,
            amount: Amount::One(first.value.clone()),
            unit: first.unit.clone(),
            shown: first.shown.clone(),
            written: first.written.clone(),
            first: first.first,
            next: first.next,
            bare_digits: first.bare_digits,
            scale: first.scale,
            either: false,
            each: first.each.clone(),
        };
        if first.sign_first || first.unit.is_none() {
            return core;
        }
        if let Some((part, parts, next)) = and_a_half(text, core.next) {
            core.amount = Amount::One(first.value + part);
            core.shown = ratio(1, parts);
            core.written = core.shown.clone();
            core.next = next;
            return core;
        }
        let mut value = first.value;
        // nothing smaller follows a part of the larger: "14.3 km and 1,200 m" are two
        while value.is_integer()
            && let Some(part) = self.smaller_part(&core)
        {
            // "twelve dollars and fifty cents per vehicle": what it is per is of both
            let Some(converted) = core.unit.convert(&value, &part.unit.above()) else { break };
            value = converted + part.value;
            core.unit = part.unit;
            core.shown = part.shown;
            core.written = part.written;
            core.number.end = part.number_end;
            core.next = part.next;
        }
        core.amount = Amount::One(value);
        core
    }

    fn smaller_part(&self, core: &Core) -> Option<Measure> {
        let text = self.text;
        let mut at = core.next;
        at += usize::from(text.mark(at) == '.' && text.glued(at) && text.spaced(at + 1));
        at += usize::from(text.mark(at) == ',');
        at += usize::from(text.is(at, "and"));
        if matches!(text.mark(core.next), '-') && text.glued(core.next) {
            at += 1;
        }
        let next_line = at == core.next && text.get(at).is_some_and(|token| token.first_of_line);
        if next_line || !numeral::may_start(text, at) || text.is_any(at, &["a", "an"]) {
            return None;
        }
        let mut part = measure::read(text, at, Setting::default(), self.quotes)?;
        // "2 h 30"
        let of_hours = core.unit == Unit::named("hour");
        let sixtieth = text.str(at).len() == 2 && part.value < whole(60) && part.next == at + 1;
        let of_hours = of_hours && measure::counted(text, part.next, &part.value).is_none();
        if of_hours && sixtieth && at == core.next && part.unit.is_none() {
            part.unit = Unit::named("minute");
        }
        // "six foot two", "6-foot-2"
        let tall = text.is(core.next.wrapping_sub(1), "foot") && core.unit == Unit::named("foot");
        if tall && part.unit.is_none() && part.value < whole(12) && part.next == at + 1 {
            let counts = measure::counted(text, part.next, &part.value).is_some();
            let runs_on = text.glued(part.next) && !text.word(part.next).is_empty();
            if at <= core.next + 1 && !counts && !runs_on {
                part.unit = Unit::named("inch");
            }
        }
        if core.unit == Unit::named("hour") && part.unit == Unit::named("meter") && text.glued(at) {
            // 2h30m
            part.unit = Unit::named("minute");
        }
        let bigger = core.unit.single()?.known()?;
        let above = part.unit.above();
        let smaller = above.single()?.known()?;
        let chained = CHAINS.iter().any(|chain| {
            let place = |name: &str| chain.iter().position(|unit| *unit == name);
            matches!((place(&bigger.name), place(&smaller.name)), (Some(big), Some(small)) if big < small)
        });
        (chained && !part.joined && !part.value.is_negative()).then_some(part)
    }

    /// `5 to 10 gallons`: takes the other end. The error is where to go on when it turns out to be a
    /// score.
    pub fn ranged(&self, core: Core, setting: Setting) -> Result<Core, usize> {
        let text = self.text;
        if let (Amount::One(low), Some((high, next))) = (&core.amount, or_so_many(text, core.next))
            && low.is_one()
            && !(core.unit.is_none() || core.unit.counts_things())
        {
            return Ok(Core { amount: Amount::Range(low.clone(), high), next, either: true, ..core });
        }
        let Some((start, link)) = self.connector(&core, setting) else { return Ok(core) };
        let start = hedges::skip_forward(text, start);
        if !numeral::may_start(text, start) && !measure::may_be_currency(text, start) {
            return Ok(core);
        }
        let after_dash = link == Link::Dash;
        if asides::skip(text, start).is_some_and(|_| !(after_dash && text.glued(start))) {
            return Ok(core);
        }
        // "45 minutes to an hour"
        let one = || measure::article(text, start).filter(|_| !core.unit.is_none());
        let Some(other) =
            measure::read(text, start, Setting { between: false, ..setting }, self.quotes).or_else(one)
        else {
            return Ok(core);
        };
        if super::reader::broken(text, &other) {
            return Ok(core);
        }
        let other = self.compound(other);
        let (Amount::One(low), Amount::One(high)) = (&core.amount, &other.amount) else { return Ok(core) };
        // "10 to 15 million"
        let shared = if core.unit.is_none() && core.scale.is_none() { other.scale } else { None };
        let below = if core.unit.is_none() { other.each.clone() } else { whole(1) };
        let low = &(low / below);
        let shared = shared.map(ten_to).filter(|scale| low * scale < *high).unwrap_or_else(|| whole(1));
        let Some((low, high, unit)) = one_unit(&(low * &shared), &core.unit, high, &other.unit) else {
            return Ok(core);
        };
        // "two or three sips": neighbors, of something that is counted
        let neighbors =
            || high.clone() - low.clone() == whole(1) && measure::counted(text, other.next, &high).is_some();
        if link == Link::Or && (low >= high || unit.is_none() && !neighbors()) {
            return Ok(core);
        }
        let down = low > high;
        if down && link == Link::To && is_one_bare(text, &core, &other) {
            return Ok(ratio_to_one(core, &other));
        }
        if down && link == Link::And {
            return Ok(core);
        }
        if down && link == Link::Dash && unit.is_none() {
            return Err(other.next);
        }
        if low == high {
            return Ok(core);
        }
        let (low, high) = if down { (high, low) } else { (low, high) };
        Ok(Core {
            number: core.first..other.number.end,
            shown: (core.shown * &shared).min(other.shown),
            written: (core.written * &shared).min(other.written),
            amount: Amount::Range(low, high),
            unit,
            first: core.first,
            next: other.next,
            bare_digits: core.bare_digits,
            scale: other.scale,
            either: link == Link::Or,
            each: other.each,
        })
    }

    /// The word or mark that joins two ends of a range, and the token after it.
    fn connector(&self, core: &Core, setting: Setting) -> Option<(usize, Link)> {
        let text = self.text;
        let at = core.next;
        // "six- to eight-foot"
        let hanging = usize::from(
            text.is_hyphen(at)
                && text.glued(at)
                && text.is_any(at + 1, &["to", "or"])
                && !text.is_hyphen(at + 2),
        );
        let word = at + hanging;
        if text.is(core.first.wrapping_sub(1), "from") && tells_change(text, core.first - 1) {
            return None;
        }
        let joined =
            text.is_hyphen(core.number.end) && text.glued(core.number.end) && core.next > core.number.end;
        // "20 through 100", but not "five miles through two gates"
        let through = text.is_any(word, &["through", "thru"]) && core.unit.is_none();
        if (text.is(word, "to") || through) && !joined {
            return Some((word + 1, Link::To));
        }
        if text.is_hyphen(at) && text.is(at + 1, "to") && text.is_hyphen(at + 2) {
            return Some((at + 3, Link::To));
        }
        if text.are(at, &["up", "to"]) && text.is(core.first.wrapping_sub(1), "from") {
            return Some((at + 2, Link::To));
        }
        if text.is(word, "or") && core.unit.is_none() {
            return Some((word + 1, Link::Or));
        }
        if text.is(at, "and") && setting.between {
            return Some((at + 1, Link::And));
        }
        if text.mark(at) == '/' && numeral::slash_range(text, core.first) {
            return Some((at + 1, Link::Dash));
        }
        if matches!(text.mark(at), '~' | '∼') && text.glued(at) {
            return Some((at + 1, Link::Dash));
        }
        if text.is_dash(at) && text.mark(at) != '—' && !joined {
            return Some((at + 1, Link::Dash));
        }
        if text.is_any(at, &["and", "but"]) || text.mark(at) == ',' {
            let lower = hedges::before(text, core.first).0;
            let from_below =
                lower.hedge == Some(super::Hedge::Over) || lower.limit == Some(super::Limit::AtLeast);
            if from_below && let Some(next) = hedges::upper_end(text, at + 1) {
                return Some((next, Link::And));
            }
        }
        None
    }

    /// `5 ± 1 °C`: the value stands; what it may be out by is read over.
    pub fn tolerance(&self, core: &mut Core) {
        let text = self.text;
        if text.mark(core.next) != '±' {
            return;
        }
        let Some(other) = measure::read(text, core.next + 1, Setting::default(), self.quotes) else { return };
        if core.unit.is_none() {
            core.unit = other.unit;
        } else if !other.unit.is_none() && other.unit != core.unit {
            return;
        }
        core.next = other.next;
        core.bare_digits = false;
    }
}

/// `an hour or two`, `a mile or three`: how many it may be as well, where nothing says of what else.
pub(super) fn or_so_many(text: &Text, at: usize) -> Option<(Exact, usize)> {
    if !text.is(at, "or") {
        return None;
    }
    let number = numeral::read(text, at + 1, Setting::default())?;
    let many = number.value.is_integer() && number.value > whole(1) && number.next == at + 2;
    let ends = simple(text, number.next, Beside::WORD).is_none()
        && measure::counted(text, number.next, &number.value).is_none()
        && !text.is_hyphen(number.next);
    (many && ends).then_some((number.value, number.next))
}

/// "four to one", "ten-to-one": what stands behind is the one of a ratio.
fn is_one_bare(text: &Text, core: &Core, other: &Core) -> bool {
    let goes_on = text.is_any(other.next, &["hundred", "thousand", "million", "side"]);
    (text.is(other.first, "one") || text.str(other.first) == "1")
        && other.next == other.first + 1
        && core.unit.is_none()
        && other.unit.is_none()
        && !goes_on
}

/// So many to one is that number.
fn ratio_to_one(core: Core, other: &Core) -> Core {
    Core { number: core.first..other.number.end, next: other.next, bare_digits: false, scale: None, ..core }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Link {
    To,
    And,
    Or,
    Dash,
}

/// Units that are stated together, the larger first.
const CHAINS: &[&[&str]] = &[
    &["yard", "foot", "inch"],
    &["mile", "yard"],
    &["kilometer", "meter", "centimeter", "millimeter"],
    &["stone", "pound", "ounce"],
    &["kilogram", "gram"],
    &["week", "day", "hour", "minute", "second"],
    &["decade", "year", "month"],
    &["dollar", "cent"],
    &["euro", "cent"],
    &["pound sterling", "penny"],
    &["degree", "arcminute", "arcsecond"],
];

/// "rose from 15 % to 33 %": a change from one value to another, and no range.
fn tells_change(text: &Text, from: usize) -> bool {
    const STEMS: &[&str] = &[
        "increas", "decreas", "grew", "grow", "rose", "rise", "fell", "fall", "drop", "declin", "improv",
        "chang", "reduc", "climb", "jump", "slip", "went", "cut", "rais", "lower", "expand", "extend",
        "shrink", "shrank",
    ];
    for back in 1..=9 {
        let Some(at) = from.checked_sub(back) else { return false };
        let word = text.word(at).to_ascii_lowercase();
        if text.mark(at) == '.' || word.starts_with("rang") || word.starts_with("vari") {
            return false;
        }
        if STEMS.iter().any(|stem| word.starts_with(stem)) {
            return true;
        }
    }
    false
}

/// Both ends in one unit; `None` where they are no range.
fn one_unit(low: &Exact, a: &Unit, high: &Exact, b: &Unit) -> Option<(Exact, Exact, Unit)> {
    if a == b || a.is_none() {
        return Some((low.clone(), high.clone(), b.clone()));
    }
    if b.is_none() {
        // "$10 to 20"
        let money = a.single().is_some_and(|atom| atom.dimension().starts_with("money"));
        return money.then(|| (low.clone(), high.clone(), a.clone()));
    }
    let degree = Unit::named("degree");
    if *a == degree && b.temperature().is_some() {
        return Some((low.clone(), high.clone(), b.clone()));
    }
    if b.times(a, -1).factors().iter().all(|(_, power)| *power < 0) {
        // "$5 to $10 a day"
        return Some((low.clone(), high.clone(), b.clone()));
    }
    if a.is_count() || !a.same_dimension(b) {
        return None;
    }
    Some((a.convert(low, b)?, high.clone(), b.clone()))
}

/// `and a half`, `and half` behind a unit.
pub(super) fn and_a_half(text: &Text, at: usize) -> Option<(Exact, i64, usize)> {
    if !text.is(at, "and") {
        return None;
    }
    let (part, parts, next) = numeral::fraction_words(text, at + 1)?;
    // "two liters and a half of water", and not "two apples and half of the pie"
    let of = text.is(next, "of") && text.is(at + 1, "half");
    let alone = forms::simple(text, next, Beside::WORD).is_none()
        && !of
        && !text.is_any(next, &["a", "an", "million", "thousand", "hundred", "dozen", "billion"])
        && !text.is_hyphen(next);
    alone.then_some((part, parts, next))
}

/// `3.2 and 4.9 mm`, `7.3, 9.1 and 13.1 mm`, `10 by 12 feet`: the unit at the end of a list of numbers goes for all.
pub(super) fn share_unit(text: &Text, figures: &mut [Figure], ends: &[(usize, usize)]) {
    let last = figures.len() - 1;
    let unit = figures[last].quantity.unit.clone();
    if unit.is_none() || unit.counted().is_some() || text.mark(ends[last].0) == '$' {
        return;
    }
    let mut joined = false;
    for at in (0..last).rev() {
        let (start, next) = (ends[at + 1].0, ends[at].1);
        let hyphen = usize::from(text.is_hyphen(next) && text.glued(next));
        let words = (next + hyphen..start).len();
        let comma = words == 1 && text.mark(next + hyphen) == ',';
        // "10 by 12 feet", "rose from 80 to 95 °F"
        let linked = text.is_any(next + hyphen, &["and", "or", "by", "x", "to"]) || text.mark(next) == '×';
        let and = words == 1 && linked;
        let comma_and = words == 2 && text.mark(next) == ',' && text.is_any(next + 1, &["and", "or"]);
        joined |= and || comma_and;
        if !joined || !(comma || and || comma_and) || !figures[at].quantity.unit.is_none() {
            return;
        }
        figures[at].quantity.unit = unit.clone();
    }
}
