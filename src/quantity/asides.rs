//! Numbers that are no figures: dates, years, clock times, phone numbers, addresses, labels (page 12,
//! step 3), list numbers, versions, scores, and "one" where it stands for a person or thing.

use super::forms::{self, Beside};
use super::tokens::{Kind, Text};

const MONTHS: &[&str] = &[
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
    "jan",
    "feb",
    "mar",
    "apr",
    "jun",
    "jul",
    "aug",
    "sep",
    "sept",
    "oct",
    "nov",
    "dec",
];

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
        .or_else(|| clock(text, at))
        .or_else(|| digit_groups(text, at))
        .or_else(|| date(text, at))
        .or_else(|| address(text, at))
        .or_else(|| bracketed(text, at))
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

/// `2:30`, `2:30:15`, `2pm`, `2.13 am`, `10 o'clock`; also scales such as `1:50,000`.
fn clock(text: &Text, at: usize) -> Option<usize> {
    let mut next = at + 1;
    while text.mark(next) == ':'
        && text.glued(next)
        && text.kind(next + 1) == Some(Kind::Digits)
        && text.glued(next + 1)
    {
        next += 2;
    }
    let colon = next > at + 1;
    let hour = is_half_of_day(text, next).or_else(|| {
        let oclock =
            text.is(next, "o") && matches!(text.mark(next + 1), '\'' | '’') && text.is(next + 2, "clock");
        oclock.then_some(next + 3)
    });
    // the first half of "10 to 11 a.m."
    let later = || {
        let to = next + 1;
        let joins = text.is(next, "to") || text.is(next, "and") || text.is_dash(next);
        let end = (joins && text.kind(to) == Some(Kind::Digits)).then(|| clock_end(text, to))?;
        is_half_of_day(text, end).map(|_| next)
    };
    hour.or(colon.then_some(next)).or_else(later)
}

fn clock_end(text: &Text, at: usize) -> usize {
    let colon = text.mark(at + 1) == ':' && text.kind(at + 2) == Some(Kind::Digits);
    if colon { at + 3 } else { at + 1 }
}

