//! Tokens: words, runs of digits and single marks, found in one pass over the text.

use super::own::OwnUnits;
use std::ops::Range;
use std::sync::Arc;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// A run of letters.
    Word,
    /// Digits with thousands marks and a decimal point: `1,674,200`, `.77`, `6.5`.
    Digits,
    /// What looks like digits and is no number: `1.2.3`, a run longer than any figure.
    NoNumber,
    /// Any other single character.
    Mark,
    /// An address on the net, as a whole.
    Address,
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Token {
    pub kind: Kind,
    pub start: usize,
    pub end: usize,
    /// White space stands before it.
    pub spaced: bool,
    /// A line begins with it.
    pub first_of_line: bool,
}

/// A text and its tokens; positions past the end are answered with nothing.
pub(super) struct Text<'a> {
    pub text: &'a str,
    pub tokens: Vec<Token>,
    /// The units of the program that it belongs to.
    pub own: &'a Arc<OwnUnits>,
}

/// A run of digits longer than this is no figure of prose.
const LONGEST_NUMBER: usize = 40;

impl<'a> Text<'a> {
    pub fn new(text: &'a str, own: &'a Arc<OwnUnits>) -> Self {
        let mut made = Self { text, tokens: Vec::with_capacity(text.len() / 5), own };
        let bytes = text.as_bytes();
        let (mut at, mut spaced, mut first) = (0, false, true);
        while at < bytes.len() {
            let byte = bytes[at];
            if byte.is_ascii_whitespace() {
                spaced = true;
                first |= byte == b'\n';
                at += 1;
                continue;
            }
            let (kind, end) = if byte.is_ascii_alphabetic() {
                (Kind::Word, word_end(text, at))
            } else if byte.is_ascii_digit() || (byte == b'.' && made.starts_decimal(at, spaced)) {
                digits_end(bytes, at)
            } else if byte.is_ascii() {
                (Kind::Mark, at + 1)
            } else {
                let letter = text[at..].chars().next().unwrap_or(' ');
                if letter.is_whitespace() || letter == '\u{200b}' || letter == '\u{feff}' {
                    spaced = true;
                    at += letter.len_utf8();
                    continue;
                }
                if letter.is_alphabetic() && letter != 'º' {
                    (Kind::Word, word_end(text, at))
                } else {
                    (Kind::Mark, at + letter.len_utf8())
                }
            };
            let token = Token { kind, start: at, end, spaced, first_of_line: first };
            at = made.add(token);
            (spaced, first) = (false, false);
        }
        made
    }

    /// Adds a token and says where the next one may start: past the whole of a net address.
    fn add(&mut self, mut token: Token) -> usize {
        let bytes = self.text.as_bytes();
        let scheme = token.kind == Kind::Mark && self.text[token.start..].starts_with("://");
        let mail = token.kind == Kind::Mark && bytes[token.start] == b'@' && !token.spaced;
        let plain = token.kind == Kind::Word && self.text[token.start..token.end].eq_ignore_ascii_case("www");
        if scheme || mail || plain {
            while let Some(last) = self.tokens.last() {
                if token.spaced || last.end != token.start {
                    break;
                }
                token = Token { end: token.end, ..*last };
                self.tokens.pop();
            }
            let rest = &self.text[token.end..];
            token.end += rest.find(|c: char| c.is_whitespace() || c == '>').unwrap_or(rest.len());
            token.kind = Kind::Address;
        }
        self.tokens.push(token);
        token.end
    }

    fn starts_decimal(&self, at: usize, spaced: bool) -> bool {
        let bytes = self.text.as_bytes();
        let glued_to_word = !spaced
            && self
                .tokens
                .last()
                .is_some_and(|last| matches!(last.kind, Kind::Word | Kind::Digits | Kind::NoNumber));
        bytes.get(at + 1).is_some_and(u8::is_ascii_digit) && !glued_to_word
    }

    pub fn get(&self, at: usize) -> Option<&Token> {
        self.tokens.get(at)
    }

