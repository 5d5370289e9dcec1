//! What was given to be checked: a number, a record, a code or a register, by what it looks like.

use super::super::super::CommandError;
use crate::credential::number::Number;
use crate::credential::{canonical, packed};
use crate::disk;
use crate::io_error::in_words;
use crate::session::Environment;
use std::io::{self, Read};

/// No register is longer; a file that is can only be something else.
const MOST_BYTES: u64 = 256 * 1024 * 1024;

/// What was given to be checked.
pub(super) enum What {
    Number(Number),
    /// A record, or what should be one.
    Text(String),
    /// What a code holds.
    Code(String),
    /// A register's file.
    Register(String),
}

/// Finds out what was given; the inner error is a sentence about it.
pub(super) fn understand(
    given: &str,
    environment: &Environment,
) -> Result<Result<What, String>, CommandError> {
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
pub(super) fn sort(text: &str) -> Result<What, String> {
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

pub(super) fn unreadable(name: &str, error: &io::Error) -> CommandError {
    CommandError::said(format!("{name} cannot be read: {}.", in_words(error)))
}
