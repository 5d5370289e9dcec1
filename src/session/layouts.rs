//! What laying out found, remembered from run to run.

use super::{Progress, Session, SessionError, Tell};
use crate::finding::rules::OF_LAYING_OUT;
use crate::finding::{Finding, Level, Place};
use crate::job::{Job, Make, Sheet};
use crate::press::Press;
use crate::shelf::laid_out::{Found, LaidOut};
use std::collections::BTreeSet;

impl Session<'_> {
    /// What laying out finds in these jobs. What was laid out before from just the same is not laid out again.
    pub(super) fn measure(
        &self,
        jobs: &[Job],
        press: &Press,
        tell: Tell,
    ) -> Result<Vec<Finding>, SessionError> {
        let mut known = LaidOut::read(&self.out, &self.program.folder)?;
        press.take_fits(known.fits().iter().cloned());
        let fingerprints: Vec<Option<String>> = jobs.iter().map(|job| fingerprint(job, press)).collect();
        let mut found: Vec<Option<Vec<Finding>>> = jobs
            .iter()
            .zip(&fingerprints)
            .map(|(job, from)| match from {
                Some(from) => recall(job, known.of(from)?),
                // Other sheets show its pages, and tell of them.
                None => Some(Vec::new()),
            })
            .collect();
        let anew: Vec<usize> = (0..jobs.len()).filter(|at| found[*at].is_none()).collect();
        let to_measure: Vec<&Job> = anew.iter().map(|at| &jobs[*at]).collect();
        tell(Progress::Files(anew.len()));
        press.measure_all(&to_measure, &mut |which, findings| {
            let job = to_measure[which];
            tell(Progress::Making(&job.path));
            let noted: Option<Vec<_>> = findings.iter().map(|finding| note(job, finding)).collect();
            if let (Some(from), Some(noted)) = (&fingerprints[anew[which]], noted) {
                known.note(from, noted);
            }
            found[anew[which]] = Some(findings);
            tell(Progress::Done);
        })?;
        let seen: BTreeSet<&str> = fingerprints.iter().flatten().map(String::as_str).collect();
        known.keep_only(|from| seen.contains(from));
        known.note_fits(press.fits());
        known.write(&self.out);
        Ok(found.into_iter().flatten().flatten().collect())
    }
}

/// What stands for all that a sheet is laid out from; nothing where a job lays out none by itself.
fn fingerprint(job: &Job, press: &Press) -> Option<String> {
    sheet_of(job)?;
    press.plan(job).outputs().first().map(|output| output.fingerprint.clone())
}

/// The sheet that a job lays out by itself.
fn sheet_of(job: &Job) -> Option<&Sheet> {
    match &job.make {
        Make::Sheet(sheet) | Make::Drawing(sheet) => Some(sheet),
        _ => None,
    }
}

/// A finding without the place in its file; nothing where its place is none that the sheet names.
fn note(job: &Job, finding: &Finding) -> Option<Found> {
    let sheet = sheet_of(job)?;
    let key = sheet.places.iter().find(|(_, place)| *place == finding.place).map(|(key, _)| key.clone());
    let is_about_all = finding.place == Place::whole(&job.path);
    let is_plain = finding.fact_says.is_none() && finding.instead.is_none() && !finding.stops_press;
    ((key.is_some() || is_about_all) && is_plain).then(|| Found {
        rule: finding.rule.name.to_owned(),
        level: finding.level.word().to_owned(),
        key,
        message: finding.message.clone(),
        says: finding.says.clone(),
        mend: finding.mend.clone(),
    })
}

/// The findings with the places that they have by now; nothing where one cannot be told any more.
fn recall(job: &Job, found: &[Found]) -> Option<Vec<Finding>> {
    let sheet = sheet_of(job)?;
    let one = |found: &Found| {
        let place = match &found.key {
            Some(key) => sheet.places.iter().find(|(name, _)| name == key)?.1.clone(),
            None => Place::whole(&job.path),
        };
        let level =
            [Level::Note, Level::Warning, Level::Error].into_iter().find(|it| it.word() == found.level)?;
        let rule = OF_LAYING_OUT.iter().find(|rule| rule.name == found.rule)?;
        let finding = Finding::of(rule, place, found.message.clone()).weighs(level);
        Some(Finding { mend: found.mend.clone(), ..finding.says(found.says.clone()) })
    };
    found.iter().map(one).collect()
}