    pub fn kind(&self, at: usize) -> Option<Kind> {
        self.tokens.get(at).map(|token| token.kind)
    }

    /// The text of a token; empty past the end.
    pub fn str(&self, at: usize) -> &'a str {
        self.tokens.get(at).map_or("", |token| &self.text[token.start..token.end])
    }

    /// The text of a word; empty for anything else.
    pub fn word(&self, at: usize) -> &'a str {
        if self.kind(at) == Some(Kind::Word) { self.str(at) } else { "" }
    }

    /// Whether a sentence, an item of a list or a quotation begins with this token.
    pub fn starts_sentence(&self, at: usize) -> bool {
        at == 0
            || self.get(at).is_some_and(|token| token.first_of_line)
            || matches!(self.mark(at - 1), '.' | '!' | '?' | ':' | '•' | '*' | '-' | '"' | '“')
    }

    /// The text of the word before a token; empty for anything else.
    pub fn word_before(&self, at: usize) -> &'a str {
        at.checked_sub(1).map_or("", |at| self.word(at))
    }

    /// Whether a token is that word, whatever its capitals.
    pub fn is(&self, at: usize, word: &str) -> bool {
        self.str(at).eq_ignore_ascii_case(word)
    }

    pub fn is_any(&self, at: usize, words: &[&str]) -> bool {
        words.iter().any(|word| self.is(at, word))
    }

    /// Whether the words from `at` on are those.
    pub fn are(&self, at: usize, words: &[&str]) -> bool {
        words.iter().enumerate().all(|(n, word)| self.is(at + n, word))
    }

    /// The character of a mark; a space for anything else.
    pub fn mark(&self, at: usize) -> char {
        match self.tokens.get(at) {
            Some(token) if token.kind == Kind::Mark => self.text[token.start..].chars().next().unwrap_or(' '),
            _ => ' ',
        }
    }

    pub fn spaced(&self, at: usize) -> bool {
        self.tokens.get(at).is_none_or(|token| token.spaced)
    }

    /// A token is there and nothing stands between it and the one before.
    pub fn glued(&self, at: usize) -> bool {
        self.tokens.get(at).is_some_and(|token| !token.spaced) && at > 0
    }

    pub fn is_dash(&self, at: usize) -> bool {
        matches!(self.mark(at), '-' | '‐' | '‑' | '‒' | '–' | '—' | '−')
    }

    pub fn is_hyphen(&self, at: usize) -> bool {
        matches!(self.mark(at), '-' | '‐' | '‑')
    }

    pub fn bytes(&self, tokens: Range<usize>) -> Range<usize> {
        let start = self.tokens.get(tokens.start).map_or(self.text.len(), |token| token.start);
        let end =
            tokens.end.checked_sub(1).and_then(|at| self.tokens.get(at)).map_or(start, |token| token.end);
        start..end.max(start)
    }
}

fn word_end(text: &str, at: usize) -> usize {
    let bytes = text.as_bytes();
    let mut end = at;
    while end < bytes.len() {
        if bytes[end].is_ascii_alphabetic() {
            end += 1;
        } else if bytes[end].is_ascii() {
            break;
        } else {
            match text[end..].chars().next() {
                Some(letter) if letter.is_alphabetic() && letter != 'º' => end += letter.len_utf8(),
                _ => break,
            }
        }
    }
    end
}

fn digits_end(bytes: &[u8], at: usize) -> (Kind, usize) {
    let run = |mut end: usize| {
        while bytes.get(end).is_some_and(u8::is_ascii_digit) {
            end += 1;
        }
        end
    };
    let mut end = run(at);
    if (1..=3).contains(&(end - at)) {
        while bytes.get(end) == Some(&b',') && run(end + 1) == end + 4 {
            end += 4;
        }
    }
    let mut points = 0;
    while bytes.get(end) == Some(&b'.') && run(end + 1) > end + 1 {
        end = run(end + 1);
        points += 1;
    }
    let number = points < 2 && end - at <= LONGEST_NUMBER;
    (if number { Kind::Digits } else { Kind::NoNumber }, end)
}
