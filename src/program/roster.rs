//! The roster, `people/roster.csv` or a workbook: one row a participant and event.
//!
//! [`Roster::read`] takes the rows of a table, understands its headings ([`columns`]) and gives a
//! [`Participant`] for each. Whether what stands there can be right (addresses, sizes, doubled people) is
//! for [`crate::proof`].

mod cells;
pub mod columns;
mod days;
pub(crate) mod further;
mod speaks;

use super::Written;
use super::headings::plain;
use super::mistakes::{Mistakes, few};
use super::settings::{OwnWords, Settings};
use super::tables::{Row, Table};
use crate::addresses::Address;
use crate::finding::{Finding, Level, Place, Rule, rules};
use cells::Answer;
pub use columns::{Column, ColumnMeaning, Field};
pub use days::DayMark;
use jiff::civil::Date;
use speaks::Watched;
pub use speaks::{Against, Speaks};
use std::cell::RefCell;
use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

/// The roster: its rows, and how its columns were understood.
#[derive(Clone, Debug, Default)]
pub struct Roster {
    pub rows: Vec<Participant>,
    /// What each column was understood as, in the order of the table.
    pub columns: Vec<Column>,
    /// Cells of other columns that say otherwise than what is credited, in the order of the file.
    pub against: Vec<Against>,
    /// As it stands in its file; `None` where there is no roster.
    pub table: Option<Arc<Table>>,
}

/// A row of the roster: one person at one event.
#[derive(Clone, Debug)]
pub struct Participant {
    /// From 1 as a spreadsheet shows it: the headings are a row too.
    pub row: usize,
    /// The event's id.
    pub event: String,
    /// As it is to be printed: outer white space removed, every letter kept.
    pub name: String,
    pub companion: Option<String>,
    /// An empty cell means no. Of an event over several days, whether the person came on any.
    pub attended: bool,
    /// For each day of an event that has several, whether the person came.
    pub days: Vec<bool>,
    /// `None` where the roster does not say.
    pub passed: Option<bool>,
    pub email: Option<String>,
    pub address: Option<Address>,
    pub size: Option<String>,
    pub joins: bool,
    /// The edition in whose words the certificate is to be; `None` for the main one.
    pub language: Option<String>,
    /// What stands in each column that `[roster.keep]` names, in its order; on the private shelf alone.
    pub kept: Vec<String>,
    /// The name's cell.
    pub place: Place,
    pub event_place: Place,
}

/// Whether a cell says yes and nothing else.
pub(crate) fn affirms(cell: &str) -> bool {
    matches!(cells::answer(cell.trim(), &OwnWords::default()), Answer::Yes)
}

/// Whether a cell that says whether something counts says no, in any people file.
pub(in crate::program) fn denies(cell: &str) -> bool {
    speaks::denies(cell, Speaks::Passed, &OwnWords::default())
}

impl Participant {
    /// The days of an event over several that the person missed, from 0.
    pub fn missed_days(&self) -> impl Iterator<Item = usize> {
        self.days.iter().enumerate().filter(|(_, came)| !**came).map(|(at, _)| at)
    }
}

