//! `program.toml`: who runs the program, when, and what it is made of.

use super::lesson::Prose;
use crate::place::Place;
use jiff::civil::{Date, Time};

#[derive(Clone, Debug)]
pub struct Settings {
    pub name: String,
    pub agency: String,
    pub season: String,
    /// A BCP 47 tag.
    pub language: String,
    pub paper: Paper,
    pub summary: Option<Prose>,
    /// A folder, relative to the program folder, whose files replace those of the built-in theme.
    pub theme: Option<String>,
    pub contacts: Vec<Contact>,
    pub signatures: Vec<Signature>,
    pub syllabus: Vec<SyllabusEntry>,
    pub principles: Vec<Principle>,
    pub events: Vec<Event>,
    pub awards: Vec<Award>,
    pub certificate: CertificateWords,
    /// Words whose figures need no fact, as `[proofread] exempt` lists them.
    pub exempt: Vec<String>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    Letter,
    A4,
}

#[derive(Clone, Debug)]
pub struct Contact {
    pub name: String,
    pub purpose: String,
    pub phone: Option<String>,
    pub hours: Option<String>,
    pub email: Option<String>,
    pub emergency: bool,
}

#[derive(Clone, Debug)]
pub struct Signature {
    pub name: String,
    pub title: String,
}

#[derive(Clone, Debug)]
pub struct SyllabusEntry {
    /// The lesson's [`super::Lesson::id`].
    pub lesson: String,
    pub minutes: u32,
    pub who: Option<String>,
    pub place: Place,
}

/// A line of the wall chart.
#[derive(Clone, Debug)]
pub struct Principle {
    pub words: String,
    pub text: Option<Prose>,
    pub lesson: Option<String>,
    pub place: Place,
}

#[derive(Clone, Debug)]
pub struct Event {
    pub id: String,
    pub name: String,
    pub date: Date,
    pub start: Time,
    pub minutes: u32,
    pub venue: String,
    pub form: EventForm,
    /// A shorter syllabus for this event: lesson ids. Empty means the whole syllabus.
    pub lessons: Vec<String>,
    pub place: Place,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EventForm {
    InPerson,
    Video,
}

#[derive(Clone, Debug)]
pub struct Award {
    pub name: String,
    pub hours: u32,
    pub reward: Option<String>,
}

#[derive(Clone, Debug, Default)]
pub struct CertificateWords {
    pub title: Option<String>,
    pub text: Option<Prose>,
}
