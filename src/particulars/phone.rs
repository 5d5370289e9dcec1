//! Telephone numbers: the digits count, and not what stands between them. Common practice, no source.

use super::{Manner, Particular, Says, scan};
use std::ops::Range;

/// The digits of a telephone number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Number {
    digits: String,
    extension: String,
}

impl Number {
    /// The same number: of North America with or without the 1 of the country; `nearby`, without its area code.
    pub(super) fn is(&self, fact: &Self, nearby: bool) -> bool {
        let own = |number: &Self| match number.digits.strip_prefix('1') {
            Some(rest) if rest.len() == 10 => rest.to_owned(),
            _ => number.digits.clone(),
        };
        let (stated, known) = (own(self), own(fact));
        let short = |long: &str, short: &str| short.len() >= 7 && long.ends_with(short);
        let same = stated == known || (nearby && (short(&known, &stated) || short(&stated, &known)));
        same && (self.extension == fact.extension || (nearby && self.extension.is_empty()))
    }
}

pub(super) fn read(text: &str, at: usize, manner: Manner) -> Option<Particular> {
    if !scan::begins(text, at) || ends_in_sign(&text[..at]) {
        return None;
    }
    let (groups, signs, end) = groups(text, at)?;
    let digits: String = groups.iter().map(|group| &text[group.clone()]).collect();
    let lengths: Vec<usize> = groups.iter().map(Range::len).collect();
    let is_international = text[at..].starts_with('+');
    let national = match lengths.as_slice() {
        [1, rest @ ..] if digits.starts_with('1') => rest,
        rest => rest,
    };
    // no area code and no exchange of North America starts with 0 or 1
    let starts = groups.iter().rev().skip(1).take(2).map(|group| text.as_bytes()[group.start]);
    let is_office = starts.take(national.len().saturating_sub(1)).all(|digit| (b'2'..=b'9').contains(&digit));
    let is_formed = is_office
        && match national {
            [3, 4] => {
                text[at..].starts_with('(') || signs.iter().all(|sign| sign.contains(['-', '.', '‑', '–']))
            }
            [3, 3, 4] => true,
            _ => false,
        }
        || is_international && lengths.len() > 1 && (8..=15).contains(&digits.len());
    let is_plain = manner == Manner::Known && (3..=15).contains(&digits.len());
    if !(is_formed || is_plain) || !scan::ends(text, end) {
        return None;
    }
    let (extension, end) = extension(text, end);
    let says = Says::Phone(Number { digits, extension });
    Some(Particular { span: at..end, says, or: None, parts: Vec::new() })
}

/// A sign before it that makes it part of something else: `12-555-0100`, `$555`, `/2026`.
fn ends_in_sign(before: &str) -> bool {
    let mut signs = before.chars().rev();
    let sign = signs.next().is_some_and(|sign| matches!(sign, '-' | '/' | '.' | ',' | ':' | '–' | '+' | '('));
    sign && signs.next().is_some_and(|letter| letter.is_ascii_digit())
}

/// Groups of digits, what stands between them, and the end of the last.
type Groups<'t> = (Vec<Range<usize>>, Vec<&'t str>, usize);

fn groups(text: &str, at: usize) -> Option<Groups<'_>> {
    let mut start = at + text[at..].len() - text[at..].trim_start_matches(['+', '(']).len();
    let (mut groups, mut signs) = (Vec::new(), Vec::new());
    let mut end;
    loop {
        let length = text[start..].bytes().take_while(u8::is_ascii_digit).count();
        if length == 0 {
            return None;
        }
        end = start + length;
        groups.push(start..end);
        let rest = &text[end..];
        let sign = rest.len()
            - rest.trim_start_matches(['-', '.', ' ', '\u{a0}', '\u{202f}', '(', ')', '‑', '–', '/']).len();
        let sign = &rest[..sign];
        if sign.is_empty()
            || sign.chars().count() > 3
            || !rest[sign.len()..].starts_with(|it: char| it.is_ascii_digit())
        {
            return Some((groups, signs, end));
        }
        if sign.contains('/') {
            return None;
        }
        signs.push(sign);
        start = end + sign.len();
    }
}

/// `ext. 12`, `x12`.
fn extension(text: &str, at: usize) -> (String, usize) {
    let next = scan::spaces(text, at);
    let next = text[next..].strip_prefix(',').map_or(next, |_| scan::spaces(text, next + 1));
    for mark in ["extension ", "ext. ", "ext ", "ext.", "x "] {
        if let Some(end) = text.get(next..).and_then(|_| scan::phrase(text, next, mark))
            && let Some((_, past)) = scan::digits(text, scan::spaces(text, end))
        {
            return (text[scan::spaces(text, end)..past].to_owned(), past);
        }
    }
    match text[next..].strip_prefix('x').and_then(|_| scan::digits(text, next + 1)) {
        Some((_, past)) => (text[next + 1..past].to_owned(), past),
        None => (String::new(), at),
    }
}

/// The digits put into the writing of another number; the fact's own writing where it has another count of them.
pub(super) fn rewritten(text: &str, stated: &Particular, number: &Number, value: &str) -> Option<String> {
    let Says::Phone(old) = &stated.says else { return None };
    let bare = |digits: &str| digits.strip_prefix('1').filter(|rest| rest.len() == 10).map(str::to_owned);
    let digits = match (old.digits.len(), number.digits.len()) {
        (a, b) if a == b => number.digits.clone(),
        (10, 11) => bare(&number.digits)?,
        (11, 10) => format!("1{}", number.digits),
        _ => return Some(value.to_owned()),
    };
    if old.extension.len() != number.extension.len() {
        return Some(value.to_owned());
    }
    let mut new = digits.chars().chain(number.extension.chars());
    let anew = text[stated.span.clone()].chars();
    Some(
        anew.map(|letter| if letter.is_ascii_digit() { new.next().unwrap_or(letter) } else { letter })
            .collect(),
    )
}
