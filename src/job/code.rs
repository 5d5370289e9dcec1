//! A code for telephones: what it says, and how many modules a side that takes.
//!
//! The size is known before anything is drawn, so that a plan can give room to a code. The press draws it, and only
//! where it makes the sheet.

use crate::credential::base45;

/// How much of a code may be lost before it says nothing any more.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Correction {
    /// 7 of 100.
    Low,
    /// 15 of 100.
    Medium,
    /// 25 of 100.
    Quartile,
}

/// Words as a code (ISO/IEC 18004): byte by byte, or closer where all of its letters are of the 45 of the
/// alphanumeric mode.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Code {
    says: String,
    is_close: bool,
    correction: Correction,
    size: usize,
}

impl Code {
    /// Nothing where the words are too long for any code.
    pub fn of(says: String, correction: Correction) -> Option<Self> {
        let is_close = base45::is_of_its_letters(&says);
        let needed = |version: usize| match is_close {
            true => {
                let count = if version < 10 { 9 } else { 11 + 2 * usize::from(version > 26) };
                4 + count + says.len() / 2 * 11 + says.len() % 2 * 6
            }
            false => 4 + if version < 10 { 8 } else { 16 } + says.len() * 8,
        };
        let fits = |version: &usize| needed(*version) <= 8 * codewords(*version, correction);
        let version = (1..=BYTES.len()).find(fits)?;
        Some(Self { says, is_close, correction, size: 17 + 4 * version })
    }

    pub fn says(&self) -> &str {
        &self.says
    }

    pub fn correction(&self) -> Correction {
        self.correction
    }

    /// Whether it is written in the alphanumeric mode.
    pub fn is_close(&self) -> bool {
        self.is_close
    }

    /// Its modules a side, without the quiet zone.
    pub fn size(&self) -> usize {
        self.size
    }
}

/// The codewords for data: the bytes that it holds, and those that say how they are written and how many they are.
fn codewords(version: usize, correction: Correction) -> usize {
    let [low, medium, quartile] = BYTES[version - 1];
    let bytes = match correction {
        Correction::Low => low,
        Correction::Medium => medium,
        Correction::Quartile => quartile,
    };
    usize::from(bytes) + if version < 10 { 2 } else { 3 }
}

/// How many bytes each version holds at most, at low, medium and quartile correction.
const BYTES: [[u16; 3]; 40] = [
    [17, 14, 11],
    [32, 26, 20],
    [53, 42, 32],
    [78, 62, 46],
    [106, 84, 60],
    [134, 106, 74],
    [154, 122, 86],
    [192, 152, 108],
    [230, 180, 130],
    [271, 213, 151],
    [321, 251, 177],
    [367, 287, 203],
    [425, 331, 241],
    [458, 362, 258],
    [520, 412, 292],
    [586, 450, 322],
    [644, 504, 364],
    [718, 560, 394],
    [792, 624, 442],
    [858, 666, 482],
    [929, 711, 509],
    [1003, 779, 565],
    [1091, 857, 611],
    [1171, 911, 661],
    [1273, 997, 715],
    [1367, 1059, 751],
    [1465, 1125, 805],
    [1528, 1190, 868],
    [1628, 1264, 908],
    [1732, 1370, 982],
    [1840, 1452, 1030],
    [1952, 1538, 1112],
    [2068, 1628, 1168],
    [2188, 1722, 1228],
    [2303, 1809, 1283],
    [2431, 1911, 1351],
    [2563, 1989, 1423],
    [2699, 2099, 1499],
    [2809, 2213, 1579],
    [2953, 2331, 1663],
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_too_long_is_no_code() {
        assert_eq!(Code::of("a".repeat(17), Correction::Low).unwrap().size(), 21);
        assert_eq!(Code::of("a".repeat(15), Correction::Medium).unwrap().size(), 25);
        assert_eq!(Code::of("a".repeat(2953), Correction::Low).unwrap().size(), 177);
        assert_eq!(Code::of("a".repeat(2954), Correction::Low), None);
        assert_eq!(Code::of("A".repeat(4296), Correction::Low).unwrap().size(), 177);
        assert_eq!(Code::of("A".repeat(4297), Correction::Low), None);
    }

    /// ISO/IEC 18004, table 7, of the alphanumeric mode; from memory.
    #[test]
    fn letters_of_the_close_mode_take_less_room() {
        let of = |length: usize, correction| Code::of("A".repeat(length), correction).unwrap().size();
        for (length, correction, version) in [
            (154, Correction::Medium, 6),
            (155, Correction::Medium, 7),
            (178, Correction::Medium, 7),
            (179, Correction::Medium, 8),
            (189, Correction::Quartile, 9),
            (190, Correction::Quartile, 10),
            (395, Correction::Low, 10),
            (396, Correction::Low, 11),
        ] {
            assert_eq!(of(length, correction), 17 + 4 * version, "{length}, {correction:?}");
        }
    }
}
