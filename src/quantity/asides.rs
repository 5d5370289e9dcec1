//! Numbers that are no figures: dates, years, clock times, phone numbers, addresses, labels (page 12,
//! step 3), list numbers, versions, scores, and "one" where it stands for a person or thing.

use super::dates::{clock, date};
use super::forms::{self, Beside};
use super::tokens::{Kind, Text};

/// Words that turn the number after them into a name.
const LABELS: &[&str] = &[
    "page",
    "pages",
    "section",
    "sections",
    "chapter",
    "chapters",
    "figure",
    "figures",
    "fig",
    "figs",
    "table",
    "tables",
    "step",
    "steps",
    "rule",
    "rules",
    "part",
    "parts",
    "item",
    "items",
    "question",
    "questions",
    "number",
    "numbers",
    "nos",
    "volume",
    "vol",
    "version",
    "versions",
    "route",
    "highway",
    "hwy",
    "interstate",
    "road",
    "exit",
    "room",
    "grade",
    "class",
    "phase",
    "phases",
    "stage",
    "type",
    "lesson",
    "unit",
    "channel",
    "appendix",
    "article",
    "paragraph",
    "line",
    "lines",
    "column",
    "panel",
    "marker",
    "post",
    "gate",
    "site",
    "loop",
    "box",
    "suite",
    "apt",
    "form",
    "note",
    "notes",
    "slide",
    "slides",
    "case",
    "example",
    "equation",
    "eq",
    "ref",
    "refs",
    "claim",
    "claims",
    "study",
    "group",
    "day",
    "week",
    "year",
    "model",
    "zone",
    "sample",
    "experiment",
    "isbn",
    "seat",
    "row",
    "berth",
    "bay",
    "compound",
    "formula",
    "trail",
    "no",
    "pp",
    "sec",
    "ch",
    "hole",
    "score",
    "level",
    "tier",
    "category",
    "platform",
    "track",
    "lot",
];

const STREETS: &[&str] = &[
    "street",
    "st",
    "road",
    "rd",
    "avenue",
    "ave",
    "lane",
    "ln",
    "drive",
    "dr",
    "boulevard",
    "blvd",
    "court",
    "ct",
    "way",
    "highway",
    "hwy",
    "circle",
    "place",
    "pl",
    "parkway",
    "pkwy",
    "terrace",
    "square",
    "trail",
];

/// The token after a number that starts at `at` and is no figure.
pub(super) fn skip(text: &Text, at: usize) -> Option<usize> {
    if text.kind(at) != Some(Kind::Digits) {
        return word_aside(text, at);
    }
    glued_name(text, at)
        .or_else(|| list_number(text, at))
        .or_else(|| clock(text, at).filter(|_| super::numeral::ratio_of(text, at).is_none()))
        .or_else(|| digit_groups(text, at))
        .or_else(|| date(text, at))
        .or_else(|| address(text, at))
        .or_else(|| bracketed(text, at))
        .or_else(|| raised(text, at))
        .or_else(|| ordinal(text, at))
}

/// `A1`, `ABC-12345`, `#5`: digits that belong to a name.
fn glued_name(text: &Text, at: usize) -> Option<usize> {
    if !text.glued(at) {
        return None;
    }
    let before = at - 1;
    let name = match text.kind(before)? {
        Kind::Word | Kind::NoNumber => true,
        Kind::Mark if text.is_hyphen(before) && text.glued(before) && before > 0 => {
            text.kind(before - 1) == Some(Kind::Word)
                && !text.is_any(before - 1, &["mid", "non", "pre", "post", "sub", "to", "and", "or"])
                && super::words::classify(text.word(before - 1)).is_none()
        }
        Kind::Mark => {
            matches!(text.mark(before), '#' | '§' | '_' | '\\')
        }
        _ => false,
    };
    name.then(|| end_of_run(text, at))
}

