//! Nouns that are counted: which words can be one, and their singular and plural.

use std::collections::HashSet;
use std::sync::LazyLock;

const IRREGULAR: &[(&str, &str)] = &[
    ("people", "person"),
    ("children", "child"),
    ("men", "man"),
    ("women", "woman"),
    ("feet", "foot"),
    ("geese", "goose"),
    ("mice", "mouse"),
    ("oxen", "ox"),
    ("calves", "calf"),
    ("hooves", "hoof"),
    ("wolves", "wolf"),
    ("knives", "knife"),
    ("loaves", "loaf"),
    ("halves", "half"),
    ("teeth", "tooth"),
    ("series", "series"),
    ("species", "species"),
];

/// Words that are the same for one and for many.
const UNCHANGED: &[&str] =
    &["sheep", "deer", "elk", "moose", "head", "cattle", "fish", "livestock", "stock", "bison"];

/// Words that end like a plural and are none.
const NO_PLURAL: &[&str] = &[
    "is",
    "was",
    "has",
    "this",
    "its",
    "his",
    "does",
    "always",
    "yes",
    "less",
    "plus",
    "as",
    "us",
    "across",
    "thus",
    "versus",
    "perhaps",
    "sometimes",
    "besides",
    "towards",
    "afterwards",
    "unless",
    "whereas",
    "various",
    "previous",
    "serious",
    "continuous",
    "consecutive",
    "or",
    "goes",
    "needs",
    "makes",
    "gives",
    "takes",
    "leaves",
    "comes",
    "means",
    "equals",
    "seems",
    "says",
    "gets",
    "holds",
    "keeps",
    "lets",
    "puts",
    "makes",
    "stands",
    "runs",
];

/// Words that stand between a number and its noun or end a phrase, and are no noun themselves.
const NO_NOUN: &[&str] = &[
    "a", "an", "the", "and", "or", "of", "in", "on", "at", "to", "by", "for", "from", "with", "than", "that",
    "which", "who", "is", "are", "was", "were", "be", "been", "has", "have", "had", "do", "does", "did",
    "will", "would", "may", "might", "must", "can", "could", "should", "if", "when", "as", "but", "not",
    "no", "it", "its", "they", "them", "their", "he", "she", "his", "her", "you", "your", "we", "our", "i",
    "my", "me", "us", "this", "these", "those", "there", "then", "so", "up", "out", "off", "per", "each",
    "every", "more", "less", "most", "least", "only", "about", "around", "over", "under", "between",
    "within", "after", "before", "until", "since", "during", "through", "into", "onto", "along", "against",
    "while", "because", "percent", "hundred", "thousand", "million", "point", "and/or", "vs", "versus", "to",
    "via", "plus", "minus", "times", "later", "ago", "old", "away", "apart", "long", "wide", "high", "deep",
    "tall", "thick", "such", "both", "either", "all", "any", "some", "other", "am", "pm", "where", "how",
    "what", "why", "apiece", "too", "also", "just", "even", "ever", "never", "here", "now", "again",
];

/// All words that are no noun, to look them up at once.
static NEVER: LazyLock<HashSet<&str>> = LazyLock::new(|| NO_NOUN.iter().chain(NO_PLURAL).copied().collect());

pub(super) fn singular(word: &str) -> String {
    let word = word.to_lowercase();
    if let Some((_, one)) = IRREGULAR.iter().find(|(many, _)| *many == word) {
        return (*one).to_owned();
    }
    if !is_plural(&word) || UNCHANGED.contains(&word.as_str()) {
        return word;
    }
    if let Some(stem) = word.strip_suffix("ies").filter(|stem| stem.len() > 2) {
        return format!("{stem}y");
    }
    for ending in ["sses", "xes", "zes", "ches", "shes"] {
        if word.ends_with(ending) {
            return word[..word.len() - 2].to_owned();
        }
    }
    word[..word.len() - 1].to_owned()
}

pub(super) fn plural(word: &str) -> String {
    if let Some((many, _)) = IRREGULAR.iter().find(|(_, one)| *one == word) {
        return (*many).to_owned();
    }
    if UNCHANGED.contains(&word) || word.is_empty() {
        return word.to_owned();
    }
    if let Some(stem) = word.strip_suffix('y').filter(|stem| !stem.ends_with(['a', 'e', 'i', 'o', 'u'])) {
        return format!("{stem}ies");
    }
    if ["s", "x", "z", "ch", "sh"].iter().any(|ending| word.ends_with(ending)) {
        return format!("{word}es");
    }
    format!("{word}s")
}

/// Whether a word is the same for one and for many.
pub(super) fn is_unchanged(word: &str) -> bool {
    UNCHANGED.contains(&word)
}

/// Whether a word in lower case looks like many of something.
pub(super) fn is_plural(word: &str) -> bool {
    if IRREGULAR.iter().any(|(many, _)| *many == word) || UNCHANGED.contains(&word) {
        return true;
    }
    word.len() > 3
        && word.ends_with('s')
        && !word.ends_with("ss")
        && !word.ends_with("us")
        && !word.ends_with("is")
        && !NO_PLURAL.contains(&word)
}

/// Whether a word in lower case may stand in a noun phrase after a number (`wild`, `horses`).
pub(super) fn may_stand(word: &str) -> bool {
    word.len() > 1 && !NEVER.contains(word)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn singular_and_plural_go_back_and_forth() {
        for (one, many) in [
            ("camp", "camps"),
            ("horse", "horses"),
            ("person", "people"),
            ("box", "boxes"),
            ("party", "parties"),
            ("elk", "elk"),
            ("ranch", "ranches"),
        ] {
            assert_eq!(singular(many), one);
            assert_eq!(plural(one), many);
        }
    }
}
