//! Letters: which of them the type at hand can print.
//!
//! The theme's own fonts come first and print all that they have letters for, on every machine alike.
//! Only a text with a letter that the theme lacks also gets a font found on this machine, and only
//! one that has the letter. A letter that neither has is missing: what it stands in is held.

use super::families;
use super::theme::Theme;
use crate::capital::capital;
use crate::finding::{Finding, Place, rules};
use crate::spelling::marks::{self, turns_the_line};
use std::collections::BTreeSet;
use std::sync::OnceLock;
use typst::text::{Font, FontInfo, FontStyle, FontWeight, is_default_ignorable};
use typst_kit::fonts::{FontPath, FontSource};

/// The fonts of a theme, and behind them those of the machine.
pub struct Letters {
    theme: Vec<Font>,
    /// Looked for only once a letter is wanted that the theme lacks.
    machine: OnceLock<Vec<(FontPath, FontInfo)>>,
}

impl Letters {
    pub fn new(theme: &Theme) -> Self {
        let theme = theme
            .folder("type")
            .filter(|(name, _)| {
                [".ttf", ".otf", ".ttc", ".otc"].iter().any(|ending| name.to_lowercase().ends_with(ending))
            })
            .flat_map(|(_, bytes)| Font::iter(bytes.clone()))
            .collect();
        Self { theme, machine: OnceLock::new() }
    }

    /// The letters of a text that no font has, each once, in order of their code points.
    pub fn missing(&self, text: &str) -> Vec<char> {
        let mut wanted = self.outside_theme([text]);
        wanted.retain(|&c| self.is_missing(c));
        wanted.into_iter().collect()
    }

    /// Whether no font has some letter of a text.
    pub(super) fn lack(&self, text: &str) -> bool {
        self.outside_theme([text]).into_iter().any(|c| self.is_missing(c))
    }

    /// What is to be told of some words of the roster that are printed together, such as a name and its
    /// companion's: the letters that cannot be printed, or else those that only this machine can print.
    pub fn told_of(&self, words: &[&str], place: &Place) -> Option<Finding> {
        let outside = self.outside_theme(words.iter().copied());
        if outside.is_empty() {
            return None;
        }
        let (missing, borrowed): (Vec<char>, Vec<char>) =
            outside.into_iter().partition(|&c| self.is_missing(c));
        let says = words.iter().copied().filter(|words| words.contains(|c| missing.contains(&c)));
        if missing.is_empty() {
            return Some(self.borrowed(&borrowed, place));
        }
        Some(letters_missing(
            &missing,
            &says.collect::<Vec<_>>(),
            place.clone(),
            "it is printed nowhere: its certificate is held, and lists name its row instead",
        ))
    }

    fn borrowed(&self, letters: &[char], place: &Place) -> Finding {
        let mut families: Vec<&str> = Vec::new();
        for &c in letters {
            if let Some((_, info)) = self.machine().iter().find(|(_, info)| has(info, c))
                && !families.contains(&info.family.as_str())
            {
                families.push(&info.family);
            }
        }
        let (families, has) = (families.join(" and "), if families.len() == 1 { "has" } else { "have" });
        let message = format!(
            "The theme's fonts lack {}; on this computer, {families} {has} them. On another computer, the name may be held.",
            in_words(letters)
        );
        let mend =
            "To print it alike on every machine, put the file of such a font into the theme's type folder.";
        Finding::of(&rules::LETTER_BORROWED, place.clone(), message).mend(mend)
    }

    fn is_missing(&self, c: char) -> bool {
        turns_the_line(c) || !self.machine().iter().any(|(_, info)| has(info, c))
    }

