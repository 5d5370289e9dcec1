//! Figures put into the language: those that packstring says itself, and those that a writer's words are changed to.

use super::super::restate::restate_in_by;
use super::super::words::classify;
use super::super::{Held, OwnUnits};
use super::{Lexicon, spell};
use icu_decimal::DecimalFormatter;
use icu_decimal::input::Decimal;
use std::ops::Range;
use std::sync::Arc;

impl Lexicon {
    /// The gloss is restated, and what changed in it is put back into the language.
    pub(super) fn restate_in(
        &self,
        text: &str,
        words: &Range<usize>,
        held: &Held,
        units: &Arc<OwnUnits>,
    ) -> Result<String, String> {
        let gloss = self.gloss(text);
        let within = gloss.of_source(words);
        let was = &gloss.text[within.clone()];
        let now = restate_in_by(&gloss.text, &within, held, units)?;
        if now == was {
            return Ok(text[words.clone()].to_owned());
        }
        let (kept_before, kept_after) = kept(was, &now, |at| gloss.may_be_cut(within.start + at));
        let changed = &now[kept_before..now.len() - kept_after];
        let after = format!("{}{}", &now[now.len() - kept_after..], &gloss.text[within.end..]);
        let start = gloss.start(within.start + kept_before).max(words.start);
        let end = gloss.end(within.end - kept_after).clamp(start, words.end);
        let stood = &text[start..end];
        let said = spell::words(self, changed, &after, stood)
            .ok_or("It cannot be put into the words of this language by rule.")?;
        Ok(format!("{}{said}{}", &text[words.start..start], &text[end..words.end]))
    }

    pub(super) fn put(&self, english: &str) -> String {
        let words: Vec<&str> = english.split(' ').collect();
        let mut said: Vec<String> = Vec::new();
        let mut at = 0;
        while at < words.len() {
            let (count, own) = self.own_phrase(&words, at).unwrap_or_else(|| (1, self.number(words[at])));
            said.push(own);
            at += count;
        }
        let said = said.join(" ");
        if self.is_french() { spell::fr::elided(&said) } else { said }
    }

    pub(super) fn is_french(&self) -> bool {
        self.locale.id.language == icu_locale_core::subtags::language!("fr")
    }

    /// The language's words for the longest phrase that some English words start with, and how many those are.
    pub(super) fn own_phrase(&self, words: &[&str], at: usize) -> Option<(usize, String)> {
        let most = (words.len() - at).min(self.table.longest);
        (1..=most).rev().find_map(|count| {
            let phrase = words[at..at + count].join(" ");
            let own = self.nouns.iter().find(|(_, english)| **english == phrase).map(|(own, _)| own);
            let own = own.or_else(|| self.table.says.get(&phrase))?.clone();
            Some((count, self.of_scale(words, at, count, own)))
        })
    }

    /// `millón`, `millones`, with `de` before a unit.
    fn of_scale(&self, words: &[&str], at: usize, count: usize, own: String) -> String {
        let scale = ["million", "billion", "trillion"].contains(&words[at]);
        if !scale {
            return own;
        }
        let own = own.trim_end_matches(" de");
        let own = match at > 0 && words[at - 1] == "1" {
            true => spell::of_one(own, self.is_french()),
            false => own.to_owned(),
        };
        if at + count < words.len() { format!("{own} de") } else { own }
    }

    /// A number as it is written where the language is; other words stay.
    fn number(&self, word: &str) -> String {
        let plain = word.replace(',', "");
        let Ok(number) = plain.parse::<Decimal>() else { return word.to_owned() };
        match DecimalFormatter::try_new((&self.locale).into(), Default::default()) {
            Ok(formatter) => formatter.format(&number).to_string(),
            Err(_) => word.to_owned(),
        }
    }
}

/// How many bytes two texts share at their beginning and at their end, cut where the first may be.
fn kept(was: &str, now: &str, may_be_cut: impl Fn(usize) -> bool) -> (usize, usize) {
    let shared = |one: &mut dyn Iterator<Item = char>, other: &mut dyn Iterator<Item = char>| -> usize {
        one.zip(other).take_while(|(one, other)| one == other).map(|(letter, _)| letter.len_utf8()).sum()
    };
    let is_break = |at: usize| {
        let space = |letter: Option<char>| letter.is_none_or(char::is_whitespace);
        now.is_char_boundary(at)
            && (space(now[..at].chars().next_back()) || space(now[at..].chars().next()))
            && !splits_number(now, at)
    };
    let mut before = shared(&mut was.chars(), &mut now.chars());
    while before > 0 && !(was.is_char_boundary(before) && is_break(before) && may_be_cut(before)) {
        before -= 1;
    }
    let mut after = shared(&mut was.chars().rev(), &mut now.chars().rev());
    after = after.min(was.len() - before).min(now.len() - before);
    let fits = |after: usize| {
        let at = was.len() - after;
        was.is_char_boundary(at) && is_break(now.len() - after) && may_be_cut(at)
    };
    while after > 0 && !fits(after) {
        after -= 1;
    }
    (before, after)
}

/// Whether a text is parted there within number words: "deux cents" is written otherwise than in "deux cent un".
fn splits_number(text: &str, at: usize) -> bool {
    let number = |word: &str| word.split('-').any(|part| classify(part).is_some());
    let before = text[..at].split_whitespace().next_back();
    let mut after = text[at..].split_whitespace();
    let next = after.next().and_then(|word| if word == "and" { after.next() } else { Some(word) });
    before.is_some_and(number) && next.is_some_and(number)
}
