//! Lesson files that nothing prints: those that the syllabus does not name.
//!
//! They are found here, and told by [`crate::proof`]. Folders in `lessons/` are looked into where they are
//! an edition's, or would be one if `program.toml` named it; what else a folder holds is the editor's own.

use super::files::Files;
use super::settings::{Settings, has_shape_of_tag};

/// A lesson file that nothing prints.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unlisted {
    /// From the program folder; of an edition that is not named, its folder.
    pub file: String,
    pub why: Why,
}

/// Why nothing prints a lesson's file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Why {
    /// The syllabus has no lesson of this name.
    NoSuchLesson(String),
    /// `program.toml` names no edition in this language.
    NoSuchEdition(String),
}

pub(super) fn find(files: &Files, settings: &Settings) -> Vec<Unlisted> {
    let mut unlisted = strays(files, "lessons", settings);
    for name in files.folders("lessons") {
        let folder = format!("lessons/{name}");
        if settings.editions.iter().any(|edition| edition.text == name) {
            unlisted.extend(strays(files, &folder, settings));
        } else if is_like_an_edition(&name) && !files.names(&folder, ".md").is_empty() {
            unlisted.push(Unlisted { file: folder, why: Why::NoSuchEdition(name) });
        }
    }
    unlisted
}

fn strays(files: &Files, folder: &str, settings: &Settings) -> Vec<Unlisted> {
    let names = files.names(folder, ".md").into_iter();
    let names = names.filter(|name| settings.syllabus.iter().all(|entry| entry.lesson != *name));
    let stray = |name| Unlisted { file: format!("{folder}/{name}.md"), why: Why::NoSuchLesson(name) };
    names.map(stray).collect()
}

/// `es`, `es-MX`. Of three letters are `old` and `new` as well.
fn is_like_an_edition(folder: &str) -> bool {
    has_shape_of_tag(folder) && folder.split('-').next().is_some_and(|language| language.len() == 2)
}
