//! Which column of a roster is which field: by what `program.toml` says, by packstring's own word for it,
//! or by a guess at the usual headings of forms and spreadsheets, in every language that
//! packstring knows.
//!
//! A guess is kept with the roster, so that it can be shown. It never overrules the other two, and a
//! column that nobody claims is passed over, unless its heading looks like a slip of one of our words.

use super::days::{DayMark, day_mark};
use super::further::{is_before_name, is_middle_name, is_of_another_person, is_of_name_otherwise, is_suffix};
use crate::finding::{Finding, Place, rules};
use crate::languages::{self, in_all};
use crate::nearest::nearest;
use crate::program::Written;
use crate::program::headings::{find_named, holds, is_part_of_name, known_form, name_in_parts, tell_slip};
use crate::program::mistakes::Mistakes;
use crate::program::settings::KeptColumn;
use crate::program::tables::{Row, Table};

/// What a column may hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Field {
    Event,
    Name,
    Companion,
    Attended,
    Passed,
    Email,
    Street,
    Town,
    State,
    Postcode,
    Country,
    Size,
    Join,
    Language,
    Note,
}

/// A column of a roster, and what it was understood as.
#[derive(Clone, Debug)]
pub struct Column {
    /// From 0.
    pub at: usize,
    /// Without white space around it.
    pub heading: String,
    pub place: Place,
    pub understood: ColumnMeaning,
    /// Which part of the field it holds, from 0, where several columns are joined to one.
    pub part: usize,
}

/// What a column was taken for, and what said so.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ColumnMeaning {
    /// `[roster.headings]` says so.
    BySettings(Field),
    /// The heading is packstring's word for the field.
    ByName(Field),
    ByGuess(Field),
    /// Its heading is a day of an event that has several: "Day 2", "2026-05-17".
    Day(DayMark),
    /// `[roster.keep]` names it: it is nothing to packstring, and comes out on lists of people.
    Kept,
    PassedOver,
}

impl Column {
    /// The day that it is about, where it is about one.
    pub fn day(&self) -> Option<DayMark> {
        match self.understood {
            ColumnMeaning::Day(mark) => Some(mark),
            _ => None,
        }
    }

    pub fn field(&self) -> Option<Field> {
        match self.understood {
            ColumnMeaning::BySettings(field)
            | ColumnMeaning::ByName(field)
            | ColumnMeaning::ByGuess(field) => Some(field),
            ColumnMeaning::Day(_) | ColumnMeaning::Kept | ColumnMeaning::PassedOver => None,
        }
    }
}

impl Field {
    pub const ALL: [Self; 15] = [
        Self::Event,
        Self::Name,
        Self::Companion,
        Self::Attended,
        Self::Passed,
        Self::Email,
        Self::Street,
        Self::Town,
        Self::State,
        Self::Postcode,
        Self::Country,
        Self::Size,
        Self::Join,
        Self::Language,
        Self::Note,
    ];

    /// Those that a roster must have.
    const NEEDED: [Self; 3] = [Self::Event, Self::Name, Self::Attended];

    /// The heading that packstring itself gives to the field.
    pub fn word(self) -> &'static str {
        match self {
            Self::Event => "event",
            Self::Name => "name",
            Self::Companion => "companion",
            Self::Attended => "attended",
            Self::Passed => "passed",
            Self::Email => "email",
            Self::Street => "street",
            Self::Town => "town",
            Self::State => "state",
            Self::Postcode => "postcode",
            Self::Country => "country",
            Self::Size => "size",
            Self::Join => "join",
            Self::Language => "language",
            Self::Note => "note",
        }
    }

    /// Other headings that mean it in any language, as [`known_form`] gives them.
    fn usual(self) -> impl Iterator<Item = &'static str> {
        in_all(move |language| language.headings.roster.get(self.word()).map_or(&[], Vec::as_slice))
    }
}

/// The columns of a field, in the order in which its cells are joined.
pub(super) fn of(columns: &[Column], field: Field) -> Vec<usize> {
    let mut of: Vec<&Column> = columns.iter().filter(|column| column.field() == Some(field)).collect();
    of.sort_by_key(|column| column.part);
    of.into_iter().map(|column| column.at).collect()
}

