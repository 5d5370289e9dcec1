//! `theme`: copies the built-in theme out, whole files, for who wants looks of their own.
//!
//! Nothing that is there is written over. Fonts never go out without their license.

use super::report::counted;
use super::{CommandError, Outcome};
use crate::disk::{LaidFile, lay_out};
use crate::nearest::nearest;
use crate::press::Theme;
use crate::program;
use crate::session::{Environment, SessionError, check_empty};
use crate::shelf::places;
use std::collections::BTreeSet;
use std::io::{self, Write};
use std::path::{Component, Path, PathBuf};

/// Copies the whole theme into a folder that is empty or not there yet, or `only` some files of it
/// into any folder that has none of them, and says what to do next.
///
/// # Errors
/// When something of it is there already, a name is none of the theme's, or it cannot be written.
pub fn run(
    folder: &Path,
    only: &[String],
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    let theme = Theme::plain();
    let into = environment.folder.join(folder);
    let strange = match program::find_folder(&plain(&into)) {
        Some(program) => places::above(&into, &program)?,
        None => None,
    };
    if let Some(strange) = strange {
        return Err(CommandError::said(format!(
            "{} Nothing was copied into {}: a theme goes only into plain folders. Move it elsewhere, or name another folder.",
            places::told(&[strange]),
            folder.display()
        )));
    }
    let names =
        if only.is_empty() { theme.files().map(|(name, _)| name).collect() } else { chosen(&theme, only)? };
    check_free(&into, &names, only.is_empty())
        .map_err(|why| CommandError::said(format!("Nothing was copied into {}: {why}", folder.display())))?;
    let bytes_of = |name: &str| theme.file(name).map_or(&[][..], |bytes| bytes.as_slice());
    let files: Vec<LaidFile> =
        names.iter().map(|name| LaidFile::shared(Path::new(*name), bytes_of(name))).collect();
    lay_out(&into, &environment.folder, &files).map_err(|why| SessionError::not_laid_out(&why, folder))?;
    tell(folder, &into, names.len(), out)?;
    Ok(Outcome::Clear)
}

/// The files that were asked for by name or by folder, and the licenses of the fonts among them.
fn chosen<'t>(theme: &'t Theme, only: &[String]) -> Result<BTreeSet<&'t str>, CommandError> {
    let mut names = BTreeSet::new();
    let mut unknown = Vec::new();
    for asked in only {
        let asked = asked.trim().trim_matches('/');
        let found: Vec<&str> = match theme.file(asked) {
            Some(_) => theme.files().map(|(name, _)| name).filter(|name| *name == asked).collect(),
            None => theme.folder(asked).map(|(name, _)| name).collect(),
        };
        if found.is_empty() {
            unknown.push(is_none(theme, asked));
        }
        names.extend(found);
    }
    if !unknown.is_empty() {
        return Err(CommandError::said(format!(
            "{} `packstring theme DIR` without --only copies all of them.",
            unknown.join(" ")
        )));
    }
    for fonts in ["type", "pages/faces"] {
        let below = |name: &str| name.strip_prefix(fonts).is_some_and(|rest| rest.starts_with('/'));
        if names.iter().any(|name| below(name)) {
            names.extend(theme.folder(fonts).map(|(name, _)| name).filter(|name| name.ends_with(".txt")));
        }
    }
    Ok(names)
}

fn is_none(theme: &Theme, asked: &str) -> String {
    let known = || theme.files().map(|(name, _)| name);
    let in_folder = || known().find(|name| name.rsplit('/').next() == Some(asked));
    let offer = in_folder().or_else(|| nearest(asked, known()));
    let offer = offer.map_or_else(String::new, |near| format!(" Did you mean {near}?"));
    format!("The theme has no file or folder “{asked}”.{offer}")
}

/// Why the files cannot be put there, in sentences.
fn check_free(into: &Path, names: &BTreeSet<&str>, whole: bool) -> Result<(), String> {
    if whole {
        return check_empty(into).map_err(|why| {
            format!(
                "{why} Name a folder that is empty or not there yet, such as `packstring theme themes/ours`, or add single files with --only."
            )
        });
    }
    let there: Vec<&str> =
        names.iter().copied().filter(|name| into.join(name).symlink_metadata().is_ok()).collect();
    match there.as_slice() {
        [] => Ok(()),
        [name] => Err(format!("{name} is there already. Move it away, or leave it out.")),
        several => {
            Err(format!("{} are there already. Move them away, or leave them out.", several.join(", ")))
        }
    }
}

fn tell(folder: &Path, into: &Path, count: usize, out: &mut dyn Write) -> io::Result<()> {
    let files = counted(count, "file");
    writeln!(out, "The built-in theme was copied into {}: {files}.", folder.display())?;
    writeln!(out)?;
    writeln!(out, "Next:")?;
    match in_program(into) {
        Some(called) => {
            writeln!(out, "  Write theme = \"{called}\" under [program] in program.toml.")?;
        }
        None => {
            writeln!(
                out,
                "  Put the folder into your program folder, and name it under [program] in program.toml:"
            )?;
            writeln!(out, "      theme = \"themes/ours\"")?;
        }
    }
    writeln!(
        out,
        "  Change the files that you want to look different, and delete all others. Files that are not"
    )?;
    writeln!(out, "      in the folder come from the built-in theme, and improve with each new packstring.")?;
    writeln!(out, "  docs/theme/README.md says what data a template gets and what it must do.")
}

