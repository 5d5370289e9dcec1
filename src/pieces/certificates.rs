//! Certificates: one run an event, one page for each person whose certificate counts by the register.
//!
//! Awards of the service unit are a run too. Beside each certificate lies its signed record, where it has
//! one: an Open Badges credential as JSON.
//!
//! Whom the roster gives a language gets the certificate in that edition's words, in a run of its own beside the
//! others: `certificates/north-camp_es-us.pdf`. The signed record is the program's and the same in every language.
//!
//! Where an event's certificates were given on several days, each day is a run of its own as well, so
//! that what was newly credited can be printed by itself.
//!
//! Private: the data holds names. What a certificate looks like and says beside the names is in
//! [`look`], what its code holds in [`code`].

mod code;
mod look;
mod renewals;
mod specimen;

pub use specimen::typed;

use super::common::Head;
use super::{Selection, common, excerpt, site};
use crate::credential::canonical;
use crate::finding::Place;
use crate::job::{self, Job, Make, Piece, RunEntry, RunOfSheets, Shelf, file_name};
use crate::people::credit::{Credit, awarded, credited, record};
use crate::program::register::{Given, Occasion};
use crate::program::settings::{Event, Settings};
use crate::understand::Understood;
use code::{CodeSize, Codes};
use jiff::civil::Date;
use look::{Kind, Look};
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeSet;

/// What all pages of `certificate.typ` share.
#[derive(Serialize, JsonSchema)]
pub(super) struct CertificateRun<'p> {
    #[serde(flatten)]
    head: Head<'p>,
    /// Null in a run of awards, whose entries have one each.
    event: Option<CertificateEvent<'p>>,
    /// How many lessons the event has, or the program.
    lessons: usize,
    certificate: Look<'p>,
}

/// What a certificate is given for, and the day.
#[derive(PartialEq, Eq, Serialize, JsonSchema)]
struct CertificateEvent<'p> {
    name: &'p str,
    /// Year, month and day: 2026-05-16.
    date: String,
    /// Where it was held; null for a workshop by video and for an award.
    place: Option<&'p str>,
}

/// One certificate.
#[derive(Serialize, JsonSchema)]
pub(super) struct CertificateEntry<'p> {
    name: &'p str,
    /// The animal, boat or child that takes part too; null where there is none.
    companion: Option<&'p str>,
    /// As printed: K7M3-P2QX; empty on a specimen.
    number: String,
    qr: Option<CodeSize>,
    /// Of an award, and of an event that was called otherwise when it was given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "CertificateEvent<'p>")]
    event: Option<CertificateEvent<'p>>,
    /// Who gave it, where that is another than the program's agency by now.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "&'p str")]
    agency: Option<&'p str>,
    /// The season as it was called then, where it is called otherwise by now.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "&'p str")]
    season: Option<&'p str>,
    /// The program as it was called then, where it is called otherwise by now.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "&'p str")]
    program: Option<&'p str>,
    /// What the certificate was called then, where that is otherwise by now; null where the theme had its own words.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<&'p str>")]
    title: Option<Option<&'p str>>,
    /// The last day on which it holds: 2028-05-16.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    until: Option<String>,
    /// Whether it is a specimen, which has no number and counts for nothing.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    specimen: bool,
}

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    if selection.specimen {
        return specimen::plan(understood, selection);
    }
    let program = understood.root;
    let credits = credited(program, &selection.scope);
    let mut all: Vec<Job> = program
        .content
        .settings
        .events
        .iter()
        .flat_map(|event| {
            let of_event: Vec<&Credit> =
                credits.iter().filter(|credit| credit.event.id == event.id).collect();
            jobs(understood, selection, event, &of_event)
        })
        .collect();
    let awarded = awarded(program, &selection.scope);
    if !awarded.is_empty() {
        all.push(awards(understood, selection, &awarded));
    }
    let of_events = credits.iter().map(|credit| (folder_of(Kind::Event(credit.event)), credit.given));
    let of_awards = awarded.iter().map(|given| (folder_of(Kind::Award), *given));
    all.extend(of_events.chain(of_awards).filter_map(|(folder, given)| record_beside(&folder, given)));
    all.extend(renewals::plan(understood, selection));
    all
}

/// The signed record beside the certificate, for whoever wants to keep it or check it later.
fn record_beside(folder: &str, given: &Given) -> Option<Job> {
    let record = given.credential.as_ref()?;
    Some(Job {
        piece: Piece::Certificates,
        shelf: Shelf::Private,
        path: format!("{folder}/{}.json", file_name::of_person(&given.name, &given.number)),
        make: Make::Text(canonical::text(record) + "\n"),
    })
}

/// Where the files of single certificates stand.
fn folder_of(kind: Kind) -> String {
    match kind {
        Kind::Event(event) => format!("certificates/{}", file_name::of_id(&event.id)),
        Kind::Award => AWARDS.trim_end_matches(".pdf").to_owned(),
    }
}

