//! The handbook: every lesson, all cautions in one place, a glossary, where the figures come from, an index.
//!
//! The presenter's own cues stay out. Each lesson is a part of its own, so that a changed word lays
//! out one lesson again and not all.

mod index;
mod signals;
mod things;

pub(super) use signals::{Signal, gather_signals};

use super::common::{Head, PaperName, SourceRead};
use super::excerpt;
use super::terms::key;
use super::tree::{self, Trees, join_number_and_unit};
use super::{Selection, common};
use crate::imposition::{Paper, Reading};
use crate::job::{self, Fit, Imposed, Job, Make, Onto, Piece, Sheet, Shelf, fit_key};
use crate::program::facts::Stated;
use crate::program::lesson::{Cue, Lesson};
use crate::program::settings::Settings;
use crate::program::{Fact, walk};
use crate::understand::{Understood, plain_text};
use index::IndexEntry;
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;

/// What `handbook.typ` is given; each lesson is a part of its own.
#[derive(Serialize, JsonSchema)]
pub(super) struct Handbook<'p> {
    #[serde(flatten)]
    head: Head<'p>,
    lessons: Vec<HandbookOutline>,
    /// The id of the lesson of which alone the chapter is to be looked at; null for the whole book.
    only: Option<&'p str>,
    /// All signal boxes, the gravest first and else as they stand.
    cautions: Vec<Signal>,
    /// By the alphabet.
    glossary: Vec<GlossaryTerm<'p>>,
    /// The facts that are quoted, and those from which they are worked, in the order of the facts file.
    sources: Vec<SourceEntry<'p>>,
    /// By the alphabet.
    index: Vec<IndexEntry>,
}

/// What the rest of the handbook must know of a lesson: its names, to link to them, and its title, for the foot.
#[derive(Serialize, JsonSchema)]
struct HandbookOutline {
    /// The name of its part: `/data/PART.json`.
    part: String,
    id: String,
    /// In plain words.
    title: String,
    /// Its number in the syllabus, from 1; null where it is not in it.
    number: Option<usize>,
    /// The ids of its sections.
    sections: Vec<String>,
    /// Stands for all that decides how it is fitted: `/data/fits/FIT.json` has what was found before.
    fit: String,
}

/// A term of the glossary.
#[derive(Serialize, JsonSchema)]
struct GlossaryTerm<'p> {
    term: &'p str,
    /// The name of its pages in the index.
    mark: String,
    meaning: Vec<tree::Inline>,
    /// The id of the lesson that tells more; null where the program names none.
    lesson: Option<&'p str>,
    /// In plain words.
    lesson_title: Option<String>,
}

/// Where a figure comes from.
#[derive(Serialize, JsonSchema)]
struct SourceEntry<'p> {
    /// The name of the fact in `facts.toml`.
    fact: &'p str,
    /// The same as words: lead length.
    name: String,
    /// How it is printed, each wording once.
    words: Vec<String>,
    source: Option<&'p str>,
    /// Where the source can be read; null where that is not said.
    url: Option<&'p str>,
    /// How the source was read; null where that is not said.
    read: Option<SourceRead>,
    /// The day on which the source was looked at; null where that is not said.
    as_of: Option<String>,
    /// The facts that it is worked from, as words.
    worked_from: Vec<String>,
}

/// Cues that are for the presenter alone.
pub const PRESENTERS_CUES: [Cue; 2] = [Cue::Say, Cue::Bring];

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let settings = &understood.content.settings;
    let lessons: Vec<Lesson> = understood
        .content
        .lessons
        .iter()
        .map(|lesson| excerpt::lesson(lesson, |blocks| excerpt::without(blocks, &PRESENTERS_CUES)))
        .collect();

    let trees = Trees::new(understood);
    let mut told: Vec<tree::Lesson> = lessons.iter().map(|lesson| trees.lesson(lesson)).collect();
    // Before the words of the index are marked: that is told of the lessons' pages only.
    let cautions = gather_signals(&mut told);
    let index = index::make(understood, &lessons, &mut told);

    let title =
        format!("{}: {}", settings.name, common::title(understood, selection, "handbook", &settings.season));
    let named = || told.iter().enumerate().map(|(at, lesson)| (format!("lesson-{}", at + 1), lesson));
    let mut outlines: Vec<HandbookOutline> = named().map(|(part, lesson)| outline(part, lesson)).collect();
    // Where a link leads to decides what is said beside it.
    let here = fit_key(&outlines);
    let mut fits = Vec::new();
    for (outline, (told, lesson)) in outlines.iter_mut().zip(told.iter().zip(&lessons)) {
        outline.fit = fit_key(&(told, &here));
        fits.push(Fit { key: outline.fit.clone(), pictures: excerpt::pictures([lesson]).files });
    }
    let mut data = Handbook {
        head: common::head(understood, selection, &title),
        lessons: outlines,
        only: selection.lesson.as_deref(),
        cautions,
        glossary: glossary(understood, &trees),
        sources: sources(understood, &lessons),
        index,
    };

    let pictures = excerpt::pictures(&lessons);
    let sheet = Sheet {
        parts: named().map(|(part, lesson)| (part, job::data(lesson))).collect(),
        pictures: pictures.files,
        places: [pictures.places, excerpt::places(&lessons)].concat(),
        fits,
        ..Sheet::of("handbook.typ", &data)
    };
    // The same on pages of half a sheet, to be folded and stapled.
    let paper = selection.paper.unwrap_or(settings.paper);
    data.head.paper = PaperName::half_of(paper);
    let booklet = booklet(settings, paper, Sheet { data: job::data(&data), ..sheet.clone() });
    [("handbook.pdf", Make::Sheet(sheet)), ("handbook-booklet.pdf", Make::Imposed(booklet))]
        .into_iter()
        .map(|(path, make)| Job { piece: Piece::Handbook, shelf: Shelf::Open, path: path.into(), make })
        .collect()
}

