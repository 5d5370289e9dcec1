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

/// Phrases that end right before the figure; longer ones stand first. Comparatives with "than" stand in [`UP`] and
/// [`DOWN`].
const BEFORE: &[(&[&str], Means)] = &[
    (&["equal", "to", "or", "less", "than"], AT_MOST),
    (&["the", "maximum", "of"], AT_MOST),
    (&["a", "maximum", "of"], AT_MOST),
    (&["maximum", "of"], AT_MOST),
    (&["limited", "to"], AT_MOST),
    (&["restricted", "to"], AT_MOST),
    (&["confined", "to"], AT_MOST),
    (&["limited", "at"], AT_MOST),
    (&["capped", "at"], AT_MOST),
    (&["caps", "at"], AT_MOST),
    (&["cap", "at"], AT_MOST),
    (&["caps", "out", "at"], AT_MOST),
    (&["tops", "out", "at"], AT_MOST),
    (&["top", "out", "at"], AT_MOST),
    (&["topping", "out", "at"], AT_MOST),
    (&["maxes", "out", "at"], AT_MOST),
    (&["max", "out", "at"], AT_MOST),
    (&["maxed", "out", "at"], AT_MOST),
    (&["stops", "at"], AT_MOST),
    (&["stop", "at"], AT_MOST),
    (&["a", "minimum", "of"], AT_LEAST),
    (&["the", "minimum", "of"], AT_LEAST),
    (&["minimum", "of"], AT_LEAST),
    (&["starting", "at"], AT_LEAST),
    (&["starting", "from"], AT_LEAST),
    (&["starts", "at"], AT_LEAST),
    (&["start", "at"], AT_LEAST),
    (&["beginning", "at"], AT_LEAST),
    (&["begins", "at"], AT_LEAST),
    (&["upward", "of"], AT_LEAST),
    (&["upwards", "of"], AT_LEAST),
    (&["north", "of"], OVER),
    (&["south", "of"], UNDER),
    (&["as", "much", "as"], AT_MOST),
    (&["as", "many", "as"], AT_MOST),
    (&["as", "long", "as"], AT_MOST),
    (&["as", "high", "as"], AT_MOST),
    (&["as", "far", "as"], AT_MOST),
    (&["as", "late", "as"], AT_MOST),
    (&["as", "deep", "as"], AT_MOST),
    (&["as", "wide", "as"], AT_MOST),
    (&["as", "heavy", "as"], AT_MOST),
    (&["as", "fast", "as"], AT_MOST),
    (&["as", "little", "as"], AT_LEAST),
    (&["as", "few", "as"], AT_LEAST),
    (&["as", "low", "as"], AT_LEAST),
    (&["as", "short", "as"], AT_LEAST),
    (&["as", "close", "as"], AT_LEAST),
    (&["as", "near", "as"], AT_LEAST),
    (&["as", "early", "as"], AT_LEAST),
    (&["as", "soon", "as"], AT_LEAST),
    (&["in", "excess", "of"], OVER),
    (&["on", "the", "far", "side", "of"], OVER),
    (&["close", "to"], ABOUT),
    (&["something", "like"], ABOUT),
    (&["on", "the", "order", "of"], ABOUT),
    (&["in", "the", "order", "of"], ABOUT),
    (&["in", "the", "neighborhood", "of"], ABOUT),
    (&["a", "little", "over"], OVER),
    (&["a", "little", "under"], UNDER),
    (&["just", "over"], OVER),
    (&["just", "above"], OVER),
    (&["slightly", "over"], OVER),
    (&["well", "over"], OVER),
    (&["just", "under"], NEARLY),
    (&["just", "below"], NEARLY),
    (&["just", "shy", "of"], NEARLY),
    (&["slightly", "under"], NEARLY),
    (&["just", "about"], ABOUT),
    (&["at", "most"], AT_MOST),
    (&["at", "the", "most"], AT_MOST),
    (&["at", "the", "very", "most"], AT_MOST),
    (&["at", "the", "outside"], AT_MOST),
    (&["at", "the", "latest"], AT_MOST),
    (&["at", "a", "maximum"], AT_MOST),
    (&["at", "maximum"], AT_MOST),
    (&["at", "least"], AT_LEAST),
    (&["at", "the", "least"], AT_LEAST),
    (&["at", "the", "very", "least"], AT_LEAST),
    (&["at", "the", "earliest"], AT_LEAST),
    (&["at", "a", "minimum"], AT_LEAST),
    (&["at", "minimum"], AT_LEAST),
    (&["not", "until"], AT_LEAST),
    (&["not", "before"], AT_LEAST),
    (&["up", "to"], AT_MOST),
    (&["anything", "up", "to"], AT_MOST),
    (&["the", "first"], Nothing),
    (&["exactly"], EXACTLY),
    (&["precisely"], EXACTLY),
    (&["within"], AT_MOST),
    (&["inside"], AT_MOST),
    (&["inside", "of"], AT_MOST),
    (&["maximum"], AT_MOST),
    (&["max"], AT_MOST),
    (&["minimum"], AT_LEAST),
    (&["min"], AT_LEAST),
    (&["outside"], OVER),
    (&["outside", "of"], OVER),
    (&["short", "of"], UNDER),
    (&["shy", "of"], UNDER),
    (&["before"], UNDER),
    (&["exceeding"], OVER),
    (&["exceed"], OVER),
    (&["exceeds"], OVER),
    (&["exceeded"], OVER),
    (&["surpass"], OVER),
    (&["surpasses"], OVER),
    (&["surpassing"], OVER),
    (&["topping"], OVER),
    (&["over"], OVER),
    (&["above"], OVER),
    (&["beyond"], OVER),
    (&["past"], OVER),
    (&["under"], UNDER),
    (&["below"], UNDER),
    (&["beneath"], UNDER),
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
    (&["just"], Nothing),
    (&["full"], Nothing),
    (&["every"], Nothing),
    (&["each"], Nothing),
    (&["a"], Nothing),
    (&["an"], Nothing),
    (&["the"], Nothing),
];

