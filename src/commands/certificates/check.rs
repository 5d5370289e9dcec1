//! `certificates check`: whether a certificate is genuine and counts, from its number, its record's file,
//! or what a scanner read from its code, also from that of an older paper. Nothing is asked of a network.
//!
//! What was given is told apart in [`asked`]. From a code the record is rebuilt, with what the register says of the
//! occasion. A record is verified by its own signature; the program's register adds whose key that is, and whether the
//! certificate was replaced or withdrawn. What is put in may come from anybody: it is read with bounds, and what is
//! refused is told in a sentence.

mod asked;
#[cfg(test)]
mod tests;

use super::super::{CommandError, Outcome};
use crate::credential::number::Number;
use crate::credential::{self, Checked, Refused, canonical, packed};
use crate::program::register::{self, Fault, Given, Proof, Register, State, Withdrawn, says_otherwise};
use crate::session::{Environment, doubt_of_records, program_folder};
use crate::shelf::keys;
use asked::{What, understand, unreadable};
use credential::packed::Occasion;
use jiff::civil::Date;
use serde_json::Value;
use std::io::Write;
use std::path::Path;

/// Where nothing tells whether there ever was one.
const NO_REGISTER: &str = "This program has no certificate register, records/certificates.jsonl: either nobody was credited yet, or it is lost. If it is lost, bring back both files of records/, or run `packstring certificates keep --restore FILE`.";

/// Checks each of `asked`: a number, the path of a file, a scanned text, or `-` for standard input.
///
/// # Errors
/// Where a file cannot be read, or a number is given and there is no program to ask.
pub fn run(
    folder: Option<&Path>,
    asked: &[String],
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    let known = Known::read(folder, environment)?;
    let mut outcome = Outcome::Clear;
    for given in asked {
        let (sentence, genuine) = match understand(given, environment)? {
            Ok(What::Number(number)) => known.number(&number)?,
            Ok(What::Text(text)) => known.record(canonical::read(&text)),
            Ok(What::Code(text)) => known.record(known.of_code(&text)),
            Ok(What::Register(text)) => register_file(&text),
            Err(why) => (why, false),
        };
        writeln!(out, "{sentence}")?;
        if !genuine {
            outcome = Outcome::Findings;
        }
    }
    Ok(outcome)
}

/// What is known of the program: its register, where there is a program.
struct Known {
    register: Option<Register>,
    /// What is wrong with the register itself, and how to mend it: then nothing that it says is believed.
    doubt: Option<String>,
    /// Keys that nobody signed in, and whose private half is on this machine.
    at_hand: Vec<String>,
    today: Date,
}

impl Known {
    /// Only the register is read: a mistake in a lesson is no reason to leave a certificate unchecked.
    fn read(named: Option<&Path>, environment: &Environment) -> Result<Self, CommandError> {
        let Some(folder) = program_folder(named, environment)? else {
            return Ok(Self { register: None, doubt: None, at_hand: Vec::new(), today: environment.today });
        };
        let (register, faults) =
            register::open(&folder).map_err(|error| unreadable(register::FILE, &error))?;
        let is_here = |public: &str| {
            let keys = environment.keys.as_deref();
            keys.is_some_and(|folder| keys::find(folder, public).is_ok_and(|kept| kept.is_some()))
        };
        let unsigned = register.keys_unsigned().map(|(key, _)| key.public.clone());
        let at_hand = unsigned.filter(|public| is_here(public)).collect();
        let doubt = match faults.first() {
            Some(Fault { message, mend, .. }) => {
                Some(format!("The program's register is not whole, so it proves nothing: {message} {mend}"))
            }
            None => doubt_of_records(&folder, &register, environment)
                .map(|why| format!("The program's register proves nothing: {why}")),
        };
        Ok(Self { register: Some(register), doubt, at_hand, today: environment.today })
    }

    /// Why nothing of the register is believed.
    fn doubt(&self) -> Option<&str> {
        self.doubt.as_deref()
    }

