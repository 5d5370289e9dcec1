//! What a sheet fits to its room by measuring, and a name for all that decides how.

use super::data;
use crate::digest::hex;
use serde::Serialize;
use sha2::{Digest, Sha256};

/// Something that a template lays out at several settings, to keep one: a slide, a chapter, a handout. Where the same
/// was fitted before, by the same theme, the press hands back what was found, and nothing is measured again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fit {
    /// What its template calls it: [`fit_key`].
    pub key: String,
    /// The program's pictures that stand in it.
    pub pictures: Vec<String>,
}

/// One name for all that decides how something is fitted, but for the theme, the bytes of pictures, and paper, ink and
/// language of the piece. It stands in the template's data.
pub fn fit_key(what: &impl Serialize) -> String {
    hex(&Sha256::digest(data(what).to_string())[..16])
}
