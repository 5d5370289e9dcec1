//! Writing a number in the form of another: `1,200` for `950`, `twenty-two` for `six`, `3½` for `2½`.

use crate::quantity::Exact;
use crate::quantity::fractions::{fractions, letter_of};
use crate::quantity::number::{last_place, magnitude, ten_to, whole, with_decimals};
use num_traits::{One, Signed, ToPrimitive, Zero};

/// Fractions that prose writes, by their parts.
const PARTS: [i64; 8] = [2, 3, 4, 5, 6, 8, 10, 16];

const SCALES: [(&str, i32); 4] = [("thousand", 3), ("million", 6), ("billion", 9), ("trillion", 12)];

/// The writings of `value` in the form of `old`, rounded at `place` (zero: not rounded); the closest to
/// that form first. `before_hyphen` is a number that hangs on its unit (`six-foot`), where number words
/// in several parts cannot stand.
pub(super) fn write(old: &str, value: &Exact, place: &Exact, before_hyphen: bool) -> Vec<String> {
    let (sign, body) = signed(old);
    let is_negative = value.is_negative();
    let minus = |form: &str| match (is_negative, sign.is_empty()) {
        (false, _) => "",
        (true, false) => sign,
        (true, true) if form.starts_with(char::is_alphabetic) => "minus ",
        (true, true) => "−",
    };
    let value = value.abs();
    let in_digits = body.starts_with(|first: char| first.is_ascii_digit() || first == '.');
    let mut forms = if in_digits {
        digits(body, &value, place)
    } else if body.starts_with(is_vulgar) {
        fraction("", body, &value).into_iter().collect()
    } else {
        words(body, &value)
    };
    let joined = !body.contains(' ') && body.contains('-');
    forms.retain(|form| in_digits || !before_hyphen || joined || !form.contains(' '));
    if joined && before_hyphen {
        forms.iter_mut().for_each(|form| *form = form.replace(' ', "-"));
    }
    forms.extend(in_plain_digits("", &value, place));
    forms.into_iter().map(|form| format!("{}{form}", minus(&form))).collect()
}

/// A minus sign or word, and the rest.
fn signed(old: &str) -> (&str, &str) {
    for sign in ["minus ", "negative ", "Minus ", "Negative ", "-", "−", "–"] {
        if let Some(rest) = old.strip_prefix(sign) {
            return (sign, rest);
        }
    }
    ("", old)
}

fn is_vulgar(letter: char) -> bool {
    fractions(letter).is_some()
}

fn digits(old: &str, value: &Exact, place: &Exact) -> Vec<String> {
    let is_part = |letter: char| letter.is_ascii_digit() || matches!(letter, '.' | ',');
    let mut end = old.find(|letter| !is_part(letter)).unwrap_or(old.len());
    // groups of digits with spaces between them
    while let Some(group) = old[end..].strip_prefix([' ', '\u{a0}', '\u{202f}', '\u{2009}']) {
        let next = group.find(|letter: char| !letter.is_ascii_digit()).unwrap_or(group.len());
        if next != 3 || group[next..].starts_with(['/', '⁄']) {
            break;
        }
        end = old.len() - group.len() + next;
    }
    let (head, tail) = old.split_at(end);
    let gap_end = tail.find(|letter: char| !letter.is_whitespace() && letter != '-').unwrap_or(tail.len());
    let (gap, word) = tail.split_at(gap_end);
    if word.is_empty() {
        // a third has no end as a decimal
        let share = || fraction("", old, value).filter(|_| last_place(value).is_none());
        return in_plain_digits(head, value, place).or_else(share).into_iter().collect();
    }
    if word.starts_with(is_vulgar) || word.contains(['/', '⁄']) || tail.starts_with(['/', '⁄']) {
        return fraction(gap, old, value).into_iter().collect();
    }
    scaled(head, gap, word, value, place).into_iter().collect()
}

