//! `completions`: what lets a shell complete the commands, and the pages of the manual; both made by the argument
//! parser's own libraries.

use super::{CommandError, Outcome, help};
use crate::disk::{LaidFile, lay_out};
use crate::session::{Environment, SessionError};
use clap_complete::Shell;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Writes the completions of a shell.
///
/// # Errors
/// The output cannot be written.
pub fn run(shell: Shell, out: &mut dyn Write) -> Result<Outcome, CommandError> {
    // The generator gives up on an output that fails; a reader that has gone away is told from that.
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut help::command(), "packstring", &mut script);
    out.write_all(&script)?;
    Ok(Outcome::Clear)
}

/// Writes the manual into a folder, a page for each command: `packstring.1`, `packstring-make.1`.
///
/// # Errors
/// The folder cannot be written to, or has such pages already.
pub fn write_manual(
    folder: &Path,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    let mut commands = help::command();
    // gives those below others the names of their pages
    commands.build();
    let mut pages = Vec::new();
    page(&commands, &mut pages)?;
    let files: Vec<LaidFile> = pages.iter().map(|(path, page)| LaidFile::shared(path, page)).collect();
    lay_out(&environment.folder.join(folder), &environment.folder, &files)
        .map_err(|why| SessionError::not_laid_out(&why, folder))?;
    writeln!(out, "{} pages of the manual are in {}.", files.len(), folder.display())?;
    writeln!(out, "Read the first with: man {}", folder.join("packstring.1").display())?;
    Ok(Outcome::Clear)
}

/// The page of a command, and of each below it.
fn page(command: &clap::Command, pages: &mut Vec<(PathBuf, Vec<u8>)>) -> Result<(), CommandError> {
    let name = command.get_display_name().unwrap_or(command.get_name());
    let mut bytes = Vec::new();
    clap_mangen::Man::new(command.clone()).render(&mut bytes)?;
    pages.push((PathBuf::from(format!("{name}.1")), bytes));
    command.get_subcommands().try_for_each(|below| page(below, pages))
}
