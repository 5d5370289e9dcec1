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
        let mut known = LaidOut::read(&self.out);
        let mut seen = BTreeSet::new();
        let mut findings = Vec::new();
        tell(Progress::Files(jobs.len()));
        for job in jobs {
            tell(Progress::Making(&job.path));
            let sheet = sheet_of(job);
            let fingerprint =
                sheet.and_then(|_| Some(press.plan(job).outputs().first()?.fingerprint.clone()));
            let remembered = fingerprint.as_deref().and_then(|from| recall(job, sheet?, known.of(from)?));
            let found = match remembered {
                Some(found) => found,
                None => {
                    let found = press.measure(job)?;
                    let noted = sheet.and_then(|sheet| {
                        found.iter().map(|finding| note(job, sheet, finding)).collect::<Option<Vec<_>>>()
                    });
                    if let (Some(fingerprint), Some(noted)) = (&fingerprint, noted) {
                        known.note(fingerprint, noted);
                    }
                    found
                }
            };
            findings.extend(found);
            seen.extend(fingerprint);
            tell(Progress::Done);
        }
        known.keep_only(|fingerprint| seen.contains(fingerprint));
        known.write(&self.out);
        Ok(findings)
    }
}

/// The sheet that a job lays out by itself.
fn sheet_of(job: &Job) -> Option<&Sheet> {
    match &job.make {
        Make::Sheet(sheet) | Make::Drawing(sheet) => Some(sheet),
        _ => None,
    }
}

/// A finding without the place in its file; nothing where its place is none that the sheet names.
fn note(job: &Job, sheet: &Sheet, finding: &Finding) -> Option<Found> {
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
fn recall(job: &Job, sheet: &Sheet, found: &[Found]) -> Option<Vec<Finding>> {
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