fn is_half_of_day(text: &Text, at: usize) -> Option<usize> {
    if text.is_any(at, &["am", "pm"]) {
        return Some(at + 1);
    }
    let stops = text.is_any(at, &["a", "p"])
        && text.mark(at + 1) == '.'
        && text.is(at + 2, "m")
        && text.glued(at + 2);
    stops.then(|| at + 3 + usize::from(text.mark(at + 3) == '.'))
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
        let emergency = groups[0].len() == 3 && text.is_any(at.wrapping_sub(1), &["call", "dial", "phone"]);
        return (emergency && text.word(next).is_empty()).then_some(next);
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

/// Days and years: `May 25`, `25 May`, `3/1/2026`, `11/20`, `in 2026`, `1960s`, `1981–2008`.
fn date(text: &Text, at: usize) -> Option<usize> {
    let digits = text.str(at);
    if !digits.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    if text.mark(at + 1) == '/'
        && text.glued(at + 1)
        && text.kind(at + 2) == Some(Kind::Digits)
        && text.glued(at + 2)
    {
        let next = end_of_run(text, at);
        let parts = [2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 16, 32, 64, 100];
        // more than one whole ("24/7") is a fraction only before a unit
        let small = digits.parse::<u32>().ok() < text.str(at + 2).parse().ok()
            || forms::simple(text, at + 3, Beside::NAME).is_some();
        let fraction = small && text.str(at + 2).parse().is_ok_and(|d: u32| parts.contains(&d));
        return (!fraction || next > at + 4).then_some(next);
    }
    let day = digits.len() <= 2;
    if day && is_month(text, at.wrapping_sub(1)) {
        return Some(at + 1);
    }
    if day && is_month(text, at.wrapping_sub(2)) && text.mark(at.wrapping_sub(1)) == '.' {
        return Some(at + 1);
    }
    // "May 5–8", "25 May"
    let month_follows = is_month(text, at + 1) && !(text.is(at + 1, "may") && text.word(at + 1) == "may");
    if day && month_follows {
        return Some(at + 2);
    }
    if digits.len() != 4 {
        return None;
    }
    if text.is(at + 1, "s") && text.glued(at + 1) {
        return Some(at + 2);
    }
    let mut next = at + 1;
    if !is_year(digits) {
        return None;
    }
    if (text.is_dash(next) || text.is(next, "to") || text.is(next, "and")) && is_year(text.str(next + 1)) {
        next += 2;
    }
    let after_year_word = text.is_any(
        at.wrapping_sub(1),
        &[
            "in", "since", "during", "until", "till", "year", "early", "late", "spring", "summer", "fall",
            "autumn", "winter", "season", "©", "circa", "of",
        ],
    ) || is_month(text, at.wrapping_sub(1))
        || (text.mark(at.wrapping_sub(1)) == ',' && text.kind(at.wrapping_sub(2)) == Some(Kind::Digits));
    let measured = forms::simple(text, next, Beside::NAME).is_some();
    let word = text.word(next).to_lowercase();
    let counted = super::noun::is_plural(&word) && !after_year_word;
    let goes_on = text.is_hyphen(next) && text.glued(next)
        || text.glued(next) && text.kind(next) == Some(Kind::Word)
        || super::words::classify(&word).is_some();
    let range = !after_year_word && (text.is_dash(next) || text.is_any(next, &["to", "and"]));
    (!measured && !counted && !goes_on && !(range && text.kind(next + 1) == Some(Kind::Digits)))
        .then_some(next)
}

pub(super) fn is_year(digits: &str) -> bool {
    digits.len() == 4
        && digits.bytes().all(|byte| byte.is_ascii_digit())
        && ("1500".."2100").contains(&digits)
}

fn is_month(text: &Text, at: usize) -> bool {
    let word = text.word(at);
    word.starts_with(|c: char| c.is_uppercase())
        && MONTHS.iter().any(|month| word.eq_ignore_ascii_case(month))
        || (word.len() > 3
            && MONTHS.iter().any(|month| word.eq_ignore_ascii_case(month))
            && !text.is(at, "march"))
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
    let starts_sentence = before == 0
        || text.get(before).is_some_and(|token| token.first_of_line)
        || matches!(text.mark(before - 1), '.' | '!' | '?' | ':' | '•' | '*' | '-' | '"' | '“');
    name && !starts_sentence && text.spaced(at) && !text.str(at).contains('.')
}

/// "one" where no number is meant, and the scores and phrases that are in words.
fn word_aside(text: &Text, at: usize) -> Option<usize> {
    if !text.is(at, "one") || text.is_hyphen(at + 1) {
        return None;
    }
    const BEFORE: &[&str] = &[
        "the", "this", "that", "no", "any", "every", "each", "another", "which", "some", "other", "new",
        "old", "fresh", "good", "first", "last", "next", "second", "right", "wrong", "big", "small",
        "optimal", "years", "someone",
    ];
    const AFTER: &[&str] = &[
        "another", "who", "that", "is", "can", "may", "must", "should", "could", "would", "has", "might",
        "will", "you", "ignores", "does", "was", "of", "at", "by", "with", "to", "should", "needs",
        "usually",
    ];
    let fraction = super::numeral::fraction_words(text, at).is_some();
    let pronoun = BEFORE.iter().any(|word| text.is(at.wrapping_sub(1), word)) && !counts(text, at + 1)
        || AFTER.iter().any(|word| text.is(at + 1, word))
            && !(text.is(at + 1, "to") && super::words::classify(text.word(at + 2)).is_some())
        || text.word_before(at) == "the"
        || (text.is(at + 1, "day") && text.mark(at + 2) == ',');
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

fn counts(text: &Text, at: usize) -> bool {
    forms::simple(text, at, Beside::WORD).is_some()
}
