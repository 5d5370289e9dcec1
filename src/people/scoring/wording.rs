//! Words as answers have them: compared without capitals, accents, plurals, articles and small slips.
//!
//! What is folded away never turns a meaning round: a word of negation is kept, and `un-` is no slip.

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

/// A word of an answer or of an accepted wording.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Word {
    /// Lower case, without accents.
    pub plain: String,
    /// The same in the singular.
    stem: String,
}

/// How well two words are the same, the best first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Likeness {
    Same,
    /// Singular and plural.
    Number,
    /// A small slip of spelling.
    Slip,
}

/// Words that join or point, and say nothing of their own.
const BARE: [&str; 5] = ["a", "an", "the", "and", "or"];

/// The same of Spanish, without accents: for answers on sheets of a Spanish edition.
const BARE_SPANISH: [&str; 11] = ["el", "la", "los", "las", "un", "una", "unos", "unas", "y", "o", "u"];

/// Words that people put around an answer without changing it.
const HARMLESS: [&str; 42] = [
    "i", "think", "guess", "believe", "it", "its", "is", "are", "was", "be", "they", "them", "their", "he",
    "she", "his", "her", "you", "your", "my", "we", "of", "to", "in", "on", "at", "for", "with", "from",
    "by", "that", "this", "very", "really", "would", "should", "must", "can", "may", "has", "have", "having",
];

const HARMLESS_SPANISH: [&str; 34] = [
    "yo", "creo", "pienso", "que", "es", "son", "esta", "estan", "ser", "su", "sus", "mi", "usted", "se",
    "lo", "le", "de", "del", "al", "en", "con", "por", "para", "desde", "este", "esto", "muy", "debe",
    "deben", "tiene", "tienen", "hay", "seria", "puede",
];

/// Words that turn round what they stand with.
const TURNING: [&str; 14] = [
    "no", "not", "never", "without", "none", "nothing", "neither", "nor", "cannot", "less", "more", "except",
    "but", "than",
];

const TURNING_SPANISH: [&str; 13] = [
    "sin", "nunca", "jamas", "ni", "nada", "ninguno", "ninguna", "tampoco", "menos", "mas", "excepto",
    "salvo", "pero",
];

/// The words of a text.
pub(super) fn words(text: &str) -> Vec<Word> {
    let folded: String = text
        .nfkd()
        .filter(|letter| !is_combining_mark(*letter) && !matches!(letter, '\'' | '’' | '‘' | 'ʼ'))
        .flat_map(char::to_lowercase)
        .collect();
    let parts = folded.split(|letter: char| !letter.is_alphanumeric()).filter(|part| !part.is_empty());
    parts.map(|part| Word { stem: singular(part), plain: part.to_owned() }).collect()
}

/// A text in the form in which two are compared as a whole.
pub(super) fn folded(text: &str) -> String {
    words(text).iter().map(|word| word.plain.as_str()).collect::<Vec<_>>().join(" ")
}

/// The words that say something; all of them where none would be left.
pub(super) fn telling(words: &[Word]) -> Vec<&Word> {
    let telling: Vec<&Word> = words.iter().filter(|word| !word.is_bare()).collect();
    if telling.is_empty() { words.iter().collect() } else { telling }
}

impl Word {
    fn is_bare(&self) -> bool {
        let plain = self.plain.as_str();
        BARE.contains(&plain) || BARE_SPANISH.contains(&plain)
    }

    pub fn is_harmless(&self) -> bool {
        let plain = self.plain.as_str();
        self.is_bare() || HARMLESS.contains(&plain) || HARMLESS_SPANISH.contains(&plain)
    }

    /// Whether it turns round what stands with it: `not`, and `isnt` with its apostrophe gone.
    pub fn turns(&self) -> bool {
        let plain = self.plain.as_str();
        let is_short_form = plain.ends_with("nt")
            && ["do", "does", "did", "is", "are", "was", "were", "wo", "ca", "must", "should", "has", "have"]
                .contains(&plain.trim_end_matches("nt"));
        TURNING.contains(&plain) || TURNING_SPANISH.contains(&plain) || is_short_form
    }

