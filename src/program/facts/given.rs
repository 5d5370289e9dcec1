//! What `program.toml` says of contacts and events, as facts that a text can link to: `fact:contact.basin-dispatch.phone`,
//! `fact:event.north-camp.date`.
//!
//! A point parts such a name, and none stands in the name of a fact of `facts.toml`: so neither can be taken for the
//! other. They are not listed among the facts, for they have no source but the program itself.

use super::{Fact, Stated};
use crate::finding::Place;
use crate::languages::{self, ParticularWords};
use crate::particulars::{self, Clock, Day, Kind, Says};
use crate::program::settings::{Contact, Event};
use crate::program::{Settings, Written};
use std::collections::BTreeMap;

/// What a name begins with that can be of no fact of `facts.toml`.
const BEGINS: [&str; 2] = ["contact.", "event."];

/// How they are named, for whoever has named none that is there.
pub const FORM: &str = "contact.NAME.phone or .email, or event.ID.date, .start, .end or .place";

/// Whether a name could only be of what `program.toml` says.
pub fn is_named_so(name: &str) -> bool {
    BEGINS.iter().any(|begins| name.starts_with(begins))
}

/// The facts of a program's settings; days and times are written in the `language` in which values of facts are.
pub(in crate::program) fn of_settings(settings: &Settings, language: &str) -> Vec<Fact> {
    let words = &languages::of_or_english(language).particulars;
    let mut ids: BTreeMap<&str, usize> = BTreeMap::new();
    settings.contacts.iter().for_each(|contact| *ids.entry(&contact.id.text).or_default() += 1);
    // Of two by one name nobody can tell which is meant.
    let is_alone = |contact: &&Contact| !contact.id.text.is_empty() && ids.get(&*contact.id.text) == Some(&1);
    let mut facts = Vec::new();
    for contact in settings.contacts.iter().filter(is_alone) {
        let mut add = |key: &str, kind, value: &Option<String>| {
            // Of several numbers in one text none is the fact's.
            if let Some(value) =
                value.as_ref().filter(|value| particulars::read_one(kind, value, words).is_ok())
            {
                let name = format!("contact.{}.{key}", contact.id.text);
                facts.push(Fact { safety: contact.emergency, ..fact(name, &contact.id.place, kind, value) });
            }
        };
        add("phone", Kind::Phone, &contact.phone);
        add("email", Kind::Address, &contact.email);
    }
    for event in &settings.events {
        facts.extend(of_event(event, words));
    }
    facts
}

fn of_event(event: &Event, words: &ParticularWords) -> Vec<Fact> {
    let (start, name) = (Clock::of(event.start), |key: &str| format!("event.{}.{key}", event.id));
    let end = start.later(event.minutes);
    let says = [
        ("date", Kind::Date, Says::Days(vec![Day::of(event.date)]), event.date.to_string()),
        ("start", Kind::Time, Says::Times(vec![start]), start.in_digits()),
        ("end", Kind::Time, Says::Times(vec![end]), end.in_digits()),
    ];
    let said = says.into_iter().filter_map(|(key, kind, says, in_digits)| {
        // In a language whose days nobody has written down, in the digits of ISO 8601.
        let mut written = particulars::say(&says, words).into_iter().chain([in_digits]);
        let reads_back =
            |value: &String| particulars::read_one(kind, value, words).is_ok_and(|read| read.says == says);
        let value = written.find(reads_back)?;
        Some(fact(name(key), &event.place, kind, &value))
    });
    said.chain([fact(name("place"), &event.place, Kind::Text, &event.venue)]).collect()
}

fn fact(name: String, place: &Place, kind: Kind, value: &str) -> Fact {
    let stated = Stated::Value(Written { text: value.to_owned(), place: place.clone() });
    Fact { kind: Some(kind), ..Fact::stating(name, place.clone(), stated) }
}
