//! Read: a program folder becomes one [`Program`], every value with the place it came from.
//!
//! Here live the forms of the input files and the mistakes that can be made in them. Nothing here
//! judges what a figure means ([`crate::understand`]) or whether it is right ([`crate::proof`]).
//! [`open`] reads every file before it reports, so that all mistakes are told at once.

pub mod facts;
pub mod kits;
pub mod lesson;
pub mod pictures;
pub mod questions;
pub mod roster;
pub mod settings;

use crate::place::Sources;
use std::collections::BTreeMap;
use std::path::PathBuf;

pub use facts::Fact;
pub use kits::Kit;
pub use lesson::Lesson;
pub use pictures::PictureFile;
pub use questions::Questions;
pub use roster::Roster;
pub use settings::Settings;

/// All that a program folder says.
#[derive(Clone, Debug)]
pub struct Program {
    /// The folder that holds `program.toml`.
    pub folder: PathBuf,
    /// The text of each file that was read.
    pub sources: Sources,
    pub settings: Settings,
    /// In the order of the file.
    pub facts: Vec<Fact>,
    /// In the order of the syllabus.
    pub lessons: Vec<Lesson>,
    /// What is at the path of each picture that the lessons show ([`pictures::look`]).
    pub pictures: BTreeMap<String, PictureFile>,
    pub questions: Questions,
    pub kits: Vec<Kit>,
    pub roster: Roster,
}
