//! Imposition: which page goes where on which sheet. Pure arithmetic; it knows nothing of programs or of PDFs.
//!
//! | file | for |
//! | --- | --- |
//! | `saddle` | booklets folded once and stapled through the fold |
//! | `tiles` | a large sheet cut into small ones that overlap |
//! | `label_grid` | labels in columns and rows on a sheet |
//! | `paper` | sheets of paper, lengths |
//! | `panels` | a sheet folded twice into three panels |
//!
//! All lengths are exact. They may be of any measure, as long as it is one.

pub mod label_grid;
pub mod panels;
mod paper;
pub mod saddle;
pub mod tiles;

pub use paper::{Paper, points, size, two_lengths};

/// The way in which a language is read, and so the edge at which its books are bound.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reading {
    LeftToRight,
    RightToLeft,
}

/// Languages that are written from right to left (Unicode CLDR, `characterOrder`).
const RIGHT_TO_LEFT: [&str; 12] = ["ar", "arc", "ckb", "dv", "fa", "he", "ks", "nqo", "ps", "sd", "ug", "ur"];

impl Reading {
    /// By the language's BCP 47 tag: `ar-EG`. Yiddish (`yi`) and Hebrew's old tag (`iw`) count too.
    pub fn of(language: &str) -> Self {
        let language = language.split('-').next().unwrap_or_default().to_lowercase();
        match language.as_str() {
            "yi" | "iw" => Self::RightToLeft,
            other if RIGHT_TO_LEFT.contains(&other) => Self::RightToLeft,
            _ => Self::LeftToRight,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn books_are_bound_where_their_language_begins() {
        assert_eq!(Reading::of("en"), Reading::LeftToRight);
        assert_eq!(Reading::of("ar-EG"), Reading::RightToLeft);
        assert_eq!(Reading::of("HE"), Reading::RightToLeft);
        assert_eq!(Reading::of("arn"), Reading::LeftToRight);
    }
}
