//! A lesson as who writes it looks at it: each of its figures with how it stands with the facts, and its pages as they
//! will print. Nothing is put away.

use super::{Session, SessionError, Shown};
use crate::finding::Place;
use crate::job::{Job, Piece};
use crate::pieces::{self, Selection};
use crate::program::lesson::Lesson;
use crate::statements::judgement::Judgement;
use crate::statements::{PrintContext, Statement};
use crate::understand::Understood;
use std::fmt;

/// How a figure stands with the facts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FigureStands {
    /// It is linked to a fact, and says what the fact says.
    Agrees,
    /// It says another thing than its fact, or than the fact that its sentence names; or its link names none.
    Differs,
    /// It says what a fact says that its sentence names, without a link.
    Unlinked,
    /// No fact stands behind it.
    Loose,
    /// The program says that it needs no fact.
    Exempt,
}

/// A figure of a lesson.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FigureShown {
    /// Where its words stand in the file.
    pub place: Place,
    pub stands: FigureStands,
    /// The name of the fact that it was held against.
    pub fact: Option<String>,
}

/// A lesson laid out as one of the pieces has it, before it is drawn.
pub struct LessonSheet {
    job: Job,
    /// Stands for all that its pages are made from: equal fingerprints, equal pages.
    pub fingerprint: String,
}

impl fmt::Debug for LessonSheet {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.debug_struct("LessonSheet").field("path", &self.job.path).finish_non_exhaustive()
    }
}

impl Session<'_> {
    /// What was understood of the edition that a file belongs to.
    fn edition_of<'u, 'p>(&self, understood: &'u Understood<'p>, file: &str) -> &'u Understood<'p> {
        let mut editions = understood.root.editions.iter().zip(&understood.editions);
        editions.find(|(edition, _)| edition.owns(file)).map_or(understood, |(_, own)| own)
    }

    /// The lesson that a file holds, and the language that it is in.
    pub fn lesson_in<'p>(&self, understood: &Understood<'p>, file: &str) -> Option<(&'p Lesson, &'p str)> {
        let content = self.edition_of(understood, file).content;
        let mut lessons = content.lessons.iter().map(|lesson| &**lesson);
        lessons.find(|lesson| &*lesson.file == file).map(|lesson| (lesson, content.language_of(file)))
    }

    /// The figures of a lesson's file in its order, none within another.
    pub fn figures_in(&self, understood: &Understood, file: &str) -> Vec<FigureShown> {
        let own = self.edition_of(understood, file);
        let print = PrintContext::lay_out_of(own, self.today(), &|passage| &*passage.place.file == file);
        let mut figures: Vec<FigureShown> = print
            .statements
            .iter()
            .map(|statement| FigureShown {
                place: statement.place.clone(),
                stands: stands(own, statement),
                fact: fact_of(statement),
            })
            .collect();
        figures.sort_by(|a, b| a.place.cmp(&b.place));
        let mut end = 0;
        figures.retain(|figure| {
            let is_free = figure.place.range.start >= end && !figure.place.range.is_empty();
            if is_free {
                end = figure.place.range.end;
            }
            is_free
        });
        figures
    }

    /// A lesson's pages in a piece that has a part for it: its chapter of the handbook, its handout, its slides.
    ///
    /// # Errors
    /// The file holds no lesson, the piece has no part for one, or the theme cannot be read.
    pub fn lesson_sheet(
        &self,
        understood: &Understood,
        file: &str,
        piece: Piece,
    ) -> Result<LessonSheet, SessionError> {
        let no = || SessionError::said(format!("There is no lesson in {file} that could be shown so."));
        let (lesson, _) = self.lesson_in(understood, file).ok_or_else(no)?;
        let own = self.edition_of(understood, file);
        let selection = self.worded(Selection::default())?;
        let job = pieces::of_lesson(own, &selection, piece, lesson).ok_or_else(no)?;
        let planned = self.press()?.plan(&job);
        let fingerprint = planned.outputs().iter().map(|output| output.fingerprint.as_str()).collect();
        Ok(LessonSheet { job, fingerprint })
    }

    /// Draws the pages of a lesson.
    ///
    /// # Errors
    /// The theme cannot set it.
    pub fn draw(&self, sheet: &LessonSheet) -> Result<Shown, SessionError> {
        let (pages, findings) = self.press()?.show(&sheet.job)?;
        Ok(Shown { pages, findings })
    }
}

fn fact_of(statement: &Statement) -> Option<String> {
    let linked = statement.backed.map(|backed| backed.fact.clone());
    linked.or_else(|| statement.fact.map(|fact| fact.name.clone()))
}

fn stands(understood: &Understood, statement: &Statement) -> FigureStands {
    match (statement.backed, &statement.judgement) {
        (Some(_), Judgement::Agrees) => FigureStands::Agrees,
        // Its words are the fact's own; where the fact could not be read, it has none.
        (Some(backed), Judgement::Exempt) if understood.own_words(&backed.fact).is_some() => {
            FigureStands::Agrees
        }
        (Some(_), _) => FigureStands::Differs,
        (None, Judgement::Agrees) => FigureStands::Unlinked,
        (None, Judgement::Unbacked) => FigureStands::Loose,
        (None, Judgement::Exempt) => FigureStands::Exempt,
        (None, _) => FigureStands::Differs,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::Environment;
    use std::path::Path;

    const LESSON: &str = "lessons/ropes.md";

    /// The figures of a lesson, in a program in which a lead is at most six feet long.
    fn shown(text: &str) -> Vec<(String, FigureStands, Option<String>)> {
        let folder = tempfile::tempdir().unwrap();
        let sound = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/proof/sound");
        for name in ["program.toml", "facts.toml", "questions.toml", "lessons/camps.md", "pictures/shore.svg"]
        {
            let to = folder.path().join(name);
            std::fs::create_dir_all(to.parent().unwrap()).unwrap();
            std::fs::copy(sound.join(name), to).unwrap();
        }
        std::fs::write(folder.path().join(LESSON), text).unwrap();
        let environment = Environment {
            today: jiff::civil::date(2026, 11, 2),
            folder: folder.path().into(),
            terminal: false,
            keys: None,
        };
        let session = Session::open(Some(Path::new(folder.path())), None, &environment).unwrap();
        let understood = session.understand(session.program());
        let figures = session.figures_in(&understood, LESSON);
        let words = |figure: &FigureShown| session.program().sources.words(&figure.place).to_owned();
        figures.iter().map(|figure| (words(figure), figure.stands, figure.fact.clone())).collect()
    }

    #[test]
    fn each_figure_of_a_lesson_stands_as_its_fact_says() {
        let text = "# Ropes\n\nHold [at most six feet](fact:lead-length) of rope.\n\n\
                    Hold [at most 7 ft](fact:lead-length) here.\n\nIt is […](fact:lead-length) long.\n\n\
                    Walk 4 miles.\n\nThe lead rope is at most 6 ft.\n\nA [3 ft](fact:none) rope.\n";
        let found = shown(text);
        let lead = || Some("lead-length".to_owned());
        let wanted = [
            ("at most six feet", FigureStands::Agrees, lead()),
            ("at most 7 ft", FigureStands::Differs, lead()),
            ("…", FigureStands::Agrees, lead()),
            ("4 miles", FigureStands::Loose, None),
            ("at most 6 ft", FigureStands::Unlinked, lead()),
            ("3 ft", FigureStands::Differs, Some("none".to_owned())),
        ];
        let wanted = wanted.map(|(words, stands, fact)| (words.to_owned(), stands, fact));
        assert_eq!(found, wanted);
    }
}
