//! `people/answers.csv`: what participants answered, one row a person and event, one column a question. The
//! roster may have such columns itself.
//!
//! Only read here: which column is which question, and what stands in each cell. Who the person is and
//! whether an answer is right is for [`crate::people::scoring`].

mod headings;

use super::Written as Cell;
use super::mistakes::{Mistakes, offer};
use super::questions::Questions;
use super::roster::Roster;
use super::settings::Settings;
use super::tables::{Row, Table};
use crate::finding::{Place, rules};
use headings::{Column, columns};

pub(super) use headings::is_known;
pub use headings::{Asks, Unmatched};

/// What participants answered: the rows of the answers file, and those that stand in the roster.
#[derive(Clone, Debug, Default)]
pub struct Answers {
    /// In the order of the file.
    pub rows: Vec<AnswerRow>,
    /// Columns that look like answers to a question that is not there.
    pub unmatched: Vec<Unmatched>,
}

/// What one person answered at one event.
#[derive(Clone, Debug)]
pub struct AnswerRow {
    /// The event's id.
    pub event: String,
    pub name: String,
    pub email: Option<String>,
    /// The version of the question sheet, from A.
    pub version: char,
    pub given: Vec<GivenAnswer>,
    /// The row of the roster that the answers stand in, for those that do.
    pub roster_row: Option<usize>,
    /// The name's cell.
    pub place: Place,
}

/// An answer as it was given.
#[derive(Clone, Debug)]
pub struct GivenAnswer {
    pub asks: Asks,
    /// Without outer white space; may be empty.
    pub text: String,
    pub place: Place,
}

/// The headings that an answers file must have.
const NEEDED: [(&str, Column); 2] = [("event", Column::Event), ("name", Column::Name)];

impl Answers {
    pub(super) fn read(
        table: &Table,
        questions: &Questions,
        settings: &Settings,
        mistakes: &Mistakes,
    ) -> Self {
        let Some(first) = table.headings().map(Row::values) else { return Self::default() };
        let (columns, unmatched) = columns(&first, questions, settings, mistakes);
        let only_event = match settings.events.as_slice() {
            [event] => Some(event.id.as_str()),
            _ => None,
        };
        for (heading, column) in NEEDED {
            let is_known = column == Column::Event && only_event.is_some();
            if !is_known && !columns.contains(&Some(column.clone())) {
                let place = first.first().map_or(Place::whole(&table.file), |cell| cell.place.clone());
                let message = format!("The answers have no column “{heading}”.");
                let mend = format!(
                    "Add one, or name yours in program.toml under [answers.headings]: {heading} = \"its heading\"."
                );
                mistakes.tell(&rules::HEADING_MISSING, place, message, mend);
                return Self::default();
            }
        }
        let reader = RowReader { columns: &columns, questions, settings, only_event, mistakes };
        Self { rows: table.rows().filter_map(|row| reader.row(row.values())).collect(), unmatched }
    }
}

impl Answers {
    /// Takes up the answers that stand in the roster itself. They come before those of a file of answers, so
    /// that of two for one person the file's count.
    pub(super) fn take_from(
        &mut self,
        roster: &Roster,
        questions: &Questions,
        settings: &Settings,
        mistakes: &Mistakes,
    ) {
        let found = headings::in_roster(roster, questions, settings);
        if found.iter().all(|(_, column)| *column == Column::Version) {
            return;
        }
        let mut columns = vec![None; roster.columns.len()];
        found.into_iter().for_each(|(at, column)| columns[at] = Some(column));
        let reader = RowReader { columns: &columns, questions, settings, only_event: None, mistakes };
        let answered = roster.rows.iter().filter_map(|person| {
            let row = roster.row(person.row)?.values();
            let given = reader.given(&row);
            given.iter().any(|given| !given.text.is_empty()).then(|| AnswerRow {
                event: person.event.clone(),
                name: person.name.clone(),
                email: person.email.clone(),
                version: reader.version(&row),
                given,
                roster_row: Some(person.row),
                place: person.place.clone(),
            })
        });
        let answered: Vec<AnswerRow> = answered.collect();
        self.rows.splice(0..0, answered);
    }
}

