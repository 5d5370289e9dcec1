//! A number of things, or so many of a hundred of what they are taken of.

use crate::quantity::Exact;

/// How many, or how many of a hundred.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Share {
    Count(u32),
    Percent(u32),
}

impl Share {
    /// What it comes to of `all`, exactly.
    pub fn of(self, all: &Exact) -> Exact {
        match self {
            Self::Count(count) => Exact::from_integer(count.into()),
            Self::Percent(percent) => all * Exact::new(percent.into(), 100.into()),
        }
    }
}
