//! Proposals: all the ways to write a figure anew that keep its form, nearest first.
//!
//! They are only proposed here; [`super::Draft`] reads each one again and takes the first that agrees.

use super::{Edit, OTHER_UNIT, Refused, numbers, other_article, tail};
use crate::quantity::fractions::fractions;
use crate::quantity::number::{last_place, magnitude, ten_to, whole};
use crate::quantity::numeral::{self, Setting};
use crate::quantity::reader::read_by;
use crate::quantity::say::toward_safety;
use crate::quantity::seen::{self, Seen};
use crate::quantity::tokens::Text;
use crate::quantity::unit::{Atom, Known, Unit};
use crate::quantity::{
    Amount, Exact, Figure, Half, Hedge, Held, Limit, OwnUnits, Quantity, agree, finer_time, passes, round_to,
};
use num_traits::{One, Signed, Zero};
use std::ops::Range;
use std::sync::Arc;

/// A way to write a half of a figure.
pub(super) struct Proposal {
    pub edits: Vec<Edit>,
    /// Whether it keeps the limit of the fact: `at most` is not rounded up, `at least` not down.
    pub safe: bool,
}

/// A number where it stands.
struct Written {
    at: Range<usize>,
    value: Exact,
    shown: Exact,
    written: Exact,
}

/// A figure that is to be written anew, and all that its writing depends on.
struct Task<'t> {
    text: &'t str,
    figure: &'t Figure,
    held: &'t Held,
    seen: Seen,
    numbers: Vec<Written>,
    units: &'t Arc<OwnUnits>,
}

/// All ways to write a half of a figure, those that are nearest to its form first.
pub(super) fn propose(
    text: &str,
    figure: &Figure,
    held: &Held,
    units: &Arc<OwnUnits>,
) -> Result<Vec<Proposal>, Refused> {
    let seen = seen::seen(&figure.quantity.unit, held);
    let Some(seen) = seen.into_iter().next() else {
        return Err(OTHER_UNIT);
    };
    let numbers = numbers_of(text, figure, units);
    let task = Task { text, figure, held, seen, numbers, units };
    let target = agree::end_that_is_meant(figure, &task.seen.amount);
    let proposals = match (&figure.quantity.amount, &target, task.numbers.len()) {
        (Amount::One(_), Amount::One(value), 1) => task.single(value),
        (Amount::One(_), Amount::One(value), 2) if task.is_share() => task.share(value),
        (Amount::One(_), Amount::One(value), _) => task.compound(value),
        (Amount::Range(..), Amount::Range(low, high), 2) => task.ends(low, high),
        (Amount::One(_), Amount::Range(low, high), 1) => task.opened(low, high),
        (Amount::Range(..), Amount::One(value), 2) => task.closed(value),
        _ => Vec::new(),
    };
    Ok(proposals)
}

/// The numbers of a half, in order.
fn numbers_of(text: &str, figure: &Figure, units: &Arc<OwnUnits>) -> Vec<Written> {
    let tokens = Text::new(text, units);
    let between = text[..figure.number.start].trim_end().to_lowercase().ends_with("between");
    let money = text[figure.alone.clone()].contains(['$', '€', '£', '¥']);
    let setting = Setting { between, money, kelvin: false };
    let mut found = Vec::new();
    let mut at = tokens.tokens.partition_point(|token| token.start < figure.number.start);
    while tokens.get(at).is_some_and(|token| token.end <= figure.number.end) {
        let number = numeral::read(&tokens, at, setting);
        let number = number.filter(|number| tokens.bytes(at..number.next).end <= figure.number.end);
        match number {
            Some(number) => {
                found.push(Written {
                    at: tokens.bytes(at..number.next),
                    value: number.value,
                    shown: number.shown,
                    written: number.written,
                });
                at = number.next;
            }
            None => at += 1,
        }
    }
    if found.is_empty() && matches!(&text[figure.number.clone()], "a" | "an" | "A" | "An") {
        // "an hour"
        let one = Exact::one;
        found.push(Written { at: figure.number.clone(), value: one(), shown: one(), written: one() });
    }
    found
}

