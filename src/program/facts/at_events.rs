//! `[at.EVENT.FACT]` in `facts.toml`: what a fact is at one event, where the local rules differ.
//!
//! Such a table holds only the keys that differ. Here it becomes a whole [`Fact`], so that no other
//! room needs to know how two tables are laid over one another.

use super::{Fact, SourceRead, Stated};
use crate::finding::rules;
use crate::program::Written;
use crate::program::form::{Form, Value};
use crate::program::mistakes::offer;

/// The facts that are otherwise at one event.
#[derive(Clone, Debug)]
pub struct AtEvent {
    /// The event's id, and where it stands.
    pub event: Written,
    /// Each whole: the keys of its table, and the common fact's for the rest.
    pub facts: Vec<Fact>,
}

/// Reads `[at]`: tables by event, in them tables by fact.
pub(super) fn read(file: &Form, at: Value, common: &[Fact]) -> Vec<AtEvent> {
    let should_be = "tables by event and fact, each with a heading such as [at.north-camp.lead-length]";
    let Some(mut events) = at.form("list of events", should_be) else { return Vec::new() };
    let read_event = |(event, facts): (Written, Value)| {
        let facts = facts.form("list of facts", should_be).map(|mut facts| facts.take_all());
        let facts = facts.unwrap_or_default().into_iter();
        let facts = facts.filter_map(|(name, table)| {
            let table = table.form("fact", "a table of the keys that differ at the event")?;
            match common.iter().find(|fact| fact.name == name.text) {
                Some(fact) => Some(laid_over(fact, &event.text, name, table)),
                None => {
                    tell_unknown(file, &name, common);
                    None
                }
            }
        });
        let facts = facts.collect();
        AtEvent { event, facts }
    };
    events.take_all().into_iter().map(read_event).collect()
}

fn tell_unknown(file: &Form, name: &Written, common: &[Fact]) {
    let message = format!("There is no fact “{}” to change for an event.", name.text);
    let otherwise = "Name a fact that has its own heading in this file.";
    let mend = offer(&name.text, common.iter().map(|fact| fact.name.as_str()), otherwise);
    file.tell(&rules::NAME_UNKNOWN, name.place.clone(), message, mend);
}

/// The common fact with the keys that are given for an event.
fn laid_over(common: &Fact, event: &str, name: Written, mut table: Form) -> Fact {
    table.place = name.place.clone();
    let stated = Stated::read(&mut table, "No rows are given for the event");
    let called = table.texts("called");
    if let (Some(_), Some(wording), false) = (&stated, &common.wording, table.has("wording")) {
        // Without one, what the common wording says of the limit would be lost in print.
        let message = format!(
            "The fact is worded “{}” elsewhere, and has another value at this event without a wording.",
            wording.text
        );
        let mend = "Add a line wording = \"…\" that says the event's value in the same way.";
        table.tell(&rules::KEY_MISSING, name.place.clone(), message, mend);
    }
    let source = table.text("source");
    let read = SourceRead::take(&mut table);
    let fact = Fact {
        title: common.title.clone(),
        main_wording: None,
        kind: common.kind,
        sources: common.sources.clone(),
        read_by: common.read_by.clone(),
        limit: super::limit(&mut table).or(common.limit),
        called: match called.is_empty() {
            true => common.called.clone(),
            false => called.into_iter().map(|word| word.text).collect(),
        },
        // A wording belongs to its value.
        wording: table.text("wording").or_else(|| common.wording.clone().filter(|_| stated.is_none())),
        // How the common source was read says nothing of another.
        read: read.or_else(|| common.read.clone().filter(|_| source.is_none())),
        source: source.or_else(|| common.source.clone()),
        url: table.text("url").map(|url| url.text).or_else(|| common.url.clone()),
        as_of: table.date("as-of").map(|(date, _)| date).or(common.as_of),
        review_by: table.date("review-by").or_else(|| common.review_by.clone()),
        safety: if table.has("safety") { table.flag("safety") } else { common.safety },
        note: table.text("note").map(|note| note.text).or_else(|| common.note.clone()),
        stated: stated.unwrap_or_else(|| common.stated.clone()),
        at: Some(event.to_owned()),
        name: name.text,
        place: name.place,
    };
    table.finish();
    fact
}
