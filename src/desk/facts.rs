//! The facts: what each says and by which source, when it is due, where it is quoted; and another value for one, with every
//! sentence that changes before anything is written.

use super::frame::{self, Frame};
use super::lessons;
use super::state::Desk;
use super::today::told;
use super::web::Reply;
use crate::finding::{Finding, Sources};
use crate::program::facts::{Fact, Stated};
use crate::program::lesson::Backed;
use crate::quantity::{self, Limit};
use crate::restate::{Change, Left};
use crate::session::{self, Session, SessionError};
use crate::statements::called::sentence;
use crate::understand::{Passage, Understood};
use jiff::civil::Date;
use percent_encoding::{NON_ALPHANUMERIC, utf8_percent_encode};
use serde_json::{Value, json};
use std::ops::Range;

/// So many days before its day a fact is due: time to ask the source. Common practice, no source.
const DUE: i32 = 30;

/// All facts, what is overdue first.
pub(super) fn list(desk: &mut Desk, page: &Frame) -> Reply {
    let Some(session) = desk.session() else { return frame::told(desk, page, 404, "nowhere") };
    let understood = session.understand(session.program());
    let facts = &session.program().content.facts;
    let mut all: Vec<&Fact> = facts.iter().filter(|fact| fact.at.is_none()).collect();
    all.sort_by_key(|fact| fact.review_by.as_ref().map_or(Date::MAX, |(day, _)| *day));
    let facts: Vec<Value> = all.into_iter().map(|fact| data(session, &understood, fact)).collect();
    frame::page(desk, page, "facts.html", "facts", json!({ "facts": facts }))
}

/// What is known of a fact.
pub(super) fn data(session: &Session, understood: &Understood, fact: &Fact) -> Value {
    let today = session.today();
    let quoted = understood.all_passages().flat_map(|passage| &passage.backed);
    let review = fact.review_by.as_ref().map(|(day, _)| *day);
    let state = review.map(|day| match (day - today).get_days() {
        ..0 => "overdue",
        0..=DUE => "due",
        _ => "ready",
    });
    json!({
        "name": fact.name,
        "href": format!("/fact?name={}", utf8_percent_encode(&fact.name, NON_ALPHANUMERIC)),
        "value": value_of(understood, fact),
        "limit": fact.limit.map(limit),
        "source": fact.source.as_ref().map(|source| source.text.as_str()),
        "as_of": fact.as_of.map(frame::date),
        "review_by": review.map(frame::date),
        "state": state,
        "safety": fact.safety,
        "quoted": quoted.filter(|(_, backed)| backed.fact == fact.name).count(),
    })
}

fn limit(limit: Limit) -> &'static str {
    match limit {
        Limit::AtMost => "at-most",
        Limit::AtLeast => "at-least",
        Limit::About => "about",
        Limit::Exactly => "exactly",
    }
}

/// What a fact says, in its own words; of a computed one what it comes to.
fn value_of(understood: &Understood, fact: &Fact) -> Option<String> {
    match (&fact.stated, understood.held(&fact.name)) {
        (Stated::Value(value), _) => Some(value.text.clone()),
        (Stated::WorkedFrom(_), Some(held)) => quantity::say(held, None).ok(),
        (Stated::WorkedFrom(_), None) | (Stated::Series(_), _) => None,
    }
}

/// One fact, with each sentence that quotes it.
pub(super) fn one(desk: &mut Desk, page: &Frame) -> Reply {
    let name = page.asked.asks("name").to_owned();
    shown(desk, page, &name, &Value::Null)
}

fn shown(desk: &mut Desk, page: &Frame, name: &str, trial: &Value) -> Reply {
    let Some(session) = desk.session() else { return frame::told(desk, page, 404, "nowhere") };
    let program = session.program();
    let Some(fact) = program.content.facts.iter().find(|it| it.name == name && it.at.is_none()) else {
        return frame::told(desk, page, 404, "no-fact");
    };
    let understood = session.understand(program);
    let data = json!({
        "fact": data(session, &understood, fact),
        "value": session.value_of_fact(name).map(|value| value.text.as_str()),
        "quotes": quotes(session, &understood, name),
        "trial": trial,
    });
    frame::page(desk, page, "fact.html", "facts", data)
}

