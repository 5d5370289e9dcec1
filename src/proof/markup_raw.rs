//! Signs of Markdown that were not understood as such, and would be printed as they stand: a link with a space before
//! its target, a heading without one after its signs, a table whose line of rules is broken.

use super::{Check, Find};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::program::lesson::Inline;
use crate::program::walk::{self, Met};
use crate::statements::PrintContext;
use crate::understand::Passage;
use std::cell::LazyCell;
use std::collections::BTreeSet;
use std::ops::Range;

pub static RULE: Rule = Rule {
    name: "markup-raw",
    level: Level::Error,
    settable: Settable::Yes,
    summary: "Signs of Markdown were not understood and would be printed: a broken link, heading, table or picture.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let content = print.understood.content;
    let code: LazyCell<BTreeSet<(&str, usize)>, _> = LazyCell::new(|| {
        let met = walk::lessons(content).chain(walk::settings(content));
        let starts = met.filter_map(|met| match met {
            Met::Inline(Inline::Code { place, .. }) => Some((&*place.file, place.range.start)),
            _ => None,
        });
        starts.collect()
    });
    let mut findings = Vec::new();
    for passage in print.understood.passages.iter().filter(|passage| !passage.with_picture) {
        let Some((range, what, mend)) = raw(&passage.text) else { continue };
        if is_code(passage, &range, &code) {
            continue;
        }
        findings.push(
            Finding::of(
                &RULE,
                passage.place_of(&range),
                format!("{what} was not understood, and would be printed with its signs."),
            )
            .says(&passage.text[range])
            .mend(mend),
        );
    }
    findings
}

/// Whether signs stand in code, which is printed as it is.
fn is_code(passage: &Passage, range: &Range<usize>, code: &BTreeSet<(&str, usize)>) -> bool {
    let mut runs = passage.runs.iter().filter(|run| run.text.start < range.end && range.start < run.text.end);
    runs.any(|run| code.contains(&(&*passage.place.file, run.source.start)))
}

type Raw = (Range<usize>, &'static str, &'static str);

/// The first signs of a text that nothing understood.
fn raw(text: &str) -> Option<Raw> {
    let others = || table(text).or_else(|| item(text)).or_else(|| emphasis(text));
    link(text).or_else(|| target(text)).or_else(|| heading(text)).or_else(others)
}

/// `[six feet(fact:x)`, `six feet](fact:x)`, `[six feet]{fact:x}`: what only a link to a fact holds.
fn target(text: &str) -> Option<Raw> {
    let lower = text.to_ascii_lowercase();
    for (at, _) in lower.match_indices("fact") {
        let before = text[..at].trim_end();
        let opens = before.ends_with(['(', '{', '[', '<']);
        let named = lower[at + 4..].trim_start().strip_prefix(':');
        let names =
            named.is_some_and(|rest| rest.trim_start().starts_with(|next: char| next.is_alphanumeric()));
        if opens && names {
            let start = before.len() - 1;
            let sentence = text[..start].rfind(['.', '!', '?']).map_or(0, |at| at + 1);
            let start = text[sentence..start].rfind(['[', ']']).map_or(start, |bracket| sentence + bracket);
            let end = text[at..].find([')', '}', ']', '>', ' ']).map_or(text.len(), |end| at + end + 1);
            return Some((
                start..end,
                "A link",
                "Write [words](fact:name): words between square brackets, and the fact between parentheses.",
            ));
        }
    }
    None
}

/// `-an item`, `1.an item`: a mark of a list without its space.
fn item(text: &str) -> Option<Raw> {
    let start = text.len() - text.trim_start().len();
    let rest = &text[start..];
    let digits = rest.len() - rest.trim_start_matches(|letter: char| letter.is_ascii_digit()).len();
    let mark = match digits {
        0 => rest.starts_with(['-', '+']).then_some(1),
        1..=3 => rest[digits..].starts_with(['.', ')']).then_some(digits + 1),
        _ => None,
    }?;
    let word = rest[mark..]
        .split(char::is_whitespace)
        .next()
        .filter(|word| word.starts_with(char::is_alphabetic) && word.chars().any(char::is_lowercase))?;
    let mend = "Put a space between the mark of the list and its words: - words.";
    Some((start..start + mark + word.len(), "An item of a list", mend))
}

/// `[six feet] (fact:x)`, `[six feet](fact: x)`, `![A rail](pictures/a rail.svg)`, `[six feet][x]`.
fn link(text: &str) -> Option<Raw> {
    for (at, _) in text.match_indices(']') {
        let rest = &text[at + 1..];
        let target = rest.trim_start();
        let open = text[..at].rfind('[')?;
        let is_picture = text[..open].ends_with('!');
        let start = open - usize::from(is_picture);
        if let Some(inside) = target.strip_prefix('(') {
            let end = inside.find(')').map_or(inside.len(), |end| end + 1);
            let inside = &inside[..end];
            let lower = inside.trim_start().to_lowercase();
            let leads = lower.starts_with("fact") && lower[4..].trim_start().starts_with(':')
                || ["http:", "https:", "mailto:", "tel:", "pictures/"]
                    .iter()
                    .any(|kind| lower.starts_with(kind))
                || lower.contains(".md");
            if leads || is_picture || rest.starts_with('(') {
                let end = at + 1 + (rest.len() - target.len()) + 1 + end;
                return Some(match is_picture {
                    true => (
                        start..end,
                        "A picture",
                        "Write ![words](pictures/name.svg), without a space before the parenthesis; a path that holds spaces goes between < and >.",
                    ),
                    false if lower.contains('#') && !lower.starts_with("fact") => (
                        start..end,
                        "A link",
                        "Write the section in small letters, with hyphens for the spaces: [words](water.md#how-much-they-drink).",
                    ),
                    false => (
                        start..end,
                        "A link",
                        "Write [words](fact:name), with no space before the parenthesis, none after “fact:”, and in small letters.",
                    ),
                });
            }
        }
        if rest.starts_with('[') && rest.contains(']') {
            let end = at + 1 + rest.find(']')? + 1;
            return Some((
                start..end,
                "A link",
                "Write the target itself in parentheses: [words](fact:name).",
            ));
        }
    }
    None
}

