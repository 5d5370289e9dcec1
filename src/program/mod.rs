//! Read: a program folder becomes one [`Program`], every value with the place it came from.
//!
//! Here live the forms of the input files and the mistakes that can be made in them. Nothing here
//! judges what a figure means ([`crate::understand`]) or whether it is right ([`crate::proof`]).
//! [`open`] reads every file before it reports, so that all mistakes are told at once.

pub mod answers;
mod bounds;
pub mod chained;
mod content;
pub mod day;
pub mod decisions;
pub mod editions;
pub mod facts;
mod files;
mod form;
mod headings;
pub mod history;
pub mod hours;
pub mod kits;
pub mod lesson;
mod markdown;
mod measures;
mod mistakes;
mod names;
mod people;
pub mod pictures;
pub mod questions;
pub mod register;
pub mod roster;
pub mod season_record;
mod series;
pub mod settings;
pub mod share;
mod sound;
mod source_map;
mod syntax;
pub mod tables;
pub mod unlisted;
pub mod walk;
mod written;

use crate::disk::Kind;
use crate::finding::{Finding, Place, Sources, rules};
use files::{Files, Page, unfit_path};
use form::{Form, FormContext};
use mistakes::{Mistakes, offer};
use names::Named;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use toml::de::DeTable;

pub use answers::Answers;
pub use content::Content;
pub use decisions::Decisions;
pub use editions::{Edition, Spoken};
pub use facts::Fact;
pub use facts::at_events::AtEvent;
pub use history::History;
pub use hours::Service;
pub use kits::Kit;
pub use lesson::Lesson;
pub use names::FOLDERS;
pub use people::People;
pub use pictures::PictureFile;
pub use questions::Questions;
pub use register::Register;
pub use roster::Roster;
pub use season_record::SeasonRecord;
pub use series::series_column;
pub use settings::Settings;
pub use sound::SoundPart;
pub use written::Written;

/// All that a program folder says.
#[derive(Clone, Debug)]
pub struct Program {
    /// The folder that holds `program.toml`.
    pub folder: PathBuf,
    /// The text of each file that was read.
    pub sources: Sources,
    /// What the program says, in its main language.
    pub content: Content,
    /// The same in its other languages.
    pub editions: Vec<Edition>,
    pub people: People,
    /// What the facts were.
    pub history: Arc<History>,
    /// What is odd in the people files but could be read.
    pub remarks: Vec<Finding>,
}

impl Program {
    /// The program with lines added to its register, as if that and its head had been read from its folder. What
    /// it says is shared and not copied.
    pub fn with_register(&self, register: Register, text: &str, head: Option<&str>) -> Self {
        let mut program = self.clone();
        program.people.register = Arc::new(register);
        program.sources.add(register::FILE.into(), text.into());
        if let Some(head) = head {
            program.sources.add(register::HEAD.into(), head.into());
        }
        program
    }

    /// The program with another text in one of its lessons, as if that had been read from its folder.
    ///
    /// # Errors
    /// All mistakes of the text.
    pub fn with_lesson(&self, id: &str, text: &str) -> Result<Self, Unread> {
        let mut program = self.clone();
        let Some(lesson) = program.content.lessons.iter_mut().find(|lesson| lesson.id == id) else {
            return Ok(program);
        };
        let mistakes = Mistakes::default();
        let page = Page::new(lesson.file.clone(), text.into());
        program.sources.add(lesson.file.clone(), text.into());
        *lesson = Arc::new(markdown::lesson(&page, id, &mistakes));
        let lesson = std::slice::from_ref(lesson);
        let looked = pictures::look(&program.folder, lesson, None);
        program.content.pictures.extend(looked.files);
        program.content.drawn.extend(looked.drawn);
        if mistakes.is_empty() {
            return Ok(program);
        }
        let sources = program.sources;
        Err(Unread { mistakes: mistakes.take_findings(&sources), sources, partial: None })
    }
}

/// A program that cannot be read, and every reason why.
#[derive(Clone, Debug)]
pub struct Unread {
    /// The text of each file that was read.
    pub sources: Sources,
    /// By file and place, each of level error and stopping the press; then what is odd and could be read.
    pub mistakes: Vec<Finding>,
    /// What was read all the same, with empty values where a mistake stands. Nothing is made from it; it is
    /// for showing how far one of its files was understood.
    pub partial: Option<Box<Program>>,
}

