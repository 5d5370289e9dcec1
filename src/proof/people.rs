//! The people: the people of the program laid out for proofreading, who are the same at every event and in every
//! edition. What several rules ask is worked out here once.

use crate::finding::Place;
use crate::people::credit::{self, Due, Laid};
use crate::people::repairs::{self, OddCell};
use crate::people::scope::Scope;
use crate::people::scoring::Scores;
use crate::people::tally::Persons;
use crate::program::Program;
use crate::program::roster::{Field, Participant};
use jiff::civil::Date;
use std::cell::OnceCell;
use std::hash::{BuildHasher, BuildHasherDefault, DefaultHasher, Hash};

/// Everything that a rule about people may ask.
pub struct PeopleContext<'u> {
    pub program: &'u Program,
    pub scores: &'u Scores<'u>,
    pub today: Date,
    /// Cells of the roster whose words have something odd, in the order of the file.
    pub odd_cells: Vec<OddCell<'u>>,
    /// The people of the hours file.
    pub served: Persons<'u>,
    laid: OnceCell<Laid<'u, 'u>>,
    due: OnceCell<Due<'u>>,
}

impl<'u> PeopleContext<'u> {
    pub fn lay_out(program: &'u Program, scores: &'u Scores<'u>, today: Date) -> Self {
        let odd_cells = repairs::cells(&program.people.roster).collect();
        Self {
            program,
            scores,
            today,
            odd_cells,
            served: Persons::of(program),
            laid: OnceCell::new(),
            due: OnceCell::new(),
        }
    }

    /// Roster, hours and register laid on one another.
    pub fn laid(&self) -> &Laid<'u, 'u> {
        self.laid.get_or_init(|| Laid::of(self.program, &self.program.people.register))
    }

    /// Who is due a certificate by now, and what is held; nothing before the first certificate was given.
    pub fn due(&self) -> Option<&Due<'u>> {
        let register = &self.program.people.register;
        register.all_given().next()?;
        Some(self.due.get_or_init(|| credit::due_of(self.laid(), self.scores, &Scope::default())))
    }

    pub fn rows(&self) -> impl Iterator<Item = &'u Participant> + use<'u> {
        self.program.people.roster.rows.iter()
    }

    /// The rows of which another has the same key, in the order of the file, and rarely one more: only these can
    /// be doubles, and in a long roster they are few. Keys of all rows would take more memory than the roster.
    pub fn recurring<K: Hash>(
        &self,
        key: impl Fn(&'u Participant) -> Option<K>,
    ) -> impl Iterator<Item = &'u Participant> {
        let hash = |key: K| BuildHasherDefault::<DefaultHasher>::default().hash_one(key);
        let hashes: Vec<Option<u64>> = self.rows().map(|row| key(row).map(hash)).collect();
        let mut sorted: Vec<u64> = hashes.iter().copied().flatten().collect();
        sorted.sort_unstable();
        self.rows().zip(hashes).filter_map(move |(row, hash)| {
            let hash = hash?;
            let first = sorted.partition_point(|other| *other < hash);
            (sorted.get(first + 1) == Some(&hash)).then_some(row)
        })
    }

    /// Where a field of a row stands, by its heading; the name where the row has no such cell.
    pub fn place(&self, row: &Participant, heading: &str) -> Place {
        place_in(self.program, row, heading)
    }
}

/// The same as [`PeopleContext::place`], where no people is laid out.
pub fn place_in(program: &Program, row: &Participant, heading: &str) -> Place {
    let field = Field::ALL.into_iter().find(|field| field.word() == heading);
    let cell = field.and_then(|field| program.people.roster.place_of(row, field));
    cell.unwrap_or_else(|| row.place.clone())
}
