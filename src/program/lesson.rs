//! Lessons: CommonMark read into one typed tree that keeps where everything stands.
//!
//! SourceMap in a tree are bytes of the lesson's file. Prose in TOML strings is read by the same
//! reader into [`Prose`].

use crate::finding::{FileName, Place};
use crate::languages;

/// A lesson: a title, what opens it, and its sections.
#[derive(Clone, Debug)]
pub struct Lesson {
    /// The file's name without folder and ending: `before-the-ride`.
    pub id: String,
    pub file: FileName,
    /// The `#` heading.
    pub title: Vec<Inline>,
    pub title_place: Place,
    /// What stands before the first `##`.
    pub opening: Vec<Block>,
    pub sections: Vec<Section>,
}

/// A `##` heading and what follows it; one slide of the deck.
#[derive(Clone, Debug)]
pub struct Section {
    /// Made from the heading's words, unique in the lesson: `on-the-trail`.
    pub id: String,
    pub heading: Vec<Inline>,
    pub place: Place,
    pub blocks: Vec<Block>,
}

/// Inline CommonMark from a string in a TOML file.
#[derive(Clone, Debug, PartialEq)]
pub struct Prose {
    pub inlines: Vec<Inline>,
    pub place: Place,
}

/// What stands in a lesson by itself, one below the other.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// `###` and below.
    Heading {
        level: u8,
        inlines: Vec<Inline>,
        place: Place,
    },
    Paragraph {
        inlines: Vec<Inline>,
        place: Place,
    },
    List {
        start: Option<u64>,
        items: Vec<Item>,
        place: Place,
    },
    Table {
        align: Vec<Align>,
        head: Vec<Cell>,
        rows: Vec<Vec<Cell>>,
        place: Place,
    },
    Cue {
        cue: Cue,
        blocks: Vec<Block>,
        place: Place,
    },
    Quote {
        blocks: Vec<Block>,
        place: Place,
    },
    Code {
        text: String,
        place: Place,
    },
    Rule {
        place: Place,
    },
    /// A paragraph that holds nothing but one picture.
    Picture(Picture),
    /// A paragraph that holds nothing but one fact series: `![…](fact:ground-heat)`.
    Series(SeriesView),
}

impl Block {
    /// Whether a slide shows it: lists, tables, pictures, series, asks and signal boxes, set in the
    /// section itself. The rest of the section is for the handbook or the presenter.
    pub fn stands_on_slide(&self) -> bool {
        match self {
            Self::List { .. } | Self::Table { .. } | Self::Picture(_) | Self::Series(_) => true,
            Self::Cue { cue, .. } => *cue == Cue::Ask || cue.is_signal(),
            Self::Heading { .. }
            | Self::Paragraph { .. }
            | Self::Quote { .. }
            | Self::Code { .. }
            | Self::Rule { .. } => false,
        }
    }
}

/// An item of a list.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// `Some` for a task list's item: whether it is ticked.
    pub task: Option<bool>,
    pub blocks: Vec<Block>,
    pub place: Place,
}

/// A cell of a table.
#[derive(Clone, Debug, PartialEq)]
pub struct Cell {
    pub inlines: Vec<Inline>,
    pub place: Place,
}

/// To which side the cells of a column are set. Start is the left where lines run from left to right.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    Start,
    Center,
    End,
}

/// The words a block quote may start with, each with its own part in the pieces.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Cue {
    Say,
    Ask,
    Bring,
    Try,
    /// Signal words of ANSI Z535.4, printed boxed in every piece that carries their section.
    Caution,
    Warning,
    Danger,
}

impl Cue {
    pub const ALL: [Self; 7] =
        [Self::Say, Self::Ask, Self::Bring, Self::Try, Self::Caution, Self::Warning, Self::Danger];

    /// packstring's own word for it, by which the tables of languages name it.
    fn name(self) -> &'static str {
        match self {
            Self::Say => "say",
            Self::Ask => "ask",
            Self::Bring => "bring",
            Self::Try => "try",
            Self::Caution => "caution",
            Self::Warning => "warning",
            Self::Danger => "danger",
        }
    }

    /// The word that starts the block quote in English, without the colon.
    pub fn word(self) -> &'static str {
        self.words().next().unwrap_or_default()
    }

    /// The words that start it in every language that packstring knows, English first.
    pub fn words(self) -> impl Iterator<Item = &'static str> {
        languages::all().iter().filter_map(move |language| language.cues.get(self.name())).map(String::as_str)
    }

    /// Whether it is a signal word.
    pub fn is_signal(self) -> bool {
        matches!(self, Self::Caution | Self::Warning | Self::Danger)
    }
}

/// A picture of the program, with the words that stand for it.
#[derive(Clone, Debug, PartialEq)]
pub struct Picture {
    /// Relative to the program folder: `pictures/high-line.svg`.
    pub file: String,
    /// Read aloud to who cannot see the picture.
    pub alt: String,
    pub caption: Option<String>,
    pub place: Place,
}

/// A place at which a lesson shows a series, drawn or as a table.
#[derive(Clone, Debug, PartialEq)]
pub struct SeriesView {
    pub fact: String,
    pub title: String,
    pub as_table: bool,
    pub place: Place,
}

/// What stands in a line of text.
#[derive(Clone, Debug, PartialEq)]
pub enum Inline {
    /// Text without markup. `place` covers its source, which is longer than the text where
    /// entities or escapes were read.
    Text {
        text: String,
        place: Place,
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
        place: Place,
    },
    Link {
        target: Target,
        inlines: Vec<Inline>,
        place: Place,
    },
    /// A backed figure: `[ten feet](fact:lead-length?unit=m)`.
    Backed(Backed),
    Picture(Picture),
    /// A footnote's text, where its mark stands.
    Footnote {
        blocks: Vec<Block>,
        place: Place,
    },
    SoftBreak,
    HardBreak,
}

/// A figure with a link to the fact that backs it: `[ten feet](fact:lead-length)`.
#[derive(Clone, Debug, PartialEq)]
pub struct Backed {
    pub fact: String,
    /// `?unit=m`
    pub unit: Option<String>,
    /// The words between the brackets; `…` alone leaves them to the fact.
    pub words: String,
    /// The words between the brackets.
    pub words_place: Place,
    /// The whole link.
    pub place: Place,
}

impl Backed {
    /// Whether the words are left to the fact.
    pub fn is_open(&self) -> bool {
        matches!(self.words.trim(), "…" | "...")
    }
}

/// What a link leads to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Target {
    /// `https:`, `mailto:` or `tel:`.
    Address(String),
    /// Another lesson, and perhaps one of its sections.
    Lesson { id: String, section: Option<String> },
    /// A section of the same lesson.
    Section(String),
}