/// The nearest folder, from `start` upwards, that holds `program.toml`.
pub fn find_folder(start: &Path) -> Option<PathBuf> {
    let start = std::path::absolute(start).ok()?;
    start
        .ancestors()
        .find(|folder| folder.join("program.toml").symlink_metadata().is_ok())
        .map(Path::to_owned)
}

/// Reads a program folder. Nothing is written.
///
/// # Errors
/// All mistakes of all its files.
pub fn open(folder: &Path) -> Result<Program, Unread> {
    let mistakes = Mistakes::default();
    open_files(Files::new(folder, &mistakes), &mistakes)
}

/// Reads the folder of a program again. A lesson that did not change, and the register, are taken over as they are;
/// the result is the same as if all had been read anew.
///
/// # Errors
/// All mistakes of all its files.
pub fn reopen(before: &Program) -> Result<Program, Unread> {
    let mistakes = Mistakes::default();
    open_files(Files::again(before, &mistakes), &mistakes)
}

/// The same where one of the files is read as if it held another text: what a change would come to.
///
/// # Errors
/// All mistakes of all its files.
pub fn reopen_with(before: &Program, file: &str, text: &str) -> Result<Program, Unread> {
    let mistakes = Mistakes::default();
    open_files(Files::again_with(before, (file, text), &mistakes), &mistakes)
}

fn open_files(mut files: Files, mistakes: &Mistakes) -> Result<Program, Unread> {
    let read = read(&mut files, mistakes);
    let sources = files.sources;
    match read {
        Some(mut program) if mistakes.is_empty() => {
            program.remarks = mistakes.take_remarks(&sources);
            program.sources = sources;
            Ok(program)
        }
        partial => {
            let remarks = mistakes.take_remarks(&sources);
            let mut told = mistakes.take_findings(&sources);
            told.extend(remarks);
            Err(Unread { mistakes: told, sources, partial: partial.map(Box::new) })
        }
    }
}

/// Reads every file; the program is whole only if no mistake was told.
fn read(files: &mut Files, mistakes: &Mistakes) -> Option<Program> {
    let has_lessons = files.can_look_into("lessons");
    let has_people = files.can_look_into("people");
    files.can_look_into("records");
    let settings = files.need("program.toml", "It says who runs the program, when, and what it is made of.");
    let settings = settings.map(|page| read_form(&page, mistakes, "program file", Settings::read));
    let facts = files.need("facts.toml", "It says what each figure is and where it comes from.");
    let facts = facts.map(|page| read_form(&page, mistakes, "facts file", facts::read));
    let questions = files.find("questions.toml");
    let questions = questions.map(|page| read_form(&page, mistakes, "questions file", Questions::read));
    let kits = files.find("kits.toml").map(|page| read_form(&page, mistakes, "kits file", kits::read));
    let known = settings.as_ref().map(|read| &read.value);
    let roster = read_roster(files, known, mistakes);
    if has_people {
        tables::tell_unread(files, roster.is_some(), mistakes);
    }
    let register = Register::read(files, mistakes);
    let history = History::read(files, mistakes);
    let hours = read_hours(files, known, mistakes);
    let sound = questions.as_ref().and_then(Read::sound).zip(settings.as_ref().and_then(Read::sound));
    let answers = sound
        .map(|(questions, settings)| read_answers(files, questions, settings, roster.as_ref(), mistakes));
    let lessons = known.filter(|_| has_lessons).map(|settings| read_lessons(files, settings, mistakes));
    let earlier = known.and_then(|settings| read_earlier(files, settings, mistakes));
    if let Some(theme) = known.and_then(|settings| settings.theme.as_ref()) {
        check_theme(files, theme, mistakes);
    }
    let named = Named {
        settings: settings.as_ref().and_then(Read::sound),
        facts: facts.as_ref().and_then(Read::sound).map_or(&[], |facts| facts.at_events.as_slice()),
        questions: questions.as_ref().and_then(Read::sound),
        kits: kits.as_ref().and_then(Read::sound).map(Vec::as_slice),
        roster: roster.as_ref(),
    };
    names::check(&named, mistakes);
    let lost = settings.as_ref().is_none_or(|read| read.broken)
        || facts.as_ref().is_none_or(|read| read.broken)
        || questions.as_ref().is_some_and(|read| read.broken)
        || kits.as_ref().is_some_and(|read| read.broken);
    let lessons = lessons?;
    let facts = facts?.value;
    let unlisted = unlisted::find(files, known?);
    let pictures::Looked { files: mut pictures, drawn } = pictures::look(files.folder, &lessons, None);
    pictures.extend(pictures::named(files.folder, known, &pictures));
    let mut settings = settings?.value;
    let cells = roster.iter().flat_map(|roster| &roster.rows).filter_map(|row| row.size.as_deref());
    let language = settings.language.clone();
    settings.roster.learn_sizes(&language, cells);
    let content = Content {
        drawn,
        given: facts::given::of_settings(&settings, &settings.language),
        settings,
        facts: facts.common,
        units: facts.units,
        at_events: facts.at_events,
        pictures,
        unlisted,
        lessons,
        questions: questions.map(|read| read.value).unwrap_or_default(),
        kits: kits.map(|read| read.value).unwrap_or_default(),
        languages: Vec::new(),
        fallback_language: None,
        nouns: Vec::new(),
    };
    let people = People {
        roster: Arc::new(roster.unwrap_or_default()),
        register,
        hours: hours.into(),
        earlier: earlier.map(Arc::new),
        answers: Arc::new(answers.unwrap_or_default()),
        decisions: Arc::default(),
    };
    let mut program = Program {
        folder: files.folder.to_owned(),
        sources: Sources::default(),
        content,
        editions: Vec::new(),
        people,
        history,
        remarks: Vec::new(),
    };
    add_editions(&mut program, files, mistakes, lost);
    Some(program)
}

