//! Letters by e-mail: a draft for each who was given a certificate and gave an address, with the certificate and its
//! signed record attached, in the person's language; and a table of them for a mail merge. Nothing is sent.
//!
//! The certificate in a letter is made as the one by itself is, from the same data.
//! Which letters cannot be printed holds both. An address that cannot be one holds its letter; `email-unfit` tells it.
//! A program without `[letters]` gets these only when they are asked for by name.
//!
//! Private: they hold names and addresses.

use super::certificates::{self, Edition};
use super::table_words::TableWords;
use super::{Selection, participant_folder};
use crate::addresses::email;
use crate::credential::canonical;
use crate::job::{Cell, Job, Letter, Mailbox, Make, Piece, RunOfSheets, Shelf, Table, file_name};
use crate::people::credit::{Credit, awarded, credited};
use crate::program::register::Given;
use crate::understand::Understood;
use crate::words::filled_in;
use jiff::civil::Date;
use serde_json::Value;

/// Below the private shelf.
pub const FOLDER: &str = "letters/";
/// No event's id has an underscore.
const AWARDS: &str = "service_awards";

/// The columns of the table.
const COLUMNS: [&str; 6] = ["name", "email", "file", "language", "event", "number"];

pub fn plan(understood: &Understood, selection: &Selection) -> Vec<Job> {
    let settings = &understood.content.settings;
    let is_wanted = settings.letters.is_some() || selection.pieces.contains(&Piece::Letters);
    let Some(from) = settings.sender().filter(|_| is_wanted && !selection.specimen) else {
        return Vec::new();
    };
    let credits = credited(understood.root, &selection.scope);
    let mut jobs = Vec::new();
    for event in &understood.root.content.settings.events {
        let mut post = Post::of(&event.id, understood, selection);
        for edition in Edition::all(understood) {
            let of_edition = |credit: &&Credit| {
                credit.event.id == event.id
                    && credit.language() == edition.language
                    && address(credit).is_some()
            };
            let asked: Vec<&Credit> = credits.iter().filter(of_edition).collect();
            let run = certificates::run_of_event(&edition, selection, edition.event(event), &asked);
            let to: Vec<_> =
                asked.iter().filter_map(|credit| Some((credit.given, address(credit)?))).collect();
            let writer = Writer::of(edition.words.at(&event.id), selection, from, false);
            post.add(run, &to, &writer, edition.language);
        }
        jobs.extend(post.jobs());
    }
    let awarded = awarded(understood.root, &selection.scope);
    let to: Vec<(&Given, &str)> =
        awarded.into_iter().filter_map(|given| Some((given, fit(given.email.as_deref())?))).collect();
    let asked: Vec<&Given> = to.iter().map(|(given, _)| *given).collect();
    let mut post = Post::of(AWARDS, understood, selection);
    let run = certificates::run_of_awards(understood, selection, &asked);
    post.add(run, &to, &Writer::of(understood, selection, from, true), None);
    jobs.extend(post.jobs());
    jobs
}

/// Where a person is written to: as the roster says by now, or as the register has it where the row is gone.
fn address<'p>(credit: &Credit<'p>) -> Option<&'p str> {
    match credit.participant {
        Some(row) => fit(row.email.as_deref()),
        None => fit(credit.given.email.as_deref()),
    }
}

fn fit(address: Option<&str>) -> Option<&str> {
    address.filter(|address| email::unfit(address).is_none())
}

/// The letters of an event, or those for awards.
struct Post<'s> {
    /// The folder of the letters, below the private shelf.
    folder: String,
    selection: &'s Selection,
    runs: Vec<Job>,
    table: Table,
}

impl<'s> Post<'s> {
    fn of(id: &str, understood: &Understood, selection: &'s Selection) -> Self {
        let name = if id == AWARDS { AWARDS.to_owned() } else { file_name::of_id(id) };
        let table = TableWords::of(understood, selection).of_mail("letters", &COLUMNS);
        Self { folder: format!("{FOLDER}{name}"), selection, runs: Vec::new(), table }
    }

    /// Makes letters of a run of certificates; `to` says to whom each of its entries goes.
    fn add(&mut self, mut run: RunOfSheets, to: &[(&Given, &str)], writer: &Writer, edition: Option<&str>) {
        if to.is_empty() {
            return;
        }
        for (entry, (given, address)) in run.entries.iter_mut().zip(to) {
            let letter = writer.letter(given, address);
            let file = file_name::of_person(&given.name, &given.number) + ".eml";
            entry.path = format!("{}/{file}", self.folder);
            let (below, number) = (self.folder.trim_start_matches(FOLDER), given.number.to_string());
            let beside = format!("{below}/{file}");
            let cells: [&str; 6] =
                [&given.name, address, &beside, &letter.language, given.occasion.name(), &number];
            self.table.rows.push(cells.map(|cell| Cell::Text(cell.to_owned())).into());
            entry.letter = Some(letter);
        }
        // It names the work; there is no file that holds all letters.
        let edition = edition.map(|tag| format!("_{}", file_name::of_id(tag))).unwrap_or_default();
        self.runs.push(job(
            format!("{}{edition}.eml", self.folder),
            Make::Run(RunOfSheets { alone: true, ..run }),
        ));
    }

