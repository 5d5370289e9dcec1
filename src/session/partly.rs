//! A program that cannot be read as a whole: its figures are held against its facts as far as both are sound.

use crate::finding::{Finding, Place, rules};
use crate::program::Unread;
use crate::program::unlisted::Why;
use crate::proof;
use crate::understand::Understood;
use jiff::civil::Date;

/// What was found in a program that could not be read as a whole.
pub struct Partly {
    /// The mistakes, and what is wrong with what could be read, in order.
    pub findings: Vec<Finding>,
    pub figures: FiguresChecked,
}

/// How many figures were held against a fact all the same.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FiguresChecked {
    pub checked: usize,
    /// All that have a link to a fact, as far as files were read.
    pub linked: usize,
    /// Lessons that were not read.
    pub unread: Vec<String>,
}

impl Partly {
    pub fn of(unread: &Unread, today: Date) -> Self {
        let mistakes = unread.mistakes.clone();
        let Some(sound) = unread.sound_part() else {
            return Self { findings: mistakes, figures: FiguresChecked::default() };
        };
        let understood = Understood::new(&sound.program);
        let mut wrong =
            proof::of_sound_part(&understood, (sound.has_all_facts, sound.has_all_lessons), today);
        // What stands where a mistake does was told with it; but a link that is unfit says nothing of its figure.
        let overlaps = |one: &Place, other: &Place| {
            one.file == other.file && one.range.start < other.range.end && other.range.start < one.range.end
        };
        let tells_all = |mistake: &&Finding| mistake.rule != &rules::LINK_UNFIT;
        wrong.retain(|finding| {
            !mistakes.iter().filter(tells_all).any(|mistake| overlaps(&mistake.place, &finding.place))
        });
        let backed = || understood.all_passages().flat_map(|passage| &passage.backed);
        let is_checked = |fact: &str| understood.held(fact).is_some() || understood.says(fact).is_some();
        let figures = FiguresChecked {
            checked: backed().filter(|(_, backed)| is_checked(&backed.fact)).count(),
            linked: backed().count(),
            unread: lessons_unread(unread, &sound.program),
        };
        let mut findings = mistakes;
        findings.extend(wrong);
        proof::in_order(&mut findings);
        Self { findings, figures }
    }
}

/// Lessons whose place in the syllabus may be what was lost, and those that are no text.
fn lessons_unread(unread: &Unread, program: &crate::program::Program) -> Vec<String> {
    let has_mistake = |file: &str| unread.mistakes.iter().any(|it| it.stops_press && &*it.place.file == file);
    let lost = program.content.unlisted.iter().filter(|_| has_mistake("program.toml"));
    let lost = lost.filter(|unlisted| matches!(unlisted.why, Why::NoSuchLesson(_)));
    let mut files: Vec<String> = lost.map(|unlisted| unlisted.file.clone()).collect();
    let whole = unread.mistakes.iter().filter(|it| it.stops_press && it.place.range.end == 0);
    // What is told of a lesson as a whole need not have kept it from being read: it may lack its title.
    let contents =
        || std::iter::once(&program.content).chain(program.editions.iter().map(|edition| &edition.content));
    let is_read = |file: &str| {
        let mut lessons = contents().flat_map(|content| &content.lessons);
        lessons.any(|lesson| &*lesson.file == file)
    };
    let lessons =
        whole.map(|it| &it.place.file).filter(|file| file.starts_with("lessons/") && !is_read(file));
    files.extend(lessons.map(ToString::to_string));
    files.sort();
    files.dedup();
    files
}
