//! Number words: `two hundred and fifty thousand`, `twenty-five`, `nine point nought four`.
//!
//! Whole numbers go down in groups as they are spoken: hundreds, tens and ones, then a scale
//! (thousand, million …) that must be smaller than the one before. Nothing is ever read twice, so the
//! time grows with the words and no faster.

use super::Exact;
use super::number::{ratio, ten_to, whole};
use super::tokens::{Kind, Text};
use num_traits::Zero;

/// What a word counts for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Word {
    /// 0 to 9.
    One(u32),
    /// 10 to 19.
    Teen(u32),
    /// 20, 30 … 90.
    Ten(u32),
    Hundred,
    /// Ten to this power: thousand, million, billion, trillion.
    Scale(i32),
}

pub(super) fn classify(word: &str) -> Option<Word> {
    if !(2..=9).contains(&word.len()) {
        return None;
    }
    let mut lower = [0_u8; 9];
    for (to, from) in lower.iter_mut().zip(word.bytes()) {
        *to = from.to_ascii_lowercase();
    }
    Some(match &lower[..word.len()] {
        b"zero" | b"nought" | b"naught" => Word::One(0),
        b"one" => Word::One(1),
        b"two" => Word::One(2),
        b"three" => Word::One(3),
        b"four" => Word::One(4),
        b"five" => Word::One(5),
        b"six" => Word::One(6),
        b"seven" => Word::One(7),
        b"eight" => Word::One(8),
        b"nine" => Word::One(9),
        b"ten" => Word::Teen(10),
        b"eleven" => Word::Teen(11),
        b"twelve" => Word::Teen(12),
        b"thirteen" => Word::Teen(13),
        b"fourteen" => Word::Teen(14),
        b"fifteen" => Word::Teen(15),
        b"sixteen" => Word::Teen(16),
        b"seventeen" => Word::Teen(17),
        b"eighteen" => Word::Teen(18),
        b"nineteen" => Word::Teen(19),
        b"twenty" => Word::Ten(20),
        b"thirty" => Word::Ten(30),
        b"forty" | b"fourty" => Word::Ten(40),
        b"fifty" => Word::Ten(50),
        b"sixty" => Word::Ten(60),
        b"seventy" => Word::Ten(70),
        b"eighty" => Word::Ten(80),
        b"ninety" => Word::Ten(90),
        b"hundred" | b"hundreds" => Word::Hundred,
        b"thousand" => Word::Scale(3),
        b"million" | b"millions" => Word::Scale(6),
        b"billion" | b"billions" => Word::Scale(9),
        b"trillion" => Word::Scale(12),
        _ => return None,
    })
}

/// The n of an n-th part, and whether the word stands for several (`thirds`).
pub(super) fn part(word: &str) -> Option<(u32, bool)> {
    if word.len() < 4 {
        return None;
    }
    let lower = word.to_ascii_lowercase();
    let (stem, many) = match lower.as_str() {
        "halves" => ("half", true),
        other => match other.strip_suffix('s') {
            Some(stem) => (stem, true),
            None => (other, false),
        },
    };
    let n = match stem {
        "half" => 2,
        "third" => 3,
        "quarter" | "fourth" => 4,
        "fifth" => 5,
        "sixth" => 6,
        "seventh" => 7,
        "eighth" => 8,
        "ninth" => 9,
        "tenth" => 10,
        "twelfth" => 12,
        "sixteenth" => 16,
        "twentieth" => 20,
        "hundredth" => 100,
        "thousandth" => 1000,
        _ => return None,
    };
    Some((n, many))
}

/// `first` to `ninetieth`: words that turn the number before them into a rank.
pub(super) fn is_ordinal(word: &str) -> bool {
    let lower = word.to_ascii_lowercase();
    if classify(&lower).is_some() || lower.len() < 5 {
        return false;
    }
    matches!(lower.as_str(), "first" | "second" | "third" | "fifth" | "eighth" | "ninth" | "twelfth")
        || lower.strip_suffix("ieth").is_some_and(|stem| classify(&format!("{stem}y")).is_some())
        || lower.strip_suffix("th").is_some_and(|stem| classify(stem).is_some())
}

/// A number as far as it was read.
#[derive(Clone, Debug)]
pub(super) struct Spoken {
    pub value: Exact,
    /// The place of the last digit that was said: 1 for `two hundred`, a million for `22 million`.
    pub written: Exact,
    /// Set by fractions and decimals, whose last digit always counts.
    pub fine: bool,
    pub next: usize,
}

/// Where a run of number words stands.
struct Run {
    total: Exact,
    group: u32,
    last: Option<Word>,
    /// The group already has its hundreds.
    hundreds: bool,
    scale: i32,
    written: Exact,
    next: usize,
}

