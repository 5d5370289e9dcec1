//! packstring turns a program folder (Markdown lessons, one facts file, a roster) into everything
//! that the program prints and shows, and proves that every figure in print agrees with the facts.
//!
//! Data flows one way, from room to room; a room knows those below it and no other:
//!
//! | room | takes | gives |
//! | --- | --- | --- |
//! | [`program`] (read) | a folder | [`program::Program`]: its content, in each edition, and its people, with places |
//! | [`understand`] | the program | [`understand::Understood`]: facts with their held values, prose with its figures |
//! | [`people`] | the program, and what was understood | [`people::scoring::Scores`]: what each answer is worth and who passed; who is credited, tallied, mailed |
//! | `statements` | what was understood | every stated figure held against its fact, once |
//! | [`proof`] (check) | statements and scores | `Vec<`[`finding::Finding`]`>` |
//! | [`pieces`] (plan) | what was understood, scores and a [`pieces::Selection`] | `Vec<`[`job::Job`]`>`: template, data, path |
//! | [`press`] (make) | jobs and a theme | [`press::Planned`]: its files with their fingerprints; then bytes, and findings that only laying out can give |
//! | [`shelf`] (put away) | bytes | whole files under `out/`, and `made.json`; lines added to the certificate register |
//!
//! [`session`] walks the rooms once and gives values, findings and progress; [`commands`] puts that into words
//! and is the only room that prints. [`restate`] plans what has to change in the program's own files so that
//! their figures say what the facts say.
//!
//! The crafts know no program: [`quantity`] reads figures in a text, [`readability`] gives its reading level,
//! [`imposition`] lays pages on sheets, and so on. Beside them stand small helpers, such as [`disk`].
//!
//! Scores are worked out once and handed on beside what was understood, so that proofreading, certificates and
//! reports never say different things of one person.
//!
//! # For other programs
//!
//! [`quantity`], [`program`], [`finding`] and [`session`] are the face of the library: what they give is documented,
//! and whoever builds on it is thought of. The other rooms are open to the tests and benches that stand outside the
//! crate, are not listed, and may change with any version.

pub mod finding;
pub mod program;
pub mod quantity;
pub mod session;

#[doc(hidden)]
pub mod addresses;
pub(crate) mod capital;
pub(crate) mod caught;
#[doc(hidden)]
pub mod commands;
#[doc(hidden)]
pub mod credential;
pub(crate) mod desk;
#[doc(hidden)]
pub mod digest;
#[doc(hidden)]
pub mod disk;
#[doc(hidden)]
pub mod icalendar;
#[doc(hidden)]
pub mod imposition;
pub(crate) mod io_error;
#[doc(hidden)]
pub mod job;
#[doc(hidden)]
pub mod languages;
#[doc(hidden)]
pub mod limits;
pub(crate) mod nearest;
#[doc(hidden)]
pub mod particulars;
#[doc(hidden)]
pub mod people;
#[doc(hidden)]
pub mod pieces;
#[doc(hidden)]
pub mod press;
#[doc(hidden)]
pub mod proof;
#[doc(hidden)]
pub mod readability;
#[doc(hidden)]
pub mod restate;
#[doc(hidden)]
pub mod schema;
#[doc(hidden)]
pub mod shelf;
#[doc(hidden)]
pub mod since;
#[doc(hidden)]
pub mod spelling;
#[doc(hidden)]
pub mod spreadsheet;
pub(crate) mod statements;
#[doc(hidden)]
pub mod statistics;
#[doc(hidden)]
pub mod understand;
#[doc(hidden)]
pub mod words;
