//! `program.toml`: who runs the program, when, and what it is made of.
//!
//! Here stand the whole file and its `[program]` table; every other table has a file of its own beside
//! this one, which reads it from a [`Form`] and tells what is missing or mistyped there.

mod answers;
mod awards;
mod certificate;
mod contacts;
mod events;
mod glossary;
mod hours;
mod leaflet;
mod letters;
mod mailing;
mod name_tags;
mod print;
mod proofread;
mod reading;
mod report;
mod rewards;
mod roster;
mod site;
pub mod sizes;
mod syllabus;
mod wall_chart;

pub use answers::AnswerHeading;
pub use awards::Award;
pub use certificate::{Border, CertificateWords, CodeForm, Companions, Design, KindWords};
pub use contacts::{Contact, Signature};
pub use events::{Event, EventForm};
pub use glossary::Term;
pub use hours::{HoursSettings, NEAR};
pub use leaflet::LeafletSettings;
pub use letters::Letters;
pub use mailing::{Envelope, Mailing};
pub use name_tags::NameTags;
pub use print::Print;
pub use proofread::{Proofreading, RuleSetting};
pub use reading::Reading;
pub use report::ReportSettings;
pub use rewards::{GivenFor, Reward};
pub use roster::{KeptColumn, OwnWords, RosterSettings};
pub use site::{SignUp, SiteSettings};
pub use syllabus::{Habit, SyllabusEntry};
pub use wall_chart::WallChart;

use super::Written;
use super::files::unfit_path;
use super::form::Form;
use super::lesson::Prose;
use crate::addresses::email;
use crate::finding::{Place, rules};
use crate::imposition::Paper;
use jiff::civil::Date;

#[derive(Clone, Debug)]
pub struct Settings {
    pub name: String,
    pub name_place: Place,
    pub agency: String,
    pub season: String,
    /// A BCP 47 tag.
    pub language: String,
    /// Where the language is named.
    pub language_place: Place,
    /// The languages of the program's other editions.
    pub editions: Vec<Written>,
    pub paper: Paper,
    pub summary: Option<Prose>,
    /// A folder, relative to the program folder, whose files replace those of the built-in theme.
    pub theme: Option<Written>,
    pub contacts: Vec<Contact>,
    pub signatures: Vec<Signature>,
    pub syllabus: Vec<SyllabusEntry>,
    pub habits: Vec<Habit>,
    /// In the order of the file.
    pub glossary: Vec<Term>,
    pub events: Vec<Event>,
    /// Events whose date is still to be set. They are in no piece, and nobody is credited for them.
    pub undated: Vec<Event>,
    pub awards: Vec<Award>,
    pub rewards: Vec<Reward>,
    pub hours: HoursSettings,
    pub name_tags: NameTags,
    pub print: Print,
    pub wall_chart: WallChart,
    pub leaflet: LeafletSettings,
    /// What the columns of the answers are called.
    pub answer_headings: Vec<AnswerHeading>,
    pub certificate: CertificateWords,
    /// `None` where the program says nothing of the mail.
    pub mailing: Option<Mailing>,
    /// `None` where the program says nothing of letters by e-mail.
    pub letters: Option<Letters>,
    pub report: ReportSettings,
    pub proofread: Proofreading,
    pub reading: Reading,
    pub roster: RosterSettings,
    pub site: SiteSettings,
}

impl Settings {
    /// The pictures that the certificates show.
    pub fn pictures(&self) -> impl Iterator<Item = &Written> {
        let signed = self.signatures.iter().filter_map(|signature| signature.picture.as_ref());
        self.certificate.seal.iter().chain(signed)
    }

