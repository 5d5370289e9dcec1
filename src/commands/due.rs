//! What is to be held against its source again: as a list, and as a calendar.

use super::CommandError;
use super::backing::{uses_of, value_of};
use super::report::{counted, plain};
use crate::disk;
use crate::icalendar::{self, Entry, When, calendar};
use crate::io_error::in_words;
use crate::program::Program;
use crate::program::facts::{Fact, Stated};
use crate::understand::Understood;
use jiff::civil::Date;
use std::io::{self, Write};
use std::path::Path;

/// Lists what is to be checked again (one fact, or all), the earliest first.
pub(super) fn tell(
    program: &Program,
    name: Option<&str>,
    today: Date,
    out: &mut dyn Write,
) -> io::Result<()> {
    let facts = to_check(program, name);
    let due = dated(&facts);
    let width = due.iter().map(|(_, fact)| full_name(fact).chars().count()).max().unwrap_or(0);
    for (day, fact) in &due {
        let left = days_left(today, *day);
        let safety = if fact.safety { ", safety" } else { "" };
        writeln!(out, "{day}  {:width$}  {left}{safety}", full_name(fact))?;
        if let Some(source) = &fact.source {
            writeln!(out, "            {}", plain(&source.text))?;
        }
    }
    let overdue = due.iter().filter(|(day, _)| *day < today).count();
    let without = match facts.iter().filter(|fact| is_undated(fact)).count() {
        0 => String::new(),
        without => format!("; {} without a date", counted(without, "fact")),
    };
    writeln!(
        out,
        "{}{} to check again, {overdue} overdue{without}.",
        if due.is_empty() { "" } else { "\n" },
        counted(due.len(), "fact")
    )
}

/// What is worked from other facts is as old as they are.
fn is_undated(fact: &Fact) -> bool {
    fact.review_by.is_none() && !matches!(fact.stated, Stated::WorkedFrom(_))
}

/// Writes the same as an iCalendar file, whole or not at all.
pub(super) fn write_calendar(
    understood: &Understood,
    name: Option<&str>,
    file: &Path,
    out: &mut dyn Write,
) -> Result<(), CommandError> {
    let due = dated(&to_check(understood.root, name));
    let entries: Vec<Entry> = due.iter().map(|(day, fact)| entry(understood, *day, fact)).collect();
    let file = match file.extension() {
        Some(_) => file.to_owned(),
        None => file.with_extension("ics"),
    };
    disk::write_for_user(&file, calendar("Facts to re-check", &entries).as_bytes()).map_err(|error| {
        CommandError::said(format!(
            "The calendar {} could not be written: {}.",
            file.display(),
            why_not(&file, &error.source)
        ))
    })?;
    writeln!(out, "{} to check again written to {}.", counted(entries.len(), "fact"), file.display())?;
    Ok(())
}

fn entry(understood: &Understood, day: Date, fact: &Fact) -> Entry {
    let there = fact.at.as_ref().map_or(understood, |event| understood.at(event));
    let value = value_of(there, fact);
    let quoted = match uses_of(understood, &fact.name).len() {
        0 => "Quoted nowhere".to_owned(),
        places => format!("Quoted in {}", counted(places, "place")),
    };
    let lines = [
        Some(format!("{}: {value}", full_name(fact))),
        fact.source.as_ref().map(|source| format!("Source: {}", source.text)),
        fact.url.as_ref().map(|address| format!("Address: {address}")),
        fact.read.as_ref().map(|read| format!("Read: {}", read.words())),
        fact.as_of.map(|day| format!("As of: {day}")),
        Some(quoted),
        fact.safety.then(|| "Safety: a wrong or overdue figure stops the press".to_owned()),
    ];
    let lines: Vec<String> = lines.into_iter().flatten().map(|line| plain(&line)).collect();
    Entry {
        uid: uid(understood.root, fact),
        when: When::Day(day),
        stamp: fact.as_of.unwrap_or(day),
        summary: plain(&format!("Re-check {}: {value}", full_name(fact))),
        description: lines.join("\n"),
        location: None,
        address: fact.url.as_ref().and_then(|address| url::Url::parse(address).ok()),
        first: fact.safety,
    }
}

/// The same from season to season, and another in another program.
fn uid(program: &Program, fact: &Fact) -> String {
    let settings = &program.content.settings;
    icalendar::uid(&[&settings.agency, &settings.name, &fact.name, fact.at.as_deref().unwrap_or("")])
}

/// The facts to be checked again (of one name, or all), and those that an event has to itself with a day
/// of their own.
fn to_check<'p>(program: &'p Program, name: Option<&str>) -> Vec<&'p Fact> {
    let days = |fact: &Fact| fact.review_by.clone();
    let is_own = |fact: &&Fact| {
        let common = program.content.facts.iter().find(|common| common.name == fact.name);
        fact.review_by.is_some() && common.and_then(days) != days(fact)
    };
    let local = program.content.at_events.iter().flat_map(|at| &at.facts).filter(is_own);
    let all = program.content.facts.iter().chain(local);
    all.filter(|fact| name.is_none_or(|name| fact.name == name)).collect()
}

/// Those that have a day, the earliest first.
fn dated<'p>(facts: &[&'p Fact]) -> Vec<(Date, &'p Fact)> {
    let mut due: Vec<(Date, &Fact)> =
        facts.iter().filter_map(|fact| Some((fact.review_by.as_ref()?.0, *fact))).collect();
    due.sort_by(|(a, one), (b, other)| (a, &one.name, &one.at).cmp(&(b, &other.name, &other.at)));
    due
}

/// `lead-length`, `lead-length at sand-creek`.
fn full_name(fact: &Fact) -> String {
    match &fact.at {
        Some(event) => format!("{} at {event}", fact.name),
        None => fact.name.clone(),
    }
}

/// `due in 40 days`, `due today`, `overdue by 12 days`.
pub(super) fn days_left(today: Date, day: Date) -> String {
    let days = (day - today).get_days();
    let count = counted(days.unsigned_abs() as usize, "day");
    match days {
        0 => "due today".to_owned(),
        1.. => format!("due in {count}"),
        _ => format!("overdue by {count}"),
    }
}

/// Why a file could not be written, as the end of a sentence.
fn why_not(file: &Path, error: &io::Error) -> String {
    let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty());
    match folder {
        _ if file.is_dir() => "it is a folder; name a file in it, such as review.ics".to_owned(),
        Some(folder) if !folder.exists() => format!("there is no folder {}", folder.display()),
        _ => in_words(error),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn days_are_told_from_today() {
        let today = date(2026, 3, 31);
        assert_eq!(days_left(today, date(2026, 5, 10)), "due in 40 days");
        assert_eq!(days_left(today, date(2026, 4, 1)), "due in 1 day");
        assert_eq!(days_left(today, today), "due today");
        assert_eq!(days_left(today, date(2026, 3, 19)), "overdue by 12 days");
    }
}
