//! What stands on a page: blocks and words, with every address as a page has it.

use crate::pieces::tree::{Align, CueWord, Series};
use schemars::JsonSchema;
use serde::Serialize;

/// What stands on a page by itself, one below the other.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum PageBlock {
    Heading {
        /// From 2 on, and none is left out.
        level: u8,
        inlines: Vec<PageInline>,
    },
    Paragraph {
        inlines: Vec<PageInline>,
    },
    List {
        /// The first number of a numbered list; null for one with bullets.
        start: Option<u64>,
        /// Whether any item has a box.
        tasks: bool,
        items: Vec<PageItem>,
    },
    Table {
        /// Whether its rows become stacks on a narrow screen.
        stacks: bool,
        head: Vec<PageCell>,
        rows: Vec<Vec<PageCell>>,
    },
    Cue {
        cue: CueWord,
        blocks: Vec<PageBlock>,
    },
    Quote {
        blocks: Vec<PageBlock>,
    },
    Code {
        text: String,
    },
    Rule,
    Picture(PagePicture),
    /// In the place of a picture that cannot be shown.
    MissingPicture {
        /// What it would show, in words.
        alt: String,
    },
    Series(Box<PageSeries>),
    /// Where the figures of the block after this one come from, to stand beside it where there is room. Each figure
    /// leads to its source anyhow.
    Sources {
        sources: Vec<PageSource>,
    },
}

/// A source, with the figures that are taken from it.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PageSource {
    /// The figures as they are printed.
    pub figures: Vec<String>,
    pub source: String,
}

/// An item of a list.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PageItem {
    /// Whether its box is ticked; null where it has none.
    pub task: Option<bool>,
    pub blocks: Vec<PageBlock>,
}

/// A cell of a table.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PageCell {
    pub align: Align,
    /// The words of its column's head, for screens on which a row is a stack; null where it has none.
    pub column: Option<String>,
    pub inlines: Vec<PageInline>,
}

/// Words of a page.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum PageInline {
    Text {
        text: String,
    },
    Emphasis {
        inlines: Vec<PageInline>,
    },
    Strong {
        inlines: Vec<PageInline>,
    },
    Struck {
        inlines: Vec<PageInline>,
    },
    Code {
        text: String,
    },
    Link {
        /// Relative to this page, or an address of the web that may be followed.
        href: String,
        inlines: Vec<PageInline>,
    },
    /// A figure that a fact backs.
    Figure {
        /// The name of the fact in `facts.toml`.
        fact: String,
        /// Its id on this page.
        id: String,
        /// Where the fact is told of.
        href: String,
        /// As they are to be printed.
        words: String,
    },
    /// A term of the glossary where the page uses it first.
    Term {
        /// Its id on this page.
        id: String,
        /// The address of what the term means.
        href: String,
        words: String,
    },
    /// The mark of a foot note.
    Note {
        /// From 1: its place in the page's `notes`.
        number: usize,
    },
    Picture(PagePicture),
    /// In the place of a picture that cannot be shown.
    MissingPicture {
        /// What it would show, in words.
        alt: String,
    },
    SoftBreak,
    HardBreak,
    /// What an edition has from the main one keeps its language.
    Language {
        /// A BCP 47 tag.
        language: String,
        inlines: Vec<PageInline>,
    },
}

/// A picture of the program.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(inline)]
pub struct PagePicture {
    /// Its address, relative to this page.
    pub src: String,
    /// What it shows, in words; a template hands it on as alternative text.
    pub alt: String,
    /// Stands under the picture; null where there is none.
    pub caption: Option<String>,
}

/// A fact that is a series of values, with its drawings: wide and narrow, by day and by night.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(inline)]
pub struct PageSeries {
    #[serde(flatten)]
    pub series: Series,
    /// Its id on this page.
    pub id: String,
    pub src: String,
    pub src_narrow: String,
    pub src_night: String,
    pub src_narrow_night: String,
    /// Where the fact is told of; null where it is not.
    pub href: Option<String>,
}

/// A section of a lesson on a page.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PageSection {
    pub id: String,
    /// The section's own address on this page.
    pub href: String,
    pub heading: Vec<PageInline>,
    /// The heading in plain words.
    pub heading_text: String,
    pub blocks: Vec<PageBlock>,
}

/// Something that leads to another page.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PageLink {
    /// In plain words.
    pub title: String,
    /// Relative to this page.
    pub href: String,
}

/// A day, for a template to write in its language.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PageDay {
    /// 2026-05-16.
    pub iso: String,
    pub year: i16,
    pub month: i8,
    pub day: i8,
}

impl PageDay {
    pub(super) fn of_all(dates: &[jiff::civil::Date]) -> Vec<Self> {
        dates.iter().map(|date| Self::from(*date)).collect()
    }
}

impl From<jiff::civil::Date> for PageDay {
    fn from(date: jiff::civil::Date) -> Self {
        Self { iso: date.to_string(), year: date.year(), month: date.month(), day: date.day() }
    }
}
