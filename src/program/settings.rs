//! `program.toml`: who runs the program, when, and what it is made of.

use super::facts::Written;
use super::files::unfit_path;
use super::form::Form;
use super::lesson::Prose;
use crate::finding::Level;
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
    pub theme: Option<Written>,
    pub contacts: Vec<Contact>,
    pub signatures: Vec<Signature>,
    pub syllabus: Vec<SyllabusEntry>,
    pub principles: Vec<Principle>,
    pub events: Vec<Event>,
    pub awards: Vec<Award>,
    pub certificate: CertificateWords,
    pub proofread: Proofreading,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
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
    /// Where the lesson's name stands.
    pub place: Place,
}

/// A line of the wall chart.
#[derive(Clone, Debug)]
pub struct Principle {
    pub words: String,
    pub text: Option<Prose>,
    pub lesson: Option<Written>,
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
    pub lessons: Vec<Written>,
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

/// How the program is proofread.
#[derive(Clone, Debug, Default)]
pub struct Proofreading {
    /// Words whose figures need no fact.
    pub exempt: Vec<String>,
    /// In the order of the file.
    pub rules: Vec<RuleSetting>,
}

/// A line of `[proofread.rules]`. Which rules there are is known where it is applied.
#[derive(Clone, Debug)]
pub struct RuleSetting {
    pub rule: Written,
    /// `None` turns the rule off.
    pub level: Option<Level>,
}

const SIGNATURES: usize = 3;

impl Settings {
    pub(super) fn read(mut file: Form) -> Self {
        let mut program = file.form("program", "[program] table");
        if program.is_none() {
            file.miss("program", "Add a heading [program] with name, agency and season below it.");
        }
        let syllabus: Vec<_> =
            file.forms("syllabus", "syllabus entry").into_iter().map(SyllabusEntry::read).collect();
        if syllabus.is_empty() && !file.has("syllabus") {
            file.miss(
                "syllabus",
                "Add a heading [[syllabus]] with lesson and minutes below it, for each lesson.",
            );
        }
        let settings = Self {
            name: need_text(&mut program, "name", "Trail Rider Stewards"),
            agency: need_text(&mut program, "agency", "Juniper Basin Open Lands"),
            season: need_text(&mut program, "season", "2026"),
            language: program.as_mut().and_then(language).unwrap_or_else(|| "en".to_owned()),
            paper: program
                .as_mut()
                .and_then(|table| table.choice("paper", &[("letter", Paper::Letter), ("a4", Paper::A4)]))
                .unwrap_or(Paper::Letter),
            summary: program.as_mut().and_then(|table| table.prose("summary")),
            theme: program.as_mut().and_then(theme),
            contacts: file.forms("contacts", "contact").into_iter().map(Contact::read).collect(),
            signatures: signatures(&mut file),
            syllabus,
            principles: file.forms("principles", "principle").into_iter().map(Principle::read).collect(),
            events: file.forms("events", "event").into_iter().map(Event::read).collect(),
            awards: file.forms("awards", "award").into_iter().map(Award::read).collect(),
            certificate: file
                .form("certificate", "[certificate] table")
                .map(CertificateWords::read)
                .unwrap_or_default(),
            proofread: file
                .form("proofread", "[proofread] table")
                .map(Proofreading::read)
                .unwrap_or_default(),
        };
        if let Some(program) = program {
            program.finish();
        }
        file.finish();
        settings
    }
}

fn need_text(table: &mut Option<Form>, key: &'static str, example: &str) -> String {
    table.as_mut().map(|table| table.need_text(key, example).text).unwrap_or_default()
}

fn optional(written: Option<Written>) -> Option<String> {
    written.map(|written| written.text)
}

/// A BCP 47 tag by its shape: a language of two or three letters, then parts of up to eight letters
/// and digits.
fn language(program: &mut Form) -> Option<String> {
    let tag = program.text("language")?;
    let mut parts = tag.text.split('-');
    let first = parts.next().unwrap_or("");
    let fits = matches!(first.len(), 2 | 3)
        && first.chars().all(|letter| letter.is_ascii_alphabetic())
        && parts.all(|part| {
            (1..=8).contains(&part.len()) && part.chars().all(|letter| letter.is_ascii_alphanumeric())
        });
    if !fits {
        let message = format!("“{}” is not the tag of a language.", tag.text);
        program.tell("value-unfit", tag.place, message, "Write a tag such as \"en\" or \"es-MX\" (BCP 47).");
    }
    Some(tag.text)
}

fn theme(program: &mut Form) -> Option<Written> {
    let theme = program.text("theme")?;
    if let Some(why) = unfit_path(&theme.text) {
        program.tell("path-escapes", theme.place, why, "Write a path such as \"themes/ours\".");
        return None;
    }
    Some(theme)
}

fn signatures(file: &mut Form) -> Vec<Signature> {
    let tables = file.forms("signatures", "signature");
    if let Some(more) = tables.get(SIGNATURES) {
        let message = "A certificate has room for three signatures, and this is the fourth.";
        file.tell("value-unfit", more.place.clone(), message, "Take one of them out.");
    }
    tables.into_iter().map(Signature::read).collect()
}

impl Contact {
    fn read(mut table: Form) -> Self {
        let contact = Self {
            name: table.need_text("name", "Basin Dispatch").text,
            purpose: table.need_text("for", "Injury or fire").text,
            phone: optional(table.text("phone")),
            hours: optional(table.text("hours")),
            email: optional(table.text("email")),
            emergency: table.flag("emergency"),
        };
        table.finish();
        contact
    }
}

impl Signature {
    fn read(mut table: Form) -> Self {
        let signature = Self {
            name: table.need_text("name", "Ines Calloway").text,
            title: table.need_text("title", "Outreach Ranger").text,
        };
        table.finish();
        signature
    }
}

impl SyllabusEntry {
    fn read(mut table: Form) -> Self {
        let lesson = table.need_text("lesson", "before-the-ride");
        let entry = Self {
            lesson: lesson.text,
            minutes: table.need_count("minutes", "12"),
            who: optional(table.text("who")),
            place: lesson.place,
        };
        table.finish();
        entry
    }
}

impl Principle {
    fn read(mut table: Form) -> Self {
        let words = table.need_text("words", "Know before you go");
        let principle = Self {
            words: words.text,
            text: table.prose("text"),
            lesson: table.text("lesson"),
            place: words.place,
        };
        table.finish();
        principle
    }
}

impl Event {
    fn read(mut table: Form) -> Self {
        let id = table.need_id("id", "north-camp");
        let forms = [("in person", EventForm::InPerson), ("video", EventForm::Video)];
        let event = Self {
            id: id.text,
            name: table.need_text("name", "North Camp Spring Workshop").text,
            date: table.need_date("date", "2026-05-16"),
            start: table.need_time("start", "09:00"),
            minutes: table.need_count("minutes", "150"),
            venue: table.need_text("place", "North Camp shelter").text,
            form: table.need_choice("form", &forms).unwrap_or(EventForm::InPerson),
            lessons: table.texts("lessons"),
            place: id.place,
        };
        table.finish();
        event
    }
}

impl Award {
    fn read(mut table: Form) -> Self {
        let award = Self {
            name: table.need_text("name", "Trail Hand").text,
            hours: table.need_count("hours", "30"),
            reward: optional(table.text("reward")),
        };
        table.finish();
        award
    }
}

impl CertificateWords {
    fn read(mut table: Form) -> Self {
        let words = Self { title: optional(table.text("title")), text: table.prose("text") };
        table.finish();
        words
    }
}

impl Proofreading {
    fn read(mut table: Form) -> Self {
        let levels = [
            ("off", None),
            ("note", Some(Level::Note)),
            ("warning", Some(Level::Warning)),
            ("error", Some(Level::Error)),
        ];
        let mut rules = table.form("rules", "[proofread.rules] table");
        let rules = rules.iter_mut().flat_map(Form::take_all);
        let rules =
            rules.filter_map(|(rule, value)| Some(RuleSetting { rule, level: value.choice(&levels)? }));
        let rules = rules.collect();
        let exempt = table.texts("exempt").into_iter().map(|word| word.text).collect();
        table.finish();
        Self { exempt, rules }
    }
}
