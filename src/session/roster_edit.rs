//! Cells of the roster written one by one, at once, and taken back.
//!
//! Whoever asks says which row is meant, by its number and by who stood there when it was shown ([`row_key`]), and what
//! each cell held then. The roster is read again before it is written: a row that has moved is found, and where a cell
//! holds something else by now nothing is written at all ([`RowConflict`]). The file is put in place whole, only while it
//! still is what was read, and every byte outside of the cells stays.

use super::{Session, SessionError};
use crate::digest::{absorb, hex};
use crate::disk;
use crate::finding::FileName;
use crate::io_error::in_words;
use crate::program::roster::{Field, Roster};
use crate::program::tables::{EditError, Row, Splice, SpliceError, Table};
use crate::shelf::own_files::{SaveTrouble, Saving};
use sha2::{Digest, Sha256};
use std::sync::Arc;
use std::time::{Duration, Instant};

/// The row that is meant.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RowAsked {
    /// From 1 as a spreadsheet shows it.
    pub row: usize,
    /// Who stood there: [`row_key`].
    pub key: String,
}

/// What a cell is to hold, and what it held when it was shown.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CellAsked {
    /// From 0.
    pub column: usize,
    pub was: String,
    pub now: String,
}

/// What came of asking.
#[derive(Clone, Debug)]
pub enum Written {
    /// The file holds it.
    Saved(RosterChange),
    /// The file held it already.
    AsItWas,
    /// The file holds something else by now, and nothing was written.
    Conflict(RowConflict),
}

/// What the file holds by now, beside what was asked for.
#[derive(Clone, Debug)]
pub struct RowConflict {
    /// The row that has the number by now, and its key; `None` where there is none.
    pub row: Option<RowAsked>,
    /// Whether that is still the row that was meant.
    pub is_same_row: bool,
    pub differs: Vec<Differs>,
}

/// A cell that somebody else has changed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Differs {
    pub column: usize,
    pub heading: String,
    /// When it was shown.
    pub was: String,
    /// In the file.
    pub there: String,
    /// As it was asked for.
    pub asked: String,
}

/// A change to the roster that can be taken back.
#[derive(Clone, Debug)]
pub struct RosterChange {
    pub row: RowAsked,
    pub cells: Vec<ChangedCell>,
    /// How many cells the row had.
    cells_before: usize,
    /// Whether the row was added by it.
    pub is_new_row: bool,
}

#[derive(Clone, Debug)]
pub struct ChangedCell {
    pub column: usize,
    pub heading: String,
    pub was: String,
    pub now: String,
    /// As it stood in the file, with its quotation marks; `None` where the row had no such cell.
    source: Option<String>,
}

/// Why nothing was written to the roster.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NotWritten {
    /// There is no roster, or none with such columns.
    NoRoster,
    /// It is a workbook, which is only read.
    Workbook(FileName),
    /// The encoding of the file has no such letter.
    Letter(char, FileName),
    /// Another program is writing there all the time.
    Busy(FileName),
    /// It is protected against changes.
    Protected(FileName),
    /// It is a link to something outside of the program folder.
    Outside(FileName),
    /// The disk, in its own words.
    Disk(FileName, String),
}

/// So long it is tried while somebody else is writing.
const PATIENCE: Duration = Duration::from_secs(4);

/// Who stands in a row, as a few letters that give nobody away: by event and name, by event and e-mail address, and by
/// these with the companion.
pub fn row_key(roster: &Roster, row: Row) -> String {
    key_of(roster, |at| value(row, at))
}

/// The key of a row whose cells hold these words.
fn key_of(roster: &Roster, words: impl Fn(usize) -> String) -> String {
    let text = |field| -> String {
        let cells: Vec<String> = roster.columns_of(field).into_iter().map(&words).collect();
        cells.join("\u{1f}")
    };
    let (event, name, email) = (text(Field::Event), text(Field::Name), text(Field::Email));
    let by_email = if email.is_empty() { String::new() } else { hashed(&[&event, &email]) };
    let companion = text(Field::Companion);
    format!("{}-{by_email}-{}", hashed(&[&event, &name]), hashed(&[&event, &name, &email, &companion]))
}

fn hashed(parts: &[&str]) -> String {
    let mut hash = Sha256::new();
    parts.iter().for_each(|part| absorb(&mut hash, part.as_bytes()));
    hex(hash.finalize())[..12].to_owned()
}

