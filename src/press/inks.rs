//! The theme's inks: whether what is set in one on another can be read.
//!
//! `inks.toml` names in `[pairs]` which inks are set on which. Contrast is worked out by the formula of
//! WCAG 2.2 (W3C Recommendation; "relative luminance" and "contrast ratio"): letters keep 4.5 : 1
//! (success criterion 1.4.3), lines that carry meaning 3 : 1 (1.4.11).

use super::error::read_toml;
use super::{PressError, Theme};
use crate::finding::{Finding, Place, rules};
use std::collections::BTreeMap;
use toml::{Table, Value};

const FILE: &str = "inks.toml";
const LETTERS: f64 = 4.5;
const LINES: f64 = 3.0;

/// A color of sRGB, eight bits a channel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Color([u8; 3]);

impl Color {
    /// `#22262a`
    fn parse(text: &str) -> Option<Self> {
        let digits = text.strip_prefix('#').filter(|digits| digits.len() == 6 && digits.is_ascii())?;
        let channel = |at: usize| u8::from_str_radix(&digits[at..at + 2], 16).ok();
        Some(Self([channel(0)?, channel(2)?, channel(4)?]))
    }

    fn luminance(self) -> f64 {
        let [red, green, blue] = self.0.map(|channel| {
            let share = f64::from(channel) / 255.0;
            if share <= 0.04045 { share / 12.92 } else { ((share + 0.055) / 1.055).powf(2.4) }
        });
        0.2126 * red + 0.7152 * green + 0.0722 * blue
    }
}

/// From 1 to 21, whichever of the two is the ground.
fn contrast(one: Color, other: Color) -> f64 {
    let (one, other) = (one.luminance(), other.luminance());
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

/// A pair of `inks.toml` in one of its palettes.
struct Pair<'i> {
    palette: &'i str,
    ink: &'i str,
    ground: &'i str,
    least: f64,
}

/// What of the theme's inks cannot be read on its ground.
///
/// # Errors
/// Where `inks.toml` is not TOML, or a pair names an ink that is not there.
pub fn too_faint(theme: &Theme) -> Result<Vec<Finding>, PressError> {
    let file = theme.shown(FILE);
    let wrong = |message: String| PressError::Theme { file: file.clone(), message };
    let bytes = theme.file(FILE).ok_or_else(|| wrong("is not in the theme".into()))?;
    let inks = read_toml(theme, FILE, bytes)?;
    let Some(pairs) = inks.get("pairs").and_then(Value::as_table) else { return Ok(Vec::new()) };
    let palettes: BTreeMap<&str, &Table> = inks
        .iter()
        .filter(|(name, _)| *name != "pairs")
        .filter_map(|(name, palette)| Some((name.as_str(), palette.as_table()?)))
        .collect();
    let mut findings = Vec::new();
    for (palette, table) in palettes {
        for pair in all_pairs(palette, pairs) {
            let Some((ink, ground)) = colors(table, &pair) else {
                let (ink, ground) = (pair.ink, pair.ground);
                // By night the signal panels keep the inks that they have by day.
                if palette == "night" && ink.contains('.') {
                    continue;
                }
                return Err(wrong(format!(
                    "[{palette}] lacks {ink} or {ground}, or one of them is no color like #22262a"
                )));
            };
            findings.extend(finding(&pair, contrast(ink, ground), &file));
        }
    }
    Ok(findings)
}

fn all_pairs<'i>(palette: &'i str, pairs: &'i Table) -> Vec<Pair<'i>> {
    let of_kind = |kind: &str, least: f64| {
        let grounds = pairs.get(kind).and_then(Value::as_table).into_iter().flatten();
        grounds.flat_map(move |(ground, inks)| {
            let inks = inks.as_array().into_iter().flatten().filter_map(Value::as_str);
            inks.map(move |ink| Pair { palette, ink, ground, least })
        })
    };
    of_kind("letters", LETTERS).chain(of_kind("lines", LINES)).collect()
}

