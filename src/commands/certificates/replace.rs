//! `packstring certificates replace`: a corrected name, on a new certificate that points to the first.

use crate::commands::credited::tell_signing;
use crate::commands::report::counted;
use crate::commands::{CommandError, Outcome};
use crate::credential::number::Number;
use crate::people::credit::replacement::{Irreplaceable, Words, corrected_words, replacement, replacements};
use crate::program::Program;
use crate::program::register::{Entry, State};
use crate::session::{Environment, add_signed, check_letters, signing};
use std::io::Write;

/// What was asked to stand on the new certificate.
pub struct Corrections<'a> {
    pub name: Option<&'a str>,
    /// Empty: none.
    pub companion: Option<&'a str>,
}

pub fn run(
    program: &Program,
    number: &Number,
    asked: &Corrections,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    let words = words(program, number, asked)?;
    check_letters(program, [&words.name, &words.companion].into_iter().flatten())?;
    let signing = signing(program, environment)?;
    let entries = add_signed::<CommandError>(program, None, &signing, |register| {
        Ok(vec![replacement(program, register, number, &words, environment.today)?])
    })?;
    let Some(Entry::Given(new)) = entries.first() else {
        return Err(Irreplaceable::Unknown(number.clone()).into());
    };
    writeln!(out, "{number} is replaced by {}, given today for {}.", new.number, new.occasion.name())?;
    writeln!(out, "`packstring make --pieces certificates` prints it; take the old one back if you can.")?;
    tell_signing(&signing, 1, out)?;
    Ok(Outcome::Clear)
}

/// Gives all certificates of an event that say otherwise than the program anew.
pub fn of_event(
    program: &Program,
    event: &str,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    if !program.content.settings.events.iter().any(|known| known.id == event) {
        return Err(CommandError::said(format!("There is no event “{event}” in program.toml.")));
    }
    let signing = signing(program, environment)?;
    let entries = add_signed::<CommandError>(program, None, &signing, |register| {
        Ok(replacements(program, register, event, environment.today)?)
    })?;
    let count = entries.len();
    writeln!(out, "{} of {event} replaced, with what program.toml says now.", counted(count, "certificate"))?;
    writeln!(
        out,
        "`packstring make --pieces certificates` prints the new ones; take the old back if you can."
    )?;
    tell_signing(&signing, count, out)?;
    Ok(Outcome::Clear)
}

/// What stands on the new certificate: what was asked for, or else what the roster has by now.
fn words(program: &Program, number: &Number, asked: &Corrections) -> Result<Words, CommandError> {
    for (option, words) in [("--name", asked.name)] {
        if words.is_some_and(|words| words.trim().is_empty()) {
            return Err(CommandError::said(format!(
                "{option} needs a name: a certificate must be for somebody."
            )));
        }
    }
    let words = Words { name: asked.name.map(str::to_owned), companion: asked.companion.map(str::to_owned) };
    let valid = program.people.register.given(number).is_some()
        && program.people.register.state(number) == State::Valid;
    if words.name.is_some() || words.companion.is_some() || !valid {
        return Ok(words);
    }
    let Some(corrected) = corrected_words(program, number) else {
        return Err(CommandError::said(format!(
            "The roster does not clearly say what should be on the certificate that replaces {number}. Give it with --name \"…\", and with --companion \"…\" if that changes too."
        )));
    };
    Ok(corrected)
}
