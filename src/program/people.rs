//! Whom a program is for: what is personal in its folder.

use super::hours::Service;
use super::{Answers, Decisions, Register, Roster, SeasonRecord};
use std::sync::Arc;

/// The roster and what belongs to it. Each file is shared, so that a new line of one copies none.
#[derive(Clone, Debug, Default)]
pub struct People {
    pub roster: Arc<Roster>,
    /// The certificates that were given.
    pub register: Arc<Register>,
    /// In the order of the hours file.
    pub hours: Arc<[Service]>,
    /// The counts of the earlier season that `[report]` names.
    pub earlier: Option<Arc<SeasonRecord>>,
    /// What participants answered, where it was written down.
    pub answers: Arc<Answers>,
    /// What the ranger decided on answers before: of the pieces made earlier, so whoever knows where they
    /// lie takes them in.
    pub decisions: Arc<Decisions>,
}