struct RowReader<'r> {
    /// What each column holds; `None`: passed over.
    columns: &'r [Option<Column>],
    questions: &'r Questions,
    settings: &'r Settings,
    only_event: Option<&'r str>,
    mistakes: &'r Mistakes,
}

impl RowReader<'_> {
    fn row(&self, row: Vec<Cell>) -> Option<AnswerRow> {
        let name = self.cell(&row, &Column::Name)?;
        let is_more = |column: &Option<Column>| column.as_ref() == Some(&Column::FamilyName);
        let more = self.columns.iter().zip(&row).filter(|(column, _)| is_more(column)).map(|(_, cell)| cell);
        let parts: Vec<&str> = std::iter::once(name)
            .chain(more)
            .map(|cell| cell.text.trim())
            .filter(|part| !part.is_empty())
            .collect();
        if parts.is_empty() {
            let place = row.iter().find(|cell| !cell.text.trim().is_empty()).unwrap_or(name).place.clone();
            let mend = "Fill in the column “name”, or delete the row.";
            self.mistakes.tell(&rules::VALUE_EMPTY, place, "This row of answers has no name.", mend);
            return None;
        }
        let event = self.event(&row, name)?;
        Some(AnswerRow {
            event,
            name: parts.join(" "),
            email: self
                .cell(&row, &Column::Email)
                .map(|cell| cell.text.trim().to_owned())
                .filter(|text| !text.is_empty()),
            version: self.version(&row),
            given: self.given(&row),
            roster_row: None,
            place: name.place.clone(),
        })
    }

    fn given(&self, row: &[Cell]) -> Vec<GivenAnswer> {
        let given = self.columns.iter().zip(row).filter_map(|(column, cell)| match column {
            Some(Column::Question(asks)) => Some(GivenAnswer {
                asks: asks.clone(),
                text: cell.text.trim().to_owned(),
                place: cell.place.clone(),
            }),
            _ => None,
        });
        given.collect()
    }

    fn cell<'c>(&self, row: &'c [Cell], column: &Column) -> Option<&'c Cell> {
        row.get(self.columns.iter().position(|known| known.as_ref() == Some(column))?)
    }

    /// The event by its id or its name; the only one where nothing stands there.
    fn event(&self, row: &[Cell], name: &Cell) -> Option<String> {
        let cell = self.cell(row, &Column::Event);
        let words = cell.map_or("", |cell| cell.text.trim());
        if let (true, Some(only)) = (words.is_empty(), self.only_event) {
            return Some(only.to_owned());
        }
        let events = || self.settings.all_events();
        let lower = words.to_lowercase();
        let known = events().find(|event| event.id == lower || event.name.to_lowercase() == lower);
        if let Some(event) = known {
            return Some(event.id.clone());
        }
        let place = cell.map_or(&name.place, |cell| &cell.place).clone();
        if words.is_empty() {
            let mend = "Write the event's id, or delete the row.";
            self.mistakes.tell(&rules::VALUE_EMPTY, place, "This row of answers has no event.", mend);
        } else {
            // Where columns have slipped, a person's name may stand in the cell: the message does not say it.
            let message = "The event of this row of answers is not in program.toml.";
            let otherwise = "Write the id of an event of program.toml, or add the event there.";
            let mend = offer(words, events().map(|event| event.id.as_str()), otherwise);
            self.mistakes.tell(&rules::NAME_UNKNOWN, place, message, mend);
        }
        None
    }

    /// The version of the sheet by its letter: `B`, `b` or `Version B`; A where nothing stands there.
    fn version(&self, row: &[Cell]) -> char {
        let Some(cell) = self.cell(row, &Column::Version) else { return 'A' };
        let words = cell.text.trim().to_uppercase();
        let words = words.strip_prefix("VERSION").unwrap_or(&words).trim();
        if words.is_empty() {
            return 'A';
        }
        let last = char::from(b'A' + (self.questions.versions.max(1) - 1) as u8);
        let mut letters = words.chars();
        if let (Some(letter), None) = (letters.next(), letters.next())
            && ('A'..=last).contains(&letter)
        {
            return letter;
        }
        let message = "There is no such version of the question sheet.";
        let mend = match last {
            'A' => "Write A, or leave the cell empty: questions.toml asks for one version.".to_owned(),
            last => format!("Write the letter that is printed on the sheet, A to {last}."),
        };
        self.mistakes.tell(&rules::VALUE_UNFIT, cell.place.clone(), message, mend);
        'A'
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Sources;
    use crate::program::files::Page;
    use crate::program::form::{Form, FormContext};
    use crate::program::syntax;
    use crate::program::tables::{self, How};
    use toml::de::DeTable;

    const SETTINGS: &str = r#"
[program]
name = "Trail Rider Stewards"
agency = "Juniper Basin Open Lands"
season = "2026"
[[syllabus]]
lesson = "welcome"
minutes = 10
[[events]]
id = "north-camp"
name = "North Camp Day"
date = 2026-05-16
start = 09:00
minutes = 90
place = "Shelter"
form = "in person"
[[events]]
id = "sand-creek"
name = "Sand Creek Day"
date = 2026-06-16
start = 09:00
minutes = 90
place = "Gate"
form = "in person"
[answers.headings]
name = "Who are you?"
change = "Q: change"
"#;

    const QUESTIONS: &str = r#"
versions = 2
[[questions]]
id = "lead-length"
kind = "figure"
ask = "How **long** may a lead rope be?"
fact = "lead-length"
[[questions]]
id = "change"
kind = "open"
ask = "What will you change?"
look-for = ["a habit"]
"#;

    fn form<T>(text: &str, read: impl FnOnce(Form) -> T) -> T {
        let page = Page::new("x.toml".into(), text.into());
        let mistakes = Mistakes::default();
        let (text, broken) = syntax::sound_text(&page, &mistakes);
        let (table, _) = DeTable::parse_recoverable(&text);
        let context = FormContext { page: &page, mistakes: &mistakes, broken: &broken };
        let read = read(Form::of_file(context, table.into_inner(), "file"));
        assert!(mistakes.is_empty(), "{:?}", mistakes.take_findings(&Sources::default()));
        read
    }

    fn read(csv: &str) -> (Answers, Vec<String>) {
        let mistakes = Mistakes::default();
        let file = "people/answers.csv".into();
        let table = tables::read(&file, csv.into(), &How::default()).table.unwrap();
        let (questions, settings) = (form(QUESTIONS, Questions::read), form(SETTINGS, Settings::read));
        let answers = Answers::read(&table, &questions, &settings, &mistakes);
        let told = mistakes.take_findings(&Sources::default());
        (answers, told.into_iter().map(|finding| finding.message).collect())
    }

    #[test]
    fn columns_are_found_by_id_number_words_and_settings() {
        let (answers, told) = read(
            "Timestamp,Workshop,Who are you?,E-mail address,Sheet version,1. How long may a lead rope be?,Q: change\n\
             9:00,North Camp Day,Ana Ruiz,ana@mail.example,b, 6 ft ,Walk\n",
        );
        assert!(told.is_empty(), "{told:?}");
        let row = &answers.rows[0];
        assert_eq!((row.event.as_str(), row.name.as_str(), row.version), ("north-camp", "Ana Ruiz", 'B'));
        assert_eq!(row.email.as_deref(), Some("ana@mail.example"));
        let given: Vec<(&Asks, &str)> =
            row.given.iter().map(|given| (&given.asks, given.text.as_str())).collect();
        let lead = Asks::Question("lead-length".into());
        assert_eq!(given, [(&lead, "6 ft"), (&Asks::Question("change".into()), "Walk")]);
        let (answers, _) = read("event,name,q1,Question 2,q3\nnorth-camp,Ana,6,Walk,\n");
        let asks: Vec<&Asks> = answers.rows[0].given.iter().map(|given| &given.asks).collect();
        assert_eq!(asks, [&Asks::Number(1), &Asks::Number(2)]);
        assert_eq!(answers.unmatched.len(), 1, "there is no third question");
    }

    #[test]
    fn what_is_wrong_in_a_row_is_told() {
        let (answers, told) = read(
            "event,name,version,lead-length\nnorth-cmap,Ana,,6 ft\nnorth-camp,,,6 ft\n\
             sand-creek,Bo,C,6 ft\n",
        );
        assert_eq!(told.len(), 3, "{told:?}");
        assert_eq!(answers.rows.len(), 1);
        let (_, told) = read("event,lead-length\nnorth-camp,6 ft\n");
        assert_eq!(told, ["The answers have no column “name”."]);
    }
}
