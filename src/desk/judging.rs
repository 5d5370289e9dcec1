//! Answers that wait for the ranger's eye: one after another, with one key each for right and wrong.

use super::frame::{self, Frame};
use super::state::Desk;
use super::web::Reply;
use crate::session::{DecisionChange, Judging, SessionError, WaitingAnswer};
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// What was done with answers since the desk was opened.
#[derive(Debug, Default)]
pub(super) struct Judged {
    /// Decisions that can be taken back, the last one last.
    kept: Vec<DecisionChange>,
    /// Those that were put off.
    later: BTreeSet<String>,
    /// Whether single keys do nothing.
    without_keys: bool,
}

/// The next answer that waits.
pub(super) fn next(desk: &mut Desk, page: &Frame) -> Reply {
    let Some(session) = desk.session() else { return frame::told(desk, page, 404, "nowhere") };
    let (held, unread) = (session.people_are_held(), session.decisions_unread().map(str::to_owned));
    let waiting = match session.waiting_answers() {
        Ok(waiting) => waiting,
        Err(error) => return frame::said(desk, page, 500, "not-done", &error.to_string()),
    };
    let judged = &mut desk.judged;
    judged.later.retain(|id| waiting.iter().any(|answer| answer.id == *id));
    let (done, all) = (judged.kept.len() + judged.later.len(), judged.kept.len() + waiting.len());
    let next = waiting.iter().find(|answer| !judged.later.contains(&answer.id));
    let data = json!({
        "held": held,
        "unread": unread,
        "answer": next.map(data),
        "number": done + 1,
        "of": all,
        "later": judged.later.len(),
        "last": judged.kept.last().map(|kept| json!({
            "number": kept.number,
            "answer": kept.answer,
            "right": kept.is_right,
            "count": kept.count(),
        })),
        "decided": judged.kept.len(),
        "keys": !judged.without_keys,
    });
    frame::page(desk, page, "judging.html", "answers", data)
}

fn data(waiting: &WaitingAnswer) -> Value {
    json!({
        "id": waiting.id,
        "state": waiting.state,
        "number": waiting.number,
        "ask": waiting.ask,
        "look_for": waiting.look_for,
        "key": waiting.key,
        "choices": waiting.choices.iter().map(|choice| json!({
            "letter": choice.letter,
            "words": choice.words,
            "right": choice.is_right,
        })).collect::<Vec<_>>(),
        "answer": waiting.answer,
        "doubt": waiting.doubt,
        "people": waiting.people.iter().map(|person| json!({
            "name": person.name,
            "companion": person.companion,
            "event": person.event,
        })).collect::<Vec<_>>(),
        "decided": waiting.decided,
    })
}

fn go_on() -> Reply {
    Reply::go_to("/answers".to_owned())
}

/// Decides the answer that was shown.
pub(super) fn decide(desk: &mut Desk, page: &Frame) -> Reply {
    let is_right = match page.asked.field("is") {
        "right" => true,
        "wrong" => false,
        _ => return frame::told(desk, page, 400, "not-understood"),
    };
    let (id, state) = (page.asked.field("id"), page.asked.field("state"));
    let Some(session) = desk.session_mut() else { return frame::told(desk, page, 404, "nowhere") };
    let judging = session.decide(id, state, is_right);
    match judging {
        Ok(Judging::Kept(change)) => {
            desk.judged.later.remove(id);
            desk.judged.kept.push(change);
            desk.has_changed();
            go_on()
        }
        other => not_kept(desk, page, other),
    }
}

/// Why nothing was written.
fn not_kept(desk: &mut Desk, page: &Frame, judging: Result<Judging, SessionError>) -> Reply {
    let (key, words) = match judging {
        Ok(Judging::Otherwise(decided)) if decided.is_empty() => ("answers-changed", String::new()),
        Ok(Judging::Otherwise(decided)) => ("answers-decided", decided.join(", ")),
        Ok(Judging::Gone | Judging::Kept(_)) => ("answers-gone", String::new()),
        Err(error) => ("not-done", error.to_string()),
    };
    let data = json!({ "key": key, "words_of_it": words, "to": "answers" });
    frame::page(desk, page, "told.html", "answers", data).status(409)
}

/// Puts the answer off, for as long as the desk is open.
pub(super) fn later(desk: &mut Desk, page: &Frame) -> Reply {
    desk.judged.later.insert(page.asked.field("id").to_owned());
    go_on()
}

/// Goes through those that were put off.
pub(super) fn again(desk: &mut Desk) -> Reply {
    desk.judged.later.clear();
    go_on()
}

/// Takes the last decision back.
pub(super) fn undo(desk: &mut Desk, page: &Frame) -> Reply {
    // The one that was shown: a form that is sent twice takes back one.
    let is_last = page.asked.number("decided") == Some(desk.judged.kept.len());
    let Some(change) = desk.judged.kept.last().filter(|_| is_last).cloned() else {
        return frame::told(desk, page, 404, "no-change");
    };
    let Some(session) = desk.session_mut() else { return frame::told(desk, page, 404, "nowhere") };
    let judging = session.take_back_decision(&change);
    match judging {
        Ok(Judging::Kept(_)) => {
            desk.judged.kept.pop();
            desk.has_changed();
            go_on()
        }
        Ok(other @ (Judging::Otherwise(_) | Judging::Gone)) => {
            // It is another's by now, and stays as it is.
            desk.judged.kept.pop();
            not_kept(desk, page, Ok(other))
        }
        Err(error) => not_kept(desk, page, Err(error)),
    }
}

/// Lets single keys decide, or not: speech and a slip of the hand press keys too.
pub(super) fn keys(desk: &mut Desk, page: &Frame) -> Reply {
    desk.judged.without_keys = page.asked.field("keys") == "off";
    go_on()
}
