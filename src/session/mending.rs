//! Mends that can be written exactly where their findings stand, without a word that anybody would have to think up: a
//! figure that a rule restates from its fact, and a cell of the roster that is offered in other words.
//!
//! What is only a guess is left to the person: capitals of a name, letters whose garbling cannot be undone for certain,
//! several people in one row.

use super::save::{FileChange, save_files};
use super::{CellAsked, RowAsked, Session, SessionError, row_key};
use crate::digest::hex;
use crate::finding::Finding;
use crate::people::repairs;
use crate::program::roster::Field;
use crate::program::tables::{Cell, Form};
use crate::restate::{self, Change, Open, Plan};
use crate::understand::Understood;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;

/// Findings about words that a fact says otherwise.
const RESTATED: [&str; 3] = ["figure-drift", "limit-turned", "wording-unfit"];
/// Findings about cells of the roster that are put right without asking, where that is certain.
const REPAIRED: [&str; 2] = ["spaces-stray", "letters-garbled"];
/// Findings about cells of the roster, whose words are offered and are no guess.
const OFFERED: [&str; 2] = ["name-miswritten", "address-unmailable"];

/// A mend, to be shown before it is written.
#[derive(Clone, Debug)]
pub enum Mend {
    /// In a lesson or another text of the program.
    Text(TextMend),
    /// In the roster: [`Session::write_row`] writes it.
    Cell(RowAsked, CellAsked),
}

/// Other words at a place in a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TextMend {
    pub file: String,
    /// Where the words begin, in bytes.
    pub start: usize,
    pub was: String,
    pub now: String,
    /// What stands in the same line before and behind the words.
    pub before: String,
    pub after: String,
    /// Why the sentence has to be read again.
    pub reread: Option<&'static str>,
    /// The file as it was shown, as a few letters.
    pub state: String,
}

/// What can be written for which finding.
pub struct Mends {
    changes: Vec<(Change, TextMend)>,
    /// By the row and the column.
    repaired: BTreeMap<(usize, usize), String>,
}

impl Session<'_> {
    /// Everything that could be written for findings.
    pub fn mends(&self) -> Mends {
        let understood = self.understand(&self.program);
        let changes = restate::plan(&understood, Open::OfChanged).changes.into_iter();
        let changes = changes.filter_map(|change| {
            let mend = shown(&understood, &change)?;
            Some((change, mend))
        });
        let repaired = repairs::plan(self.roster()).into_iter().filter_map(|mend| {
            let column = column_of(self, mend.cell.row, mend.cell.cell)?;
            Some(((mend.cell.row, column), mend.now))
        });
        Mends { changes: changes.collect(), repaired: repaired.collect() }
    }

    /// What can be written for a finding; nothing where that is not sure.
    pub fn mend_of(&self, mends: &Mends, finding: &Finding) -> Option<Mend> {
        if RESTATED.contains(&finding.rule.name) {
            let place = &finding.place;
            let is_at = |change: &Change| {
                change.place.file == place.file
                    && change.place.range.start < place.range.end
                    && place.range.start < change.place.range.end
            };
            let mut at = mends.changes.iter().filter(|(change, _)| is_at(change));
            let (_, mend) = at.next()?;
            return at.next().is_none().then(|| Mend::Text(mend.clone()));
        }
        self.mend_of_cell(mends, finding)
    }

    fn mend_of_cell(&self, mends: &Mends, finding: &Finding) -> Option<Mend> {
        let roster = self.roster();
        let table = roster.table.as_ref().filter(|table| matches!(table.form, Form::Text(_)))?;
        if finding.place.file != table.file {
            return None;
        }
        let cell = table.cell_at(&finding.place)?;
        let number = self.program.sources.row(&finding.place);
        let (row, column) = (table.row(number)?, column_of(self, number, cell)?);
        let was = cell.value().into_owned();
        let rule = finding.rule.name;
        let now = match (rule, mends.repaired.get(&(number, column))) {
            (name, Some(now)) if REPAIRED.contains(&name) => now.clone(),
            _ if OFFERED.contains(&rule) => {
                // Words of a whole name belong into no column that holds a part of it.
                let field = roster.columns.iter().find(|it| it.at == column)?.field()?;
                let is_whole = roster.columns_of(field).len() == 1;
                let is_what_it_says = finding.says.trim() == was.trim() || field == Field::Postcode;
                finding.instead.clone().filter(|_| is_whole && is_what_it_says)?
            }
            _ => return None,
        };
        (now != was).then(|| {
            let asked = RowAsked { row: number, key: row_key(roster, row) };
            Mend::Cell(asked, CellAsked { column, was, now })
        })
    }

    /// Writes other words at a place, and nothing else in the file; [`undo`](super::undo) takes it back.
    ///
    /// # Errors
    /// The file is not what was shown any more, it is protected, or it cannot be written: it is then as it was.
    pub fn write_mend(
        &mut self,
        file: &str,
        start: usize,
        now: &str,
        state: &str,
    ) -> Result<(), SessionError> {
        let changed = || {
            SessionError::said(format!(
                "{file} was changed since you were shown this, so nothing was written. Look at it again."
            ))
        };
        let mends = self.mends().changes.into_iter();
        let mut wanted = mends.filter(|(_, mend)| {
            (&*mend.file, mend.start, &*mend.now, &*mend.state) == (file, start, now, state)
        });
        let (change, _) = wanted.next().ok_or_else(changed)?;
        let was = self.program.sources.text(file).map_or_else(String::new, |text| (**text).to_owned());
        let plan = Plan { changes: vec![change], ..Plan::default() };
        let now = plan.edited(file, &was);
        let files = [FileChange { file: file.to_owned(), was, now }];
        save_files(&self.program.folder, &files).map_err(|error| SessionError::said(error.to_string()))
    }
}

/// The column of a cell, from 0.
fn column_of(session: &Session, row: usize, cell: Cell) -> Option<usize> {
    let row = session.roster().table.as_ref()?.row(row)?;
    row.cells().position(|other| other.source_range() == cell.source_range())
}

/// A change in its line.
fn shown(understood: &Understood, change: &Change) -> Option<TextMend> {
    let text = understood.root.sources.text(&change.place.file)?;
    let range = change.place.range.clone();
    let before = text[..range.start].rsplit('\n').next().unwrap_or_default();
    let after = text[range.end..].split(['\n', '\r']).next().unwrap_or_default();
    Some(TextMend {
        file: change.place.file.to_string(),
        start: range.start,
        was: change.was.clone(),
        now: change.now.clone(),
        before: before.to_owned(),
        after: after.to_owned(),
        reread: change.reread,
        state: hex(Sha256::digest(text.as_bytes()))[..16].to_owned(),
    })
}
