//! Statistics that know no program: how a set of questions did, and which counts may be told.

pub mod item_analysis;
pub mod suppression;
