//! packstring turns a program folder (Markdown lessons, one facts file, a roster) into everything
//! that the program prints and shows, and proves that every figure in print agrees with the facts.
//!
//! Data flows one way, from room to room; no room reaches back:
//!
//! | room | takes | gives |
//! | --- | --- | --- |
//! | [`program`] (read) | a folder | [`program::Program`]: every file as typed data with its places |
//! | [`understand`] | the program | [`understand::Understood`]: facts with their held values, prose with its figures |
//! | [`people`] | the program, and what was understood | [`people::scoring::Scores`]: what each answer is worth and who passed; who is credited, tallied, mailed |
//! | [`proof`] (check) | what was understood, and the scores | `Vec<`[`finding::Finding`]`>` |
//! | [`pieces`] (plan) | the same, and a [`pieces::Selection`] | `Vec<`[`pieces::Job`]`>`: template, data, path |
//! | [`press`] (make) | jobs and a theme | [`press::Planned`]: its files with their fingerprints; then bytes, and findings that only laying out can give |
//! | [`shelf`] (put away) | bytes | whole files under `out/`, and `made.json`; lines added to the certificate register |
//!
//! Scores are worked out once and handed on beside what was understood, so that proofreading, certificates and
//! reports never say different things of one person.
//!
//! [`restate`] plans what has to change in the program's own files so that its figures say what the
//! facts say; [`whole`] writes a file whole or not at all; [`spreadsheet`] keeps text from being run as a formula.
//!
//! [`quantity`] knows nothing of programs: text in, figures out; nor does [`readability`]: text in, reading level
//! out; nor [`imposition`]: how many pages in, their places on sheets out. Every room may ask [`nearest`] for the
//! name that was meant and [`hindrance`] for what the system's refusal means. [`commands`] walks the rooms in
//! order, one file a command, and is the only room that prints.

pub mod addresses;
pub mod atomic_write;
pub mod commands;
pub mod credential;
pub mod finding;
pub mod imposition;
pub mod io_error;
pub mod job;
pub mod languages;
pub mod nearest;
pub mod people;
pub mod pieces;
pub mod press;
pub mod program;
pub mod proof;
pub mod quantity;
pub mod readability;
pub mod restate;
pub mod session;
pub mod shelf;
pub mod spelling;
pub mod spreadsheet;
pub(crate) mod statements;
pub mod statistics;
pub mod understand;
pub mod words;
