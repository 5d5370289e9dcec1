//! Fractions that are one letter (`½`, `⅔`): for reading prose, for writing figures anew, and for hours as
//! people write them.

/// Those of Unicode that have both their parts, by the lower one: its blocks Latin-1 Supplement and Number Forms.
const VULGAR: [(char, i64, i64); 18] = [
    ('½', 1, 2),
    ('⅓', 1, 3),
    ('⅔', 2, 3),
    ('¼', 1, 4),
    ('¾', 3, 4),
    ('⅕', 1, 5),
    ('⅖', 2, 5),
    ('⅗', 3, 5),
    ('⅘', 4, 5),
    ('⅙', 1, 6),
    ('⅚', 5, 6),
    ('⅐', 1, 7),
    ('⅛', 1, 8),
    ('⅜', 3, 8),
    ('⅝', 5, 8),
    ('⅞', 7, 8),
    ('⅑', 1, 9),
    ('⅒', 1, 10),
];

/// The upper and the lower part of a fraction that is one letter: 1 and 2 for `½`.
pub fn fractions(letter: char) -> Option<(i64, i64)> {
    if letter.is_ascii() {
        // asked for every mark of a text
        return None;
    }
    VULGAR.iter().find(|(mark, ..)| *mark == letter).map(|(_, upper, lower)| (*upper, *lower))
}

/// The letter that is a fraction of these parts.
pub(super) fn letter_of(upper: i64, lower: i64) -> Option<char> {
    VULGAR.iter().find(|(_, top, below)| (*top, *below) == (upper, lower)).map(|(mark, ..)| *mark)
}

#[cfg(test)]
mod tests {
    use super::*;
    use unicode_normalization::UnicodeNormalization;

    /// Unicode takes each apart into its digits around a fraction slash.
    #[test]
    fn every_letter_has_the_parts_that_unicode_gives_it() {
        for (letter, upper, lower) in VULGAR {
            assert_eq!(letter.nfkd().collect::<String>(), format!("{upper}⁄{lower}"));
            assert_eq!(fractions(letter), Some((upper, lower)));
            assert_eq!(letter_of(upper, lower), Some(letter));
        }
        assert_eq!(fractions('/'), None);
    }
}
