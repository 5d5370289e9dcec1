//! What every piece hands to its template, whatever it is: the head of its data.

use super::tree::{Inline, Trees};
use super::{Ink, Selection};
use crate::imposition::Paper;
use crate::job::RosterCells;
use crate::program::facts;
use crate::program::roster::Participant;
use crate::program::settings::{Contact, Event, Settings, Signature};
use crate::understand::Understood;
use jiff::civil::Date;
use schemars::JsonSchema;
use serde::Serialize;

/// The common part of a piece's data; the piece has its own keys beside.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Head<'p> {
    /// What the piece is called, as the PDF and its heading say it.
    pub title: String,
    pub program: Program<'p>,
    pub paper: PaperName,
    pub ink: InkName,
}

/// The program that the piece belongs to.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Program<'p> {
    pub name: &'p str,
    /// The agency that runs the program.
    pub agency: &'p str,
    /// The season, as `program.toml` has it.
    pub season: &'p str,
    /// The language of the program (BCP 47): en, es-MX.
    pub language: &'p str,
    /// What the program says of itself; null where it says nothing.
    pub summary: Option<Vec<Inline>>,
    /// Whom to ask, in the order of `program.toml`.
    pub contacts: Vec<ContactData<'p>>,
    /// Who signs certificates.
    pub signatures: Vec<SignatureData<'p>>,
}

/// Whom to ask.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[schemars(rename = "Contact")]
pub struct ContactData<'p> {
    pub name: &'p str,
    /// What to ask this contact for.
    #[serde(rename = "for")]
    pub purpose: &'p str,
    /// A phone number as it is written, or null.
    pub phone: Option<&'p str>,
    /// When it answers; null where that is not said.
    pub hours: Option<&'p str>,
    /// An e-mail address, or null.
    pub email: Option<&'p str>,
    /// Whether this is whom to call in an emergency.
    pub emergency: bool,
}

/// How a source was read.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "how", rename_all = "snake_case")]
pub enum SourceRead {
    AtTheSource,
    AsQuoted {
        /// Who quotes it.
        by: String,
    },
    FromMemory,
}

impl SourceRead {
    pub fn of(fact: &facts::Fact) -> Option<Self> {
        fact.read.as_ref().map(|read| match read {
            facts::SourceRead::AtTheSource => Self::AtTheSource,
            facts::SourceRead::AsQuotedBy(by) => Self::AsQuoted { by: by.clone() },
            facts::SourceRead::FromMemory => Self::FromMemory,
        })
    }
}

/// Who signs certificates.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[schemars(rename = "Signature")]
pub struct SignatureData<'p> {
    pub name: &'p str,
    /// The office that the person holds.
    pub title: &'p str,
}

/// The paper that was asked for; the page of a booklet is half a sheet of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum PaperName {
    Letter,
    HalfLetter,
    A4,
    A5,
}

/// Color; black, which saves ink and says nothing by color alone; night, for drawings on dark screens.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum InkName {
    Color,
    Black,
    Night,
}

/// Who takes answers that come in by mail.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct SendTo<'p> {
    pub name: &'p str,
    pub email: &'p str,
}

/// A word of the roster, as it is printed.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum RosterWord<'p> {
    Given(&'p str),
    Held(Held),
}

/// In the place of a word of the roster with a letter that no font has. The word itself is not printed. A plan
/// never has it: the press, which knows the fonts, puts it there.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Held {
    /// The row that the word stands in, counted as a spreadsheet does.
    pub held: usize,
}

impl<'p> RosterWord<'p> {
    pub fn new(word: &'p str) -> Self {
        Self::Given(word)
    }

    pub fn maybe(word: Option<&'p str>) -> Option<Self> {
        word.map(Self::Given)
    }
}

pub fn head<'p>(understood: &Understood<'p>, selection: &Selection, title: &str) -> Head<'p> {
    let settings = &understood.content.settings;
    let trees = Trees::new(understood);
    Head {
        title: title.to_owned(),
        program: Program {
            name: &settings.name,
            agency: &settings.agency,
            season: &settings.season,
            language: &settings.language,
            summary: settings.summary.as_ref().map(|prose| trees.inlines(&prose.inlines)),
            contacts: settings.contacts.iter().map(contact).collect(),
            signatures: settings.signatures.iter().map(signature).collect(),
        },
        paper: selection.paper.unwrap_or(settings.paper).into(),
        ink: match selection.ink {
            Ink::Color => InkName::Color,
            Ink::Black => InkName::Black,
        },
    }
}