/// Past everything that hangs together with the token at `at`.
pub(super) fn end_of_run(text: &Text, at: usize) -> usize {
    let mut next = at + 1;
    while text.glued(next)
        && (matches!(text.kind(next), Some(Kind::Word | Kind::Digits | Kind::NoNumber))
            || (matches!(text.mark(next), '-' | '_' | '/') && text.glued(next + 1)))
    {
        next += 1;
    }
    next
}

/// `1. Tie high` and `2) Tie short` at the start of a line.
fn list_number(text: &Text, at: usize) -> Option<usize> {
    let token = text.get(at)?;
    let short = token.end - token.start <= 3;
    let stop = text.glued(at + 1) && matches!(text.mark(at + 1), '.' | ')');
    let item = text.kind(at + 2).is_some()
        && text.spaced(at + 2)
        && text.get(at + 2).is_some_and(|next| !next.first_of_line);
    (token.first_of_line && short && stop && item).then_some(at + 2)
}

/// Phone numbers, ISO dates, scores, codes: groups of digits on hyphens that are no range.
fn digit_groups(text: &Text, at: usize) -> Option<usize> {
    let mut groups = vec![text.str(at)];
    let mut next = at + 1;
    // (555) 555-0100
    if text.mark(at.wrapping_sub(1)) == '('
        && text.mark(next) == ')'
        && groups[0].len() == 3
        && text.kind(next + 1) == Some(Kind::Digits)
        && text.is_hyphen(next + 2)
        && text.str(next + 3).len() == 4
    {
        return Some(next + 4);
    }
    while groups.len() < 8
        && text.is_dash(next)
        && text.glued(next)
        && text.glued(next + 1)
        && text.kind(next + 1) == Some(Kind::Digits)
    {
        groups.push(text.str(next + 1));
        next += 2;
    }
    if groups.len() == 1 {
        let dialed = text.is_any(at.wrapping_sub(1), &["call", "dial", "phone"]);
        let many = || super::measure::counted(text, next, &super::number::whole(2)).is_some();
        let emergency = dialed && groups[0].len() == 3 && !many() && !counts(text, next);
        return emergency.then_some(next).or_else(|| spaced_phone(text, at));
    }
    let lengths: Vec<_> = groups.iter().map(|group| group.len()).collect();
    let whole = groups.iter().all(|group| group.bytes().all(|byte| byte.is_ascii_digit()));
    let phone = lengths == [3, 4] && groups[1].starts_with('0');
    let years = lengths[0] == 4
        && groups[0].starts_with(['1', '2'])
        && lengths[1] == 2
        && groups[1] > &groups[0][2..];
    (whole && (groups.len() > 2 || phone || (years && text.word(next).is_empty()))).then_some(next)
}

/// `01 23 45 67 89`, `0 800 12 34 56`: a number with the digit that leads to other exchanges, its groups apart.
fn spaced_phone(text: &Text, at: usize) -> Option<usize> {
    let is_group = |at: usize| {
        text.kind(at) == Some(Kind::Digits) && text.str(at).len() <= 4 && !text.str(at).contains(['.', ','])
    };
    let end = (at + 1..).find(|next| !is_group(*next) || text.glued(*next))?;
    let digits: usize = (at..end).map(|group| text.str(group).len()).sum();
    let leads = is_group(at) && text.str(at).starts_with('0');
    (leads && end > at + 3 && (9..=12).contains(&digits)).then_some(end)
}

/// `123 Random Street`, `PA 23456`.
fn address(text: &Text, at: usize) -> Option<usize> {
    let capital = |at: usize| text.word(at).starts_with(|c: char| c.is_uppercase());
    if text.str(at).len() == 5 {
        let state = text.word_before(at);
        if state.len() == 2 && state.bytes().all(|byte| byte.is_ascii_uppercase()) {
            return Some(at + 1);
        }
    }
    for words in 1..=4 {
        if !capital(at + words) || text.glued(at + words) {
            return None;
        }
        if words > 1 && STREETS.iter().any(|street| text.is(at + words, street)) {
            return Some(at + words + 1);
        }
    }
    None
}