/// The runs of an event: one in the main edition's words, and one in each other's that somebody asked for.
fn jobs<'p>(
    understood: &Understood<'p>,
    selection: &Selection,
    event: &'p Event,
    credits: &[&Credit],
) -> Vec<Job> {
    let of_edition = |edition: Edition| {
        let asked: Vec<&Credit> =
            credits.iter().copied().filter(|credit| credit.language() == edition.language).collect();
        runs(&edition, selection, edition.event(event), &asked)
    };
    Edition::all(understood).flat_map(of_edition).collect()
}

/// An edition as certificates are made in it.
pub(super) struct Edition<'u, 'p> {
    /// `None`: the main one.
    pub language: Option<&'p str>,
    pub words: &'u Understood<'p>,
    /// The main one: the register and what the code says are the program's, whatever the language.
    pub of: &'u Understood<'p>,
}

impl<'u, 'p> Edition<'u, 'p> {
    /// The main one, and the others.
    pub fn all(understood: &'u Understood<'p>) -> impl Iterator<Item = Self> {
        let editions = understood.root.editions.iter().zip(&understood.editions);
        let others = editions.map(|(edition, own)| (Some(edition.language.as_str()), own));
        let all = std::iter::once((None, understood)).chain(others);
        all.map(move |(language, words)| Self { language, words, of: understood })
    }

    /// An event in its words.
    pub fn event(&self, event: &'p Event) -> &'p Event {
        self.words.content.settings.events.iter().find(|other| other.id == event.id).unwrap_or(event)
    }
}

/// The event's run, and where there are several days, one for each of them.
fn runs(edition: &Edition, selection: &Selection, event: &Event, credits: &[&Credit]) -> Vec<Job> {
    if credits.is_empty() {
        return Vec::new();
    }
    let mut jobs = vec![job(edition, selection, event, credits, None)];
    let days: BTreeSet<Date> = credits.iter().map(|credit| credit.given.day).collect();
    for day in days.iter().filter(|_| days.len() > 1) {
        let of_day: Vec<&Credit> = credits.iter().copied().filter(|it| it.given.day == *day).collect();
        jobs.push(job(edition, selection, event, &of_day, Some(*day)));
    }
    jobs
}

/// Below the private shelf.
pub const FOLDER: &str = "certificates/";

/// Where the certificates for awards stand. No event's id has an underscore.
const AWARDS: &str = "certificates/service_awards.pdf";

/// Where the certificates of an event stand that were given on one day, or on every day, in the words of an
/// edition (`None`: the main one); those for awards stand in one file.
pub fn run_path(occasion: &Occasion, language: Option<&str>, day: Option<Date>) -> String {
    match occasion {
        Occasion::Event { id, .. } => event_path(id, language, day),
        Occasion::Award { .. } => AWARDS.to_owned(),
    }
}

fn event_path(event: &str, language: Option<&str>, day: Option<Date>) -> String {
    let event = file_name::of_id(event);
    // No event's id has an underscore.
    let edition = language.map(|tag| format!("_{}", file_name::of_id(tag))).unwrap_or_default();
    match day {
        Some(day) => format!("{FOLDER}{event}/{day}{edition}.pdf"),
        None => format!("{FOLDER}{event}{edition}.pdf"),
    }
}

/// The run of one day holds no files of its own: those stand in the event's run.
fn job(
    edition: &Edition,
    selection: &Selection,
    event: &Event,
    credits: &[&Credit],
    day: Option<Date>,
) -> Job {
    let run = run_of_event(edition, selection, event, credits);
    let path = event_path(&event.id, edition.language, day);
    job_of(of_participant(path, selection), RunOfSheets { alone: day.is_none(), ..run })
}

/// The certificates of some people at an event, in the words of an edition.
pub(super) fn run_of_event(
    edition: &Edition,
    selection: &Selection,
    event: &Event,
    credits: &[&Credit],
) -> RunOfSheets {
    let understood = edition.words.at(&event.id);
    let settings = &understood.content.settings;
    let kind = Kind::Event(event);
    let own = common::title(understood, selection, "certificate", "");
    let title = kind.title(settings).unwrap_or(&own);
    let data = CertificateRun {
        head: common::head(understood, selection, &format!("{title}: {}", event.name)),
        event: Some(event_data(event)),
        lessons: excerpt::syllabus(understood.content, Some(event)).len(),
        certificate: look::look(understood, kind),
    };
    let entries = credits.iter().map(|credit| {
        let row = credit.participant.map(|row| row.place.clone());
        entry(edition, title, kind, credit.given, (row, given_otherwise(credit.given, event)))
    });
    run(settings, kind, &data, entries.collect())
}

/// The certificates for awards, in one run: each says its own award and day.
fn awards(understood: &Understood, selection: &Selection, awarded: &[&Given]) -> Job {
    job_of(of_participant(AWARDS.into(), selection), run_of_awards(understood, selection, awarded))
}

pub(super) fn run_of_awards(
    understood: &Understood,
    selection: &Selection,
    awarded: &[&Given],
) -> RunOfSheets {
    let edition = Edition { language: None, words: understood, of: understood };
    award_run(understood, selection, |title| {
        let entries = awarded.iter().map(|given| {
            let event = given_for(given);
            entry(&edition, title, Kind::Award, given, (None, Some(event)))
        });
        entries.collect()
    })
}

/// A run of certificates for awards; `entries` are made with their title.
fn award_run(
    understood: &Understood,
    selection: &Selection,
    entries: impl FnOnce(&str) -> Vec<RunEntry>,
) -> RunOfSheets {
    let (settings, kind) = (&understood.content.settings, Kind::Award);
    let own = common::title(understood, selection, "certificate", "");
    let title = kind.title(settings).unwrap_or(&own);
    let data = CertificateRun {
        head: common::head(understood, selection, title),
        event: None,
        lessons: excerpt::syllabus(understood.content, None).len(),
        certificate: look::look(understood, kind),
    };
    run(settings, kind, &data, entries(title))
}

fn run(settings: &Settings, kind: Kind, data: &CertificateRun, entries: Vec<RunEntry>) -> RunOfSheets {
    RunOfSheets {
        template: "certificate.typ".into(),
        data: job::data(data),
        entries,
        pictures: settings.pictures().map(|picture| picture.text.clone()).collect(),
        places: look::places(settings, kind),
        alone: true,
    }
}

/// The file that holds all of a run: one person's lies beside the others' and takes the place of none.
fn of_participant(path: String, selection: &Selection) -> String {
    match &selection.scope.participant {
        Some(name) => format!("{}/{path}", super::participant_folder(name)),
        None => path,
    }
}

fn job_of(path: String, run: RunOfSheets) -> Job {
    Job { piece: Piece::Certificates, shelf: Shelf::Private, path, make: Make::Run(run) }
}

/// What a certificate was given for, as the register says it.
fn given_for(given: &Given) -> CertificateEvent<'_> {
    let (name, date) = (given.occasion.name(), given.occasion.date());
    CertificateEvent { name, date: date.to_string(), place: given.venue.as_deref() }
}