impl Roster {
    /// Reads the rows of a table; `settings` is `None` where `program.toml` could not be read.
    pub(super) fn read(table: Arc<Table>, settings: Option<&Settings>, mistakes: &Mistakes) -> Self {
        let named = settings.map_or(&[][..], |settings| &settings.roster.headings);
        let keep = settings.map_or(&[][..], |settings| &settings.roster.keep);
        let events = settings.map_or(&[][..], |settings| &settings.events);
        let has_days = events.iter().any(|event| !event.later_days.is_empty());
        let columns = columns::understand(&table, named, (keep, has_days), mistakes);
        let kept = columns::kept(&columns, keep, &Mistakes::default());
        let reader = RowReader {
            at: Field::ALL.map(|field| columns::of(&columns, field)),
            events: settings.map(event_names).unwrap_or_default(),
            days: events.iter().rev().map(|event| (event.id.clone(), event.days())).collect(),
            day_columns: columns.iter().filter_map(|column| Some((column.at, column.day()?))).collect(),
            main: settings.map_or("", |settings| settings.language.as_str()),
            editions: settings.map_or(&[][..], |settings| &settings.editions),
            words: settings.map(|settings| settings.roster.words.clone()).unwrap_or_default(),
            kept,
            told: RefCell::default(),
        };
        let rivals = columns::rivals(&columns);
        let watched =
            speaks::watched(&columns, &rivals.iter().map(|(rival, _)| rival.at).collect::<Vec<_>>());
        for (rival, field) in rivals {
            reader.tell_rival(&table, &columns, (rival, field), mistakes);
        }
        // Without these nothing can be said of any row.
        let rows: Vec<Participant> =
            match [Field::Name, Field::Event].iter().all(|field| !reader.columns(*field).is_empty()) {
                true => table.rows().map(|row| reader.participant(row)).collect(),
                false => Vec::new(),
            };
        let against = reader.against(&table, &rows, &watched);
        for (count, findings) in reader.told.into_inner().into_values() {
            few(count, findings.into_iter()).into_iter().for_each(|finding| mistakes.add(finding));
        }
        Self { rows, columns, against, table: Some(table) }
    }

    /// The row with a number, as [`Participant::row`] gives it.
    pub fn row(&self, number: usize) -> Option<Row<'_>> {
        self.table.as_ref()?.row(number)
    }

    /// The participant of a row.
    pub fn participant(&self, row: usize) -> Option<&Participant> {
        self.rows.iter().find(|participant| participant.row == row)
    }

    /// The columns of a field, in the order in which its cells are joined.
    pub fn columns_of(&self, field: Field) -> Vec<usize> {
        columns::of(&self.columns, field)
    }

    /// Where a field of a participant stands: its first column that the row has.
    pub fn place_of(&self, participant: &Participant, field: Field) -> Option<Place> {
        let row = self.row(participant.row)?;
        let columns = self.columns.iter().filter(|column| column.field() == Some(field));
        columns.filter_map(|column| row.cell(column.at)).map(|cell| cell.place()).next()
    }
}

/// Events by what a roster may call them: id or name, in any case.
fn event_names(settings: &Settings) -> HashMap<String, String> {
    let names = settings.all_events().map(|event| (plain(&event.name), event.id.clone()));
    let ids = settings.all_events().map(|event| (event.id.clone(), event.id.clone()));
    names.chain(ids).collect()
}

/// A rule and what of it.
type MistakeKind = (&'static Rule, &'static str);

struct RowReader<'s> {
    /// The languages of the editions: of the main one, and of the others.
    main: &'s str,
    editions: &'s [Written],
    /// What cells say instead of yes and no.
    words: OwnWords,
    /// For each column that is kept, where it stands.
    kept: Vec<Option<usize>>,
    /// For each of [`Field::ALL`] its columns.
    at: [Vec<usize>; Field::ALL.len()],
    events: HashMap<String, String>,
    /// The days of each event by its id.
    days: HashMap<String, Vec<Date>>,
    /// Columns that are each about a day of an event.
    day_columns: Vec<(usize, DayMark)>,
    /// Mistakes of rows by kind: how many, and the first of them.
    told: RefCell<BTreeMap<MistakeKind, (usize, Vec<Finding>)>>,
}

