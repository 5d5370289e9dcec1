//! What came of comparing, as it is told: to people in lines and lists, to other programs as JSON.

use schemars::JsonSchema;
use serde::Serialize;

/// The number of the form; it grows when a reader of the old form would be misled.
pub const FORMAT: u32 = 1;

/// What differs between what was printed and what would be printed now.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(title = "What packstring since --as json tells")]
pub struct Comparison {
    /// The number of this form. It grows when a reader of the old form would be misled.
    #[schemars(extend("const" = FORMAT))]
    pub format: u32,
    pub season_was: String,
    pub season_now: String,
    /// Sentences that differ in the season's name alone. They make no piece stale.
    pub only_season: usize,
    /// Sentences of which only the page is another, where both pages are known. They make no piece stale.
    pub only_page: usize,
    /// The facts that are another now, those of safety first.
    pub facts: Vec<FactChange>,
    /// What differs, the dangerous first.
    pub changes: Vec<Change>,
    /// Every piece, the dangerous first.
    pub pieces: Vec<PieceNow>,
    /// Questions that old sheets and keys no longer fit.
    pub answers: Vec<AnswersChange>,
    /// Texts of other languages that say what the main one no longer says.
    pub translate_again: Vec<TranslateAgain>,
    /// Sheets with personal data, by piece; counts and no names.
    pub private: Vec<OnShelf>,
}

/// How bad it is that old paper is in use.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Level {
    /// A safety fact is another.
    Safety,
    /// Another figure is.
    Figure,
    /// Only words are.
    Words,
    /// Only the day of an event is. It makes no piece stale.
    Date,
}

/// A fact that is another now.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct FactChange {
    /// In `facts.toml`.
    pub name: String,
    /// The event that it holds for, by id.
    pub at: Option<String>,
    pub safety: bool,
    pub was: String,
    /// Null where it is gone.
    pub now: Option<String>,
    pub source: Option<String>,
    pub as_of: Option<String>,
    /// Whether it is to be asked why: its source and the day on which that was looked at are the same.
    pub asked: bool,
}

/// A sentence that is another now, and where it stands.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Change {
    pub level: Level,
    /// The language of its edition.
    pub edition: String,
    /// Null where it is new.
    pub was: Option<String>,
    /// Null where it is gone.
    pub now: Option<String>,
    /// The lesson's file; null where it comes from elsewhere.
    pub file: Option<String>,
    pub section: Option<String>,
    /// The word of the signal box that it stands in.
    pub signal: Option<String>,
    /// The facts in it that are another now.
    pub facts: Vec<String>,
    /// Whether the sentence still says what the fact no longer is.
    pub not_restated: bool,
    pub stands: Vec<Stands>,
}

/// A piece's file in which a sentence stands.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Stands {
    /// The piece's name.
    pub piece: String,
    /// Its key among the theme's words.
    #[serde(skip)]
    pub key: String,
    /// Below its shelf.
    pub path: String,
    /// Whether it is a page for screens, and no paper.
    pub on_screen: bool,
    /// The pages on which it stood, as far as they are known.
    pub pages: Vec<usize>,
}

/// What has become of a piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// A safety fact in it is another.
    ReprintSafety,
    /// Another figure in it is.
    Reprint,
    /// Only words in it are.
    Words,
    New,
    Gone,
    /// Nothing in it is but the season's name, days and pages.
    Good,
}

/// A piece's file.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PieceNow {
    pub verdict: Verdict,
    pub edition: String,
    /// The piece's name.
    pub piece: String,
    /// Its key among the theme's words.
    #[serde(skip)]
    pub key: String,
    pub shelf: String,
    /// Below its shelf.
    pub path: String,
    /// Whether it is a page for screens, and no paper.
    pub on_screen: bool,
    /// Its pages when it was made; null where they are not known.
    pub pages: Option<usize>,
    /// How many sentences in it are other ones.
    pub changes: usize,
    /// The pictures in it that are other ones, by their files.
    pub pictures: Vec<String>,
}

/// What became of a question.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum QuestionChange {
    /// Another answer is right.
    Key,
    /// What is asked for or to be chosen from is another.
    Choices,
    /// It has another number on the sheet.
    Number,
    New,
    Gone,
}

/// A question that old sheets or old keys do not fit.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct AnswersChange {
    pub edition: String,
    /// The version of the sheet.
    pub version: String,
    /// The question's id.
    pub question: String,
    pub change: QuestionChange,
    /// What was right, to be chosen from, or the number; null where it is new.
    pub was: Option<String>,
    /// The same now; null where it is gone.
    pub now: Option<String>,
}

/// A text whose main words were changed and whose translation was not.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct TranslateAgain {
    /// The language to translate into.
    pub edition: String,
    /// `lessons/water`, `questions/lead-length`, `kits/day`
    pub text: String,
}

/// Sheets with personal data.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct OnShelf {
    /// The piece's name.
    pub piece: String,
    pub was: usize,
    pub now: usize,
    /// Those of now that are as they were.
    pub same: usize,
}

impl PieceNow {
    /// Sheets of paper, printed on both sides; none on screens, and where the pages are not known.
    pub fn sheets(&self) -> Option<usize> {
        self.pages.filter(|_| !self.on_screen).map(|pages| pages.div_ceil(2))
    }

    /// How many sentences and pictures in it are other ones.
    pub fn all_changes(&self) -> usize {
        self.changes + self.pictures.len()
    }
}

impl Comparison {
    /// Whether no piece that was printed is out of date, and nothing is to be translated or asked.
    pub fn is_clear(&self) -> bool {
        self.pieces.iter().all(|piece| piece.verdict == Verdict::Good || piece.on_screen)
            && self.answers.is_empty()
            && self.translate_again.is_empty()
            && !self.facts.iter().any(|fact| fact.asked)
    }
}
