//! Whether the words of a link say more than its fact, or leave out what its figure is per.
//!
//! A backed figure says what the fact says and no more. The reader places the number, its unit, its rate and the
//! words that bind or loosen it; what is left within the link must be a small word, or a word by which the facts
//! file itself speaks of the fact.

use super::called;
use super::judgement::{Judgement, figures_of, overlap};
use crate::languages::Vocabulary;
use crate::program::Fact;
use crate::program::facts::Stated;
use crate::quantity::{Figure, Held};
use crate::understand::Passage;
use std::ops::Range;
use unicode_segmentation::UnicodeSegmentation;

/// What animals are counted by, one by one: 48 head of mules are 48 mules.
const HEAD: &str = "head";

/// What is to be said of words that agree in number, unit and bound; `None` where nothing is.
pub fn beyond(
    passage: &Passage,
    range: &Range<usize>,
    facts: &[&Fact],
    held: &Held,
    language: &Vocabulary,
) -> Option<Judgement> {
    let in_passage = passage.figures.iter().filter(|figure| overlap(range, &figure.span));
    let mut figures: Vec<Figure> = in_passage.cloned().collect();
    if figures.is_empty() {
        // "[an hour](…)" is a figure by itself alone
        figures = figures_of(passage, range);
    }
    let own = facts.iter().map(|fact| own_words(fact)).collect::<Vec<_>>().join(" . ");
    let is_own = |word: &str| called::find(&own, word, language).is_some();
    let named: Vec<String> = facts.iter().map(|fact| naming_words(fact)).collect();
    for figure in &figures {
        let unit = &figure.quantity.unit;
        let known = |thing: &&str| held.quantity.unit.per_things().any(|own| own == *thing) || is_own(thing);
        let whole = held.quantity.unit.counted().is_some_and(|counted| unit.counted() == Some(counted));
        if let Some(thing) = unit.per_things().find(|thing| !known(thing)).filter(|_| !whole) {
            return Some(Judgement::Beyond { words: thing.to_owned() });
        }
        // Goats are no people: a count is of the things that the fact counts, or of what it goes by. Pairs of mules
        // are no mules.
        let is_inside = figure.alone.end <= range.end;
        let of = figure.alone.end.min(range.end)..range.end;
        let mut next = passage.text[of].unicode_words();
        let is_of = next.next().is_some_and(|word| language.particulars.of.contains(&word.to_lowercase()));
        let is_name = |word: &str| named.iter().any(|own| called::find(own, word, language).is_some());
        if let (Some(thing), Some(counted)) = (unit.thing(), held.quantity.unit.thing())
            && is_inside
            && thing != counted
            && (is_of && thing != HEAD && !is_name(thing)
                || !names(&passage.text[range.clone()], counted, passage, language, &is_name))
        {
            return Some(Judgement::Beyond { words: passage.language.thing(thing) });
        }
    }
    if let Some(words) = another_thing(passage, range, &figures, held, language, &is_own) {
        return Some(Judgement::Beyond { words });
    }
    let placed =
        |at: usize| figures.iter().any(|figure| figure.reach.contains(&at) || figure.span.contains(&at));
    let words = passage.text[range.clone()].unicode_word_indices();
    let left = words.map(|(at, word)| (range.start + at, word)).filter(|(at, _)| !placed(*at));
    let is_small = |word: &str| language.beside_figures.neutral.contains(&word.to_lowercase());
    let beyond: Vec<&str> =
        left.map(|(_, word)| word).filter(|word| !is_small(word) && !is_own(word)).collect();
    (!beyond.is_empty()).then(|| Judgement::Beyond { words: beyond.join(" ") })
}

