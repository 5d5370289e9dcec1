//! What stands beside a name in its cell and is no part of it: "Ann Lee (cancelled)", "1. Ann Lee", "<b>Ann</b>".
//!
//! Common practice of lists, no source. A nickname or a maiden name in brackets is a part of the name.

use crate::languages::{fold, folded_words};
use std::sync::LazyLock;

/// Particles with which a name in brackets may begin: "Ann Lee (von Berg)".
const PARTICLES: [&str; 14] =
    ["von", "van", "de", "da", "di", "du", "del", "della", "la", "le", "al", "bin", "ibn", "den"];

/// What says of somebody that they are out, or not known yet; folded.
static REMARKS: LazyLock<Vec<String>> = LazyLock::new(|| {
    let denying = folded_words(|language| &language.cells.denying);
    denying.chain(folded_words(|language| &language.cells.later)).collect()
});

/// The name without what stands beside it; nothing where it stands alone.
pub(super) fn without(name: &str) -> Option<String> {
    // Nearly all names of a long roster.
    let is_plain = |letter: char| letter.is_alphabetic() || matches!(letter, ' ' | '.' | '-' | '\'' | '’');
    let is_bare =
        name.chars().all(is_plain) && name.starts_with(char::is_alphabetic) && !name.contains(" - ");
    if super::super::name_none::is_none(name) {
        return None;
    }
    if is_bare {
        return behind(name);
    }
    let bare = [tags, numbering, brackets, dashes, signs, addresses, numbers, behind]
        .into_iter()
        .find_map(|of| of(name))?;
    // What is left may have something beside it too.
    Some(without(&bare).unwrap_or(bare))
}

fn tidy(name: &str) -> String {
    name.split_whitespace().collect::<Vec<_>>().join(" ").trim_end_matches([',', ';', ':']).to_owned()
}

/// `<b>Ann</b>`, `Ann Lee <ann@lee.example>`.
fn tags(name: &str) -> Option<String> {
    let from = name.find('<')?;
    let to = from + name[from..].find('>')?;
    Some(tidy(&format!("{}{}", &name[..from], &name[to + 1..])))
}

/// `1. Ann Lee`, `#3 Ann Lee`, `• Ann Lee`.
fn numbering(name: &str) -> Option<String> {
    let bullet = name.trim_start().strip_prefix(['-', '•', '*', '·', '–', '—', '#', '>']);
    let rest = bullet.unwrap_or(name).trim_start();
    let behind = rest.trim_start_matches(|letter: char| letter.is_ascii_digit());
    let has_digits = behind.len() < rest.len();
    let marked = behind.trim_start_matches(['.', ')', ']', ':', '-']);
    let bare = marked.trim_start();
    let is_apart = marked.len() < behind.len() || bare.len() < marked.len();
    let is_numbered = has_digits && is_apart || bullet.is_some();
    (is_numbered && bare.starts_with(char::is_alphabetic)).then(|| tidy(bare))
}

/// `Ann Lee (cancelled)`, `Ann Lee [vegan]`, and not `Ann (Annie) Lee` or `Ann Lee (née Ray)`.
fn brackets(name: &str) -> Option<String> {
    let from = name.find(['(', '['])?;
    let to = from + name[from..].find([')', ']'])?;
    let within = name[from + 1..to].trim();
    let first = fold(within.split_whitespace().next().unwrap_or_default().trim_end_matches('.'));
    let is_born = folded_words(|language| &language.names.born).any(|born| born == first);
    let begins_small = within.chars().next().is_some_and(char::is_lowercase);
    // In a list of small letters so are the names in brackets.
    let has_capitals = name[..from].chars().any(char::is_uppercase);
    let is_name = is_born || PARTICLES.contains(&first.as_str()) || !(begins_small && has_capitals);
    let is_remark = is_remark(within) || !is_name && within.chars().any(char::is_alphabetic);
    is_remark.then(|| tidy(&format!("{} {}", &name[..from], &name[to + 1..])))
}

/// `Ann Lee - no show`, `Ann Lee – paid`, `Ann Lee, cancelled`.
fn dashes(name: &str) -> Option<String> {
    let by_dash = [" - ", " – ", " — ", ": "].into_iter().find_map(|dash| name.split_once(dash));
    if let Some((bare, rest)) = by_dash {
        let is_small = rest.trim().chars().next().is_some_and(char::is_lowercase);
        return (is_small || is_remark(rest)).then(|| tidy(bare));
    }
    let (bare, rest) = name.split_once(',')?;
    is_remark(rest).then(|| tidy(bare))
}

/// A mark of a footnote, and what is left of a list: `Ann Lee*`, `Ann Lee;`.
fn signs(name: &str) -> Option<String> {
    let bare = name.trim_end_matches(['*', '†', '‡', ';', ',', ':', ' ']);
    let bare = if name[bare.len()..].trim().is_empty() { name } else { bare };
    (bare.len() < name.len() && !bare.is_empty()).then(|| tidy(bare))
}