/// The row that is meant, wherever it stands by now; nothing where there is any doubt.
fn meant<'r>(roster: &Roster, table: &'r Table, asked: &RowAsked) -> Option<Row<'r>> {
    let there = table.rows().find(|row| row.number() == asked.row);
    let key_there = there.map(|row| row_key(roster, row));
    if key_there.as_deref() == Some(&asked.key) {
        return there;
    }
    let parts = |key: &str| -> Option<[String; 3]> {
        let parts: Vec<String> = key.split('-').map(str::to_owned).collect();
        parts.try_into().ok()
    };
    let wanted = parts(&asked.key)?;
    let keys: Vec<(Row, [String; 3])> =
        table.rows().filter_map(|row| Some((row, parts(&row_key(roster, row))?))).collect();
    let only = |at: usize| {
        let mut same = keys.iter().filter(|(_, key)| !key[at].is_empty() && key[at] == wanted[at]);
        let (row, _) = same.next()?;
        same.next().is_none().then_some(*row)
    };
    // Somebody corrected its companion or address, or its name: then it has to stand where it stood.
    let in_place = |row: &Row| row.number() == asked.row;
    only(2).or_else(|| only(0).filter(in_place)).or_else(|| only(1).filter(in_place))
}

/// Line breaks as forms send them, and as files have them, are one.
fn same(one: &str, other: &str) -> bool {
    let plain = |text: &str| text.replace("\r\n", "\n").replace('\r', "\n").trim().to_owned();
    plain(one) == plain(other)
}

fn value(row: Row, column: usize) -> String {
    row.cell(column).map(|cell| cell.value().into_owned()).unwrap_or_default()
}

fn heading(roster: &Roster, column: usize) -> String {
    roster.columns.get(column).map(|column| column.heading.clone()).unwrap_or_default()
}

/// What is to be done with the roster as it stands.
enum Plan {
    Write(Vec<Splice>, RosterChange),
    Tell(Written),
}

impl Session<'_> {
    /// Writes some cells of a row. Cells that hold already what is asked are left.
    ///
    /// # Errors
    /// The file cannot be written; it is then as it was.
    pub fn write_row(&mut self, asked: &RowAsked, cells: &[CellAsked]) -> Result<Written, NotWritten> {
        self.written(&|roster, table| plan_row(roster, table, asked, cells))
    }

    /// Adds a row for somebody who was not on the list: words by their columns.
    ///
    /// # Errors
    /// The file cannot be written; it is then as it was.
    pub fn add_row(&mut self, words: &[(usize, String)]) -> Result<Written, NotWritten> {
        self.written(&|roster, table| plan_new_row(roster, table, words))
    }

    /// Takes a change back, byte for byte, where the cells still hold what it wrote.
    ///
    /// # Errors
    /// The file cannot be written; it is then as it was.
    pub fn take_back(&mut self, change: &RosterChange) -> Result<Written, NotWritten> {
        self.written(&|roster, table| plan_back(roster, table, change))
    }

    /// Reads the roster as it is now, plans on it, and writes; anew where somebody else was faster.
    fn written(
        &mut self,
        plan: &dyn Fn(&Roster, &Table) -> Result<Plan, NotWritten>,
    ) -> Result<Written, NotWritten> {
        let since = Instant::now();
        loop {
            // A program that cannot be read just now keeps the roster that was read last; if that is another by now, the
            // bytes tell.
            let _: Result<(), SessionError> = self.refresh();
            let roster = Arc::clone(self.roster());
            let table = roster.table.clone().ok_or(NotWritten::NoRoster)?;
            let (splices, change) = match plan(&roster, &table)? {
                Plan::Write(splices, change) => (splices, change),
                Plan::Tell(told) => return Ok(told),
            };
            match self.put(&table, splices) {
                Ok(()) => return Ok(Written::Saved(change)),
                Err(None) if since.elapsed() < PATIENCE => std::thread::sleep(Duration::from_millis(20)),
                Err(None) => return Err(NotWritten::Busy(table.file.clone())),
                Err(Some(why)) => return Err(why),
            }
        }
    }

    /// Puts the roster's file in place; `None` where somebody else is writing it.
    fn put(&self, table: &Table, splices: Vec<Splice>) -> Result<(), Option<NotWritten>> {
        let file = &table.file;
        let of_disk = |error: &std::io::Error| Some(NotWritten::Disk(file.clone(), in_words(error)));
        let folder = &self.program.folder;
        let there = disk::read(&folder.join(&**file)).map_err(|error| of_disk(&error))?;
        let bytes = table.spliced(&there, splices).map_err(|error| match error {
            SpliceError::File(EditError::Workbook) => Some(NotWritten::Workbook(file.clone())),
            SpliceError::File(EditError::Changed) => None,
            SpliceError::Letter(letter) => Some(NotWritten::Letter(letter, file.clone())),
        })?;
        let saved = Saving::open(folder).and_then(|mut saving| {
            saving.stage(file, &there, &bytes)?;
            saving.save()
        });
        saved.map_err(|error| match error.why {
            SaveTrouble::Busy | SaveTrouble::Changed => None,
            SaveTrouble::Protected => Some(NotWritten::Protected(file.clone())),
            SaveTrouble::Outside => Some(NotWritten::Outside(file.clone())),
            SaveTrouble::Disk(error) => of_disk(&error.source),
            SaveTrouble::Strange | SaveTrouble::Unknown => {
                Some(NotWritten::Disk(file.clone(), error.to_string()))
            }
        })
    }
}

