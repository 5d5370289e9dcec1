//! Hours as people write them: `2.5`, `2,5`, `2:30`, `2 h 30`, `150 min`, `2½`; exact.

use crate::languages::in_all;
use crate::quantity::{Exact, fractions};
use num_bigint::BigInt;
use num_traits::Zero;

/// Why a text is no number of hours.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoHours {
    Negative,
    /// Sixty minutes or more beside hours: `2:75`.
    Minutes,
    /// A comma before three digits parts thousands as well as decimals.
    Comma,
    /// `2.30` may be two hours and thirty minutes, or two hours and three tenths.
    Sixtieths,
    Unread,
}

impl NoHours {
    pub fn message(self) -> &'static str {
        match self {
            Self::Negative => "The hours are less than zero.",
            Self::Minutes => "An hour has sixty minutes, and these minutes are sixty or more.",
            Self::Comma => "A comma before three digits could mean thousands or decimals.",
            Self::Sixtieths => "What follows the point or comma could be minutes or a part of an hour.",
            Self::Unread => "packstring cannot read these hours.",
        }
    }

    pub fn mend(self) -> &'static str {
        match self {
            Self::Negative => "Write the hours that were worked, or take the row out.",
            Self::Minutes => "Write the hours as in 2:30 or 2.5.",
            Self::Comma => "Write the hours with a point, or with fewer digits.",
            Self::Sixtieths => {
                "Write minutes with a colon (2:30), or a part of an hour with one digit (2.3)."
            }
            Self::Unread => "Write the hours such as 2.5, 2:30, 2 h 30 min or 150 min.",
        }
    }
}

/// The word in the place of a unit that is none of time, where a text is a number with one word.
pub fn unknown_unit(text: &str) -> Option<String> {
    let text = text.trim().to_lowercase();
    let mut letters = Letters::of(&text);
    letters.number().ok()?;
    let unit = letters.word();
    let is_unknown = !unit.is_empty() && letters.is_done() && !is_hours(&unit) && !is_minutes(&unit);
    is_unknown.then_some(unit)
}

/// The hours that a text states.
pub fn read(text: &str) -> Result<Exact, NoHours> {
    let text: String = text.trim().to_lowercase();
    if let Some(positive) = text.strip_prefix(['-', '−', '–']) {
        return Err(read(positive).map_or(NoHours::Unread, |_| NoHours::Negative));
    }
    if text.contains(':') {
        let clock = text.trim_end_matches(char::is_alphabetic).trim_end();
        let unit = text[clock.len()..].trim();
        return if unit.is_empty() || is_hours(unit) { clock_time(clock) } else { Err(NoHours::Unread) };
    }
    spoken(&mut Letters::of(&text))
}

/// `2:30`, `2:30:15`.
fn clock_time(text: &str) -> Result<Exact, NoHours> {
    let parts: Vec<&str> = text.split(':').collect();
    let is_digits = |part: &str| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
    if !(2..=3).contains(&parts.len()) || !parts.iter().all(|part| is_digits(part)) {
        return Err(NoHours::Unread);
    }
    if parts[1..].iter().any(|part| part.len() != 2) {
        return Err(NoHours::Unread);
    }
    let mut hours = Exact::zero();
    let mut worth = Exact::from_integer(1.into());
    for (at, part) in parts.iter().enumerate() {
        let value = Exact::from_integer(part.parse::<BigInt>().map_err(|_| NoHours::Unread)?);
        if at > 0 && value >= sixty() {
            return Err(NoHours::Minutes);
        }
        hours += value * &worth;
        worth /= sixty();
    }
    Ok(hours)
}