/// Comparatives that say more: "longer than", "or longer", "no longer than".
const UP: &[&str] = &[
    "more", "greater", "larger", "bigger", "higher", "longer", "farther", "further", "older", "taller",
    "heavier", "hotter", "warmer", "faster", "later", "wider", "deeper", "thicker", "steeper", "stronger",
    "louder", "broader", "oftener", "costlier",
];

/// Comparatives that say less.
const DOWN: &[&str] = &[
    "less",
    "fewer",
    "smaller",
    "lower",
    "shorter",
    "younger",
    "closer",
    "nearer",
    "lighter",
    "colder",
    "cooler",
    "slower",
    "sooner",
    "earlier",
    "narrower",
    "shallower",
    "thinner",
    "weaker",
    "quieter",
    "cheaper",
    "tighter",
    "gentler",
];

/// Words of place that say more or less where they stand behind a figure: "or above", "and not over".
const UP_FROM: &[&str] = &["over", "above", "up", "upward", "upwards", "beyond", "better", "past", "plus"];
const DOWN_FROM: &[&str] = &["under", "below", "down", "downward", "downwards", "beneath"];

/// Which way a comparative or a word of place leads.
fn leads(text: &Text, at: usize) -> Option<Hedge> {
    let word = text.word(at);
    let is_in = |words: &[&str]| words.iter().any(|known| word.eq_ignore_ascii_case(known));
    if word.is_empty() {
        None
    } else if is_in(UP) || is_in(UP_FROM) {
        Some(Hedge::Over)
    } else if is_in(DOWN) || is_in(DOWN_FROM) {
        Some(Hedge::Under)
    } else {
        None
    }
}

fn is_of_place(text: &Text, at: usize) -> bool {
    UP_FROM.iter().chain(DOWN_FROM).any(|word| text.is(at, word))
}

type Phrase = (&'static [&'static str], Means);

/// The phrases before a figure by their last word.
static BY_LAST_WORD: LazyLock<HashMap<&str, Vec<Phrase>>> = LazyLock::new(|| {
    let mut made: HashMap<&str, Vec<Phrase>> = HashMap::new();
    for (phrase, means) in BEFORE {
        made.entry(phrase[phrase.len() - 1]).or_default().push((phrase, *means));
    }
    made.values_mut().for_each(|phrases| phrases.sort_by_key(|(phrase, _)| std::cmp::Reverse(phrase.len())));
    made
});