/// `##Heading`
fn heading(text: &str) -> Option<Raw> {
    for (at, _) in text.match_indices('#') {
        let free = text[..at].chars().next_back().is_none_or(char::is_whitespace);
        let rest = &text[at..];
        let signs = rest.len() - rest.trim_start_matches('#').len();
        let word = rest[signs..].chars().next().is_some_and(char::is_alphabetic);
        // more than six are no heading, even with their space
        let too_many = signs > 6 && at == 0 && rest[signs..].trim_start().starts_with(char::is_alphanumeric);
        if free && (word && (signs > 1 && signs <= 6 || at == 0) || too_many) {
            let end = rest.find(char::is_whitespace).unwrap_or(rest.len());
            return Some((
                at..at + end,
                "A heading",
                match too_many {
                    true => "Six signs are the most that a heading has: ## Heading.",
                    false => "Put a space between the signs and the words: ## Heading.",
                },
            ));
        }
    }
    None
}

/// A row of bars in a paragraph.
fn table(text: &str) -> Option<Raw> {
    let bars = text.matches('|').count();
    let ruled = text.split('|').any(|cell| {
        let cell = cell.trim();
        cell.len() >= 2 && cell.chars().all(|letter| matches!(letter, '-' | ':' | ' ' | '–' | '—'))
    });
    let starts = text.trim_start().starts_with('|');
    let is_table = bars >= 2 && (ruled || starts && text.trim_end().ends_with('|') && bars >= 3);
    let mend = "Give its second line as many cells of dashes as its first line has: | --- | --- |.";
    is_table.then_some((0..text.len(), "A table", mend))
}

/// `**so`, `~~so`: signs that have no partner.
fn emphasis(text: &str) -> Option<Raw> {
    doubled(text).or_else(|| single(text))
}

/// `*so`: a sign before a word that has no partner behind one.
fn single(text: &str) -> Option<Raw> {
    ['*', '_'].into_iter().find_map(|sign| {
        let places: Vec<usize> = text.match_indices(sign).map(|(at, _)| at).collect();
        let [at] = places[..] else { return None };
        let before = text[..at].chars().next_back();
        let opens = before.is_none_or(|letter| letter.is_whitespace() || "([“\"".contains(letter));
        (opens && text[at + 1..].starts_with(char::is_alphabetic)).then_some((
            at..at + 1,
            "An emphasis",
            "Close it with the same sign behind its last word: *words*.",
        ))
    })
}

fn doubled(text: &str) -> Option<Raw> {
    let at = ["**", "~~", "__"].iter().filter_map(|sign| text.find(sign)).min()?;
    let sign = &text[at..at + 2];
    let all = text[at..].chars().take_while(|letter| sign.starts_with(*letter)).count();
    let beside_word = text[at + all..].chars().next().is_some_and(char::is_alphanumeric)
        || text[..at].chars().next_back().is_some_and(char::is_alphanumeric);
    // a blank to be filled in is a row of them
    (all == 2 && beside_word).then(|| {
        (at..at + 2, "An emphasis", "Close it with the same signs, without spaces inside of them: **words**.")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_that_nothing_understood_are_seen() {
        for (text, what) in [
            ("Tie with [at most ten feet] (fact:lead-length) of rope.", "A link"),
            ("Tie with [at most ten feet](fact: lead-length) of rope.", "A link"),
            ("Tie with [at most ten feet](Fact : lead-length).", "A link"),
            ("Tie with [at most ten feet][lead-length].", "A link"),
            ("See ![The rail](pictures/a rail.svg) here.", "A picture"),
            ("##On the trail", "A heading"),
            ("Some text. ##On the trail", "A heading"),
            ("| Load | Weight | |--|-- | Pack | 50 lb |", "A table"),
            ("| Load | Weight |", "A table"),
            ("This is **important and goes on.", "An emphasis"),
            ("Tie with [at most ten feet(fact:lead-length) of rope.", "A link"),
            ("Tie with at most ten feet](fact:lead-length) of rope.", "A link"),
            ("Tie with [at most ten feet]{fact:lead-length} of rope.", "A link"),
            ("Tie with [at most ten feet]<fact: lead-length> of rope.", "A link"),
            ("This is *important and goes on.", "An emphasis"),
            ("_Never tie to a rail.", "An emphasis"),
            ("-no item", "An item of a list"),
            ("3.third item", "An item of a list"),
            ("####### Too deep", "A heading"),
        ] {
            assert_eq!(raw(text).map(|(_, what, _)| what), Some(what), "{text}");
        }
    }

    #[test]
    fn what_only_looks_like_signs_is_left_alone() {
        for text in [
            "See #5 and no. 3.",
            "Either|or is a choice.",
            "He said [sic] (so they say).",
            "Name: ____________ Date: ______",
            "A star * here and a C# there.",
            "A rope [of six feet] holds.",
            "2 ** 3",
            "2*3 and x*y",
            "-10 °F is cold.",
            "In fact: it holds (in fact, it does).",
            "1.5 ft of rope",
            "6 ft* of rope",
            "snake_case is a word.",
        ] {
            assert_eq!(raw(text), None, "{text}");
        }
    }
}
