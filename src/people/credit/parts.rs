//! Events that may be a part of one that certificates were given for and that still stands: one workshop was made two,
//! on the same day, and people of it stand in the rows of the other by now.
//!
//! Whose own row is gone is held one by one. Whoever stands in both may have come to two workshops on one day, as some
//! do, so that an event is held only where most of its people do and none of it was ever credited. `was` says that it is
//! a part, and then its people have their certificate; `again` that it is another workshop.

use super::occasions::Likeness;
use super::standing::{Chain, Rows, Standing};
use crate::credential::number::Number;
use crate::people::plain_name;
use crate::program::Program;
use crate::program::register::Occasion;
use crate::program::settings::Event;
use std::collections::{BTreeMap, HashMap, HashSet};

/// What looks like a part of an occasion of the register.
#[derive(Default)]
pub(super) struct Parts<'p, 'r> {
    pub likenesses: Vec<Likeness<'p>>,
    /// Certificates whose person stands in its rows by now, and no more in those of the old event.
    pub moved: Vec<&'r Number>,
}

/// A row, and a certificate of another event on the same day that its person has.
struct Shared<'p> {
    row: usize,
    chain: usize,
    event: &'p Event,
}

/// Marks the rows of such events; those that are said to be parts have the certificate of the whole.
pub(super) fn mark<'p, 'r>(
    program: &'p Program,
    rows: &mut Rows<'_, 'r>,
    chains: &mut [Chain<'r>],
) -> Parts<'p, 'r> {
    let events = &program.content.settings.events;
    let mut shared = Vec::new();
    let mut of_name: HashMap<String, Vec<usize>> = HashMap::new();
    for (at, chain) in chains.iter().enumerate().filter(|(_, chain)| !chain.withdrawn) {
        of_name.entry(plain_name(&chain.newest.name)).or_default().push(at);
    }
    let by_id: HashMap<&str, &Event> = events.iter().rev().map(|event| (event.id.as_str(), event)).collect();
    for (at, (row, identity, standing)) in rows.iter_mut().enumerate() {
        let Some(event) = by_id.get(row.event.as_str()).copied() else { continue };
        if *standing != Standing::New || !row.attended || !event.certified {
            continue;
        }
        let of_person = of_name.get(&plain_name(&row.name)).map(Vec::as_slice).unwrap_or_default();
        let is_same = |chain: &&usize| {
            let chain = &chains[**chain];
            let emails = [chain.people.last().map_or("", |person| person.email.as_str()), &identity.email];
            let one_person = emails[0] == emails[1] || emails.contains(&"");
            one_person && chain.event() != event.id && is_on_a_day_of(chain, event, &by_id)
        };
        // The one with the same companion, whose own row is gone, comes first.
        let rank = |chain: &&usize| {
            let chain = &chains[**chain];
            let companion = chain.people.last().map_or("", |person| person.companion.as_str());
            (companion == identity.companion, chain.row.is_none())
        };
        let found = of_person.iter().filter(is_same).max_by_key(rank).copied();
        let Some(chain) = found else { continue };
        if is_said_to_be_of(event, &chains[chain]) {
            *standing = Standing::Credited(&chains[chain].newest.number);
            chains[chain].row = chains[chain].row.or(Some(at));
        } else if !event.again {
            shared.push(Shared { row: at, chain, event });
        }
    }
    hold(rows, chains, &shared)
}

/// Whether the event says that it was the one of a certificate.
fn is_said_to_be_of(event: &Event, chain: &Chain) -> bool {
    let is_of = |id: &str| id == chain.event() || is_label(chain, id);
    event.was.iter().any(|was| is_of(&was.text))
}

fn is_label(chain: &Chain, id: &str) -> bool {
    matches!(&chain.newest.occasion, Occasion::Event { id: given, .. } if given == id)
}

fn is_on_a_day_of(chain: &Chain, event: &Event, by_id: &HashMap<&str, &Event>) -> bool {
    let days = event.days();
    let now = by_id.get(chain.event()).map(|event| event.days()).unwrap_or_default();
    days.contains(&chain.newest.occasion.date()) || now.iter().any(|day| days.contains(day))
}

/// Holds what has to be asked about.
fn hold<'p, 'r>(rows: &mut Rows<'_, 'r>, chains: &[Chain<'r>], shared: &[Shared<'p>]) -> Parts<'p, 'r> {
    let mut parts = Parts::default();
    if shared.is_empty() {
        return parts;
    }
    let credited: HashSet<&str> = chains.iter().map(Chain::event).collect();
    let mut new: BTreeMap<&str, usize> = BTreeMap::new();
    for (row, _, standing) in rows.iter() {
        *new.entry(&row.event).or_default() += usize::from(row.attended && *standing == Standing::New);
    }
    let new: BTreeMap<String, usize> = new.into_iter().map(|(id, count)| (id.to_owned(), count)).collect();
    let mut of_event: BTreeMap<&str, Vec<&Shared>> = BTreeMap::new();
    shared.iter().for_each(|it| of_event.entry(&it.event.id).or_default().push(it));
    for (id, shared) in of_event {
        let most = shared.len() > 1 && shared.len() * 2 >= new.get(id).copied().unwrap_or_default();
        let is_part = most && !credited.contains(id);
        let held = shared.iter().filter(|it| is_part || chains[it.chain].row.is_none());
        let held: Vec<&&Shared> = held.collect();
        let Some(first) = held.first() else { continue };
        for it in &held {
            rows[it.row].2 = Standing::Renamed;
            if chains[it.chain].row.is_none() {
                parts.moved.push(&chains[it.chain].newest.number);
            }
        }
        let whole = &chains[first.chain];
        parts.likenesses.push(Likeness {
            event: first.event,
            season: whole.newest.season.clone(),
            id: whole.event().to_owned(),
            date: whole.newest.occasion.date(),
            shared: held.len(),
            stands: true,
        });
    }
    parts
}
