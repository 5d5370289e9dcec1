//! Name tags: one set an event, for each person with the companion, to be cut.
//!
//! Private: it holds names.

use super::common::{Head, RosterWord};
use super::{Selection, common};
use crate::job::{Job, Make, Piece, RosterCells, Sheet, Shelf, file_name};
use crate::languages::{fold, folded_words};
use crate::people;
use crate::program::roster::Participant;
use crate::program::settings::Event;
use crate::quantity::{Exact, Half, plain, round_to};
use crate::understand::Understood;
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeSet;
use std::sync::LazyLock;

/// What `name-tags.typ` is given.
#[derive(Serialize, JsonSchema)]
pub(super) struct NameTags<'p> {
    #[serde(flatten)]
    head: Head<'p>,
    event: TaggedEvent<'p>,
    tag: TagSize,
    tags: Vec<Tag<'p>>,
}

/// The event that the tags are for.
#[derive(Serialize, JsonSchema)]
struct TaggedEvent<'p> {
    name: &'p str,
}

/// How large a tag is, in millimeters.
#[derive(Serialize, JsonSchema)]
struct TagSize {
    width: String,
    height: String,
}

/// The tag of one person.
#[derive(Serialize, JsonSchema)]
struct Tag<'p> {
    /// The first word of the name.
    first: RosterWord<'p>,
    /// The other words of the name, or null.
    rest: Option<RosterWord<'p>>,
    /// The animal, boat or child that takes part too; null where there is none.
    companion: Option<RosterWord<'p>>,
}

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    selection.scope.events(understood.content).filter_map(|event| job(understood, selection, event)).collect()
}

fn job(understood: &Understood, selection: &Selection, event: &Event) -> Option<Job> {
    let people = people::registered(understood.root, event);
    let asked = |row: &&Participant| {
        selection.scope.participant.as_ref().is_none_or(|name| people::same_name(name, &row.name))
    };
    let people: Vec<&Participant> = people.into_iter().filter(asked).collect();
    if people.is_empty() {
        return None;
    }
    let size = &understood.content.settings.name_tags;
    let tenth = Exact::new(1.into(), 10.into());
    let length = |length: &Exact| plain(&round_to(length, &tenth, Half::Even));
    let title = common::title(understood, selection, "name-tags", &event.name);
    let tags = NameTags {
        head: common::head(understood, selection, &title),
        event: TaggedEvent { name: &event.name },
        tag: TagSize { width: length(&size.width), height: length(&size.height) },
        tags: people.iter().map(|row| tag(row)).collect(),
    };
    Some(Job {
        piece: Piece::NameTags,
        shelf: Shelf::Private,
        path: format!("name-tags/{}.pdf", file_name::of_id(&event.id)),
        make: Make::Sheet(Sheet {
            cells: people.iter().enumerate().map(|(at, row)| cells(at, row)).collect(),
            ..Sheet::of("name-tags.typ", &tags)
        }),
    })
}

/// Titles that are names too: before one word alone they are surely titles only with a full stop.
const NAMES_TOO: [&str; 13] =
    ["miss", "rev", "fr", "sr", "don", "sir", "capt", "sgt", "lt", "col", "maj", "hon", "dona"];

/// Titles that are names without a full stop: "Ing" and "Mag".
const WITH_STOP: [&str; 3] = ["ing", "mag", "sig"];

/// Titles before a name, which nobody is called by, in every language.
static TITLES: LazyLock<BTreeSet<String>> =
    LazyLock::new(|| folded_words(|language| &language.names.titles).collect());

/// The given name, and the rest. A title with one other word gives no given name: both are what the person is called.
/// Nobody is called by an initial either, which stands for "Monsieur" too: it goes with the word behind it.
fn parts(name: &str) -> (&str, Option<&str>) {
    let Some((first, rest)) = name.split_once(char::is_whitespace) else { return (name, None) };
    let rest = rest.trim_start();
    let has_stop = first.ends_with('.');
    let plain = fold(first.trim_end_matches('.'));
    let is_title = TITLES.contains(&plain) && (has_stop || !WITH_STOP.contains(&plain.as_str()));
    // "Don" and "Col" are names too: before one word alone, only what nobody is called is surely a title.
    let is_surely = is_title && (has_stop || !NAMES_TOO.contains(&plain.as_str()));
    let is_initial = has_stop && plain.chars().count() == 1;
    match rest.split_once(char::is_whitespace) {
        Some(_) if is_title => parts(rest),
        Some((second, behind)) if is_initial => {
            let end = name.len() - rest.len() + second.len();
            (&name[..end], Some(behind.trim_start()))
        }
        None if is_surely || is_initial => (name, None),
        _ => (first, Some(rest)),
    }
}

fn tag(row: &Participant) -> Tag<'_> {
    let (first, rest) = parts(&row.name);
    Tag {
        first: RosterWord::new(first),
        rest: RosterWord::maybe(rest),
        companion: RosterWord::maybe(row.companion.as_deref()),
    }
}

fn cells(at: usize, row: &Participant) -> RosterCells {
    let keys = ["first", "rest", "companion"];
    common::roster_cells(row, keys.iter().map(|key| format!("/tags/{at}/{key}")).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_title_is_not_what_somebody_is_called() {
        assert_eq!(parts("Dr. Ann Lee"), ("Ann", Some("Lee")));
        assert_eq!(parts("Prof. Dr. Ada van Vell"), ("Ada", Some("van Vell")));
        assert_eq!(parts("Don Lee"), ("Don", Some("Lee")));
        assert_eq!(parts("Dr. Lee"), ("Dr. Lee", None));
        assert_eq!(parts("Dr Lee"), ("Dr Lee", None));
        assert_eq!(parts("Prof. Dr. Lee"), ("Dr. Lee", None));
        assert_eq!(parts("Sra. Peñaloza"), ("Sra. Peñaloza", None));
        assert_eq!(parts("Lic. Ana Ruiz"), ("Ana", Some("Ruiz")));
        assert_eq!(parts("Ing. Luis Soto"), ("Luis", Some("Soto")));
        assert_eq!(parts("Ing Bergman Lund"), ("Ing", Some("Bergman Lund")));
        assert_eq!(parts("Mme Anne Leroy"), ("Anne", Some("Leroy")));
        assert_eq!(parts("Mme Leroy"), ("Mme Leroy", None));
        assert_eq!(parts("M. Jean Leroy"), ("M. Jean", Some("Leroy")));
        assert_eq!(parts("M. Leroy"), ("M. Leroy", None));
        assert_eq!(parts("Herr Bodo Lehr"), ("Bodo", Some("Lehr")));
        assert_eq!(parts("Herr Dr. Bodo Lehr"), ("Bodo", Some("Lehr")));
        assert_eq!(parts("Maestra Eva Soto"), ("Eva", Some("Soto")));
        assert_eq!(parts("Maestra Soto"), ("Maestra Soto", None));
        assert_eq!(parts("Mrs. Ann Lee"), ("Ann", Some("Lee")));
        assert_eq!(parts("Mrs. Lee"), ("Mrs. Lee", None));
        assert_eq!(parts("Doña Ana Ruiz"), ("Ana", Some("Ruiz")));
        assert_eq!(parts("J. R. Vell"), ("J. R.", Some("Vell")));
        assert_eq!(parts("Ann Lee"), ("Ann", Some("Lee")));
        assert_eq!(parts("Ann"), ("Ann", None));
    }
}
