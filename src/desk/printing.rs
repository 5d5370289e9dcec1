//! Sheets to print, and certificates to be given.
//!
//! What is printed here is made in memory and nothing of it is put away: `packstring make` does that. Certificates are
//! credited by a person's word: who would be is shown first, and only the button writes to the register.

use super::frame::{self, Frame};
use super::running::{Printed, Stands};
use super::state::{Desk, View};
use super::today::{event_of, told};
use super::web::{Asked, Reply};
use crate::job::Piece;
use crate::people::same_name;
use crate::people::scope::Scope;
use crate::pieces::Selection;
use crate::program::roster::Participant;
use crate::session::{Credits, Environment, Paper, Session, SessionError, Sheets, row_key};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::path::PathBuf;
use std::time::Duration;
use url::form_urlencoded;

/// What can be printed of an event, by its address.
fn piece_of(what: &str) -> Option<Piece> {
    Some(match what {
        "sign-in-sheet" => Piece::SignInSheet,
        "name-tags" => Piece::NameTags,
        "labels" => Piece::Labels,
        "certificates" => Piece::Certificates,
        _ => return None,
    })
}

/// What is to be printed: all that is needed to make it while the desk goes on.
pub(super) struct Order {
    what: String,
    event: String,
    folder: PathBuf,
    into: Option<PathBuf>,
    environment: &'static Environment,
    selection: Selection,
    rows: Option<BTreeSet<usize>>,
}