/// `[25]`, `[2–5]`: marks of notes.
fn bracketed(text: &Text, at: usize) -> Option<usize> {
    if text.mark(at.wrapping_sub(1)) != '[' {
        return None;
    }
    let mut next = at + 1;
    while next < at + 24 {
        match text.kind(next)? {
            Kind::Digits => next += 1,
            Kind::Mark if text.mark(next) == ']' => return Some(next + 1),
            Kind::Mark if text.mark(next) == ',' || text.mark(next) == ';' || text.is_dash(next) => next += 1,
            _ => return None,
        }
    }
    None
}

/// `5^2`: a power that is no figure of prose, as one of ten is.
fn raised(text: &Text, at: usize) -> Option<usize> {
    let raised = text.mark(at + 1) == '^' && text.glued(at + 1);
    (raised && super::numeral::power_of_ten(text, at, at + 1).is_none()).then_some(at + 3)
}

/// `1st`, `22nd`.
fn ordinal(text: &Text, at: usize) -> Option<usize> {
    let spaced_th = text.is(at + 1, "th") || (text.glued(at + 1) && text.is_any(at + 1, &["st", "nd", "rd"]));
    spaced_th.then_some(at + 2)
}

/// Words that name what follows whatever stands behind it.
const STRONG_LABELS: &[&str] = &[
    "page", "pages", "section", "sections", "chapter", "chapters", "cfr", "usc", "route", "highway", "exit",
    "§",
];

/// Whether a number is a label even before a noun: `36 CFR 2.15 limits stays`.
pub(super) fn is_strong_label(text: &Text, at: usize) -> bool {
    let named = at > 0 && STRONG_LABELS.iter().any(|label| text.is(at - 1, label));
    named || (text.kind(at) == Some(Kind::Digits) && (text.is(at + 1, "cfr") || text.is(at + 1, "usc")))
}

/// Past a label's number and those listed with it: `chapters 5 and 6`, `phases 5, 7, and 9`.
pub(super) fn past_labels(text: &Text, next: usize) -> usize {
    let mut end = next;
    for _ in 0..12 {
        let comma = usize::from(text.mark(end) == ',');
        let word = usize::from(
            text.is_any(end + comma, &["and", "or", "to", "through"]) || text.is_dash(end + comma),
        );
        let number = end + comma + word;
        if number == end
            || text.kind(number) != Some(Kind::Digits)
            || forms::simple(text, number + 1, Beside::NAME).is_some()
            || super::noun::is_plural(&text.word(number + 1).to_lowercase())
        {
            break;
        }
        end = number + 1;
    }
    end
}

/// Whether the number that runs from `at` to `next`, with no unit and nothing counted, is a label or
/// part of a name: `page 12`, `Section 4.2`, `Voyager 2`, `No. 7`.
pub(super) fn is_label(text: &Text, at: usize) -> bool {
    let Some(before) = at.checked_sub(1) else { return false };
    if text.kind(at) != Some(Kind::Digits)
        && !text.is_any(before, &["version", "step", "chapter", "part", "lesson", "phase", "stage"])
    {
        return false;
    }
    let label_at = |at: usize| LABELS.iter().any(|label| text.is(at, label));
    if label_at(before) {
        return true;
    }
    if text.mark(before) == '.' && before > 0 && text.word(before - 1).len() <= 4 && label_at(before - 1) {
        return true;
    }
    let word = text.word(before);
    let name = word.starts_with(|c: char| c.is_uppercase()) && word.len() > 1;
    name && !text.starts_sentence(before) && text.spaced(at) && !text.str(at).contains('.')
}

