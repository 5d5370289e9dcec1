//! What a cell answers to yes or no, in every language and with the marks of lists; and which language it names.

use crate::languages::{self, in_all};
use crate::program::settings::OwnWords;
use jiff::civil::Date;
use std::collections::HashSet;
use std::sync::LazyLock;

pub(super) enum Answer {
    Yes,
    No,
    /// The cell is empty.
    Nothing,
    Unclear,
}

/// Yes and no in languages that have no folder here (after the `yesstr` and `nostr` of the Unicode CLDR, from
/// memory). No word of one means the other in another.
const YES_ELSEWHERE: [&str; 23] = [
    "wahr", "vrai", "vero", "ja", "oui", "sim", "sì", "tak", "ano", "áno", "igen", "da", "evet", "да", "так",
    "ναι", "はい", "是", "예", "نعم", "כן", "có", "kyllä",
];
const NO_ELSEWHERE: [&str; 22] = [
    "falsch",
    "faux",
    "nein",
    "non",
    "não",
    "nao",
    "nie",
    "nee",
    "nej",
    "nei",
    "nem",
    "hayır",
    "нет",
    "ні",
    "όχι",
    "いいえ",
    "否",
    "아니오",
    "لا",
    "לא",
    "không",
    "ei",
];

/// The marks of lists, which are of no language.
const YES: [&str; 7] = ["1", "1.0", "x", "✓", "✔", "☑", "✅"];
const NO: [&str; 9] = ["0", "0.0", "-", "–", "—", "✗", "✘", "☐", "❌"];

/// All words, gathered once: a roster has many cells.
static ALL_YES: LazyLock<Vec<&str>> =
    LazyLock::new(|| in_all(|language| &language.cells.yes).chain(YES).chain(YES_ELSEWHERE).collect());
static ALL_NO: LazyLock<Vec<&str>> =
    LazyLock::new(|| in_all(|language| &language.cells.no).chain(NO).chain(NO_ELSEWHERE).collect());

/// What a cell answers; the words that the program names come first.
pub(super) fn answer(value: &str, own: &OwnWords) -> Answer {
    if value.is_empty() {
        return Answer::Nothing;
    }
    let named =
        |words: &[String]| words.iter().any(|word| word.to_lowercase() == value.trim().to_lowercase());
    if !own.is_empty() {
        match (named(&own.yes), named(&own.no)) {
            (true, _) => return Answer::Yes,
            (_, true) => return Answer::No,
            _ => {}
        }
    }
    // "Yes." and "No!", and marks with the selector that makes pictures of them.
    let value = value.trim_end_matches(['.', '!', '\u{fe0f}', '\u{fe0e}']);
    let is = |words: &[&str]| {
        words.iter().any(|word| value.eq_ignore_ascii_case(word))
            || (!value.is_ascii() && words.contains(&value.to_lowercase().as_str()))
    };
    match () {
        () if is(&ALL_YES) => Answer::Yes,
        () if is(&ALL_NO) => Answer::No,
        () => Answer::Unclear,
    }
}

/// Whether a cell says that there is none: no companion, no other name.
pub(super) fn is_nobody(value: &str) -> bool {
    static NOBODY: LazyLock<Vec<String>> =
        LazyLock::new(|| languages::folded_words(|language| &language.cells.nobody).collect());
    let value = value.trim().trim_end_matches(['.', '!']);
    // Nearly all cells are a name.
    if value.len() > 24 {
        return false;
    }
    matches!(answer(value, &OwnWords::default()), Answer::No) || NOBODY.contains(&languages::fold(value))
}

/// The tag of a language by what people call it; other words as they are.
pub(super) fn language(value: &str) -> &str {
    languages::called(value).unwrap_or(value)
}

/// Words of a cell that names days, in all languages at once.
struct DayWords {
    day: HashSet<String>,
    and: HashSet<String>,
}

static DAY_WORDS: LazyLock<DayWords> = LazyLock::new(|| {
    let day = languages::folded_words(|language| &language.headings.day);
    let both = |word: String| [format!("{word}s"), format!("{word}es"), word];
    let and = languages::folded_words(|language| &language.answers.and);
    DayWords { day: day.flat_map(both).collect(), and: and.chain(["&".into(), "+".into()]).collect() }
});

/// Of all days.
const ALL_DAYS: [&str; 11] =
    ["all", "both", "todos", "todas", "ambos", "ambas", "tous", "toutes", "deux", "alle", "beide"];
/// "Day 2 of 2", as attendance is written out.
const OF_ALL: [&str; 5] = ["of", "de", "sur", "von", "/"];

/// Which days of an event a cell names: "1, 2", "day 2 of 2", "2026-05-17", "both days". A lone 1 may mean yes.
pub(super) fn days_named(value: &str, days: &[Date]) -> Option<Vec<bool>> {
    let folded = languages::fold(value);
    let words: Vec<&str> = folded
        .split(|c: char| c.is_whitespace() || [',', ';'].contains(&c))
        .filter(|it| !it.is_empty())
        .collect();
    let whole = days.len().to_string();
    let said = match words.as_slice() {
        [said @ .., of, all] if OF_ALL.contains(of) && *all == whole && !said.is_empty() => said,
        all => all,
    };
    let (known, articles) = (&*DAY_WORDS, ["les", "los", "las", "the"]);
    let is_small =
        |word: &str| known.day.contains(word) || known.and.contains(word) || articles.contains(&word);
    let names: Vec<&str> = said.iter().copied().filter(|word| !is_small(word)).collect();
    if matches!(names.as_slice(), [all] if ALL_DAYS.contains(all)) {
        return Some(vec![true; days.len()]);
    }
    if names.is_empty() || words == ["1"] {
        return None;
    }
    let mut came = vec![false; days.len()];
    for name in names {
        let by_number = name.parse::<usize>().ok().and_then(|number| number.checked_sub(1));
        let by_date = || days.iter().position(|day| name.parse().ok() == Some(*day));
        let at = by_number.or_else(by_date).filter(|at| *at < days.len())?;
        came[at] = true;
    }
    Some(came)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cell_may_name_the_days_on_which_somebody_came() {
        let days = [Date::constant(2026, 5, 16), Date::constant(2026, 5, 23)];
        for (value, came) in [
            ("1, 2", Some([true, true])),
            ("day 1", Some([true, false])),
            ("2", Some([false, true])),
            ("Days 1 and 2", Some([true, true])),
            ("2026-05-23", Some([false, true])),
            ("both days", Some([true, true])),
            ("day 2 of 2", Some([false, true])),
            ("Día 1 de 2", Some([true, false])),
            ("jour 2 sur 2", Some([false, true])),
            ("días 1 y 2", Some([true, true])),
            ("jours 1 et 2", Some([true, true])),
            ("les deux jours", Some([true, true])),
            ("Sitzung 2", Some([false, true])),
            ("day 2 of 3", None),
            ("1", None),
            ("3", None),
            ("yes", None),
            ("", None),
        ] {
            assert_eq!(days_named(value, &days), came.map(Vec::from), "{value}");
        }
    }
}