/// The two colors; a ground of "none" is the paper.
fn colors(palette: &Table, pair: &Pair) -> Option<(Color, Color)> {
    let ground = match look_up(palette, pair.ground)? {
        "none" => look_up(palette, "paper")?,
        ground => ground,
    };
    Some((Color::parse(look_up(palette, pair.ink)?)?, Color::parse(ground)?))
}

/// `ink`, or `danger.letters`.
fn look_up<'i>(palette: &'i Table, role: &str) -> Option<&'i str> {
    match role.split_once('.') {
        Some((part, role)) => palette.get(part)?.get(role)?.as_str(),
        None => palette.get(role)?.as_str(),
    }
}

fn finding(pair: &Pair, ratio: f64, file: &str) -> Option<Finding> {
    let Pair { palette, ink, ground, least } = pair;
    if ratio >= *least {
        return None;
    }
    // Cut, not rounded: 4.497 must not read as 4.5.
    let shown = (ratio * 100.0).floor() / 100.0;
    let message = format!(
        "In the palette {palette}, {ink} on {ground} has a contrast of {shown:.2} : 1; it needs {least} : 1 (WCAG 2.2)."
    );
    let finding = Finding::of(&rules::CONTRAST_LOW, Place::whole(file), message);
    Some(finding.says(format!("{ink} on {ground}")).mend("Make the one darker or the other lighter."))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Computed with wcag-contrast-ratio 0.9 and equal in tinycolor2; the folder's README tells more.
    const REFERENCE: &str = include_str!("../../tests/reference/contrast/pairs.csv");

    #[test]
    fn contrast_is_that_of_the_reference() {
        let mut reader = csv::Reader::from_reader(REFERENCE.as_bytes());
        let mut looked_at = 0;
        for row in reader.records() {
            let row = row.unwrap();
            let color = |at: usize| Color::parse(&row[at]).unwrap();
            let number = |at: usize| row[at].parse::<f64>().unwrap();
            let near = |value: f64, at: usize| assert!((value - number(at)).abs() < 1e-9, "{}", &row[0]);
            near(color(1).luminance(), 3);
            near(color(2).luminance(), 4);
            let ratio = contrast(color(1), color(2));
            near(ratio, 5);
            for (least, at) in [(4.5, 7), (3.0, 8), (7.0, 9)] {
                assert_eq!(ratio >= least, &row[at] == "pass", "{} at {least}", &row[0]);
            }
            looked_at += 1;
        }
        assert_eq!(looked_at, 44);
    }

    #[test]
    fn the_built_in_theme_can_be_read() {
        assert_eq!(too_faint(&Theme::plain()).unwrap(), []);
        let inks: Table = str::from_utf8(Theme::plain().file(FILE).unwrap()).unwrap().parse().unwrap();
        let pairs = inks["pairs"].as_table().unwrap();
        // Every text role of the palette stands in a pair, so that none goes unchecked.
        let named: Vec<String> = all_pairs("color", pairs).iter().map(|pair| pair.ink.to_owned()).collect();
        for role in [
            "ink",
            "quiet",
            "juniper",
            "clay",
            "line",
            "danger.letters",
            "warning.letters",
            "caution.letters",
        ] {
            assert!(named.iter().any(|name| name == role), "{role} is set on nothing");
        }
    }

    #[test]
    fn what_is_too_faint_is_told_with_its_palette() {
        let inks = "[color]\nink = \"#777777\"\npaper = \"#ffffff\"\n[pairs.letters]\npaper = [\"ink\"]\n";
        let theme = Theme::of_files([(FILE, inks.as_bytes())]);
        let findings = too_faint(&theme).unwrap();
        assert_eq!(findings.len(), 1);
        assert!(
            findings[0].message.contains("palette color, ink on paper has a contrast of 4.47"),
            "{}",
            findings[0].message
        );
        let lost = inks.replace("\"ink\"]", "\"pencil\"]");
        assert!(too_faint(&Theme::of_files([(FILE, lost.as_bytes())])).is_err());
    }
}
