//! `certificates check`: whether a certificate is genuine and counts, from its number, its record's file,
//! or what a scanner read from its code, also from that of an older paper. Nothing is asked of a network.
//!
//! From a code the record is rebuilt, with what the register says of the occasion. A record is verified by its own signature; the program's register adds whose key that is, and whether
//! the certificate was replaced or withdrawn. What is put in may come from anybody: it is read with bounds,
//! and what is refused is told in a sentence.

use super::super::{CommandError, Outcome};
use crate::credential::number::Number;
use crate::credential::{self, Checked, Refused, canonical, packed};
use crate::disk;
use crate::io_error::in_words;
use crate::program::register::{self, Fault, Given, Proof, Register, State, Withdrawn, says_otherwise};
use crate::session::{Environment, doubt_of_records, program_folder};
use crate::shelf::keys;
use credential::packed::Occasion;
use jiff::civil::Date;
use serde_json::Value;
use std::io::{self, Read, Write};
use std::path::Path;

/// No register is longer; a file that is can only be something else.
const MOST_BYTES: u64 = 256 * 1024 * 1024;

/// Where nothing tells whether there ever was one.
const NO_REGISTER: &str = "This program has no certificate register, records/certificates.jsonl: either nobody was credited yet, or it is lost. If it is lost, bring back both files of records/, or run `packstring certificates keep --restore FILE`.";

/// What was given to be checked.
enum What {
    Number(Number),
    /// A record, or what should be one.
    Text(String),
    /// What a code holds.
    Code(String),
    /// A register's file.
    Register(String),
}

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

/// Finds out what was given; the inner error is a sentence about it.
fn understand(given: &str, environment: &Environment) -> Result<Result<What, String>, CommandError> {
    if given.trim().is_empty() {
        return Err(CommandError::said(
            "There is nothing to check. Give a number, a file or what a scanner read.".to_owned(),
        ));
    }
    let path = environment.folder.join(given);
    let text = if given == "-" {
        text_of(io::stdin().lock(), "Standard input")?
    } else if path.exists() && !path.is_dir() {
        let file = disk::open(&path).map_err(|error| unreadable(given, &error))?;
        text_of(file, given)?
    } else if path.is_dir() {
        return Err(CommandError::said(format!("{given} is a folder. Name a certificate's file in it.")));
    } else if packed::is_code(given) {
        Ok(given.to_owned())
    } else if [".json", ".jsonl", ".pdf"].iter().any(|ending| given.to_lowercase().ends_with(ending)) {
        return Err(CommandError::said(format!("There is no file {given}.")));
    } else {
        Ok(given.to_owned())
    };
    let is_file = path.is_file();
    Ok(text.and_then(|text| sort(&text)).map_err(|why| match Number::parse(given.trim()) {
        Err(_) if is_file && !why.starts_with(given) => {
            format!("{given} holds no certificate and no number. {why}")
        }
        _ => why,
    }))
}

/// The words of a code without a record end with the certificate's number.
fn sort(text: &str) -> Result<What, String> {
    let trimmed = text.trim_start_matches('\u{feff}').trim();
    if trimmed.is_empty() {
        return Err("There is nothing in it to check.".into());
    }
    if packed::is_code(trimmed) {
        return Ok(What::Code(trimmed.to_owned()));
    }
    if trimmed.starts_with('{') {
        let first = trimmed.lines().next().unwrap_or_default();
        let of_register = canonical::read(first)
            .is_ok_and(|line| ["format", "line", "before", "hash"].iter().all(|name| !line[*name].is_null()));
        let text = text.to_owned();
        return Ok(if of_register { What::Register(text) } else { What::Text(text) });
    }
    let last = trimmed.lines().next_back().unwrap_or_default();
    // What begins as JSON, or is longer than any number, is judged as a record.
    if trimmed.starts_with('[') || trimmed.contains('{') || last.chars().count() > 40 {
        return Ok(What::Text(text.to_owned()));
    }
    Number::parse(last).map(What::Number).map_err(|why| format!("{why} Numbers look like K7M3-P2QX."))
}

