//! Specimens: certificates as they will look, to be shown before anybody is credited. A specimen says so across its
//! middle, has no number and no code, and stands in no register.
//!
//! One sheet an event for each person that is asked for by name, or else for the longest name on the event's roster:
//! what fits that fits all. So too one an award, with the longest name in the hours. They lie on the private shelf, for
//! they may hold a name.

use super::{CertificateEntry, CertificateEvent, CertificateRun, Kind};
use super::{award_run, common, event_data, excerpt, folder_of, job_of, look, run};
use crate::finding::Place;
use crate::job::{self, Job, Make, Piece, RunEntry, RunOfSheets, Sheet, Shelf, file_name};
use crate::people::tally::{Member, tally};
use crate::people::{find, registered, same_name};
use crate::pieces::Selection;
use crate::program::roster::Participant;
use crate::program::settings::{Award, Event};
use crate::understand::Understood;
use jiff::civil::Date;
use serde_json::Value;

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let events: Vec<&Event> =
        selection.scope.events(understood.content).filter(|event| event.certified).collect();
    let of_events = events.into_iter().filter_map(|event| of_event(understood, selection, event));
    of_events.chain(of_awards(understood, selection)).collect()
}

/// All awards of the program in one file, unless an event is asked for.
fn of_awards(understood: &Understood, selection: &Selection) -> Option<Job> {
    let settings = &understood.content.settings;
    if settings.awards.is_empty() || selection.scope.event.is_some() {
        return None;
    }
    let members = tally(understood.root).members;
    let asked = selection.scope.participant.as_ref();
    let is_asked = |member: &&Member| asked.is_none_or(|name| same_name(name, member.name));
    let longest = members.iter().filter(is_asked).max_by_key(|member| member.name.chars().count());
    if longest.is_none() && asked.is_some() {
        return None;
    }
    let one = |title: &str, (at, award): (usize, &Award)| {
        let (from, until) = settings.season_days();
        let reached =
            longest.and_then(|it| it.reached.iter().find(|reached| reached.award.name == award.name));
        // Where nobody has reached it, a day of the season shows how one is set.
        let of_season = if until < Date::MAX { until } else { from.max(Date::constant(2026, 12, 31)) };
        let date = reached.map_or(of_season, |reached| reached.on);
        let event = CertificateEvent { name: &award.name, date: date.to_string(), place: None };
        let place = longest.map_or(&award.place, |it| &it.entries[0].place).clone();
        let name = longest.map_or(award.name.as_str(), |it| it.name);
        entry(Kind::Award, title, at, (name, None), (Some(event), place))
    };
    let run = award_run(understood, selection, |title| {
        settings.awards.iter().enumerate().map(|award| one(title, award)).collect()
    });
    let run = job::RunOfSheets { alone: false, ..run };
    Some(job_of("specimens/service_awards.pdf".into(), run))
}

/// A sheet: its number from 0, the name and the companion, what it is for where that is its own, and the row.
fn entry(
    kind: Kind,
    title: &str,
    at: usize,
    (name, companion): (&str, Option<&str>),
    (event, place): (Option<CertificateEvent>, Place),
) -> RunEntry {
    RunEntry {
        path: format!("{}/specimen-{}.pdf", folder_of(kind), at + 1),
        title: format!("{title}: {name}"),
        data: job::data(&CertificateEntry {
            name,
            companion,
            number: String::new(),
            qr: None,
            event,
            agency: None,
            season: None,
            program: None,
            title: None,
            until: None,
            specimen: true,
        }),
        code: None,
        place: Some(place),
        letter: None,
    }
}

/// A specimen of an event's certificate with a name that is being typed, by itself: to be looked at.
pub fn typed(
    understood: &Understood,
    selection: &Selection,
    event: &Event,
    (name, companion): (&str, Option<&str>),
) -> Job {
    let run = run_for(understood, selection, event, vec![(name, companion, None)]);
    let entries: Vec<Value> = run.entries.into_iter().map(|entry| entry.data).collect();
    let sheet = Sheet {
        parts: vec![("entries".to_owned(), Value::Array(entries))],
        pictures: run.pictures,
        places: run.places,
        template: run.template,
        data: run.data,
        ..Sheet::default()
    };
    Job {
        piece: Piece::Certificates,
        shelf: Shelf::Private,
        path: format!("specimens/{}.pdf", file_name::of_id(&event.id)),
        make: Make::Sheet(sheet),
    }
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
    let run = run_for(understood, selection, event, names);
    Some(job_of(format!("specimens/{}.pdf", file_name::of_id(&event.id)), run))
}

/// The sheets of an event with these names and companions, each with the row that it comes from.
fn run_for(
    understood: &Understood,
    selection: &Selection,
    event: &Event,
    names: Vec<(&str, Option<&str>, Option<Place>)>,
) -> RunOfSheets {
    let kind = Kind::Event(event);
    let settings = &understood.content.settings;
    let own = common::title(understood, selection, "certificate", "");
    let title = kind.title(settings).unwrap_or(&own);
    let data = CertificateRun {
        head: common::head(understood, selection, title),
        event: Some(event_data(event)),
        lessons: excerpt::syllabus(understood.content, Some(event)).len(),
        certificate: look::look(understood, kind),
    };
    let entries = names.into_iter().enumerate().map(|(at, (name, companion, place))| {
        let place = place.unwrap_or_else(|| event.place.clone());
        entry(kind, title, at, (name, companion), (None, place))
    });
    RunOfSheets { alone: false, ..run(settings, kind, &data, entries.collect()) }
}
