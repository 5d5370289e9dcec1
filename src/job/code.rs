//! A code for telephones: what it says, and how many modules a side that takes.
//!
//! The size is known before anything is drawn, so that a plan can give room to a code. The press draws it, and only
//! where it makes the sheet.

/// How much of a code may be lost before it says nothing any more.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Correction {
    /// 7 of 100.
    Low,
    /// 15 of 100.
    Medium,
}

/// Words as a code (ISO/IEC 18004), byte by byte.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Code {
    says: String,
    correction: Correction,
    size: usize,
}

impl Code {
    /// Nothing where the words are too long for any code.
    pub fn of(says: String, correction: Correction) -> Option<Self> {
        let fits = |&(low, medium): &(usize, usize)| match correction {
            Correction::Low => says.len() <= low,
            Correction::Medium => says.len() <= medium,
        };
        let size = 21 + 4 * HOLDS.iter().position(fits)?;
        Some(Self { says, correction, size })
    }

    pub fn says(&self) -> &str {
        &self.says
    }

    pub fn correction(&self) -> Correction {
        self.correction
    }

    /// Its modules a side, without the quiet zone.
    pub fn size(&self) -> usize {
        self.size
    }
}

/// How many bytes each version holds at most, at low and at medium correction.
const HOLDS: [(usize, usize); 40] = [
    (17, 14),
    (32, 26),
    (53, 42),
    (78, 62),
    (106, 84),
    (134, 106),
    (154, 122),
    (192, 152),
    (230, 180),
    (271, 213),
    (321, 251),
    (367, 287),
    (425, 331),
    (458, 362),
    (520, 412),
    (586, 450),
    (644, 504),
    (718, 560),
    (792, 624),
    (858, 666),
    (929, 711),
    (1003, 779),
    (1091, 857),
    (1171, 911),
    (1273, 997),
    (1367, 1059),
    (1465, 1125),
    (1528, 1190),
    (1628, 1264),
    (1732, 1370),
    (1840, 1452),
    (1952, 1538),
    (2068, 1628),
    (2188, 1722),
    (2303, 1809),
    (2431, 1911),
    (2563, 1989),
    (2699, 2099),
    (2809, 2213),
    (2953, 2331),
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
    }
}
