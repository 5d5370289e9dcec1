//! `people/hours.csv`: hours of service, one row an entry: who, on which day, what, how long.
//!
//! Days and hours are read from the forms in which people write them ([`super::day`], [`amount`]); what
//! cannot be read for certain is told. Who is meant by a name, and what the hours come to, is worked out
//! in [`crate::people::tally`].

mod amount;

use super::Written as Cell;
use super::day;
use super::headings::{
    find_named, holds, is_part_of_name, known_form, name_in_parts, plain, repeats, tell_slip,
};
use super::mistakes::Mistakes;
use super::roster::columns::{self, Field};
use super::roster::denies;
use super::settings::HoursSettings;
use super::tables::Table;
use crate::finding::{Finding, Level, Place, rules};
use crate::languages::{self, fold};
use crate::nearest::nearest;
use crate::quantity::Exact;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// An entry of the hours file.
#[derive(Clone, Debug)]
pub struct Service {
    /// Outer white space removed, every letter kept.
    pub name: String,
    pub email: Option<String>,
    pub date: Date,
    pub activity: Option<String>,
    pub hours: Exact,
    /// Whether another column says otherwise of the name or the hours: nobody is given an award by it.
    pub is_doubtful: bool,
    /// The name's cell.
    pub place: Place,
    pub date_place: Place,
    pub hours_place: Place,
}

/// The headings that packstring reads; any other is passed over.
pub(super) const HEADINGS: [&str; 5] = ["name", "email", "date", "activity", "hours"];

/// The headings that an hours file must have.
const NEEDED: [&str; 3] = ["name", "date", "hours"];

/// Whether a heading is one of an hours file.
pub(super) fn is_known(heading: &str) -> bool {
    own_word(heading).is_some() || is_part_of_name(heading)
}

/// Other headings that mean the same in any language, besides those that the roster has for a name and an e-mail
/// address.
fn usual(word: &str) -> impl Iterator<Item = &'static str> {
    languages::in_all(move |language| language.headings.hours.get(word).map_or(&[], Vec::as_slice))
}

/// Our word for what a heading says.
fn own_word(heading: &str) -> Option<&'static str> {
    let heading = known_form(heading);
    let own = HEADINGS.into_iter().find(|word| *word == heading);
    let usual = || HEADINGS.into_iter().find(|word| usual(word).any(|usual| usual == heading));
    own.or_else(usual).or_else(|| match columns::usual(&heading)? {
        Field::Name => Some("name"),
        Field::Email => Some("email"),
        _ => None,
    })
}