fn plan_row(
    roster: &Roster,
    table: &Table,
    asked: &RowAsked,
    cells: &[CellAsked],
) -> Result<Plan, NotWritten> {
    let workbook = || NotWritten::Workbook(table.file.clone());
    let Some(row) = meant(roster, table, asked) else {
        let there = table.rows().find(|row| row.number() == asked.row);
        return Ok(Plan::Tell(Written::Conflict(RowConflict {
            row: there.map(|row| RowAsked { row: row.number(), key: row_key(roster, row) }),
            is_same_row: false,
            differs: differing(roster, there, cells.iter()),
        })));
    };
    let wanted: Vec<&CellAsked> = cells.iter().filter(|cell| !same(&cell.was, &cell.now)).collect();
    let open: Vec<&CellAsked> =
        wanted.into_iter().filter(|cell| !same(&value(row, cell.column), &cell.now)).collect();
    let others = open.iter().filter(|cell| !same(&value(row, cell.column), &cell.was));
    let differs = differing(roster, Some(row), others.copied());
    if !differs.is_empty() {
        let row = Some(RowAsked { row: row.number(), key: row_key(roster, row) });
        return Ok(Plan::Tell(Written::Conflict(RowConflict { row, is_same_row: true, differs })));
    }
    if open.is_empty() {
        return Ok(Plan::Tell(Written::AsItWas));
    }
    let (splices, cells) = writes(roster, table, row, &open).ok_or_else(workbook)?;
    let key = key_after(roster, row, &open);
    let row_asked = RowAsked { row: row.number(), key };
    let change = RosterChange { row: row_asked, cells, cells_before: row.len(), is_new_row: false };
    Ok(Plan::Write(splices, change))
}

/// What writes these cells, and how they were. `None` in a workbook.
fn writes(
    roster: &Roster,
    table: &Table,
    row: Row,
    asked: &[&CellAsked],
) -> Option<(Vec<Splice>, Vec<ChangedCell>)> {
    let (mut splices, mut cells) = (Vec::new(), Vec::new());
    // Cells that the row lacks.
    let mut added: Vec<String> = Vec::new();
    for cell in asked {
        cells.push(ChangedCell {
            column: cell.column,
            heading: heading(roster, cell.column),
            was: value(row, cell.column),
            now: cell.now.trim().to_owned(),
            source: row.cell(cell.column).map(|cell| cell.source().to_owned()),
        });
        match cell.column.checked_sub(row.len()) {
            None => splices.push(table.put_into(row, cell.column, &cell.now)?),
            Some(at) => {
                added.resize(added.len().max(at + 1), String::new());
                added[at].clone_from(&cell.now);
            }
        }
    }
    if !added.is_empty() {
        splices.push(table.lengthen(row, &added)?);
    }
    Some((splices, cells))
}

fn differing<'c>(
    roster: &Roster,
    there: Option<Row>,
    cells: impl Iterator<Item = &'c CellAsked>,
) -> Vec<Differs> {
    let one = |cell: &CellAsked| Differs {
        column: cell.column,
        heading: heading(roster, cell.column),
        was: cell.was.clone(),
        there: there.map(|row| value(row, cell.column)).unwrap_or_default(),
        asked: cell.now.clone(),
    };
    cells.filter(|cell| !same(&cell.was, &cell.now)).map(one).collect()
}

/// The key that the row has once the cells are written.
fn key_after(roster: &Roster, row: Row, cells: &[&CellAsked]) -> String {
    key_of(roster, |at| match cells.iter().find(|cell| cell.column == at) {
        Some(cell) => cell.now.trim().to_owned(),
        None => value(row, at),
    })
}