/// Reads number words from `at`. `started` is a number in digits that stands before them (`3` of
/// `3 hundred and one`).
pub(super) fn whole_number(text: &Text, at: usize, between: bool) -> Option<Spoken> {
    let mut run = Run {
        total: Exact::zero(),
        group: 0,
        last: None,
        hundreds: false,
        scale: i32::MAX,
        written: whole(1),
        next: at,
    };
    if text.is_any(at, &["a", "an"]) {
        // "a hundred", "a million"
        if !matches!(classify(text.word(at + 1)), Some(Word::Hundred | Word::Scale(_)))
            || ends_in_s(text.word(at + 1))
        {
            return None;
        }
        run.group = 1;
        run.last = Some(Word::One(1));
        run.next = at + 1;
    } else if matches!(classify(text.word(at)), Some(Word::Hundred | Word::Scale(_))) {
        // "thousand nine hundred twenty", but neither "several thousand" nor "hundreds"
        if !text.word_before(at).is_empty() || ends_in_s(text.word(at)) {
            return None;
        }
        run.group = 1;
        run.last = Some(Word::One(1));
    }
    while run.step(text, between) {}
    run.last?;
    run.finish(text)
}

/// Reads on from a number in digits: the scale and what follows it (`5 hundred`, `3 hundred and one`).
pub(super) fn scaled(
    text: &Text,
    value: &Exact,
    written: &Exact,
    at: usize,
    between: bool,
) -> Option<Spoken> {
    let hyphen = usize::from(text.is_hyphen(at));
    let factor = match classify(text.word(at + hyphen))? {
        Word::Hundred => ten_to(2),
        Word::Scale(power) => ten_to(power),
        _ => return None,
    };
    let mut run = Run {
        total: value * &factor,
        group: 0,
        last: Some(Word::Hundred),
        hundreds: false,
        scale: 2,
        written: written * &factor,
        next: at + hyphen + 1,
    };
    if let Some(Word::Scale(power)) = classify(text.word(at + hyphen)) {
        run.scale = power;
        run.last = Some(Word::Scale(power));
    } else {
        run.hundreds = true;
    }
    if value.is_integer() {
        while run.step(text, between) {}
    }
    run.finish(text)
}

fn ends_in_s(word: &str) -> bool {
    word.ends_with(['s', 'S'])
}

impl Run {
    /// Takes one more word; false where the number ends.
    fn step(&mut self, text: &Text, between: bool) -> bool {
        let mut at = self.next;
        let joined = text.is_hyphen(at) && self.last.is_some();
        if joined {
            at += 1;
        } else if self.last.is_some() && (text.is(at, "and") || text.mark(at) == '&') {
            if !self.goes_on_after_and(text, at + 1, between) {
                return false;
            }
            at += 1;
        } else if text.mark(at) == ',' {
            if !self.goes_on_after_comma(text, at + 1) {
                return false;
            }
            at += 1;
            at += usize::from(text.is(at, "and"));
        }
        let Some(word) = classify(text.word(at)) else { return false };
        if !self.takes(word) || (self.last.is_some() && ends_in_s(text.word(at)) && joined) {
            return false;
        }
        match word {
            Word::One(n) | Word::Teen(n) | Word::Ten(n) => {
                self.group += n;
                self.written = whole(1);
            }
            Word::Hundred => {
                self.group *= 100;
                self.hundreds = true;
            }
            Word::Scale(power) => {
                self.total += whole(self.group.into()) * ten_to(power);
                self.group = 0;
                self.hundreds = false;
                self.scale = power;
                // "two thousand" shows as much as "2,000"; "two million" as much as "2 million"
                self.written = if power > 3 { ten_to(power) } else { whole(1) };
            }
        }
        self.last = Some(word);
        self.next = at + 1;
        true
    }

    fn takes(&self, word: Word) -> bool {
        let fresh = matches!(self.last, None | Some(Word::Hundred | Word::Scale(_)));
        match word {
            Word::One(0) => self.last.is_none(),
            Word::One(_) => fresh || matches!(self.last, Some(Word::Ten(_))),
            Word::Teen(_) | Word::Ten(_) => fresh,
            Word::Hundred => (1..100).contains(&self.group) && !self.hundreds && self.scale > 2,
            Word::Scale(power) => self.group > 0 && power < self.scale,
        }
    }

    fn after_break(&self) -> bool {
        matches!(self.last, Some(Word::Hundred | Word::Scale(_)))
    }

    /// After "and" comes something smaller that still belongs: "two hundred and two thousand", but
    /// not "one hundred and two hundred".
    fn goes_on_after_and(&self, text: &Text, at: usize, between: bool) -> bool {
        if !self.after_break() || super::numeral::fraction_words(text, at).is_some() {
            return false;
        }
        match classify(text.word(at)) {
            Some(Word::One(n)) if n > 0 => {}
            Some(Word::Teen(_) | Word::Ten(_)) => {}
            _ => return false,
        }
        match word_after_small(text, at) {
            Some(Word::Hundred) => self.scale != i32::MAX && self.scale > 2 && !between,
            Some(Word::Scale(power)) => power < self.scale && !between,
            _ => true,
        }
    }