    /// The letters, and the table of them.
    fn jobs(mut self) -> Vec<Job> {
        if self.runs.is_empty() {
            return Vec::new();
        }
        let path = format!("{}.csv", self.folder);
        let path = match &self.selection.scope.participant {
            Some(name) => format!("{}/{path}", participant_folder(name)),
            None => path,
        };
        self.runs.push(job(path, Make::Tables(vec![self.table])));
        self.runs
    }
}

fn job(path: String, make: Make) -> Job {
    Job { piece: Piece::Letters, shelf: Shelf::Private, path, make }
}

/// Who writes letters, in the words of one edition.
struct Writer<'u, 'p> {
    understood: &'u Understood<'p>,
    from: Mailbox,
    title: String,
    subject: String,
    text: String,
    /// What it says of a signed record.
    record: String,
    calendar: Value,
}

impl<'u, 'p> Writer<'u, 'p> {
    fn of(understood: &'u Understood<'p>, selection: &Selection, from: &str, is_award: bool) -> Self {
        let settings = &understood.content.settings;
        let words = selection.words.of(&settings.language);
        let themes = |key: &str| words["letters"][key].as_str().unwrap_or_default().to_owned();
        let own = settings.letters.as_ref();
        let key = if is_award { "award" } else { "text" };
        let text = own.and_then(|own| if is_award { own.award.clone() } else { own.text.clone() });
        Self {
            understood,
            from: Mailbox { name: settings.agency.clone(), address: from.to_owned() },
            title: certificates::title(understood, selection, is_award),
            subject: own.and_then(|own| own.subject.clone()).unwrap_or_else(|| themes("subject")),
            text: text.unwrap_or_else(|| themes(key)),
            record: themes("record"),
            calendar: words["calendar"].clone(),
        }
    }

    fn letter(&self, given: &Given, address: &str) -> Letter {
        let settings = &self.understood.content.settings;
        let file = file_name::of_person(&given.name, &given.number);
        let record = given.credential.as_ref().map(|record| canonical::text(record) + "\n");
        let (number, date) = (given.number.to_string(), date_words(&self.calendar, given.occasion.date()));
        // An edition may call an event otherwise than the register does.
        let own_name = settings.events.iter().find(|event| event.id == given.occasion.key());
        let event = own_name.map_or(given.occasion.name(), |event| event.name.as_str());
        let filled = |pattern: &str| {
            filled_in(pattern, |word| {
                Some(match word {
                    "name" => given.name.as_str(),
                    "event" => event,
                    "date" => date.as_str(),
                    "title" => self.title.as_str(),
                    "number" => number.as_str(),
                    "record" if record.is_some() => self.record.as_str(),
                    "record" => "",
                    "agency" => given.agency().unwrap_or(&settings.agency),
                    "program" => settings.name.as_str(),
                    "season" => given.season.as_str(),
                    _ => return None,
                })
            })
        };
        Letter {
            from: self.from.clone(),
            to: Mailbox { name: given.name.clone(), address: address.to_owned() },
            day: given.day,
            language: settings.language.clone(),
            subject: filled(&self.subject),
            text: paragraphs(&filled(&self.text)),
            page: format!("{file}.pdf"),
            record: record.map(|record| (format!("{file}.json"), record)),
        }
    }
}

/// A day as a language writes it.
fn date_words(calendar: &Value, date: Date) -> String {
    let pattern = calendar["date"].as_str().unwrap_or("{year}-{month}-{day}");
    let month = calendar["months"][usize::from(date.month().unsigned_abs()) - 1].as_str();
    let (year, number, day) = (date.year().to_string(), date.month().to_string(), date.day().to_string());
    pattern.replace("{year}", &year).replace("{month}", month.unwrap_or(&number)).replace("{day}", &day)
}

/// Without what stands at the ends, and with one empty line where there are several, as where nothing was filled in.
fn paragraphs(text: &str) -> String {
    let mut lines: Vec<&str> = Vec::new();
    for line in text.trim().lines().map(str::trim_end) {
        if !(line.is_empty() && lines.last().is_some_and(|last| last.is_empty())) {
            lines.push(line);
        }
    }
    lines.join("\n") + "\n"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_put_in_order() {
        assert_eq!(paragraphs("\n\none  \n\n\n\ntwo\nthree\n\n"), "one\n\ntwo\nthree\n");
    }

    #[test]
    fn a_day_is_written_as_the_language_has_it() {
        let months = ["enero", "febrero", "marzo", "abril", "mayo"];
        let spanish = serde_json::json!({"date": "{day} de {month} de {year}", "months": months});
        let day = jiff::civil::date(2026, 5, 16);
        assert_eq!(date_words(&spanish, day), "16 de mayo de 2026");
        assert_eq!(date_words(&Value::Null, day), "2026-5-16");
    }
}