    /// The letters of these texts that the theme's own fonts do not have.
    pub(super) fn outside_theme<'a>(&self, texts: impl IntoIterator<Item = &'a str>) -> BTreeSet<char> {
        let mut outside = BTreeSet::new();
        for text in texts.into_iter().filter(|text| !is_plain(text)) {
            for c in text.chars().filter(|&c| turns_the_line(c) || needs_a_shape(c)) {
                if turns_the_line(c) || !self.theme.iter().any(|font| has(font.info(), c)) {
                    outside.insert(c);
                }
            }
        }
        outside
    }

    /// The theme's fonts, in the order of their files.
    pub(crate) fn theme(&self) -> &[Font] {
        &self.theme
    }

    /// Fonts of this machine that have what the theme lacks, as few as will do. The choice depends
    /// on the fonts alone and not on the order in which they are found. A family that the theme has
    /// too is left out, so that the theme's own text keeps its fonts.
    pub(super) fn helpers(&self, mut wanted: BTreeSet<char>) -> Vec<Font> {
        let mut helpers = Vec::new();
        for (path, info) in if wanted.is_empty() { &[] } else { self.machine() } {
            if !wanted.iter().any(|&c| has(info, c)) {
                continue;
            }
            if let Some(font) = path.load() {
                wanted.retain(|&c| !has(info, c));
                helpers.push(font);
            }
        }
        helpers
    }

    fn machine(&self) -> &[(FontPath, FontInfo)] {
        self.machine.get_or_init(|| {
            let mut found: Vec<_> = typst_kit::fonts::system()
                .filter(|(_, info)| !info.is_last_resort() && !self.has_family(&info.family))
                .collect();
            // Upright fonts of regular weight first, families in the order of the alphabet.
            found.sort_by_cached_key(|(path, info)| {
                let variant = info.variant;
                let slanted = variant.style != FontStyle::Normal;
                let weight = variant.weight.distance(FontWeight::REGULAR);
                (slanted, weight, info.family.clone(), path.path.clone(), path.index)
            });
            found
        })
    }

    fn has_family(&self, family: &str) -> bool {
        self.theme.iter().any(|font| font.info().family.eq_ignore_ascii_case(family))
    }
}

/// The finding for words with letters that cannot be printed, and what that comes to
/// (`this certificate is held`). The words themselves are not repeated in the message, which goes
/// further than they do.
pub(super) fn letters_missing(letters: &[char], words: &[&str], place: Place, held: &str) -> Finding {
    let (turning, shapeless): (Vec<char>, Vec<char>) =
        letters.iter().partition(|&&c| turns_the_line(c) || c.is_control());
    let mut why = Vec::new();
    let mut mend = Vec::new();
    if !turning.is_empty() {
        let what = if turning.iter().any(|&c| turns_the_line(c)) {
            "which turns the letters after it round"
        } else {
            "which no font prints"
        };
        why.push(format!("{} stands in it, {what}", in_words(&turning)));
        mend.push(
            "Take the hidden mark out, and look whether the letters stand in the right order.".to_owned(),
        );
    }
    if !shapeless.is_empty() {
        why.push(format!("no font at hand has {}", in_words(&shapeless)));
        mend.push(families::advice(&shapeless));
    }
    let message = format!("{}, so {held}.", capital(&why.join(", and ")));
    let shown: Vec<_> = words.iter().map(|words| marks::shown(words)).collect();
    Finding::of(&rules::LETTER_MISSING, place, message).says(shown.join(" / ")).mend(mend.join(" "))
}

/// `the letter “ሀ” (ETHIOPIC SYLLABLE HA, U+1200)`, or the first few of many.
fn in_words(letters: &[char]) -> String {
    const MOST: usize = 5;
    let mut told: Vec<String> = letters.iter().take(MOST).map(|&c| marks::told(c)).collect();
    if letters.len() > MOST {
        told.push(format!("{} more", letters.len() - MOST));
    }
    let last = told.pop().unwrap_or_default();
    match told.as_slice() {
        [] if marks::shows(letters[0]) => format!("the letter {last}"),
        [] => last,
        _ => format!("{} and {last}", told.join(", ")),
    }
}

fn needs_a_shape(c: char) -> bool {
    !c.is_whitespace() && !is_default_ignorable(c)
}

fn has(info: &FontInfo, c: char) -> bool {
    info.coverage.contains(c as u32)
}

