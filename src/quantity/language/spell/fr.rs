//! Numbers spelled out in French, as in the spelling of before 1990 and with the words for 70 to 99 that are
//! understood wherever French is.

const SMALL: [&str; 20] = [
    "zéro", "un", "deux", "trois", "quatre", "cinq", "six", "sept", "huit", "neuf", "dix", "onze", "douze",
    "treize", "quatorze", "quinze", "seize", "dix-sept", "dix-huit", "dix-neuf",
];

const TENS: [&str; 5] = ["vingt", "trente", "quarante", "cinquante", "soixante"];

/// A number below a million in words, as it stands before what it counts: `vingt et une livres`, `deux cents pieds`.
pub(super) fn spelled(value: u32, counted: Option<&str>) -> Option<String> {
    let feminine = counted.is_some_and(is_feminine);
    let (thousands, rest) = (value / 1000, value % 1000);
    let thousand = match thousands {
        0 => return Some(below_thousand(rest, feminine, true)),
        1 => "mille".to_owned(),
        2..1000 => format!("{} mille", below_thousand(thousands, false, false)),
        _ => return None,
    };
    Some(if rest == 0 { thousand } else { format!("{thousand} {}", below_thousand(rest, feminine, true)) })
}

/// `ends`: nothing follows, so that hundreds and eighty have their s.
fn below_thousand(value: u32, feminine: bool, ends: bool) -> String {
    let (hundreds, rest) = (value / 100, value % 100);
    let low = below_hundred(rest, feminine, ends);
    match (hundreds, rest) {
        (0, _) => low,
        (1, 0) => "cent".to_owned(),
        (1, _) => format!("cent {low}"),
        (n, 0) => format!("{} cent{}", SMALL[n as usize], if ends { "s" } else { "" }),
        (n, _) => format!("{} cent {low}", SMALL[n as usize]),
    }
}

fn below_hundred(value: u32, feminine: bool, ends: bool) -> String {
    let one = if feminine { "une" } else { "un" };
    let small = |value: u32| if value == 1 { one } else { SMALL[value as usize] };
    match value {
        0..20 => small(value).to_owned(),
        71 => "soixante et onze".to_owned(),
        70..80 => format!("soixante-{}", SMALL[value as usize - 60]),
        80 => if ends { "quatre-vingts" } else { "quatre-vingt" }.to_owned(),
        81..100 => format!("quatre-vingt-{}", small(value - 80)),
        _ => {
            let ten = TENS[value as usize / 10 - 2];
            match value % 10 {
                0 => ten.to_owned(),
                1 => format!("{ten} et {one}"),
                unit => format!("{ten}-{}", small(unit)),
            }
        }
    }
}

/// By the ending of its first word, with the units that have another: common knowledge of the language.
pub(super) fn is_feminine(noun: &str) -> bool {
    const FEMININE: [&str; 29] = [
        "heure",
        "minute",
        "seconde",
        "semaine",
        "année",
        "nuit",
        "journée",
        "décennie",
        "livre",
        "once",
        "tonne",
        "tasse",
        "cuillère",
        "cuillerée",
        "pinte",
        "verge",
        "personne",
        "mule",
        "jument",
        "fois",
        "bouteille",
        "corde",
        "calorie",
        "kilocalorie",
        "compression",
        "insufflation",
        "brasse",
        "milliseconde",
        "question",
    ];
    let first = noun.split(' ').next().unwrap_or_default();
    FEMININE.iter().any(|known| first.strip_suffix('s').unwrap_or(first) == known.trim_end_matches('s'))
}

/// `de` before a vowel is `d'`: `millions d'acres`.
pub(in super::super) fn elided(words: &str) -> String {
    let mut made = String::with_capacity(words.len());
    let mut rest = words;
    while let Some(at) = rest.find(" de ") {
        let after = &rest[at + 4..];
        let vowel = after.starts_with(['a', 'e', 'i', 'o', 'u', 'é', 'â', 'h', 'A', 'E', 'I', 'O', 'U']);
        made.push_str(&rest[..at]);
        made.push_str(if vowel { " d'" } else { " de " });
        rest = after;
    }
    made.push_str(rest);
    made
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Amount;

    /// Spelling: common knowledge of the language, no source.
    #[test]
    fn numbers_are_spelled_and_read_back() {
        for (value, counted, words) in [
            (1, Some("pied"), "un"),
            (1, Some("livre"), "une"),
            (21, Some("livres"), "vingt et une"),
            (71, None, "soixante et onze"),
            (77, None, "soixante-dix-sept"),
            (80, Some("pieds"), "quatre-vingts"),
            (81, Some("livres"), "quatre-vingt-une"),
            (91, None, "quatre-vingt-onze"),
            (99, None, "quatre-vingt-dix-neuf"),
            (100, None, "cent"),
            (200, None, "deux cents"),
            (201, None, "deux cent un"),
            (1200, None, "mille deux cents"),
            (80_000, None, "quatre-vingt mille"),
            (200_000, None, "deux cent mille"),
        ] {
            assert_eq!(spelled(value, counted).as_deref(), Some(words));
        }
        let language = crate::quantity::language::Language::of("fr", &[]);
        for value in (1..400).chain([401, 555, 780, 999, 1000, 1001, 1999, 12_345, 80_000, 999_999]) {
            let words = spelled(value, Some("pieds")).unwrap();
            let figure =
                language.read_one(&format!("{words} pieds")).unwrap_or_else(|why| panic!("{words}: {why}"));
            assert_eq!(
                figure.quantity.amount,
                Amount::One(crate::quantity::number::whole(value.into())),
                "{words}"
            );
        }
    }
}
