//! Whose answers a row holds: the person on the roster, by event, name and e-mail address.
//!
//! Name and address together are surest; then the name alone, where one person at the event has it; then the
//! address alone, where the names are near ("Jon" and "John"). Whom nobody on the roster is, is a stranger.

use super::super::{closeness, plain_name};
use crate::program::Program;
use crate::program::answers::AnswerRow;
use crate::program::roster::Participant;
use std::collections::{BTreeMap, HashMap};

/// A row of answers whose person is not on the roster.
#[derive(Clone, Debug)]
pub struct Stranger<'p> {
    pub row: &'p AnswerRow,
    /// Who may be meant.
    pub near: Option<&'p Participant>,
    /// More than one person at the event has the name, and no e-mail address tells which.
    pub is_ambiguous: bool,
}

/// Whose rows are whose.
#[derive(Debug, Default)]
pub(super) struct Persons<'p> {
    /// In the order of the roster, each person once an event.
    pub answered: Vec<(&'p Participant, &'p AnswerRow)>,
    pub strangers: Vec<Stranger<'p>>,
    pub superseded: Vec<(&'p AnswerRow, &'p AnswerRow)>,
}

/// The roster by event and name, and by event and address: places in the roster.
struct Index<'p> {
    roster: &'p [Participant],
    by_name: HashMap<(&'p str, String), Vec<usize>>,
    by_email: HashMap<(&'p str, String), Vec<usize>>,
}

impl<'p> Persons<'p> {
    pub fn of(program: &'p Program) -> Self {
        let index = Index::of(&program.people.roster.rows);
        let mut persons = Self::default();
        let mut rows: BTreeMap<usize, &AnswerRow> = BTreeMap::new();
        for row in &program.people.answers.rows {
            match index.find(row) {
                Ok(at) => {
                    if let Some(earlier) = rows.insert(at, row) {
                        persons.superseded.push((earlier, row));
                    }
                }
                Err(stranger) => persons.strangers.push(stranger),
            }
        }
        persons.answered = rows.into_iter().map(|(at, row)| (&index.roster[at], row)).collect();
        persons
    }
}

impl<'p> Index<'p> {
    fn of(roster: &'p [Participant]) -> Self {
        let mut index = Self { roster, by_name: HashMap::new(), by_email: HashMap::new() };
        for (at, person) in roster.iter().enumerate() {
            let event = person.event.as_str();
            index.by_name.entry((event, plain_name(&person.name))).or_default().push(at);
            if let Some(email) = &person.email {
                index.by_email.entry((event, plain_name(email))).or_default().push(at);
            }
        }
        index
    }

    fn find(&self, row: &'p AnswerRow) -> Result<usize, Stranger<'p>> {
        let of_row =
            row.roster_row.and_then(|row| self.roster.binary_search_by_key(&row, |person| person.row).ok());
        if let Some(at) = of_row {
            return Ok(at);
        }
        let key = |words: &str| (row.event.as_str(), plain_name(words));
        let of_name = self.by_name.get(&key(&row.name)).map_or(&[][..], Vec::as_slice);
        let of_email = row.email.as_ref().and_then(|email| self.by_email.get(&key(email)));
        let of_email = of_email.map_or(&[][..], Vec::as_slice);
        if let Some(both) = of_name.iter().find(|at| of_email.contains(at)) {
            return Ok(*both);
        }
        if let Some((first, rest)) = of_name.split_first() {
            // One person entered twice is one person.
            let is_one = rest.iter().all(|at| self.email(*at) == self.email(*first));
            return if is_one {
                Ok(*first)
            } else {
                Err(Stranger { row, near: Some(&self.roster[*first]), is_ambiguous: true })
            };
        }
        let wanted = plain_name(&row.name);
        let near = |at: &&usize| closeness(&wanted, &plain_name(&self.roster[**at].name)) >= 700;
        let mut near_email = of_email.iter().filter(near);
        if let (Some(at), None) = (near_email.next(), near_email.next()) {
            return Ok(*at);
        }
        Err(Stranger { row, near: self.nearest(row, &wanted), is_ambiguous: false })
    }

    fn email(&self, at: usize) -> Option<String> {
        self.roster[at].email.as_deref().map(plain_name)
    }

    /// Who comes nearest at the event, or at another one.
    fn nearest(&self, row: &AnswerRow, wanted: &str) -> Option<&'p Participant> {
        self.roster
            .iter()
            .map(|person| (closeness(wanted, &plain_name(&person.name)), person.event == row.event, person))
            .filter(|(closeness, ..)| *closeness >= 550)
            .max_by_key(|(closeness, here, person)| {
                (*here, *closeness, std::cmp::Reverse(person.place.range.start))
            })
            .map(|(.., person)| person)
    }
}