    pub(super) fn read(mut file: Form) -> Self {
        let mut program = file.form("program", "[program] table");
        if program.is_none() {
            file.miss("program", "Add a heading [program] with name, agency and season below it.");
        }
        let syllabus = list(&mut file, "syllabus", "syllabus entry", SyllabusEntry::read);
        if syllabus.is_empty() && !file.has("syllabus") {
            file.miss(
                "syllabus",
                "Add a heading [[syllabus]] with lesson and minutes below it, for each lesson.",
            );
        }
        let paper = program
            .as_mut()
            .and_then(|table| table.choice("paper", &[("letter", Paper::Letter), ("a4", Paper::A4)]))
            .unwrap_or(Paper::Letter);
        let (main, editions) = program.as_mut().map(editions).unwrap_or_default();
        let name = program.as_mut().map(|table| table.need_text("name", "Trail Rider Stewards"));
        let agency = need_text(&mut program, "agency", "Juniper Basin Open Lands");
        let season = need_text(&mut program, "season", "2026");
        let language = program.as_mut().and_then(language).or(main);
        let (dated, undated): (Vec<_>, Vec<_>) =
            list(&mut file, "events", "event", Event::read).into_iter().partition(|(_, is_dated)| *is_dated);
        let mut settings = Self {
            language_place: language
                .as_ref()
                .map_or_else(|| Place::whole("program.toml"), |tag| tag.place.clone()),
            language: optional(language).unwrap_or_else(|| "en".to_owned()),
            name_place: name.as_ref().map_or_else(|| Place::whole("program.toml"), |name| name.place.clone()),
            name: optional(name).unwrap_or_default(),
            agency,
            season,
            editions,
            paper,
            summary: program.as_mut().and_then(|table| table.prose("summary")),
            theme: program.as_mut().and_then(theme),
            contacts: list(&mut file, "contacts", "contact", Contact::read),
            signatures: contacts::signatures(&mut file),
            syllabus,
            habits: {
                file.renamed("principles", "habits");
                list(&mut file, "habits", "habit", Habit::read)
            },
            glossary: list(&mut file, "glossary", "glossary entry", Term::read),
            events: dated.into_iter().map(|(event, _)| event).collect(),
            undated: undated.into_iter().map(|(event, _)| event).collect(),
            awards: list(&mut file, "awards", "award", Award::read),
            rewards: list(&mut file, "rewards", "reward", Reward::read),
            hours: table(&mut file, "hours", "[hours] table", HoursSettings::read),
            name_tags: table(&mut file, "name-tags", "[name-tags] table", NameTags::read),
            print: table(&mut file, "print", "[print] table", Print::read),
            wall_chart: table(&mut file, "wall-chart", "[wall-chart] table", WallChart::read),
            leaflet: table(&mut file, "leaflet", "[leaflet] table", LeafletSettings::read),
            answer_headings: answers::headings(&mut file),
            certificate: table(&mut file, "certificate", "[certificate] table", CertificateWords::read),
            mailing: file.form("mailing", "[mailing] table").map(|table| Mailing::read(table, paper)),
            letters: file.form("letters", "[letters] table").map(Letters::read),
            report: table(&mut file, "report", "[report] table", ReportSettings::read),
            proofread: table(&mut file, "proofread", "[proofread] table", Proofreading::read),
            reading: table(&mut file, "reading", "[reading] table", Reading::read),
            roster: table(&mut file, "roster", "[roster] table", RosterSettings::read),
            site: table(&mut file, "site", "[site] table", SiteSettings::read),
        };
        settings.roster.usual = sizes::usual(&settings.language);
        if let Some(letters) = &settings.letters
            && letters.from.is_none()
            && settings.sender().is_none()
        {
            let message = "The [letters] table has no “from”, and no contact has an e-mail address.";
            let mend = "Add a line such as: from = \"stewards@lands.example\"";
            file.tell(&rules::KEY_MISSING, letters.place.clone(), message, mend);
        }
        if let Some(program) = program {
            program.finish();
        }
        file.finish();
        settings
    }

    /// Every event of the file, with a date and without.
    pub fn all_events(&self) -> impl Iterator<Item = &Event> + Clone {
        self.events.iter().chain(&self.undated)
    }

    /// What is said of the mail, or what is usual.
    pub fn mail(&self) -> Mailing {
        self.mailing.clone().unwrap_or_else(|| Mailing::usual(self.paper))
    }

    /// The address that letters by e-mail come from.
    pub fn sender(&self) -> Option<&str> {
        let own = self.letters.as_ref().and_then(|letters| letters.from.as_deref());
        let of_contacts = || self.contacts.iter().find_map(|contact| contact.email.as_deref());
        own.or_else(of_contacts).filter(|address| email::unfit(address).is_none())
    }

    /// Whether a day may be of this season: where its name holds years (“2026”, “2025–26”), of one of them, or of
    /// the days that `[hours]` gives to the season.
    pub fn in_season(&self, day: Date) -> bool {
        let years = season_years(&self.season);
        let (Some(first), Some(last)) = (years.iter().min(), years.iter().max()) else { return true };
        let set = |edge: &Option<(Date, Place)>| edge.as_ref().map(|(day, _)| *day);
        let (from, until) = (set(&self.hours.from), set(&self.hours.until));
        let of_hours = (from.is_some() || until.is_some())
            && from.is_none_or(|from| from <= day)
            && until.is_none_or(|until| day <= until);
        (*first..=*last).contains(&day.year()) || of_hours
    }

