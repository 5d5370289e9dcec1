//! `packstring proofread --reading`: how hard each lesson is to read, to hear and to see.

use super::report::{As, plain};
use super::{CommandError, Outcome};
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
                "The reading level is told as text or json: use --as text or --as json.",
            ));
        }
    }
    Ok(Outcome::Clear)
}

fn tell_text(understood: &Understood, out: &mut dyn Write) -> Result<(), CommandError> {
    let settings = &understood.content.settings;
    let lessons = reading::lessons(understood);
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
    writeln!(out, "\nGrade: Flesch–Kincaid (1975). Ease: Flesch Reading Ease (1948); higher is easier.")?;
    if lessons.iter().any(|lesson| lesson.grade(&settings.language).is_none()) {
        writeln!(out, "–: English texts of {} words and more have a score.", reading::SAMPLE)?;
    }
    let rate = settings.reading.words_a_minute;
    writeln!(out, "Aloud: all running text, lists and cues at {rate} words a minute.")?;
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
