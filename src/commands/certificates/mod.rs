//! `packstring certificates`: what the register says, and what is changed in it by hand. One file a word.

mod check;
mod keep;
mod key;
mod list;
mod replace;
mod withdraw;

pub use list::ListAs;

use super::arguments::{CertificatesAsked, CertificatesCommand};
use super::{CommandError, Outcome};
use crate::credential::number::Number;
use crate::session::{Environment, check_records, note_register, open_program};
use std::io::Write;

pub fn run(
    asked: &CertificatesAsked,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    if let CertificatesCommand::Check { what } = &asked.command {
        // It needs no more of the program than its register, and often not even that.
        return check::run(asked.program.folder.as_deref(), what, environment, out);
    }
    if let CertificatesCommand::Keep { file, restore } = &asked.command {
        return keep::run(asked.program.folder.as_deref(), file, *restore, environment, out);
    }
    let program = open_program(asked.program.folder.as_deref(), environment)?;
    check_records(&program, environment)?;
    if !matches!(asked.command, CertificatesCommand::List { .. }) {
        // A run that was killed may have written a line and not noted it.
        note_register(&program.folder, None, &program.people.register);
    }
    match &asked.command {
        CertificatesCommand::Check { .. } | CertificatesCommand::Keep { .. } => {
            unreachable!("it is done above")
        }
        CertificatesCommand::List { event, participant, ends_before, tell_as } => {
            let wanted = list::Wanted {
                event: event.as_deref(),
                participant: participant.as_deref(),
                ends_before: *ends_before,
            };
            list::run(&program, &wanted, *tell_as, environment.today, out)
        }
        CertificatesCommand::Replace { number: None, event: Some(event), .. } => {
            replace::of_event(&program, event, environment, out)
        }
        CertificatesCommand::Replace { number, name, companion, .. } => {
            let number = number.as_deref().unwrap_or_default();
            let words = replace::Corrections { name: name.as_deref(), companion: companion.as_deref() };
            replace::run(&program, &read_number(number)?, &words, environment, out)
        }
        CertificatesCommand::Withdraw { number, because } => {
            withdraw::run(&program, &read_number(number)?, because, environment, out)
        }
        CertificatesCommand::Key { new, lost } => key::run(&program, (*new, *lost), environment, out),
    }
}

fn read_number(given: &str) -> Result<Number, CommandError> {
    Number::parse(given).map_err(|why| {
        CommandError::said(format!(
            "“{given}” is not a certificate number. {why} Numbers look like K7M3-P2QX."
        ))
    })
}