/// `1,200` or `1200` as the writer has it, with as many decimals as the place asks for.
fn in_plain_digits(old: &str, value: &Exact, place: &Exact) -> Option<String> {
    let decimals = match place.is_zero() {
        true => -last_place(value).unwrap_or(0).min(0),
        false => -magnitude(place)?.min(0),
    };
    if !(value * ten_to(decimals)).is_integer() {
        return None;
    }
    let written = with_decimals(value, usize::try_from(decimals).ok()?);
    let whole_part = old.split('.').next().unwrap_or("");
    let space = whole_part.chars().find(|letter| letter.is_whitespace());
    let unmarked = whole_part.len() > 3 && whole_part.bytes().all(|byte| byte.is_ascii_digit());
    let written = match space {
        Some(space) => written.replace(',', &space.to_string()),
        None if unmarked => written.replace(',', ""),
        None => written,
    };
    // "1.5" becomes "2", but "1.50" and "$1.25" keep their two decimals
    let shown = old.split_once('.').map_or("", |(_, decimals)| decimals);
    let written = match written.split_once('.') {
        Some((full, _)) if value.is_integer() && shown.len() == 1 && shown != "0" => full.to_owned(),
        _ => written,
    };
    Some(match old.starts_with('.').then(|| written.strip_prefix('0')).flatten() {
        Some(bare) if bare.starts_with('.') => bare.to_owned(),
        _ => written,
    })
}

/// `22 million`, `1.5K`, `2 dozen`: in the same scale while the number is not too long for it.
fn scaled(head: &str, gap: &str, word: &str, value: &Exact, place: &Exact) -> Option<String> {
    let lower = word.to_lowercase();
    let at = |scale: &Exact, word: &str| {
        in_plain_digits(head, &(value / scale), &(place / scale)).map(|number| format!("{number}{gap}{word}"))
    };
    if lower.starts_with("doz") {
        return at(&whole(12), word).filter(|_| (value / whole(12)).is_integer());
    }
    if lower == "hundred" {
        return at(&ten_to(2), word).filter(|_| (value / ten_to(2)).is_integer());
    }
    let named = SCALES.iter().find(|(name, _)| lower.trim_end_matches('s') == *name);
    if let Some((_, power)) = named {
        let fits = |power: i32| {
            let scaled = value / ten_to(power);
            scaled >= Exact::one() && scaled < whole(1000)
        };
        if fits(*power) {
            return at(&ten_to(*power), word);
        }
        let (name, power) = SCALES[1..].iter().find(|(_, power)| fits(*power))?;
        // the digits that the writer showed were those of another scale
        let number = in_plain_digits(head.split('.').next()?, &(value / ten_to(*power)), &Exact::zero());
        return number.map(|number| format!("{number}{gap}{name}"));
    }
    let power = match word {
        "k" | "K" => 3,
        "m" | "M" | "mn" => 6,
        "b" | "B" | "bn" => 9,
        "T" | "tn" => 12,
        _ => return None,
    };
    at(&ten_to(power), word)
}

/// `1 1/2`, `2½`, `3/4`: a whole number where nothing is left over.
fn fraction(gap: &str, old: &str, value: &Exact) -> Option<String> {
    let with_mark = old.contains(is_vulgar);
    let full = value.floor();
    let (n, d) = parts_of(&(value - &full))?;
    let full = with_decimals(&full, 0);
    if n == 0 {
        return Some(full);
    }
    let mark = letter_of(n, d).filter(|_| with_mark);
    let part = mark.map_or_else(|| format!("{n}/{d}"), String::from);
    let gap = if gap.is_empty() && mark.is_none() { " " } else { gap };
    Some(if full == "0" { part } else { format!("{full}{gap}{part}") })
}

/// A share below one as a fraction that prose writes; 0/1 for nothing.
fn parts_of(share: &Exact) -> Option<(i64, i64)> {
    let (n, d) = (share.numer().to_i64()?, share.denom().to_i64()?);
    (d == 1 || PARTS.contains(&d)).then_some((n, d))
}

