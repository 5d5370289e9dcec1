//! `--version`: which packstring this is, and which looks are built into it.

use crate::press::Theme;

/// What the release was built from, where whoever built it said so.
const BUILT_FROM: Option<&str> = option_env!("PACKSTRING_BUILT_FROM");

/// `packstring 0.1.0, built from 1c2d3e4; theme plain 5f6a7b8c`. Two that say the same make the same bytes.
pub fn told() -> String {
    let built_from = BUILT_FROM.map(|commit| format!(", built from {commit}")).unwrap_or_default();
    let theme = Theme::plain().fingerprint();
    format!("packstring {}{built_from}; theme plain {}", env!("CARGO_PKG_VERSION"), &theme[..8])
}