fn plan_new_row(roster: &Roster, table: &Table, words: &[(usize, String)]) -> Result<Plan, NotWritten> {
    let width = table.headings().ok_or(NotWritten::NoRoster)?.len();
    let mut cells = vec![String::new(); width];
    for (column, words) in words {
        if let Some(cell) = cells.get_mut(*column) {
            words.trim().clone_into(cell);
        }
    }
    let splice = table.add_row(&cells).ok_or_else(|| NotWritten::Workbook(table.file.clone()))?;
    let last = table.rows().last().or_else(|| table.headings()).ok_or(NotWritten::NoRoster)?;
    let filled = words.iter().filter(|(_, words)| !words.trim().is_empty());
    let changed = filled.map(|(column, words)| ChangedCell {
        column: *column,
        heading: heading(roster, *column),
        was: String::new(),
        now: words.trim().to_owned(),
        source: None,
    });
    let key = key_of(roster, |at| cells.get(at).cloned().unwrap_or_default());
    let row = RowAsked { row: last.number() + 1, key };
    let change = RosterChange { row, cells: changed.collect(), cells_before: 0, is_new_row: true };
    Ok(Plan::Write(vec![splice], change))
}

fn plan_back(roster: &Roster, table: &Table, change: &RosterChange) -> Result<Plan, NotWritten> {
    let conflict = |row: Option<Row>, is_same_row| {
        let differs = change.cells.iter().map(|cell| Differs {
            column: cell.column,
            heading: cell.heading.clone(),
            was: cell.now.clone(),
            there: row.map(|row| value(row, cell.column)).unwrap_or_default(),
            asked: cell.was.clone(),
        });
        let row = row.map(|row| RowAsked { row: row.number(), key: row_key(roster, row) });
        Ok(Plan::Tell(Written::Conflict(RowConflict { row, is_same_row, differs: differs.collect() })))
    };
    let Some(row) = meant(roster, table, &change.row) else {
        return conflict(table.rows().find(|row| row.number() == change.row.row), false);
    };
    let holds = |cell: &ChangedCell| same(&value(row, cell.column), &cell.now);
    // A row that was added is taken out only as it was added.
    let other = change.is_new_row
        && row.cells().enumerate().any(|(at, cell)| {
            !cell.value().is_empty() && !change.cells.iter().any(|changed| changed.column == at)
        });
    if other || !change.cells.iter().all(holds) {
        return conflict(Some(row), true);
    }
    let splices = match change.is_new_row {
        true => {
            let range = table.with_line_before(row).ok_or(NotWritten::NoRoster)?;
            vec![Splice { range, text: String::new() }]
        }
        false => cells_back(row, change),
    };
    let back = |cell: &ChangedCell| ChangedCell {
        was: cell.now.clone(),
        now: cell.was.clone(),
        source: row.cell(cell.column).map(|cell| cell.source().to_owned()),
        ..cell.clone()
    };
    let asked: Vec<CellAsked> = change
        .cells
        .iter()
        .map(|cell| CellAsked { column: cell.column, was: cell.now.clone(), now: cell.was.clone() })
        .collect();
    let key = key_after(roster, row, &asked.iter().collect::<Vec<_>>());
    let undone = RosterChange {
        row: RowAsked { row: row.number(), key },
        cells: change.cells.iter().map(back).collect(),
        cells_before: row.len(),
        is_new_row: false,
    };
    Ok(Plan::Write(splices, undone))
}

/// The cells as they stood in the file. Cells that the row lacked go again, as long as nothing else stands there by now.
fn cells_back(row: Row, change: &RosterChange) -> Vec<Splice> {
    let mut splices = Vec::new();
    let lacked = |at: usize| change.cells.iter().any(|cell| cell.column == at && cell.source.is_none());
    let is_ours = |at: usize| lacked(at) || row.cell(at).is_some_and(|cell| cell.source().is_empty());
    let kept = change.cells_before.max(1);
    let is_longer = change.cells.iter().any(|cell| cell.source.is_none());
    let cut = is_longer && (kept..row.len()).all(is_ours);
    for cell in &change.cells {
        let text = match &cell.source {
            Some(source) => source.clone(),
            None if cut => continue,
            None => String::new(),
        };
        splices.extend(row.cell(cell.column).map(|there| Splice { range: there.source_range(), text }));
    }
    let ends = [kept - 1, row.len() - 1].map(|at| row.cell(at).map(|cell| cell.source_range().end));
    if let ([Some(from), Some(to)], true) = (ends, cut) {
        splices.push(Splice { range: from..to, text: String::new() });
    }
    splices
}
