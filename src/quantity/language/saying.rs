//! Figures put into the language: those that packstring says itself, and those that a writer's words are changed to.

use super::super::reader::read_by;
use super::super::restate::{restate_in_by, says_in};
use super::super::words::classify;
use super::super::{Amount, Figure, Held, OwnUnits, Unit};
use super::gloss::Gloss;
use super::{Lexicon, spell};
use icu_decimal::DecimalFormatter;
use icu_decimal::input::Decimal;
use std::ops::Range;
use std::sync::Arc;

const NOT_BY_RULE: &str = "It cannot be put into the words of this language by rule.";

impl Lexicon {
    /// The gloss is restated, and what changed in it is put back into the language: the figure as its grammar asks, and
    /// the words that bind it by the table. What comes of it is read again, and taken only where it says what is held.
    pub(super) fn restate_in(
        &self,
        text: &str,
        words: &Range<usize>,
        held: &Held,
        units: &Arc<OwnUnits>,
    ) -> Result<String, String> {
        let gloss = self.gloss(text);
        let within = gloss.of_source(words);
        let now = restate_in_by(&gloss.text, &within, held, units)?;
        if now == gloss.text[within.clone()] {
            return Ok(text[words.clone()].to_owned());
        }
        let draft = Redraft { lexicon: self, text, words, gloss: &gloss };
        let says = |text: &str, at: &Range<usize>| {
            let gloss = self.gloss(text);
            says_in(&gloss.text, &gloss.of_source(at), held, units)
        };
        let holds = |said: &String| {
            let whole = format!("{}{said}{}", &text[..words.start], &text[words.end..]);
            says(&whole, &(words.start..words.start + said.len())) || says(said, &(0..said.len()))
        };
        let mut said = draft.said_anew(&within, &now, units).into_iter();
        said.find(holds).ok_or_else(|| NOT_BY_RULE.to_owned())
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

/// Words of a text that are to say what their gloss does, which has changed.
struct Redraft<'d> {
    lexicon: &'d Lexicon,
    text: &'d str,
    words: &'d Range<usize>,
    gloss: &'d Gloss,
}

impl Redraft<'_> {
    /// The words anew, with what stands before the figure, the figure, and what stands behind it; the likeliest first.
    fn said_anew(&self, within: &Range<usize>, now: &str, units: &Arc<OwnUnits>) -> Vec<String> {
        let english = &self.gloss.text;
        let changed = format!("{}{now}{}", &english[..within.start], &english[within.end..]);
        let within_now = within.start..within.start + now.len();
        let as_a_whole = || self.again(within, now, &english[within.end..]).into_iter().collect();
        let (Some(old), Some(new)) =
            (Core::of(english, within, units), Core::of(&changed, &within_now, units))
        else {
            return as_a_whole();
        };
        let (start, end) = (self.start(old.at.start), self.end(old.at.end));
        if start < self.words.start || self.words.end < end || end < start {
            return as_a_whole();
        }
        let lead = &changed[within_now.start..new.at.start];
        let tail = &changed[new.at.end..within_now.end];
        let (old_lead, old_tail) = (within.start..old.at.start, old.at.end..within.end);
        let own_lead = &self.text[self.words.start..start];
        let lead = match english[old_lead.clone()].eq_ignore_ascii_case(lead) {
            // "de dos a tres pies" becomes "un pie"
            true if old.is_range && !new.is_range && FROM.contains(&&*own_lead.trim().to_lowercase()) => {
                Some(String::new())
            }
            true => Some(own_lead.to_owned()),
            false if lead.trim().is_empty() => Some(String::new()),
            false => self.again(&old_lead, lead, &changed[new.at.start..]),
        };
        let tail = match &english[old_tail.clone()] == tail {
            true => Some(self.text[end..self.words.end].to_owned()),
            false => self.again(&old_tail, tail, &english[within.end..]),
        };
        let (Some(lead), Some(tail)) = (lead, tail) else { return Vec::new() };
        let own = |part: Range<usize>| {
            let part = part.start + old.at.start..part.end + old.at.start;
            let parted = self.gloss.may_be_cut(part.start) && self.gloss.may_be_cut(part.end);
            parted.then(|| &self.text[self.start(part.start)..self.end(part.end)])
        };
        let stood = spell::figure::Stood {
            english: &english[old.at.clone()],
            after: &english[old.at.end..],
            own: &own,
        };
        let figures = match english[old.at.clone()] == changed[new.at.clone()] {
            true => vec![self.text[start..end].to_owned()],
            false => {
                let mut figures =
                    spell::figure::said(self.lexicon, &changed[new.at.clone()], &new.unit, &stood);
                if figures.is_empty() {
                    figures.extend(self.again(&old.at, &changed[new.at.clone()], &changed[new.at.end..]));
                }
                figures
            }
        };
        figures.into_iter().map(|figure| format!("{lead}{figure}{tail}")).collect()
    }

    /// A part of the gloss that reads otherwise now, by what changed in it.
    fn again(&self, part: &Range<usize>, now: &str, after: &str) -> Option<String> {
        let was = &self.gloss.text[part.clone()];
        let (kept_before, kept_after) = kept(was, now, |at| self.gloss.may_be_cut(part.start + at));
        let changed = &now[kept_before..now.len() - kept_after];
        let after = format!("{}{after}", &now[now.len() - kept_after..]);
        let from = self.start(part.start).max(self.words.start);
        let to = self.end(part.end).clamp(from, self.words.end);
        let start = self.start(part.start + kept_before).clamp(from, to);
        let end = self.end(part.end - kept_after).clamp(start, to);
        let said = spell::words(self.lexicon, changed, &after, &self.text[start..end])?;
        Some(format!("{}{said}{}", &self.text[from..start], &self.text[end..to]))
    }

    fn start(&self, at: usize) -> usize {
        self.gloss.start(at)
    }

    fn end(&self, at: usize) -> usize {
        self.gloss.end(at)
    }
}

/// Words that lead a range, and one value no more.
const FROM: [&str; 4] = ["de", "desde", "entre", "from"];

/// The number of the one figure in some words, with its unit, without what lies outside of the words.
struct Core {
    at: Range<usize>,
    unit: Unit,
    is_range: bool,
}

impl Core {
    fn of(text: &str, words: &Range<usize>, units: &Arc<OwnUnits>) -> Option<Self> {
        let overlaps = |figure: &Figure| figure.span.start < words.end && words.start < figure.span.end;
        let mut figures = read_by(text, units).into_iter().filter(overlaps);
        let figure = figures.next().filter(|_| figures.next().is_none())?;
        let start = figure.alone.start.min(figure.number.start).max(words.start);
        let end = figure.alone.end.max(figure.number.end).min(words.end);
        let is_range = matches!(figure.quantity.amount, Amount::Range(..));
        (start < end).then_some(Self { at: start..end, unit: figure.quantity.unit, is_range })
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
