//! `packstring front-desk`: opens the desk, tells its address, and has the browser open it.

use super::{CommandError, Outcome};
use crate::desk::{self, DeskError};
use crate::io_error::in_words;
use crate::session::Environment;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// Opens the desk and serves it until it is closed.
pub fn run(
    folder: Option<&Path>,
    into: Option<&Path>,
    opens_browser: bool,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    let Environment { today, folder: current, terminal, keys } = environment;
    let environment =
        Environment { today: *today, folder: current.clone(), terminal: *terminal, keys: keys.clone() };
    let mut opened = |link: &str| {
        // At once, so that whoever reads only the link may stop reading then.
        let told = format!(
            "The front desk is open on this computer:\n  {link}\nThe link works once. Close the desk with Ctrl-C.\n"
        );
        out.write_all(told.as_bytes())?;
        out.flush()?;
        if opens_browser && !open_in_browser(link) {
            writeln!(out, "No browser could be started. Open the link in one.")?;
            out.flush()?;
        }
        Ok(())
    };
    let named = |path: Option<&Path>| path.map(Path::to_owned) as Option<PathBuf>;
    match desk::serve(named(folder), named(into), environment, &mut opened) {
        Ok(()) => Ok(Outcome::Clear),
        Err(DeskError::Session(error)) => Err(error.into()),
        Err(DeskError::Server(error)) => Err(CommandError::said(format!(
            "The front desk could not be opened: {}. Check that this computer lets programs listen on 127.0.0.1.",
            in_words(&error)
        ))),
    }
}

/// Hands the link to whatever the system opens links with. Gives whether that could be started.
fn open_in_browser(link: &str) -> bool {
    let (program, before): (_, &[&str]) = match std::env::consts::OS {
        // The first word in quotation marks would be taken for a title.
        "windows" => ("cmd", &["/C", "start", ""]),
        "macos" => ("open", &[]),
        _ => ("xdg-open", &[]),
    };
    let mut command = Command::new(program);
    command.args(before).arg(link);
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null()).spawn().is_ok()
}
