//! Hedges and limits: the words before and after a figure that loosen it or say which way it binds.

use super::tokens::{Kind, Text};
use super::unit::small_letters;
use super::{Hedge, Limit};
use std::collections::HashMap;
use std::sync::LazyLock;

/// What the words around a figure make of it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Bound {
    pub hedge: Option<Hedge>,
    pub limit: Option<Limit>,
}

#[derive(Clone, Copy)]
enum Means {
    Hedge(Hedge),
    Limit(Limit),
    /// Says nothing by itself; looked past.
    Nothing,
}

use Means::Nothing;
const ABOUT: Means = Means::Hedge(Hedge::About);
const NEARLY: Means = Means::Hedge(Hedge::Nearly);
const OVER: Means = Means::Hedge(Hedge::Over);
const UNDER: Means = Means::Hedge(Hedge::Under);
const AT_MOST: Means = Means::Limit(Limit::AtMost);
const AT_LEAST: Means = Means::Limit(Limit::AtLeast);
const EXACTLY: Means = Means::Limit(Limit::Exactly);

/// Phrases that end right before the figure; longer ones stand first.
const BEFORE: &[(&[&str], Means)] = &[
    (&["less", "than", "or", "equal", "to"], AT_MOST),
    (&["greater", "than", "or", "equal", "to"], AT_LEAST),
    (&["more", "than", "or", "equal", "to"], AT_LEAST),
    (&["equal", "to", "or", "less", "than"], AT_MOST),
    (&["equal", "to", "or", "more", "than"], AT_LEAST),
    (&["smaller", "or", "equal", "than"], AT_MOST),
    (&["lower", "or", "equal", "than"], AT_MOST),
    (&["less", "or", "equal", "than"], AT_MOST),
    (&["bigger", "or", "equal", "than"], AT_LEAST),
    (&["higher", "or", "equal", "than"], AT_LEAST),
    (&["a", "maximum", "of"], AT_MOST),
    (&["maximum", "of"], AT_MOST),
    (&["limit", "of"], AT_MOST),
    (&["limited", "to"], AT_MOST),
    (&["a", "minimum", "of"], AT_LEAST),
    (&["minimum", "of"], AT_LEAST),
    (&["as", "much", "as"], AT_MOST),
    (&["as", "many", "as"], AT_MOST),
    (&["as", "long", "as"], AT_MOST),
    (&["as", "high", "as"], AT_MOST),
    (&["as", "far", "as"], AT_MOST),
    (&["as", "little", "as"], AT_LEAST),
    (&["as", "few", "as"], AT_LEAST),
    (&["as", "low", "as"], AT_LEAST),
    (&["in", "excess", "of"], OVER),
    (&["close", "to"], ABOUT),
    (&["something", "like"], ABOUT),
    (&["on", "the", "order", "of"], ABOUT),
    (&["in", "the", "order", "of"], ABOUT),
    (&["a", "little", "over"], OVER),
    (&["a", "little", "under"], UNDER),
    (&["a", "little", "more", "than"], OVER),
    (&["a", "little", "less", "than"], NEARLY),
    (&["just", "over"], OVER),
    (&["just", "above"], OVER),
    (&["slightly", "over"], OVER),
    (&["well", "over"], OVER),
    (&["just", "under"], NEARLY),
    (&["just", "below"], NEARLY),
    (&["slightly", "under"], NEARLY),
    (&["just", "about"], ABOUT),
    (&["at", "most"], AT_MOST),
    (&["at", "the", "most"], AT_MOST),
    (&["at", "least"], AT_LEAST),
    (&["at", "the", "least"], AT_LEAST),
    (&["up", "to"], AT_MOST),
    (&["no", "over"], AT_MOST),
    (&["more", "than"], OVER),
    (&["greater", "than"], OVER),
    (&["larger", "than"], OVER),
    (&["bigger", "than"], OVER),
    (&["higher", "than"], OVER),
    (&["longer", "than"], OVER),
    (&["farther", "than"], OVER),
    (&["further", "than"], OVER),
    (&["older", "than"], OVER),
    (&["taller", "than"], OVER),
    (&["heavier", "than"], OVER),
    (&["hotter", "than"], OVER),
    (&["faster", "than"], OVER),
    (&["later", "than"], OVER),
    (&["less", "than"], UNDER),
    (&["fewer", "than"], UNDER),
    (&["smaller", "than"], UNDER),
    (&["lower", "than"], UNDER),
    (&["shorter", "than"], UNDER),
    (&["younger", "than"], UNDER),
    (&["closer", "than"], UNDER),
    (&["nearer", "than"], UNDER),
    (&["lighter", "than"], UNDER),
    (&["colder", "than"], UNDER),
    (&["slower", "than"], UNDER),
    (&["sooner", "than"], UNDER),
    (&["exactly"], EXACTLY),
    (&["precisely"], EXACTLY),
    (&["within"], AT_MOST),
    (&["maximum"], AT_MOST),
    (&["minimum"], AT_LEAST),
    (&["exceeding"], OVER),
    (&["exceed"], OVER),
    (&["exceeds"], OVER),
    (&["exceeded"], OVER),
    (&["over"], OVER),
    (&["above"], OVER),
    (&["beyond"], OVER),
    (&["under"], UNDER),
    (&["below"], UNDER),
    (&["nearly"], NEARLY),
    (&["almost"], NEARLY),
    (&["about"], ABOUT),
    (&["around"], ABOUT),
    (&["roughly"], ABOUT),
    (&["approximately"], ABOUT),
    (&["approx"], ABOUT),
    (&["some"], ABOUT),
    (&["near"], ABOUT),
    (&["circa"], ABOUT),
    (&["estimated"], ABOUT),
    (&["an", "average", "of"], ABOUT),
    (&["average", "of"], ABOUT),
    (&["between"], Nothing),
    (&["from"], Nothing),
    (&["only"], Nothing),
    (&["a"], Nothing),
    (&["an"], Nothing),
    (&["the"], Nothing),
];

