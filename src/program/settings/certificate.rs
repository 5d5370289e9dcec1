//! What the certificates say.

use super::optional;
use crate::program::form::Form;
use crate::program::lesson::Prose;

#[derive(Clone, Debug, Default)]
pub struct CertificateWords {
    pub title: Option<String>,
    pub text: Option<Prose>,
}

impl CertificateWords {
    pub(super) fn read(mut table: Form) -> Self {
        let words = Self { title: optional(table.text("title")), text: table.prose("text") };
        table.finish();
        words
    }
}