/// The words behind the name of the thing that a fact counts, which make another thing of it: "foals" of 48 mule foals,
/// for a fact of mules. What stands before it only describes it: "48 tired mules".
fn another_thing(
    passage: &Passage,
    range: &Range<usize>,
    figures: &[Figure],
    held: &Held,
    language: &Vocabulary,
    is_own: &dyn Fn(&str) -> bool,
) -> Option<String> {
    let counted = held.quantity.unit.thing()?;
    let beside = &language.beside_figures;
    for figure in figures.iter().filter(|figure| figure.quantity.unit.thing().is_some()) {
        let end = figure.alone.end.min(range.end);
        let Some(words) = passage.text.get(figure.number.end..end) else { continue };
        // "beats/min"
        let words = words.split('/').next().unwrap_or_default();
        let per = |word: &str| {
            let lower = word.to_lowercase();
            language.particulars.of.contains(&lower) || beside.neutral.contains(&lower) || lower == "per"
        };
        // what follows "a", "of" or "per" is for others to say
        let named = words.unicode_words().take_while(|word| !per(word));
        let is_known = |word: &str| {
            is_own(word)
                || said(word, counted, passage, language)
                || called::find(counted, word, language).is_some()
                || called::find(&passage.language.thing(counted), word, language).is_some()
                || word.eq_ignore_ascii_case(HEAD)
        };
        let named: Vec<&str> = named.collect();
        let Some(last) = named.iter().rposition(|word| is_known(word)) else { continue };
        if last + 1 < named.len() {
            return Some(named[last + 1..].join(" "));
        }
    }
    None
}

/// What stands right beside a link and makes another figure of what it says: a digit that is glued to it, "twice" and
/// "half of" before it.
pub fn changed_by(passage: &Passage, range: &Range<usize>, language: &Vocabulary) -> Option<String> {
    let (before, after) = (&passage.text[..range.start], &passage.text[range.end..]);
    let is_backed = |at: usize| passage.backed.iter().any(|(link, _)| link.contains(&at));
    let digits = |text: &str| -> String { text.chars().take_while(char::is_ascii_digit).collect() };
    let dash = |letter: char| matches!(letter, '-' | '–' | '—');
    let joined = after.strip_prefix(dash).unwrap_or(after);
    let behind = digits(joined);
    if !behind.is_empty() && !is_backed(passage.text.len() - joined.len()) {
        return Some(behind);
    }
    let glued: String = before.chars().rev().take_while(char::is_ascii_digit).collect();
    if !glued.is_empty() && !is_backed(range.start - 1) {
        return Some(glued.chars().rev().collect());
    }
    multiplied_by(before, language).or_else(|| changed_behind(passage, range, language))
}

/// What follows a link and makes another figure of it: "[six feet] and a half", "[six feet] square". Not where the
/// reader takes it in with the figure.
fn changed_behind(passage: &Passage, range: &Range<usize>, language: &Vocabulary) -> Option<String> {
    let after = passage.text[range.end..].strip_prefix(' ')?;
    let lower = after.to_lowercase();
    let found = language.beside_figures.changes.behind.iter().find(|phrase| {
        let rest = lower.strip_prefix(phrase.as_str());
        rest.is_some_and(|rest| !rest.starts_with(|next: char| next.is_alphanumeric() || next == '-'))
    })?;
    let mut figures = passage.figures.iter().filter(|figure| overlap(range, &figure.span));
    let takes_in = figures.any(|figure| figure.span.end > range.end);
    (!takes_in && !passage.backed.iter().any(|(link, _)| link.contains(&(range.end + 1))))
        .then(|| after.get(..found.len()).unwrap_or(found).to_owned())
}

/// The word that ends a text and says how many times what follows it is meant.
pub fn multiplied_by(before: &str, language: &Vocabulary) -> Option<String> {
    let words = &language.beside_figures;
    let tail_start = before.char_indices().rev().take(48).last().map_or(0, |(at, _)| at);
    let mut tail = &before[tail_start..];
    if !tail.ends_with(char::is_whitespace) && !tail.ends_with(['\'', '’']) {
        return None;
    }
    for _ in 0..3 {
        tail = tail.trim_end().trim_end_matches(['\'', '’']);
        let start = tail
            .rfind(|letter: char| !letter.is_alphabetic())
            .map_or(0, |at| at + tail[at..].chars().next().map_or(1, char::len_utf8));
        let word = tail[start..].to_lowercase();
        if words.multiplies.contains(&word) {
            return Some(tail[start..].to_owned());
        }
        if !words.of_what.contains(&word) {
            return None;
        }
        tail = &tail[..start];
    }
    None
}

