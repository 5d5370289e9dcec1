//! `people/roster.csv`: one row a participant and event.

use super::files::Page;
use super::mistakes::Mistakes;
use super::table::{self, Cell};
use crate::nearest::nearest;
use crate::place::Place;

#[derive(Clone, Debug, Default)]
pub struct Roster {
    pub rows: Vec<Participant>,
}

#[derive(Clone, Debug)]
pub struct Participant {
    /// The event's id.
    pub event: String,
    /// As it is to be printed: outer white space removed, every letter kept.
    pub name: String,
    pub companion: Option<String>,
    pub attended: bool,
    pub passed: bool,
    pub email: Option<String>,
    pub address: Option<Address>,
    pub size: Option<String>,
    pub joins: bool,
    /// The name's cell.
    pub place: Place,
    pub event_place: Place,
}

#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Address {
    pub street: String,
    pub town: String,
    pub state: String,
    pub postcode: String,
    pub country: String,
}

/// The headings that packstring reads; any other is passed over.
const HEADINGS: [&str; 14] = [
    "event",
    "name",
    "companion",
    "attended",
    "passed",
    "email",
    "street",
    "town",
    "state",
    "postcode",
    "country",
    "size",
    "join",
    "note",
];

/// The headings that a roster must have.
const NEEDED: [&str; 3] = ["event", "name", "attended"];

impl Roster {
    pub(super) fn read(page: &Page, mistakes: &Mistakes) -> Self {
        let mut rows = table::rows(page, mistakes).into_iter();
        let Some(first) = rows.next() else {
            tell_missing(&NEEDED, Place::whole(&page.file), &[], mistakes);
            return Self::default();
        };
        let columns = columns(&first, mistakes);
        let reader = RowReader { columns, width: first.len(), mistakes };
        Self { rows: rows.filter_map(|row| reader.participant(row)).collect() }
    }
}

/// Where the known headings stand: for each of [`HEADINGS`] its column.
fn columns(first: &[Cell], mistakes: &Mistakes) -> [Option<usize>; HEADINGS.len()] {
    let written: Vec<String> = first.iter().map(|cell| cell.text.trim().to_lowercase()).collect();
    for (at, cell) in first.iter().enumerate() {
        let known = HEADINGS.contains(&written[at].as_str());
        if known && written[..at].contains(&written[at]) {
            let message = format!("There are two columns with the heading “{}”.", cell.text.trim());
            mistakes.tell("name-doubled", cell.place.clone(), message, "Give one of them another heading.");
        }
        let absent = HEADINGS.into_iter().filter(|heading| !written.iter().any(|word| word == heading));
        if let (false, Some(heading)) = (known, nearest(&written[at], absent)) {
            let message = "packstring does not know this heading, and would pass over its column.";
            mistakes.tell(
                "heading-unknown",
                cell.place.clone(),
                message,
                format!("Did you mean “{heading}”?"),
            );
        }
    }
    let missing: Vec<&str> =
        NEEDED.into_iter().filter(|heading| !written.iter().any(|word| word == heading)).collect();
    let place = first.first().map(|cell| cell.place.clone());
    if let (true, Some(cell)) = (missing.len() == NEEDED.len(), other_separator(first)) {
        let message = "The columns of the roster are not parted by commas.";
        let mend = "Save it again as CSV with commas between the cells, not semicolons or tabs.";
        mistakes.tell("heading-missing", cell.place.clone(), message, mend);
    } else if let (false, Some(place)) = (missing.is_empty(), place) {
        tell_missing(&missing, place, &written, mistakes);
    }
    HEADINGS.map(|heading| written.iter().position(|word| word == heading))
}

/// The one cell of a first row that has its headings parted by something else than commas.
fn other_separator(first: &[Cell]) -> Option<&Cell> {
    let [cell] = first else { return None };
    cell.text.contains([';', '\t']).then_some(cell)
}

fn tell_missing(missing: &[&str], place: Place, written: &[String], mistakes: &Mistakes) {
    for heading in missing {
        if nearest(heading, written.iter().map(String::as_str)).is_some() {
            continue;
        }
        let message = format!("The roster has no column “{heading}”.");
        let mend = "The first row holds the headings; event, name and attended must be among them.";
        mistakes.tell("heading-missing", place.clone(), message, mend);
    }
}

struct RowReader<'m> {
    columns: [Option<usize>; HEADINGS.len()],
    width: usize,
    mistakes: &'m Mistakes,
}

impl RowReader<'_> {
    fn participant(&self, mut row: Vec<Cell>) -> Option<Participant> {
        // Spreadsheets like to export empty cells to the right of the table.
        while row.len() > self.width && row.last().is_some_and(|cell| cell.text.trim().is_empty()) {
            row.pop();
        }
        if row.len() != self.width {
            let place = row.first()?.place.clone();
            let message =
                format!("This row has {} cells, and the roster has {} headings.", row.len(), self.width);
            let mend =
                "Give each row one cell for each heading; put text with a comma in it in quotation marks.";
            self.mistakes.tell("row-ragged", place, message, mend);
            return None;
        }
        let text = |heading| self.text(&row, heading);
        let (name, event) = (self.cell(&row, "name")?, self.cell(&row, "event")?);
        for (cell, what) in [(name, "name"), (event, "event")] {
            if cell.text.trim().is_empty() {
                let place =
                    row.iter().find(|cell| !cell.text.trim().is_empty()).unwrap_or(cell).place.clone();
                let message = format!("This row has no {what}.");
                self.mistakes.tell(
                    "value-empty",
                    place,
                    message,
                    format!("Fill in the column “{what}”, or delete the row."),
                );
            }
        }
        let address = Address {
            street: text("street").unwrap_or_default(),
            town: text("town").unwrap_or_default(),
            state: text("state").unwrap_or_default(),
            postcode: text("postcode").unwrap_or_default(),
            country: text("country").unwrap_or_default(),
        };
        Some(Participant {
            event: event.text.trim().to_owned(),
            name: name.text.trim().to_owned(),
            companion: text("companion"),
            attended: self.yes(&row, "attended"),
            passed: self.yes(&row, "passed"),
            email: text("email"),
            address: (address != Address::default()).then_some(address),
            size: text("size"),
            joins: self.yes(&row, "join"),
            place: name.place.clone(),
            event_place: event.place.clone(),
        })
    }

    fn cell<'r>(&self, row: &'r [Cell], heading: &str) -> Option<&'r Cell> {
        let at = HEADINGS.iter().position(|known| *known == heading)?;
        row.get(self.columns[at]?)
    }

    fn text(&self, row: &[Cell], heading: &str) -> Option<String> {
        let text = self.cell(row, heading)?.text.trim();
        (!text.is_empty()).then(|| text.to_owned())
    }

    fn yes(&self, row: &[Cell], heading: &str) -> bool {
        let Some(cell) = self.cell(row, heading) else { return false };
        match cell.text.trim().to_lowercase().as_str() {
            "yes" | "y" => true,
            "no" | "n" | "" => false,
            _ => {
                let message = format!("The column “{heading}” holds yes or no, and this is neither.");
                self.mistakes.tell("value-unfit", cell.place.clone(), message, "Write yes or no.");
                false
            }
        }
    }
}
