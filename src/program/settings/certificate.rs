//! `[certificate]`: what the certificates say, and how they look.

use super::{optional, picture_path};
use crate::finding::rules;
use crate::program::Written;
use crate::program::form::Form;
use crate::program::lesson::Prose;

/// The `[certificate]` table.
#[derive(Clone, Debug, Default)]
pub struct CertificateWords {
    /// The theme has its own words where these are missing.
    pub title: Option<String>,
    pub text: Option<Prose>,
    /// For all events that name none of their own.
    pub design: Design,
    pub border: Border,
    /// A picture of the program's own: `pictures/seal.svg`.
    pub seal: Option<Written>,
    /// Where a companion is named beside the person.
    pub companion: KindWords,
    /// For awards of the service unit.
    pub award: KindWords,
    /// Whether one certificate names all companions of a person at an event; else each has a certificate.
    pub companions: Companions,
    /// How much of a certificate's signed record its code holds.
    pub code: CodeForm,
    /// For how many months a certificate of an event holds; `None`: for good.
    pub valid_for: Option<i32>,
}

/// What a person with several companions at one event is given.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Companions {
    /// A certificate with each.
    #[default]
    Each,
    /// One certificate that names all.
    Together,
}

/// How much of a certificate's signed record its code holds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum CodeForm {
    /// What tells one certificate from others of its occasion: a checker has the occasion from the register or from
    /// the site.
    #[default]
    Short,
    /// All words, for those who have neither.
    Whole,
}

/// Words of one kind of certificate; what is missing here is as for all.
#[derive(Clone, Debug, Default)]
pub struct KindWords {
    pub title: Option<String>,
    pub text: Option<Prose>,
    pub design: Option<Design>,
}

/// How a certificate is laid out. Each stands in the theme's `sheets/lib/certificate/designs.typ`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Design {
    #[default]
    Landscape,
    Portrait,
    /// Half of the program's paper.
    HalfSheet,
    /// A quarter of the program's paper, for children.
    Child,
}

/// The line around a certificate.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Border {
    /// A line, and the string of packs at its foot.
    #[default]
    String,
    Line,
    None,
}

impl Design {
    const NAMES: [(&'static str, Self); 4] = [
        ("landscape", Self::Landscape),
        ("portrait", Self::Portrait),
        ("half sheet", Self::HalfSheet),
        ("child", Self::Child),
    ];

    /// As `program.toml` names it.
    pub fn name(self) -> &'static str {
        let known = Self::NAMES.iter().find(|(_, design)| *design == self);
        known.expect("every design is in the table").0
    }

    pub(super) fn read(table: &mut Form, key: &'static str) -> Option<Self> {
        table.choice(key, &Self::NAMES)
    }

    /// The same where there may be no certificate at all: then `Some(None)`.
    pub(super) fn read_or_none(table: &mut Form, key: &'static str) -> Option<Option<Self>> {
        let named = Self::NAMES.map(|(name, design)| (name, Some(design)));
        table.choice(key, &[named.as_slice(), &[("none", None)]].concat())
    }
}

impl Border {
    const NAMES: [(&'static str, Self); 3] =
        [("string", Self::String), ("line", Self::Line), ("none", Self::None)];

    /// As `program.toml` names it.
    pub fn name(self) -> &'static str {
        let known = Self::NAMES.iter().find(|(_, border)| *border == self);
        known.expect("every border is in the table").0
    }
}

impl CertificateWords {
    pub(super) fn read(mut table: Form) -> Self {
        let kind =
            |table: &mut Form, key, name| table.form(key, name).map(KindWords::read).unwrap_or_default();
        let words = Self {
            title: optional(table.text("title")),
            text: table.prose("text"),
            design: Design::read(&mut table, "design").unwrap_or_default(),
            border: table.choice("border", &Border::NAMES).unwrap_or_default(),
            seal: picture_path(&mut table, "seal"),
            companion: kind(&mut table, "companion", "[certificate.companion] table"),
            award: kind(&mut table, "award", "[certificate.award] table"),
            companions: table
                .choice("companions", &[("each", Companions::Each), ("together", Companions::Together)])
                .unwrap_or_default(),
            code: table
                .choice("code", &[("short", CodeForm::Short), ("whole", CodeForm::Whole)])
                .unwrap_or_default(),
            valid_for: valid_for(&mut table),
        };
        table.finish();
        words
    }

    /// All prose of the table.
    pub fn prose(&self) -> impl Iterator<Item = &Prose> {
        [&self.text, &self.companion.text, &self.award.text].into_iter().flatten()
    }
}

impl KindWords {
    fn read(mut table: Form) -> Self {
        let words = Self {
            title: optional(table.text("title")),
            text: table.prose("text"),
            design: Design::read(&mut table, "design"),
        };
        table.finish();
        words
    }
}

/// `"2 years"`, `"18 months"`, in months.
fn valid_for(table: &mut Form) -> Option<i32> {
    const MOST: i32 = 1200;
    let written = table.text("valid-for")?;
    let read = || {
        let (count, unit) = written.text.trim().split_once(' ')?;
        let count: i32 = count.parse().ok().filter(|count| (1..=MOST).contains(count))?;
        let months = match unit.trim() {
            "year" | "years" => count.checked_mul(12)?,
            "month" | "months" => count,
            _ => return None,
        };
        (months <= MOST).then_some(months)
    };
    let months = read();
    if months.is_none() {
        let message = format!("“{}” is not a time that a certificate can be valid for.", written.text);
        table.tell(
            &rules::VALUE_UNFIT,
            written.place,
            message,
            "Write a time such as \"2 years\" or \"18 months\".",
        );
    }
    months
}
