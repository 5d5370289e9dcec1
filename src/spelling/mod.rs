//! Spelling: how the words of a roster's cell are written, apart from what they say.
//!
//! Text in, verdict and offer out; each file one way in which a name comes out wrong when forms and
//! spreadsheets have handled it. Nothing here knows of rosters: the rules of [`crate::proof`] tell of
//! it, and [`crate::people::repairs`] plans what may be written into the user's file.

pub mod alike;
pub mod capitals;
pub mod marks;
pub mod mojibake;
pub mod scripts;
pub mod spaces;