    fn number(&self, number: &Number) -> Result<(String, bool), CommandError> {
        let Some(register) = &self.register else {
            return Err(CommandError::said(format!(
                "{number} is well formed. The program's register says who has it: go to the program folder, or name it with --program DIR."
            )));
        };
        if let Some(doubt) = self.doubt() {
            return Ok((format!("{number}: {doubt}"), false));
        }
        let Some(given) = register.given(number) else {
            let none = match register.lines().is_empty() {
                true => NO_REGISTER,
                false => "No certificate with this number was given.",
            };
            return Ok((format!("{number} is not known. {none}"), false));
        };
        let (counts, good) = counts(register, number, register.state(number));
        let over = given.until.filter(|until| good && *until < self.today);
        let (counts, good) = match over {
            Some(until) => (format!("was valid until {until}, and no longer is"), false),
            None => (counts, good),
        };
        let (proof, proved) = self.proof(register, number);
        // What nobody signed is not said to count as what was signed does.
        let counts = if good && !proved { "is not proved".to_owned() } else { counts };
        Ok((format!("{number} {counts}: {}. {proof}", gift(given)), good && proved))
    }

    /// What bears a line out, in a sentence, and whether that is as much as the program can give.
    fn proof(&self, register: &Register, number: &Number) -> (String, bool) {
        let record = |of: String| {
            format!(
                "Proved by the signature on its record, which says the same; the key is this program's, {of}."
            )
        };
        match register.proof(number).unwrap_or(Proof::Chain) {
            Proof::Record(key) => (record(format!("of {}", key.day)), true),
            Proof::KeyUnsigned(key) if self.at_hand.contains(&key.public) => {
                (record(format!("of {}, and is on this computer", key.day)), true)
            }
            Proof::KeyUnsigned(key) => (
                format!(
                    "Its record is signed with the key of {}, which no earlier key of this program vouches for: it is the program's only if the program itself has made it known.",
                    key.day
                ),
                false,
            ),
            Proof::Head => (
                "Its line is not signed by itself. Proved by the signature on the register's head, which holds every line up to it; the key is this program's.".into(),
                true,
            ),
            Proof::Chain if register.key().is_none() => (
                "Nobody signed it, because this program has no key. Only the chain of hashes supports it, and anybody who can write in the program folder can make that again.".into(),
                true,
            ),
            Proof::Chain => (
                "Nobody signed it, although this program has a key. Only the chain of hashes supports it, and anybody who can write in the program folder can make that again. If you have the key, `packstring certificates replace` gives a signed one.".into(),
                false,
            ),
        }
    }

    /// The record that a code was made from.
    fn of_code(&self, text: &str) -> Result<Value, Refused> {
        let packed = packed::read(text)?;
        let given = self.register.iter().flat_map(Register::all_given);
        // Most certificates of an occasion stand one after the other.
        let mut occasions: Vec<Occasion> =
            given.filter_map(|given| Occasion::of(given.credential.as_ref()?)).collect();
        occasions.dedup();
        packed.record(&occasions)
    }

    fn record(&self, record: Result<Value, Refused>) -> (String, bool) {
        let checked = match record.and_then(|record| credential::verify_value(&record)) {
            Ok(checked) => checked,
            Err(refused @ Refused::SignatureWrong) => return (format!("Not genuine. {refused}"), false),
            Err(refused @ Refused::OccasionUnknown) => {
                let why = match &self.register {
                    Some(_) => {
                        "The register has nothing like it: was it given by another program, or is a part of the register lost?"
                    }
                    None => {
                        "Name the program that gave it with --program DIR, or give the certificate's record, the file .json."
                    }
                };
                return (format!("{refused} {why}"), false);
            }
            Err(refused) => return (refused.to_string(), false),
        };
        let says = says(&checked);
        if let Some(doubt) = self.doubt() {
            return (format!("{says} The signature fits its key, {}. {doubt}", checked.key), false);
        }
        let (signer, ours) = self.signer(&checked);
        if !ours {
            let lost = self.register.as_ref().filter(|register| register.lines().is_empty());
            let lost = lost.map(|_| format!(" {NO_REGISTER}")).unwrap_or_default();
            return (format!("{says} {signer}{lost}"), false);
        }
        let register = self.register.as_ref().expect("a key is known from a register");
        let number = checked.number.as_deref().and_then(|number| Number::parse(number).ok());
        let Some((number, given)) =
            number.and_then(|number| register.given(&number).map(|given| (number, given)))
        else {
            let lost = "But the register has no certificate with its number: was a part of it lost?";
            return (format!("{says} {signer} {lost}"), false);
        };
        if says_otherwise(given, &checked).is_some() {
            let otherwise = format!("But the register has something else for {number}: {}.", gift(given));
            return (format!("{says} {signer} {otherwise}"), false);
        }
        if let Some(until) = checked.until.as_ref().filter(|until| **until < self.today.to_string()) {
            return (format!("{says} {signer} {number} was valid until {until}, and no longer is."), false);
        }
        let (counts, good) = counts(register, &number, register.state(&number));
        (format!("{says} {signer} {number} {counts}."), good)
    }

