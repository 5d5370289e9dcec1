//! The reader: walks over a text once and takes the figures from it.
//!
//! A figure is built up in steps, each of which looks a few tokens ahead and never goes back: a number
//! with its unit ([`super::measure`]), a compound (5 ft 10 in), a range (5 to 10 gallons), what is counted, the
//! words around it ([`super::hedges`]), the second half of a dual statement. What is no figure is set
//! aside first ([`super::asides`]).

use super::forms::{self, Beside, Quotes};
use super::measure::{self, Measure};
use super::number::{ratio, ten_to, whole};
use super::numeral::{self, Setting};
use super::tokens::{Kind, Text};
use super::unit::Unit;
use super::{Amount, Exact, Figure, Quantity, asides, hedges};
use num_traits::{Signed, Zero};
use std::ops::Range;

/// Every figure in a text, in order; spans do not overlap.
pub fn read(text: &str) -> Vec<Figure> {
    let text = Text::new(text);
    let mut walk = Walk { text: &text, quotes: Quotes::default(), kelvin: None };
    let mut figures: Vec<Figure> = Vec::new();
    let mut ends = Vec::new();
    let mut at = 0;
    while at < text.tokens.len() {
        walk.see_quotes(at);
        if !numeral::may_start(&text, at) && !measure::may_be_currency(&text, at) {
            at += 1;
            continue;
        }
        if let Some(next) = asides::skip(&text, at) {
            at = next.max(at + 1);
            continue;
        }
        match walk.figure(at) {
            Step::Figure(figure, next) => {
                figures.push(*figure);
                ends.push((at, next));
                share_unit(&text, &mut figures, &ends);
                at = next;
            }
            Step::Past(next) => at = next.max(at + 1),
        }
    }
    figures
}

/// `3.2 and 4.9 mm`, `7.3, 9.1 and 13.1 mm`: the unit at the end of a list of numbers goes for all.
fn share_unit(text: &Text, figures: &mut [Figure], ends: &[(usize, usize)]) {
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
        let and = words == 1 && text.is_any(next + hyphen, &["and", "or"]);
        let comma_and = words == 2 && text.mark(next) == ',' && text.is_any(next + 1, &["and", "or"]);
        joined |= and || comma_and;
        if !joined || !(comma || and || comma_and) || !figures[at].quantity.unit.is_none() {
            return;
        }
        figures[at].quantity.unit = unit.clone();
    }
}

enum Step {
    /// A figure and the token after it.
    Figure(Box<Figure>, usize),
    /// None here; go on at this token.
    Past(usize),
}

/// Two numbers, or one, with what belongs to them.
struct Core {
    number: Range<usize>,
    amount: Amount,
    unit: Unit,
    shown: Exact,
    written: Exact,
    first: usize,
    next: usize,
    bare_digits: bool,
    scale: Option<i32>,
}

struct Walk<'t> {
    text: &'t Text<'t>,
    quotes: Quotes,
    /// The token where a temperature was last read.
    kelvin: Option<usize>,
}

