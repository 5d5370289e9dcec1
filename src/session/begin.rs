//! A new program folder: a short working example with notes.
//!
//! The examples stand in `begin/`, by language, and are the manual of the input forms: every key is there, with a note in
//! plain words. Their dates are moved so that nothing is overdue on the day on which they are laid out. Beside them lies
//! what opens the front desk by a double click.

use super::{Environment, SessionError};
use crate::disk::{Access, LaidFile, lay_out};
use crate::io_error::in_words;
use crate::program::settings::has_shape_of_tag;
use include_dir::{Dir, File, include_dir};
use jiff::ToSpan;
use jiff::civil::Date;
use std::fs;
use std::io::ErrorKind;
use std::path::Path;

static EXAMPLE: Dir = include_dir!("$CARGO_MANIFEST_DIR/src/session/begin/en");
/// What opens the front desk by a double click, on each system.
static STARTERS: Dir = include_dir!("$CARGO_MANIFEST_DIR/src/session/begin/starters");
static EXAMPLE_IN_SPANISH: Dir = include_dir!("$CARGO_MANIFEST_DIR/src/session/begin/es");

/// An example, and the tag that stands as its language in its `program.toml`.
struct Example {
    files: &'static Dir<'static>,
    language: &'static str,
}

/// By language.
static EXAMPLES: [(&str, Example); 2] = [
    ("en", Example { files: &EXAMPLE, language: "en" }),
    ("es", Example { files: &EXAMPLE_IN_SPANISH, language: "es-US" }),
];

/// The languages in which there is an example.
pub fn languages_to_begin_in() -> impl Iterator<Item = &'static str> {
    EXAMPLES.iter().map(|(language, _)| *language)
}

/// Lays out the example of a language in a folder that is empty or not there yet; gives how many files it has.
///
/// # Errors
/// When something is in the folder, or it cannot be written to; or there is no example in the language.
pub fn begin(folder: &Path, language: &str, environment: &Environment) -> Result<usize, SessionError> {
    let example = example_in(language, folder).map_err(SessionError::said)?;
    let into = environment.folder.join(folder);
    check_empty(&into).map_err(|why| {
        SessionError::said(format!(
            "No program was laid out in {}: {why} Name a folder that is empty or not there yet.",
            folder.display()
        ))
    })?;
    let mut files = Vec::new();
    gather(example.files, &mut files);
    // What makes the folder a program folder is put there last.
    files.sort_by_key(|file| file.path() != "program.toml");
    let fitted = |file: &&File| fitted(file.contents(), example, language, environment.today);
    let files: Vec<(&Path, Vec<u8>)> = files.iter().map(|file| (file.path(), fitted(file))).collect();
    let starters = STARTERS.files().map(|file| LaidFile {
        path: file.path(),
        bytes: file.contents(),
        access: Access::Runs,
    });
    let example = files.iter().map(|(path, bytes)| LaidFile::shared(path, bytes));
    let files: Vec<LaidFile> = example.chain(starters).collect();
    lay_out(&into, &environment.folder, &files).map_err(|why| SessionError::not_laid_out(&why, folder))?;
    Ok(files.len())
}

/// The example in a language, whatever the country; or what there is instead, in sentences.
fn example_in(language: &str, folder: &Path) -> Result<&'static Example, String> {
    let primary = language.split(['-', '_']).next().unwrap_or_default().to_lowercase();
    if !has_shape_of_tag(language) {
        let why = format!("“{language}” is not a language tag. Write --language en or --language es.");
        return Err(why);
    }
    EXAMPLES.iter().find(|(tag, _)| *tag == primary).map(|(_, example)| example).ok_or_else(|| {
        format!(
            "There is no example in “{language}”: packstring has one in English (en) and one in Spanish (es). Lay one of them out (`packstring begin {}`), write language = \"{language}\" into its program.toml, and put its words into that language.",
            folder.display()
        )
    })
}

/// Why nothing can be laid out in a folder, in a sentence. Hidden files do not count: a new
/// repository may have been started there.
pub fn check_empty(folder: &Path) -> Result<(), String> {
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(()),
        Err(error) => return Err(format!("{}.", in_words(&error))),
    };
    let is_seen = |name: &std::ffi::OsStr| !name.to_string_lossy().starts_with('.');
    match entries.flatten().find(|entry| is_seen(&entry.file_name())) {
        Some(entry) => Err(format!("it is not empty ({} is in it).", entry.file_name().display())),
        None => Ok(()),
    }
}

fn gather<'e>(folder: &'e Dir<'e>, files: &mut Vec<&'e File<'e>>) {
    files.extend(folder.files());
    folder.dirs().for_each(|folder| gather(folder, files));
}

