//! Names of files made from the program's own words: safe on every file system, never a path.
//!
//! What comes out holds lower-case ASCII letters, digits and single hyphens only, so no dot, slash,
//! colon or space of a name ever reaches a path.

use unicode_normalization::UnicodeNormalization;

/// Longer names are cut: with folders and endings a path stays below what old systems take.
const LONGEST: usize = 48;

/// Names that Windows keeps for devices, with any ending.
const DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];

/// A file's name, without its ending, for an id of the program (an event, a kit, a lesson).
pub fn of_id(id: &str) -> String {
    let slug = slug(id);
    if slug.is_empty() {
        return "unnamed".into();
    }
    if is_device(&slug) { format!("{slug}-") } else { slug }
}

/// A file's name, without its ending, for a person: the letters of the name that ASCII has, then the
/// certificate number in lower case, which keeps two people of one name apart and stands alone
/// where the name has no such letter.
pub fn of_person(name: &str, number: &crate::credential::number::Number) -> String {
    let number = number.plain().to_ascii_lowercase();
    match slug(name) {
        slug if slug.is_empty() => number,
        slug => format!("{slug}-{number}"),
    }
}

fn slug(words: &str) -> String {
    let mut slug = String::new();
    for letter in words.nfkd().flat_map(char::to_lowercase) {
        if slug.len() >= LONGEST {
            break;
        }
        match letter {
            'a'..='z' | '0'..='9' => slug.push(letter),
            // Latin letters that do not come apart into a letter and its accent.
            'ß' => slug.push_str("ss"),
            'æ' => slug.push_str("ae"),
            'œ' => slug.push_str("oe"),
            'ø' => slug.push('o'),
            'ł' => slug.push('l'),
            'đ' | 'ð' => slug.push('d'),
            'þ' => slug.push_str("th"),
            'ħ' => slug.push('h'),
            'ı' => slug.push('i'),
            // Accents that came off their letters, and apostrophes inside a name.
            '\u{300}'..='\u{36f}' | '\'' | '’' | 'ʻ' | 'ʼ' | '‘' => {}
            _ if !slug.is_empty() && !slug.ends_with('-') => slug.push('-'),
            _ => {}
        }
    }
    slug.trim_end_matches('-').to_owned()
}

fn is_device(slug: &str) -> bool {
    let port = slug.strip_prefix("com").or_else(|| slug.strip_prefix("lpt"));
    DEVICES.contains(&slug)
        || port.is_some_and(|rest| rest.len() == 1 && rest.bytes().all(|byte| byte.is_ascii_digit()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::credential::number::Number;

    fn person(name: &str) -> String {
        of_person(name, &Number::from_parts(&["any"], 0))
    }

    #[test]
    fn names_lose_accents_and_keep_their_letters() {
        assert!(person("Elena Márquez").starts_with("elena-marquez-"));
        assert!(person("Søren O’Malley-Łukasz").starts_with("soren-omalley-lukasz-"));
        assert!(person("E\u{301}lise").starts_with("elise-"));
    }

    #[test]
    fn a_name_in_another_script_is_filed_by_its_number() {
        let number = Number::from_parts(&["any"], 0);
        let by_number = number.plain().to_ascii_lowercase();
        assert_eq!(of_person("अनन्या जोशी", &number), by_number);
        assert_eq!(of_person("ليلى حداد", &number), by_number);
        assert_eq!(of_person("…", &number), by_number);
    }

    #[test]
    fn no_name_leaves_its_folder() {
        let names = [
            "../../etc/passwd",
            "..",
            ".",
            "/root",
            "C:\\con",
            "a/b\\c",
            "#panic(\"x\")",
            "<b>x</b>",
            "*stars*",
            "$x$",
            "a\0b",
            "line\nbreak",
            "\u{202e}evil",
            "nul.txt",
            "name. ",
        ];
        for name in names.into_iter().chain([&*"long ".repeat(200)]) {
            for file in [person(name), of_id(name)] {
                assert!(!file.is_empty() && file.len() < 70, "{name:?} gave {file:?}");
                let safe = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-';
                assert!(file.bytes().all(safe), "{name:?} gave {file:?}");
                assert!(!is_device(&file), "{name:?} gave {file:?}");
            }
        }
    }

    #[test]
    fn device_names_are_not_used() {
        assert_eq!(of_id("con"), "con-");
        assert_eq!(of_id("com7"), "com7-");
        assert_eq!(of_id("north-camp"), "north-camp");
    }
}
