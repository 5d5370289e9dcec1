//! The reader of figures, taken in as it stands in packstring.

#[path = "../../src/quantity/mod.rs"]
pub mod quantity;