/// The folder as the `program.toml` in or above it names it.
fn in_program(into: &Path) -> Option<String> {
    let into = plain(into);
    let program = program::find_folder(&into)?;
    let below = into.strip_prefix(plain(&program)).ok()?;
    let parts: Vec<String> = below.iter().map(|part| part.to_string_lossy().into_owned()).collect();
    (!parts.is_empty()).then(|| parts.join("/"))
}

/// A path without `.` and `..`, which the program's own paths do not have.
fn plain(path: &Path) -> PathBuf {
    let mut plain = PathBuf::new();
    for part in path.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir => drop(plain.pop()),
            part => plain.push(part),
        }
    }
    plain
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Finding;
    use crate::press::{too_faint, unused_files};
    use std::fs;

    fn theme(place: &Path, folder: &str, only: &[&str]) -> Result<String, String> {
        let environment = Environment {
            today: jiff::civil::date(2031, 12, 3),
            folder: place.to_owned(),
            terminal: false,
            keys: None,
        };
        let only: Vec<String> = only.iter().map(|name| (*name).to_owned()).collect();
        let mut out = Vec::new();
        match run(Path::new(folder), &only, &environment, &mut out) {
            Ok(Outcome::Clear) => Ok(String::from_utf8(out).unwrap()),
            Err(CommandError::Said(why)) => Err(why),
            other => panic!("{other:?}"),
        }
    }

    fn files(folder: &Path) -> Vec<String> {
        let entries = walkdir::WalkDir::new(folder).sort_by_file_name().into_iter().flatten();
        let files = entries.filter(|entry| entry.file_type().is_file());
        files.map(|entry| entry.path().strip_prefix(folder).unwrap().display().to_string()).collect()
    }

    #[test]
    fn the_whole_theme_is_copied_and_changes_nothing_by_itself() {
        let place = tempfile::tempdir().unwrap();
        fs::write(place.path().join("program.toml"), "").unwrap();
        let told = theme(place.path(), "./themes/ours", &[]).unwrap();
        assert!(told.contains("Write theme = \"themes/ours\" under [program]"), "{told}");
        let (plain, ours) = (Theme::plain(), Theme::with_folder(place.path(), "themes/ours").unwrap());
        assert_eq!(ours.own_files().count(), plain.files().count());
        assert!(plain.files().all(|(name, bytes)| ours.file(name) == Some(bytes)));
        assert_eq!((too_faint(&ours).unwrap(), unused_files(&ours)), (Vec::<Finding>::new(), Vec::new()));
    }

    #[test]
    fn single_files_are_copied_and_fonts_bring_their_license() {
        let place = tempfile::tempdir().unwrap();
        let told = theme(place.path(), "ours", &["sheets/certificate.typ", "inks.toml"]).unwrap();
        assert!(
            told.contains("2 files") && told.contains("Put the folder into your program folder"),
            "{told}"
        );
        assert_eq!(files(place.path()), ["ours/inks.toml", "ours/sheets/certificate.typ"]);
        theme(place.path(), "ours", &["type/Andika-Bold.ttf"]).unwrap();
        assert!(place.path().join("ours/type/OFL.txt").is_file());
        theme(place.path(), "words", &["words/"]).unwrap();
        assert!(place.path().join("words/words/en.toml").is_file());
    }

    #[test]
    fn what_is_there_is_left_alone() {
        let place = tempfile::tempdir().unwrap();
        fs::create_dir(place.path().join("ours")).unwrap();
        fs::write(place.path().join("ours/inks.toml"), "mine").unwrap();
        let why = theme(place.path(), "ours", &[]).unwrap_err();
        assert!(why.contains("it is not empty (inks.toml is in it). Name a folder that is empty"), "{why}");
        let why = theme(place.path(), "ours", &["inks.toml", "sheets/deck.typ"]).unwrap_err();
        assert!(why.contains("inks.toml is there already"), "{why}");
        assert_eq!(files(place.path()), ["ours/inks.toml"]);
        assert_eq!(fs::read(place.path().join("ours/inks.toml")).unwrap(), b"mine");
    }

    #[test]
    fn a_name_that_the_theme_has_not_gets_the_nearest() {
        let place = tempfile::tempdir().unwrap();
        let why = theme(place.path(), "ours", &["sheets/hanbook.typ", "deck.typ", "inks.toml"]).unwrap_err();
        assert!(why.contains("“sheets/hanbook.typ”. Did you mean sheets/handbook.typ?"), "{why}");
        assert!(why.contains("“deck.typ”. Did you mean sheets/deck.typ?"), "{why}");
        assert_eq!(files(place.path()), Vec::<String>::new());
    }
}
