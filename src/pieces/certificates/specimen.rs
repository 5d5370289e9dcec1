//! Specimens: certificates as they will look, to be shown before anybody is credited. A specimen says so across its
//! middle, has no number and no code, and stands in no register.
//!
//! One sheet an event for each person that is asked for by name, or else for the longest name on the event's roster:
//! what fits that fits all. They lie on the private shelf, for they may hold a name.

use super::{CertificateEntry, CertificateRun, Kind, common, event_data, folder_of, look, run};
use crate::job::{self, Job, Make, Piece, RunEntry, Shelf, file_name};
use crate::people::{find, registered};
use crate::pieces::Selection;
use crate::program::roster::Participant;
use crate::program::settings::Event;
use crate::understand::Understood;

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let events: Vec<&Event> =
        selection.scope.events(understood.content).filter(|event| event.certified).collect();
    events.into_iter().filter_map(|event| of_event(understood, selection, event)).collect()
}

fn of_event(understood: &Understood, selection: &Selection, event: &Event) -> Option<Job> {
    let program = understood.root;
    let rows: Vec<&Participant> = match &selection.scope.participant {
        Some(name) => find(program, name).into_iter().filter(|row| row.event == event.id).collect(),
        None => {
            let longest = |row: &&Participant| (row.companion.is_some(), row.name.chars().count());
            registered(program, event).into_iter().max_by_key(longest).into_iter().collect()
        }
    };
    let unnamed = rows.is_empty() && selection.scope.participant.is_none();
    let names = rows.iter().map(|row| (row.name.as_str(), row.companion.as_deref(), Some(row.place.clone())));
    let names: Vec<_> = match unnamed {
        true => vec![(event.name.as_str(), None, None)],
        false => names.collect(),
    };
    if names.is_empty() {
        return None;
    }
    let kind = Kind::Event(event);
    let settings = &understood.content.settings;
    let own = common::title(understood, selection, "certificate", "");
    let title = kind.title(settings).unwrap_or(&own);
    let data = CertificateRun {
        head: common::head(understood, selection, title),
        event: Some(event_data(event)),
        certificate: look::look(understood, kind),
    };
    let entries = names.into_iter().enumerate().map(|(at, (name, companion, place))| RunEntry {
        path: format!("{}/specimen-{}.pdf", folder_of(kind), at + 1),
        title: format!("{title}: {name}"),
        data: job::data(&CertificateEntry {
            name,
            companion,
            number: String::new(),
            qr: None,
            event: None,
            agency: None,
            season: None,
            program: None,
            title: None,
            until: None,
            specimen: true,
        }),
        code: None,
        place: Some(place.unwrap_or_else(|| event.place.clone())),
        letter: None,
    });
    let run = job::RunOfSheets { alone: false, ..run(settings, kind, &data, entries.collect()) };
    let path = format!("specimens/{}.pdf", file_name::of_id(&event.id));
    Some(Job { piece: Piece::Certificates, shelf: Shelf::Private, path, make: Make::Run(run) })
}