/// Whether a number is written in digits, perhaps with the word of a scale.
fn in_digits(number: &str) -> bool {
    number.contains(|letter: char| letter.is_ascii_digit() || fractions(letter).is_some())
}

impl Task<'_> {
    /// `six feet`, `a six-foot`, `half an hour`, `an hour and a half`.
    fn single(&self, value: &Exact) -> Vec<Proposal> {
        let number = &self.numbers[0];
        let Amount::One(stated) = &self.figure.quantity.amount else { return Vec::new() };
        let own = &self.text[number.at.clone()];
        let is_article = matches!(own, "a" | "an" | "A" | "An");
        let goes_on = number.value != *stated;
        // "an hour and a half": the half joins the number
        let old = match (goes_on, is_article) {
            (true, _) => "one and a half",
            (false, true) => "one",
            (false, false) => own,
        };
        let rest = &self.text[number.at.end..self.figure.alone.end];
        let rest = if goes_on { rest.rsplit_once(" and ").map_or(rest, |(unit, _)| unit) } else { rest };
        // there the unit goes with the "an" before it
        let counted = if goes_on { &number.value } else { stated };
        let mut proposals = self.in_finer_time(value, number);
        for (step, (rounded, place)) in self.steps(value, number).into_iter().enumerate() {
            let hyphen = rest.starts_with('-');
            for mut written in self.write(old, &rounded, &place, hyphen) {
                let tail = tail::tail(rest, &self.figure.quantity.unit, counted, Some(&rounded), &written);
                if hyphen && own.to_lowercase().starts_with("a ") && !written.starts_with("a ") {
                    // "a hundred-foot" becomes "an eighty-foot"
                    written = format!("{} {written}", if numbers::takes_an(&written) { "an" } else { "a" });
                }
                let mut edits = vec![
                    Edit { at: number.at.end..self.figure.alone.end, to: tail },
                    Edit { at: number.at.clone(), to: written.clone() },
                ];
                edits.extend(self.article(&written));
                proposals.push(Proposal { edits, safe: self.is_safe(step, &rounded, value) });
            }
        }
        proposals
    }

    /// `every 4.2 minutes` for 0.07 hour: a time that is less than one of its unit, and no share of it that has a name.
    fn in_finer_time(&self, value: &Exact, number: &Written) -> Vec<Proposal> {
        let rest = &self.text[number.at.end..self.figure.alone.end];
        let has_name = [2, 3, 4].iter().any(|parts| (value * whole(*parts)).is_integer());
        let own = &self.figure.quantity.unit;
        let words = |known: &Known| [&known.name, &known.plural].iter().any(|word| rest.trim() == *word);
        let is_word = own.single().and_then(Atom::known).is_some_and(words) && rest.starts_with(' ');
        if has_name || !is_word || self.numbers.len() > 1 {
            return Vec::new();
        }
        let quantity = Quantity { amount: Amount::One(value.clone()), unit: own.clone() };
        let Some(unit) = finer_time(&Held::new(quantity, None)) else { return Vec::new() };
        let Some(fine) = own.convert(value, &unit) else { return Vec::new() };
        let old = &self.text[number.at.clone()];
        let old = if matches!(old, "a" | "an" | "A" | "An") { "one" } else { old };
        let mut proposals = Vec::new();
        for (step, place) in [whole(1), ten_to(-1)].into_iter().enumerate() {
            let rounded = self.rounded(&fine, &place);
            for written in self.write(old, &rounded, &place, false) {
                let mut edits = vec![
                    Edit {
                        at: number.at.end..self.figure.alone.end,
                        to: format!(" {}", unit.in_print(rounded.is_one())),
                    },
                    Edit { at: number.at.clone(), to: written.clone() },
                ];
                edits.extend(self.article(&written));
                proposals.push(Proposal { edits, safe: self.is_safe(step, &rounded, &fine) });
            }
        }
        proposals
    }

    /// `5 to 10 gallons`, `$5–$10`, `10 to 15 million`.
    fn ends(&self, low: &Exact, high: &Exact) -> Vec<Proposal> {
        let [first, second] = &self.numbers[..] else { return Vec::new() };
        let Amount::Range(old_low, _) = &self.figure.quantity.amount else { return Vec::new() };
        let down = first.value > second.value;
        // "10 to 15 million": the scale stands once
        let shared = match !down && !first.value.is_zero() && old_low != &first.value {
            true => old_low / &first.value,
            false => Exact::one(),
        };
        let (to_first, to_second) = if down { (high, low) } else { (low, high) };
        let to_first = to_first / &shared;
        let mut proposals = Vec::new();
        let firsts = self.steps(&to_first, first);
        let seconds = self.steps(to_second, second);
        for step in 0..firsts.len().max(seconds.len()) {
            let one = &firsts[step.min(firsts.len() - 1)];
            let other = &seconds[step.min(seconds.len() - 1)];
            let one = self.forms(first, one);
            let other = self.forms(second, other);
            for form in 0..one.len().max(other.len()) {
                let (Some(one), Some(other)) =
                    (one.get(form).or(one.last()), other.get(form).or(other.last()))
                else {
                    continue;
                };
                // "two and a half to 3.2" is neither words nor digits
                if in_digits(one) != in_digits(other) {
                    continue;
                }
                let mut edits = vec![
                    Edit { at: second.at.clone(), to: other.clone() },
                    Edit { at: first.at.clone(), to: one.clone() },
                ];
                edits.extend(self.article(one));
                proposals.push(Proposal { edits, safe: true });
            }
        }
        proposals
    }

    /// `10 gallons` becomes `5 to 10 gallons`.
    fn opened(&self, low: &Exact, high: &Exact) -> Vec<Proposal> {
        let [number] = &self.numbers[..] else { return Vec::new() };
        let rest = &self.text[number.at.end..self.figure.alone.end];
        if rest.starts_with('-') {
            return Vec::new();
        }
        let mut proposals = Vec::new();
        for (low, high) in self.steps(low, number).iter().zip(&self.steps(high, number)) {
            for (low, high) in self.forms(number, low).iter().zip(&self.forms(number, high)) {
                let tail = tail::tail(rest, &self.figure.quantity.unit, &number.value, None, high);
                let high = high.to_lowercase();
                if in_digits(low) != in_digits(&high) {
                    continue;
                }
                let sign = self.text[self.figure.alone.start.min(number.at.start)..number.at.start].trim();
                let sign = if sign.chars().all(|mark| "$€£¥".contains(mark)) { sign } else { "" };
                let edits = vec![
                    Edit { at: number.at.end..self.figure.alone.end, to: tail },
                    Edit { at: number.at.clone(), to: format!("{low} to {sign}{high}") },
                ];
                proposals.push(Proposal { edits, safe: true });
            }
        }
        proposals
    }

    /// `5 to 10 gallons` becomes `8 gallons`, `between 5 and 10` becomes `8`.
    fn closed(&self, value: &Exact) -> Vec<Proposal> {
        let [first, second] = &self.numbers[..] else { return Vec::new() };
        let before = &self.text[..self.figure.alone.start];
        let lead = ["between ", "from ", "Between ", "From "].iter().find(|lead| before.ends_with(**lead));
        let start = self.figure.alone.start - lead.map_or(0, |lead| lead.len());
        let rest = &self.text[second.at.end..self.figure.alone.end];
        let sign = &self.text[self.figure.number.start..first.at.start];
        let mut proposals = Vec::new();
        for (step, to) in self.steps(value, second).into_iter().enumerate() {
            for written in self.forms(second, &to) {
                let many = whole(2);
                let tail = tail::tail(rest, &self.figure.quantity.unit, &many, Some(&to.0), &written);
                let edits =
                    vec![Edit { at: start..self.figure.alone.end, to: format!("{sign}{written}{tail}") }];
                proposals.push(Proposal { edits, safe: self.is_safe(step, &to.0, value) });
            }
        }
        proposals
    }

    fn is_share(&self) -> bool {
        let [first, second] = &self.numbers[..] else { return false };
        self.text[first.at.end..second.at.start].trim() == "in"
    }

    /// `one in four` becomes `one in five`, `3 in 10` becomes `4 in 10`; `percent` is the share.
    fn share(&self, percent: &Exact) -> Vec<Proposal> {
        let [part, of] = &self.numbers[..] else { return Vec::new() };
        if percent.is_zero() {
            return Vec::new();
        }
        let zero = Exact::zero();
        let edits = if part.value.is_one() {
            let parts = round_to(&(whole(100) / percent), &whole(1), Half::Even);
            (of, parts)
        } else {
            (part, round_to(&(percent * &of.value / whole(100)), &whole(1), Half::Even))
        };
        let (number, value) = edits;
        let written = self.write(&self.text[number.at.clone()], &value, &zero, false);
        let proposal = |to| Proposal { edits: vec![Edit { at: number.at.clone(), to }], safe: true };
        written.into_iter().map(proposal).collect()
    }

    /// `5 ft 10 in`, `2 hours 30 minutes`: the largest unit takes all that it can.
    fn compound(&self, value: &Exact) -> Vec<Proposal> {
        let Some(last) = self.numbers.last().filter(|_| self.numbers.len() > 1) else { return Vec::new() };
        let Some(units) = self.units_of_parts() else { return Vec::new() };
        let own = &self.figure.quantity.unit;
        let mut proposals = Vec::new();
        for (step, (rounded, place)) in self.steps(value, last).into_iter().enumerate() {
            let (mut left, mut edits, mut said) = (rounded.clone(), Vec::new(), Vec::new());
            for (at, (number, unit)) in self.numbers.iter().zip(&units).enumerate() {
                let is_last = at + 1 == self.numbers.len();
                let share =
                    if is_last { left.clone() } else { (&left * own.factor() / unit.factor()).floor() };
                left -= &share * unit.factor() / own.factor();
                let to = (share.clone(), if is_last { place.clone() } else { Exact::zero() });
                let Some(written) = self.forms(number, &to).into_iter().next() else { return proposals };
                let end = self.numbers.get(at + 1).map_or(self.figure.alone.end, |next| next.at.start);
                let rest = &self.text[number.at.end..end];
                let tail = tail::tail(rest, unit, &number.value, Some(&share), &written);
                if !share.is_zero() {
                    said.push(format!("{written}{tail}"));
                }
                edits.push(Edit { at: number.at.end..end, to: tail });
                edits.push(Edit { at: number.at.clone(), to: written });
            }
            if let [only] = &said[..] {
                // "3 hours", and not "3 hours and 0 minutes"
                let only = only.trim_end_matches([' ', ',']);
                let only = only.strip_suffix(" and").unwrap_or(only).trim_end_matches(',').to_owned();
                let at = self.numbers[0].at.start..self.figure.alone.end;
                let safe = self.is_safe(step, &rounded, value);
                proposals.push(Proposal { edits: vec![Edit { at, to: only }], safe });
            }
            proposals.push(Proposal { edits, safe: self.is_safe(step, &rounded, value) });
        }
        proposals
    }

    /// The unit of each number of a compound.
    fn units_of_parts(&self) -> Option<Vec<Unit>> {
        let mut units = Vec::new();
        for (at, number) in self.numbers.iter().enumerate() {
            let end = self.numbers.get(at + 1).map_or(self.figure.alone.end, |next| next.at.start);
            let part = self.text[number.at.start..end].trim_end_matches([' ', ',', '-']);
            let part = part.strip_suffix(" and").unwrap_or(part);
            let mut figures = read_by(part, self.units);
            units.push(figures.pop().filter(|_| figures.is_empty())?.quantity.unit);
        }
        Some(units)
    }

    fn forms(&self, number: &Written, (value, place): &(Exact, Exact)) -> Vec<String> {
        let hyphen = self.text[number.at.end..].starts_with('-');
        self.write(&self.text[number.at.clone()], value, place, hyphen)
    }

    /// The writings of a value in the form of another; cents have two digits.
    fn write(&self, old: &str, value: &Exact, place: &Exact, hyphen: bool) -> Vec<String> {
        let mut forms = numbers::write(old, value, place, hyphen);
        if self.text[self.figure.alone.clone()].contains(['$', '€', '£']) {
            for form in &mut forms {
                let is_number = form.chars().all(|letter| letter.is_ascii_digit() || ",.".contains(letter));
                if is_number && form.split_once('.').is_some_and(|(_, cents)| cents.len() == 1) {
                    form.push('0');
                }
            }
        }
        forms
    }

    /// The values that a number may state, each with the place at which it is rounded (zero: not at
    /// all); the precision that the writer showed first.
    fn steps(&self, value: &Exact, number: &Written) -> Vec<(Exact, Exact)> {
        let one_apart = self.one_apart().map(|by| (value + by, Exact::zero()));
        // what may be a threshold keeps the fact's own digits: "over 102.5 °F"
        let is_threshold =
            matches!(self.figure.hedge, Some(Hedge::Over | Hedge::Under)) && !self.seen.converted;
        let own_digits = last_place(value).filter(|place| is_threshold && (-3..=0).contains(place));
        let own_digits = own_digits.map(|place| (value.clone(), ten_to(place)));
        let mut steps: Vec<(Exact, Exact)> = one_apart.into_iter().chain(own_digits).collect();
        let is_plain = self.figure.hedge.is_none() && !self.seen.converted && self.held.known_to.is_none();
        if is_plain && !self.is_bound() {
            // what is known to the last digit is said to it: 7.5 in the place of a 6, a third in that of a half
            let thirds = || (value * whole(6)).is_integer().then(Exact::zero);
            let own = match last_place(value) {
                Some(place) => (-2..0).contains(&place).then(|| ten_to(place)),
                None => thirds(),
            };
            steps.extend(own.map(|place| (value.clone(), place)));
        }
        let coarse = self.figure.hedge.is_some() || self.seen.converted;
        let mut place = if coarse { number.shown.clone() } else { number.written.clone() };
        let decimal = |place: &Exact| ten_to(magnitude(place).unwrap_or(0));
        if place.is_zero() || decimal(&place) != place {
            // a fraction: as it is, rounded to the parts that were shown, then as a decimal
            steps.push((value.clone(), Exact::zero()));
            steps.extend((!place.is_zero()).then(|| (self.rounded(value, &place), Exact::zero())));
            place = ten_to(-1);
        }
        let known = agree::place_known(self.held, &self.seen);
        if let Some(known) = &known {
            place = place.max(known.clone());
        }
        for _ in 0..9 {
            let rounded = self.rounded(value, &place);
            let is_near = (&rounded - value).abs() * whole(20) <= value.abs();
            let exact = rounded == *value;
            // what is known no finer is as near as can be
            if is_near || known.as_ref() == Some(&place) {
                steps.push((rounded, decimal(&place).min(place.clone())));
            }
            if exact {
                break;
            }
            place /= whole(10);
        }
        steps
    }

    /// Rounded as the hedge asks: "over" wants a value a little below, "nearly" one a little above.
    fn rounded(&self, value: &Exact, place: &Exact) -> Exact {
        let steps = value / place;
        match self.figure.hedge {
            _ if self.is_bound() => toward_safety(value, place, self.bound()),
            Some(Hedge::Over) => (steps.ceil() - Exact::one()) * place,
            Some(Hedge::Nearly | Hedge::Under) => (steps.floor() + Exact::one()) * place,
            Some(Hedge::About) | None => round_to(value, place, Half::Even),
        }
    }

    /// "Fewer than nine" for at most eight.
    fn one_apart(&self) -> Option<Exact> {
        match self.figure.hedge {
            Some(Hedge::Under) if self.is_bound() => Some(whole(1)),
            Some(Hedge::Over) if self.is_bound() => Some(whole(-1)),
            _ => None,
        }
    }

    fn bound(&self) -> Option<Limit> {
        agree::bound_of(self.figure, self.held)
    }

    fn is_bound(&self) -> bool {
        self.bound().is_some()
    }

    /// A limit is kept on its safe side where one digit more than the writer showed can do that; an
    /// odd conversion is not written out to its end for it.
    fn is_safe(&self, step: usize, stated: &Exact, value: &Exact) -> bool {
        step <= 1 && (self.figure.hedge.is_some() || !passes(stated, value, self.held.limit))
    }

    /// The article before a number, where the new number wants the other: `an` for `a`.
    fn article(&self, written: &str) -> Option<Edit> {
        let before = &self.text[..self.figure.alone.start];
        other_article(before, written).map(|(at, to)| Edit { at, to })
    }
}