/// What a column that nothing is read from is about.
#[derive(Clone, Copy, Debug)]
enum About {
    /// One of [`HEADINGS`].
    Word(&'static str),
    /// Whether the hours count.
    Approval,
}

impl About {
    /// Whether it decides who is given an award, and by what name.
    fn decides(self) -> bool {
        matches!(self, Self::Approval | Self::Word("name" | "hours"))
    }
}

/// What a heading that nobody claimed is about: "Hours approved", "Approved?", "Prénom".
fn about(heading: &str) -> Option<About> {
    let known = own_word(heading).or_else(|| is_part_of_name(heading).then_some("name"));
    if let Some(word) = known {
        return Some(About::Word(word));
    }
    let plain = plain(heading);
    let words: Vec<&str> = plain.split(' ').collect();
    let is_hours = |word: &&str| own_word(word) == Some("hours");
    let is_approval = |word: &&str| {
        languages::folded_words(|language| &language.headings.approval).any(|known| known == fold(word))
    };
    let is_small = |word: &&str| {
        languages::folded_words(|language| &language.headings.small).any(|known| known == fold(word))
    };
    let fits = words.iter().all(|word| is_hours(word) || is_approval(word) || is_small(word));
    match (fits && words.iter().any(is_approval), words.iter().any(is_hours)) {
        (true, true) => Some(About::Word("hours")),
        (true, false) => Some(About::Approval),
        (false, _) => None,
    }
}

/// For each of [`HEADINGS`] its columns, in the order in which their cells are joined.
type Columns = [Vec<usize>; HEADINGS.len()];

pub(super) fn read(table: &Table, settings: &HoursSettings, mistakes: &Mistakes) -> Vec<Service> {
    let Some(first) = table.headings() else { return Vec::new() };
    let first = first.values();
    let columns = columns(table, &first, &settings.headings, mistakes);
    let reader = RowReader { columns, settings, mistakes };
    let rivals = reader.rivals(&first);
    reader.tell_rivals(table, &first, &rivals);
    table.rows().filter_map(|row| reader.service(&row.values(), &rivals)).collect()
}

fn columns(
    table: &Table,
    first: &[Cell],
    named: &[(&'static str, Vec<Cell>)],
    mistakes: &Mistakes,
) -> Columns {
    let mut meant = words_of(first);
    // What the program names, in the order in which it names it.
    let mut by_settings: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (word, headings) in named {
        // It wins over what a heading seems to say.
        let cells = first.iter().map(|cell| cell.text.as_str());
        let find = |heading| find_named(cells.clone(), heading, "hours file", mistakes);
        let found: Vec<usize> = headings.iter().filter_map(find).collect();
        if !found.is_empty() {
            meant.iter_mut().filter(|other| **other == Some(*word)).for_each(|other| *other = None);
            found.iter().for_each(|at| meant[*at] = Some(*word));
            by_settings.insert(word, found);
        }
    }
    let parts = match by_settings.contains_key("name") {
        true => None,
        false => join_name(table, first, &mut meant),
    };
    let has = |meant: &[Option<&str>], word: &str| meant.contains(&Some(word));
    let mut columns = Columns::default();
    for (at, (word, cell)) in meant.iter().zip(first).enumerate() {
        let Some(word) = word else {
            let absent = HEADINGS.into_iter().filter(|heading| !has(&meant, heading));
            tell_slip(cell.text.trim(), &cell.place, absent, &NEEDED, mistakes);
            continue;
        };
        let column = &mut columns[HEADINGS.iter().position(|known| known == word).unwrap_or_default()];
        if let Some(named) = by_settings.get(word) {
            column.clone_from(named);
        } else if let Some(parts) = parts.as_ref().filter(|parts| parts.contains(&at)) {
            column.clone_from(parts);
        } else if !column.is_empty() {
            let message = format!("Two columns of the hours file say “{word}”.");
            mistakes.tell(
                &rules::NAME_DOUBLED,
                cell.place.clone(),
                message,
                "Give one of them another heading, or say under [hours.headings] in program.toml which counts.",
            );
        } else {
            column.push(at);
        }
    }
    tell_missing(first, &meant, mistakes);
    columns
}

/// Our word for each column; our own headings win over others that mean the same.
fn words_of(first: &[Cell]) -> Vec<Option<&'static str>> {
    let is = |cell: &Cell, word: &str| cell.text.trim().to_lowercase() == word;
    let own = |word: &str| first.iter().any(|cell| is(cell, word));
    let meant = |cell: &Cell| own_word(&cell.text).filter(|word| is(cell, word) || !own(word));
    first.iter().map(meant).collect()
}

/// "First name" and "Last name", where no column has the whole name; gives all of them.
fn join_name(table: &Table, first: &[Cell], meant: &mut [Option<&'static str>]) -> Option<Vec<usize>> {
    let headings: Vec<&str> = first.iter().map(|cell| cell.text.as_str()).collect();
    let parts = name_in_parts(&headings, meant, "name", |whole, part| holds(table, whole, part))?;
    parts.iter().for_each(|at| meant[*at] = Some("name"));
    Some(parts)
}

fn tell_missing(first: &[Cell], meant: &[Option<&str>], mistakes: &Mistakes) {
    for heading in NEEDED.into_iter().filter(|heading| !meant.contains(&Some(heading))) {
        let unknown = first.iter().zip(meant).filter(|(_, word)| word.is_none());
        let unknown: Vec<String> = unknown.map(|(cell, _)| cell.text.trim().to_lowercase()).collect();
        // A slip of it was told.
        if nearest(heading, unknown.iter().map(String::as_str)).is_none() {
            let message = format!("The hours file has no column “{heading}”.");
            let mend = "The first row holds the headings; name, date and hours must be among them.";
            mistakes.tell(&rules::HEADING_MISSING, first[0].place.clone(), message, mend);
        }
    }
}

struct RowReader<'m> {
    columns: Columns,
    settings: &'m HoursSettings,
    mistakes: &'m Mistakes,
}

impl RowReader<'_> {
    /// Columns that could be one of ours too, or that say whether an entry counts: each with what it is about.
    fn rivals(&self, first: &[Cell]) -> Vec<(usize, About)> {
        let about = |(at, heading): (usize, &Cell)| {
            if self.columns.iter().flatten().any(|taken| *taken == at) {
                return None;
            }
            let about = about(&heading.text)?;
            let About::Word(word) = about else { return Some((at, about)) };
            let own = &self.columns[HEADINGS.iter().position(|known| *known == word).unwrap_or_default()];
            let is_named = self.settings.headings.iter().any(|(named, _)| *named == word);
            (!own.is_empty() && !is_named).then_some((at, about))
        };
        first.iter().enumerate().filter_map(about).collect()
    }

    /// Whether a row says otherwise in such a column.
    fn differs(&self, row: &[Cell], (at, about): (usize, About)) -> bool {
        let other = row.get(at).map(|cell| cell.text.trim()).unwrap_or_default();
        if other.is_empty() {
            return false;
        }
        let own = |word| self.text(row, word).unwrap_or_default();
        match about {
            About::Approval => denies(other),
            About::Word("name") => fold(&own("name")) != fold(other) && !repeats(&own("name"), other),
            About::Word("hours") => match (amount::read(&own("hours")), amount::read(other)) {
                (Ok(own), Ok(other)) => own != other,
                _ => own("hours").to_lowercase() != other.to_lowercase(),
            },
            About::Word(word) => own(word).to_lowercase() != other.to_lowercase(),
        }
    }

    /// Tells columns that could be one of ours too, where a row says otherwise in them: “Hours worked” beside “hours”.
    fn tell_rivals(&self, table: &Table, first: &[Cell], rivals: &[(usize, About)]) {
        for rival in rivals {
            let Some(row) = table.rows().find(|row| self.differs(&row.values(), *rival)) else { continue };
            let (message, mend) = match rival.1 {
                About::Approval => (
                    format!(
                        "packstring does not use this column, but in row {} it says that the hours do not count.",
                        row.number()
                    ),
                    "Take such rows out, or give the column another heading if it means something else."
                        .to_owned(),
                ),
                About::Word(word) => (
                    format!(
                        "This column could also be “{word}”, and in row {} it differs from the column that was used.",
                        row.number()
                    ),
                    format!(
                        "Say which counts, with a line {word} = \"…\" under [hours.headings] in program.toml, or take the other column out."
                    ),
                ),
            };
            let finding = Finding::of(&rules::HEADING_RIVAL, first[rival.0].place.clone(), message);
            self.mistakes.add(finding.weighs(Level::Warning).mend(mend));
        }
    }

    fn service(&self, row: &[Cell], rivals: &[(usize, About)]) -> Option<Service> {
        let name = self.needed(row, "name");
        let date = self.needed(row, "date").and_then(|cell| self.date(cell));
        let hours = self.needed(row, "hours").and_then(|cell| self.hours(cell));
        let (name, (date, date_place), (hours, hours_place)) = (name?, date?, hours?);
        Some(Service {
            name: self.text(row, "name").unwrap_or_default(),
            email: self.text(row, "email"),
            date,
            activity: self.text(row, "activity"),
            hours,
            is_doubtful: rivals.iter().any(|rival| rival.1.decides() && self.differs(row, *rival)),
            place: name.place.clone(),
            date_place,
            hours_place,
        })
    }

    fn date(&self, cell: &Cell) -> Option<(Date, Place)> {
        match day::read(&cell.text, self.settings.dates) {
            Ok(date) => Some((date, cell.place.clone())),
            Err(why) => {
                self.mistakes.tell(
                    &rules::VALUE_UNFIT,
                    cell.place.clone(),
                    why.message(),
                    why.mend("[hours]"),
                );
                None
            }
        }
    }

    fn hours(&self, cell: &Cell) -> Option<(Exact, Place)> {
        match amount::read(&cell.text) {
            Ok(hours) => Some((hours, cell.place.clone())),
            Err(why) => {
                let message = match amount::unknown_unit(&cell.text) {
                    Some(unit) => format!("packstring does not know “{unit}” as a unit of hours."),
                    None => why.message().to_owned(),
                };
                self.mistakes.tell(&rules::VALUE_UNFIT, cell.place.clone(), message, why.mend());
                None
            }
        }
    }

    /// The cells of a column, or of the columns that are joined to one.
    fn cells<'r>(&self, row: &'r [Cell], heading: &str) -> impl Iterator<Item = &'r Cell> {
        let at = HEADINGS.iter().position(|known| *known == heading);
        at.into_iter().flat_map(|at| &self.columns[at]).filter_map(|at| row.get(*at))
    }

    /// The first cell of a column that must hold something; told where it does not.
    fn needed<'r>(&self, row: &'r [Cell], heading: &str) -> Option<&'r Cell> {
        let first = self.cells(row, heading).next()?;
        let is_filled = |cell: &&Cell| !cell.text.trim().is_empty();
        let filled = self.cells(row, heading).find(is_filled);
        if filled.is_none() {
            let at = row.iter().find(is_filled).unwrap_or(first);
            let message = format!("This row has no {heading}.");
            let mend = format!("Fill in the column “{heading}”, or delete the row.");
            self.mistakes.tell(&rules::VALUE_EMPTY, at.place.clone(), message, mend);
        }
        filled
    }

    fn text(&self, row: &[Cell], heading: &str) -> Option<String> {
        let cells = self.cells(row, heading).map(|cell| cell.text.trim());
        let text = cells.filter(|text| !text.is_empty()).collect::<Vec<_>>().join(" ");
        (!text.is_empty()).then_some(text)
    }
}