/// Phrases that start right after the figure; comparatives behind "or" and "and" are told by [`UP`] and [`DOWN`].
const AFTER: &[(&[&str], Means)] = &[
    (&["minimum"], AT_LEAST),
    (&["min"], AT_LEAST),
    (&["at", "least"], AT_LEAST),
    (&["at", "the", "least"], AT_LEAST),
    (&["at", "the", "very", "least"], AT_LEAST),
    (&["at", "a", "minimum"], AT_LEAST),
    (&["at", "minimum"], AT_LEAST),
    (&["at", "the", "earliest"], AT_LEAST),
    (&["plus"], AT_LEAST),
    (&["upward"], AT_LEAST),
    (&["upwards"], AT_LEAST),
    (&["maximum"], AT_MOST),
    (&["max"], AT_MOST),
    (&["tops"], AT_MOST),
    (&["at", "most"], AT_MOST),
    (&["at", "the", "most"], AT_MOST),
    (&["at", "the", "very", "most"], AT_MOST),
    (&["at", "the", "outside"], AT_MOST),
    (&["at", "the", "latest"], AT_MOST),
    (&["at", "a", "maximum"], AT_MOST),
    (&["at", "maximum"], AT_MOST),
    (&["or", "that", "much"], Nothing),
    (&["or", "so"], ABOUT),
    (&["or", "thereabouts"], ABOUT),
    (&["more", "or", "less"], ABOUT),
    (&["give", "or", "take"], ABOUT),
];

/// Nouns and superlatives that name a bound, before or behind a figure: "a cap of", "is the longest allowed".
const NAMES_MOST: &[&str] = &["maximum", "max", "cap", "ceiling", "limit", "top", "maximums", "tops", "most"];
const NAMES_LEAST: &[&str] = &["minimum", "min", "floor", "least", "minimums"];
const FARTHEST: &[&str] = &[
    "most", "longest", "farthest", "furthest", "highest", "largest", "biggest", "latest", "widest",
    "deepest", "tallest", "heaviest", "fastest", "thickest", "oldest", "steepest", "greatest", "hottest",
];
const NEAREST: &[&str] = &[
    "least",
    "shortest",
    "closest",
    "nearest",
    "lowest",
    "smallest",
    "fewest",
    "earliest",
    "soonest",
    "narrowest",
    "shallowest",
    "lightest",
    "slowest",
    "thinnest",
    "youngest",
    "coldest",
];

fn any_of(text: &Text, at: usize, words: &[&str]) -> bool {
    !text.word(at).is_empty() && words.iter().any(|word| text.is(at, word))
}

/// Which way a noun binds.
fn named_bound(text: &Text, at: usize) -> Option<Limit> {
    if any_of(text, at, NAMES_LEAST) {
        Some(Limit::AtLeast)
    } else if any_of(text, at, NAMES_MOST) {
        // "the lower limit"
        let lower = at > 0 && any_of(text, at - 1, &["lower", "minimum", "bottom"]);
        Some(if lower { Limit::AtLeast } else { Limit::AtMost })
    } else {
        None
    }
}

/// Which way a superlative binds.
fn superlative(text: &Text, at: usize) -> Option<Limit> {
    if any_of(text, at, FARTHEST) {
        Some(Limit::AtMost)
    } else if any_of(text, at, NEAREST) {
        Some(Limit::AtLeast)
    } else {
        None
    }
}