impl RowReader<'_> {
    fn columns(&self, field: Field) -> &[usize] {
        &self.at[field as usize]
    }

    fn participant(&self, row: Row) -> Participant {
        for field in [Field::Name, Field::Event] {
            if self.text(row, field).is_none() {
                self.tell_empty(row, field);
            }
        }
        let text = |field| self.text(row, field).unwrap_or_default();
        let address = Address {
            street: text(Field::Street),
            town: text(Field::Town),
            state: text(Field::State),
            postcode: text(Field::Postcode),
            country: text(Field::Country),
        };
        let event = self.event(row);
        let (attended, days) = self.attended(row, &event);
        Participant {
            row: row.number(),
            event,
            name: text(Field::Name),
            companion: self.text(row, Field::Companion).filter(|companion| !cells::is_nobody(companion)),
            attended,
            days,
            passed: self.answer(row, Field::Passed),
            email: self.text(row, Field::Email),
            address: (address != Address::default()).then_some(address),
            size: self.text(row, Field::Size),
            joins: self.answer(row, Field::Join).unwrap_or(false),
            language: self.language(row),
            kept: self.kept.iter().map(|at| self.kept_text(row, *at)).collect(),
            place: self.place(row, Field::Name),
            event_place: self.place(row, Field::Event),
        }
    }

    /// Whether the person came, and of an event over several days on which.
    fn attended(&self, row: Row, event: &str) -> (bool, Vec<bool>) {
        let has_column = !self.columns(Field::Attended).is_empty();
        match self.days.get(event) {
            Some(days) if days.len() > 1 => {
                let came = self.came_on(row, days);
                (came.contains(&true), came)
            }
            // Beside events over several days, one of a single day may have its answer under "Day 1".
            Some(days) if !has_column => (self.came_on(row, days).contains(&true), Vec::new()),
            _ => (self.answer(row, Field::Attended).unwrap_or(false), Vec::new()),
        }
    }

    /// What columns that nothing is read from say against each row of somebody who came.
    fn against(&self, table: &Table, rows: &[Participant], watched: &[Watched]) -> Vec<Against> {
        // Columns of days that say nothing of the event of a row are watched too.
        let days = self.day_columns.iter();
        let days =
            days.map(|(at, mark)| Watched { at: *at, speaks: Speaks::Day(*mark), sure: mark.is_sure() });
        let watched: Vec<Watched> = watched.iter().copied().chain(days).collect();
        if watched.is_empty() {
            return Vec::new();
        }
        let of_row = |row: &Participant| {
            let Some(cells) = table.row(row.row).filter(|_| row.attended) else { return Vec::new() };
            let denied = watched.iter().filter(|column| {
                let is_its = match column.speaks {
                    Speaks::Day(mark) => self.is_about(mark, &row.event),
                    _ => true,
                };
                is_its
                    && cells
                        .cell(column.at)
                        .is_some_and(|cell| speaks::denies(&cell.value(), column.speaks, &self.words))
            });
            let against = |column: &Watched| {
                let Watched { at, speaks, sure } = *column;
                Against { row: row.row, column: at, speaks, sure }
            };
            denied.map(against).collect()
        };
        rows.iter().flat_map(of_row).collect()
    }

    /// Whether a column of a day says something of an event that its attendance does not: the only day of it, or a day
    /// that no event has.
    fn is_about(&self, mark: DayMark, event: &str) -> bool {
        let Some(days) = self.days.get(event) else { return false };
        match mark.among(days) {
            Some(_) => days.len() == 1 && !self.columns(Field::Attended).is_empty(),
            None => self.days.values().all(|days| mark.among(days).is_none()),
        }
    }

    /// For each of these days whether the person came: by the columns of the days, or else by the one of attendance,
    /// which may name the days.
    fn came_on(&self, row: Row, days: &[Date]) -> Vec<bool> {
        let of_day = |at: usize| {
            let mut columns = self.day_columns.iter().filter(|(_, mark)| mark.among(days) == Some(at));
            columns.find_map(|(column, _)| self.answer_in(row, *column, "day"))
        };
        let by_columns: Vec<Option<bool>> = (0..days.len()).map(of_day).collect();
        let cell = self.columns(Field::Attended).first().and_then(|at| row.cell(*at));
        let said = cell.map(|cell| cell.value().into_owned()).unwrap_or_default();
        if by_columns.iter().any(Option::is_some) {
            let came: Vec<bool> = by_columns.into_iter().map(|came| came.unwrap_or(false)).collect();
            let otherwise = !said.is_empty()
                && self.answer(row, Field::Attended).is_some_and(|attended| attended != came.contains(&true));
            if otherwise {
                self.tell(&rules::VALUE_UNFIT, "days", || {
                    let message = format!(
                        "In row {}, the column “attended” and the columns of the days do not agree.",
                        row.number()
                    );
                    (self.place(row, Field::Attended), message, "Correct one of them.".to_owned())
                });
            }
            return came;
        }
        if let Some(came) = cells::days_named(&said, days) {
            return came;
        }
        if said == "1" {
            self.tell(&rules::VALUE_UNFIT, "days", || {
                let message = format!(
                    "Row {} says 1, which may mean yes or the first day, and its event has {} days.",
                    row.number(),
                    days.len()
                );
                let mend = "Write yes for all days, or which: day 1, or 1, 2.";
                (self.place(row, Field::Attended), message, mend.to_owned())
            });
        }
        vec![self.answer(row, Field::Attended).unwrap_or(false); days.len()]
    }

    fn kept_text(&self, row: Row, at: Option<usize>) -> String {
        at.and_then(|at| row.cell(at)).map(|cell| cell.value().into_owned()).unwrap_or_default()
    }

    /// The cells of a field joined by spaces; `None` where all are empty.
    fn text(&self, row: Row, field: Field) -> Option<String> {
        let mut cells = self.columns(field).iter().filter_map(|at| row.cell(*at)).map(|cell| cell.value());
        let mut text = cells.find(|text| !text.is_empty())?.into_owned();
        for more in cells.filter(|text| !text.is_empty()) {
            text.push(' ');
            text.push_str(&more);
        }
        Some(text)
    }

    fn event(&self, row: Row) -> String {
        let written = self.text(row, Field::Event).unwrap_or_default();
        let known = self.events.get(&written).or_else(|| self.events.get(&plain(&written)));
        known.cloned().unwrap_or(written)
    }

    /// An edition by its tag, or by what people call its language. A program with one edition has no use for it.
    fn language(&self, row: Row) -> Option<String> {
        let written = self.text(row, Field::Language).filter(|_| !self.editions.is_empty())?;
        let asked = cells::language(&written);
        let is = |tag: &&str| {
            tag.eq_ignore_ascii_case(asked)
                || tag.split('-').next().is_some_and(|short| short.eq_ignore_ascii_case(asked))
        };
        if is(&self.main) {
            return None;
        }
        let found = self.editions.iter().map(|edition| edition.text.as_str()).find(is);
        if found.is_none() {
            self.tell(&rules::VALUE_UNFIT, "language", || {
                let message = format!("The program has no edition in the language of row {}.", row.number());
                let known: Vec<String> = std::iter::once(self.main)
                    .chain(self.editions.iter().map(|edition| edition.text.as_str()))
                    .map(|tag| format!("“{tag}”"))
                    .collect();
                let mend = format!("Write {}, or leave it empty for the first.", known.join(" or "));
                (self.place(row, Field::Language), message, mend)
            });
        }
        found.map(str::to_owned)
    }

    fn answer(&self, row: Row, field: Field) -> Option<bool> {
        self.answer_in(row, *self.columns(field).first()?, field.word())
    }

    /// What the cell of a column answers; `word` is what the column is called where that is told.
    fn answer_in(&self, row: Row, column: usize, word: &'static str) -> Option<bool> {
        let cell = row.cell(column)?;
        match cells::answer(&cell.value(), &self.words) {
            Answer::Yes => Some(true),
            Answer::No => Some(false),
            Answer::Nothing => None,
            Answer::Unclear => {
                self.tell(&rules::VALUE_UNFIT, word, || {
                    let message =
                        format!("The column “{word}” needs yes or no, but row {} has neither.", row.number());
                    let mend = "Write yes or no; words of your own go under [roster.words] in program.toml.";
                    (cell.place(), message, mend.to_owned())
                });
                None
            }
        }
    }

    /// Tells a column that could be a field too, where it does not say in each row what the field's own does. What
    /// decides who is credited, and by what name, must be plain; of the rest the first column counts.
    fn tell_rival(
        &self,
        table: &Table,
        columns: &[Column],
        (rival, field): (&Column, Field),
        mistakes: &Mistakes,
    ) {
        let differs = |row: &Row| {
            let other = row.cell(rival.at).map(|cell| cell.value().into_owned()).unwrap_or_default();
            let own = self.text(*row, field).unwrap_or_default();
            !other.is_empty() && !self.says_the_same(field, &own, &other)
        };
        let Some(row) = table.rows().find(differs) else { return };
        let word = field.word();
        let message = format!(
            "This column could also be “{word}”, and in row {} it differs from the column that was used.",
            row.number()
        );
        let (own, other) = columns::choices(columns, rival, field);
        let mend = format!(
            "Say which counts, with a line under [roster.headings] in program.toml: {own}, or {other}. Or take out what does not."
        );
        let decides =
            [Field::Event, Field::Name, Field::Companion, Field::Attended, Field::Passed, Field::Email];
        if decides.contains(&field) && !columns::is_only_a_title(rival) {
            mistakes.tell(&rules::HEADING_RIVAL, rival.place.clone(), message, mend);
        } else {
            let finding = Finding::of(&rules::HEADING_RIVAL, rival.place.clone(), message);
            mistakes.add(finding.weighs(Level::Warning).mend(mend));
        }
    }

    fn says_the_same(&self, field: Field, own: &str, other: &str) -> bool {
        let is_yes = |text: &str| match cells::answer(text, &self.words) {
            Answer::Yes => Some(true),
            Answer::No | Answer::Nothing => Some(false),
            Answer::Unclear => None,
        };
        let same = plain(own) == plain(other) || own.trim().to_lowercase() == other.trim().to_lowercase();
        match field {
            // What is no answer at all is a column of something else.
            Field::Attended | Field::Passed | Field::Join => match is_yes(other) {
                Some(other) => same || is_yes(own) == Some(other),
                None => true,
            },
            // A part of the name says nothing else: "Ann" beside "Ann Lee".
            Field::Name => {
                let words: Vec<String> = own.split_whitespace().map(str::to_lowercase).collect();
                // "Is this the right name? Yes."
                let is_said = matches!(cells::answer(other, &self.words), Answer::Yes);
                same || is_said
                    || cells::is_nobody(other)
                    || other.split_whitespace().all(|word| words.contains(&word.to_lowercase()))
            }
            _ => same,
        }
    }

    fn place(&self, row: Row, field: Field) -> Place {
        let cell = self.columns(field).first().and_then(|at| row.cell(*at));
        cell.map_or_else(|| row.place(), |cell| cell.place())
    }

    fn tell_empty(&self, row: Row, field: Field) {
        let word = field.word();
        self.tell(&rules::VALUE_EMPTY, word, || {
            let message = format!("Row {} has no {word}.", row.number());
            (row.place(), message, format!("Fill in the column “{word}”, or delete the row."))
        });
    }

    fn tell(&self, rule: &'static Rule, kind: &'static str, what: impl FnOnce() -> (Place, String, String)) {
        let mut told = self.told.borrow_mut();
        let (count, findings) = told.entry((rule, kind)).or_default();
        *count += 1;
        // As many as are told one by one, and no more: a whole column may be wrong.
        if findings.len() < super::mistakes::TOLD {
            let (place, message, mend) = what();
            findings.push(Finding::of(rule, place, message).mend(mend).stops_press(true));
        }
    }
}
