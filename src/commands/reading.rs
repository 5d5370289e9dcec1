//! `packstring proofread --reading`: how hard each lesson is to read, to hear and to see.

use super::report::{As, plain};
use super::{CommandError, Outcome};
use crate::program::Edition;
use crate::proof::reading::{self, LessonReading};
use crate::session::{Environment, open_program};
use crate::understand::Understood;
use num_traits::ToPrimitive;
use serde_json::json;
use std::io::Write;
use std::path::Path;

/// Tells the reading level of each lesson.
///
/// # Errors
/// The program cannot be read; another form than text or JSON is asked for, or the output cannot be written.
pub(super) fn run(
    folder: Option<&Path>,
    form: As,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    let program = open_program(folder, environment)?;
    let understood = &Understood::new(&program);
    match form {
        As::Text => tell_text(understood, out)?,
        As::Json => tell_json(understood, out)?,
        As::Sarif => {
            return Err(CommandError::said(
                "The reading level comes only as text or JSON: use --as text or --as json.",
            ));
        }
    }
    Ok(Outcome::Clear)
}

fn tell_text(understood: &Understood, out: &mut dyn Write) -> Result<(), CommandError> {
    tell_table(understood, None, out)?;
    for (edition, own) in understood.root.editions.iter().zip(&understood.editions) {
        writeln!(out, "\n{}", plain(&edition.language))?;
        tell_table(own, Some(edition), out)?;
    }
    let all = || std::iter::once(understood).chain(&understood.editions);
    let any_in = |tag: &str| all().any(|own| own.content.settings.language.split('-').next() == Some(tag));
    writeln!(out)?;
    if any_in("en") {
        writeln!(out, "Grade: Flesch–Kincaid (1975). Ease: Flesch Reading Ease (1948); higher is easier.")?;
    }
    if any_in("es") {
        writeln!(
            out,
            "Ease in Spanish: perspicuity of Szigriszt Pazos (1993). INFLESZ (Barrio-Cantalejo and others, 2008): from 55 normal, from 65 quite easy, \
             from 80 very easy."
        )?;
    }
    let lacks = |own: &Understood| {
        let language = &own.content.settings.language;
        reading::lessons(own).iter().any(|lesson| lesson.reading_ease(language).is_none())
    };
    if all().any(lacks) {
        writeln!(out, "–: English and Spanish texts of {} words and more have a score.", reading::SAMPLE)?;
    }
    let rate = understood.content.settings.reading.words_a_minute;
    writeln!(out, "Aloud: all running text, lists and cues at {rate} words a minute.")?;
    Ok(())
}

/// The lessons of one edition.
fn tell_table(
    understood: &Understood,
    edition: Option<&Edition>,
    out: &mut dyn Write,
) -> Result<(), CommandError> {
    let settings = &understood.content.settings;
    let mut lessons = reading::lessons(understood);
    // A lesson that the edition lacks is the main one's, and counted there.
    lessons.retain(|lesson| edition.is_none_or(|edition| edition.owns(&lesson.lesson.file)));
    let width = lessons.iter().map(|lesson| lesson.lesson.id.chars().count()).max().unwrap_or(0).max(6);
    writeln!(out, "{:width$}  grade  ease  words  aloud     fullest slide", "lesson")?;
    for lesson in &lessons {
        let score = |score: Option<f64>, decimals: usize| {
            score.map_or_else(|| "–".to_owned(), |score| format!("{score:.decimals$}"))
        };
        let grade = score(lesson.grade(&settings.language), 1);
        let ease = score(lesson.reading_ease(&settings.language), 0);
        let aloud = minutes(lesson, settings.reading.words_a_minute);
        let slide = lesson.fullest_slide().map_or_else(String::new, |slide| {
            format!("{:>3} words, {}", slide.words, plain(&understood.text_of(&slide.section.heading)))
        });
        let (id, words) = (&lesson.lesson.id, lesson.counts.words);
        writeln!(out, "{id:width$}  {grade:>5}  {ease:>4}  {words:>5}  {aloud:>4.1} min  {slide}")?;
    }
    Ok(())
}

fn minutes(lesson: &LessonReading, words_a_minute: u32) -> f64 {
    reading::minutes(lesson.aloud, words_a_minute).to_f64().unwrap_or_default()
}

fn tell_json(understood: &Understood, out: &mut dyn Write) -> Result<(), CommandError> {
    let settings = &understood.content.settings;
    let lessons: Vec<_> = reading::lessons(understood)
        .iter()
        .map(|lesson| {
            let slides = lesson.slides.iter();
            json!({
                "lesson": lesson.lesson.id,
                "sentences": lesson.counts.sentences,
                "words": lesson.counts.words,
                "syllables": lesson.counts.syllables,
                "grade": lesson.grade(&settings.language),
                "reading_ease": lesson.reading_ease(&settings.language),
                "minutes_aloud": minutes(lesson, settings.reading.words_a_minute),
                "slides": slides
                    .map(|slide| json!({"section": slide.section.id, "words": slide.words}))
                    .collect::<Vec<_>>(),
            })
        })
        .collect();
    writeln!(out, "{}", serde_json::to_string_pretty(&json!({"lessons": lessons}))?)?;
    Ok(())
}
