//! Exact numbers: rounding, the places that figures show, and how numbers are written out.

use super::Exact;
use num_bigint::BigInt;
use num_traits::{One, Signed, Zero};

/// A whole number.
pub(super) fn whole(value: i64) -> Exact {
    Exact::from_integer(value.into())
}

/// `n/d`; `d` must not be zero.
pub(super) fn ratio(n: i64, d: i64) -> Exact {
    Exact::new(n.into(), d.into())
}

/// 10 to a power, negative ones too.
pub(super) fn ten_to(power: i32) -> Exact {
    if power == 0 {
        return Exact::one();
    }
    let ten = BigInt::from(10).pow(power.unsigned_abs());
    if power < 0 { Exact::new(BigInt::one(), ten) } else { Exact::from_integer(ten) }
}

/// The decimal or fraction that a table states: `1.5`, `127/5000`, `-40`.
pub(super) fn parse(text: &str) -> Option<Exact> {
    if let Some((n, d)) = text.split_once('/') {
        let d: BigInt = d.trim().parse().ok()?;
        return if d.is_zero() { None } else { Some(Exact::new(n.trim().parse().ok()?, d)) };
    }
    let (head, tail) = text.split_once('.').unwrap_or((text, ""));
    if !tail.bytes().all(|byte| byte.is_ascii_digit()) || (head.is_empty() && tail.is_empty()) {
        return None;
    }
    let digits: BigInt = format!("{head}{tail}").parse().ok()?;
    Some(Exact::from_integer(digits) * ten_to(-i32::try_from(tail.len()).ok()?))
}

/// Which way a value half way between two multiples goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Half {
    Even,
    /// Away from zero.
    Up,
}

/// The multiple of `place` that is nearest to `value`; the value itself where `place` is zero.
pub fn round_to(value: &Exact, place: &Exact, half: Half) -> Exact {
    if place.is_zero() {
        return value.clone();
    }
    let steps = value.abs() / place;
    let below = steps.floor();
    let rest = &steps - &below;
    let middle = ratio(1, 2);
    let up = match rest.cmp(&middle) {
        std::cmp::Ordering::Less => false,
        std::cmp::Ordering::Greater => true,
        std::cmp::Ordering::Equal => {
            half == Half::Up || (below.to_integer() % BigInt::from(2)) != BigInt::zero()
        }
    };
    let steps = if up { below + Exact::one() } else { below };
    let rounded = steps * place;
    if value.is_negative() { -rounded } else { rounded }
}

/// Whether `stated` is what `value` rounds to at `place`, by either way with halves.
pub fn rounds_to(value: &Exact, stated: &Exact, place: &Exact) -> bool {
    round_to(value, place, Half::Even) == *stated || round_to(value, place, Half::Up) == *stated
}

/// The power of ten of the first digit: 1 for 54, -1 for 0.6. `None` for zero.
pub(super) fn magnitude(value: &Exact) -> Option<i32> {
    if value.is_zero() {
        return None;
    }
    let value = value.abs();
    let digits = |n: &BigInt| n.to_string().len() as i32;
    let mut power = digits(value.numer()) - digits(value.denom());
    while ten_to(power) > value {
        power -= 1;
    }
    while ten_to(power + 1) <= value {
        power += 1;
    }
    Some(power)
}

/// The place of the last digit that is not zero: 100 for 200, 1/10 for 1.5, 1 for 22. `None` for a
/// value that has no end as a decimal, and for zero.
pub(super) fn last_place(value: &Exact) -> Option<i32> {
    if value.is_zero() {
        return None;
    }
    let (twos, rest) = divided_out(value.denom(), 2);
    let (fives, rest) = divided_out(&rest, 5);
    if !rest.is_one() {
        return None;
    }
    let decimals = twos.max(fives);
    if decimals > 0 {
        return Some(-decimals);
    }
    let text = value.numer().to_string();
    Some(text.bytes().rev().take_while(|byte| *byte == b'0').count() as i32)
}

fn divided_out(n: &BigInt, by: u32) -> (i32, BigInt) {
    let (mut n, by, mut times) = (n.clone(), BigInt::from(by), 0);
    while (&n % &by).is_zero() {
        n /= &by;
        times += 1;
    }
    (times, n)
}

/// Writes a number for print: thousands marks from 1,000 on, no more decimals than it has. A value
/// without an end as a decimal is written as a fraction.
pub(super) fn written(value: &Exact) -> String {
    match last_place(value) {
        Some(place) => with_decimals(value, usize::try_from(-place).unwrap_or(0)),
        None if value.is_zero() => "0".into(),
        None => {
            let (n, d) = (value.numer(), value.denom());
            let (full, rest) = (n.abs() / d, n.abs() % d);
            let sign = if value.is_negative() { "-" } else { "" };
            if full.is_zero() { format!("{sign}{rest}/{d}") } else { format!("{sign}{full} {rest}/{d}") }
        }
    }
}

/// Writes a number that is whole at 10^-`decimals`, with thousands marks.
pub(super) fn with_decimals(value: &Exact, decimals: usize) -> String {
    let scaled = (value.abs() * ten_to(decimals as i32)).to_integer().to_string();
    let scaled = format!("{scaled:0>width$}", width = decimals + 1);
    let (head, tail) = scaled.split_at(scaled.len() - decimals);
    let mut text = String::new();
    if value.is_negative() {
        text.push('-');
    }
    for (at, digit) in head.chars().enumerate() {
        if at > 0 && (head.len() - at).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    if !tail.is_empty() {
        text.push('.');
        text.push_str(tail);
    }
    text
}

/// As plain digits without thousands marks (`54750000`, `1.5`), or `n/d` where no decimal is exact.
pub fn plain(value: &Exact) -> String {
    match last_place(value) {
        Some(place) => with_decimals(value, usize::try_from(-place).unwrap_or(0)).replace(',', ""),
        None if value.is_zero() => "0".into(),
        None => format!("{}/{}", value.numer(), value.denom()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn n(text: &str) -> Exact {
        parse(text).unwrap()
    }

    #[test]
    fn halves_go_both_ways() {
        assert_eq!(round_to(&n("2.5"), &n("1"), Half::Even), n("2"));
        assert_eq!(round_to(&n("2.5"), &n("1"), Half::Up), n("3"));
        assert_eq!(round_to(&n("-2.5"), &n("1"), Half::Up), n("-3"));
        assert!(rounds_to(&n("18250"), &n("18200"), &n("100")));
        assert!(rounds_to(&n("18250"), &n("18300"), &n("100")));
    }

    #[test]
    fn numbers_are_written_for_people() {
        for (value, text) in [
            ("54750000", "54,750,000"),
            ("1.5", "1.5"),
            ("-40", "-40"),
            ("155/3", "51 2/3"),
            ("0.05", "0.05"),
        ] {
            assert_eq!(written(&n(value)), text);
        }
        assert_eq!(plain(&n("54750000")), "54750000");
        assert_eq!(plain(&n("1/3")), "1/3");
    }

    #[test]
    fn places_of_first_and_last_digits() {
        assert_eq!(magnitude(&n("54.3")), Some(1));
        assert_eq!(magnitude(&n("0.06")), Some(-2));
        assert_eq!(magnitude(&n("99")), Some(1));
        assert_eq!(magnitude(&n("1/3")), Some(-1));
        assert_eq!(last_place(&n("200")), Some(2));
        assert_eq!(last_place(&n("0.75")), Some(-2));
        assert_eq!(last_place(&n("1/3")), None);
    }
}
