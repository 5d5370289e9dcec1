//! The commands, one file each: they walk the rooms in order and are the only code that prints.

pub mod report;

/// How a command ended; its number is the exit code, and there are no others.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    /// Done, and nothing to report.
    Clear = 0,
    /// Done, and there are findings that the user should mend.
    Findings = 1,
    /// It could not be done: bad arguments, or input that cannot be read.
    NotDone = 2,
}

impl From<Outcome> for std::process::ExitCode {
    fn from(outcome: Outcome) -> Self {
        Self::from(outcome as u8)
    }
}
