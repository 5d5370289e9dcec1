//! Styles: of a style sheet the rules that the print follows too, written anew; of any value, whether it stays within
//! the drawing.
//!
//! What fetches something is a function with an address (`url(…)`, `image-set(…)`), or an at-rule. So values may hold
//! only functions that are known to fetch nothing, and `url` only of something in the drawing; a backslash, behind
//! which a letter can hide, may not stand there at all; at-rules are not written.

use super::super::Unfit;
use super::OUTSIDE;
use simplecss::StyleSheet;

/// Functions of values and selectors that fetch nothing.
const FUNCTIONS: &[&str] = &[
    "rgb",
    "rgba",
    "hsl",
    "hsla",
    "hwb",
    "lab",
    "lch",
    "oklab",
    "oklch",
    "color",
    "color-mix",
    "icc-color",
    "device-cmyk",
    "calc",
    "min",
    "max",
    "clamp",
    "var",
    "matrix",
    "matrix3d",
    "translate",
    "translatex",
    "translatey",
    "translate3d",
    "scale",
    "scalex",
    "scaley",
    "rotate",
    "skew",
    "skewx",
    "skewy",
    "rect",
    "inset",
    "circle",
    "ellipse",
    "polygon",
    "path",
    "blur",
    "brightness",
    "contrast",
    "drop-shadow",
    "grayscale",
    "hue-rotate",
    "invert",
    "opacity",
    "saturate",
    "sepia",
    "cubic-bezier",
    "steps",
    "not",
    "is",
    "where",
    "nth-child",
    "nth-of-type",
    "first-child",
    "lang",
];

/// Functions that fetch what they name.
const FETCHING: &[&str] =
    &["url", "src", "image", "image-set", "-webkit-image-set", "cross-fade", "element", "attr"];

/// A style sheet as the print reads it.
pub(super) fn sheet(text: &str) -> Result<String, Unfit> {
    check_letters(text)?;
    if text.to_ascii_lowercase().contains("@import") {
        return Err(OUTSIDE.into());
    }
    let rules = StyleSheet::parse(text).to_string();
    check(&rules)?;
    if rules.contains('@') {
        return Err("has a style sheet that cannot be read".into());
    }
    Ok(rules)
}

fn check_letters(text: &str) -> Result<(), Unfit> {
    if text.contains('\\') {
        return Err("has a backslash in a style, behind which anything may hide".into());
    }
    Ok(())
}

/// Whether a value of an attribute or a style sheet stays within the drawing.
pub(super) fn check(value: &str) -> Result<(), Unfit> {
    check_letters(value)?;
    let value = value.to_ascii_lowercase();
    if value.contains("@import") || value.contains("script:") {
        return Err(OUTSIDE.into());
    }
    for (at, _) in value.match_indices('(') {
        let before = &value[..at];
        let name_start = before
            .rfind(|letter: char| !(letter.is_alphanumeric() || letter == '-' || letter == '_'))
            .map_or(0, |end| end + before[end..].chars().next().map_or(1, char::len_utf8));
        let name = &before[name_start..];
        let inside = value[at + 1..].trim_start().trim_start_matches(['"', '\'']).trim_start();
        if name.is_empty() || FUNCTIONS.contains(&name) || (name == "url" && inside.starts_with('#')) {
            continue;
        }
        if FETCHING.contains(&name) {
            return Err(OUTSIDE.into());
        }
        return Err(format!("has a style that packstring does not know: {}(…)", short(name)).into());
    }
    Ok(())
}

fn short(name: &str) -> String {
    name.chars().take(20).collect()
}
