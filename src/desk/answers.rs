//! Which page answers which address.

use super::guard::Refused;
use super::printing::Order;
use super::state::Desk;
use super::web::{Asked, Method, Reply};
use super::{changed, choose, facts, found, frame, judging, lessons, person, printing, today, withdrawing};
use serde_json::json;

/// What comes of a request.
pub(super) enum Answer {
    Page(Reply),
    /// Sheets, which take their time.
    ToPrint(Box<Order>),
    /// What an address asked for is to be stopped; then on with an event.
    Stop(String, String),
}

pub(super) fn answer(desk: &mut Desk, token: &str, asked: &Asked) -> Answer {
    let path: Vec<&str> = asked.path.trim_matches('/').split('/').collect();
    if let (Method::Get, ["print", what, event]) = (asked.method, path.as_slice()) {
        desk.look();
        let page = frame::Frame { token, asked };
        return match printing::order(desk, &page, what, event) {
            Ok(order) => Answer::ToPrint(Box::new(order)),
            Err(reply) => Answer::Page(reply),
        };
    }
    if let (Method::Post, ["stop", event]) = (asked.method, path.as_slice()) {
        return Answer::Stop(asked.field("address").to_owned(), (*event).to_owned());
    }
    Answer::Page(answered(desk, &frame::Frame { token, asked }, &path))
}

fn answered(desk: &mut Desk, page: &frame::Frame, path: &[&str]) -> Reply {
    let method = page.asked.method;
    // What a page is made with has nothing to do with the program.
    if let (Method::Get, ["look", name]) = (method, path) {
        return look(desk, name);
    }
    if !desk.has_program() {
        return choose::answered(desk, page, path);
    }
    desk.look();
    if desk.session().is_none() {
        return found::unread(desk, page);
    }
    match (method, path) {
        (Method::Get, [""]) => today::first(desk, page),
        (Method::Get, ["event", event]) => today::event(desk, page, event),
        (Method::Get, ["row", row]) => person::row(desk, page, row),
        (Method::Get, ["changes"]) => changed::list(desk, page),
        (Method::Get, ["lessons"]) => lessons::list(desk, page),
        (Method::Get, ["lesson"]) => lessons::one(desk, page),
        (Method::Get, ["sheet", name]) => lessons::sheet(desk, name),
        (Method::Get, ["facts"]) => facts::list(desk, page),
        (Method::Get, ["fact"]) => facts::one(desk, page),
        (Method::Post, ["fact"]) => facts::try_value(desk, page),
        (Method::Post, ["fact-save"]) => facts::save(desk, page),
        (Method::Post, ["fact-undo"]) => facts::undo(desk, page),
        (Method::Get, ["answers"]) => judging::next(desk, page),
        (Method::Post, ["answers"]) => judging::decide(desk, page),
        (Method::Post, ["answers-later"]) => judging::later(desk, page),
        (Method::Post, ["answers-again"]) => judging::again(desk),
        (Method::Post, ["answers-undo"]) => judging::undo(desk, page),
        (Method::Post, ["answers-keys"]) => judging::keys(desk, page),
        (Method::Get, ["withdraw", row]) => withdrawing::ask(desk, page, row),
        (Method::Post, ["withdraw"]) => withdrawing::withdraw(desk, page),
        (Method::Post, ["finding"]) => found::write(desk, page),
        (Method::Get, ["findings"]) => found::list(desk, page),
        (Method::Get, ["picture", number]) => person::picture(desk, number),
        (Method::Get, ["labels", event]) => printing::labels(desk, page, event),
        (Method::Get, ["give", event]) => printing::ask(desk, page, event),
        (Method::Post, ["find", event]) => today::find(desk, page, event),
        (Method::Post, ["tick"]) => today::tick(desk, page),
        (Method::Post, ["walk-in"]) => today::walk_in(desk, page),
        (Method::Post, ["mend"]) => person::mend(desk, page),
        (Method::Post, ["typed"]) => person::typed(desk, page),
        (Method::Post, ["replace"]) => printing::replace(desk, page),
        (Method::Post, ["undo"]) => changed::undo(desk, page),
        (Method::Post, ["give", event]) => printing::give(desk, page, event),
        _ => frame::told(desk, page, 404, "nowhere"),
    }
}

/// Style, script and type.
fn look(desk: &mut Desk, name: &str) -> Reply {
    let press = desk.press();
    let file = |name: String, kind| {
        let bytes = press.theme_file(&name)?;
        Some(Reply { may_be_kept: true, ..Reply::of(kind, bytes.to_vec()) })
    };
    let found = match name.rsplit_once('.') {
        Some((_, "css")) => {
            press.desk_page(name, &json!({})).ok().map(|bytes| Reply::of("text/css; charset=utf-8", bytes))
        }
        Some((_, "js")) => file(format!("desk/{name}"), "text/javascript; charset=utf-8"),
        Some((_, "svg")) => file(format!("desk/{name}"), "image/svg+xml"),
        Some((_, "ttf")) => file(format!("type/{name}"), "font/ttf"),
        _ => None,
    };
    found.unwrap_or_else(|| Reply::plain(404, "The desk has no such file."))
}

/// The browser is let in, and goes on by itself: what it is led to by another page it would ask for without its cookie.
pub(super) fn let_in(desk: &mut Desk) -> Reply {
    frame::bare(desk, "start.html", json!({}))
}

/// Why a request is refused, in words; nothing of the program stands there.
pub(super) fn refused(desk: &mut Desk, why: Refused) -> Reply {
    frame::bare(desk, "refused.html", json!({ "why": why.key() })).status(why.status())
}
