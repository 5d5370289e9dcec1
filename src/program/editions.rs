//! Editions: the program in its other languages.
//!
//! `editions = ["en", "es"]` names them, the main one first. Another one has its lessons in
//! `lessons/es/`, under the same names, and its short texts in `program.es.toml`, by the names that the
//! main files give to things. Facts, minutes, events, people are shared: an edition holds words and no values.
//!
//! An edition is a whole [`Content`], with the main edition's words where it lacks its own, so that the other
//! rooms treat it as they treat the main one; what it lacks is kept, to be told. People belong to the program
//! and not to an edition of it.

mod texts;

use super::Written;
use super::files::Files;
use super::form::FormContext;
use super::mistakes::Mistakes;
use super::{Content, pictures, syntax};
use crate::finding::{FileName, Place};
use std::collections::BTreeSet;
use toml::de::DeTable;

/// The program in another language than the main one.
#[derive(Clone, Debug)]
pub struct Edition {
    /// A BCP 47 tag.
    pub language: String,
    /// Where `program.toml` names it.
    pub place: Place,
    /// The lessons that it has, by id.
    pub lessons: BTreeSet<String>,
    /// The short texts that it lacks.
    pub lacks: Vec<Lack>,
    /// All that the program says, in its words.
    pub content: Content,
}

/// A language of the program.
#[derive(Clone, Debug)]
pub struct Spoken {
    /// A BCP 47 tag.
    pub language: String,
    /// The lessons that are written in it, by id.
    pub lessons: BTreeSet<String>,
}

/// The languages of the program, the main one first.
pub(super) fn languages(main: &Content, editions: &[Edition]) -> Vec<Spoken> {
    let lessons = main.lessons.iter().map(|lesson| lesson.id.clone()).collect();
    let spoken = Spoken { language: main.settings.language.clone(), lessons };
    let others = editions
        .iter()
        .map(|edition| Spoken { language: edition.language.clone(), lessons: edition.lessons.clone() });
    std::iter::once(spoken).chain(others).collect()
}

/// A text that the main edition has and another has not.
#[derive(Clone, Debug)]
pub struct Lack {
    /// Of the main edition's text.
    pub place: Place,
    /// What it is: `what the question “lead-length” asks`.
    pub what: String,
    /// Its key in the edition's file: `[questions.lead-length] ask`.
    pub key: String,
}

impl Edition {
    /// Where a lesson of it is kept.
    pub fn lesson_file(&self, id: &str) -> String {
        lesson_file(&self.language, id)
    }

    /// Where its short texts are kept.
    pub fn texts_file(&self) -> String {
        texts_file(&self.language)
    }

    /// Whether a file is its own, so that what stands there is in its language.
    pub fn owns(&self, file: &str) -> bool {
        owns(&self.language, file)
    }
}

/// Whether a file belongs to the edition in a language other than the main one.
pub fn owns(language: &str, file: &str) -> bool {
    file == texts_file(language) || file.starts_with(&format!("lessons/{language}/"))
}

fn lesson_file(language: &str, id: &str) -> String {
    format!("lessons/{language}/{id}.md")
}

fn texts_file(language: &str) -> String {
    format!("program.{language}.toml")
}

/// Reads the editions that `program.toml` names beside the main one.
pub(super) fn read(files: &mut Files, main: &Content, mistakes: &Mistakes, lost: bool) -> Vec<Edition> {
    let editions: Vec<Written> = main.settings.editions.clone();
    editions.into_iter().map(|language| read_one(files, main, language, mistakes, lost)).collect()
}

fn read_one(
    files: &mut Files,
    main: &Content,
    language: Written,
    mistakes: &Mistakes,
    lost: bool,
) -> Edition {
    let Written { text: language, place } = language;
    let mut content = Content { unlisted: Vec::new(), ..main.clone() };
    content.fallback_language = Some(main.settings.language.clone());
    content.settings.language.clone_from(&language);
    content.settings.language_place.clone_from(&place);
    let mut own = BTreeSet::new();
    for lesson in &mut content.lessons {
        let Some(page) = files.find(&lesson_file(&language, &lesson.id)) else { continue };
        *lesson = super::read_lesson(files, &page, &lesson.id, mistakes);
        own.insert(lesson.id.clone());
    }
    let looked = pictures::look(files.folder, &content.lessons, Some(&content));
    content.pictures.extend(looked.files);
    content.drawn.extend(looked.drawn);
    let mut lacks = Vec::new();
    let texts = texts_file(&language);
    let page = files.find(&texts);
    // Without a file everything is lacking, and an empty one says so.
    let page = page.unwrap_or_else(|| super::Page::new(FileName::from(texts.as_str()), "".into()));
    let (text, broken) = syntax::sound_text(&page, mistakes);
    let (table, _) = DeTable::parse_recoverable(&text);
    let context = FormContext { page: &page, mistakes, broken: &broken };
    let form = super::Form::of_file(context, table.into_inner(), "edition's file");
    texts::lay_over(&mut content, form, &mut lacks, lost);
    content.given = super::facts::given::of_settings(&content.settings, &main.settings.language);
    Edition { language, place, lessons: own, lacks, content }
}