    pub fn likeness(&self, other: &Word) -> Option<Likeness> {
        if self.plain == other.plain {
            return Some(Likeness::Same);
        }
        if self.stem == other.stem {
            return Some(Likeness::Number);
        }
        is_slip(&self.stem, &other.stem).then_some(Likeness::Slip)
    }
}

/// Whether one word is a misspelling of the other: one letter of four or more, two of eight or more.
pub(super) fn is_slip(one: &str, other: &str) -> bool {
    let has_digit = |word: &str| word.chars().any(|letter| letter.is_ascii_digit());
    if has_digit(one) || has_digit(other) || is_turned(one, other) || is_turned(other, one) {
        return false;
    }
    let letters = one.chars().count().min(other.chars().count());
    let most = match letters {
        0..=3 => 0,
        4..=7 => 1,
        _ => 2,
    };
    strsim::osa_distance(one, other) <= most
}

/// `unsteady` for `steady`.
fn is_turned(one: &str, other: &str) -> bool {
    let before = one.strip_suffix(other).unwrap_or("");
    ["un", "in", "im", "ir", "il", "non", "dis", "mis", "de", "re", "anti"].contains(&before)
}

/// The singular of an English word, or something that its singular has too.
fn singular(word: &str) -> String {
    const ODD: [(&str, &str); 10] = [
        ("feet", "foot"),
        ("teeth", "tooth"),
        ("geese", "goose"),
        ("men", "man"),
        ("women", "woman"),
        ("children", "child"),
        ("people", "person"),
        ("mice", "mouse"),
        ("lice", "louse"),
        ("oxen", "ox"),
    ];
    if let Some((_, one)) = ODD.iter().find(|(many, _)| *many == word) {
        return (*one).to_owned();
    }
    let letters = word.chars().count();
    let stem = |end: &str, instead: &str| word.strip_suffix(end).map(|stem| format!("{stem}{instead}"));
    let hissing = ["ses", "xes", "zes", "ches", "shes"].iter().any(|end| word.ends_with(end));
    let is_plural =
        letters > 3 && word.ends_with('s') && !["ss", "us", "is"].iter().any(|end| word.ends_with(end));
    let singular = match word {
        _ if !is_plural => None,
        _ if letters > 4 && word.ends_with("ies") => stem("ies", "y"),
        _ if letters > 4 && word.ends_with("ves") => stem("ves", "f"),
        _ if hissing => stem("es", ""),
        _ => stem("s", ""),
    };
    let singular = singular.unwrap_or_else(|| word.to_owned());
    // "house" and "houses", "knife" and "knives" meet without the last e.
    if singular.chars().count() > 4 {
        singular.strip_suffix('e').map_or(singular.clone(), str::to_owned)
    } else {
        singular
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn like(one: &str, other: &str) -> Option<Likeness> {
        words(one)[0].likeness(&words(other)[0])
    }

    #[test]
    fn singular_and_plural_meet() {
        for (one, many) in [
            ("rope", "ropes"),
            ("eye", "eyes"),
            ("box", "boxes"),
            ("branch", "branches"),
            ("berry", "berries"),
            ("hoof", "hooves"),
            ("knife", "knives"),
            ("house", "houses"),
            ("horse", "horses"),
            ("foot", "feet"),
            ("gum", "gums"),
        ] {
            assert_eq!(like(one, many), Some(Likeness::Number), "{one}, {many}");
        }
        assert_eq!(like("gas", "ga"), None);
    }

    #[test]
    fn small_slips_are_seen_through_and_opposites_are_not() {
        for (right, slip) in [
            ("breathing", "breathign"),
            ("stumbling", "stumbeling"),
            ("halter", "haltar"),
            ("Señal", "senal"),
        ] {
            assert!(like(right, slip).is_some(), "{right}, {slip}");
        }
        for (one, other) in [
            ("steady", "unsteady"),
            ("dry", "dray"),
            ("hot", "hat"),
            ("6", "8"),
            ("halter", "helmet"),
            ("safe", "unsafe"),
        ] {
            assert_eq!(like(one, other), None, "{one}, {other}");
        }
    }

    #[test]
    fn short_forms_of_not_turn_a_meaning() {
        for word in ["not", "don't", "isn’t", "can't", "never"] {
            assert!(words(word)[0].turns(), "{word}");
        }
        assert!(!words("plant")[0].turns());
    }
}