/// Each sentence that quotes a fact; of a lesson with the page on which it stands.
pub(super) fn quotes(session: &Session, understood: &Understood, name: &str) -> Vec<Value> {
    let sources = &session.program().sources;
    let passages = understood.all_passages();
    let quoted = passages
        .flat_map(|passage| passage.backed.iter().map(move |(range, backed)| (passage, range, backed)));
    let one = |(passage, range, backed): (&Passage, &Range<usize>, &&Backed)| {
        let place = &backed.words_place;
        let lesson = session.lesson_in(understood, &place.file).map(|(lesson, _)| &*lesson.file);
        json!({
            "at": at(sources, place),
            "href": lesson.map(|file| format!("{}&at={}#chosen", lessons::address(file), place.range.start)),
            "words": passage.text[range.clone()],
            "sentence": passage.text[sentence(&passage.text, range)].trim(),
        })
    };
    quoted.filter(|(_, _, backed)| backed.fact == name).map(one).collect()
}

/// `lessons/water.md:12`
fn at(sources: &Sources, place: &crate::finding::Place) -> String {
    format!("{}:{}", place.file, sources.line_column(place).line)
}

/// Another value, tried: every sentence that would change with it. Nothing is written.
pub(super) fn try_value(desk: &mut Desk, page: &Frame) -> Reply {
    let (name, now) = (page.asked.field("name").to_owned(), page.asked.field("value").trim().to_owned());
    let Some(session) = desk.session() else { return frame::told(desk, page, 404, "nowhere") };
    let sources = &session.program().sources;
    let trial = match session.restated(&name, &now) {
        Ok(restated) => json!({
            "value": now,
            "changes": restated.changes.iter().map(|it| change(sources, it)).collect::<Vec<_>>(),
            "left": restated.left.iter().map(|it| left(sources, it)).collect::<Vec<_>>(),
            "told": restated.asked.iter().map(told).collect::<Vec<_>>(),
            "wrong": restated.wrong.iter().map(told).collect::<Vec<_>>(),
        }),
        Err(SessionError::Unread(unread)) => {
            let wrong: Vec<&Finding> = unread.mistakes.iter().filter(|it| it.stops_press).collect();
            json!({
                "value": now,
                "changes": [],
                "left": [],
                "told": [],
                "wrong": wrong.into_iter().map(told).collect::<Vec<_>>(),
            })
        }
        Err(error) => return frame::said(desk, page, 409, "not-done", &error.to_string()),
    };
    shown(desk, page, &name, &trial)
}

fn change(sources: &Sources, change: &Change) -> Value {
    json!({
        "at": at(sources, &change.place),
        "was": change.was,
        "now": change.now,
        "sentence": change.sentence,
        "reread": change.reread,
    })
}

fn left(sources: &Sources, left: &Left) -> Value {
    json!({ "at": at(sources, &left.place), "words": left.words, "sentence": left.sentence, "why": left.why })
}

/// Writes the value and every sentence that changes with it.
pub(super) fn save(desk: &mut Desk, page: &Frame) -> Reply {
    let asked = page.asked;
    let (name, now) = (asked.field("name").to_owned(), asked.field("value").trim().to_owned());
    let Some(session) = desk.session_mut() else { return frame::told(desk, page, 404, "nowhere") };
    if session.value_of_fact(&name).is_none_or(|value| value.text != asked.field("was")) {
        return frame::told(desk, page, 409, "fact-changed");
    }
    let written = match session.restated(&name, &now) {
        // Who was shown so many changes agreed to these.
        Ok(restated) if restated.changes.len().to_string() != asked.field("count") => {
            return frame::told(desk, page, 409, "fact-changed");
        }
        Ok(restated) => session.restate(&restated),
        Err(error) => Err(error),
    };
    match written {
        Ok(()) => {
            let name = utf8_percent_encode(&name, NON_ALPHANUMERIC);
            Reply::go_to(format!("/fact?name={name}&said=restated"))
        }
        Err(SessionError::Unread(_)) => frame::told(desk, page, 409, "unread"),
        Err(error) => frame::said(desk, page, 409, "not-done", &error.to_string()),
    }
}

/// Takes the last restating back.
pub(super) fn undo(desk: &mut Desk, page: &Frame) -> Reply {
    match session::undo(desk.folder()) {
        Ok(Some(undone)) if undone.left.is_empty() => {
            let back = if page.asked.field("back") == "findings" { "/findings" } else { "/facts" };
            Reply::go_to(format!("{back}?said=fact-undone"))
        }
        Ok(Some(undone)) => frame::said(desk, page, 409, "fact-left", &undone.left.join(", ")),
        Ok(None) => frame::told(desk, page, 404, "no-change"),
        Err(error) => frame::said(desk, page, 409, "not-done", &error.to_string()),
    }
}
