//! The print record: what an edition of the program says in print, by piece and page, so that it can be compared later.
//!
//! It holds the words and figures of the open and the staff shelf, and so the answer key too: it belongs where
//! `questions.toml` is. Nothing in it is personal. Of the private shelf it has nothing but a mark for each sheet, made
//! from what stands on it, which tells whether the same sheet would be made again.
//!
//! Each sentence stands in it once an edition, whatever number of pieces say it.

use super::said::{Quoted, Said};
use crate::program::history::State;
use jiff::civil::Date;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// Raised when a reader of today could misread tomorrow's record.
pub const FORMAT: u32 = 1;

/// What stands in print.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[schemars(title = "What make --keep-record keeps")]
#[serde(deny_unknown_fields)]
pub struct PrintRecord {
    /// The number of this form. It grows when a reader of the old form would be misled.
    #[schemars(extend("const" = FORMAT))]
    pub format: u32,
    /// The name of the program.
    pub program: String,
    pub agency: String,
    pub season: String,
    /// All facts, as they were.
    pub facts: Vec<FactThen>,
    /// The main edition first.
    pub editions: Vec<EditionThen>,
    /// By piece, a mark for each sheet with personal data; the same mark, the same sheet.
    pub private: BTreeMap<String, Vec<String>>,
}

/// A fact as it was.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FactThen {
    pub name: String,
    /// The event that it holds for, by id.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<String>,
    pub value: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limit: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub worked_from: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("format" = "date"))]
    pub as_of: Option<String>,
    #[serde(default, skip_serializing_if = "is_false")]
    pub safety: bool,
}

/// An edition as it was.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EditionThen {
    /// A BCP 47 tag.
    pub language: String,
    /// Every sentence once.
    pub sentences: Vec<SentenceThen>,
    pub pieces: Vec<PieceThen>,
    /// The question sheets by their versions, each in its order.
    pub sheets: Vec<SheetThen>,
    /// Of each text, a mark of its words without its figures.
    pub texts: BTreeMap<String, TextThen>,
}

/// A sentence, or a row of a table.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SentenceThen {
    pub says: String,
    /// The backed figures in it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub quotes: Vec<Quoted>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lesson: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub section: Option<String>,
    /// `warning`: the signal box that it stands in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub signal: Option<String>,
}

/// A sentence in a file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SaidThen {
    /// Its place in the edition's list.
    pub at: usize,
    /// The pages on which it was found.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub on: Vec<usize>,
}

/// A file of a piece.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PieceThen {
    /// The piece's key: `handbook`.
    pub piece: String,
    pub shelf: String,
    /// Below the shelf.
    pub path: String,
    /// What it was made from, in one number.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<String>,
    /// How many pages the file has, where it was laid out; a booklet has fewer than the pages that it shows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pages: Option<usize>,
    /// What of its data is not printed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub unprinted: Vec<String>,
    /// Its sentences.
    pub says: Vec<SaidThen>,
    /// The same that its pages leave out, though they show others of their kind.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub left_out: Vec<usize>,
    /// The pictures in it, each with a mark of its bytes.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub pictures: BTreeMap<String, String>,
}

/// A question sheet.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SheetThen {
    pub version: String,
    pub questions: Vec<QuestionThen>,
}

/// A question with its key.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct QuestionThen {
    pub id: String,
    pub asks: String,
    pub kind: String,
    /// In the order of the sheet.
    pub choices: Vec<String>,
    pub right: Vec<String>,
}

/// A text of an edition and the main one that it says.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TextThen {
    /// Of the main edition's text.
    pub main: String,
    /// Of the edition's own; the main edition's own is the same.
    pub own: String,
}

fn is_false(is_true: &bool) -> bool {
    !is_true
}

/// Why a record cannot be compared with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unusable {
    /// It is none, or damaged.
    NoRecord,
    Newer(u32),
}

