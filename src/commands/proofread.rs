//! `packstring proofread`: reads everything as an editor would, and says what is to be mended.

use super::progress::Bar;
use super::report::{As, Report};
use super::{CommandError, Outcome};
use crate::session::{Coverage, Environment, Partly, Progress, Session, SessionError};
use std::io::{self, Write};
use std::path::Path;

/// What is asked of the command.
#[derive(Clone, Copy, Debug, Default)]
pub struct ProofreadOptions {
    pub form: As,
    /// A warning also fails.
    pub for_press: bool,
    /// Leave out what only laying out can tell.
    pub no_layout: bool,
}

/// Proofreads a program and tells what was found: a person is told at once what is known at once, and then what
/// laying out finds.
pub fn run(
    folder: Option<&Path>,
    asked: ProofreadOptions,
    environment: &Environment,
    out: &mut dyn Write,
) -> Result<Outcome, CommandError> {
    let ProofreadOptions { form, for_press, no_layout } = asked;
    let bold = environment.terminal;
    let session = match Session::open(folder, None, environment) {
        Ok(session) => session,
        Err(SessionError::Unread(unread)) => {
            let partly = Partly::of(&unread, environment.today);
            let report =
                Report { figures: partly.figures, ..Report::of(&partly.findings, &unread.sources, None) };
            report.write(form, bold, out)?;
            return Ok(report.outcome(for_press));
        }
        Err(error) => return Err(error.into()),
    };
    let known = session.know();
    let sources = &session.program().sources;
    let looked = Some(Coverage::of(&known.understood));
    if no_layout {
        let report = Report::of(&known.findings, sources, looked);
        report.write(form, bold, out)?;
        return Ok(report.outcome(for_press));
    }

    let bar = Bar::new(environment);
    let mut written: io::Result<()> = Ok(());
    let findings = session.proofread(&known, &mut |progress| match progress {
        Progress::Found(findings) if form == As::Text => {
            written = Report::of(findings, sources, looked).write_first(bold, out).and_then(|()| out.flush());
        }
        progress => bar.show(progress),
    });
    bar.clear();
    written?;
    let findings = findings?;
    let report = Report::of(&findings, sources, looked);
    match form {
        As::Text => report.write_rest(&known.findings, bold, out)?,
        As::Json | As::Sarif => report.write(form, bold, out)?,
    }
    Ok(report.outcome(for_press))
}
