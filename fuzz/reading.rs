//! The reader of figures as it stands in packstring, and what must hold of any text that it is given.

#[path = "../src/capital.rs"]
mod capital;
#[path = "../src/quantity/mod.rs"]
pub mod quantity;

#[path = "holds.rs"]
mod holds;

pub use holds::holds_for;
