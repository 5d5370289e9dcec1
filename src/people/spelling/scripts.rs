//! Words that hold letters of two scripts which are never mixed in one: a Cyrillic “а” in a Latin name
//! looks right and is found by no search. Keyboards and copied text leave such letters.

/// Pairs of scripts whose letters look alike and never stand in one word.
const APART: [&str; 4] = ["LATIN", "CYRILLIC", "GREEK", "ARMENIAN"];

/// The first word that mixes scripts: the letter that is in the minority, and both scripts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mixed {
    pub letter: char,
    /// As Unicode names it, with a capital: `Cyrillic`.
    pub of: String,
    pub among: String,
}

/// Finds a word that mixes scripts.
pub fn mixed(words: &str) -> Option<Mixed> {
    if words.is_ascii() {
        return None;
    }
    words.split(|c: char| !c.is_alphabetic()).filter(|word| !word.is_ascii()).find_map(mixed_word)
}

fn mixed_word(word: &str) -> Option<Mixed> {
    let letters: Vec<(char, &str)> = word.chars().filter_map(|c| Some((c, script(c)?))).collect();
    let count = |wanted: &str| letters.iter().filter(|(_, script)| *script == wanted).count();
    let (_, first) = *letters.first()?;
    let (_, other) = *letters.iter().find(|(_, script)| *script != first)?;
    let (most, least) = if count(first) >= count(other) { (first, other) } else { (other, first) };
    let (letter, _) = *letters.iter().find(|(_, script)| *script == least)?;
    Some(Mixed { letter, of: titled(least), among: titled(most) })
}

fn script(c: char) -> Option<&'static str> {
    if c.is_ascii() {
        return c.is_alphabetic().then_some("LATIN");
    }
    let name = unicode_names2::name(c)?.to_string();
    APART.into_iter().find(|script| name.split(' ').next() == Some(script))
}

fn titled(script: &str) -> String {
    format!("{}{}", &script[..1], script[1..].to_lowercase())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_letter_of_another_script_is_seen() {
        let found = mixed("Ada M\u{430}ria").unwrap();
        assert_eq!((found.letter, found.of.as_str(), found.among.as_str()), ('\u{430}', "Cyrillic", "Latin"));
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