/// What stands in a link beside its particular and is neither a small word nor one of the fact's own.
pub fn beyond_span(
    passage: &Passage,
    range: &Range<usize>,
    placed: &Range<usize>,
    fact: &Fact,
    language: &Vocabulary,
) -> Option<Judgement> {
    let own = own_words(fact);
    let words = passage.text[range.clone()].unicode_word_indices();
    let left = words.filter(|(at, _)| !placed.contains(&(range.start + at))).map(|(_, word)| word);
    let is_small = |word: &str| {
        let word = word.to_lowercase();
        let is_joint = |listed: &Vec<String>| listed.contains(&word);
        let particulars = &language.particulars;
        language.beside_figures.neutral.contains(&word)
            || is_joint(&particulars.of)
            || is_joint(&particulars.starts)
    };
    let beyond: Vec<&str> =
        left.filter(|word| !is_small(word) && called::find(&own, word, language).is_none()).collect();
    (!beyond.is_empty()).then(|| Judgement::Beyond { words: beyond.join(" ") })
}

/// Whether words name the thing that a fact counts, or hold a word by which the facts file speaks of it.
fn names(
    words: &str,
    counted: &str,
    passage: &Passage,
    language: &Vocabulary,
    is_name: &dyn Fn(&str) -> bool,
) -> bool {
    said(words, counted, passage, language)
        || words.unicode_words().any(|word| word.chars().any(char::is_alphabetic) && is_name(word))
}

/// Whether a text names a thing, in the text's own language or the reader's.
fn said(text: &str, thing: &str, passage: &Passage, language: &Vocabulary) -> bool {
    called::find(text, thing, language).is_some()
        || called::find(text, &passage.language.thing(thing), language).is_some()
}

/// The thing that a fact is per, where a figure leaves it out and the text does not name it elsewhere: "2 gallons" for
/// 2 gallons per horse. "Each" and "apiece" stand for it.
pub fn leaves_out_thing(
    passage: &Passage,
    range: &Range<usize>,
    held: &Held,
    language: &Vocabulary,
) -> Option<String> {
    let figures = passage.figures.iter().filter(|figure| overlap(range, &figure.span));
    let per: Vec<&str> = figures.flat_map(|figure| figure.quantity.unit.per_things()).collect();
    let each = &language.handed_out.each;
    let is_each = each.iter().chain(&language.handed_out.for_each);
    let is_each = is_each.into_iter().any(|word| called::find(&passage.text, word, language).is_some());
    let mut things = held.quantity.unit.per_things();
    let left_out =
        |thing: &&str| !per.contains(thing) && !is_each && !said(&passage.text, thing, passage, language);
    things.find(left_out).map(|thing| passage.language.thing(thing))
}

/// Whether a figure leaves out the time that its fact is per, and the text does not say it elsewhere: "at most 5
/// miles" for 5 miles an hour.
pub fn leaves_out_rate(passage: &Passage, figure: &Figure, held: &Held, language: &Vocabulary) -> bool {
    let Some(time) = held.quantity.unit.per_time() else { return false };
    if figure.quantity.unit.per_time().is_some() || figure.quantity.unit.same_dimension(&held.quantity.unit) {
        return false;
    }
    let spans = language.beside_figures.spans.get(time);
    let said = |word: &String| called::find(&passage.text, word, language).is_some();
    spans.is_some_and(|words| !words.iter().any(said))
}

/// The words by which the facts file names a fact.
fn naming_words(fact: &Fact) -> String {
    let mut words = vec![fact.name.replace('-', " ")];
    words.extend(fact.called.iter().cloned());
    words.extend(fact.title.clone());
    words.join(" . ")
}

/// The words by which the facts file speaks of a fact.
fn own_words(fact: &Fact) -> String {
    let mut words = vec![naming_words(fact)];
    words.extend(fact.wording.iter().chain(&fact.main_wording).map(|wording| wording.text.clone()));
    if let Stated::Value(value) = &fact.stated {
        words.push(value.text.clone());
    }
    // a stop between them, so that no phrase runs over two
    words.join(" . ")
}
