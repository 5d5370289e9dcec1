//! Letters as machines that sort mail read them best.

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

/// Capitals, without the accents of Latin and Greek letters, without punctuation but the hyphen, the
/// slash and the pound sign (USPS Publication 28, sections 212 and 222). White space is made
/// single. Letters of other scripts stay whole: their marks are part of the letter.
pub(super) fn machine(line: &str) -> String {
    if line.bytes().all(|byte| byte.is_ascii_alphanumeric()) {
        return line.to_ascii_uppercase();
    }
    let mut plain = String::new();
    let mut drops_marks = false;
    for letter in line.nfd() {
        if is_combining_mark(letter) {
            if !drops_marks {
                plain.push(letter);
            }
            continue;
        }
        drops_marks = is_latin_or_greek(letter);
        match letter {
            'ø' | 'Ø' => plain.push('O'),
            'ł' | 'Ł' => plain.push('L'),
            'đ' | 'Đ' | 'ð' | 'Ð' => plain.push('D'),
            'ħ' | 'Ħ' => plain.push('H'),
            'æ' | 'Æ' => plain.push_str("AE"),
            'œ' | 'Œ' => plain.push_str("OE"),
            'þ' | 'Þ' => plain.push_str("TH"),
            '-' | '\u{2010}'..='\u{2014}' => plain.push('-'),
            '/' | '#' | '&' => plain.push(letter),
            '\u{200c}' | '\u{200d}' => plain.push(letter),
            ',' | ';' => plain.push(' '),
            _ if letter.is_alphanumeric() || letter.is_whitespace() => plain.extend(letter.to_uppercase()),
            _ => {}
        }
    }
    let plain: String = plain.nfc().collect();
    super::tidy(&plain)
}

fn is_latin_or_greek(letter: char) -> bool {
    letter.is_ascii_alphabetic()
        || matches!(letter, '\u{c0}'..='\u{24f}' | '\u{370}'..='\u{3ff}' | '\u{1e00}'..='\u{1fff}')
}

#[cfg(test)]
mod tests {
    use super::machine;

    #[test]
    fn machines_read_capitals_without_accents_and_punctuation() {
        assert_eq!(machine("Zoë Ångström-Peña, Jr."), "ZOE ANGSTROM-PENA JR");
        assert_eq!(machine("Guðrún Þorkelsdóttir"), "GUDRUN THORKELSDOTTIR");
        assert_eq!(machine("Łucja Großmann"), "LUCJA GROSSMANN");
        assert_eq!(machine(" Dry  Fork, UT 84000-1234"), "DRY FORK UT 84000-1234");
        assert_eq!(machine("c/o Nuala O’Dea # 7"), "C/O NUALA ODEA # 7");
    }

    #[test]
    fn marks_of_other_scripts_belong_to_the_letter() {
        assert_eq!(machine("देविका राजपुरोहित"), "देविका राजपुरोहित");
        assert_eq!(machine("Тимофей"), "ТИМОФЕЙ");
        assert_eq!(machine("Θεοδώρα"), "ΘΕΟΔΩΡΑ");
    }
}