impl PrintRecord {
    /// # Errors
    /// The bytes are no record, or one of a later packstring.
    pub fn parse(bytes: &[u8]) -> Result<Self, Unusable> {
        #[derive(Deserialize)]
        struct Head {
            format: u32,
        }
        // Only what has the parts of a print record is one; `made.json` has a format too.
        let value: serde_json::Value = serde_json::from_slice(bytes).map_err(|_| Unusable::NoRecord)?;
        if value.get("editions").is_none() || value.get("season").is_none() {
            return Err(Unusable::NoRecord);
        }
        let head: Head = serde_json::from_slice(bytes).map_err(|_| Unusable::NoRecord)?;
        if head.format > FORMAT {
            return Err(Unusable::Newer(head.format));
        }
        let record: Self = serde_json::from_value(value).map_err(|_| Unusable::NoRecord)?;
        let is_whole = |edition: &EditionThen| {
            let is_there = |at: &usize| *at < edition.sentences.len();
            let mut pieces = edition.pieces.iter();
            pieces.all(|piece| {
                piece.says.iter().all(|said| is_there(&said.at)) && piece.left_out.iter().all(is_there)
            })
        };
        if record.editions.iter().all(is_whole) { Ok(record) } else { Err(Unusable::NoRecord) }
    }

    /// The record with what an earlier one has of files that were not planned now and still `stand`. Where not all people
    /// were planned for, the marks of their sheets stay as well.
    pub fn with_rest_of(
        mut self,
        earlier: &Self,
        is_of_all: bool,
        stand: &dyn Fn(&str, &str) -> bool,
    ) -> Self {
        for then in &earlier.editions {
            let Some(edition) = self.editions.iter_mut().find(|it| it.language == then.language) else {
                continue;
            };
            let known: BTreeSet<(String, String)> =
                edition.pieces.iter().map(|piece| (piece.shelf.clone(), piece.path.clone())).collect();
            let mut places: HashMap<SentenceThen, usize> =
                edition.sentences.iter().cloned().enumerate().map(|(at, sentence)| (sentence, at)).collect();
            let is_left = |piece: &&PieceThen| {
                !known.contains(&(piece.shelf.clone(), piece.path.clone()))
                    && stand(&piece.shelf, &piece.path)
            };
            for piece in then.pieces.iter().filter(is_left) {
                let mut piece = piece.clone();
                let says = piece.says.iter_mut().map(|said| &mut said.at);
                for at in says.chain(&mut piece.left_out) {
                    let sentence = &then.sentences[*at];
                    *at = *places.entry(sentence.clone()).or_insert_with(|| {
                        edition.sentences.push(sentence.clone());
                        edition.sentences.len() - 1
                    });
                }
                edition.pieces.push(piece);
            }
        }
        for (piece, marks) in &earlier.private {
            if !is_of_all {
                self.private.insert(piece.clone(), marks.clone());
            } else {
                self.private.entry(piece.clone()).or_insert_with(|| marks.clone());
            }
        }
        self
    }

    /// One line a sentence and piece, so that two records can be held side by side.
    pub fn to_json(&self) -> Vec<u8> {
        let mut json = String::from("{\n");
        let line = |key: &str, value: String| format!("\"{key}\": {value}");
        let plain = |value: &str| serde_json::to_string(value).expect("a string is always JSON");
        json += &line("format", self.format.to_string());
        for (key, value) in [("program", &self.program), ("agency", &self.agency), ("season", &self.season)] {
            json += ",\n";
            json += &line(key, plain(value));
        }
        json += ",\n\"facts\": ";
        json += &lines(&self.facts);
        json += ",\n\"editions\": [";
        for (at, edition) in self.editions.iter().enumerate() {
            json += if at == 0 { "\n{" } else { ",\n{" };
            json += &line("language", plain(&edition.language));
            json += ",\n\"sentences\": ";
            json += &lines(&edition.sentences);
            json += ",\n\"pieces\": ";
            json += &lines(&edition.pieces);
            json += ",\n\"sheets\": ";
            json += &lines(&edition.sheets);
            json += ",\n\"texts\": ";
            json += &serde_json::to_string(&edition.texts).expect("strings only");
            json += "}";
        }
        json += "\n],\n\"private\": ";
        json += &serde_json::to_string(&self.private).expect("strings only");
        json += "\n}\n";
        json.into_bytes()
    }

