//! Letters: which of them the type at hand can print.
//!
//! The theme's own fonts come first and print all that they have letters for, on every machine alike.
//! Only a text with a letter that the theme lacks also gets a font found on this machine, and only
//! one that has the letter. A letter that neither has is missing: what it stands in is held.

use super::theme::Theme;
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
        wanted.retain(|&c| turns_the_line(c) || !self.machine().iter().any(|(_, info)| has(info, c)));
        wanted.into_iter().collect()
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
    pub(super) fn theme(&self) -> &[Font] {
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

/// How a letter is told to a person: `ꙮ (U+A66E)`, and the code alone where it has no shape.
pub fn letter_words(c: char) -> String {
    let code = format!("U+{:04X}", c as u32);
    if c.is_control() || turns_the_line(c) || is_default_ignorable(c) {
        code
    } else {
        format!("“{c}” ({code})")
    }
}

/// Whether a letter turns the ones after it round, so that a name would not be printed as given.
fn turns_the_line(c: char) -> bool {
    matches!(c, '\u{202d}' | '\u{202e}')
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
        let text =
            "José O’Núñez, Łucja Dvořáková, Žofia, Ελένη, Дмитрий, अनीता, ليلى, Nguyễn Thị Ánh ½ °F − – “ ”";
        assert_eq!(letters().outside_theme([text]), BTreeSet::new());
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
        assert_eq!(letter_words('\u{7}'), "U+0007");
        assert_eq!(letter_words('ꙮ'), "“ꙮ” (U+A66E)");
    }

    #[test]
    fn what_turns_the_line_round_is_not_printed() {
        assert_eq!(letters().missing("abc\u{202e}def"), vec!['\u{202e}']);
    }
}