/// `lost`: a file of the main edition is broken.
fn add_editions(program: &mut Program, files: &mut Files, mistakes: &Mistakes, lost: bool) {
    program.editions = editions::read(files, &program.content, mistakes, lost);
    program.content.languages = editions::languages(&program.content, &program.editions);
    for edition in &mut program.editions {
        edition.content.languages.clone_from(&program.content.languages);
    }
}

fn read_roster(files: &mut Files, settings: Option<&Settings>, mistakes: &Mistakes) -> Option<Roster> {
    let named = settings.map_or_else(Vec::new, |settings| headings::named(&settings.roster.headings));
    let keep = settings.map_or(&[][..], |settings| &settings.roster.keep);
    let is_kept = |heading: &str| keep.iter().any(|kept| kept.heading.text.trim() == heading);
    let knows =
        |heading: &str| named.contains(&heading) || is_kept(heading) || roster::columns::is_usual(heading);
    let encoding = settings.and_then(|settings| settings.roster.encoding);
    let table = tables::find(files, "roster", &tables::How { encoding, knows: &knows }, mistakes)?;
    Some(Roster::read(table, settings, mistakes))
}

fn read_hours(files: &mut Files, settings: Option<&Settings>, mistakes: &Mistakes) -> Vec<Service> {
    let encoding = settings.and_then(|settings| settings.roster.encoding);
    let named = settings.map_or_else(Vec::new, |settings| headings::named(&settings.hours.headings));
    let knows = |heading: &str| named.contains(&heading) || hours::is_known(heading);
    let how = tables::How { encoding, knows: &knows };
    let Some(table) = tables::find(files, "hours", &how, mistakes) else { return Vec::new() };
    match settings {
        Some(settings) => hours::read(&table, &settings.hours, mistakes),
        None => hours::read(&table, &settings::HoursSettings::default(), mistakes),
    }
}

/// The answers of their own file, then those that stand in the roster.
fn read_answers(
    files: &mut Files,
    questions: &Questions,
    settings: &Settings,
    roster: Option<&Roster>,
    mistakes: &Mistakes,
) -> Answers {
    let knows = |heading: &str| answers::is_known(heading, questions, settings);
    let how = tables::How { encoding: settings.roster.encoding, knows: &knows };
    let table = tables::find(files, "answers", &how, mistakes);
    let answers = table.map(|table| Answers::read(&table, questions, settings, mistakes));
    let mut answers = answers.unwrap_or_default();
    if let Some(roster) = roster {
        answers.take_from(roster, questions, settings, mistakes);
    }
    answers
}

/// What was read of a TOML file.
struct Read<T> {
    value: T,
    /// The file is not TOML throughout, so that something may be lost.
    broken: bool,
}

impl<T> Read<T> {
    fn sound(&self) -> Option<&T> {
        (!self.broken).then_some(&self.value)
    }
}

fn read_form<T>(page: &Page, mistakes: &Mistakes, what: &'static str, read: fn(Form) -> T) -> Read<T> {
    let (text, broken) = syntax::sound_text(page, mistakes);
    let (table, _) = DeTable::parse_recoverable(&text);
    let context = FormContext { page, mistakes, broken: &broken };
    Read { value: read(Form::of_file(context, table.into_inner(), what)), broken: !broken.is_empty() }
}