/// Numbers with units: hours, then minutes; a lone number is hours.
fn spoken(letters: &mut Letters) -> Result<Exact, NoHours> {
    let first = letters.number()?;
    let unit = letters.word();
    if unit.is_empty() {
        return if letters.is_done() { Ok(first) } else { Err(NoHours::Unread) };
    }
    if is_minutes(&unit) {
        return if letters.is_done() { Ok(first / sixty()) } else { Err(NoHours::Unread) };
    }
    if !is_hours(&unit) {
        return Err(NoHours::Unread);
    }
    if letters.is_done() {
        return Ok(first);
    }
    // "2h,5" is no two hours and five minutes, nor half a minute.
    let is_point = matches!(letters.peek(), Some(',' | '.'));
    if is_point && letters.letters.get(letters.at + 1).is_some_and(char::is_ascii_digit) {
        return Err(NoHours::Unread);
    }
    letters.pass_joint();
    // "2h½" is two and a half hours, and no half minute.
    if let Some(part) = letters.fractions() {
        let unit = letters.word();
        let is_hours = unit.is_empty() || is_hours(&unit);
        return if is_hours && letters.is_done() { Ok(first + part) } else { Err(NoHours::Unread) };
    }
    let begin = letters.at;
    let minutes = letters.number()?;
    // "2h 1/2" is that too, and "2h 1 1/2" may be either.
    let is_fraction = letters.letters[begin..letters.at].contains(&'/');
    let unit = letters.word();
    if is_fraction && !is_minutes(&unit) {
        let is_part = minutes < Exact::from_integer(1.into()) && (unit.is_empty() || is_hours(&unit));
        return if is_part && letters.is_done() { Ok(first + minutes) } else { Err(NoHours::Unread) };
    }
    if !(unit.is_empty() || is_minutes(&unit)) || !letters.is_done() {
        return Err(NoHours::Unread);
    }
    if minutes >= sixty() { Err(NoHours::Minutes) } else { Ok(first + minutes / sixty()) }
}

fn sixty() -> Exact {
    Exact::from_integer(60.into())
}

fn is_hours(unit: &str) -> bool {
    in_all(|language| &language.cells.hours).any(|known| known == unit)
}

fn is_minutes(unit: &str) -> bool {
    in_all(|language| &language.cells.minutes).any(|known| known == unit)
}

/// A text that is being read from its start.
struct Letters {
    letters: Vec<char>,
    at: usize,
}

impl Letters {
    fn of(text: &str) -> Self {
        Self { letters: text.chars().collect(), at: 0 }
    }

    fn is_done(&mut self) -> bool {
        self.pass_space();
        self.at == self.letters.len()
    }

    fn peek(&self) -> Option<char> {
        self.letters.get(self.at).copied()
    }

    fn take_while(&mut self, is_part: impl Fn(char) -> bool) -> String {
        let start = self.at;
        while self.peek().is_some_and(&is_part) {
            self.at += 1;
        }
        self.letters[start..self.at].iter().collect()
    }

    fn pass_space(&mut self) {
        self.take_while(char::is_whitespace);
    }

    /// What may stand between hours and minutes.
    fn pass_joint(&mut self) {
        self.pass_space();
        let start = self.at;
        if !matches!(
            &*self.take_while(|letter| letter.is_alphabetic() || matches!(letter, '&' | ',')),
            "and" | "&" | ","
        ) {
            self.at = start;
        }
    }

    /// A unit, without the full stop of an abbreviation.
    fn word(&mut self) -> String {
        self.pass_space();
        let word = self.take_while(char::is_alphabetic);
        if !word.is_empty() && self.peek() == Some('.') {
            self.at += 1;
        }
        word
    }

    /// `2`, `2.5`, `2,5`, `2½`, `2 1/2`, `1/2`.
    fn number(&mut self) -> Result<Exact, NoHours> {
        self.pass_space();
        if let Some(part) = self.fractions() {
            return Ok(part);
        }
        let digits = self.take_while(|letter| letter.is_ascii_digit() || matches!(letter, '.' | ','));
        if self.peek() == Some('/') {
            return self.below(&digits);
        }
        let value = decimal(&digits)?;
        if digits.contains(['.', ',']) {
            return Ok(value);
        }
        let after = self.at;
        self.pass_space();
        if let Some(part) = self.fractions() {
            return Ok(value + part);
        }
        let upper = self.take_while(|letter| letter.is_ascii_digit());
        if self.peek() == Some('/') {
            return Ok(value + self.below(&upper)?);
        }
        self.at = after;
        Ok(value)
    }

    fn fractions(&mut self) -> Option<Exact> {
        let (upper, lower) = fractions(self.peek()?)?;
        self.at += 1;
        Some(Exact::new(upper.into(), lower.into()))
    }

    /// The rest of a fraction whose upper number was read; less than one.
    fn below(&mut self, upper: &str) -> Result<Exact, NoHours> {
        self.at += 1;
        let lower = self.take_while(|letter| letter.is_ascii_digit());
        let whole = |digits: &str| digits.parse::<BigInt>().map_err(|_| NoHours::Unread);
        let (upper, lower) = (whole(upper)?, whole(&lower)?);
        if upper >= lower { Err(NoHours::Unread) } else { Ok(Exact::new(upper, lower)) }
    }
}