/// "one" where no number is meant, and the scores and phrases that are in words.
fn word_aside(text: &Text, at: usize) -> Option<usize> {
    if text.is(at, "zero") && at > 0 && text.is_any(at - 1, &["below", "above"]) {
        return Some(at + 1);
    }
    if !text.is(at, "one") || text.is_hyphen(at + 1) {
        return None;
    }
    let fraction = super::numeral::fraction_words(text, at).is_some();
    let follows = stands_before_pronoun(text, at) && !counts(text, at + 1);
    let leads = leads_clause(text, at + 1)
        && !(text.is(at + 1, "to") && super::words::classify(text.word(at + 2)).is_some());
    let pronoun = follows
        || leads
        || text.word_before(at) == "the" && !counts(text, at + 1)
        || (text.is(at + 1, "day") && text.mark(at + 2) == ',' && text.word_before(at) != "of");
    let bound = super::hedges::before(text, at).0 != super::hedges::Bound::default();
    let one_by_one = text.are(at, &["one", "by", "one"]) || text.are(at, &["one", "at", "a", "time"]);
    let scale = matches!(
        super::words::classify(text.word(at + 1)),
        Some(super::words::Word::Hundred | super::words::Word::Scale(_))
    );
    if fraction || scale {
        return None;
    }
    if one_by_one {
        return Some(at + 3);
    }
    (pronoun && !bound).then_some(at + 1)
}

/// What "one" follows where it stands for a thing told of before: "this one", "the only one", "a larger one".
fn stands_before_pronoun(text: &Text, at: usize) -> bool {
    const WORDS: &[&str] = &[
        "the", "this", "that", "no", "any", "every", "each", "another", "which", "some", "other", "new",
        "old", "fresh", "good", "first", "last", "next", "second", "right", "wrong", "big", "small", "full",
        "empty", "same", "long", "short", "young", "bad", "safe", "cheap", "loose", "dead", "spare",
    ];
    /// Endings of adjectives, by which English makes them of other words.
    const ENDINGS: &[&str] =
        &["al", "ful", "ous", "ive", "able", "ible", "ic", "less", "ish", "est", "ary", "ant", "ent"];
    let before = text.word_before(at).to_lowercase();
    let adjective = before.len() > 4 && ENDINGS.iter().any(|ending| before.ends_with(ending));
    WORDS.contains(&before.as_str())
        || text.are(at.wrapping_sub(2), &["the", "only"])
        || adjective && !begins_noun(text, at + 1)
}

/// What "one" leads where it is anybody, or a thing told of before: a clause of its own ("one must", "one never knows",
/// "one rides"), or what belongs to it ("one of them", "one with a lid").
fn leads_clause(text: &Text, at: usize) -> bool {
    const AUXILIARIES: &[&str] = &[
        "is", "was", "has", "had", "does", "did", "can", "cannot", "could", "may", "might", "must", "shall",
        "should", "will", "would", "ought", "needs",
    ];
    const ADVERBS: &[&str] = &[
        "usually",
        "often",
        "always",
        "never",
        "sometimes",
        "rarely",
        "seldom",
        "generally",
        "mostly",
        "also",
        "soon",
        "hardly",
    ];
    const OTHERS: &[&str] = &["another", "who", "that", "you", "of", "at", "by", "with", "to"];
    [AUXILIARIES, ADVERBS, OTHERS].iter().any(|words| words.iter().any(|word| text.is(at, word)))
        || text.are(at, &["or", "another"])
        || is_verb_of_one(text, at)
}

/// "one ignores", "one rides": beside "one" a noun has no -s, so such a word is what somebody does.
fn is_verb_of_one(text: &Text, at: usize) -> bool {
    let word = text.word(at).to_lowercase();
    let singular = ["ss", "us", "is", "as", "os"].iter().any(|ending| word.ends_with(ending));
    word.len() > 3 && word.ends_with('s') && !singular && !counts(text, at)
}

/// Whether a thing that is counted may be named here.
fn begins_noun(text: &Text, at: usize) -> bool {
    super::measure::counted(text, at, &super::number::whole(1)).is_some()
}

fn counts(text: &Text, at: usize) -> bool {
    forms::simple(text, at, Beside::WORD).is_some()
}