    /// Whose signature it is, in a sentence, and whether that is the program.
    fn signer(&self, checked: &Checked) -> (String, bool) {
        let key = checked.key.to_string();
        let Some(register) = &self.register else {
            return (
                format!(
                    "The signature fits its key, {key}, but there is no program here that knows the key: name one with --program DIR."
                ),
                false,
            );
        };
        if register.keys().any(|known| known.public == key) || self.at_hand.contains(&key) {
            return ("The signature fits, and the key is this program's.".into(), true);
        }
        let unsigned = register.keys_unsigned().any(|(known, _)| known.public == key);
        let why = match unsigned {
            true => {
                "no earlier key of this program vouches for that one, which was put into its register: it is the program's only if the program itself has made it known."
            }
            false => "that is not a key of this program: anybody can make a key and write any name.",
        };
        (format!("The signature fits its key, {key}, but {why}"), false)
    }
}

/// What a certificate was given for, as the register has it.
fn gift(given: &Given) -> String {
    let with = given.companion.as_ref().map(|companion| format!(" (with {companion})")).unwrap_or_default();
    let (occasion, date) = (given.occasion.name(), given.occasion.date());
    let until = given.until.map(|until| format!(", valid until {until}")).unwrap_or_default();
    format!("given to {}{with} on {} for {occasion}, {date}{until}", given.name, given.day)
}

/// What a record says, in sentences.
fn says(checked: &Checked) -> String {
    let Checked { agency, title, holder, achievement, date, .. } = checked;
    let number = checked.number.as_ref().map(|number| format!(", number {number}")).unwrap_or_default();
    let narrative = checked.narrative.as_ref().map(|said| format!(" {said}")).unwrap_or_default();
    let title = if title.is_empty() { "A certificate" } else { title };
    let holder = if holder.is_empty() { "somebody it does not name" } else { holder };
    let until = checked.until.as_ref().map(|until| format!(", valid until {until}")).unwrap_or_default();
    let text = format!("{title}{number}: {agency} to {holder}, for {achievement}, {date}{until}.{narrative}");
    // It may come from anybody: nothing in it may act on the terminal.
    text.chars().map(|letter| if letter.is_control() { ' ' } else { letter }).collect()
}

fn counts(register: &Register, number: &Number, state: State) -> (String, bool) {
    match state {
        State::Valid => ("counts".into(), true),
        State::Replaced(_) => (format!("was replaced by {}", register.newest(number)), false),
        State::Withdrawn(Withdrawn { day, why, .. }) => (format!("was withdrawn on {day} ({why})"), false),
    }
}

/// A register's file by itself: whether its lines hang together.
fn register_file(text: &str) -> (String, bool) {
    let (register, faults) = register::chain::parse(Some(text), None);
    // Without the file beside it, nobody can tell whether the last lines are there.
    let faults: Vec<&Fault> = faults.iter().filter(|fault| fault.file == register::FILE).collect();
    let count = register.all_given().count();
    match faults.as_slice() {
        [] => {
            let lines = register.lines().len();
            let signed = register.all_given().filter(|given| given.credential.is_some()).count();
            let proved = match (signed, register.key()) {
                (0, _) => "No certificate in it is signed. Only the chain of hashes supports it, and anybody who can write the file can make that again.".to_owned(),
                (_, None) => format!("{signed} of them are signed with a key that the register does not count."),
                (_, Some(first)) => format!("{signed} of them are signed, by the first key in it, of {}, or one that it vouches for, and say the same as their lines.", first.day),
            };
            (
                format!(
                    "A certificate register: {lines} lines, {count} certificates, every line follows the one before. {proved} Only the program folder shows whether lines are missing at its end."
                ),
                true,
            )
        }
        [first, ..] => (format!("A certificate register that is not whole: {}", first.message), false),
    }
}