/// The program, opened once more to print from.
pub(super) struct Printer(Session<'static>);

/// A sheet of an event, to be printed.
///
/// # Errors
/// The page that says why there is none.
pub(super) fn order(desk: &mut Desk, page: &Frame, what: &str, event: &str) -> Result<Order, Reply> {
    let Some(piece) = piece_of(what) else { return Err(frame::told(desk, page, 404, "nowhere")) };
    if desk.session().is_none_or(|session| event_of(session, event).is_none()) {
        return Err(frame::told(desk, page, 404, "no-event"));
    }
    let asked = page.asked;
    let rows = match (piece, asked.asks("row").parse(), asked.asks("given")) {
        (Piece::Certificates, Ok(row), _) => Some(BTreeSet::from([row])),
        (Piece::Certificates, Err(_), "today") => desk.view().ok().map(|view| given_today(desk, &view)),
        _ => None,
    };
    let selection = Selection {
        pieces: vec![piece],
        scope: Scope::of_event(event),
        start_label: asked.asks("start").parse().ok().filter(|start| *start > 0),
        ..Selection::default()
    };
    Ok(Order {
        what: what.to_owned(),
        event: event.to_owned(),
        folder: desk.folder().to_owned(),
        into: desk.out_named(),
        environment: desk.environment(),
        selection,
        rows,
    })
}

impl Order {
    /// Makes it, from the program as it is now.
    ///
    /// # Errors
    /// The folder cannot be read, or the theme cannot set it.
    pub fn made(
        &self,
        printer: &mut Option<Printer>,
        go_on: &mut dyn FnMut(usize, usize) -> bool,
    ) -> Printed {
        let is_same = |printer: &Printer| {
            printer.0.today() == self.environment.today && printer.0.program().folder == self.folder
        };
        match printer.as_mut().filter(|printer| is_same(printer)) {
            Some(Printer(session)) => session.refresh()?,
            None => {
                let (folder, into) = (Some(self.folder.as_path()), self.into.as_deref());
                *printer = Some(Printer(Session::open_to_make(folder, into, self.environment)?));
            }
        }
        let Some(Printer(session)) = printer else { return Ok(None) };
        let known = session.know();
        session.print(&known, self.selection.clone(), self.rows.as_ref(), go_on)
    }

    /// The file, where there is one; a page of them, or of why there is none.
    pub fn answer(&self, desk: &mut Desk, token: &str, asked: &Asked, printed: Stands) -> Reply {
        let page = &Frame { token, asked };
        let Sheets { files, findings } = match printed {
            Stands::Ready(Ok(Some(printed))) => printed,
            Stands::Ready(Ok(None)) => return Reply::go_to(format!("/event/{}", self.event)),
            Stands::Going { done, of } => return self.going(desk, page, done, of),
            Stands::Ready(Err(SessionError::Unread(_))) => return frame::told(desk, page, 409, "unread"),
            Stands::Ready(Err(error)) => {
                return frame::said(desk, page, 500, "not-done", &error.to_string());
            }
        };
        let wanted: Option<usize> = asked.asks("file").parse().ok();
        let several = files.len();
        let name = |(path, _): &(String, Vec<u8>)| path.rsplit('/').next().unwrap_or(path).to_owned();
        let names: Vec<String> = files.iter().map(name).collect();
        let (what, event) = (&self.what, &self.event);
        match files.into_iter().nth(wanted.map_or(0, |file| file.saturating_sub(1))) {
            Some((_, bytes)) if several == 1 || wanted.is_some() => Reply::of("application/pdf", bytes),
            Some(_) => {
                let kept = asked.query.iter().filter(|(name, value)| {
                    ["row", "given", "start"].contains(&name.as_str())
                        && value.chars().all(|c| c.is_ascii_alphanumeric())
                });
                let asks: String = kept.map(|(name, value)| format!("{name}={value}&")).collect();
                let data = json!({ "what": what, "event": event, "asks": asks, "files": names });
                frame::page(desk, page, "files.html", "today", data)
            }
            None => {
                let told: Vec<Value> = findings.iter().map(told).collect();
                let data = json!({ "what": what, "event": event, "told": told });
                frame::page(desk, page, "nothing.html", "today", data)
            }
        }
    }

    /// The page that says how far it is, loads itself again, and stops it.
    fn going(&self, desk: &mut Desk, page: &Frame, done: usize, of: usize) -> Reply {
        let data = json!({
            "event": self.event,
            "address": address(page.asked),
            "sheets": { "done": done.min(of), "of": of },
        });
        frame::page(desk, page, "printing.html", "today", data)
    }
}

/// For how many milliseconds a request waits for its sheets: `wait=0` tells at once how far they are.
const WAIT: &str = "wait";

/// How long a request waits, where it says so.
pub(super) fn wait(asked: &Asked) -> Option<Duration> {
    asked.asks(WAIT).parse().ok().map(Duration::from_millis)
}

/// The address of a request, with all that it asks for.
pub(super) fn address(asked: &Asked) -> String {
    let query = asked.query.iter().filter(|(name, _)| name != WAIT);
    let query = form_urlencoded::Serializer::new(String::new()).extend_pairs(query).finish();
    if query.is_empty() { asked.path.clone() } else { format!("{}?{query}", asked.path) }
}

/// The rows whose certificates were given today.
fn given_today(desk: &Desk, view: &View) -> BTreeSet<usize> {
    let Some(session) = desk.session() else { return BTreeSet::new() };
    let today = session.today();
    let is_new = |paper: &Paper| matches!(paper, Paper::Given { day, .. } if *day == today);
    view.papers.rows.iter().filter(|(_, paper)| is_new(paper)).map(|(row, _)| *row).collect()
}

/// Which label is the first that is free.
pub(super) fn labels(desk: &mut Desk, page: &Frame, event: &str) -> Reply {
    let Some(session) = desk.session() else { return frame::told(desk, page, 404, "nowhere") };
    let Some(event) = event_of(session, event) else { return frame::told(desk, page, 404, "no-event") };
    let grid = session.program().content.settings.mail().labels;
    let data = json!({
        "event": { "id": event.id, "name": event.name },
        "across": grid.columns,
        "down": grid.rows,
    });
    frame::page(desk, page, "labels.html", "today", data)
}

/// Whose certificates would be given, before they are: of the event, or of one row.
pub(super) fn ask(desk: &mut Desk, page: &Frame, event: &str) -> Reply {
    let view = match frame::view(desk, page) {
        Ok(view) => view,
        Err(told) => return told,
    };
    let Some(session) = desk.session() else { return frame::told(desk, page, 404, "nowhere") };
    let Some(known) = event_of(session, event) else { return frame::told(desk, page, 404, "no-event") };
    let one: Option<usize> = page.asked.asks("row").parse().ok();
    let of_event = || {
        let people = session.roster().rows.iter();
        people.filter(|row| row.event == event && one.is_none_or(|one| one == row.row))
    };
    let person = |row: &Participant| json!({ "row": row.row, "name": row.name, "companion": row.companion });
    let ready: Vec<Value> = ready(session, &view, event, one).map(person).collect();
    let held: Vec<Value> = of_event()
        .filter_map(|row| match view.papers.rows.get(&row.row) {
            Some(Paper::Held(why)) if row.attended => {
                let mut data = person(row);
                data["told"] = why.iter().map(told).collect();
                Some(data)
            }
            _ => None,
        })
        .collect();
    let given_today = given_today(desk, &view);
    let given_today = of_event().filter(|row| given_today.contains(&row.row)).count();
    let data = json!({
        "event": { "id": known.id, "name": known.name },
        "row": one,
        "ready": ready,
        "held": held,
        "given_today": given_today,
        "told": view.papers.told.iter().map(told).collect::<Vec<_>>(),
    });
    frame::page(desk, page, "give.html", "today", data)
}

/// Gives the certificates that are ready, by a person's word.
pub(super) fn give(desk: &mut Desk, page: &Frame, event: &str) -> Reply {
    let view = match frame::view(desk, page) {
        Ok(view) => view,
        Err(told) => return told,
    };
    let Some(session) = desk.session() else { return frame::told(desk, page, 404, "nowhere") };
    if event_of(session, event).is_none() {
        return frame::told(desk, page, 404, "no-event");
    }
    let asked: BTreeSet<usize> = page
        .asked
        .form
        .iter()
        .filter(|(name, _)| name == "of")
        .filter_map(|(_, row)| row.parse().ok())
        .collect();
    let one = page.asked.number("row");
    let wanted: BTreeSet<usize> = ready(session, &view, event, one).map(|person| person.row).collect();
    // Who was shown is who is given one: a row that came or went meanwhile is shown first.
    if wanted.is_empty() || wanted != asked {
        return frame::said(desk, page, 409, "give-changed", event);
    }
    let scope = match one {
        None => Scope::of_event(event),
        Some(row) => match only_of_name(session, event, row) {
            Some(name) => Scope { event: Some(event.to_owned()), participant: Some(name) },
            None => return frame::told(desk, page, 409, "give-namesakes"),
        },
    };
    let selection = Selection { pieces: vec![Piece::Certificates], scope, ..Selection::default() };
    let Some(session) = desk.session_mut() else { return frame::told(desk, page, 500, "nowhere") };
    let to = match one {
        Some(row) => format!("/row/{row}?said=given"),
        None => format!("/give/{event}?said=given"),
    };
    match session.credit_only(&selection) {
        Ok(Credits::Done(_)) => Reply::go_to(to),
        Ok(Credits::Stopped(findings)) => {
            let why = findings.first().map(|finding| finding.message.clone()).unwrap_or_default();
            frame::said(desk, page, 409, "stopped", &why)
        }
        Err(SessionError::Unread(_)) => frame::told(desk, page, 409, "unread"),
        Err(error) => frame::said(desk, page, 409, "not-done", &error.to_string()),
    }
}

/// Gives a certificate anew with the name that the row has by now; the one that was given before no longer counts.
pub(super) fn replace(desk: &mut Desk, page: &Frame) -> Reply {
    let view = match frame::view(desk, page) {
        Ok(view) => view,
        Err(told) => return told,
    };
    let Some(row) = page.asked.number("row") else { return frame::told(desk, page, 400, "not-understood") };
    // The row still has to be the one that was shown with this certificate, and with these words.
    let number = view.papers.replaces.get(&row).filter(|it| it.to_string() == page.asked.field("number"));
    let is_as_shown = desk.session().is_some_and(|session| {
        let roster = session.roster();
        let there = roster.row(row);
        there.is_some_and(|there| row_key(roster, there) == page.asked.field("key"))
    });
    let (Some(number), true) = (number, is_as_shown) else {
        return frame::told(desk, page, 409, "give-changed");
    };
    let Some(session) = desk.session_mut() else { return frame::told(desk, page, 500, "nowhere") };
    match session.replace_certificate(number) {
        Ok(_) => Reply::go_to(format!("/row/{row}?said=replaced")),
        Err(error) => frame::said(desk, page, 409, "not-done", &error.to_string()),
    }
}

/// Those of an event whose certificates are ready to be given, or that one row of them.
fn ready<'s>(
    session: &'s Session,
    view: &'s View,
    event: &'s str,
    one: Option<usize>,
) -> impl Iterator<Item = &'s Participant> {
    let people = session.roster().rows.iter().filter(move |row| row.event == event);
    let people = people.filter(move |row| one.is_none_or(|one| one == row.row));
    people.filter(|row| matches!(view.papers.rows.get(&row.row), Some(Paper::Ready)))
}

/// The name of a row of an event, where nobody else there has it: certificates are asked for by name.
fn only_of_name(session: &Session, event: &str, row: usize) -> Option<String> {
    let person = session.roster().participant(row).filter(|person| person.event == event)?;
    is_alone(session, person).then(|| person.name.clone())
}

/// Whether nobody else at the event has a person's name.
pub(super) fn is_alone(session: &Session, person: &Participant) -> bool {
    let people = session.roster().rows.iter().filter(|other| other.event == person.event);
    people.filter(|other| same_name(&other.name, &person.name)).count() == 1
}
