//! The reader: walks over a text once and takes the figures from it.
//!
//! A figure is built up in steps, each of which looks a few tokens ahead and never goes back: a number
//! with its unit ([`super::measure`]), a compound (5 ft 10 in), a range (5 to 10 gallons), what is counted, the
//! words around it ([`super::hedges`]), the second half of a dual statement. What is no figure is set
//! aside first ([`super::asides`]).

use super::forms::{self, Beside, Quotes};
use super::joining::{Core, and_a_half, or_so_many, share_unit};
use super::measure::{self, Measure};
use super::number::whole;
use super::numeral::{self, Setting};
use super::own::{self, OwnUnits};
use super::tokens::{Kind, Text};
use super::unit::Unit;
use super::{Amount, Exact, Figure, Quantity, asides, dates, hedges};
use num_traits::{Signed, Zero};
use std::sync::Arc;

/// Every figure in a text, in order; spans do not overlap.
pub fn read(text: &str) -> Vec<Figure> {
    read_by(text, &own::NONE)
}

/// The same of a text whose program has units of its own.
pub(super) fn read_by(text: &str, units: &Arc<OwnUnits>) -> Vec<Figure> {
    let text = Text::new(text, units);
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

enum Step {
    /// A figure and the token after it.
    Figure(Box<Figure>, usize),
    /// None here; go on at this token.
    Past(usize),
}

pub(super) struct Walk<'t> {
    pub text: &'t Text<'t>,
    pub quotes: Quotes,
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
        if let Some((core, next)) = self.decade(at) {
            let Some(core) = core else { return Step::Past(next) };
            let (figure, next) = self.dress(core);
            return Step::Figure(Box::new(figure), next);
        }
        let Some(first) = self.measured(at, setting) else { return Step::Past(past(text, at)) };
        if is_name(text, &first) {
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
        self.below_zero(&mut core);
        if core.unit.is_none()
            && let Some(next) = self.without_unit(&mut core)
        {
            return Step::Past(next);
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

    /// Finds what a bare number counts; else, where it is no figure after all, the token to go on at.
    fn without_unit(&self, core: &mut Core) -> Option<usize> {
        let text = self.text;
        if text.is(core.first, "half") && text.is_hyphen(core.first + 1) {
            // "half-wild"
            return Some(core.next + 2);
        }
        if asides::is_strong_label(text, core.first) {
            return Some(asides::past_labels(text, core.next));
        }
        if let Some(next) = past_by(text, core.next) {
            return Some(next);
        }
        if self.one_in_so_many(core) || self.counted(core) {
            return None;
        }
        if asides::is_label(text, core.first) {
            return Some(asides::past_labels(text, core.next));
        }
        let years = core.bare_digits && dates::is_year(text.str(core.first)) && is_years(&core.amount);
        (years || is_lone_share(text, core)).then_some(core.next)
    }

    /// `the mid-40s`, `in their sixties`, `the low 90s`: ten numbers or some of them, and no seconds. Of a decade of
    /// years, where to go on.
    ///
    /// Low is to 3, mid from 4 to 6, high from 7, as forecasts have it (usage of weather services, from memory).
    fn decade(&self, at: usize) -> Option<(Option<Core>, usize)> {
        let text = self.text;
        let word = numeral::decade_word(text.word(at));
        let (first, end) = match word {
            Some(value) => (value, at + 1),
            None => {
                let tens = text.str(at).len() == 2 && text.str(at).ends_with('0');
                let many = text.glued(at + 1) && text.is(at + 1, "s");
                (text.str(at).parse().ok().filter(|_| tens && many)?, at + 2)
            }
        };
        let joint = usize::from(at > 0 && text.is_hyphen(at - 1));
        let before = at.checked_sub(1 + joint)?;
        let (low, high) = if text.is_any(before, &["mid", "middle"]) {
            (4, 6)
        } else if text.is_any(before, &["low", "lower", "early"]) {
            (0, 3)
        } else if text.is_any(before, &["high", "upper", "late"]) {
            (7, 9)
        } else if text.is_any(before, &["the", "their", "his", "her"]) {
            (0, 9)
        } else {
            return None;
        };
        let unit = forms::simple(text, end, Beside::NAME)
            .filter(|(atom, _)| is_temperature_like(&Unit::of(atom.clone())));
        let of_years = text.is(before, "the") && unit.is_none() && !forms::tells_of_heat(text, at + 1);
        if of_years {
            return Some((None, end));
        }
        let (unit, next) = unit.map_or((Unit::default(), end), |(atom, next)| (Unit::of(atom), next));
        let core = Core {
            number: at..end,
            amount: Amount::Range(whole(first + low), whole(first + high)),
            unit,
            shown: whole(1),
            written: whole(1),
            first: at,
            next,
            bare_digits: false,
            scale: None,
            either: false,
            each: whole(1),
        };
        Some((Some(core), next))
    }

    /// A number with its unit, or "an hour" where the words around make a figure of it.
    fn measured(&self, at: usize, setting: Setting) -> Option<Measure> {
        if let Some(measure) = measure::read(self.text, at, setting, self.quotes) {
            return Some(measure);
        }
        let measure = measure::article(self.text, at)?;
        article_counts(self.text, at, &measure).then_some(measure)
    }

    /// `one in four`, `3 in 10`: a share, given in percent.
    fn one_in_so_many(&self, core: &mut Core) -> bool {
        let text = self.text;
        let Amount::One(part) = &core.amount else { return false };
        let hyphen = usize::from(text.is_hyphen(core.next) && text.glued(core.next));
        let link = core.next + hyphen;
        let out_of = text.are(link, &["out", "of"]);
        if !(text.is(link, "in") || out_of) || !part.is_integer() || !part.is_positive() {
            return false;
        }
        let start = link + 1 + usize::from(out_of);
        let start = start + usize::from(hyphen == 1 && text.is_hyphen(start));
        let start = start + usize::from(out_of && text.is(start, "every"));
        let Some(of) = numeral::read(text, start, Setting::default()) else { return false };
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
        let rates = measure::rates(self.text, Unit::noun(&noun), next);
        for part in [&mut core.shown, &mut core.written] {
            *part /= &rates.each;
        }
        core.amount = match std::mem::replace(&mut core.amount, Amount::One(Exact::zero())) {
            Amount::One(value) => Amount::One(value / &rates.each),
            Amount::Range(low, high) => Amount::Range(low / &rates.each, high / &rates.each),
        };
        core.unit = rates.unit;
        core.next = rates.next;
        true
    }

    /// `2 degrees below zero`, `20 below zero`, `40 °F below zero`: what is told as so much under is less than none.
    fn below_zero(&self, core: &mut Core) {
        let text = self.text;
        if !text.are(core.next, &["below", "zero"]) {
            return;
        }
        core.next += 2;
        if core.unit.is_none() {
            core.unit = Unit::named("degree");
        } else if !is_temperature_like(&core.unit) {
            core.next -= 2;
            return;
        }
        if core.unit == Unit::named("degree")
            && let Some((atom, next)) = forms::simple(text, core.next, Beside::WORD)
            && Unit::of(atom.clone()).temperature().is_some()
        {
            core.unit = Unit::of(atom);
            core.next = next;
        }
        core.amount = match std::mem::replace(&mut core.amount, Amount::One(Exact::zero())) {
            Amount::One(value) => Amount::One(-value),
            Amount::Range(low, high) => Amount::Range(-high, -low),
        };
        core.bare_digits = false;
    }

    /// Adds the words around, and turns tokens into bytes.
    fn dress(&self, core: Core) -> (Figure, usize) {
        let text = self.text;
        let (mut bound, start) = hedges::before(text, core.first);
        let (behind, mut next) = hedges::after(text, core.first, core.next);
        let both_ways = bound.limit.zip(behind.limit).is_some_and(|(one, other)| one.turned() == other);
        bound.denied |= both_ways && bound.limit != behind.limit;
        bound.hedge = bound.hedge.or(behind.hedge);
        bound.limit = bound.limit.or(behind.limit);
        if bound.limit.is_none() && !matches!(bound.hedge, Some(super::Hedge::Over | super::Hedge::Under)) {
            if let Some((limit, end)) = hedges::at_end_of_clause(text, core.next) {
                bound.limit = Some(limit);
                next = next.max(end);
            } else if hedges::rules_out_plain(text, next) {
                bound.denied = true;
            } else {
                bound.limit = hedges::at_start_of_sentence(text, core.first);
            }
        }
        bound.denied &= !(bound.limit.is_some() && hedges::is_ruled_out(text, next));
        // "more than six feet is too long" binds as "at most six feet" does
        if bound.limit.is_none()
            && let Some(limit) = bound.hedge.and_then(super::Hedge::limit)
            && hedges::is_ruled_out(text, next)
        {
            bound.limit = Some(limit.turned());
            bound.hedge = None;
        }
        if text.mark(core.number.end) == '+' && text.glued(core.number.end) {
            // "6+ ft"
            bound.limit = bound.limit.or(Some(super::Limit::AtLeast));
        }
        if matches!(core.amount, Amount::Range(..)) && text.is(core.first.wrapping_sub(1), "from") {
            bound.limit = None;
        }
        // both ends of "more than 3 and less than 5" are told by the range
        if matches!(core.amount, Amount::Range(..)) && matches!(bound.hedge, Some(super::Hedge::Over)) {
            bound.hedge = None;
        }
        let mut unit = core.unit;
        if is_temperature_like(&unit)
            && let Some(end) = difference(text, core.first, start, next)
        {
            unit = unit.as_difference();
            next = next.max(end);
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
            either: core.either,
            denied: bound.denied,
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

/// Past the second number of "two-by-four", which names a size of lumber where no unit follows.
fn past_by(text: &Text, at: usize) -> Option<usize> {
    if !(text.is_hyphen(at) && text.is(at + 1, "by") && text.is_hyphen(at + 2)) {
        return None;
    }
    let other = measure::read(text, at + 3, Setting::default(), Quotes::default())?;
    other.unit.is_none().then_some(other.next)
}

/// Digits that run into letters that are no unit (`777F`, `22a`) are part of a name.
pub(super) fn broken(text: &Text, measure: &Measure) -> bool {
    let end = measure.next;
    if text.kind(measure.number_end.saturating_sub(1)) != Some(Kind::Digits) && measure.unit.is_none() {
        return false;
    }
    text.glued(end) && matches!(text.kind(end), Some(Kind::Word | Kind::NoNumber)) && measure.unit.is_none()
        || measure.unit.is_none() && text.glued(end) && text.kind(end) == Some(Kind::Digits)
}

/// Whether a number belongs to a name or a label: `777F`, `3-D`, `[11C]`, `Fig. 1d`.
fn is_name(text: &Text, measure: &Measure) -> bool {
    let end = measure.number_end;
    let one_letter = |at: usize| text.glued(at) && text.word(at).len() == 1;
    let hyphen = usize::from(text.is_hyphen(end) && text.glued(end));
    let bracket = text.mark(measure.first.wrapping_sub(1)) == '[';
    let lettered = one_letter(end) && measure.next == end + 1;
    broken(text, measure)
        || (measure.unit.is_none() && hyphen == 1 && one_letter(end + 1))
        || (lettered && (bracket || asides::is_label(text, measure.first)))
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

/// Whether "a mile", "an hour" states a quantity here: after a hedge or limit, before "and …", or
/// where it is the whole text.
fn article_counts(text: &Text, at: usize, measure: &Measure) -> bool {
    let alone = at == 0 && text.kind(measure.next).is_none();
    let goes_on = and_a_half(text, measure.next).is_some()
        || text.is(measure.next, "and")
            && numeral::may_start(text, measure.next + 1)
            && !text.is_any(measure.next + 1, &["a", "an"])
        || or_so_many(text, measure.next).is_some()
        || text.is(measure.next, "to") && measures_alike(text, measure.next + 1, &measure.unit);
    let bound = hedges::before(text, at).0 != hedges::Bound::default();
    // "a full minute", "a gallon per person"
    let told =
        measure.next > at + 2 && (measure.unit.factors().len() > 1 || measure::says_whole(text, at + 1));
    alone || goes_on || bound || told || is_so_much(text, at, measure)
}

/// Whether a number stands here of a unit like this one: what "an hour to 90 minutes" goes on to.
fn measures_alike(text: &Text, at: usize, unit: &Unit) -> bool {
    let other = measure::read(text, at, Setting::default(), Quotes::default());
    other.is_some_and(|other| other.unit.same_dimension(unit))
}

/// "a yard long", "a mile away", "a gallon of water", "for an hour", "an hour later"; and neither a day off nor
/// a foot in the stirrup.
fn is_so_much(text: &Text, at: usize, measure: &Measure) -> bool {
    let (unit, next) = (&measure.unit, measure.next);
    let is_length = unit.same_dimension(&Unit::named("foot"));
    let of_time = unit.single().is_some_and(|atom| atom.dimension() == "time");
    // "of the bed" tells whose foot it is
    let of = text.is(next, "of")
        && !text.word(next + 1).is_empty()
        && (unit.is_volume_or_mass()
            || !text.is_any(
                next + 1,
                &["the", "this", "that", "a", "an", "your", "his", "her", "its", "their", "our", "each"],
            ));
    let or_so = text.are(next, &["or", "so"]);
    if of_time {
        const SPANS: &[&str] =
            &["for", "takes", "take", "took", "lasts", "last", "lasted", "wait", "waits", "another"];
        // a day and a night are mostly those of the calendar: "for a night or more"
        if text.is(next, "off") || ["day", "night"].contains(&&*unit.name()) {
            return false;
        }
        return or_so
            || text.is_any(at.wrapping_sub(1), SPANS)
            || text.is_any(next, &["later", "earlier", "ago"]);
    }
    let is_measure = is_length || unit.is_volume_or_mass();
    is_length && EXTENTS.iter().any(|word| text.is(next, word)) || is_measure && (of || or_so)
}

/// Words that tell how far something goes.
const EXTENTS: &[&str] = &[
    "long",
    "wide",
    "high",
    "deep",
    "tall",
    "thick",
    "away",
    "apart",
    "across",
    "ahead",
    "behind",
    "off",
    "down",
    "up",
    "below",
    "above",
    "from",
    "upstream",
    "downstream",
    "upwind",
    "downwind",
    "uphill",
    "downhill",
];

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

/// Words after a temperature that make a difference of it.
const DIFFERS_AFTER: &[&str] = &[
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

/// Words before a temperature that make a difference of it.
const DIFFERS_BEFORE: &[&str] = &[
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

/// Whether a temperature is told as a difference ("27 °C hotter", "gains 19 °F", "warms by 5 °F"), and
/// the token after the words that say so.
fn difference(text: &Text, first: usize, start: usize, next: usize) -> Option<usize> {
    if DIFFERS_AFTER.iter().any(|word| text.is(next, word)) {
        return Some(next + 1);
    }
    // "falls below 95 °F" tells where on the scale, "falls more than 5 °F" how far
    if (start..first).any(|at| text.is_any(at, &["above", "below", "under"])) {
        return None;
    }
    let before = start.min(first).wrapping_sub(1);
    if text.is(before, "by") {
        return Some(next);
    }
    let before = if text.is(before, "of") { before.wrapping_sub(1) } else { before };
    DIFFERS_BEFORE.iter().any(|word| text.is(before, word)).then_some(next)
}
