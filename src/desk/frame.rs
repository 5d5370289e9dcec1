//! What all pages of the desk share: the program, the way from page to page, what was done last, what is in the way.

use super::changed;
use super::state::{Desk, Trouble, View};
use super::web::{Asked, Reply};
use jiff::civil::Date;
use serde_json::{Value, json};
use std::sync::Arc;

/// What a page is asked for with.
pub(super) struct Frame<'f> {
    pub token: &'f str,
    pub asked: &'f Asked,
}

/// A page of the theme with its own data.
pub(super) fn page(desk: &mut Desk, frame: &Frame, template: &str, here: &str, data: Value) -> Reply {
    let trouble = trouble(desk);
    let done = frame.asked.asks("done").parse().ok().and_then(|number| changed::done(desk, number));
    let said = frame.asked.asks("said").to_owned();
    let open_changes = desk.changes().iter().filter(|kept| !kept.is_undone).count();
    let (program, today) = program(desk);
    let all = json!({
        "program": program,
        "today": today,
        "here": here,
        "token": frame.token,
        "version": desk.version_now(),
        "trouble": trouble,
        "done": done,
        "said": said,
        "changes": open_changes,
    });
    rendered(desk, template, &with(all, data))
}

/// A page by itself, which knows of no program.
pub(super) fn bare(desk: &mut Desk, template: &str, data: Value) -> Reply {
    let language = desk.session().map_or("en", |it| &it.program().content.settings.language).to_owned();
    rendered(desk, template, &with(json!({ "program": { "language": language } }), data))
}

/// What all pages have, and a page's own.
fn with(mut all: Value, own: Value) -> Value {
    if let (Some(all), Value::Object(own)) = (all.as_object_mut(), own) {
        all.extend(own);
    }
    all
}

/// What is known of the program.
///
/// # Errors
/// The page that says why nothing can be known.
pub(super) fn view(desk: &mut Desk, frame: &Frame) -> Result<Arc<View>, Reply> {
    desk.view().map_err(|error| said(desk, frame, 500, "not-done", &error.to_string()))
}

/// A page that only says something.
pub(super) fn told(desk: &mut Desk, frame: &Frame, status: u16, key: &str) -> Reply {
    page(desk, frame, "told.html", "", json!({ "key": key, "words_of_it": Value::Null })).status(status)
}

/// The same, with words of its own.
pub(super) fn said(desk: &mut Desk, frame: &Frame, status: u16, key: &str, words: &str) -> Reply {
    page(desk, frame, "told.html", "", json!({ "key": key, "words_of_it": words })).status(status)
}

fn rendered(desk: &mut Desk, template: &str, data: &Value) -> Reply {
    match desk.press().desk_page(template, data) {
        Ok(body) => Reply::page(body),
        Err(error) => Reply::plain(500, &format!("The page could not be set. {error}")),
    }
}

fn program(desk: &Desk) -> (Value, Value) {
    match desk.session() {
        Some(session) => {
            let settings = &session.program().content.settings;
            let program = json!({
                "language": settings.language,
                "name": settings.name,
                "agency": settings.agency,
                "season": settings.season,
            });
            (program, date(session.today()))
        }
        None => (json!({ "language": "en", "name": "", "agency": "", "season": "" }), Value::Null),
    }
}

fn trouble(desk: &Desk) -> Value {
    match desk.trouble() {
        None => Value::Null,
        Some(Trouble::Said(words)) => json!({ "words": words, "count": 0 }),
        Some(Trouble::Unread(unread)) => json!({ "words": "", "count": unread.mistakes.len() }),
    }
}

/// A day, as the theme's words write it.
pub(super) fn date(day: Date) -> Value {
    json!({ "iso": day.to_string(), "year": day.year(), "month": day.month(), "day": day.day() })
}