    /// "three million, two hundred and forty": a comma only after a scale, and before a smaller group
    /// that is more than one word long.
    fn goes_on_after_comma(&self, text: &Text, at: usize) -> bool {
        let Some(Word::Scale(_)) = self.last else { return false };
        let at = at + usize::from(text.is(at, "and"));
        match classify(text.word(at)) {
            Some(Word::One(_) | Word::Teen(_) | Word::Ten(_)) => {}
            _ => return false,
        }
        match word_after_small(text, at) {
            Some(Word::Hundred) => true,
            Some(Word::Scale(power)) => power < self.scale,
            _ => false,
        }
    }

    fn finish(mut self, text: &Text) -> Option<Spoken> {
        let mut value = std::mem::take(&mut self.total) + whole(self.group.into());
        if self.is_rank(text) || self.is_year(text) {
            return None;
        }
        let mut fine = false;
        if text.is(self.next, "point")
            && let Some((decimals, next)) = spoken_decimals(text, self.next + 1)
        {
            let places = decimals.len() as i32;
            value += whole(decimals.parse().unwrap_or(0)) * ten_to(-places);
            self.written = ten_to(-places);
            self.next = next;
            fine = true;
            if let Some(Word::Scale(power)) = classify(text.word(next)) {
                value *= ten_to(power);
                self.written *= ten_to(power);
                self.next += 1;
            }
        }
        Some(Spoken { value, written: self.written, fine, next: self.next })
    }

    /// "twenty-fifth", "one hundred and first", "two hundredth": a rank, not a quantity.
    fn is_rank(&self, text: &Text) -> bool {
        let hyphen = usize::from(text.is_hyphen(self.next) && text.glued(self.next));
        let rank = |at: usize| is_ordinal(text.word(at));
        let large = |at: usize| text.is_any(at, &["hundredth", "thousandth", "millionth"]);
        match self.last {
            Some(Word::One(1)) if self.group == 1 && hyphen == 0 => false,
            Some(Word::One(_) | Word::Teen(_)) => large(self.next + hyphen),
            Some(Word::Ten(_) | Word::Hundred | Word::Scale(_)) if rank(self.next + hyphen) => true,
            Some(Word::Hundred | Word::Scale(_)) if text.is(self.next, "and") => {
                rank(past_words(text, self.next + 1))
            }
            Some(Word::Scale(_)) if text.mark(self.next) == ',' => {
                let end = past_words(text, self.next + 1);
                end > self.next + 1 && rank(end)
            }
            _ => false,
        }
    }

    /// "nineteen sixteen", "twenty twenty-four": a year read out. "Nineteen twenty-foot logs" is none.
    fn is_year(&self, text: &Text) -> bool {
        let century = matches!(self.last, Some(Word::Teen(15..=19) | Word::Ten(20))) && self.total.is_zero();
        if !century || text.glued(self.next) || self.group > 20 {
            return false;
        }
        let zero = text.is(self.next, "oh") && classify(text.word(self.next + 2)).is_some();
        let tail = matches!(classify(text.word(self.next)), Some(Word::Teen(_) | Word::Ten(_)));
        zero || (tail && !text.is_hyphen(past_words(text, self.next)))
    }
}

/// Past number words and the hyphens and "and" between them.
fn past_words(text: &Text, mut at: usize) -> usize {
    for _ in 0..12 {
        let joint = usize::from(text.is_hyphen(at) || text.is(at, "and"));
        if classify(text.word(at + joint)).is_none() {
            // the ones of a rank hang on a hyphen
            return at + usize::from(text.is_hyphen(at) && is_ordinal(text.word(at + 1)));
        }
        at += joint + 1;
    }
    at
}

/// The word after a number below 100 that starts at `at`.
fn word_after_small(text: &Text, at: usize) -> Option<Word> {
    let mut next = at + 1;
    if let Some(Word::Ten(_)) = classify(text.word(at)) {
        let ones = next + usize::from(text.is_hyphen(next));
        if let Some(Word::One(_)) = classify(text.word(ones)) {
            next = ones + 1;
        }
    }
    classify(text.word(next))
}

/// "nought four", "zero three", "eleven", "5": the digits behind a spoken point.
fn spoken_decimals(text: &Text, mut at: usize) -> Option<(String, usize)> {
    let mut digits = String::new();
    if text.kind(at) == Some(Kind::Digits) && text.str(at).bytes().all(|byte| byte.is_ascii_digit()) {
        return Some((text.str(at).to_owned(), at + 1));
    }
    while digits.len() < 15 {
        match classify(text.word(at)) {
            Some(Word::One(n)) => digits.push_str(&n.to_string()),
            Some(Word::Teen(n)) if digits.is_empty() => digits.push_str(&n.to_string()),
            Some(Word::Ten(n)) if digits.is_empty() => {
                let ones = at + 1 + usize::from(text.is_hyphen(at + 1));
                match classify(text.word(ones)) {
                    Some(Word::One(one)) if one > 0 => {
                        digits.push_str(&(n + one).to_string());
                        at = ones;
                    }
                    _ => digits.push_str(&n.to_string()),
                }
            }
            _ => break,
        }
        at += 1;
    }
    (!digits.is_empty()).then_some((digits, at))
}

/// `n` parts of `of`.
pub(super) fn parts(n: u32, of: u32) -> Exact {
    ratio(n.into(), of.into())
}