fn booklet(settings: &Settings, sheet: Paper, pages: Sheet) -> Imposed {
    let print = &settings.print;
    Imposed {
        pages,
        onto: Onto::Booklet {
            sheet,
            reading: Reading::of(&settings.language),
            thickness: print.paper_thickness.clone(),
            staples: print.staple_marks,
        },
    }
}

fn outline(part: String, lesson: &tree::Lesson) -> HandbookOutline {
    HandbookOutline {
        part,
        id: lesson.id.clone(),
        title: lesson.title_text.clone(),
        number: lesson.number,
        sections: lesson.sections.iter().map(|section| section.id.clone()).collect(),
        fit: String::new(),
    }
}

fn glossary<'p>(understood: &Understood<'p>, trees: &Trees) -> Vec<GlossaryTerm<'p>> {
    let mut terms: Vec<_> = understood.content.settings.glossary.iter().collect();
    terms.sort_by_key(|term| key(&term.term));
    let told = terms.into_iter().map(|term| {
        let lesson = term.lesson.as_ref().and_then(|lesson| understood.lesson(&lesson.text));
        GlossaryTerm {
            term: &term.term,
            mark: key(&term.term),
            meaning: trees.inlines(&term.meaning.inlines),
            lesson: lesson.map(|lesson| lesson.id.as_str()),
            lesson_title: lesson.map(|lesson| plain_text(&lesson.title)),
        }
    });
    told.collect()
}

fn sources<'p>(understood: &Understood<'p>, lessons: &[Lesson]) -> Vec<SourceEntry<'p>> {
    let mut quoted: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    let settings = &understood.content.settings;
    let meanings = settings.glossary.iter().map(|term| &term.meaning);
    let prose = settings.summary.iter().chain(meanings).flat_map(walk::prose);
    for met in prose.chain(lessons.iter().flat_map(walk::lesson)) {
        let (fact, words) = match (met.backed(), met.series()) {
            (Some(backed), _) => (&backed.fact, understood.printed_words_of(backed)),
            (None, Some(view)) => (&view.fact, view.title.clone()),
            (None, None) => continue,
        };
        let Some(fact) = understood.fact(fact) else { continue };
        let printed = quoted.entry(&fact.name).or_default();
        if !printed.contains(&words) {
            printed.push(words);
        }
    }

    let mut waiting: Vec<&str> = quoted.keys().copied().collect();
    while let Some(name) = waiting.pop() {
        for base in worked_from(understood, name) {
            if let Some(fact) = understood.fact(base)
                && !quoted.contains_key(fact.name.as_str())
            {
                quoted.insert(&fact.name, Vec::new());
                waiting.push(&fact.name);
            }
        }
    }
    let facts = understood.content.facts.iter();
    facts
        .filter_map(|fact| quoted.get(fact.name.as_str()).map(|words| source_entry(understood, fact, words)))
        .collect()
}

fn worked_from<'u>(understood: &'u Understood, fact: &str) -> &'u [String] {
    understood.worth.get(fact).map_or(&[], |worth| &worth.worked_from)
}

fn source_entry<'p>(understood: &Understood, fact: &'p Fact, words: &[String]) -> SourceEntry<'p> {
    // A fact that only others are worked from is told by its own words.
    let own = || understood.own_words(&fact.name).into_iter().collect();
    let words: Vec<String> = if words.is_empty() { own() } else { words.to_vec() };
    let words: Vec<String> =
        words.iter().map(|words| join_number_and_unit(understood.language(), words)).collect();
    let bases: Vec<String> = worked_from(understood, &fact.name)
        .iter()
        .filter_map(|name| understood.fact(name).map(Fact::readable))
        .collect();
    let computed = matches!(fact.stated, Stated::WorkedFrom(_));
    SourceEntry {
        fact: &fact.name,
        name: fact.readable(),
        words,
        source: fact.source.as_ref().map(|source| source.text.as_str()),
        url: fact.url.as_deref(),
        read: SourceRead::of(fact),
        as_of: fact.as_of.map(|date| date.to_string()),
        worked_from: if computed { bases } else { Vec::new() },
    }
}