/// `Ann Lee ann@lee.example`.
fn addresses(name: &str) -> Option<String> {
    let is_address = |word: &&str| word.contains('@') && word.contains('.') || word.starts_with("http");
    let words: Vec<&str> = name.split_whitespace().filter(|word| !is_address(word)).collect();
    (!words.is_empty() && words.len() < name.split_whitespace().count()).then(|| tidy(&words.join(" ")))
}

/// `Ann Lee 555-0100`, `Ann Lee (775) 555 0100`, `Ann Lee 0012345`: a telephone or a number of a list behind it.
fn numbers(name: &str) -> Option<String> {
    let is_number = |letter: char| letter.is_ascii_digit() || " ()+-./".contains(letter);
    let bare = name.trim_end_matches(is_number);
    let behind = &name[bare.len()..];
    let digits = behind.chars().filter(char::is_ascii_digit).count();
    let is_apart = behind.starts_with(|letter: char| !letter.is_ascii_digit());
    (digits >= 5 && is_apart && bare.chars().any(char::is_alphabetic)).then(|| tidy(bare))
}

/// `Ann Lee NO SHOW`, `Ann Lee cancelled`.
fn behind(name: &str) -> Option<String> {
    let folded = fold(name);
    let phrase = REMARKS
        .iter()
        .filter(|phrase| folded.strip_suffix(phrase.as_str()).is_some_and(|before| before.ends_with(' ')));
    let phrase = phrase.max_by_key(|phrase| phrase.len())?;
    let count = phrase.split(' ').count();
    let words: Vec<&str> = name.split_whitespace().collect();
    let (before, said) = words.split_at(words.len().checked_sub(count)?);
    let [one] = said else { return Some(tidy(&before.join(" "))) };
    // One word may be a family name: "Ann Baja", but not "Ann Lee baja" or "Ann Lee BAJA".
    let is_small = one.chars().next().is_some_and(char::is_lowercase);
    let is_loud = !one.chars().any(char::is_lowercase)
        && before.iter().any(|word| word.chars().any(char::is_lowercase));
    let is_sure =
        ["cancel", "withdr", "absent", "annul", "anul"].iter().any(|start| fold(one).starts_with(start));
    let has_capitals = before.iter().any(|word| word.starts_with(char::is_uppercase));
    (is_small && has_capitals || is_loud || is_sure).then(|| tidy(&before.join(" ")))
}

fn is_remark(words: &str) -> bool {
    let folded = fold(words.trim());
    REMARKS.iter().any(|phrase| {
        folded.strip_prefix(phrase.as_str()).is_some_and(|rest| !rest.starts_with(char::is_alphanumeric))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_stands_beside_a_name_is_known() {
        for name in [
            "Ann Lee (cancelled)",
            "Ann Lee (No show)",
            "Ann Lee (vegan)",
            "Ann Lee [paid in cash]",
            "Ann Lee NO SHOW",
            "Ann Lee no-show",
            "Ann Lee Cancelled",
            "Ann Lee - cancelled",
            "Ann Lee – paid",
            "Ann Lee, cancelled",
            "Ann Lee ABSENT",
            "Ann Lee (anulado)",
            "Ann Lee no asistió",
            "1. Ann Lee",
            "12) Ann Lee",
            "3 Ann Lee",
            "1.Ann Lee",
            "#4 Ann Lee",
            "• Ann Lee",
            "- Ann Lee",
            "Ann Lee*",
            "<b>Ann Lee</b>",
            "Ann Lee <ann@lee.example>",
            "Ann Lee ann@lee.example",
            "Ann Lee (they/them)",
            "1. Ann Lee (cancelled)",
            "Ann Lee;",
            "Ann Lee ,",
            "Ann Lee 555-0100",
            "Ann Lee (775) 555-0100",
            "Ann Lee +1 775 555 0100",
            "Ann Lee 0012345",
        ] {
            assert_eq!(without(name).as_deref(), Some("Ann Lee"), "{name}");
        }
        for name in [
            "Ann Lee",
            "Ann (Annie) Lee",
            "Ann Lee (Annie)",
            "Ann Lee (née Ray)",
            "Ann Lee (von Berg)",
            "ann (annie) lee",
            "Ann Baja",
            "Ann Fail",
            "ANN BAJA",
            "Lee, Ann",
            "Ann Lee, Jr.",
            "Ann Lee 2nd",
            "D'Andre Lee-Ray",
            "Fenwick \"Buck\" Tarrant",
            "李小龍",
            "Ann Lee (2)",
            "Rider 12",
            "Rider 1024",
            "M. Lee",
            "Number7 Lee",
            "Пётр Лис (Петя)",
        ] {
            assert_eq!(without(name), None, "{name}");
        }
    }
}
