//! The headings of answers: which column holds what.
//!
//! A column is looked for in this order: as `[answers.headings]` in `program.toml` names it; a question's
//! id; the words that the question asks; `q1`, `Question 1` or `1`; then the usual headings of forms and
//! spreadsheets for the person. Any other column is passed over.

use crate::finding::{Place, rules};
use crate::languages::{in_all, without_accents};
use crate::nearest::nearest;
use crate::program::headings::name_in_parts;
use crate::program::mistakes::Mistakes;
use crate::program::questions::{Question, Questions};
use crate::program::roster::Roster;
use crate::program::roster::columns::{Field, usual};
use crate::program::settings::Settings;
use crate::program::{Written as Cell, markdown};

/// What a column holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Column {
    Event,
    Name,
    /// Where the name stands in two columns, the second.
    FamilyName,
    Email,
    Version,
    Question(Asks),
}

/// Which question a column answers.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Asks {
    /// By its id.
    Question(String),
    /// By its number on the sheet, from 1: in the version that the row names.
    Number(usize),
}

/// A heading that looks like a question which is not there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unmatched {
    pub place: Place,
    /// The id of a question that may be meant.
    pub near: Option<String>,
}

/// Whether a heading is one of answers: tells headings from title lines above them.
pub(in crate::program) fn is_known(heading: &str, questions: &Questions, settings: &Settings) -> bool {
    column(heading, questions, settings).is_some()
}

/// For each column of a roster the question that it answers: by id, words or `q1`.
pub(super) fn in_roster(roster: &Roster, questions: &Questions, settings: &Settings) -> Vec<(usize, Column)> {
    let free = roster.columns.iter().filter(|known| known.field().is_none());
    let found = free.filter_map(|known| {
        let column = column(&known.heading, questions, settings)?;
        // A bare number may be anything in a roster.
        let is_bare = plain(&known.heading).chars().all(|letter| letter.is_ascii_digit());
        let is_its = match &column {
            Column::Question(Asks::Number(number)) => !is_bare && (1..=questions.list.len()).contains(number),
            Column::Question(Asks::Question(_)) | Column::Version => true,
            Column::Event | Column::Name | Column::FamilyName | Column::Email => false,
        };
        is_its.then_some((known.at, column))
    });
    found.collect()
}

/// What each column holds, and the headings that look like a question that is not there.
pub(super) fn columns(
    first: &[Cell],
    questions: &Questions,
    settings: &Settings,
    mistakes: &Mistakes,
) -> (Vec<Option<Column>>, Vec<Unmatched>) {
    let mut columns: Vec<Option<Column>> = Vec::new();
    let mut strangers = Vec::new();
    for cell in first {
        let mut column = column(&cell.text, questions, settings);
        if let Some(Column::Question(Asks::Number(number))) = column
            && !(1..=questions.list.len()).contains(&number)
        {
            strangers.push(Unmatched { place: cell.place.clone(), near: None });
            column = None;
        }
        if column.is_none()
            && let Some(near) = near_question(&cell.text, questions)
        {
            strangers.push(Unmatched { place: cell.place.clone(), near: Some(near.id.clone()) });
        }
        if column.is_some() && columns.contains(&column) {
            let message = format!("Two columns of the answers hold the same: “{}”.", cell.text.trim());
            let mend = "Take one out, or give it a heading that packstring passes over.";
            mistakes.tell(&rules::NAME_DOUBLED, cell.place.clone(), message, mend);
            column = None;
        }
        columns.push(column);
    }
    join_name(first, &mut columns);
    (columns, strangers)
}

/// "First name" and "Last name", where no column has the whole name.
fn join_name(first: &[Cell], columns: &mut [Option<Column>]) {
    let headings: Vec<&str> = first.iter().map(|cell| cell.text.as_str()).collect();
    // What answers have beside the name is held against the roster: here no cells are asked.
    if let Some(parts) = name_in_parts(&headings, columns, Column::Name, |_, _| false) {
        columns[parts[0]] = Some(Column::Name);
        parts[1..].iter().for_each(|at| columns[*at] = Some(Column::FamilyName));
    }
}

fn column(heading: &str, questions: &Questions, settings: &Settings) -> Option<Column> {
    let words = plain(heading);
    if words.is_empty() {
        return None;
    }
    if let Some(entry) = settings.answer_headings.iter().find(|entry| plain(&entry.heading.text) == words) {
        return Some(match entry.column.text.as_str() {
            "event" => Column::Event,
            "name" => Column::Name,
            "email" => Column::Email,
            "version" => Column::Version,
            id => Column::Question(Asks::Question(id.to_owned())),
        });
    }
    let asks = |question: &Question| Some(Column::Question(Asks::Question(question.id.clone())));
    if let Some(question) = questions.list.iter().find(|question| plain(&question.id) == words) {
        return asks(question);
    }
    let unnumbered = words.trim_start_matches(|letter: char| letter == 'q' || letter.is_ascii_digit()).trim();
    let says = |question: &&Question| {
        let ask = plain(&markdown::plain_text(&question.ask.inlines));
        !ask.is_empty() && (ask == words || ask == unnumbered)
    };
    let mut saying = questions.list.iter().filter(says);
    if let (Some(question), None) = (saying.next(), saying.next()) {
        return asks(question);
    }
    let mut before = in_all(|language| &language.headings.question);
    let known = without_accents(&words);
    let bare = before.find_map(|question| known.strip_prefix(question)).unwrap_or(&known).trim();
    if let Ok(number) = bare.parse() {
        return Some(Column::Question(Asks::Number(number)));
    }
    if in_all(|language| &language.headings.version).any(|version| version == known) {
        return Some(Column::Version);
    }
    match usual(heading)? {
        Field::Event => Some(Column::Event),
        Field::Name => Some(Column::Name),
        Field::Email => Some(Column::Email),
        _ => None,
    }
}

/// A question whose id the heading nearly is.
fn near_question<'q>(heading: &str, questions: &'q Questions) -> Option<&'q Question> {
    let id = plain(heading).replace(' ', "-");
    // Short words come near to anything.
    let near = nearest(&id, questions.list.iter().map(|question| question.id.as_str()))?;
    questions.list.iter().find(|question| question.id == near && id.len() >= 5)
}

/// Lower case, letters and digits with single spaces between.
fn plain(words: &str) -> String {
    let spaced: String =
        words.chars().map(|letter| if letter.is_alphanumeric() { letter } else { ' ' }).collect();
    spaced.to_lowercase().split_whitespace().collect::<Vec<_>>().join(" ")
}
