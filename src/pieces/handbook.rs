//! The handbook: every lesson, all cautions in one place, a glossary, where the figures come from, an index.
//!
//! The presenter's own cues stay out. Each lesson is a part of its own, so that a changed word lays
//! out one lesson again and not all.

mod index;

use super::excerpt;
use super::terms::key;
use super::tree::{Trees, join_number_and_unit};
use super::{Selection, common};
use crate::imposition::Reading;
use crate::job::{Imposed, Job, Make, Onto, Piece, Sheet, Shelf};
use crate::program::facts::Stated;
use crate::program::lesson::{Cue, Lesson};
use crate::program::{Fact, walk};
use crate::understand::{Understood, plain_text};
use serde_json::{Value, json};
use std::collections::BTreeMap;

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
    let mut parts: Vec<(String, Value)> = lessons
        .iter()
        .enumerate()
        .map(|(at, lesson)| (format!("lesson-{}", at + 1), trees.lesson(lesson)))
        .collect();
    // Before the words of the index are marked: that is told of the lessons' pages only.
    let cautions = gather_cautions(&mut parts);
    let index = index::make(understood, &lessons, &mut parts);

    let title =
        format!("{}: {}", settings.name, common::title(understood, selection, "handbook", &settings.season));
    let mut data = common::head(understood, selection, &title);
    data.insert("lessons".into(), parts.iter().map(|(part, lesson)| outline(part, lesson)).collect());
    data.insert("cautions".into(), cautions.into());
    data.insert("glossary".into(), glossary(understood, &trees).into());
    data.insert("sources".into(), sources(understood, &lessons).into());
    data.insert("index".into(), index.into());

    let pictures = excerpt::pictures(&lessons);
    let sheet = Sheet {
        template: "handbook.typ".into(),
        data: data.into(),
        parts,
        pictures: pictures.files,
        places: [pictures.places, excerpt::places(&lessons)].concat(),
        ..Sheet::default()
    };
    let booklet = booklet(understood, selection, sheet.clone());
    [("handbook.pdf", Make::Sheet(sheet)), ("handbook-booklet.pdf", Make::Imposed(booklet))]
        .into_iter()
        .map(|(path, make)| Job { piece: Piece::Handbook, shelf: Shelf::Open, path: path.into(), make })
        .collect()
}

/// The same handbook on pages of half a sheet, to be folded and stapled.
fn booklet(understood: &Understood, selection: &Selection, mut pages: Sheet) -> Imposed {
    let settings = &understood.content.settings;
    let sheet = selection.paper.unwrap_or(settings.paper);
    pages.data["paper"] = common::half_paper_name(sheet).into();
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

/// What the rest of the handbook must know of a lesson: its names, to link to them, and its title, for the foot.
fn outline(part: &str, lesson: &Value) -> Value {
    let sections: Vec<Value> =
        lesson["sections"].as_array().into_iter().flatten().map(|section| section["id"].clone()).collect();
    json!({
        "part": part,
        "id": lesson["id"],
        "title": lesson["title_text"],
        "number": lesson["number"],
        "sections": sections,
    })
}

/// The terms of the glossary by the alphabet.
fn glossary(understood: &Understood, trees: &Trees) -> Vec<Value> {
    let mut terms: Vec<_> = understood.content.settings.glossary.iter().collect();
    terms.sort_by_key(|term| key(&term.term));
    let told = terms.into_iter().map(|term| {
        let lesson = term.lesson.as_ref().and_then(|lesson| understood.lesson(&lesson.text));
        json!({
            "term": term.term,
            // The name of its pages in the index.
            "mark": key(&term.term),
            "meaning": trees.inlines(&term.meaning.inlines),
            "lesson": lesson.map(|lesson| &lesson.id),
            "lesson_title": lesson.map(|lesson| plain_text(&lesson.title)),
        })
    });
    told.collect()
}

/// All signal boxes, the worst first and else as they stand. Each gets a name under which its page
/// can be told, in the lesson and in the list.
pub(super) fn gather_cautions(parts: &mut [(String, Value)]) -> Vec<Value> {
    let mut found: Vec<(usize, Value)> = Vec::new();
    for (_, lesson) in parts {
        let (title, language) = (lesson["title_text"].clone(), lesson["language"].clone());
        let mut meet = |cue: &mut Value| {
            let Some(rank) = ["danger", "warning", "caution"].iter().position(|word| cue["cue"] == *word)
            else {
                return;
            };
            cue["anchor"] = format!("signal {}", found.len() + 1).into();
            let mut listed = cue.clone();
            listed["lesson_title"] = title.clone();
            listed["language"] = language.clone();
            found.push((rank, listed));
        };
        each_cue(&mut lesson["opening"], &mut meet);
        for section in lesson["sections"].as_array_mut().into_iter().flatten() {
            each_cue(&mut section["blocks"], &mut meet);
        }
    }
    found.sort_by_key(|(rank, _)| *rank);
    found.into_iter().map(|(_, cue)| cue).collect()
}

fn each_cue(blocks: &mut Value, meet: &mut dyn FnMut(&mut Value)) {
    for block in blocks.as_array_mut().into_iter().flatten() {
        if block["kind"] == "cue" {
            meet(block);
        }
        if let Some(inner) = block.get_mut("blocks") {
            each_cue(inner, meet);
        }
        for item in block.get_mut("items").and_then(Value::as_array_mut).into_iter().flatten() {
            each_cue(&mut item["blocks"], meet);
        }
    }
}

/// The facts that are quoted, and those from which they are worked, in the order of the facts file.
fn sources(understood: &Understood, lessons: &[Lesson]) -> Vec<Value> {
    let mut quoted: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    let settings = &understood.content.settings;
    let meanings = settings.glossary.iter().map(|term| &term.meaning);
    let prose = settings.summary.iter().chain(meanings).flat_map(walk::prose);
    for met in prose.chain(lessons.iter().flat_map(walk::lesson)) {
        let (fact, words) = match (met.backed(), met.series()) {
            (Some(backed), _) => (&backed.fact, understood.words_of(backed)),
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

fn source_entry(understood: &Understood, fact: &Fact, words: &[String]) -> Value {
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
    json!({
        "fact": fact.name,
        "name": fact.readable(),
        "words": words,
        "source": fact.source.as_ref().map(|source| &source.text),
        "url": fact.url,
        "as_of": fact.as_of.map(|date| date.to_string()),
        "worked_from": if computed { bases } else { Vec::new() },
    })
}