/// The field that a heading means in any people file: packstring's word for it, or a usual one.
pub(crate) fn usual(heading: &str) -> Option<Field> {
    let plain = known_form(heading);
    Field::ALL.into_iter().find(|field| field.word() == plain || field.usual().any(|usual| usual == plain))
}

/// Whether a heading is one of a roster, whatever `program.toml` says besides.
pub(crate) fn is_usual(heading: &str) -> bool {
    usual(heading).is_some() || is_part_of_name(heading)
}

/// Whether a heading is of a name or a part of one.
pub(crate) fn is_of_a_name(heading: &str) -> bool {
    usual(heading) == Some(Field::Name) || is_part_of_name(heading)
}

/// Headings that mean a name, and those of its parts, as [`languages::fold`] compares them.
pub(crate) fn headings_of_names() -> impl Iterator<Item = String> {
    let of_names = languages::folded_words(|language| {
        language.headings.roster.get(Field::Name.word()).map_or(&[], Vec::as_slice)
    });
    of_names
        .chain(languages::folded_words(|language| &language.headings.given_name))
        .chain(languages::folded_words(|language| &language.headings.family_name))
        .chain(languages::folded_words(|language| &language.headings.family_beside_given))
        .chain(languages::folded_words(|language| &language.headings.given_beside_family))
}

/// What companions are, by which headings call them: "horse".
pub(crate) fn kinds_of_companions() -> impl Iterator<Item = String> {
    languages::folded_words(|language| {
        language.headings.roster.get(Field::Companion.word()).map_or(&[], Vec::as_slice)
    })
}

/// Understands the headings of a table; what is wrong with them is told.
pub(super) fn understand(
    table: &Table,
    named: &[(Field, Vec<Written>)],
    (keep, has_days): (&[KeptColumn], bool),
    mistakes: &Mistakes,
) -> Vec<Column> {
    let Some(headings) = table.headings() else { return Vec::new() };
    let mut columns: Vec<Column> = headings
        .cells()
        .enumerate()
        .map(|(at, cell)| Column {
            at,
            heading: cell.value().into_owned(),
            place: cell.place(),
            understood: ColumnMeaning::PassedOver,
            part: 0,
        })
        .collect();
    by_settings(&mut columns, named, mistakes);
    by_name(&mut columns);
    by_guess(&mut columns, table);
    // Where no event has several days, such a heading is none of ours.
    for column in columns.iter_mut().filter(|column| has_days && column.field().is_none()) {
        if let Some(mark) = day_mark(&column.heading) {
            column.understood = ColumnMeaning::Day(mark);
        }
    }
    for at in kept(&columns, keep, mistakes).into_iter().flatten() {
        // What the program keeps is not read, also where its heading is a day.
        if matches!(columns[at].understood, ColumnMeaning::PassedOver | ColumnMeaning::Day(_)) {
            columns[at].understood = ColumnMeaning::Kept;
        }
    }
    tell_slips(&columns, mistakes);
    tell_missing(&columns, headings, mistakes);
    columns
}

/// Where each column stands that is to be kept; one that is not there is told when they are understood.
pub(super) fn kept(columns: &[Column], keep: &[KeptColumn], mistakes: &Mistakes) -> Vec<Option<usize>> {
    keep.iter().map(|kept| named_column(columns, &kept.heading, mistakes)).collect()
}

fn named_column(columns: &[Column], heading: &Written, mistakes: &Mistakes) -> Option<usize> {
    find_named(columns.iter().map(|column| column.heading.as_str()), heading, "roster", mistakes)
}

fn claimed(columns: &[Column], field: Field) -> bool {
    columns.iter().any(|column| column.field() == Some(field))
}

fn by_settings(columns: &mut [Column], named: &[(Field, Vec<Written>)], mistakes: &Mistakes) {
    for (field, headings) in named {
        for (part, heading) in headings.iter().enumerate() {
            if let Some(at) = named_column(columns, heading, mistakes) {
                let column = &mut columns[at];
                (column.understood, column.part) = (ColumnMeaning::BySettings(*field), part);
            }
        }
    }
}

