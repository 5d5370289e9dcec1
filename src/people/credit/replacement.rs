//! Replacements: a certificate whose name was wrong is given again, with a number of its own that points
//! to the first.

use super::changed;
use super::due::draw;
use super::standing::{Standing, Standings};
use crate::credential::number::Number;
use crate::people::Identity;
use crate::program::Program;
use crate::program::register::{Given, Register, State};
use crate::program::roster::Participant;
use jiff::civil::Date;
use std::collections::BTreeSet;

/// What is to stand on the new certificate; what is not given stays as it was.
#[derive(Clone, Debug, Default)]
pub struct Words {
    pub name: Option<String>,
    pub companion: Option<String>,
}

/// Why a certificate cannot be replaced.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Irreplaceable {
    /// No certificate has this number.
    Unknown(Number),
    /// It was replaced before; this is the one that counts.
    Replaced { number: Number, by: Number },
    /// The new one would say the same as the old.
    Unchanged(Number),
    /// No certificate of this event says otherwise than the program.
    NothingChanged(String),
}

impl std::fmt::Display for Irreplaceable {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Unknown(number) => {
                write!(out, "No certificate {number} was ever given. See `packstring certificates list`.")
            }
            Self::Replaced { number, by } => {
                write!(out, "{number} was already replaced by {by}. Replace that one.")
            }
            Self::NothingChanged(event) => write!(
                out,
                "All valid certificates of “{event}” agree with program.toml, so there is nothing to replace."
            ),
            Self::Unchanged(number) => write!(
                out,
                "{number} says just that already. Give the corrected name with --name, or correct the roster first."
            ),
        }
    }
}

impl std::error::Error for Irreplaceable {}

/// The certificate that stands in for `number`, not signed.
///
/// # Errors
/// Why there can be none.
pub fn replacement(
    program: &Program,
    register: &Register,
    number: &Number,
    words: &Words,
    day: Date,
) -> Result<Given, Irreplaceable> {
    let old = register.given(number).ok_or_else(|| Irreplaceable::Unknown(number.clone()))?;
    let state = register.state(number);
    if let State::Replaced(_) = state {
        let by = register.newest(number).clone();
        return Err(Irreplaceable::Replaced { number: number.clone(), by });
    }
    let mut given = Given { day, replaces: Some(number.clone()), credential: None, ..old.clone() };
    if let Some(name) = &words.name {
        given.name = name.trim().to_owned();
    }
    if let Some(companion) = &words.companion {
        given.companion = Some(companion.trim().to_owned()).filter(|name| !name.is_empty());
    }
    let unchanged = given.name == old.name && given.companion == old.companion;
    if unchanged && state == State::Valid {
        return Err(Irreplaceable::Unchanged(number.clone()));
    }
    given.number = number_for(program, register, &BTreeSet::new(), &given);
    Ok(given)
}

/// A number that nobody has, by what the certificate says of its person.
fn number_for(program: &Program, register: &Register, taken: &BTreeSet<Number>, given: &Given) -> Number {
    let (email, companion) = (given.email.as_deref(), given.companion.as_deref());
    let person = Identity::new(&given.occasion.key(), &given.name, email, companion);
    draw(program, register, taken, person.parts())
}

/// The certificates that stand in for all of an event that say otherwise than the program by now, not signed.
///
/// # Errors
/// There is none.
pub fn replacements(
    program: &Program,
    register: &Register,
    event: &str,
    day: Date,
) -> Result<Vec<Given>, Irreplaceable> {
    let settings = &program.content.settings;
    let mut taken = BTreeSet::new();
    let mut new = Vec::new();
    let standings = Standings::of(program, register);
    // Whoever the roster says no of by now is told elsewhere, and given nothing anew.
    let says_no = |row: &Participant| !row.attended || row.passed == Some(false);
    let refused: BTreeSet<&str> = standings
        .rows()
        .filter(|(row, _)| says_no(row))
        .filter_map(|(_, standing)| Some(standing.credited()?.plain()))
        .collect();
    for changed in changed::changed(program, register).into_iter().filter(|changed| changed.event.id == event)
    {
        for old in changed.given.into_iter().filter(|old| !refused.contains(old.number.plain())) {
            let mut given = changed::renewed(old, changed.event, settings);
            if let Some(words) = words_of_the_one_row(&standings, &old.number) {
                given.name = words.name.unwrap_or(given.name);
                given.companion = words.companion.filter(|companion| !companion.is_empty());
            }
            let mut given = Given { day, replaces: Some(old.number.clone()), ..given };
            given.number = number_for(program, register, &taken, &given);
            taken.insert(given.number.clone());
            new.push(given);
        }
    }
    if new.is_empty() { Err(Irreplaceable::NothingChanged(event.to_owned())) } else { Ok(new) }
}

/// What the one row of the roster says that looks like the person of this certificate with a corrected name.
pub fn corrected_words(program: &Program, number: &Number) -> Option<Words> {
    words_of_the_one_row(&Standings::of(program, &program.people.register), number)
}

fn words_of_the_one_row(standings: &Standings, number: &Number) -> Option<Words> {
    let is_it = |standing| [Standing::Corrects(number), Standing::Unsure(number)].contains(&standing);
    let mut rows = standings.rows().filter(|(_, standing)| is_it(*standing));
    let (row, _) = rows.next()?;
    let companion = standings.companion_of(row).unwrap_or_default().into_owned();
    rows.next().is_none().then(|| Words { name: Some(row.name.clone()), companion: Some(companion) })
}
