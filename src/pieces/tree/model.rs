//! What lessons and prose are as templates are given them.
//!
//! The types are the promise to who makes a theme: `docs/theme/schemas/` is written from them, and what stands
//! here about a field stands there too.

use crate::program::lesson::Cue;
use schemars::JsonSchema;
use serde::Serialize;

/// A lesson with everything in it. Pieces that show its sections in a form of their own put them in their place.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[schemars(rename = "Lesson")]
pub struct Lesson<S = Section> {
    /// The name of its file without the ending.
    pub id: String,
    /// The language (BCP 47) of what an edition has from the main one; null where it is the piece's own.
    pub language: Option<String>,
    pub title: Vec<Inline>,
    /// The title in plain words.
    pub title_text: String,
    /// How long it takes, as the syllabus says; null where it is not in the syllabus.
    pub minutes: Option<u32>,
    /// Who gives it; null where nobody is named.
    pub who: Option<String>,
    /// Its number in the syllabus, from 1.
    pub number: Option<usize>,
    /// What stands before the first section.
    pub opening: Vec<Block>,
    pub sections: Vec<S>,
}

/// A section of a lesson.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Section {
    /// Made of its heading's words, and unique in the lesson.
    pub id: String,
    pub heading: Vec<Inline>,
    /// The heading in plain words.
    pub heading_text: String,
    pub blocks: Vec<Block>,
}

/// What stands in a lesson by itself, one below the other.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Block {
    Heading {
        /// From 3 on; 1 is the title, 2 a section.
        level: u8,
        inlines: Vec<Inline>,
    },
    Paragraph {
        inlines: Vec<Inline>,
    },
    List {
        /// The first number of a numbered list; null for one with bullets.
        start: Option<u64>,
        items: Vec<Item>,
    },
    Table {
        /// How each column is set.
        align: Vec<Align>,
        head: Vec<Vec<Inline>>,
        rows: Vec<Vec<Vec<Inline>>>,
    },
    Cue {
        cue: CueWord,
        blocks: Vec<Block>,
        /// In the handbook, the name under which the page of a signal box can be told.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schemars(with = "String")]
        anchor: Option<String>,
    },
    Quote {
        blocks: Vec<Block>,
    },
    Code {
        text: String,
    },
    Rule,
    Picture(Picture),
    Series(Series),
}

/// An item of a list.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Item {
    /// Whether its box is ticked; null where it has none.
    pub task: Option<bool>,
    pub blocks: Vec<Block>,
}

/// To which side the cells of a column are set. Start is the left where lines run from left to right.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Align {
    Start,
    Center,
    End,
}

/// A cue's word in lower case.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CueWord {
    Say,
    Ask,
    Bring,
    Try,
    Caution,
    Warning,
    Danger,
}

impl From<Cue> for CueWord {
    fn from(cue: Cue) -> Self {
        match cue {
            Cue::Say => Self::Say,
            Cue::Ask => Self::Ask,
            Cue::Bring => Self::Bring,
            Cue::Try => Self::Try,
            Cue::Caution => Self::Caution,
            Cue::Warning => Self::Warning,
            Cue::Danger => Self::Danger,
        }
    }
}

/// Words, with emphasis, links and figures. Nothing in them is ever a template's code.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Inline {
    Text {
        text: String,
    },
    Emphasis {
        inlines: Vec<Inline>,
    },
    Strong {
        inlines: Vec<Inline>,
    },
    Struck {
        inlines: Vec<Inline>,
    },
    Code {
        text: String,
    },
    Link {
        to: Target,
        inlines: Vec<Inline>,
    },
    /// A figure that a fact backs.
    Figure {
        /// The name of the fact in `facts.toml`.
        fact: String,
        /// As they are to be printed.
        words: String,
    },
    Picture(Picture),
    Footnote {
        blocks: Vec<Block>,
    },
    SoftBreak,
    HardBreak,
    /// What an edition has from the main one keeps its language.
    Language {
        /// A BCP 47 tag.
        language: String,
        inlines: Vec<Inline>,
    },
    /// In the handbook, before a word that the index lists.
    IndexMark {
        /// The word as the index's `mark` has it.
        word: String,
    },
}

/// Where a link leads.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum Target {
    /// To an address of the web.
    Address { address: String },
    /// To a lesson, and maybe a section of it.
    Lesson {
        lesson: String,
        section: Option<String>,
        /// What the lesson is called; null where there is none of that name.
        title: Option<String>,
    },
}

/// A picture of the program.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(inline)]
pub struct Picture {
    /// Its path below `/program/`, where a template finds it.
    pub file: String,
    /// What it shows, in words; a template hands it on as alternative text.
    pub alt: String,
    /// Stands under the picture; null where there is none.
    pub caption: Option<String>,
}

/// A fact that is a series of values, drawn as a chart or set as a table.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(inline)]
pub struct Series {
    /// The name of the fact in `facts.toml`.
    pub fact: String,
    pub title: String,
    #[serde(rename = "as")]
    pub shown: SeriesForm,
    pub draw: Draw,
    pub columns: Vec<Column>,
    /// The values as the facts file has them, a row a point.
    pub rows: Vec<Vec<String>>,
    /// Where the fact comes from; empty where that is not said.
    pub source: String,
    /// What the drawing shows, in words; a template hands it on as alternative text.
    pub alt: String,
}

/// A series by itself, with the kind that it has in a tree.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum SeriesAlone {
    Series(Series),
}

/// How a series is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SeriesForm {
    Table,
    Chart,
}

/// How a chart is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Draw {
    Line,
    Bars,
}

/// A column of a series.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Column {
    pub name: String,
    /// Empty where it has none.
    pub unit: String,
}
