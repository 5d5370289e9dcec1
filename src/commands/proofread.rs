//! `packstring proofread`: reads everything as an editor would, and says what is to be mended.

use super::progress::Bar;
use super::report::{As, Report};
use super::{CommandError, Outcome};
use crate::session::{Coverage, Environment, Session, SessionError};
use std::io::Write;
use std::path::Path;

/// Proofreads a program and tells what was found; with `for_press` a warning also fails.
pub fn run(
    folder: Option<&Path>,
    form: As,
    for_press: bool,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    let session = match Session::open(folder, None, environment) {
        Ok(session) => session,
        Err(SessionError::Unread(unread)) => {
            let report = Report { findings: &unread.mistakes, sources: &unread.sources, looked: None };
            report.write(form, environment.terminal, out)?;
            return Ok(report.outcome(for_press));
        }
        Err(error) => return Err(error.into()),
    };
    let known = session.know();
    let bar = Bar::new(environment);
    let findings = session.proofread(&known, &mut |progress| bar.show(progress))?;
    bar.clear();
    let looked = Some(Coverage::of(&known.understood));
    let report = Report { findings: &findings, sources: &session.program().sources, looked };
    report.write(form, environment.terminal, out)?;
    Ok(report.outcome(for_press))
}
