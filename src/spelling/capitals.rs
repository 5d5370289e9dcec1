//! Names that are written all in capitals, or with none, as some forms leave them.

/// In which way a name is written otherwise than a certificate would have it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Odd {
    AllCapitals,
    NoCapital,
}

/// Words that stay small inside a name. A name that starts with one has it with a capital.
const PARTICLES: [&str; 30] = [
    "af", "al", "bin", "bint", "d", "da", "das", "de", "del", "della", "den", "der", "di", "do", "dos", "du",
    "e", "el", "ibn", "la", "le", "ten", "ter", "van", "vom", "von", "y", "zu", "zum", "zur",
];

/// What stays in capitals.
const NUMERALS: [&str; 7] = ["II", "III", "IV", "VI", "VII", "VIII", "IX"];

/// Fewer letters than this may be initials, “AJ”.
const FEWEST: usize = 3;

/// Whether a name has only capitals, or only small letters. Initials do not count, nor do letters of
/// scripts that have no capitals.
pub fn odd(name: &str) -> Option<Odd> {
    let letters: Vec<char> = name.chars().collect();
    let (mut capitals, mut small) = (0, 0);
    for (at, &c) in letters.iter().enumerate().filter(|(_, c)| has_case(**c)) {
        if letters.get(at + 1) == Some(&'.') && c.is_uppercase() {
            continue;
        }
        if c.is_lowercase() {
            small += 1;
        } else {
            capitals += 1;
        }
    }
    match (capitals, small) {
        (FEWEST.., 0) => Some(Odd::AllCapitals),
        (0, FEWEST..) if !name.contains(char::is_uppercase) => Some(Odd::NoCapital),
        _ => None,
    }
}

/// The name as most people would write it: a guess to be asked about, never to be written unasked.
pub fn usual(name: &str) -> String {
    let mut words: Vec<String> = Vec::new();
    for word in name.split(' ') {
        let small = word.to_lowercase();
        let is_first = words.is_empty();
        words.push(match word {
            _ if !is_first && PARTICLES.contains(&small.as_str()) => small,
            _ if !is_first && NUMERALS.contains(&word.to_uppercase().as_str()) => word.to_uppercase(),
            _ => with_capitals(&small),
        });
    }
    words.join(" ")
}

/// A capital at the start of a word, after a hyphen or a dot, after “Mc”, and after a single letter with
/// an apostrophe: Peña-Ortiz, J.R., McCall, O’Dowd, D'Amico.
fn with_capitals(small: &str) -> String {
    let letters: Vec<char> = small.chars().collect();
    let mut word = String::new();
    for (at, &c) in letters.iter().enumerate() {
        let before = |back: usize| at.checked_sub(back).map(|at| letters[at]);
        let starts = |at: Option<usize>| at.is_some_and(|at| at == 0 || !letters[at - 1].is_alphabetic());
        let capital = match before(1) {
            None => true,
            Some('-' | '‐' | '.' | '(' | '"' | '“') => true,
            Some('\'' | '’') => starts(at.checked_sub(2)),
            Some('c') => before(2) == Some('m') && starts(at.checked_sub(2)) && letters.len() > at + 2,
            _ => false,
        };
        if capital { word.extend(c.to_uppercase()) } else { word.push(c) }
    }
    word
}

/// Latin, Greek, Cyrillic and Armenian letters; of the other scripts with two cases none begins a name
/// with a capital as a rule (Georgian does not).
fn has_case(c: char) -> bool {
    (c.is_uppercase() || c.is_lowercase()) && matches!(c, 'A'..='\u{58f}' | '\u{1e00}'..='\u{1fff}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn capitals_and_none_are_seen() {
        for name in ["JON ORTEGA", "ÉVA", "ЕЛЕНА", "J. ORTEGA", "O’DOWD", "JO ANN"] {
            assert_eq!(odd(name), Some(Odd::AllCapitals), "{name}");
        }
        for name in ["jon ortega", "élise", "ana-maría"] {
            assert_eq!(odd(name), Some(Odd::NoCapital), "{name}");
        }
        for name in ["Jon Ortega", "AJ", "TJ", "J.R.", "van Dyk Rob", "ნინო", "अनीता", "山田 太郎", "Al", "x"]
        {
            assert_eq!(odd(name), None, "{name}");
        }
    }

    #[test]
    fn the_usual_way_is_offered() {
        for (name, usual_way) in [
            ("JON ORTEGA", "Jon Ortega"),
            ("MARISOL PEÑA-ORTIZ", "Marisol Peña-Ortiz"),
            ("CIARÁN O’DOWD", "Ciarán O’Dowd"),
            ("TERRY D'AMICO", "Terry D'Amico"),
            ("ANNA VAN DER BERG", "Anna van der Berg"),
            ("van der berg", "Van der Berg"),
            ("COLL MCCALL III", "Coll McCall III"),
            ("j.r. ortega", "J.R. Ortega"),
            ("ΓΙΏΡΓΟΣ", "Γιώργος"),
            ("mc", "Mc"),
        ] {
            assert_eq!(usual(name), usual_way);
        }
    }
}
