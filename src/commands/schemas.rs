//! The JSON Schemas of what commands tell other programs, made from the records that they write.
//!
//! They stand in `docs/`. A test compares them with what the types give, and `PACKSTRING_ACCEPT=1` rewrites them.

use super::{report, roster, score, tally};
use crate::schema;
use crate::since::{Comparison, PrintRecord};
use serde_json::Value;
use std::collections::BTreeMap;

/// Every schema by its file's name.
pub fn all() -> BTreeMap<&'static str, Value> {
    BTreeMap::from([
        ("findings.schema.json", schema::of::<report::FindingsRecord>()),
        ("print-record.schema.json", schema::of::<PrintRecord>()),
        ("roster.schema.json", schema::of::<roster::RosterRecord>()),
        ("score.schema.json", schema::of::<score::ScoreRecord>()),
        ("since.schema.json", schema::of::<Comparison>()),
        ("tally.schema.json", schema::of::<tally::TallyRecord>()),
    ])
}