/// The counts of the season that the report is compared with.
fn read_earlier(files: &mut Files, settings: &Settings, mistakes: &Mistakes) -> Option<SeasonRecord> {
    let path = settings.report.earlier.as_ref()?;
    if !files.has(&path.text) {
        let message = format!("There is no file {} in the program folder.", path.text);
        let mend = "Keep the season-report.json of each season there, or take the line out.";
        mistakes.tell(&rules::FILE_MISSING, path.place.clone(), message, mend);
        return None;
    }
    let page = files.get(&path.text)?;
    SeasonRecord::read(&page, &settings.season, mistakes)
}

/// Tells a theme's folder that is not there or not in the program folder.
fn check_theme(files: &Files, theme: &Written, mistakes: &Mistakes) {
    let folder = files.folder.join(&theme.text);
    if !folder.is_dir() {
        let message = format!("There is no folder {} in the program folder.", theme.text);
        let mend = "Name the folder of your theme, or take the line out for the built-in one.";
        mistakes.tell(&rules::FILE_MISSING, theme.place.clone(), message, mend);
    } else if files.leaves(&folder) {
        let message = format!("{} is a link to something outside the program folder.", theme.text);
        let mend = "Put the theme itself into the program folder.";
        mistakes.tell(&rules::PATH_ESCAPES, theme.place.clone(), message, mend);
    } else {
        check_theme_files(&folder, theme.text.trim_end_matches('/'), mistakes);
    }
}

/// Tells files of a theme that are none: passed over, the built-in ones would take their place unseen.
fn check_theme_files(folder: &Path, called: &str, mistakes: &Mistakes) {
    let is_seen = |entry: &walkdir::DirEntry| {
        entry.depth() == 0 || !entry.file_name().to_string_lossy().starts_with('.')
    };
    let entries = walkdir::WalkDir::new(folder).min_depth(1).sort_by_file_name().into_iter();
    for entry in entries.filter_entry(is_seen).filter_map(Result::ok) {
        let kind = Kind::from(entry.file_type());
        if let Kind::Link | Kind::Special = kind {
            let below = entry.path().strip_prefix(folder).unwrap_or(entry.path());
            let parts: Vec<_> = below.iter().map(|part| part.to_string_lossy()).collect();
            let name = format!("{called}/{}", parts.join("/"));
            let message = format!("{name} is {}, and a theme is made of plain files.", kind.word());
            let mend = "Put the file itself there, or take it away for the built-in one.";
            mistakes.tell(&rules::FILE_UNREADABLE, Place::whole(&name), message, mend);
        }
    }
}

/// The lessons of the syllabus, in its order.
fn read_lessons(files: &mut Files, settings: &Settings, mistakes: &Mistakes) -> Vec<Arc<Lesson>> {
    let mut lessons = Vec::new();
    for entry in &settings.syllabus {
        let name = format!("lessons/{}.md", entry.lesson);
        if entry.lesson.is_empty() {
            continue;
        }
        if let Some(why) = unfit_path(&entry.lesson) {
            let mend = "Name the lesson by its file in lessons/, without folder and ending.";
            mistakes.tell(&rules::PATH_ESCAPES, entry.place.clone(), why, mend);
        } else if entry.lesson.contains('/') || !files.has(&name) {
            let known = files.names("lessons", ".md");
            let bare = entry.lesson.rsplit('/').next().unwrap_or("").trim_end_matches(".md");
            let mend = offer(bare, known.iter().map(String::as_str), &format!("Add the file {name}."));
            let message = format!("There is no lesson “{}”.", entry.lesson);
            mistakes.tell(&rules::NAME_UNKNOWN, entry.place.clone(), message, mend);
        } else if let Some(page) = files.get(&name) {
            lessons.push(read_lesson(files, &page, &entry.lesson, mistakes));
        }
    }
    lessons
}

/// One lesson; the same as before where its file is.
fn read_lesson(files: &Files, page: &Page, id: &str, mistakes: &Mistakes) -> Arc<Lesson> {
    let known = files.before(&[&page.file]).and_then(|before| {
        let editions = before.editions.iter().map(|edition| &edition.content);
        let mut lessons =
            std::iter::once(&before.content).chain(editions).flat_map(|content| &content.lessons);
        lessons.find(|lesson| lesson.file == page.file && lesson.id == id)
    });
    known.map_or_else(|| Arc::new(markdown::lesson(page, id, mistakes)), Arc::clone)
}
