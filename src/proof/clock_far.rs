//! This machine's clock is far from the days on which people earned what is to be credited, or earlier than the last
//! line of the certificate register: what is written there stays, and so would a wrong day.
//!
//! Nobody is credited until the clock is right, or the rule is turned off: then the ranger knows that it is.

use crate::finding::rules::CLOCK_FAR;
use crate::finding::{Finding, Place};
use crate::people::credit::Candidate;
use crate::program::Program;
use crate::program::register::Entry;
use jiff::ToSpan;
use jiff::civil::Date;

/// How long after its day somebody is credited at most without being asked.
const YEARS: i64 = 2;
/// How many days a clock may be behind the register: two machines may be in different time zones.
const BEHIND: i64 = 2;

/// What is told of the clock, where somebody is to be credited by it and the rule is not turned off.
pub fn clock_far(program: &Program, due: &[Candidate], today: Date) -> Option<Finding> {
    let last = due.iter().map(|candidate| candidate.occasion.date()).max()?;
    let rules = &program.content.settings.proofread.rules;
    let is_off = rules.iter().any(|set| set.rule.text == CLOCK_FAR.name && set.level.is_none());
    let lines = program.people.register.lines().iter();
    let written = lines.map(|line| match &line.entry {
        Entry::Given(given) => given.day,
        Entry::Withdrawn(withdrawn) => withdrawn.day,
        Entry::Key(key) => key.day,
    });
    let written = written.max();
    let is_behind = written.is_some_and(|day| today.saturating_add(BEHIND.days()) < day);
    let is_ahead = last.saturating_add(YEARS.years()) < today;
    let why = match written {
        _ if is_off => return None,
        Some(day) if is_behind => format!("earlier than the last line of the certificate register, of {day}"),
        _ if is_ahead => format!("more than {YEARS} years after {last}, the last day that is to be credited"),
        _ => return None,
    };
    let message = format!(
        "The clock of this machine says that today is {today}, which is {why}. Nobody is credited, because the register would keep that day forever."
    );
    let mend = format!(
        "Correct the clock. If it is right, write {} = \"off\" under [proofread.rules] in program.toml, or name the person with --participant.",
        CLOCK_FAR.name
    );
    Some(Finding::of(&CLOCK_FAR, Place::whole("program.toml"), message).mend(mend))
}