fn text_of(file: impl Read, name: &str) -> Result<Result<String, String>, CommandError> {
    let mut bytes = Vec::new();
    file.take(MOST_BYTES + 1).read_to_end(&mut bytes).map_err(|error| unreadable(name, &error))?;
    if bytes.len() as u64 > MOST_BYTES {
        return Ok(Err(format!("{name} is far longer than anything that can be checked here.")));
    }
    if bytes.starts_with(b"%PDF") {
        return Ok(Err(format!(
            "{name} is a PDF. Scan its code and give what the scanner says, in quotes, or give the file .json beside it."
        )));
    }
    Ok(String::from_utf8(bytes).map_err(|_| format!("{name} is not the record of a certificate.")))
}

fn unreadable(name: &str, error: &io::Error) -> CommandError {
    CommandError::said(format!("{name} cannot be read: {}.", in_words(error)))
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::credential::{PublicKey, SecretKey, sign_given};
    use crate::program::register::{Entry, HEAD, Key, Occasion, SignedIn, chain};
    use jiff::civil::date;
    use std::fs;

    const DAY: Date = date(2026, 6, 1);
    const NUMBERS: [&str; 3] = ["JRHY-4P87", "6H4T-PXW6", "NJ85-6TH6"];

    fn number(at: usize) -> Number {
        Number::parse(NUMBERS[at]).unwrap()
    }

    fn record(at: usize, key: &SecretKey) -> String {
        let given = credential::Claims {
            agency: "Juniper Basin Open Lands",
            title: "Certificate of Completion",
            number: NUMBERS[at],
            holder: "Elena Márquez",
            companion: Some("Biscuit"),
            achievement: "North Camp Spring Workshop",
            description: "Trail Rider Stewards, 2026",
            criteria: "Attended and passed.",
            date: date(2026, 5, 16),
            until: None,
        };
        canonical::text(&sign_given(&given, key))
    }

    fn given(at: usize, replaces: Option<Number>, key: &SecretKey) -> Entry {
        let name = "North Camp Spring Workshop".to_owned();
        Entry::Given(Box::new(Given {
            number: number(at),
            occasion: Occasion::Event { id: "north-camp".into(), name, date: date(2026, 5, 16) },
            season: "2026".into(),
            agency: None,
            venue: None,
            until: None,
            title: None,
            program: None,
            name: "Elena Márquez".into(),
            companion: Some("Biscuit".into()),
            email: None,
            day: date(2026, 5, 17),
            replaces,
            credential: Some(canonical::read(&record(at, key)).unwrap()),
        }))
    }

    fn public(key: &SecretKey) -> Entry {
        let public: PublicKey = key.public();
        Entry::Key(Key { public: public.to_string(), day: date(2026, 5, 1), signed: None })
    }

    /// The lines of a register, hashed anew whatever they say.
    fn write(folder: &Path, entries: &[Entry], seal: Option<&SecretKey>) {
        let (mut register, mut text) = (Register::default(), String::new());
        for entry in entries {
            let (line, read) = chain::next(&register, entry.clone(), text.len());
            register.push(read).unwrap();
            text += &(line + "\n");
        }
        let seal = seal.map(|key| chain::Seal::of(&register, key));
        fs::write(folder.join(register::FILE), text).unwrap();
        fs::write(folder.join(HEAD), chain::Head::of(&register, seal).to_json()).unwrap();
    }

    /// A folder with a register.
    fn with(entries: &[Entry], seal: Option<&SecretKey>) -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("program.toml"), "").unwrap();
        fs::create_dir(folder.path().join("records")).unwrap();
        write(folder.path(), entries, seal);
        folder
    }

    /// A program with the first certificate replaced by the second, and the third withdrawn.
    fn program(key: &SecretKey) -> tempfile::TempDir {
        let withdrawn =
            Withdrawn { number: number(2), day: date(2026, 6, 1), why: "given by mistake".into() };
        let entries = [
            public(key),
            given(0, None, key),
            given(1, Some(number(0)), key),
            given(2, None, key),
            Entry::Withdrawn(withdrawn),
        ];
        with(&entries, None)
    }

    fn asked(folder: Option<&Path>, at: &Path, what: &str) -> (String, Option<Outcome>) {
        let environment = Environment {
            today: date(2026, 7, 1),
            folder: at.to_owned(),
            ..Environment::here(false).unwrap()
        };
        let mut out = Vec::new();
        match run(folder, &[what.to_owned()], &environment, &mut out) {
            Ok(outcome) => (String::from_utf8(out).unwrap(), Some(outcome)),
            Err(CommandError::Said(said)) => (said, None),
            Err(other) => panic!("{other:?}"),
        }
    }

    fn tells(folder: &Path, what: &str, words: &[&str], outcome: Option<Outcome>) {
        let (said, ended) = asked(None, folder, what);
        assert!(words.iter().all(|word| said.contains(word)), "{what}: {said}");
        assert_eq!(ended, outcome, "{what}: {said}");
    }

    #[test]
    fn a_number_is_asked_of_the_register() {
        let folder = program(&SecretKey::from_seed([4; 32]));
        let (findings, at) = (Some(Outcome::Findings), folder.path());
        let genuine = [
            "counts",
            "Elena Márquez (with Biscuit)",
            "2026-05-16",
            "signature on its record",
            "this program's",
        ];
        tells(at, "6h4t pxw6", &genuine, Some(Outcome::Clear));
        tells(at, NUMBERS[0], &["replaced by 6H4T-PXW6"], findings);
        tells(at, NUMBERS[2], &["withdrawn on 2026-06-01 (given by mistake)"], findings);
        tells(at, "RQ4V-5RGY", &["not known"], findings);
        tells(at, "RQ4V-5RYG", &["does not check"], findings);
        let nowhere = tempfile::tempdir().unwrap();
        tells(nowhere.path(), NUMBERS[1], &["well formed", "--program"], None);
    }

    #[test]
    fn a_record_is_verified_and_its_key_is_asked_of_the_register() {
        let (key, other) = (SecretKey::from_seed([4; 32]), SecretKey::from_seed([5; 32]));
        let folder = program(&key);
        let (findings, at) = (Some(Outcome::Findings), folder.path());
        tells(at, &record(1, &key), &["Elena Márquez", "this program's", "counts"], Some(Outcome::Clear));
        tells(at, &record(0, &key), &["replaced by 6H4T-PXW6"], findings);
        tells(at, &record(2, &key), &["withdrawn on"], findings);
        tells(at, &record(1, &other), &["not a key of this program"], findings);
        tells(at, &record(1, &key).replace("Elena", "Eve"), &["Not genuine", "does not fit"], findings);
        let file = at.join("certificate.json");
        fs::write(&file, record(1, &key)).unwrap();
        tells(at, "certificate.json", &["counts"], Some(Outcome::Clear));
        tells(at, register::FILE, &["5 lines, 3 certificates"], Some(Outcome::Clear));
        let nowhere = tempfile::tempdir().unwrap();
        let (said, ended) = asked(None, nowhere.path(), &record(1, &key));
        assert!(said.contains("no program here that knows the key") && ended == findings, "{said}");
        let (said, ended) = asked(Some(at), nowhere.path(), &record(1, &key));
        assert!(ended == Some(Outcome::Clear), "{said}");
    }

    /// The code of a certificate's paper, as a text and as a link.
    fn codes(at: usize, key: &SecretKey, form: packed::Form) -> [String; 2] {
        let bytes = packed::pack(&canonical::read(&record(at, key)).unwrap(), form).unwrap();
        [packed::text(&bytes), packed::link("https://lands.example/site/check-certificate.html", &bytes)]
    }

    #[test]
    fn a_code_is_checked_as_its_record_is() {
        let (key, other) = (SecretKey::from_seed([4; 32]), SecretKey::from_seed([5; 32]));
        let folder = program(&key);
        let (findings, at) = (Some(Outcome::Findings), folder.path());
        let nowhere = tempfile::tempdir().unwrap();
        for form in [packed::Form::Short, packed::Form::Whole] {
            for code in codes(1, &key, form) {
                let words = ["Elena Márquez", "With Biscuit", "this program's", "counts"];
                tells(at, &code, &words, Some(Outcome::Clear));
                fs::write(at.join("scanned.txt"), format!("{code}\r\n")).unwrap();
                tells(at, "scanned.txt", &words, Some(Outcome::Clear));
            }
            for code in codes(0, &key, form) {
                tells(at, &code, &["replaced by 6H4T-PXW6"], findings);
            }
            for code in codes(2, &key, form) {
                tells(at, &code, &["withdrawn on"], findings);
            }
        }
        for code in codes(1, &other, packed::Form::Whole) {
            tells(at, &code, &["not a key of this program"], findings);
            tells(nowhere.path(), &code, &["no program here that knows the key"], findings);
        }
        for code in codes(1, &other, packed::Form::Short) {
            tells(at, &code, &["not known here", "another program"], findings);
            tells(nowhere.path(), &code, &["not known here", "--program DIR"], findings);
        }
    }

    #[test]
    fn a_code_that_was_read_wrong_is_refused() {
        let key = SecretKey::from_seed([4; 32]);
        let folder = program(&key);
        let [text, link] = codes(1, &key, packed::Form::Short);
        let findings = Some(Outcome::Findings);
        let (at, end) = (folder.path(), text.len() - 9);
        tells(at, &text[..end], &["cannot be read", "Scan it once more"], findings);
        let last = if text[end..].starts_with('0') { "1" } else { "0" };
        let other = format!("{}{last}{}", &text[..end], &text[end + 1..]);
        tells(at, &other, &["Not genuine", "does not fit"], findings);
        tells(at, &link[..link.len() - 2], &["cannot be read"], findings);
        tells(at, "PS:", &["cannot be read"], findings);
    }

    type Spoil = fn(&mut Given);

    /// Whatever a line says otherwise than its record, and however the chain was hashed anew.
    #[test]
    fn a_line_that_says_otherwise_than_its_record_is_not_vouched_for() {
        let key = SecretKey::from_seed([4; 32]);
        let spoils: [(&str, Spoil); 6] = [
            ("another person", |given| given.name = "Eve Stranger".into()),
            ("another companion", |given| given.companion = None),
            ("another companion", |given| given.companion = Some("Thunder".into())),
            ("another number", |given| given.number = number(2)),
            ("something else", |given| {
                let date = given.occasion.date();
                given.occasion = Occasion::Event { id: "camp".into(), name: "Another".into(), date };
            }),
            ("another date", |given| {
                let name = given.occasion.name().to_owned();
                given.occasion = Occasion::Event { id: "camp".into(), name, date: date(2026, 5, 17) };
            }),
        ];
        for (told, spoil) in spoils {
            let Entry::Given(mut line) = given(1, None, &key) else { unreachable!() };
            spoil(&mut line);
            let asked = line.number.to_string();
            let entries = [public(&key), Entry::Given(line)];
            // Also where the head was signed by somebody who had the key for a moment.
            for seal in [None, Some(&key)] {
                let folder = with(&entries, seal);
                tells(folder.path(), &asked, &["proves nothing", told], Some(Outcome::Findings));
                tells(folder.path(), register::FILE, &["not whole", told], Some(Outcome::Findings));
                let (said, _) = self::asked(None, folder.path(), &asked);
                assert!(!said.contains("counts"), "{said}");
            }
        }
    }

    #[test]
    fn a_record_that_was_changed_with_its_line_is_not_vouched_for() {
        let key = SecretKey::from_seed([4; 32]);
        let Entry::Given(mut line) = given(1, None, &key) else { unreachable!() };
        line.name = "Eve Stranger".into();
        let record = line.credential.as_ref().unwrap().to_string().replace("Elena Márquez", "Eve Stranger");
        line.credential = serde_json::from_str(&record).ok();
        let folder = with(&[public(&key), Entry::Given(line)], None);
        let told = ["proves nothing", "does not fit"];
        tells(folder.path(), NUMBERS[1], &told, Some(Outcome::Findings));
    }

    #[test]
    fn a_key_that_a_stranger_put_in_does_not_count() {
        let (key, other) = (SecretKey::from_seed([4; 32]), SecretKey::from_seed([5; 32]));
        let findings = Some(Outcome::Findings);
        // Put in without a word, with its own word, and with that of yet another.
        let own = |register: &Register| SignedIn::of(&other.public().to_string(), DAY, register, &other);
        let mut before = Register::default();
        before.push(chain::next(&before, public(&key), 0).1).unwrap();
        let of = |signed| Entry::Key(Key { public: other.public().to_string(), day: DAY, signed });
        let mut moved = SignedIn::of(&other.public().to_string(), DAY, &before, &key);
        moved.by = other.public().to_string();
        let elsewhere = SignedIn::of(&other.public().to_string(), DAY, &Register::default(), &key);
        for signed in [None, Some(own(&before)), Some(moved), Some(elsewhere)] {
            let folder = with(&[public(&key), of(signed), given(1, None, &other)], None);
            tells(folder.path(), NUMBERS[1], &["is not proved", "no earlier key"], findings);
            tells(folder.path(), &record(1, &other), &["no earlier key"], findings);
        }
        // Not put in at all.
        let folder = with(&[public(&key), given(1, None, &other)], None);
        tells(folder.path(), NUMBERS[1], &["proves nothing", "no key of this program"], findings);
        // Put in by the program's own key.
        let signed = SignedIn::of(&other.public().to_string(), DAY, &before, &key);
        let folder = with(&[public(&key), of(Some(signed)), given(1, None, &other)], None);
        tells(folder.path(), NUMBERS[1], &["counts", "signature on its record"], Some(Outcome::Clear));
    }

    #[test]
    fn a_head_that_was_written_anew_is_told() {
        let (key, other) = (SecretKey::from_seed([4; 32]), SecretKey::from_seed([5; 32]));
        let findings = Some(Outcome::Findings);
        let unsigned = |name: &str| {
            let Entry::Given(mut line) = given(1, None, &key) else { unreachable!() };
            line.name = name.into();
            line.credential = None;
            Entry::Given(line)
        };
        let lines = |name| [public(&key), unsigned(name)];
        let folder = with(&lines("Elena Márquez"), Some(&key));
        let at = folder.path();
        tells(at, NUMBERS[1], &["counts", "register's head"], Some(Outcome::Clear));
        let head = fs::read_to_string(at.join(HEAD)).unwrap();
        // Other lines under the head that was signed, with its numbers put right.
        write(at, &lines("Eve Stranger"), None);
        tells(at, NUMBERS[1], &["is not proved", "Only the chain of hashes"], findings);
        let plain = fs::read_to_string(at.join(HEAD)).unwrap();
        let seal = &head[head.find(",\"seal\"").unwrap()..];
        fs::write(at.join(HEAD), plain.trim_end().trim_end_matches('}').to_owned() + seal).unwrap();
        tells(at, NUMBERS[1], &["proves nothing", "written anew"], findings);
        // Signed by a stranger, and with a signature of another register.
        write(at, &lines("Eve Stranger"), Some(&other));
        tells(at, NUMBERS[1], &["proves nothing", "none of this program's"], findings);
        let forged = head.replace("\"lines\":2,\"hash\":", "\"lines\":1,\"hash\":");
        write(at, &lines("Elena Márquez"), None);
        fs::write(at.join(HEAD), forged.replacen("\"lines\":1", "\"lines\":2", 1)).unwrap();
        tells(at, NUMBERS[1], &["proves nothing", "does not fit"], findings);
    }

    #[test]
    fn what_nobody_signed_is_said_to_be_borne_out_by_the_chain_alone() {
        let key = SecretKey::from_seed([4; 32]);
        let Entry::Given(mut line) = given(1, None, &key) else { unreachable!() };
        line.credential = None;
        let folder = with(&[Entry::Given(line)], None);
        tells(
            folder.path(),
            NUMBERS[1],
            &["counts", "has no key", "Only the chain of hashes"],
            Some(Outcome::Clear),
        );
    }

    #[test]
    fn a_head_that_counts_no_lines_and_has_the_hash_of_one_is_told() {
        let folder = with(&[public(&SecretKey::from_seed([4; 32]))], None);
        let head = fs::read_to_string(folder.path().join(HEAD)).unwrap();
        fs::write(folder.path().join(HEAD), head.replace("\"lines\":1", "\"lines\":0")).unwrap();
        tells(folder.path(), NUMBERS[1], &["proves nothing"], Some(Outcome::Findings));
    }

    /// As other issuers write them, with the W3C's data model: one proof by itself, and an end.
    #[test]
    fn a_proof_by_itself_and_an_end_are_understood() {
        use crate::credential::proof;
        let key = SecretKey::from_seed([4; 32]);
        let told = |until: Option<Date>, alone: bool, words: &[&str], outcome: Outcome| {
            let mut record = canonical::read(&record(1, &key)).unwrap();
            let members = record.as_object_mut().unwrap();
            members.remove("proof");
            if let Some(until) = until {
                members.insert("validUntil".into(), format!("{until}T23:59:59Z").into());
            }
            let mut signed = proof::sign(members.clone(), &key);
            if alone {
                signed["proof"] = signed["proof"][0].clone();
            }
            let Entry::Given(mut line) = given(1, None, &key) else { unreachable!() };
            (line.until, line.credential) = (until, Some(signed.clone()));
            let folder = with(&[public(&key), Entry::Given(line)], None);
            tells(folder.path(), &canonical::text(&signed), words, Some(outcome));
            tells(folder.path(), NUMBERS[1], words, Some(outcome));
        };
        told(None, true, &["counts"], Outcome::Clear);
        // On its last day it holds.
        told(Some(date(2026, 7, 1)), false, &["counts"], Outcome::Clear);
        let over = ["was valid until 2026-06-30", "no longer is"];
        told(Some(date(2026, 6, 30)), true, &over, Outcome::Findings);
    }

    #[test]
    fn a_register_that_was_changed_is_told() {
        let folder = program(&SecretKey::from_seed([4; 32]));
        let file = folder.path().join(register::FILE);
        let text = fs::read_to_string(&file).unwrap().replace("Biscuit", "Brisket");
        fs::write(&file, text).unwrap();
        tells(folder.path(), register::FILE, &["not whole"], Some(Outcome::Findings));
        tells(folder.path(), NUMBERS[1], &["register is not whole"], Some(Outcome::Findings));
    }

    #[test]
    fn what_is_nothing_of_the_kind_is_refused_in_a_sentence() {
        let folder = tempfile::tempdir().unwrap();
        let findings = Some(Outcome::Findings);
        let write = |name: &str, bytes: &[u8]| fs::write(folder.path().join(name), bytes).unwrap();
        write("deep.json", "[".repeat(60_000).as_bytes());
        write("long.json", format!("{{\"a\":\"{}\"}}", "a".repeat(100_000)).as_bytes());
        write("bytes.json", &[0xff, 0xfe, 0x00]);
        write("empty.json", b"");
        write("page.pdf", b"%PDF-1.7");
        let at = folder.path();
        tells(at, "deep.json", &["nested too deep"], findings);
        tells(at, "long.json", &["no certificate's record is longer"], findings);
        tells(at, "bytes.json", &["is not the record"], findings);
        tells(at, "empty.json", &["nothing in it"], findings);
        tells(at, "page.pdf", &["is a PDF"], findings);
        tells(at, "{\"a\":1,\"a\":2}", &["stands in it twice"], findings);
        tells(at, "gone.json", &["There is no file gone.json"], None);
        tells(at, ".", &["is a folder"], None);
        let (said, _) = asked(None, at, "{\u{1b}[31m}");
        assert!(!said.contains('\u{1b}'), "{said}");
    }

    #[test]
    fn a_record_cannot_act_on_the_terminal() {
        let key = SecretKey::from_seed([4; 32]);
        let folder = program(&key);
        let given = credential::Claims {
            agency: "Basin\u{1b}[2J",
            title: "A",
            number: "B",
            holder: "C\u{7}",
            companion: None,
            achievement: "D",
            description: "E",
            criteria: "F",
            date: date(2026, 5, 16),
            until: None,
        };
        let (said, _) = asked(None, folder.path(), &canonical::text(&sign_given(&given, &key)));
        assert!(said.trim_end().chars().all(|letter| !letter.is_control()), "{said:?}");
    }
}