type Phrase = (&'static [&'static str], Means);

/// The phrases before a figure by their last word.
static BY_LAST_WORD: LazyLock<HashMap<&str, Vec<Phrase>>> = LazyLock::new(|| {
    let mut made: HashMap<&str, Vec<Phrase>> = HashMap::new();
    for (phrase, means) in BEFORE {
        made.entry(phrase[phrase.len() - 1]).or_default().push((phrase, *means));
    }
    made
});

/// Phrases that start right after the figure.
const AFTER: &[(&[&str], Means)] = &[
    (&["or", "more"], AT_LEAST),
    (&["or", "greater"], AT_LEAST),
    (&["or", "higher"], AT_LEAST),
    (&["or", "longer"], AT_LEAST),
    (&["or", "over"], AT_LEAST),
    (&["or", "farther"], AT_LEAST),
    (&["or", "above"], AT_LEAST),
    (&["or", "hotter"], AT_LEAST),
    (&["or", "warmer"], AT_LEAST),
    (&["and", "up"], AT_LEAST),
    (&["minimum"], AT_LEAST),
    (&["at", "least"], AT_LEAST),
    (&["at", "a", "minimum"], AT_LEAST),
    (&["or", "less"], AT_MOST),
    (&["or", "fewer"], AT_MOST),
    (&["or", "lower"], AT_MOST),
    (&["or", "shorter"], AT_MOST),
    (&["or", "under"], AT_MOST),
    (&["or", "colder"], AT_MOST),
    (&["or", "cooler"], AT_MOST),
    (&["or", "below"], AT_MOST),
    (&["maximum"], AT_MOST),
    (&["max"], AT_MOST),
    (&["at", "most"], AT_MOST),
    (&["at", "the", "most"], AT_MOST),
    (&["at", "a", "maximum"], AT_MOST),
    (&["or", "so"], ABOUT),
    (&["more", "or", "less"], ABOUT),
];