/// The same, where the program says otherwise by now: the paper says what was certified. What a line of an older
/// form does not say is as the program has it.
fn given_otherwise<'g>(given: &'g Given, event: &'g Event) -> Option<CertificateEvent<'g>> {
    let now = event_data(event);
    let then = given_for(given);
    let then =
        CertificateEvent { place: if given.agency.is_some() { then.place } else { now.place }, ..then };
    (then != now).then_some(then)
}

/// The place of a workshop by video says how to come in, which is nothing for a certificate.
fn event_data(event: &Event) -> CertificateEvent<'_> {
    CertificateEvent { name: &event.name, date: event.date.to_string(), place: event.printed_venue() }
}

/// What a certificate is called.
pub(super) fn title(understood: &Understood, selection: &Selection, is_award: bool) -> String {
    let settings = &understood.content.settings;
    let own = match is_award {
        true => settings.certificate.award.title.as_deref(),
        false => settings.certificate.title.as_deref(),
    };
    own.map_or_else(|| common::title(understood, selection, "certificate", ""), str::to_owned)
}

/// With the row of the roster that it comes from, and for an award what it is for.
fn entry(
    edition: &Edition,
    title: &str,
    kind: Kind,
    given: &Given,
    (row, event): (Option<Place>, Option<CertificateEvent>),
) -> RunEntry {
    let Given { number, name, companion, .. } = given;
    let understood = edition.of;
    let settings = &understood.content.settings;
    let agency = given.agency().filter(|agency| *agency != settings.agency);
    let season = Some(given.season.as_str()).filter(|season| *season != settings.season);
    let program = record::program_of(given).filter(|program| *program != settings.name);
    // In another edition it is called in that one's words, and an award has a title of its own: no record has either.
    let title_then = record::title_of(given)
        .filter(|_| edition.language.is_none() && matches!(kind, Kind::Event(_)))
        .filter(|title| *title != record::title(settings))
        .map(|title| Some(title).filter(|title| *title != record::TITLE));
    let codes = Codes {
        design: kind.design(settings),
        form: settings.certificate.code,
        page: settings.site.address.as_deref().map(site::check_page_at),
    };
    let code = codes.code(given.credential.as_ref(), code_words(understood, given));
    RunEntry {
        path: format!("{}/{}.pdf", folder_of(kind), file_name::of_person(name, number)),
        title: format!("{title}: {name}"),
        data: job::data(&CertificateEntry {
            name,
            companion: companion.as_deref(),
            number: number.to_string(),
            qr: code.as_ref().map(|code| CodeSize { size: code.size() }),
            event,
            agency,
            season,
            program,
            title: title_then,
            until: given.until.map(|until| until.to_string()),
            specimen: false,
        }),
        code,
        place: Some(row.unwrap_or_else(|| understood.root.people.register.place(number))),
        letter: None,
    }
}

/// What the code says where it holds no record, for a person with a telephone to read.
fn code_words(understood: &Understood, given: &Given) -> String {
    let program = &understood.content.settings;
    let (name, date) = (given.occasion.name(), given.occasion.date());
    let program = record::program_of(given).unwrap_or(&program.name);
    format!("{program} {}\n{name}\n{date}\n{}", given.season, given.number)
}
