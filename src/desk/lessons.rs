//! Lessons: one as it will print beside its source, with each figure marked by how it stands with the facts.
//!
//! What is saved in any editor shows here by itself. While a file cannot be read, or a template fails, the page says
//! where and why, and the pages that were drawn last stay beside it.

use super::facts;
use super::frame::{self, Frame};
use super::lines::{self, Mark};
use super::state::{Desk, Laid, Trouble};
use super::today::told;
use super::web::Reply;
use crate::finding::{Finding, Level, Sources};
use crate::job::Piece;
use crate::program::lesson::Lesson;
use crate::session::{FigureShown, FigureStands, Session, SessionError, Shown};
use crate::understand::{Understood, plain_text};
use percent_encoding::{NON_ALPHANUMERIC, utf8_percent_encode};
use serde_json::{Value, json};
use std::sync::Arc;

/// How a lesson can be looked at, by the name that stands in addresses.
const VIEWS: [(&str, Piece); 3] =
    [("handbook", Piece::Handbook), ("handout", Piece::Handout), ("slides", Piece::Deck)];

/// Where a lesson's page is.
pub(super) fn address(file: &str) -> String {
    format!("/lesson?file={}", utf8_percent_encode(file, NON_ALPHANUMERIC))
}

/// All lessons, by edition, each with what is to be mended in it.
pub(super) fn list(desk: &mut Desk, page: &Frame) -> Reply {
    let view = match frame::view(desk, page) {
        Ok(view) => view,
        Err(told) => return told,
    };
    let Some(session) = desk.session() else { return frame::told(desk, page, 404, "nowhere") };
    let program = session.program();
    let count = |file: &str, level| {
        view.findings.iter().filter(|it| &*it.place.file == file && it.level == level).count()
    };
    let of = |lessons: &[Arc<Lesson>]| -> Vec<Value> {
        let one = |lesson: &Arc<Lesson>| {
            let file = &*lesson.file;
            json!({
                "href": address(file),
                "title": plain_text(&lesson.title),
                "file": file,
                "errors": count(file, Level::Error),
                "warnings": count(file, Level::Warning),
                "notes": count(file, Level::Note),
            })
        };
        lessons.iter().map(one).collect()
    };
    let main = json!({ "language": null, "lessons": of(&program.content.lessons) });
    // Of another edition the lessons that it has in its own words.
    let others = program.editions.iter().map(|edition| {
        let own: Vec<Arc<Lesson>> =
            edition.content.lessons.iter().filter(|lesson| edition.owns(&lesson.file)).cloned().collect();
        json!({ "language": edition.language, "lessons": of(&own) })
    });
    let editions: Vec<Value> = std::iter::once(main).chain(others).collect();
    frame::page(desk, page, "lessons.html", "lessons", json!({ "editions": editions }))
}

/// One lesson beside its pages.
pub(super) fn one(desk: &mut Desk, page: &Frame) -> Reply {
    let file = page.asked.asks("file").to_owned();
    let chosen = VIEWS.iter().find(|(name, _)| *name == page.asked.asks("as")).unwrap_or(&VIEWS[0]);
    let (name, piece) = *chosen;
    // Where other lessons have taken their place since, they are drawn again.
    let are_kept = |laid: &&Laid| laid.pages.iter().all(|page| desk.drawn(page).is_some());
    let last = desk.laid(&file, name).filter(are_kept).map(|laid| laid.from.clone());
    let (view, drawn) = desk
        .view_beside(|session, understood| Some(drawn(session, understood, (&file, piece), last.as_deref())));
    let view = match view {
        Ok(view) => view,
        Err(error) => return frame::said(desk, page, 500, "not-done", &error.to_string()),
    };
    let Some(session) = desk.session() else { return frame::told(desk, page, 404, "nowhere") };
    let understood = session.understand(session.program());
    let Some((lesson, language)) = session.lesson_in(&understood, &file) else {
        return frame::told(desk, page, 404, "no-lesson");
    };
    let at: Option<usize> = page.asked.asks("at").parse().ok();
    let (lines, figure) = source(desk, session, &understood, &view.findings, (&file, at));
    let views = VIEWS.iter().map(|(other, _)| {
        json!({ "name": other, "here": *other == name, "href": format!("{}&as={other}", address(&file)) })
    });
    let mut data = json!({
        "title": plain_text(&lesson.title),
        "language": language,
        "file": file,
        "href": format!("{}&as={name}", address(&file)),
        "views": views.collect::<Vec<_>>(),
        "wide": name == "slides",
        "lines": lines,
        "figure": figure,
    });
    let failed = match drawn {
        Some(Ok(Some((from, shown)))) => {
            desk.keep_laid(&file, name, from, shown);
            None
        }
        Some(Ok(None)) | None => None,
        Some(Err(error)) => Some(error.to_string()),
    };
    // Where the pages cannot be set, those that were drawn last.
    let laid = desk.laid(&file, name).cloned().unwrap_or_default();
    data["failed"] = json!(failed);
    data["pages"] = json!(laid.pages);
    data["told"] = laid.findings.iter().map(told).collect();
    frame::page(desk, page, "lesson.html", "lessons", data)
}