/// Of two columns with one heading the first counts; that there are two was told with the table.
fn by_name(columns: &mut [Column]) {
    for field in Field::ALL.into_iter().filter(|field| !claimed(columns, *field)).collect::<Vec<_>>() {
        let is_open =
            |column: &&mut Column| column.field().is_none() && column.heading.to_lowercase() == field.word();
        if let Some(column) = columns.iter_mut().find(is_open) {
            column.understood = ColumnMeaning::ByName(field);
        }
    }
}

fn by_guess(columns: &mut [Column], table: &Table) {
    guess_name_in_parts(columns, table);
    for field in Field::ALL {
        if claimed(columns, field) {
            continue;
        }
        // The list is in the order of how surely a heading means it.
        let open =
            |column: &Column, usual: &str| column.field().is_none() && known_form(&column.heading) == usual;
        let found = std::iter::once(field.word())
            .chain(field.usual())
            .find_map(|usual| columns.iter().position(|column| open(column, usual)));
        if let Some(at) = found {
            columns[at].understood = ColumnMeaning::ByGuess(field);
        }
    }
}

/// "First name" and "Last name", where no column has the whole name.
fn guess_name_in_parts(columns: &mut [Column], table: &Table) {
    let by_settings =
        columns.iter().any(|column| column.understood == ColumnMeaning::BySettings(Field::Name));
    if by_settings || columns.iter().any(|column| known_form(&column.heading) == "full name") {
        return;
    }
    let headings: Vec<&str> = columns.iter().map(|column| column.heading.as_str()).collect();
    let meant: Vec<Option<Field>> = columns.iter().map(Column::field).collect();
    let holds = |whole, part| holds(table, whole, part);
    let Some(parts) = name_in_parts(&headings, &meant, Field::Name, holds) else { return };
    for (part, at) in parts.iter().enumerate() {
        (columns[*at].understood, columns[*at].part) = (ColumnMeaning::ByGuess(Field::Name), part);
    }
    // "Suffix" beside them is the end of the name.
    let is_suffix = |column: &&mut Column| column.field().is_none() && is_suffix(&column.heading);
    if let Some(column) = columns.iter_mut().find(is_suffix) {
        (column.understood, column.part) = (ColumnMeaning::ByGuess(Field::Name), parts.len());
    }
}

/// Columns that nobody claims and that could be a field which another column is: each with that field.
pub(super) fn rivals(columns: &[Column]) -> Vec<(&Column, Field)> {
    let by_settings =
        |field: Field| columns.iter().any(|column| column.understood == ColumnMeaning::BySettings(field));
    let whole_name = columns.iter().filter(|column| column.field() == Some(Field::Name)).count() == 1;
    let rival = |column: &Column| {
        let heading = &column.heading;
        let of_name = match whole_name {
            true => is_part_of_name(heading) || is_suffix(heading),
            false => is_middle_name(heading) || is_before_name(heading),
        };
        let otherwise = is_of_name_otherwise(heading) && !is_of_another_person(heading);
        let field = if of_name || otherwise { Some(Field::Name) } else { usual(heading) };
        field.filter(|field| claimed(columns, *field) && !by_settings(*field))
    };
    let open = columns.iter().filter(|column| column.understood == ColumnMeaning::PassedOver);
    open.filter_map(|column| Some((column, rival(column)?))).collect()
}

/// A line for `[roster.headings]` that says which columns a field is.
pub(super) fn line(field: Field, headings: &[&str]) -> String {
    let quoted = |heading: &&str| format!("\"{}\"", heading.replace('\\', "\\\\").replace('"', "\\\""));
    let all: Vec<String> = headings.iter().map(quoted).collect();
    match all.as_slice() {
        [one] => format!("{} = {one}", field.word()),
        several => format!("{} = [{}]", field.word(), several.join(", ")),
    }
}

