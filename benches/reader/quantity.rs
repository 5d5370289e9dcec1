//! The reader of figures, taken in as it stands in packstring, with the one small module that it uses from outside its
//! room.

#[path = "../../src/capital.rs"]
mod capital;
#[path = "../../src/quantity/mod.rs"]
pub mod quantity;
