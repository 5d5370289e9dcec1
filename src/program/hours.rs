//! `people/hours.csv`: hours of service, one row an entry: who, on which day, what, how long.
//!
//! Days and hours are read from the forms in which people write them ([`super::day`], [`amount`]); what
//! cannot be read for certain is told. Who is meant by a name, and what the hours come to, is worked out
//! in [`crate::people::tally`].

mod amount;

use super::day;
use super::facts::Written as Cell;
use super::mistakes::Mistakes;
use super::settings::HoursSettings;
use super::tables::Table;
use crate::nearest::nearest;
use crate::place::Place;
use crate::quantity::Exact;
use jiff::civil::Date;

/// An entry of the hours file.
#[derive(Clone, Debug)]
pub struct Service {
    /// Outer white space removed, every letter kept.
    pub name: String,
    pub email: Option<String>,
    pub date: Date,
    pub activity: Option<String>,
    pub hours: Exact,
    /// The name's cell.
    pub place: Place,
    pub date_place: Place,
    pub hours_place: Place,
}

/// The headings that packstring reads; any other is passed over.
const HEADINGS: [&str; 5] = ["name", "email", "date", "activity", "hours"];

/// Other headings that mean the same, in the same order. Common usage of forms and spreadsheets, no source.
const USUAL: [&[&str]; 5] = [
    &["volunteer", "full name", "volunteer name", "member", "who", "nombre"],
    &["e-mail", "email address", "e-mail address", "correo"],
    &["day", "date of service", "service date", "date worked", "fecha"],
    &["task", "work", "what", "description", "project", "service", "actividad"],
    &["time", "duration", "hours worked", "total hours", "time spent", "hours served", "horas"],
];

/// The headings that an hours file must have.
const NEEDED: [&str; 3] = ["name", "date", "hours"];

/// Whether a heading is one of an hours file.
pub(super) fn is_known(heading: &str) -> bool {
    own_word(heading).is_some()
}

/// Our word for what a heading says, in any case.
fn own_word(heading: &str) -> Option<&'static str> {
    let heading = heading.trim().to_lowercase();
    let usual = || USUAL.iter().position(|words| words.contains(&&*heading));
    let at = HEADINGS.iter().position(|word| *word == heading).or_else(usual)?;
    Some(HEADINGS[at])
}

pub(super) fn read(table: &Table, settings: &HoursSettings, mistakes: &Mistakes) -> Vec<Service> {
    let Some(first) = table.headings() else { return Vec::new() };
    let reader = RowReader { columns: columns(&first.values(), mistakes), settings, mistakes };
    table.rows().filter_map(|row| reader.service(&row.values())).collect()
}

/// For each of [`HEADINGS`] its column.
fn columns(first: &[Cell], mistakes: &Mistakes) -> [Option<usize>; HEADINGS.len()] {
    // Our own words win over others that mean the same.
    let own = |word: &str| first.iter().any(|cell| cell.text.trim().to_lowercase() == word);
    let written: Vec<String> = first
        .iter()
        .map(|cell| {
            let word = cell.text.trim().to_lowercase();
            match own_word(&word).filter(|meant| *meant == word || !own(meant)) {
                Some(meant) => meant.to_owned(),
                None => word,
            }
        })
        .collect();
    for (at, (word, cell)) in written.iter().zip(first).enumerate() {
        if HEADINGS.contains(&&**word) && written[..at].contains(word) {
            let message = format!("Two columns of the hours file say “{word}”.");
            mistakes.tell("name-doubled", cell.place.clone(), message, "Give one of them another heading.");
        }
        let absent = HEADINGS.into_iter().filter(|heading| !written.iter().any(|word| word == heading));
        if let (false, Some(heading)) = (HEADINGS.contains(&&**word), nearest(word, absent)) {
            let message = "packstring does not know this heading, and would pass over its column.";
            mistakes.tell(
                "heading-unknown",
                cell.place.clone(),
                message,
                format!("Did you mean “{heading}”?"),
            );
        }
    }
    for heading in NEEDED.into_iter().filter(|heading| !written.iter().any(|word| word == heading)) {
        if nearest(heading, written.iter().map(String::as_str)).is_none() {
            let message = format!("The hours file has no column “{heading}”.");
            let mend = "The first row holds the headings; name, date and hours must be among them.";
            mistakes.tell("heading-missing", first[0].place.clone(), message, mend);
        }
    }
    HEADINGS.map(|heading| written.iter().position(|word| word == heading))
}

struct RowReader<'m> {
    columns: [Option<usize>; HEADINGS.len()],
    settings: &'m HoursSettings,
    mistakes: &'m Mistakes,
}

impl RowReader<'_> {
    fn service(&self, row: &[Cell]) -> Option<Service> {
        let name = self.needed(row, "name");
        let date = self.needed(row, "date").and_then(|cell| self.date(cell));
        let hours = self.needed(row, "hours").and_then(|cell| self.hours(cell));
        let (name, (date, date_place), (hours, hours_place)) = (name?, date?, hours?);
        Some(Service {
            name: name.text.trim().to_owned(),
            email: self.text(row, "email"),
            date,
            activity: self.text(row, "activity"),
            hours,
            place: name.place.clone(),
            date_place,
            hours_place,
        })
    }

    fn date(&self, cell: &Cell) -> Option<(Date, Place)> {
        match day::read(&cell.text, self.settings.dates) {
            Ok(date) => Some((date, cell.place.clone())),
            Err(why) => {
                self.mistakes.tell("value-unfit", cell.place.clone(), why.message(), why.mend("[hours]"));
                None
            }
        }
    }

    fn hours(&self, cell: &Cell) -> Option<(Exact, Place)> {
        match amount::read(&cell.text) {
            Ok(hours) => Some((hours, cell.place.clone())),
            Err(why) => {
                self.mistakes.tell("value-unfit", cell.place.clone(), why.message(), why.mend());
                None
            }
        }
    }

    fn cell<'r>(&self, row: &'r [Cell], heading: &str) -> Option<&'r Cell> {
        let at = HEADINGS.iter().position(|known| *known == heading)?;
        row.get(self.columns[at]?)
    }

    /// A cell that must hold something; told where it does not.
    fn needed<'r>(&self, row: &'r [Cell], heading: &str) -> Option<&'r Cell> {
        let cell = self.cell(row, heading)?;
        if cell.text.trim().is_empty() {
            let filled = row.iter().find(|cell| !cell.text.trim().is_empty()).unwrap_or(cell);
            let message = format!("This row has no {heading}.");
            let mend = format!("Fill in the column “{heading}”, or delete the row.");
            self.mistakes.tell("value-empty", filled.place.clone(), message, mend);
            return None;
        }
        Some(cell)
    }

    fn text(&self, row: &[Cell], heading: &str) -> Option<String> {
        let text = self.cell(row, heading)?.text.trim();
        (!text.is_empty()).then(|| text.to_owned())
    }
}