/// The two answers to a column that could be a field too, as lines for `[roster.headings]`: what was taken, and the
/// other column, with what belongs to it.
pub(super) fn choices(columns: &[Column], rival: &Column, field: Field) -> (String, String) {
    let own: Vec<&Column> = columns.iter().filter(|column| column.field() == Some(field)).collect();
    let completes = own.len() > 1 && field == Field::Name;
    let is_part = |heading: &str| is_part_of_name(heading) || is_suffix(heading) || is_middle_name(heading);
    let mut other: Vec<&Column> = match () {
        () if completes && (is_part(&rival.heading) || is_before_name(&rival.heading)) => {
            own.iter().copied().chain([rival]).collect()
        }
        () if field == Field::Name && is_suffix(&rival.heading) => {
            own.iter().copied().chain([rival]).collect()
        }
        () if field == Field::Name && is_part(&rival.heading) => {
            columns.iter().filter(|column| column.field().is_none() && is_part(&column.heading)).collect()
        }
        () => vec![rival],
    };
    other.sort_by_key(|column| column.at);
    let headings = |columns: &[&Column]| -> String {
        let headings: Vec<&str> = columns.iter().map(|column| column.heading.as_str()).collect();
        line(field, &headings)
    };
    let mut own = own;
    own.sort_by_key(|column| column.part);
    (headings(&own), headings(&other))
}

fn tell_slips(columns: &[Column], mistakes: &Mistakes) {
    for column in columns.iter().filter(|column| column.understood == ColumnMeaning::PassedOver) {
        let absent = Field::ALL.into_iter().filter(|field| !claimed(columns, *field)).map(Field::word);
        tell_slip(&column.heading, &column.place, absent, &Field::NEEDED.map(Field::word), mistakes);
    }
}

fn tell_missing(columns: &[Column], headings: Row, mistakes: &Mistakes) {
    let has_days = columns.iter().any(|column| matches!(column.understood, ColumnMeaning::Day(_)));
    let lacks = |field: &Field| !(claimed(columns, *field) || has_days && *field == Field::Attended);
    for field in Field::NEEDED.into_iter().filter(lacks) {
        let word = field.word();
        if columns.iter().any(|column| {
            column.field().is_none() && nearest(&column.heading.to_lowercase(), [word]).is_some()
        }) {
            continue;
        }
        let message = format!("The roster has no column “{word}”.");
        let mend = format!(
            "Its headings must say event, name and attended; where one says it in other words, add a line {word} = \"…\" with that heading under [roster.headings] in program.toml."
        );
        mistakes.add(
            Finding::of(&rules::HEADING_MISSING, headings.place(), message).mend(mend).stops_press(true),
        );
    }
}

/// Whether a rival of the name only stands before it, so that leaving it out leaves the name right.
pub(super) fn is_only_a_title(rival: &Column) -> bool {
    is_before_name(&rival.heading)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::languages;

    /// Who types on a keyboard of another language leaves accents out.
    #[test]
    fn headings_are_known_without_their_accents() {
        for (heading, field) in [
            ("Correo electronico", Field::Email),
            ("ASISTIO", Field::Attended),
            ("Codigo postal", Field::Postcode),
            ("Pais", Field::Country),
            ("Acompanante", Field::Companion),
            ("Evenement", Field::Event),
            ("Présent", Field::Attended),
            ("¿Cuál es su nombre?", Field::Name),
            ("¿Cual es tu correo electronico?", Field::Email),
            ("Talla de playera", Field::Size),
            ("¡Escriba su país!", Field::Country),
            ("Quel est votre courriel ?", Field::Email),
        ] {
            assert_eq!(usual(heading), Some(field), "{heading}");
        }
    }

    #[test]
    fn every_table_of_headings_is_of_a_column_and_each_heading_is_found() {
        for language in languages::all() {
            for (word, headings) in &language.headings.roster {
                let field = Field::ALL.into_iter().find(|field| field.word() == word);
                assert!(field.is_some(), "{}: {word}", language.tag);
                for heading in headings {
                    assert_eq!(usual(heading), field, "{}: {heading}", language.tag);
                }
            }
        }
    }
}
