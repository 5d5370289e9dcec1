//! Roster, hours and register laid on one another, once: what several questions about credit begin with.

use super::needs::Needs;
use super::standing::Standings;
use crate::people::tally::{Member, tally};
use crate::program::Program;
use crate::program::register::Register;
use std::cell::OnceCell;

/// A program's people, and what a register says of them.
pub struct Laid<'p, 'r> {
    pub(super) program: &'p Program,
    pub(super) register: &'r Register,
    pub(super) standings: Standings<'p, 'r>,
    pub(super) needs: Needs<'p>,
    members: OnceCell<Vec<Member<'p>>>,
}

impl<'p, 'r> Laid<'p, 'r> {
    pub fn of(program: &'p Program, register: &'r Register) -> Self {
        let (standings, needs) = (Standings::of(program, register), Needs::of(program, register));
        Self { program, register, standings, needs, members: OnceCell::new() }
    }

    /// What a person lacks of what a certificate needs.
    pub fn needs(&self) -> &Needs<'p> {
        &self.needs
    }

    /// The members of the service unit; where nothing is asked of awards, nobody is counted.
    pub(super) fn members(&self) -> &[Member<'p>] {
        self.members.get_or_init(|| tally(self.program).members)
    }
}
