//! Where no program was named and none is near: a page that chooses one, or lays out a new one.

use super::frame::{self, Frame};
use super::state::Desk;
use super::web::{Method, Reply};
use crate::session::{self, program_folder, programs_nearby, usual_places};
use serde_json::json;
use std::path::{Path, PathBuf};

/// What is answered while the desk has no program.
pub(super) fn answered(desk: &mut Desk, page: &Frame, path: &[&str]) -> Reply {
    match (page.asked.method, path) {
        (Method::Post, ["choose"]) => choose(desk, page),
        (Method::Post, ["begin"]) => begin(desk, page),
        _ => shown(desk, page, ""),
    }
}

/// The page: programs that were found, and where a new one would go. `told` says why what was asked could not be done.
fn shown(desk: &mut Desk, page: &Frame, told: &str) -> Reply {
    let places = places(desk);
    let found: Vec<String> = programs_nearby(&places).iter().map(|it| it.display().to_string()).collect();
    let asked = |name: &str| Some(page.asked.field(name).to_owned()).filter(|words| !words.is_empty());
    // The starter beside the program opens the desk in a folder that is not the user's.
    let own = usual_places().into_iter().next().unwrap_or_else(|| desk.folder().to_owned());
    let new = own.join("our-program").display().to_string();
    let data = json!({
        "token": page.token,
        "found": found,
        "told": told,
        "folder": asked("folder"),
        "new": asked("new").unwrap_or(new),
        "languages": session::languages_to_begin_in().collect::<Vec<_>>(),
        "language": asked("language"),
    });
    let status = if told.is_empty() { 200 } else { 409 };
    frame::bare(desk, "choose.html", data).status(status)
}

/// Where programs are looked for, the likeliest first.
fn places(desk: &Desk) -> Vec<PathBuf> {
    let mut places = vec![desk.folder().to_owned()];
    places.extend(usual_places().into_iter().filter(|place| place != desk.folder()));
    places
}

/// A path as somebody types or pastes it.
fn typed(desk: &Desk, words: &str) -> PathBuf {
    let words = words.trim();
    let within = words.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')).unwrap_or(words);
    desk.environment().folder.join(Path::new(within))
}

fn choose(desk: &mut Desk, page: &Frame) -> Reply {
    let folder = typed(desk, page.asked.field("folder"));
    match program_folder(Some(&folder), desk.environment()) {
        Ok(Some(folder)) => {
            desk.choose(folder);
            Reply::go_to("/".to_owned())
        }
        Ok(None) => shown(desk, page, ""),
        Err(error) => shown(desk, page, &error.to_string()),
    }
}

fn begin(desk: &mut Desk, page: &Frame) -> Reply {
    let folder = typed(desk, page.asked.field("new"));
    match session::begin(&folder, page.asked.field("language"), desk.environment()) {
        Ok(_) => {
            desk.choose(folder);
            Reply::go_to("/".to_owned())
        }
        Err(error) => shown(desk, page, &error.to_string()),
    }
}
