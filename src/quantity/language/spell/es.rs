//! Numbers spelled out in Spanish, with the gender of what they count.

const SMALL: [&str; 30] = [
    "cero",
    "uno",
    "dos",
    "tres",
    "cuatro",
    "cinco",
    "seis",
    "siete",
    "ocho",
    "nueve",
    "diez",
    "once",
    "doce",
    "trece",
    "catorce",
    "quince",
    "dieciséis",
    "diecisiete",
    "dieciocho",
    "diecinueve",
    "veinte",
    "veintiuno",
    "veintidós",
    "veintitrés",
    "veinticuatro",
    "veinticinco",
    "veintiséis",
    "veintisiete",
    "veintiocho",
    "veintinueve",
];

const TENS: [&str; 7] = ["treinta", "cuarenta", "cincuenta", "sesenta", "setenta", "ochenta", "noventa"];

const HUNDREDS: [&str; 9] = [
    "ciento",
    "doscientos",
    "trescientos",
    "cuatrocientos",
    "quinientos",
    "seiscientos",
    "setecientos",
    "ochocientos",
    "novecientos",
];

/// A number below a million in words, as it stands before what it counts: `veintiún pies`, `doscientas
/// libras`, `mil quinientos metros`. Without anything counted it is the number itself: `veintiuno`.
pub(super) fn spelled(value: u32, counted: Option<&str>) -> Option<String> {
    let feminine = counted.is_some_and(is_feminine);
    let thousands = value / 1000;
    let mut parts = Vec::new();
    match thousands {
        0 => {}
        1 => parts.push("mil".to_owned()),
        2..1000 => parts.push(format!("{} mil", below_thousand(thousands, feminine, true))),
        _ => return None,
    }
    if !value.is_multiple_of(1000) || value == 0 {
        parts.push(below_thousand(value % 1000, feminine, counted.is_some()));
    }
    Some(parts.join(" "))
}

fn below_thousand(value: u32, feminine: bool, before_noun: bool) -> String {
    let (hundreds, rest) = (value / 100, value % 100);
    let one = |plain: &str| match (feminine, before_noun) {
        (true, _) => plain.replace("uno", "una"),
        (false, true) => {
            if plain == "veintiuno" {
                "veintiún".to_owned()
            } else {
                plain.replace("uno", "un")
            }
        }
        (false, false) => plain.to_owned(),
    };
    let small = |value: u32| SMALL[value as usize];
    let low = match rest {
        0 if hundreds > 0 => String::new(),
        1 | 21 => one(small(rest)),
        0..30 => small(rest).to_owned(),
        _ => {
            let ten = TENS[(rest / 10 - 3) as usize];
            match rest % 10 {
                0 => ten.to_owned(),
                unit => format!("{ten} y {}", if unit == 1 { one("uno") } else { small(unit).to_owned() }),
            }
        }
    };
    let high = match hundreds {
        0 => return low,
        1 if rest == 0 => return "cien".to_owned(),
        1 => "ciento".to_owned(),
        _ if feminine => format!("{}as", HUNDREDS[hundreds as usize - 1].trim_end_matches("os")),
        _ => HUNDREDS[hundreds as usize - 1].to_owned(),
    };
    if low.is_empty() { high } else { format!("{high} {low}") }
}

/// By the ending of its first word, with those that have another: common knowledge of the language.
pub(super) fn is_feminine(noun: &str) -> bool {
    let first = noun.split(' ').next().unwrap_or_default();
    match first {
        "día" | "días" => false,
        "noche" | "noches" | "vez" | "veces" => true,
        other => {
            other.ends_with('a')
                || other.ends_with("as")
                || other.ends_with("ión")
                || other.ends_with("iones")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Amount;

    #[test]
    fn numbers_are_spelled_and_read_back() {
        for (value, counted, words) in [
            (1, Some("pie"), "un"),
            (1, Some("milla"), "una"),
            (21, Some("pies"), "veintiún"),
            (21, None, "veintiuno"),
            (31, Some("libras"), "treinta y una"),
            (35, Some("pies"), "treinta y cinco"),
            (100, Some("pies"), "cien"),
            (120, Some("minutos"), "ciento veinte"),
            (200, Some("libras"), "doscientas"),
            (500, Some("días"), "quinientos"),
            (1200, Some("libras"), "mil doscientas"),
            (2000, Some("millas"), "dos mil"),
            (21_000, Some("pies"), "veintiún mil"),
        ] {
            assert_eq!(spelled(value, counted).as_deref(), Some(words));
        }
        let language = crate::quantity::language::Language::of("es-US", &[]);
        for value in (1..400).chain([401, 555, 999, 1000, 1001, 1999, 12_345, 999_999]) {
            let words = spelled(value, Some("pies")).unwrap();
            let figure =
                language.read_one(&format!("{words} pies")).unwrap_or_else(|why| panic!("{words}: {why}"));
            assert_eq!(
                figure.quantity.amount,
                Amount::One(crate::quantity::number::whole(value.into())),
                "{words}"
            );
        }
    }
}