    /// The first and the last day whose hours are this season's: as `[hours]` says, else of the year
    /// that `season` names, else of all years.
    pub fn season_days(&self) -> (Date, Date) {
        let year = self.season.split(|letter: char| !letter.is_ascii_digit()).find(|part| part.len() == 4);
        let year = year.and_then(|year| year.parse::<i16>().ok());
        let edge = |set: &Option<(Date, Place)>, month, day, all| match (set, year) {
            (Some((day, _)), _) => *day,
            (None, Some(year)) => Date::new(year, month, day).unwrap_or(all),
            (None, None) => all,
        };
        (edge(&self.hours.from, 1, 1, Date::MIN), edge(&self.hours.until, 12, 31, Date::MAX))
    }
}

/// The years that a season's name holds: “2026”, “Spring 2026”, “2025–2026”, “2025/26”.
pub fn season_years(season: &str) -> Vec<i16> {
    let mut years: Vec<i16> = Vec::new();
    for digits in season.split(|letter: char| !letter.is_ascii_digit()) {
        let Ok(number) = digits.parse::<i16>() else { continue };
        match digits.len() {
            4 if (1900..2200).contains(&number) => years.push(number),
            2 if years.last().is_some_and(|year| (year + 1) % 100 == number) => {
                years.extend(years.last().map(|year| year + 1));
            }
            _ => {}
        }
    }
    years
}

/// A table of the file by itself, or what is usual where it is not there.
fn table<T: Default>(file: &mut Form, key: &'static str, what: &'static str, read: fn(Form) -> T) -> T {
    file.form(key, what).map(read).unwrap_or_default()
}

/// All tables of one name, in the order of the file.
fn list<T>(file: &mut Form, key: &'static str, what: &'static str, read: fn(Form) -> T) -> Vec<T> {
    file.forms(key, what).into_iter().map(read).collect()
}

fn need_text(table: &mut Option<Form>, key: &'static str, example: &str) -> String {
    table.as_mut().map(|table| table.need_text(key, example).text).unwrap_or_default()
}

fn optional(written: Option<Written>) -> Option<String> {
    written.map(|written| written.text)
}

/// The languages of the editions: the main one, and the others.
fn editions(program: &mut Form) -> (Option<Written>, Vec<Written>) {
    let mut tags: Vec<Written> = Vec::new();
    for tag in program.texts("editions") {
        if tags.iter().any(|other| other.text.eq_ignore_ascii_case(&tag.text)) {
            let message = format!("The edition “{}” is named twice.", tag.text);
            program.tell(&rules::NAME_DOUBLED, tag.place, message, "Keep one of the two.");
        } else if is_tag(program, &tag) {
            tags.push(tag);
        }
    }
    if tags.is_empty() {
        return (None, tags);
    }
    program.refuse(&["language"], "The first of “editions” is the main language");
    let main = tags.remove(0);
    (Some(main), tags)
}

fn language(program: &mut Form) -> Option<Written> {
    let tag = program.text("language")?;
    is_tag(program, &tag);
    Some(tag)
}

/// Whether a word is a BCP 47 tag by its shape: a language of two or three letters, then parts of up to
/// eight letters and digits.
pub(crate) fn has_shape_of_tag(word: &str) -> bool {
    let mut parts = word.split('-');
    let first = parts.next().unwrap_or("");
    matches!(first.len(), 2 | 3)
        && first.chars().all(|letter| letter.is_ascii_alphabetic())
        && parts.all(|part| {
            (1..=8).contains(&part.len()) && part.chars().all(|letter| letter.is_ascii_alphanumeric())
        })
}

fn is_tag(program: &Form, tag: &Written) -> bool {
    let fits = has_shape_of_tag(&tag.text);
    if !fits {
        let message = format!("“{}” is not the tag of a language.", tag.text);
        let mend = "Write a tag such as \"en\" or \"es-MX\" (BCP 47).";
        program.tell(&rules::VALUE_UNFIT, tag.place.clone(), message, mend);
    }
    fits
}

/// A picture in the program folder.
fn picture_path(table: &mut Form, key: &'static str) -> Option<Written> {
    let picture = table.text(key)?;
    if let Some(why) = unfit_path(&picture.text) {
        table.tell(&rules::PATH_ESCAPES, picture.place, why, "Write a path such as \"pictures/seal.svg\".");
        return None;
    }
    Some(picture)
}

fn theme(program: &mut Form) -> Option<Written> {
    let theme = program.text("theme")?;
    if let Some(why) = unfit_path(&theme.text) {
        program.tell(&rules::PATH_ESCAPES, theme.place, why, "Write a path such as \"themes/ours\".");
        return None;
    }
    Some(theme)
}
