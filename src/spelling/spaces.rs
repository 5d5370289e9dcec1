//! White space that does not show, or shows where none belongs: two spaces in a row, a no-break space
//! from a web form, a zero-width space from a copied page, a direction mark from an address book.
//!
//! What belongs where it stands is kept: the joiners between letters of the scripts that use them
//! (Unicode Standard, section 23.2), the zero-width space between words of scripts that are written
//! without spaces, the ideographic space, and direction marks where some letter runs right to left.

use super::marks::{is_hidden, sets_direction, told};
use std::borrow::Cow;
use std::collections::BTreeSet;

/// Whether a cell may hold several lines: a street may, a name may not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lines {
    One,
    Several,
}

/// The words without stray white space. Borrowed where there was none.
///
/// No letter is ever changed or lost. The right-to-left override is left where it is: whether the
/// letters after it are meant forwards or backwards, nobody can tell from here.
pub fn tidy(words: &str, lines: Lines) -> Cow<'_, str> {
    if is_plain(words) {
        return Cow::Borrowed(words);
    }
    let kept = without_marks(words);
    let tidied = match lines {
        Lines::One => single_spaces(&kept),
        Lines::Several => {
            let lines = kept.lines().map(single_spaces).filter(|line| !line.is_empty());
            lines.collect::<Vec<_>>().join(if kept.contains("\r\n") { "\r\n" } else { "\n" })
        }
    };
    if tidied == words { Cow::Borrowed(words) } else { Cow::Owned(tidied) }
}

/// What is stray in words that [`tidy`] changes, each kind once, for a sentence.
pub fn stray(words: &str, lines: Lines) -> Vec<String> {
    let tidied = tidy(words, lines);
    let count = |text: &str, c: char| text.chars().filter(|&other| other == c).count();
    let mut kinds = BTreeSet::new();
    for c in words.chars().filter(|&c| c != ' ' && (is_hidden(c) || c.is_whitespace() || c.is_control())) {
        if count(words, c) > count(&tidied, c) {
            kinds.insert(match c {
                '\n' | '\r' => "a line break".to_owned(),
                '\t' => "a tab".to_owned(),
                c => told(c),
            });
        }
    }
    let mut stray: Vec<String> = kinds.into_iter().collect();
    let outer = words.trim_matches(' ');
    if outer.contains("  ") {
        stray.insert(0, "two spaces in a row".to_owned());
    }
    if outer != words {
        stray.push("a space around the words".to_owned());
    }
    stray
}

/// Nearly all cells: printable ASCII with single spaces inside.
fn is_plain(words: &str) -> bool {
    let bytes = words.as_bytes();
    bytes.iter().all(|byte| (0x20..0x7f).contains(byte))
        && bytes.first() != Some(&b' ')
        && bytes.last() != Some(&b' ')
        && !bytes.windows(2).any(|pair| pair == b"  ")
}

/// The words without marks that do nothing where they stand, and with one kind of space.
fn without_marks(words: &str) -> String {
    let letters: Vec<char> = words.chars().collect();
    let turns = letters.iter().any(|&c| runs_right_to_left(c));
    let mut kept = String::with_capacity(words.len());
    for (at, &c) in letters.iter().enumerate() {
        let before = at.checked_sub(1).map(|at| letters[at]);
        let between =
            |of: fn(char) -> bool| before.is_some_and(of) && letters.get(at + 1).copied().is_some_and(of);
        match c {
            '\n' | '\r' => kept.push(c),
            '\u{3000}' => kept.push(c),
            '\u{b}' | '\u{c}' | '\u{85}' | '\u{2028}' | '\u{2029}' => kept.push(' '),
            c if c.is_whitespace() => kept.push(' '),
            c if c.is_control() => {}
            '\u{200b}' if !between(is_written_without_spaces) => {}
            '\u{200c}' | '\u{200d}' if !between(joins) => {}
            '\u{ad}' | '\u{2060}' | '\u{feff}' | '\u{180e}' => {}
            '\u{202e}' => kept.push(c),
            // The mark that ends an override goes with it, and stays with it.
            '\u{202c}' if words.contains('\u{202e}') => kept.push(c),
            c if sets_direction(c) && !turns => {}
            c => kept.push(c),
        }
    }
    kept
}