/// `six`, `two and a half`, `a dozen`, `three million`.
fn words(old: &str, value: &Exact) -> Vec<String> {
    let lower = old.to_lowercase();
    let and = ["hundred and ", "thousand and ", "million and "].iter().any(|joint| lower.contains(joint));
    let last = lower.rsplit([' ', '-']).next().unwrap_or("");
    let mixed = |value: &Exact| {
        // fifths and tenths only for who writes them: others take a decimal
        let odd = ["fifth", "tenth"].iter().any(|name| lower.contains(name));
        mixed(value, and, odd)
    };
    let mut forms = Vec::new();
    if last.starts_with("dozen") {
        let dozens = value / whole(12);
        match spoken(&dozens, and) {
            Some(_) if dozens.is_one() => forms.push("a dozen".to_owned()),
            Some(number) => forms.push(format!("{number} dozen")),
            None => {}
        }
    }
    match SCALES[1..].iter().find(|(name, _)| *name == last) {
        Some(_) => {
            let fits = |power: i32| *value >= ten_to(power) && *value < ten_to(power + 3);
            if let Some((name, power)) = SCALES[1..].iter().find(|(_, power)| fits(*power)) {
                let scaled = value / ten_to(*power);
                forms.extend(mixed(&scaled).map(|number| format!("{number} {name}")));
                let decimals = (0..=2).find(|places| (&scaled * ten_to(*places)).is_integer());
                let number = decimals.map(|places| with_decimals(&scaled, places as usize));
                forms.extend(number.map(|number| format!("{number} {name}")));
            }
        }
        None => {
            let article = lower.starts_with("a hundred") || lower.starts_with("a thousand");
            let number = mixed(value);
            let with_article = number
                .as_deref()
                .and_then(|number| number.strip_prefix("one "))
                .filter(|_| article)
                .map(|rest| format!("a {rest}"));
            forms.extend(with_article);
            forms.extend(number);
        }
    }
    if old.starts_with(char::is_uppercase) {
        forms.iter_mut().for_each(capitalize);
    }
    forms
}

fn capitalize(words: &mut String) {
    if let Some(first) = words.get(..1) {
        let first = first.to_uppercase();
        words.replace_range(..1, &first);
    }
}

/// A whole number, or one with a fraction that is said in words; `odd` allows fifths and tenths.
fn mixed(value: &Exact, and: bool, odd: bool) -> Option<String> {
    let full = value.floor();
    let (n, d) = parts_of(&(value - &full))?;
    if n == 0 {
        return spoken(&full, and);
    }
    if full >= whole(100) {
        // "one hundred two and a half" is written in digits
        return None;
    }
    let name = match d {
        2 => "half",
        3 => "third",
        4 => "quarter",
        8 => "eighth",
        5 if odd => "fifth",
        10 if odd => "tenth",
        _ => return None,
    };
    let part = match (n, d) {
        (1, 2) if full.is_zero() => "half".to_owned(),
        (1, 8) => "an eighth".to_owned(),
        (1, _) => format!("a {name}"),
        _ => format!("{} {name}s", small(n.unsigned_abs())),
    };
    Some(if full.is_zero() { part } else { format!("{} and {part}", spoken(&full, and)?) })
}

/// A whole number below a thousand million million in words.
fn spoken(value: &Exact, and: bool) -> Option<String> {
    let mut left = value.is_integer().then(|| value.to_integer().to_u64())??;
    if left == 0 {
        return Some("zero".into());
    }
    if left >= 1_000_000_000_000_000 {
        return None;
    }
    let mut groups: Vec<String> = Vec::new();
    for (name, power) in SCALES.iter().rev() {
        let scale = 10_u64.pow(power.unsigned_abs());
        if left >= scale {
            groups.push(format!("{} {name}", below_thousand(left / scale, and)));
            left %= scale;
        }
    }
    match left {
        0 => {}
        1..100 if and && !groups.is_empty() => groups.push(format!("and {}", small(left))),
        _ => groups.push(below_thousand(left, and)),
    }
    Some(groups.join(" "))
}

fn below_thousand(n: u64, and: bool) -> String {
    match (n / 100, n % 100) {
        (0, rest) => small(rest),
        (hundreds, 0) => format!("{} hundred", small(hundreds)),
        (hundreds, rest) if and => format!("{} hundred and {}", small(hundreds), small(rest)),
        (hundreds, rest) => format!("{} hundred {}", small(hundreds), small(rest)),
    }
}

