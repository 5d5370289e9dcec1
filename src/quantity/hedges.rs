//! Hedges and limits: the words before and after a figure that loosen it or say which way it binds.
//!
//! The words themselves are those of the reader's language, in its folder ([`bounds`]); what follows from
//! their order is told here.

mod bounds;

use super::tokens::{Kind, Text};
use super::{Hedge, Limit};
use bounds::{Means, Role, WORDS};

/// What the words around a figure make of it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Bound {
    pub hedge: Option<Hedge>,
    pub limit: Option<Limit>,
    /// Whether what binds it is denied: "need not be at least".
    pub denied: bool,
}

fn is(text: &Text, at: usize, role: Role) -> bool {
    WORDS.is(text, at, role)
}

fn is_of_place(text: &Text, at: usize) -> bool {
    is(text, at, Role::PlaceUp) || is(text, at, Role::PlaceDown)
}

/// Which way a comparative or a word of place leads.
fn leads(text: &Text, at: usize) -> Option<Hedge> {
    if is(text, at, Role::More) || is(text, at, Role::PlaceUp) {
        Some(Hedge::Over)
    } else if is(text, at, Role::Less) || is(text, at, Role::PlaceDown) {
        Some(Hedge::Under)
    } else {
        None
    }
}

/// Which way a noun binds.
fn named_bound(text: &Text, at: usize) -> Option<Limit> {
    if is(text, at, Role::NamesLeast) {
        Some(Limit::AtLeast)
    } else if is(text, at, Role::NamesMost) {
        // "the lower limit"
        let lower = at > 0 && text.is_any(at - 1, &["lower", "minimum", "bottom"]);
        Some(if lower { Limit::AtLeast } else { Limit::AtMost })
    } else {
        None
    }
}

/// Which way a superlative binds.
fn superlative(text: &Text, at: usize) -> Option<Limit> {
    if is(text, at, Role::Farthest) {
        Some(Limit::AtMost)
    } else if is(text, at, Role::Nearest) {
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
                if let (Some(limit), Some(from)) = (hedge.limit(), negated(text, first)) {
                    // "no more than" is at most
                    bound.limit = bound.limit.or(Some(limit.turned()));
                    start = from;
                    break;
                }
                match (hedge, WORDS.softened(text, first)) {
                    // "a little less than" is an approximation from below, and no bound
                    (Hedge::Under, Some(from)) => {
                        bound.hedge = bound.hedge.or(Some(Hedge::Nearly));
                        start = from;
                        continue;
                    }
                    (Hedge::Over, Some(from)) => {
                        bound.hedge = bound.hedge.or(Some(hedge));
                        start = from;
                        continue;
                    }
                    _ => bound.hedge = bound.hedge.or(Some(hedge)),
                }
            }
            Means::Limit(limit) => {
                // "never within 200 feet" is at least
                if text.is_any(first, &["within", "inside"])
                    && let Some(from) = negated(text, first)
                {
                    bound.limit = bound.limit.or(Some(limit.turned()));
                    start = from;
                    break;
                }
                bound.denied |= text.is(first, "at") && is_denied(text, first);
                bound.limit = bound.limit.or(Some(limit));
            }
            Means::Nothing => {}
        }
        start = first;
    }
    if bound == Bound::default()
        && let Some((limit, from)) =
            bound_by_noun(text, start).or_else(|| kept_to(text, start)).or_else(|| reached(text, start))
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
            '~' | '∼' | '≈' | '≃' => Some((Means::Hedge(Hedge::About), last)),
            '<' => Some((Means::Hedge(Hedge::Under), last)),
            '>' => Some((Means::Hedge(Hedge::Over), last)),
            '≤' | '⩽' => Some((Means::Limit(Limit::AtMost), last)),
            '≥' | '⩾' => Some((Means::Limit(Limit::AtLeast), last)),
            '=' if last > 0 && text.glued(last) && text.mark(last - 1) == '<' => {
                Some((Means::Limit(Limit::AtMost), last - 1))
            }
            '=' if last > 0 && text.glued(last) && text.mark(last - 1) == '>' => {
                Some((Means::Limit(Limit::AtLeast), last - 1))
            }
            '.' => {
                let before = last.checked_sub(1)?;
                let means = [
                    ("approx", Means::Hedge(Hedge::About)),
                    ("ca", Means::Hedge(Hedge::About)),
                    ("max", Means::Limit(Limit::AtMost)),
                    ("min", Means::Limit(Limit::AtLeast)),
                ];
                let (_, means) = means.iter().find(|(word, _)| text.is(before, word))?;
                Some((*means, before))
            }
            // "Minimum: 6 ft", "no more than: 6 ft"
            ':' => {
                // "Rope (min.): 6 ft"
                let closes = last.checked_sub(1).filter(|at| text.mark(*at) == ')');
                let (means, first) = match closes {
                    Some(close) => one_before(text, close)
                        .filter(|(_, first)| *first > 0 && text.mark(first - 1) == '(')
                        .map(|(means, first)| (means, first - 1))?,
                    None => one_before(text, last)?,
                };
                matches!(means, Means::Limit(_) | Means::Hedge(Hedge::Over | Hedge::Under))
                    .then_some((means, first))
            }
            _ => None,
        };
    }
    if text.is(last, "than") {
        return compared(text, last);
    }
    WORDS.before(text, at)
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
        return Some((Means::Limit(leads(text, last - 2)?.limit()?), last - 2));
    }
    if text.is(last, "other") || text.is(last, "rather") || is_of_place(text, last) {
        return None;
    }
    let or_equal = last >= 3 && text.is(last - 1, "or") && text.are(last - 3, &["equal", "to"]);
    let way = leads(text, last)?;
    Some(match or_equal {
        true => (Means::Limit(way.limit()?), last - 3),
        false => (Means::Hedge(way), last),
    })
}