/// The pages as they would print, unless they are as those that were drawn last.
fn drawn(
    session: &Session,
    understood: &Understood,
    (file, piece): (&str, Piece),
    last: Option<&str>,
) -> Result<Option<(String, Shown)>, SessionError> {
    let sheet = session.lesson_sheet(understood, file, piece)?;
    if last == Some(&sheet.fingerprint) {
        return Ok(None);
    }
    let shown = session.draw(&sheet)?;
    Ok(Some((sheet.fingerprint, shown)))
}

/// The lines of the file as it is now, and the figure that was chosen.
fn source(
    desk: &Desk,
    session: &Session,
    understood: &Understood,
    findings: &[Finding],
    (file, at): (&str, Option<usize>),
) -> (Vec<Value>, Value) {
    let sources = &session.program().sources;
    let mut found = by_line(findings, file, sources);
    if let Some(Trouble::Unread(unread)) = desk.trouble() {
        let mistakes = by_line(&unread.mistakes, file, &unread.sources);
        match unread.sources.text(file) {
            // Where its figures stand is known again once it can be read.
            Some(text) if Some(text) != sources.text(file) => {
                return (lines::of(text, &[], &mistakes), Value::Null);
            }
            Some(_) | None => found.extend(mistakes),
        }
    }
    let figures = session.figures_in(understood, file);
    let text = sources.text(file).map(|text| &**text).unwrap_or_default();
    let marks: Vec<Mark> = figures.iter().map(|figure| mark(figure, at)).collect();
    let chosen = figures.iter().find(|figure| Some(figure.place.range.start) == at);
    let chosen = chosen.map(|figure| chosen_figure(session, understood, findings, figure));
    (lines::of(text, &marks, &found), chosen.unwrap_or_default())
}

fn mark(figure: &FigureShown, chosen: Option<usize>) -> Mark {
    let range = figure.place.range.clone();
    Mark {
        data: json!({
            "stands": stands(figure.stands),
            "fact": figure.fact,
            "at": range.start,
            "here": Some(range.start) == chosen,
        }),
        range,
    }
}

/// The word for how a figure stands, as the theme knows it.
fn stands(stands: FigureStands) -> &'static str {
    match stands {
        FigureStands::Agrees => "agrees",
        FigureStands::Differs => "differs",
        FigureStands::Unlinked => "unlinked",
        FigureStands::Loose => "loose",
        FigureStands::Exempt => "exempt",
    }
}

/// What is told of a file, each by its line.
fn by_line(findings: &[Finding], file: &str, sources: &Sources) -> Vec<(usize, Value)> {
    let of_file = findings.iter().filter(|finding| &*finding.place.file == file);
    of_file.map(|finding| (sources.line_column(&finding.place).line, told(finding))).collect()
}

/// The figure that was chosen: its fact, what is told of it, and everywhere else that its fact is quoted.
fn chosen_figure(
    session: &Session,
    understood: &Understood,
    findings: &[Finding],
    figure: &FigureShown,
) -> Value {
    let sources = &session.program().sources;
    let place = &figure.place;
    let is_here = |finding: &&Finding| {
        let there = &finding.place;
        there.file == place.file
            && there.range.start < place.range.end
            && place.range.start < there.range.end.max(there.range.start + 1)
    };
    let fact = figure.fact.as_ref();
    let fact =
        fact.and_then(|name| understood.content.facts.iter().find(|it| it.name == *name && it.at.is_none()));
    json!({
        "words": sources.words(place),
        "line": sources.line_column(place).line,
        "stands": stands(figure.stands),
        "told": findings.iter().filter(is_here).map(told).collect::<Vec<_>>(),
        "name": figure.fact,
        "fact": fact.map(|fact| facts::data(session, understood, fact)),
        "quotes": fact.map(|fact| facts::quotes(session, understood, &fact.name)),
    })
}

/// A page that was drawn, by its number among all that the desk keeps.
pub(super) fn sheet(desk: &Desk, name: &str) -> Reply {
    match desk.drawn(name) {
        // Another page has another name.
        Some(drawing) => {
            Reply { may_be_kept: true, ..Reply::of("image/svg+xml", drawing.as_bytes().to_vec()) }
        }
        None => Reply::plain(404, "There is no such page."),
    }
}