/// Reads the words that end before a token: what they mean and the token where they start.
pub(super) fn before(text: &Text, at: usize) -> (Bound, usize) {
    let mut bound = Bound::default();
    let mut start = at;
    for _ in 0..3 {
        let Some((means, first)) = one_before(text, start) else { break };
        match means {
            Means::Hedge(hedge) => {
                let turned = negated(text, first);
                match (hedge, turned) {
                    (Hedge::Over, Some(from)) => {
                        bound.limit = bound.limit.or(Some(Limit::AtMost));
                        start = from;
                        break;
                    }
                    (Hedge::Under, Some(from)) => {
                        bound.limit = bound.limit.or(Some(Limit::AtLeast));
                        start = from;
                        break;
                    }
                    _ => bound.hedge = bound.hedge.or(Some(hedge)),
                }
            }
            Means::Limit(limit) => bound.limit = bound.limit.or(Some(limit)),
            Nothing => {}
        }
        start = first;
    }
    // an article or "from" alone adds nothing to the reach of a figure
    if bound == Bound::default() { (bound, at) } else { (bound, start) }
}

fn one_before(text: &Text, at: usize) -> Option<(Means, usize)> {
    let last = at.checked_sub(1)?;
    if text.kind(last)? == Kind::Mark {
        return match text.mark(last) {
            '~' | '∼' | '≈' | '≃' => Some((ABOUT, last)),
            '<' => Some((UNDER, last)),
            '>' => Some((OVER, last)),
            '≤' => Some((AT_MOST, last)),
            '≥' => Some((AT_LEAST, last)),
            '.' if text.is(last.wrapping_sub(1), "approx") || text.is(last.wrapping_sub(1), "ca") => {
                Some((ABOUT, last - 1))
            }
            _ => None,
        };
    }
    let mut buffer = [0_u8; 16];
    let word = small_letters(text.str(last), &mut buffer)?;
    for (phrase, means) in BY_LAST_WORD.get(word)? {
        if let Some(first) = at.checked_sub(phrase.len())
            && text.are(first, phrase)
        {
            return Some((*means, first));
        }
    }
    None
}

/// "no more than", "must not exceed", "never be longer than": the token where the negation starts.
fn negated(text: &Text, at: usize) -> Option<usize> {
    for back in 1..=3 {
        let place = at.checked_sub(back)?;
        if text.is_any(place, &["no", "not", "never", "nor", "without", "cannot"]) {
            return Some(place);
        }
        // "shouldn't"
        if text.is(place, "t") && place > 1 && matches!(text.mark(place - 1), '\'' | '’') {
            return Some(place - 2);
        }
        if text.word(place).is_empty() {
            return None;
        }
    }
    None
}

/// Reads the words that start at a token: what they mean and the token after them.
pub(super) fn after(text: &Text, at: usize) -> (Bound, usize) {
    if !text.is_any(at, &["or", "and", "at", "more", "max", "maximum", "minimum"]) {
        return (Bound::default(), at);
    }
    for (phrase, means) in AFTER {
        if text.are(at, phrase) {
            let mut bound = Bound::default();
            match means {
                Means::Hedge(hedge) => bound.hedge = Some(*hedge),
                Means::Limit(limit) => bound.limit = Some(*limit),
                Nothing => {}
            }
            return (bound, at + phrase.len());
        }
    }
    (Bound::default(), at)
}

/// Skips words that may stand between a connector and its number (`2 - ~7`, `between 2 l and about
/// 7 l`).
pub(super) fn skip_forward(text: &Text, at: usize) -> usize {
    let mut at = at;
    for _ in 0..2 {
        if text.is_any(at, &["about", "around", "roughly", "approximately", "nearly", "almost", "perhaps"])
            || matches!(text.mark(at), '~' | '∼' | '≈')
        {
            at += 1;
        }
    }
    at
}

/// The phrase at a token that sets an upper end ("less than or equal to"), as in "above 3 and below 5".
pub(super) fn upper_end(text: &Text, at: usize) -> Option<usize> {
    BEFORE
        .iter()
        .filter(|(_, means)| matches!(means, Means::Hedge(Hedge::Under) | Means::Limit(Limit::AtMost)))
        .filter(|(phrase, _)| text.are(at, phrase))
        .map(|(phrase, _)| at + phrase.len())
        .max()
}