/// "less than or equal to", whose last words are read first.
fn or_equal_to(text: &Text, at: usize) -> Option<(Limit, usize)> {
    let first = at.checked_sub(5)?;
    if !text.are(first + 1, &["than", "or", "equal", "to"]) {
        return None;
    }
    Some((leads(text, first)?.limit()?, first))
}

/// "a cap of", "the maximum length is", "Longest lead allowed:": a noun that binds, a few words about it, and
/// what leads over to the figure.
fn bound_by_noun(text: &Text, at: usize) -> Option<(Limit, usize)> {
    if let Some(found) = or_equal_to(text, at) {
        return Some(found);
    }
    let mut last = at.checked_sub(1)?;
    let mut led = false;
    for _ in 0..3 {
        let mark = matches!(text.mark(last), ':' | '=' | '–' | '—');
        if !(mark || is(text, last, Role::Lead)) {
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
    is(text, at, Role::Permission)
}

/// "limit the rope to six feet", "keep it to six feet".
fn kept_to(text: &Text, at: usize) -> Option<(Limit, usize)> {
    let to = at.checked_sub(1).filter(|to| text.is_any(*to, &["to", "at"]))?;
    let caps = text.is(to, "at");
    for back in 1..=5 {
        let place = to.checked_sub(back)?;
        if text.word(place).is_empty() || text.is_any(place, &["close", "next", "and", "on", "up", "way"]) {
            return None;
        }
        if is(text, place, Role::Keeps) && (!caps || text.is_any(place, &["cap", "caps", "limit", "limits"]))
        {
            return Some((Limit::AtMost, place));
        }
    }
    None
}

/// "must reach six feet", "has to clear six feet", "may reach six feet".
fn reached(text: &Text, at: usize) -> Option<(Limit, usize)> {
    let verb = at.checked_sub(1).filter(|verb| is(text, *verb, Role::Reaches))?;
    (1..=4)
        .map_while(|back| verb.checked_sub(back))
        .take_while(|place| !text.word(*place).is_empty())
        .find_map(|place| match () {
            () if is(text, place, Role::No) => Some((Limit::AtMost, place)),
            () if text.is_any(place, &["may", "can", "could", "might"]) => Some((Limit::AtMost, place)),
            () if is(text, place, Role::Obliges)
                || text.is_any(place, &["has", "have", "had"]) && text.is(place + 1, "to") =>
            {
                // "need not reach" obliges nobody
                let no = text.is_any(place + 1, &["not", "never"]);
                Some((if no { Limit::AtMost } else { Limit::AtLeast }, place))
            }
            () => None,
        })
}

/// "you need not camp at least", "never at most", "there is no need to stay at least": whether what stands before a
/// phrase that binds takes it back. Two denials are none, and what is asked of those who do not is no denial.
fn is_denied(text: &Text, at: usize) -> bool {
    let is_apostrophe = |at: usize| matches!(text.mark(at), '\'' | '’');
    let denies = |place: usize| {
        text.is_any(place, &["not", "never", "no", "without", "cannot", "myth"])
            || text.is(place, "t") && place > 0 && is_apostrophe(place - 1)
    };
    let undoes = |place: usize| {
        text.is_any(
            place,
            &["forget", "fail", "fails", "neglect", "hesitate", "nobody", "none", "avoid", "refuse"],
        )
    };
    let obliges = |place: usize| {
        text.is_any(
            place,
            &["need", "needs", "have", "required", "necessary", "obliged", "true", "myth", "bother"],
        )
    };
    let (mut denials, mut counts) = (0, false);
    for back in 1..=8 {
        let Some(place) = at.checked_sub(back) else { break };
        if is_apostrophe(place) || text.is_hyphen(place) {
            continue;
        }
        let asked =
            is(text, place, Role::OtherClause) || text.is_any(place, &["who", "which", "whose", "anyone"]);
        if asked {
            return false;
        }
        if text.word(place).is_empty() {
            break;
        }
        denials += usize::from(denies(place)) + usize::from(undoes(place));
        let only = text.is_any(place + 1, &["only", "just"]);
        let of_need = obliges(place + 1) || place > 0 && obliges(place - 1) || text.is(place, "myth");
        counts |= denies(place) && !only && (back <= 2 || of_need);
    }
    counts && denials % 2 == 1
}

/// What binds from the start of its sentence: "At a minimum, use six feet".
pub(super) fn at_start_of_sentence(text: &Text, at: usize) -> Option<Limit> {
    for back in 1..=9 {
        let place = at.checked_sub(back)?;
        if text.starts_sentence(place) {
            let phrases = [(Limit::AtLeast, LEAST_OF_ALL), (Limit::AtMost, MOST_OF_ALL)];
            let starts = |phrase: &&[&str]| text.are(place, phrase);
            return phrases.into_iter().find(|(_, all)| all.iter().any(&starts)).map(|(limit, _)| limit);
        }
        let other_number = numeral_follows(text, place);
        let other_clause = is(text, place, Role::OtherClause) || text.is_any(place, &["that", "and", "who"]);
        if text.word(place).is_empty() && text.mark(place) != ',' || other_number || other_clause {
            return None;
        }
    }
    None
}

/// Phrases that may begin a sentence of which they bind the figure.
const LEAST_OF_ALL: &[&[&str]] = &[
    &["at", "a", "minimum"],
    &["at", "minimum"],
    &["at", "least"],
    &["at", "the", "least"],
    &["at", "the", "very", "least"],
    &["as", "a", "minimum"],
];
const MOST_OF_ALL: &[&[&str]] = &[
    &["at", "a", "maximum"],
    &["at", "maximum"],
    &["at", "most"],
    &["at", "the", "most"],
    &["at", "the", "very", "most"],
    &["as", "a", "maximum"],
];

/// What binds behind all that is said of a figure, at the end of its clause: "200 feet from the stream at most", "six
/// feet of lead rope, or longer". The limit, and the token after it.
pub(super) fn at_end_of_clause(text: &Text, at: usize) -> Option<(Limit, usize)> {
    const WORDS_BETWEEN: usize = 7;
    let stop = usize::from(text.mark(at) == '.' && text.glued(at) && starts_small(text, at + 1));
    for place in at + stop..at + stop + WORDS_BETWEEN + 2 {
        let comma = usize::from(matches!(text.mark(place), ',' | '–' | '—' | '('));
        let ends = |next: usize| ends_there(text, next) || text.starts_sentence(next);
        let bound = WORDS.after.iter().filter(|(phrase, _)| text.is(place + comma, phrase[0])).find_map(
            |(phrase, means)| {
                let next = place + comma + phrase.len();
                let limit = match means {
                    Means::Limit(limit) => *limit,
                    _ => return None,
                };
                (text.are(place + comma, phrase) && ends(next)).then_some((limit, next))
            },
        );
        let bound = bound
            .or_else(|| or_more(text, place + comma).filter(|(_, next)| ends(*next)))
            .or_else(|| none_more(text, place + comma).filter(|(_, next)| ends(*next)));
        if bound.is_some() {
            return bound;
        }
        let joins = is(text, place, Role::OtherClause)
            || text.is_any(place, &["and", "or", "that", "which", "who", "where", "than", "as", "not", "no"]);
        let is_word = !text.word(place).is_empty() || text.is_hyphen(place) && text.glued(place);
        if !is_word || joins || numeral_follows(text, place) {
            return None;
        }
    }
    None
}

fn starts_small(text: &Text, at: usize) -> bool {
    text.word(at).starts_with(|letter: char| letter.is_lowercase())
}

/// "Six feet is too short", "200 feet of rope will not do": what follows a plain figure says that it will not do.
pub(super) fn rules_out_plain(text: &Text, at: usize) -> bool {
    for place in at..at + 9 {
        let not_before = |place: usize| {
            (1..=2).any(|back| {
                place.checked_sub(back).is_some_and(|at| is(text, at, Role::No) || text.is(at, "t"))
            })
        };
        let is_verb =
            |place: usize| text.is_any(place, &["is", "are", "was", "were", "be", "seems", "proves"]);
        let verb_before = (1..=2).any(|back| place.checked_sub(back).is_some_and(is_verb));
        if text.is(place, "too") && verb_before && leads_away(text, place + 1) && !text.is(place + 1, "much")
        {
            return !not_before(place);
        }
        if is(text, place, Role::Forbidden) && verb_before {
            return !not_before(place);
        }
        if text.is_any(place, &["not", "never"]) {
            return text.is_any(place + 1, &["enough", "do"]) && (verb_before || text.is(place - 1, "will"));
        }
        let joins = is(text, place, Role::OtherClause)
            || text.is_any(place, &["and", "or", "that", "which", "who", "where", "than"]);
        if joins || text.word(place).is_empty() && !text.is_hyphen(place) {
            return false;
        }
    }
    false
}

/// "no more than", "must not exceed", "never be longer than": the token where the negation starts.
fn negated(text: &Text, at: usize) -> Option<usize> {
    for back in 1..=6 {
        let place = at.checked_sub(back)?;
        if is(text, place, Role::No) {
            let only = text.is_any(place + 1, &["only", "just"]);
            return (!only).then_some(place);
        }
        // "shouldn't"
        if text.is(place, "t") && place > 1 && matches!(text.mark(place - 1), '\'' | '’') {
            return Some(place - 2);
        }
        // past three words a clause of its own may have begun
        let ends = is(text, place, Role::OtherClause) || (back > 3 && text.is(place, "and"));
        if text.word(place).is_empty() || ends {
            return None;
        }
    }
    None
}

/// Reads the words that start at a token: what they mean and the token after them. `first` is where the figure
/// starts.
pub(super) fn after(text: &Text, first: usize, at: usize) -> (Bound, usize) {
    let bound = |limit| Bound { limit: Some(limit), ..Bound::default() };
    if text.mark(at) == '+'
        && (text.glued(at) || text.spaced(at + 1))
        && (text.kind(at + 1) != Some(Kind::Digits) || text.tokens[at + 1].first_of_line)
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
    for (phrase, means) in WORDS.after.iter().filter(|(phrase, _)| text.is(at_phrase, phrase[0])) {
        // "6 ft. Max ties": a capital begins the next sentence
        let other_sentence = stop == 1 && text.word(at_phrase).starts_with(|c: char| c.is_uppercase());
        // "six feet, plus a tail", "six feet, maximum care"
        let names = comma == 1 && phrase.len() == 1 && !ends_there(text, at_phrase + 1);
        if text.are(at_phrase, phrase) && !other_sentence && !names {
            let next = at_phrase + phrase.len();
            return match means {
                Means::Hedge(hedge) => (Bound { hedge: Some(*hedge), ..Bound::default() }, next),
                Means::Limit(limit) => (bound(*limit), next),
                Means::Nothing => (Bound::default(), next),
            };
        }
    }
    // "6 ft. or more": a small letter begins no sentence
    if stop == 1 && !starts_small(text, at + 1) {
        return (Bound::default(), at);
    }
    let at = at + stop;
    let there = |at: usize| {
        let comma = usize::from(matches!(text.mark(at), ',' | '–' | '—' | ';' | '('));
        or_more(text, at + comma).or_else(|| none_more(text, at + comma)).or_else(|| is_the_most(text, at))
    };
    // "six feet of lead rope, no more", "six feet of rope is the limit"
    let found = there(at).or_else(|| there(past_what_is_measured(text, at)?));
    found.map_or((Bound::default(), at - stop), |(limit, next)| (bound(limit), next))
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
    Some((way.limit()?, next))
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
            let limit = if doubted { way.limit()? } else { way.limit()?.turned() };
            return (!than).then_some((limit, place + 1));
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
    // "the absolute limit", "its bare minimum"
    for named in place..=place + 2 {
        if let Some(limit) = named_bound(text, named).filter(|_| !text.is(named, "top")) {
            return Some((limit, named + 1));
        }
        if text.word(named).is_empty() || is(text, named, Role::OtherClause) {
            break;
        }
    }
    place +=
        usize::from(text.is_any(place, &["absolute", "legal", "upper", "lower", "very", "hard", "firm"]));
    let limit = superlative(text, place)?;
    (place + 1..=place + 5).find(|place| is_permission(text, *place)).map(|end| (limit, end + 1))
}

/// Whether what follows a figure up to the end of its clause says that it must not be: "is too long", "are not
/// allowed".
pub(super) fn is_ruled_out(text: &Text, at: usize) -> bool {
    for place in at..at + 10 {
        if is(text, place, Role::Forbidden) || text.is(place, "too") && leads_away(text, place + 1) {
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
    WORDS.upper.iter().filter(|phrase| text.are(at, phrase)).map(|phrase| at + phrase.len()).max()
}