    pub fn edition(&self, language: &str) -> Option<&EditionThen> {
        self.editions.iter().find(|edition| edition.language == language)
    }
}

fn lines<T: Serialize>(list: &[T]) -> String {
    let lines: Vec<String> =
        list.iter().map(|one| serde_json::to_string(one).expect("strings and numbers only")).collect();
    if lines.is_empty() { "[]".to_owned() } else { format!("[\n{}\n]", lines.join(",\n")) }
}

impl From<(&State, bool)> for FactThen {
    fn from((state, safety): (&State, bool)) -> Self {
        Self {
            name: state.name.clone(),
            at: state.at.clone(),
            value: state.value.clone(),
            limit: state.limit.clone(),
            worked_from: state.worked_from.clone(),
            source: state.source.clone(),
            as_of: state.as_of.map(|day| day.to_string()),
            safety,
        }
    }
}

impl FactThen {
    pub fn state(&self) -> State {
        State {
            name: self.name.clone(),
            at: self.at.clone(),
            value: self.value.clone(),
            limit: self.limit.clone(),
            worked_from: self.worked_from.clone(),
            source: self.source.clone(),
            as_of: self.as_of.as_ref().and_then(|day| day.parse().ok()),
            read: None,
            day: Date::ZERO,
        }
    }

    /// `at most 10 ft`
    pub fn words(&self) -> String {
        self.limit.iter().chain([&self.value]).cloned().collect::<Vec<_>>().join(" ")
    }
}

impl From<&Said> for SentenceThen {
    fn from(said: &Said) -> Self {
        Self {
            says: said.says.clone(),
            quotes: said.quotes.clone(),
            lesson: said.lesson.clone(),
            section: said.section.clone(),
            signal: said.signal.clone(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn record() -> PrintRecord {
        let sentence = |says: &str| SentenceThen {
            says: says.into(),
            quotes: vec![Quoted { fact: "rope".into(), words: "ten feet".into() }],
            lesson: Some("ropes".into()),
            section: None,
            signal: None,
        };
        let piece = PieceThen {
            piece: "handbook".into(),
            shelf: "open".into(),
            path: "handbook.pdf".into(),
            from: None,
            pages: Some(2),
            unprinted: Vec::new(),
            says: vec![SaidThen { at: 0, on: vec![1, 2] }],
            left_out: Vec::new(),
            pictures: BTreeMap::new(),
        };
        let edition = EditionThen {
            language: "en-US".into(),
            sentences: vec![sentence("Keep it at “ten feet”.")],
            pieces: vec![piece],
            sheets: Vec::new(),
            texts: BTreeMap::new(),
        };
        PrintRecord {
            format: FORMAT,
            program: "Riders".into(),
            agency: "Basin".into(),
            season: "2026".into(),
            facts: Vec::new(),
            editions: vec![edition],
            private: [("certificates".to_owned(), vec!["0a".to_owned()])].into(),
        }
    }

    #[test]
    fn a_record_is_read_back_as_it_was() {
        assert_eq!(PrintRecord::parse(&record().to_json()), Ok(record()));
        let empty = PrintRecord { editions: Vec::new(), ..record() };
        assert_eq!(PrintRecord::parse(&empty.to_json()), Ok(empty));
    }

    #[test]
    fn what_is_no_record_is_none() {
        let newer = PrintRecord { format: FORMAT + 1, ..record() };
        assert_eq!(PrintRecord::parse(&newer.to_json()), Err(Unusable::Newer(FORMAT + 1)));
        let mut torn = record();
        torn.editions[0].pieces[0].says[0].at = 1;
        for wrong in [torn.to_json(), b"{\"format\": 1, \"made\": []}".to_vec(), b"{".to_vec(), Vec::new()] {
            assert_eq!(PrintRecord::parse(&wrong), Err(Unusable::NoRecord));
        }
    }
}