/// Printable ASCII, which every text font has: most text is nothing else.
fn is_plain(text: &str) -> bool {
    text.bytes().all(|byte| (0x20..0x7f).contains(&byte))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn letters() -> Letters {
        Letters::new(&Theme::plain())
    }

    #[test]
    fn the_plain_theme_prints_its_scripts_itself() {
        let text = "José O’Núñez, Ἑλένη Ώρα, Łucja Dvořáková, Žofia, Ελένη, Дмитрий, अनीता, ليلى, Nguyễn Thị Ánh ½ °F − – “ ”";
        assert_eq!(letters().outside_theme([text]), BTreeSet::new());
    }

    /// Blocks of Unicode that the theme prints whole, upright and bold, in its serif and in its sans.
    const WHOLE_BLOCKS: [(&str, std::ops::RangeInclusive<char>); 8] = [
        ("Latin-1 Supplement", '\u{a0}'..='\u{ff}'),
        ("Latin Extended-A", '\u{100}'..='\u{17f}'),
        ("Latin Extended-B", '\u{180}'..='\u{24f}'),
        ("Latin Extended Additional, with Vietnamese", '\u{1e00}'..='\u{1eff}'),
        ("Greek", '\u{370}'..='\u{3ff}'),
        ("Greek Extended", '\u{1f00}'..='\u{1fff}'),
        ("Cyrillic", '\u{400}'..='\u{4ff}'),
        ("Cyrillic Supplement", '\u{500}'..='\u{52f}'),
    ];

    #[test]
    fn latin_greek_and_cyrillic_are_whole_in_serif_and_sans() {
        let letters = letters();
        let chains =
            [["Vollkorn", "Plain Serif", "Andika", "Plain Sans"].as_slice(), &["Andika", "Plain Sans"]];
        // Coptic, which shares the block of Greek, is a script of its own.
        let coptic = '\u{3e2}'..='\u{3ef}';
        for (chain, weight) in chains.iter().flat_map(|chain| [(chain, 400), (chain, 700)]) {
            let fonts: Vec<&FontInfo> = letters
                .theme()
                .iter()
                .map(Font::info)
                .filter(|info| chain.contains(&info.family.as_str()))
                .filter(|info| info.variant.weight.to_number() == weight)
                .filter(|info| info.variant.style == FontStyle::Normal)
                .collect();
            for (block, range) in WHOLE_BLOCKS {
                let named = range.filter(|&c| unicode_names2::name(c).is_some() && !coptic.contains(&c));
                let lacking: Vec<char> = named.filter(|&c| !fonts.iter().any(|info| has(info, c))).collect();
                assert!(lacking.is_empty(), "{lacking:?}: {block} in {chain:?}, weight {weight}");
            }
        }
    }

    #[test]
    fn marks_that_join_letters_need_no_shape() {
        assert_eq!(
            letters().missing("می\u{200c}خواهم क्\u{200d}ष a\u{ad}b\u{feff} tab\tline\n"),
            Vec::<char>::new()
        );
    }

    #[test]
    fn a_letter_that_no_font_has_is_named_once() {
        assert_eq!(letters().missing("a\u{378}b\u{378}"), vec!['\u{378}']);
    }

    #[test]
    fn a_name_is_told_once_with_all_its_letters() {
        let place = Place::whole("people/roster.csv");
        let found = letters_missing(&['ሀ', '\u{378}'], &["ሀና"], place.clone(), "its certificate is held");
        assert_eq!(
            found.message,
            "No font at hand has “ሀ” (ETHIOPIC SYLLABLE HA, U+1200) and U+0378, so its certificate is held."
        );
        let mend = found.mend.unwrap();
        assert!(mend.contains("Noto Sans Ethiopic") && mend.contains("U+0378"), "{mend}");
        let found = letters_missing(&['\u{202e}'], &["Ada \u{202e}lleV"], place, "its certificate is held");
        assert_eq!(
            found.message,
            "RIGHT-TO-LEFT OVERRIDE (U+202E) stands in it, which turns the letters after it round, so its certificate is held."
        );
        assert_eq!(found.says, "Ada ‹U+202E›lleV");
        assert!(found.mend.unwrap().starts_with("Take the hidden mark out"));
        assert!(letters().told_of(&["Ada Vell", "José"], &Place::whole("x")).is_none());
    }

    #[test]
    fn what_turns_the_line_round_is_not_printed() {
        assert_eq!(letters().missing("abc\u{202e}def"), vec!['\u{202e}']);
    }
}
