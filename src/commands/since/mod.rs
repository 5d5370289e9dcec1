//! `since`: what changed since an earlier making, sentence by sentence, and which printed pieces are out of date.

mod lines;
mod tables;

use super::arguments::SinceArguments;
use super::{CommandError, Outcome, open_or_tell};
use crate::disk;
use crate::io_error::in_words;
use crate::job;
use crate::session::{Environment, Session};
use crate::since::Comparison;
use std::io::Write;
use std::path::Path;

/// The form in which the comparison is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, clap::ValueEnum)]
pub enum SinceAs {
    /// Lines, for reading
    #[default]
    Text,
    /// JSON, for other programs
    Json,
}

pub fn run(
    asked: &SinceArguments,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    let is_text = asked.tell_as == SinceAs::Text;
    // Before the work is done.
    asked.to.iter().try_for_each(|file| form_of(file).map(drop))?;
    let folders = (asked.program.folder.as_deref(), None);
    let Some(mut session) = open_or_tell(folders, is_text, environment, out)? else {
        return Ok(Outcome::NotDone);
    };
    let comparison = session.since(&asked.old)?;
    if is_text {
        lines::write(&comparison, environment.terminal, out)?;
    } else {
        writeln!(out, "{:#}", job::data(&comparison))?;
    }
    for file in &asked.to {
        write_to(file, &session, &comparison)?;
        if is_text {
            writeln!(out, "Written to {}.", file.display())?;
        }
    }
    Ok(if comparison.is_clear() { Outcome::Clear } else { Outcome::Findings })
}

/// What a file is written as.
enum Form {
    Workbook,
    Print,
}

fn form_of(file: &Path) -> Result<Form, CommandError> {
    let ending = file.extension().and_then(|ending| ending.to_str()).map(str::to_ascii_lowercase);
    match ending.as_deref() {
        Some("xlsx") => Ok(Form::Workbook),
        Some("pdf") => Ok(Form::Print),
        _ => Err(CommandError::said(format!(
            "{}: name a file that ends in .xlsx, for a spreadsheet, or in .pdf, to print.",
            file.display()
        ))),
    }
}

fn write_to(file: &Path, session: &Session, comparison: &Comparison) -> Result<(), CommandError> {
    let path = file.file_name().map(|name| name.to_string_lossy().to_lowercase()).unwrap_or_default();
    let (bytes, findings) = match form_of(file)? {
        Form::Workbook => (session.workbook(tables::of(comparison), &path)?, Vec::new()),
        Form::Print => session.reprint_list(comparison, &path)?,
    };
    if bytes.is_empty() {
        let why: Vec<String> = findings.into_iter().map(|finding| finding.message).collect();
        return Err(CommandError::said(format!("{} could not be made. {}", file.display(), why.join(" "))));
    }
    disk::write_for_user(file, &bytes).map_err(|error| {
        CommandError::said(format!("{} could not be written: {}.", file.display(), in_words(&error.source)))
    })
}