/// A number below a hundred in words.
fn small(n: u64) -> String {
    const ONES: [&str; 20] = [
        "zero",
        "one",
        "two",
        "three",
        "four",
        "five",
        "six",
        "seven",
        "eight",
        "nine",
        "ten",
        "eleven",
        "twelve",
        "thirteen",
        "fourteen",
        "fifteen",
        "sixteen",
        "seventeen",
        "eighteen",
        "nineteen",
    ];
    const TENS: [&str; 10] =
        ["", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"];
    match (n / 10, n % 10) {
        (0 | 1, _) => ONES[n as usize].to_owned(),
        (tens, 0) => TENS[tens as usize].to_owned(),
        (tens, ones) => format!("{}-{}", TENS[tens as usize], ONES[ones as usize]),
    }
}

/// Whether a number as it is written wants `an` before it: `an eight-foot`, `an 80 °F`, `an 11,000`.
pub(super) fn takes_an(number: &str) -> bool {
    let number = number.trim_start_matches(['$', '€', '£', '~']).to_lowercase();
    if number.starts_with("eight") || number.starts_with("eleven") {
        return true;
    }
    let first: String = number
        .chars()
        .take_while(|letter| letter.is_ascii_digit() || *letter == ',')
        .filter(char::is_ascii_digit)
        .collect();
    let lead = match first.len() % 3 {
        0 => 3.min(first.len()),
        n => n,
    };
    first.starts_with('8') || (first.len() != 4 && matches!(&first[..lead], "11" | "18"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::number::parse;

    fn first(old: &str, value: &str, place: &str) -> String {
        let (value, place) = (parse(value).unwrap(), parse(place).unwrap());
        write(old, &value, &place, false).into_iter().next().unwrap()
    }

    #[test]
    fn digits_keep_their_marks_decimals_and_scales() {
        assert_eq!(first("950", "1200", "1"), "1,200");
        assert_eq!(first("1,200", "54000", "1"), "54,000");
        assert_eq!(first("6500", "7000", "1"), "7000");
        assert_eq!(first("1.50", "2", "1/100"), "2.00");
        assert_eq!(first(".5", "1/4", "1/100"), ".25");
        assert_eq!(first("22 million", "30000000", "1000000"), "30 million");
        assert_eq!(first("1.5K", "2500", "100"), "2.5K");
        assert_eq!(first("−18", "-20", "1"), "−20");
        assert_eq!(first("900 million", "1200000000", "100000000"), "1.2 billion");
    }

    #[test]
    fn fractions_keep_their_form() {
        assert_eq!(first("2½", "11/4", "1/2"), "2¾");
        assert_eq!(first("1 1/2", "11/4", "1/2"), "2 3/4");
        assert_eq!(first("½", "3/2", "1/2"), "1½");
        assert_eq!(first("3/4", "3/2", "1/4"), "1 1/2");
        assert_eq!(first("two and a half", "11/4", "1/2"), "two and three quarters");
        assert_eq!(first("two and a half", "3", "1/2"), "three");
    }

    #[test]
    fn words_stay_words() {
        assert_eq!(first("six", "10", "1"), "ten");
        assert_eq!(first("Six", "22", "1"), "Twenty-two");
        assert_eq!(first("two hundred and fifty", "375", "1"), "three hundred and seventy-five");
        assert_eq!(first("two hundred", "150", "1"), "one hundred fifty");
        assert_eq!(first("a hundred", "100", "1"), "a hundred");
        assert_eq!(first("two dozen", "36", "1"), "three dozen");
        assert_eq!(first("half a million", "2500000", "1"), "two and a half million");
        assert_eq!(first("six", "33/5", "1/10"), "6.6");
    }

    #[test]
    fn the_article_follows_the_sound() {
        for number in ["eight", "8", "80", "8,000", "11", "18", "18,000", "eleven", "eighty-one", "$8"] {
            assert!(takes_an(number), "{number}");
        }
        for number in ["one", "1", "110", "1,100", "180", "six", "ten"] {
            assert!(!takes_an(number), "{number}");
        }
    }
}
