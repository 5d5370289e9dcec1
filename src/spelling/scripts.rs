//! Words that hold letters of two scripts which are never mixed in one: a Cyrillic “а” in a Latin name
//! looks right and is found by no search. Keyboards and copied text leave such letters.

use unicode_script::{Script, UnicodeScript};

/// Scripts whose letters look alike and never stand in one word.
const APART: [Script; 4] = [Script::Latin, Script::Cyrillic, Script::Greek, Script::Armenian];

/// The first word that mixes scripts: the letter that is in the minority, and both scripts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mixed {
    pub letter: char,
    /// As Unicode names it: `Cyrillic`.
    pub of: &'static str,
    pub among: &'static str,
}

/// Finds a word that mixes scripts.
pub fn mixed(words: &str) -> Option<Mixed> {
    if words.is_ascii() {
        return None;
    }
    words.split(|c: char| !c.is_alphabetic()).filter(|word| !word.is_ascii()).find_map(mixed_word)
}

fn mixed_word(word: &str) -> Option<Mixed> {
    let letters: Vec<(char, Script)> =
        word.chars().map(|c| (c, c.script())).filter(|(_, script)| APART.contains(script)).collect();
    let count = |wanted: Script| letters.iter().filter(|(_, script)| *script == wanted).count();
    let (_, first) = *letters.first()?;
    let (_, other) = *letters.iter().find(|(_, script)| *script != first)?;
    let (most, least) = if count(first) >= count(other) { (first, other) } else { (other, first) };
    let (letter, _) = *letters.iter().find(|(_, script)| *script == least)?;
    Some(Mixed { letter, of: least.full_name(), among: most.full_name() })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_letter_of_another_script_is_seen() {
        let found = mixed("Ada M\u{430}ria").unwrap();
        assert_eq!((found.letter, found.of, found.among), ('\u{430}', "Cyrillic", "Latin"));
        assert_eq!(mixed("\u{41c}ария").map(|mixed| mixed.letter), None);
        assert_eq!(mixed("Mария").map(|mixed| mixed.letter), Some('M'));
    }

    #[test]
    fn scripts_side_by_side_are_left() {
        for name in ["Дмитрий (Dima)", "José Núñez", "山田 Taro", "Ελένη-Maria", "אנה Anna", "ʻIolani"]
        {
            assert_eq!(mixed(name), None, "{name}");
        }
    }
}
