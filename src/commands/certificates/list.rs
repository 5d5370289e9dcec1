//! `packstring certificates list`: every certificate that was given, and whether it counts.

use crate::commands::report::{counted, plain};
use crate::commands::{CommandError, Outcome};
use crate::nearest::nearest;
use crate::people::same_name;
use crate::program::Program;
use crate::program::register::{Given, Occasion, State};
use jiff::civil::Date;
use serde_json::{Value, json};
use std::io::Write;

/// The form of the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, clap::ValueEnum)]
pub enum ListAs {
    /// One line for each certificate, for reading
    #[default]
    Text,
    /// JSON, for other programs
    Json,
}

/// Which certificates are listed.
pub struct Wanted<'a> {
    /// An event's id.
    pub event: Option<&'a str>,
    /// A name, as the certificate has it.
    pub participant: Option<&'a str>,
    /// Only those that count and do not hold on this day any more: who is to renew by then.
    pub ends_before: Option<Date>,
}

pub fn run(
    program: &Program,
    wanted: &Wanted,
    form: ListAs,
    today: Date,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    if let Some(event) = wanted.event {
        check_event(program, event)?;
    }
    let register = &program.people.register;
    let to_renew =
        |given: &&Given| wanted.ends_before.is_none() || register.state(&given.number) == State::Valid;
    let listed: Vec<&Given> =
        register.all_given().filter(|given| wanted.holds(given)).filter(to_renew).collect();
    match form {
        ListAs::Json => {
            let certificates: Vec<Value> = listed.iter().map(|given| as_json(program, given)).collect();
            writeln!(out, "{:#}", json!({"format": 1, "certificates": certificates}))?;
        }
        ListAs::Text => as_text(program, &listed, today, out)?,
    }
    Ok(Outcome::Clear)
}

impl Wanted<'_> {
    fn holds(&self, given: &Given) -> bool {
        let of_event = |event| matches!(&given.occasion, Occasion::Event { id, .. } if id == event);
        let ends = |day| given.until.is_some_and(|until| until < day);
        self.ends_before.is_none_or(ends)
            && self.event.is_none_or(of_event)
            && self.participant.is_none_or(|name| same_name(name, &given.name))
    }
}

/// The register may know events of earlier seasons too.
fn check_event(program: &Program, event: &str) -> Result<(), CommandError> {
    let given = program.people.register.all_given().filter_map(|given| match &given.occasion {
        Occasion::Event { id, .. } => Some(id.as_str()),
        Occasion::Award { .. } => None,
    });
    let known: Vec<&str> =
        program.content.settings.events.iter().map(|event| event.id.as_str()).chain(given).collect();
    if known.contains(&event) {
        return Ok(());
    }
    let offer = nearest(event, known).map(|near| format!(" Did you mean “{near}”?")).unwrap_or_default();
    Err(CommandError::said(format!(
        "There is no event “{event}” in program.toml or in the certificate register.{offer}"
    )))
}

fn as_text(
    program: &Program,
    listed: &[&Given],
    today: Date,
    out: &mut dyn Write,
) -> Result<(), CommandError> {
    let width = |words: fn(&Given) -> &str| {
        listed.iter().map(|given| plain(words(given)).chars().count()).max().unwrap_or(0)
    };
    let (names, occasions) = (width(|given| &given.name), width(|given| given.occasion.name()));
    for given in listed {
        let (name, occasion) = (plain(&given.name), plain(given.occasion.name()));
        let state = state_words(program, given, today);
        writeln!(out, "{}  {}  {occasion:occasions$}  {name:names$}  {state}", given.number, given.day)?;
    }
    let count = |wanted: fn(State) -> bool| {
        listed.iter().filter(|given| wanted(program.people.register.state(&given.number))).count()
    };
    let certificates = counted(listed.len(), "certificate");
    let all = count(|state| state == State::Valid);
    let is_over = |given: &&&Given| {
        program.people.register.state(&given.number) == State::Valid && has_ended(given, today)
    };
    let over = listed.iter().filter(is_over).count();
    let valid = all - over;
    let over = if over == 0 { String::new() } else { format!(" {over} ended,") };
    let replaced = count(|state| matches!(state, State::Replaced(_)));
    let withdrawn = count(|state| matches!(state, State::Withdrawn(_)));
    match listed.len() {
        0 if program.people.register.all_given().next().is_none() => writeln!(
            out,
            "No certificate was given yet. `packstring make` credits everybody who attended and passed. If certificates were given before, the register is lost: bring back both files of records/, or run `packstring certificates keep --restore FILE`."
        )?,
        0 => writeln!(out, "No such certificate was given.")?,
        _ => {
            writeln!(out, "{certificates}: {valid} valid,{over} {replaced} replaced, {withdrawn} withdrawn.")?
        }
    }
    Ok(())
}

fn has_ended(given: &Given, today: Date) -> bool {
    given.until.is_some_and(|until| until < today)
}

fn state_words(program: &Program, given: &Given, today: Date) -> String {
    match program.people.register.state(&given.number) {
        State::Valid => {
            let until = given.until.map(|until| match until < today {
                true => format!("ended {until}"),
                false => format!("valid until {until}"),
            });
            let replaces = given.replaces.as_ref().map(|old| format!("; replaces {old}")).unwrap_or_default();
            until.unwrap_or_else(|| "valid".to_owned()) + &replaces
        }
        State::Replaced(by) => format!("replaced by {by}"),
        State::Withdrawn(line) => format!("withdrawn {}: {}", line.day, plain(&line.why)),
    }
}

fn as_json(program: &Program, given: &Given) -> Value {
    let (state, by, withdrawn) = match program.people.register.state(&given.number) {
        State::Valid => ("valid", None, None),
        State::Replaced(by) => ("replaced", Some(by.to_string()), None),
        State::Withdrawn(line) => ("withdrawn", None, Some(json!({"day": line.day, "why": line.why}))),
    };
    let event = match &given.occasion {
        Occasion::Event { id, .. } => Some(id),
        Occasion::Award { .. } => None,
    };
    json!({
        "number": given.number,
        "day": given.day,
        "kind": given.occasion.kind(),
        "event": event,
        "for": given.occasion.name(),
        "date": given.occasion.date(),
        "until": given.until,
        "season": given.season,
        "name": given.name,
        "companion": given.companion,
        "state": state,
        "replaces": given.replaces,
        "replaced_by": by,
        "withdrawn": withdrawn,
        "signed": given.credential.is_some(),
    })
}
