//! Families: which openly licensed fonts have the letters of a script, for a name that no font at hand
//! prints.
//!
//! The Noto families (SIL Open Font License) are drawn script by script and named after it, so that a
//! script's name in Unicode gives the family's but for a few.

use crate::spelling::marks;
use unicode_script::{Script, UnicodeScript};

/// The family that usually prints a letter; `None` for what is no letter of any script.
pub(super) fn usual(c: char) -> Option<String> {
    let script = match c.script() {
        Script::Unknown => return None,
        Script::Common | Script::Inherited if c >= '\u{1f000}' => "Emoji",
        Script::Common | Script::Inherited => "Sans Symbols 2",
        Script::Latin | Script::Greek | Script::Cyrillic => "Sans",
        Script::Han | Script::Hiragana | Script::Katakana | Script::Hangul | Script::Bopomofo => "Sans CJK",
        Script::Nushu => "Traditional Nushu",
        Script::Tibetan => "Serif Tibetan",
        Script::Tangut => "Serif Tangut",
        script => return Some(format!("Noto Sans {}", script.full_name().replace('_', " "))),
    };
    Some(format!("Noto {script}"))
}

/// How to get letters printed that no font at hand has.
pub(super) fn advice(letters: &[char]) -> String {
    let mut families: Vec<String> = Vec::new();
    let mut nowhere = Vec::new();
    for &c in letters {
        match usual(c) {
            Some(family) if !families.contains(&family) => families.push(family),
            Some(_) => {}
            None => nowhere.push(marks::told(c)),
        }
    }
    let mut advice = Vec::new();
    if !families.is_empty() {
        let (which, have) = (families.join(" and "), if families.len() == 1 { "has" } else { "have" });
        advice.push(format!(
            "{which} (SIL Open Font License) {have} the letters of this script: put the file into the theme's type folder, or ask how else the name is written."
        ));
    }
    if !nowhere.is_empty() {
        let is = if nowhere.len() == 1 { "is no letter" } else { "are no letters" };
        advice.push(format!("{} {is} of any script: ask how the name is written.", nowhere.join(" and ")));
    }
    advice.join(" ")
}

#[cfg(test)]
mod tests {
    use super::usual;

    #[test]
    fn a_script_gives_its_family() {
        for (letter, family) in [
            ('ሀ', "Noto Sans Ethiopic"),
            ('ᐊ', "Noto Sans Canadian Aboriginal"),
            ('Ꮳ', "Noto Sans Cherokee"),
            ('ꙮ', "Noto Sans"),
            ('山', "Noto Sans CJK"),
            ('🐎', "Noto Emoji"),
            ('ߊ', "Noto Sans Nko"),
        ] {
            assert_eq!(usual(letter).as_deref(), Some(family));
        }
        assert_eq!(usual('\u{378}'), None);
    }
}
