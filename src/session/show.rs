//! Pages of a piece, to be looked at: nothing is put away, and nobody is credited.

use super::{Known, Session, SessionError};
use crate::finding::Finding;
use crate::job::Job;
use crate::pieces::{self, Selection, certificates};
use crate::program::settings::Event;
use crate::understand::Understood;

/// The pages of a file as they would be printed.
#[derive(Debug, Default)]
pub struct Shown {
    /// One drawing a page, as SVG; none where the file is held.
    pub pages: Vec<String>,
    /// What laying out found.
    pub findings: Vec<Finding>,
}

impl Session<'_> {
    /// Lays out the file at a path below its shelf (`handouts/water.pdf`), of what is selected and known.
    ///
    /// # Errors
    /// There is no such file among what is selected, or it has no pages; or the theme cannot set it.
    pub fn show(&self, known: &Known, selection: Selection, path: &str) -> Result<Shown, SessionError> {
        let press = self.press()?;
        let selection = self.worded(selection)?;
        let jobs = pieces::plan(&known.understood, &known.scores, &selection);
        let is_it = |job: &&Job| job.path == path;
        let Some(job) = jobs.iter().find(is_it) else {
            return Err(SessionError::said(format!("Nothing that is selected gives a file {path}.")));
        };
        let (pages, findings) = press.show(job)?;
        Ok(Shown { pages, findings })
    }

    /// The certificate of an event as it would look with a name and a companion that somebody is typing. It says
    /// “specimen”; no register knows of it.
    ///
    /// # Errors
    /// The theme cannot set it.
    pub fn show_certificate(
        &self,
        understood: &Understood,
        event: &Event,
        (name, companion): (&str, Option<&str>),
    ) -> Result<Shown, SessionError> {
        let press = self.press()?;
        let selection = self.worded(Selection { specimen: true, ..Selection::default() })?;
        let job = certificates::typed(understood, &selection, event, (name, companion));
        let (pages, findings) = press.show(&job)?;
        Ok(Shown { pages, findings })
    }
}