impl Walk<'_> {
    fn see_quotes(&mut self, at: usize) {
        let opens =
            self.text.glued(at + 1) && (self.text.spaced(at) || at == 0 || self.text.mark(at - 1) == '(');
        match self.text.mark(at) {
            '"' => self.quotes.double = !self.quotes.double,
            '“' => self.quotes.double = true,
            '”' => self.quotes.double = false,
            '‘' => self.quotes.single = true,
            '\'' | '’' if opens => self.quotes.single = true,
            '\'' | '’' if self.text.spaced(at + 1) => self.quotes.single = false,
            _ => {}
        }
        if self.text.get(at).is_some_and(|token| token.first_of_line) && at > 0 {
            self.quotes = Quotes::default();
        }
    }

    fn setting(&self, at: usize) -> Setting {
        let text = self.text;
        let between = [1, 2, 3].iter().any(|back| text.is(at.wrapping_sub(*back), "between"));
        Setting { between, money: false, kelvin: self.kelvin.is_some_and(|seen| at - seen < 40) }
    }

    fn figure(&mut self, at: usize) -> Step {
        let text = self.text;
        let setting = self.setting(at);
        let Some(first) = self.measured(at, setting) else { return Step::Past(past(text, at)) };
        let lettered = first.next == first.number_end + 1
            && text.glued(first.number_end)
            && text.word(first.number_end).len() == 1;
        let in_brackets = text.mark(at.wrapping_sub(1)) == '[';
        if broken(text, &first) || (lettered && (in_brackets || asides::is_label(text, at))) {
            return Step::Past(asides::end_of_run(text, first.number_end - 1));
        }
        let mut core = self.compound(first);
        if !(core.unit.is_none() && is_lone_share(text, &core)) {
            core = match self.ranged(core, setting) {
                Ok(core) => core,
                Err(next) => return Step::Past(next),
            };
        }
        self.tolerance(&mut core);
        if core.unit.is_none() && text.is(core.first, "half") && text.is_hyphen(core.first + 1) {
            // "half-wild"
            return Step::Past(core.next + 2);
        }
        if core.unit.is_none() && asides::is_strong_label(text, core.first) {
            return Step::Past(asides::past_labels(text, core.next));
        }
        if core.unit.is_none() && !self.one_in_so_many(&mut core) && !self.counted(&mut core) {
            if asides::is_label(text, core.first) {
                return Step::Past(asides::past_labels(text, core.next));
            }
            if is_lone_share(text, &core) {
                return Step::Past(core.next);
            }
            if core.bare_digits
                && text.kind(core.first) == Some(Kind::Digits)
                && asides::is_year(text.str(core.first))
                && !matches!(core.amount, Amount::One(_))
                && is_years(&core.amount)
            {
                return Step::Past(core.next);
            }
        }
        if core.unit.temperature().is_some() {
            self.kelvin = Some(core.next);
        }
        let (mut figure, mut next) = self.dress(core);
        if let Some((dual, after)) = self.dual(&figure, next) {
            figure.span.end = dual.span.end;
            figure.reach.end = text.bytes(at..after).end;
            figure.dual = Some(Box::new(dual));
            next = after;
        }
        Step::Figure(Box::new(figure), next)
    }

    /// A number with its unit, or "an hour" where the words around make a figure of it.
    fn measured(&self, at: usize, setting: Setting) -> Option<Measure> {
        if let Some(measure) = measure::read(self.text, at, setting, self.quotes) {
            return Some(measure);
        }
        let measure = measure::article(self.text, at)?;
        article_counts(self.text, at, &measure).then_some(measure)
    }

    /// `5 ft 10 in`, `2 h 30 min`, `an hour and a half`: takes the smaller units that follow.
    fn compound(&self, first: Measure) -> Core {
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
        while let Some(part) = self.smaller_part(&core) {
            let Some(converted) = core.unit.convert(&value, &part.unit) else { break };
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
        if !numeral::may_start(text, at) || text.is_any(at, &["a", "an"]) {
            return None;
        }
        let part = measure::read(text, at, Setting::default(), self.quotes)?;
        let bigger = core.unit.single()?.known()?;
        let smaller = part.unit.single()?.known()?;
        let chained = CHAINS.iter().any(|chain| {
            let place = |name: &str| chain.iter().position(|unit| *unit == name);
            matches!((place(&bigger.name), place(&smaller.name)), (Some(big), Some(small)) if big < small)
        });
        (chained && !part.joined && !part.value.is_negative()).then_some(part)
    }

    /// `5 to 10 gallons`: takes the other end. The error is where to go on when it turns out to be a
    /// score.
    fn ranged(&self, core: Core, setting: Setting) -> Result<Core, usize> {
        let text = self.text;
        let Some((start, link)) = self.connector(&core, setting) else { return Ok(core) };
        let start = hedges::skip_forward(text, start);
        let start = if text.is(start, "a") && text.is(start + 1, "half") { start } else { start };
        if !numeral::may_start(text, start) && !measure::may_be_currency(text, start) {
            return Ok(core);
        }
        let after_dash = link == Link::Dash;
        if asides::skip(text, start).is_some_and(|_| !(after_dash && text.glued(start))) {
            return Ok(core);
        }
        let Some(other) = measure::read(text, start, Setting { between: false, ..setting }, self.quotes)
        else {
            return Ok(core);
        };
        if broken(text, &other) {
            return Ok(core);
        }
        let other = self.compound(other);
        let (Amount::One(low), Amount::One(high)) = (&core.amount, &other.amount) else { return Ok(core) };
        // "10 to 15 million"
        let shared = if core.unit.is_none() && core.scale.is_none() { other.scale } else { None };
        let shared = shared.map(ten_to).filter(|scale| low * scale < *high).unwrap_or_else(|| whole(1));
        let Some((low, high, unit)) = one_unit(&(low * &shared), &core.unit, high, &other.unit) else {
            return Ok(core);
        };
        if link == Link::Or && (unit.is_none() || low >= high) {
            return Ok(core);
        }
        let down = low > high;
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
        if text.is(word, "to") && !joined {
            return Some((word + 1, Link::To));
        }
        if text.is_hyphen(at) && text.is(at + 1, "to") && text.is_hyphen(at + 2) {
            return Some((at + 3, Link::To));
        }
        if text.is(word, "or") && core.unit.is_none() {
            return Some((word + 1, Link::Or));
        }
        if text.is(at, "and") && setting.between {
            return Some((at + 1, Link::And));
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
    fn tolerance(&self, core: &mut Core) {
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

    /// `one in four`, `3 in 10`: a share, given in percent.
    fn one_in_so_many(&self, core: &mut Core) -> bool {
        let text = self.text;
        let Amount::One(part) = &core.amount else { return false };
        if !text.is(core.next, "in") || !part.is_integer() || !part.is_positive() {
            return false;
        }
        let Some(of) = numeral::read(text, core.next + 1, Setting::default()) else { return false };
        let whole_thing = of.value.is_integer() && of.value > *part && of.value <= whole(1000);
        if !whole_thing || forms::simple(text, of.next, Beside::NAME).is_some() || text.is_hyphen(of.next) {
            return false;
        }
        core.amount = Amount::One(part * whole(100) / &of.value);
        core.shown = whole(100) / &of.value;
        core.written = core.shown.clone();
        core.unit = Unit::named("percent");
        core.number.end = of.next;
        core.next = of.next;
        core.bare_digits = false;
        true
    }

    fn counted(&self, core: &mut Core) -> bool {
        let value = match &core.amount {
            Amount::One(value) | Amount::Range(_, value) => value,
        };
        let Some((noun, next)) = measure::counted(self.text, core.next, value) else { return false };
        let (unit, next) = measure::rates(self.text, Unit::noun(&noun), next);
        core.unit = unit;
        core.next = next;
        true
    }

    /// Adds the words around, and turns tokens into bytes.
    fn dress(&self, core: Core) -> (Figure, usize) {
        let text = self.text;
        let (mut bound, start) = hedges::before(text, core.first);
        let (behind, mut next) = hedges::after(text, core.next);
        bound.hedge = bound.hedge.or(behind.hedge);
        bound.limit = bound.limit.or(behind.limit);
        // both ends of "more than 3 and less than 5" are told by the range
        if matches!(core.amount, Amount::Range(..)) && matches!(bound.hedge, Some(super::Hedge::Over)) {
            bound.hedge = None;
        }
        let mut unit = core.unit;
        if is_temperature_like(&unit) {
            if let Some(end) = difference(text, core.first, start, next) {
                unit = unit.as_difference();
                next = next.max(end);
            }
        }
        let alone = text.bytes(core.first..core.next);
        let figure = Figure {
            span: alone.clone(),
            reach: text.bytes(start..next),
            number: text.bytes(core.number),
            alone,
            quantity: Quantity { amount: core.amount, unit },
            shown_to: core.shown,
            written_to: core.written,
            hedge: bound.hedge,
            limit: bound.limit,
            dual: None,
        };
        (figure, core.next)
    }

    /// `200 ft (60 m)`, `60 m, or 200 feet`, `145 °F / 63 °C`.
    fn dual(&self, first: &Figure, at: usize) -> Option<(Figure, usize)> {
        let text = self.text;
        let unit = &first.quantity.unit;
        if unit.is_count() {
            return None;
        }
        let comma = usize::from(text.mark(at) == ',' && text.is(at + 1, "or"));
        let (start, close) = match text.mark(at) {
            '(' => (at + 1, ')'),
            '[' => (at + 1, ']'),
            '/' => (at + 1, ' '),
            _ if text.is(at + comma, "or") => (at + comma + 1, ' '),
            _ => return None,
        };
        let start = hedges::skip_forward(text, start);
        let start = start + usize::from(text.is_any(start, &["about", "or"]));
        if asides::skip(text, start).is_some() {
            return None;
        }
        let setting = Setting { kelvin: unit.temperature().is_some(), ..Setting::default() };
        let core = self.compound(measure::read(text, start, setting, self.quotes)?);
        let core = self.ranged(core, setting).ok()?;
        if core.unit.is_count() || core.unit == *unit || !core.unit.same_dimension(unit) {
            return None;
        }
        if close != ' ' && text.mark(core.next) != close {
            return None;
        }
        let (mut figure, next) = self.dress(core);
        if unit.is_difference() {
            figure.quantity.unit = figure.quantity.unit.as_difference();
        }
        Some((figure, next + usize::from(close != ' ')))
    }
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
    if a.is_count() || !a.same_dimension(b) {
        return None;
    }
    Some((a.convert(low, b)?, high.clone(), b.clone()))
}

/// Digits that run into letters that are no unit (`777F`, `22a`) are part of a name.
fn broken(text: &Text, measure: &Measure) -> bool {
    let end = measure.next;
    if text.kind(measure.number_end.saturating_sub(1)) != Some(Kind::Digits) && measure.unit.is_none() {
        return false;
    }
    text.glued(end) && matches!(text.kind(end), Some(Kind::Word | Kind::NoNumber)) && measure.unit.is_none()
        || measure.unit.is_none() && text.glued(end) && text.kind(end) == Some(Kind::Digits)
}

/// Past a number that is none (ranks, words that begin like one).
fn past(text: &Text, at: usize) -> usize {
    let mut next = at + 1;
    if super::words::classify(text.word(at)).is_none() {
        return next;
    }
    while next < at + 24 {
        let word = next + usize::from(text.is_hyphen(next) || text.is(next, "oh"));
        let word = word + usize::from(text.is_hyphen(word));
        if super::words::classify(text.word(word)).is_none() {
            break;
        }
        next = word + 1;
    }
    next
}

/// `and a half`, `and half` behind a unit.
fn and_a_half(text: &Text, at: usize) -> Option<(Exact, i64, usize)> {
    if !text.is(at, "and") {
        return None;
    }
    let (part, parts, next) = numeral::fraction_words(text, at + 1)?;
    let alone = forms::simple(text, next, Beside::WORD).is_none()
        && !text.is_any(next, &["of", "a", "an", "million", "thousand", "hundred", "dozen", "billion"])
        && !text.is_hyphen(next);
    alone.then_some((part, parts, next))
}

/// Whether "a mile", "an hour" states a quantity here: after a hedge or limit, before "and …", or
/// where it is the whole text.
fn article_counts(text: &Text, at: usize, measure: &Measure) -> bool {
    let alone = at == 0 && text.kind(measure.next).is_none();
    let goes_on = and_a_half(text, measure.next).is_some()
        || text.is(measure.next, "and")
            && numeral::may_start(text, measure.next + 1)
            && !text.is_any(measure.next + 1, &["a", "an"]);
    let bound = hedges::before(text, at).0 != hedges::Bound::default();
    alone || goes_on || bound
}

/// `half`, `a quarter`, `a third` where no number is meant ("the first half", "half full").
fn is_lone_share(text: &Text, core: &Core) -> bool {
    let at = core.first;
    if at == 0 && text.kind(core.next).is_none() {
        return false;
    }
    if text.is(at, "half") && core.next == at + 1 {
        return text.is_any(
            at.wrapping_sub(1),
            &[
                "first", "second", "other", "latter", "former", "better", "back", "front", "top", "bottom",
                "upper", "lower",
            ],
        ) || text.is_any(at + 1, &["full", "empty", "way", "past", "asleep", "as", "open", "hitch"])
            || text.is_hyphen(at + 1) && text.glued(at + 1);
    }
    let article = text.is_any(at, &["a", "an"]);
    if text.is(at, "quarter") && core.next == at + 1 {
        return true;
    }
    article
        && core.next == at + 2
        && matches!(core.amount, Amount::One(ref value) if *value < whole(1))
        && !text.is(core.next, "of")
        && !(text.is(at + 1, "half"))
}

fn is_years(amount: &Amount) -> bool {
    match amount {
        Amount::Range(low, high) => *low >= whole(1500) && *high < whole(2100) && !low.is_zero(),
        Amount::One(_) => false,
    }
}

fn is_temperature_like(unit: &Unit) -> bool {
    unit.temperature().is_some() || *unit == Unit::named("degree")
}

/// Whether a temperature is told as a difference ("27 °C hotter", "gains 19 °F", "warms by 5 °F"), and
/// the token after the words that say so.
fn difference(text: &Text, first: usize, start: usize, next: usize) -> Option<usize> {
    const AFTER: &[&str] = &[
        "hotter",
        "warmer",
        "cooler",
        "colder",
        "higher",
        "lower",
        "rise",
        "drop",
        "fall",
        "difference",
        "swing",
        "more",
        "less",
        "above",
        "below",
        "increase",
        "decrease",
    ];
    const BEFORE: &[&str] = &[
        "gain",
        "gains",
        "gained",
        "add",
        "adds",
        "added",
        "rise",
        "rises",
        "drop",
        "drops",
        "fall",
        "falls",
        "increase",
        "decrease",
        "difference",
        "swing",
        "lose",
        "loses",
        "warms",
        "cools",
    ];
    if AFTER.iter().any(|word| text.is(next, word)) {
        return Some(next + 1);
    }
    let before = start.min(first).wrapping_sub(1);
    if text.is(before, "by") {
        return Some(next);
    }
    let before = if text.is(before, "of") { before.wrapping_sub(1) } else { before };
    BEFORE.iter().any(|word| text.is(before, word)).then_some(next)
}