/// One space between words, and none around them.
fn single_spaces(line: &str) -> String {
    let mut tidied = String::with_capacity(line.len());
    let mut gap = None;
    for c in line.trim().chars() {
        if c.is_whitespace() {
            let wide = c == '\u{3000}' && gap.is_none_or(|gap| gap == c);
            gap = Some(if wide { c } else { ' ' });
        } else {
            tidied.extend(gap.take());
            tidied.push(c);
        }
    }
    tidied
}

/// Letters of Hebrew, Arabic and their neighbors (Unicode's blocks for scripts that run right to left).
pub fn runs_right_to_left(c: char) -> bool {
    matches!(c, '\u{590}'..='\u{8ff}' | '\u{fb1d}'..='\u{fdff}' | '\u{fe70}'..='\u{fefc}'
        | '\u{10800}'..='\u{10fff}' | '\u{1e800}'..='\u{1efff}')
        && !sets_direction(c)
}

/// Letters of scripts in which the joiners change shapes, and pictures that they join.
fn joins(c: char) -> bool {
    matches!(c, '\u{600}'..='\u{1fff}' | '\u{a800}'..='\u{abff}' | '\u{fb50}'..='\u{fdff}'
        | '\u{fe00}'..='\u{fe0f}' | '\u{fe70}'..='\u{fefc}' | '\u{2600}'..='\u{27bf}' | '\u{10000}'..)
        && !matches!(c, '\u{1e00}'..='\u{1fff}')
}

/// Letters of Thai, Lao, Tibetan, Burmese and Khmer.
fn is_written_without_spaces(c: char) -> bool {
    matches!(c, '\u{e00}'..='\u{109f}' | '\u{1780}'..='\u{17ff}')
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn name(words: &str) -> String {
        tidy(words, Lines::One).into_owned()
    }

    #[test]
    fn stray_white_space_goes() {
        assert_eq!(name("Ada  Vell"), "Ada Vell");
        assert_eq!(name(" Ada\u{a0}Vell\t"), "Ada Vell");
        assert_eq!(name("Ada\u{200b} Vell\u{feff}"), "Ada Vell");
        assert_eq!(name("Ada\r\nVell"), "Ada Vell");
        assert_eq!(name("Ada \u{202f}\u{2009} Vell"), "Ada Vell");
        assert_eq!(name("\u{202d}555-0107\u{202c}"), "555-0107");
        assert_eq!(name("Ve\u{ad}ll\u{200d}"), "Vell");
        assert_eq!(name("Ada\u{0}Vell"), "AdaVell");
    }

    #[test]
    fn what_belongs_stays() {
        for words in [
            "Ada Vell",
            "می\u{200c}خواهم",
            "क्\u{200d}ष",
            "山田\u{3000}太郎",
            "ลิ\u{200b}นดา",
            "דנה \u{200e}Levi",
            "abc\u{202e}fed\u{202c}",
            "👩\u{200d}🌾 Farm",
        ] {
            assert_eq!(name(words), words);
        }
    }

    #[test]
    fn a_street_keeps_its_lines() {
        assert_eq!(tidy("12  Elm St \n\n Apt 4\n", Lines::Several), "12 Elm St\nApt 4");
        assert_eq!(tidy("12 Elm St\r\nApt 4", Lines::Several), "12 Elm St\r\nApt 4");
    }

    #[test]
    fn what_is_stray_is_told_by_name() {
        assert_eq!(stray("Ada  Vell", Lines::One), ["two spaces in a row"]);
        assert_eq!(stray("Ada\u{a0}Vell", Lines::One), ["NO-BREAK SPACE (U+00A0)"]);
        assert_eq!(
            stray("Ada\u{200b}\nVell ", Lines::One),
            ["ZERO WIDTH SPACE (U+200B)", "a line break", "a space around the words"]
        );
        assert!(stray("Ada Vell", Lines::One).is_empty());
    }

    proptest! {
        #[test]
        fn no_letter_is_lost_and_once_is_enough(words in "[a-zß-ž\u{600}-\u{650}\u{200b}-\u{200f}\u{202a}-\u{202e} \u{a0}\u{3000}\n\t]{0,24}") {
            let once = name(&words);
            let letters = |text: &str| text.chars().filter(|c| c.is_alphanumeric()).collect::<String>();
            prop_assert_eq!(letters(&once), letters(&words));
            prop_assert_eq!(name(&once), once.clone());
            if once != words {
                prop_assert!(!stray(&words, Lines::One).is_empty());
            }
        }
    }
}