/// Reads the words that end before a token: what they mean and the token where they start.
pub(super) fn before(text: &Text, at: usize) -> (Bound, usize) {
    let mut bound = Bound::default();
    let mut start = at;
    for _ in 0..4 {
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
    if bound == Bound::default()
        && let Some((limit, from)) = bound_by_noun(text, start).or_else(|| kept_to(text, start))
    {
        bound.limit = Some(limit);
        start = from;
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
            '≤' | '⩽' => Some((AT_MOST, last)),
            '≥' | '⩾' => Some((AT_LEAST, last)),
            '=' if last > 0 && text.glued(last) && text.mark(last - 1) == '<' => Some((AT_MOST, last - 1)),
            '=' if last > 0 && text.glued(last) && text.mark(last - 1) == '>' => Some((AT_LEAST, last - 1)),
            '.' => {
                let before = last.checked_sub(1)?;
                let means = [("approx", ABOUT), ("ca", ABOUT), ("max", AT_MOST), ("min", AT_LEAST)];
                let (_, means) = means.iter().find(|(word, _)| text.is(before, word))?;
                Some((*means, before))
            }
            // "Minimum: 6 ft", "no more than: 6 ft"
            ':' => {
                let (means, first) = one_before(text, last)?;
                matches!(means, Means::Limit(_) | Means::Hedge(Hedge::Over | Hedge::Under))
                    .then_some((means, first))
            }
            _ => None,
        };
    }
    if text.is(last, "than") {
        return compared(text, last);
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

/// "longer than", "less than or equal to" read from its end, "no less or equal than".
fn compared(text: &Text, than: usize) -> Option<(Means, usize)> {
    let last = than.checked_sub(1)?;
    // "no closer together than", "no longer in all than"
    let last = match text.is_any(last, &["apart", "away", "off", "out", "together", "along", "up"]) {
        true => last.checked_sub(1)?,
        false => last,
    };
    if text.is(last, "equal") && last >= 2 && text.is(last - 1, "or") {
        return match leads(text, last - 2)? {
            Hedge::Over => Some((AT_LEAST, last - 2)),
            _ => Some((AT_MOST, last - 2)),
        };
    }
    if text.is(last, "other") || text.is(last, "rather") || is_of_place(text, last) {
        return None;
    }
    let or_equal = last >= 3 && text.is(last - 1, "or") && text.are(last - 3, &["equal", "to"]);
    match (leads(text, last)?, or_equal) {
        (Hedge::Over, true) => Some((AT_LEAST, last - 3)),
        (_, true) => Some((AT_MOST, last - 3)),
        (hedge, false) => Some((Means::Hedge(hedge), last)),
    }
}

/// "less than or equal to", whose last words are read first.
fn or_equal_to(text: &Text, at: usize) -> Option<(Limit, usize)> {
    let first = at.checked_sub(5)?;
    if !text.are(first + 1, &["than", "or", "equal", "to"]) {
        return None;
    }
    match leads(text, first)? {
        Hedge::Over => Some((Limit::AtLeast, first)),
        _ => Some((Limit::AtMost, first)),
    }
}

/// "a cap of", "the maximum length is", "Longest lead allowed:": a noun that binds, a few words about it, and
/// what leads over to the figure.
fn bound_by_noun(text: &Text, at: usize) -> Option<(Limit, usize)> {
    if let Some(found) = or_equal_to(text, at) {
        return Some(found);
    }
    const LEAD: &[&str] = &[
        "is", "are", "was", "were", "be", "of", "at", "to", "remains", "stays", "stands", "set", "being",
        "runs", "comes",
    ];
    let mut last = at.checked_sub(1)?;
    let mut led = false;
    for _ in 0..3 {
        let mark = matches!(text.mark(last), ':' | '=' | '–' | '—');
        if !(mark || any_of(text, last, LEAD)) {
            break;
        }
        led = true;
        last = last.checked_sub(1)?;
    }
    if !led {
        return None;
    }
    let mut allowed = false;
    for back in 0..8 {
        let Some(place) = last.checked_sub(back) else { break };
        if text.word(place).is_empty() {
            // "tree-to-tree"
            if text.is_hyphen(place) && text.glued(place) {
                continue;
            }
            break;
        }
        if text.is_any(place, &["but", "and", "if", "when"]) {
            break;
        }
        if let Some(limit) = superlative(text, place).filter(|_| allowed) {
            return Some((limit, place));
        }
        // not "the top of the rail is", nor "the rope at most"
        let is_name = match text.is_any(place, &["most", "least", "top", "tops", "floor"]) {
            true => text.is_any(place, &["floor", "top"]) && back == 0 && !text.is(place + 1, "at"),
            false => true,
        };
        if let Some(limit) = named_bound(text, place).filter(|_| is_name) {
            return Some((limit, place));
        }
        allowed |= is_permission(text, place);
    }
    None
}

fn is_permission(text: &Text, at: usize) -> bool {
    const WORDS: &[&str] = &[
        "allowed",
        "permitted",
        "may",
        "can",
        "must",
        "legal",
        "allowable",
        "permissible",
        "acceptable",
        "should",
        "allow",
        "allows",
        "permit",
        "permits",
    ];
    any_of(text, at, WORDS)
}

/// "limit the rope to six feet", "keep it to six feet".
fn kept_to(text: &Text, at: usize) -> Option<(Limit, usize)> {
    const VERBS: &[&str] = &[
        "limit",
        "limits",
        "limiting",
        "restrict",
        "restricts",
        "confine",
        "cap",
        "caps",
        "keep",
        "keeps",
        "hold",
        "holds",
        "kept",
        "held",
        "cut",
    ];
    let to = at.checked_sub(1).filter(|to| text.is_any(*to, &["to", "at"]))?;
    let caps = text.is(to, "at");
    for back in 1..=5 {
        let place = to.checked_sub(back)?;
        if text.word(place).is_empty() || text.is_any(place, &["close", "next", "and", "on", "up", "way"]) {
            return None;
        }
        if any_of(text, place, VERBS) && (!caps || text.is_any(place, &["cap", "caps", "limit", "limits"])) {
            return Some((Limit::AtMost, place));
        }
    }
    None
}

/// "no more than", "must not exceed", "never be longer than": the token where the negation starts.
fn negated(text: &Text, at: usize) -> Option<usize> {
    const NO: &[&str] = &[
        "no",
        "not",
        "never",
        "nor",
        "without",
        "cannot",
        "nobody",
        "none",
        "nothing",
        "neither",
        "avoid",
        "forbid",
        "forbids",
        "refuse",
        "hardly",
        "prohibit",
        "prohibits",
        "ban",
        "bans",
    ];
    const OTHER_CLAUSE: &[&str] = &[
        "if", "when", "whenever", "unless", "because", "but", "while", "once", "until", "so", "since", "then",
    ];
    for back in 1..=6 {
        let place = at.checked_sub(back)?;
        if text.is_any(place, NO) {
            let only = text.is_any(place + 1, &["only", "just"]);
            return (!only).then_some(place);
        }
        // "shouldn't"
        if text.is(place, "t") && place > 1 && matches!(text.mark(place - 1), '\'' | '’') {
            return Some(place - 2);
        }
        // past three words a clause of its own may have begun
        let ends = text.is_any(place, OTHER_CLAUSE) || (back > 3 && text.is(place, "and"));
        if text.word(place).is_empty() || ends {
            return None;
        }
    }
    None
}

/// Reads the words that start at a token: what they mean and the token after them. `first` is where the figure
/// starts.
pub(super) fn after(text: &Text, first: usize, at: usize) -> (Bound, usize) {
    let bound = |limit| Bound { hedge: None, limit: Some(limit) };
    if text.mark(at) == '+'
        && (text.glued(at) || text.spaced(at + 1))
        && text.kind(at + 1) != Some(Kind::Digits)
    {
        return (bound(Limit::AtLeast), at + 1);
    }
    if first > 0 && text.is(first - 1, "from") && text.is_any(at, &["up", "on", "onward", "onwards", "down"])
    {
        let limit = if text.is(at, "down") { Limit::AtMost } else { Limit::AtLeast };
        return (bound(limit), at + 1);
    }
    let stop = usize::from(text.mark(at) == '.' && text.glued(at));
    let comma = usize::from(matches!(text.mark(at), ',' | '–' | '—' | ';' | '('));
    let at_phrase = at + stop + comma;
    for (phrase, means) in AFTER.iter().filter(|(phrase, _)| text.is(at_phrase, phrase[0])) {
        // "6 ft. Max ties": a capital begins the next sentence
        let other_sentence = stop == 1 && text.word(at_phrase).starts_with(|c: char| c.is_uppercase());
        // "six feet, plus a tail", "six feet, maximum care"
        let names = comma == 1 && phrase.len() == 1 && !ends_there(text, at_phrase + 1);
        if text.are(at_phrase, phrase) && !other_sentence && !names {
            let next = at_phrase + phrase.len();
            return match means {
                Means::Hedge(hedge) => (Bound { hedge: Some(*hedge), limit: None }, next),
                Means::Limit(limit) => (bound(*limit), next),
                Nothing => (Bound::default(), next),
            };
        }
    }
    if stop == 1 {
        return (Bound::default(), at);
    }
    let there = |at: usize| {
        let comma = usize::from(matches!(text.mark(at), ',' | '–' | '—' | ';' | '('));
        or_more(text, at + comma).or_else(|| none_more(text, at + comma)).or_else(|| is_the_most(text, at))
    };
    // "six feet of lead rope, no more", "six feet of rope is the limit"
    let found = there(at).or_else(|| there(past_what_is_measured(text, at)?));
    found.map_or((Bound::default(), at), |(limit, next)| (bound(limit), next))
}

/// Past "of lead rope" behind a figure.
fn past_what_is_measured(text: &Text, at: usize) -> Option<usize> {
    if !text.is(at, "of") {
        return None;
    }
    (at + 2..=at + 5).find(|place| {
        text.word(*place).is_empty() || text.is_any(*place, &["is", "are", "as", "and", "but", "or", "at"])
    })
}

fn ends_there(text: &Text, at: usize) -> bool {
    text.kind(at).is_none() || matches!(text.mark(at), '.' | ',' | ';' | ':' | ')' | '!' | '?' | '—' | '–')
}

/// "or more", "and above", "or shorter".
fn or_more(text: &Text, at: usize) -> Option<(Limit, usize)> {
    if !text.is_any(at, &["or", "and"]) {
        return None;
    }
    let much = at
        + 1
        + usize::from(text.is_any(at + 1, &["even", "anything", "any", "something", "one", "further"]));
    let way = leads(text, much)?;
    let next = much + 1;
    let goes_on = is_of_place(text, much)
        && text.is_any(
            next,
            &["the", "a", "an", "to", "into", "your", "its", "their", "this", "that", "his", "her"],
        );
    if goes_on
        || text.is(next, "than")
        || text.is(at, "and") && text.is_any(much, &["later", "further", "better", "past"])
    {
        return None;
    }
    // "or so much", "more or less" are others
    Some((if way == Hedge::Over { Limit::AtLeast } else { Limit::AtMost }, next))
}

/// "and no more", "but not longer", ", never over", "and not an inch less".
fn none_more(text: &Text, at: usize) -> Option<(Limit, usize)> {
    let doubted = text.is(at, "if");
    let joint = at + usize::from(text.is_any(at, &["and", "but", "or", "if"]));
    if !text.is_any(joint, &["no", "not", "never", "nothing", "nor"]) {
        return None;
    }
    for place in joint + 1..=joint + 4 {
        if text.word(place).is_empty() {
            return None;
        }
        if let Some(way) = leads(text, place) {
            let than = text.is(place + 1, "than") || numeral_follows(text, place + 1);
            // "thirty minutes if not longer" is that much and perhaps more
            let above = (way == Hedge::Over) != doubted;
            return (!than).then_some((if above { Limit::AtMost } else { Limit::AtLeast }, place + 1));
        }
    }
    None
}

fn numeral_follows(text: &Text, at: usize) -> bool {
    super::numeral::may_start(text, at) && !text.is_any(at, &["a", "an"])
}

/// "is the limit", "as a maximum", "is the longest allowed", "is too far", "are banned".
fn is_the_most(text: &Text, at: usize) -> Option<(Limit, usize)> {
    if !text.is_any(at, &["is", "are", "as", "being", "was", "be"]) {
        return None;
    }
    let mut place = at + 1;
    place += usize::from(text.is_any(place, &["the", "a", "an", "our", "your", "its", "their"]));
    place +=
        usize::from(text.is_any(place, &["absolute", "legal", "upper", "lower", "very", "hard", "firm"]));
    if let Some(limit) = named_bound(text, place).filter(|_| !text.is(place, "top")) {
        return Some((limit, place + 1));
    }
    let limit = superlative(text, place)?;
    (place + 1..=place + 5).find(|place| is_permission(text, *place)).map(|end| (limit, end + 1))
}

/// Whether what follows a figure up to the end of its clause says that it must not be: "is too long", "are not
/// allowed".
pub(super) fn is_ruled_out(text: &Text, at: usize) -> bool {
    const NEVER: &[&str] = &[
        "forbidden",
        "banned",
        "prohibited",
        "illegal",
        "unsafe",
        "dangerous",
        "unlawful",
        "refused",
        "excessive",
        "disallowed",
        "wrong",
    ];
    for place in at..at + 10 {
        if any_of(text, place, NEVER) || text.is(place, "too") && leads_away(text, place + 1) {
            return true;
        }
        let not = text.is_any(place, &["not", "never"]) || text.is(place, "t") && text.glued(place);
        if not && (place + 1..=place + 2).any(|place| is_permission(text, place)) {
            return true;
        }
        if matches!(text.kind(place), None | Some(Kind::Mark))
            && !text.is_hyphen(place)
            && text.mark(place) != '’'
            && text.mark(place) != '\''
        {
            return false;
        }
    }
    false
}

/// What may be too much of something.
fn leads_away(text: &Text, at: usize) -> bool {
    !text.word(at).is_empty() && !text.is(at, "and")
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
    if leads(text, at) == Some(Hedge::Under) && text.is(at + 1, "than") {
        let equal = text.are(at + 2, &["or", "equal", "to"]);
        return Some(at + if equal { 5 } else { 2 });
    }
    BEFORE
        .iter()
        .filter(|(_, means)| matches!(means, Means::Hedge(Hedge::Under) | Means::Limit(Limit::AtMost)))
        .filter(|(phrase, _)| text.are(at, phrase))
        .map(|(phrase, _)| at + phrase.len())
        .max()
}