fn contact(contact: &Contact) -> ContactData<'_> {
    ContactData {
        name: &contact.name,
        purpose: &contact.purpose,
        phone: contact.phone.as_deref(),
        hours: contact.hours.as_deref(),
        email: contact.email.as_deref(),
        emergency: contact.emergency,
    }
}

fn signature(signature: &Signature) -> SignatureData<'_> {
    SignatureData { name: &signature.name, title: &signature.title }
}

/// The event whose own facts a common piece states: it is printed on it, for its figures hold there alone.
pub fn own_event<'p>(understood: &Understood<'p>, selection: &Selection) -> Option<&'p Event> {
    let content = understood.content;
    let id = selection.scope.event.as_ref()?;
    let event = content.settings.events.iter().find(|event| event.id == *id)?;
    content.at_events.iter().any(|at| at.event.text == *id).then_some(event)
}

/// The title of a piece in the program's language, from the theme's words.
pub fn title(understood: &Understood, selection: &Selection, piece: &str, name: &str) -> String {
    selection.words.title(&understood.content.settings.language, piece, name)
}

/// Who takes answers that come in by mail: the first contact with an e-mail address.
pub fn answers_go_to(settings: &Settings) -> Option<SendTo<'_>> {
    settings
        .contacts
        .iter()
        .find_map(|contact| Some(SendTo { name: &contact.name, email: contact.email.as_deref()? }))
}

impl From<Paper> for PaperName {
    fn from(paper: Paper) -> Self {
        match paper {
            Paper::Letter => Self::Letter,
            Paper::A4 => Self::A4,
        }
    }
}

impl PaperName {
    /// The page of a booklet: half a sheet of the paper.
    pub fn half_of(paper: Paper) -> Self {
        match paper {
            Paper::Letter => Self::HalfLetter,
            Paper::A4 => Self::A5,
        }
    }
}

/// Another day of an event than its first.
#[derive(Serialize, JsonSchema)]
pub struct LaterDay {
    /// Year, month and day: 2026-05-23.
    date: String,
    /// From 1, Monday.
    weekday: i8,
}

pub(super) fn later_days(event: &Event) -> Vec<LaterDay> {
    let day = |day: &Date| LaterDay { date: day.to_string(), weekday: day.weekday().to_monday_one_offset() };
    event.later_days.iter().map(day).collect()
}

/// How the columns are called that `[roster.keep]` names.
pub(super) fn kept_headings<'p>(understood: &Understood<'p>) -> Vec<&'p str> {
    let keep = &understood.content.settings.roster.keep;
    keep.iter().map(|kept| kept.called.text.as_str()).collect()
}

/// What stands in them for a row.
pub(super) fn kept(row: &Participant) -> Vec<Option<RosterWord<'_>>> {
    let filled = |text: &str| !text.is_empty();
    row.kept.iter().map(|text| RosterWord::maybe(Some(text.as_str()).filter(|text| filled(text)))).collect()
}

/// Cells of a sheet that print words of one row of the roster, each by its JSON Pointer (RFC 6901).
pub(super) fn roster_cells(row: &Participant, at: Vec<String>) -> RosterCells {
    let words = std::iter::once(&row.name).chain(&row.companion).chain(&row.email).chain(&row.kept);
    let words = words.cloned().collect();
    RosterCells { row: row.row, place: row.place.clone(), words, at }
}
/// People whom one file of a list tells of at most: the typesetter holds a file whole while it sets it, some 400 kB a row.
pub(super) const LIST: usize = 250;

/// Where a volume of a list goes, counted from 0: `list.pdf` by itself, `list-2.pdf` of several.
pub(super) fn volume_path(path: &str, number: usize, of: usize) -> String {
    match path.rsplit_once('.') {
        Some((stem, ending)) if of > 1 => format!("{stem}-{}.{ending}", number + 1),
        _ => path.to_owned(),
    }
}