/// Digits with at most one point or comma among them.
fn decimal(text: &str) -> Result<Exact, NoHours> {
    let (head, tail) = text.split_once(['.', ',']).unwrap_or((text, ""));
    if text.contains(',') && tail.len() >= 3 {
        return Err(NoHours::Comma);
    }
    let is_digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
    if !is_digits(head) || !is_digits(tail) || (head.is_empty() && tail.is_empty()) {
        return Err(NoHours::Unread);
    }
    // Quarters are parts of an hour, and what no clock shows; other fives and tens are what a clock would.
    // "2.50" is how spreadsheets write two and a half; with a comma it is as likely that minutes were typed.
    let is_clock = |tail: u32| {
        let is_part = [0, 25].contains(&tail) || tail == 50 && text.contains('.');
        tail < 60 && tail.is_multiple_of(5) && !is_part
    };
    let clock = tail.len() == 2 && tail.parse().is_ok_and(is_clock);
    if clock {
        return Err(NoHours::Sixtieths);
    }
    let digits: BigInt = format!("{head}{tail}").parse().map_err(|_| NoHours::Unread)?;
    let scale = u32::try_from(tail.len()).map_err(|_| NoHours::Unread)?;
    Ok(Exact::new(digits, BigInt::from(10).pow(scale)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn minutes(text: &str) -> Result<Exact, NoHours> {
        Ok(read(text)? * sixty())
    }

    #[test]
    fn hours_are_read_in_every_form_exactly() {
        for (texts, expected) in [
            (&["2.5", "2,5", "2:30", "2 h 30", "2h30", "150 min", "2½", "2 ½", "2 1/2"][..], 150),
            (&["2h½", "2 h ½", "2h ½ h", "2h1/2", "2 h 1/2", "2h 1/2 h", "2.50"], 150),
            (&["2.25", "2 h 15"], 135),
            (&["2.75"], 165),
            (&["2 hours and 30 minutes", "2 h 30 min", "2.5 h", "2:30 h", "2 hrs. 30 mins."], 150),
            (&["2:30:00", "02:30", "150 minutes", "2 hr, 30 min", "2\u{a0}h\u{202f}30"], 150),
            (&["½", "1/2", "0.5", ".5", ",5", "30m", "0:30"], 30),
            (&["8", "8 h", "8.", "480 min", "8 hours"], 480),
            (&["0"], 0),
            (&["⅓", "0:20", "20 min", "1/3 h"], 20),
        ] {
            for text in texts {
                assert_eq!(minutes(text), Ok(Exact::from_integer(expected.into())), "{text}");
            }
        }
        assert_eq!(read("0:00:01"), Ok(Exact::new(1.into(), 3600.into())));
    }

    #[test]
    fn what_is_no_hours_says_why() {
        for (text, why) in [
            ("2.30", NoHours::Sixtieths),
            ("2,30", NoHours::Sixtieths),
            ("2,50", NoHours::Sixtieths),
            ("2h,5", NoHours::Unread),
            ("2 h ,30", NoHours::Unread),
            ("1.45 h", NoHours::Sixtieths),
            ("0.05", NoHours::Sixtieths),
            ("2h½ min", NoHours::Unread),
            ("three", NoHours::Unread),
            ("", NoHours::Unread),
            ("-2", NoHours::Negative),
            ("−2:30", NoHours::Negative),
            ("-", NoHours::Unread),
            ("2:75", NoHours::Minutes),
            ("2 h 60", NoHours::Minutes),
            ("1,250", NoHours::Comma),
            ("2:3", NoHours::Unread),
            ("2:30:", NoHours::Unread),
            ("2.5.1", NoHours::Unread),
            ("2-3", NoHours::Unread),
            ("about 2", NoHours::Unread),
            ("2 days", NoHours::Unread),
            ("3/2", NoHours::Unread),
            ("1/0", NoHours::Unread),
            ("2 30", NoHours::Unread),
            ("30 min 2 h", NoHours::Unread),
            ("=2+2", NoHours::Unread),
            ("1e3", NoHours::Unread),
            ("٢", NoHours::Unread),
        ] {
            assert_eq!(read(text), Err(why), "{text}");
        }
    }
}