/// A file of an example as it is laid out: with its dates moved, and in the language of the country that was asked for.
fn fitted(bytes: &[u8], example: &Example, language: &str, today: Date) -> Vec<u8> {
    let bytes = dated(bytes, today);
    match String::from_utf8(bytes) {
        Ok(text) if language.contains('-') => {
            let line = |tag: &str| format!("\nlanguage = \"{tag}\"");
            text.replace(&line(example.language), &line(language)).into_bytes()
        }
        Ok(text) => text.into_bytes(),
        Err(error) => error.into_bytes(),
    }
}

/// The example with its dates moved to `today`, so that nothing in it is overdue: its facts are due in a
/// year, the event that its people came to was days ago, the other is two months ahead, and its hours of service are of the last weeks.
fn dated(bytes: &[u8], today: Date) -> Vec<u8> {
    let Ok(text) = std::str::from_utf8(bytes) else { return bytes.to_vec() };
    let event = today.saturating_add(60.days());
    text.replace("2026-03-01", &today.to_string())
        .replace("2027-03-01", &today.saturating_add(1.year()).to_string())
        .replace("2026-05-16", &today.saturating_sub(3.days()).to_string())
        .replace("2026-06-10", &event.to_string())
        .replace("2026-06-17", &event.saturating_add(7.days()).to_string())
        .replace("2026-01-17", &today.saturating_sub(14.days()).to_string())
        .replace("2026-01-24", &today.saturating_sub(7.days()).to_string())
        .replace("2025-10-01", &today.saturating_sub(1.year()).to_string())
        .replace("2026-09-30", &event.to_string())
        .replace("season = \"2026\"", &format!("season = \"{}\"", event.year()))
        .into_bytes()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::people::scoring::Scores;
    use crate::program::{self, Program};
    use crate::proof;
    use crate::understand::Understood;
    use jiff::civil::date;
    use std::path::PathBuf;

    const TODAY: Date = date(2031, 12, 3);

    fn environment(folder: &Path) -> Environment {
        Environment { today: TODAY, folder: folder.to_owned(), terminal: false, keys: None }
    }

    fn lay_out(language: &str) -> (tempfile::TempDir, PathBuf, usize) {
        let place = tempfile::tempdir().unwrap();
        let count = begin(Path::new("new/ours"), language, &environment(place.path())).unwrap();
        let folder = place.path().join("new/ours");
        (place, folder, count)
    }

    fn read(folder: &Path) -> Program {
        program::open(folder).unwrap_or_else(|unread| panic!("{:#?}", unread.mistakes))
    }

    #[test]
    fn the_example_is_read_and_proofread_without_a_word() {
        for (asked, language) in
            [("en", "en"), ("en-CA", "en-CA"), ("es", "es-US"), ("es-MX", "es-MX"), ("es-ES", "es-ES")]
        {
            let (_place, folder, count) = lay_out(asked);
            assert_eq!(count, 12);
            let program = read(&folder);
            assert_eq!(program.content.settings.language, language);
            let understood = Understood::new(&program);
            let findings = proof::proofread(&understood, &Scores::of(&understood), TODAY);
            assert!(findings.is_empty(), "{asked}: {findings:#?}");
            assert_eq!(program.content.settings.season, "2032");
            let hours = &program.content.settings.hours;
            let (from, until) = (hours.from.as_ref().unwrap().0, hours.until.as_ref().unwrap().0);
            assert!(program.people.hours.iter().all(|entry| (from..=until.min(TODAY)).contains(&entry.date)));
            let days: Vec<Date> = program.content.settings.events.iter().map(|event| event.date).collect();
            assert_eq!(days, [date(2031, 11, 30), date(2032, 2, 1)]);
        }
    }

    /// They tell the same story: as many of everything, the same numbers, and no English in the Spanish one but
    /// packstring's own words.
    #[test]
    fn the_examples_are_of_one_size() {
        let size = |language: &str| {
            let (_place, folder, _) = lay_out(language);
            let program = read(&folder);
            let people = &program.people;
            let content = &program.content;
            let sections = content.lessons.iter().map(|lesson| lesson.sections.len()).sum::<usize>();
            let came = people.roster.rows.iter().filter(|row| row.attended).count();
            let passed = people.roster.rows.iter().filter(|row| row.passed == Some(true)).count();
            let hours: Vec<String> =
                people.hours.iter().map(|entry| crate::quantity::plain(&entry.hours)).collect();
            let understood = Understood::new(&program);
            let worth = content.facts.iter().map(|fact| {
                understood.held(&fact.name).and_then(|held| crate::quantity::say_plain(held, None).ok())
            });
            let worth: Vec<Option<String>> = worth.collect();
            let counts = [
                sections,
                content.facts.len(),
                content.questions.list.len(),
                content.kits.len(),
                people.roster.rows.len(),
                came,
                passed,
                people.roster.rows.iter().filter(|row| row.joins).count(),
                people.roster.rows.iter().filter(|row| row.address.is_some()).count(),
            ];
            (counts, hours, worth)
        };
        assert_eq!(size("en"), size("es"));
    }

    #[test]
    fn a_language_without_an_example_is_told_with_what_there_is() {
        for (language, says) in
            [("fr", "English (en) and one in Spanish (es)"), ("Deutsch!", "not a language tag")]
        {
            let place = tempfile::tempdir().unwrap();
            let told =
                begin(Path::new("ours"), language, &environment(place.path())).unwrap_err().to_string();
            assert!(told.contains(says), "{told}");
            assert_eq!(fs::read_dir(place.path()).unwrap().count(), 0);
        }
    }

    #[test]
    fn the_keys_that_are_left_out_can_be_put_in() {
        for language in ["en", "es"] {
            let (_place, folder, _) = lay_out(language);
            put_in_all(&folder);
        }
    }

    fn put_in_all(folder: &Path) {
        fs::create_dir_all(folder.join("themes/ours")).unwrap();
        let mut count = 0;
        for name in ["program.toml", "facts.toml", "questions.toml", "kits.toml"] {
            let text = fs::read_to_string(folder.join(name)).unwrap();
            let put_in = |line: &str| match line.strip_prefix("# ") {
                Some(rest) if rest.split(" = ").next().is_some_and(is_key) && rest.contains(" = ") => {
                    rest.to_owned()
                }
                _ => line.to_owned(),
            };
            let lines: Vec<String> = text.lines().map(put_in).collect();
            count += lines.iter().zip(text.lines()).filter(|(new, old)| new != old).count();
            fs::write(folder.join(name), lines.join("\n")).unwrap();
        }
        assert!(count >= 2, "only {count} keys were put in");
        read(folder);
    }

    fn is_key(word: &str) -> bool {
        !word.is_empty() && word.chars().all(|letter| letter.is_ascii_lowercase() || letter == '-')
    }

    /// The example is the manual: each key of the forms' page stands in it.
    #[test]
    fn the_example_shows_every_key() {
        shows_every_key(&EXAMPLE, true);
        // How people's files are headed is each language's own.
        shows_every_key(&EXAMPLE_IN_SPANISH, false);
    }

    fn shows_every_key(example: &Dir, with_people: bool) {
        let manual = include_str!("../../docs/program-folder.md");
        let settings = example.get_file("program.toml").unwrap().contents_utf8().unwrap();
        for (heading, file) in [
            ("## program.toml", "program.toml"),
            ("## facts.toml", "facts.toml"),
            ("## questions.toml", "questions.toml"),
            ("## kits.toml", "kits.toml"),
            ("## people/roster.csv", "people/roster.csv"),
            ("## people/hours.csv", "people/hours.csv"),
        ] {
            if !with_people && file.starts_with("people/") {
                continue;
            }
            let section = manual.split(heading).nth(1).and_then(|rest| rest.split("\n## ").next()).unwrap();
            let example = example.get_file(file).unwrap().contents_utf8().unwrap();
            let keys = section.lines().flat_map(|line| match line.strip_prefix("| ") {
                Some(row) => row.split(" | ").next().unwrap().split('`').skip(1).step_by(2).collect(),
                None => Vec::from_iter(line.split_once(" = ").map(|(key, _)| key).filter(|key| is_key(key))),
            });
            for key in keys.filter(|key| is_key(key)) {
                let shown = [format!("{key} = "), format!("\"{key}\""), format!("{key},")];
                assert!(
                    // How people's files are read stands in program.toml.
                    shown.iter().any(|shown| example.contains(shown.as_str()))
                        || file.starts_with("people/")
                            && shown.iter().any(|shown| settings.contains(shown.as_str()))
                        || example.ends_with(key)
                        || example.lines().next().unwrap().ends_with(key),
                    "{file} does not show “{key}”"
                );
            }
        }
    }

    #[test]
    fn a_folder_with_something_in_it_is_left_alone() {
        let place = tempfile::tempdir().unwrap();
        fs::write(place.path().join("notes.txt"), "mine").unwrap();
        let told = |folder: &str| begin(Path::new(folder), "en", &environment(place.path())).unwrap_err();
        assert!(told(".").to_string().contains("notes.txt is in it"));
        assert!(told("notes.txt").to_string().contains("a file stands where a folder must be"));
        assert_eq!(fs::read_dir(place.path()).unwrap().count(), 1);
    }

    #[test]
    fn hidden_files_are_no_hindrance() {
        let place = tempfile::tempdir().unwrap();
        fs::create_dir(place.path().join(".git")).unwrap();
        begin(Path::new("."), "en", &environment(place.path())).unwrap();
    }
}
