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

pub mod addresses;
pub mod caught;
pub mod commands;
pub mod credential;
pub mod digest;
pub mod disk;
pub mod finding;
pub mod imposition;
pub mod io_error;
pub mod job;
pub mod languages;
pub mod limits;
pub mod nearest;
pub mod particulars;
pub mod people;
pub mod pieces;
pub mod press;
pub mod program;
pub mod proof;
pub mod quantity;
pub mod readability;
pub mod restate;
pub mod schema;
pub mod session;
pub mod shelf;
pub mod spelling;
pub mod spreadsheet;
pub(crate) mod statements;
pub mod statistics;
pub mod understand;
pub mod words;
