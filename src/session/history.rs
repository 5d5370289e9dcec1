//! The history of facts written on: what a making has printed is what the facts are.

use super::Environment;
use crate::finding::{Finding, Place, rules};
use crate::io_error::in_words;
use crate::program::History;
use crate::program::history::FILE;
use crate::shelf::chained::{RecordError, Trouble};
use crate::shelf::history;
use crate::understand::Understood;
use crate::understand::history::news;

/// Adds to the history what the facts are by now, where it does not say so yet. One that is broken was told when it
/// was read, and is left as it is. Gives the history with what was added; none where nothing was.
///
/// # Errors
/// A finding: it could not be written. What was made is made.
pub(super) fn write_on(
    understood: &Understood,
    environment: &Environment,
) -> Result<Option<History>, Box<Finding>> {
    let (program, today) = (understood.root, environment.today);
    let known = &program.history;
    let is_new = known.left.head_lags || !news(understood, known, today).is_empty();
    if known.is_broken || !is_new {
        return Ok(None);
    }
    // Another run may have written some of it meanwhile.
    let added = history::add(&program.folder, |history| news(understood, history, today));
    added.map(Some).map_err(|error| Box::new(unwritten(&error)))
}

fn unwritten(error: &RecordError) -> Finding {
    let message = match &error.why {
        Trouble::Disk { doing, file, source } => format!(
            "The facts could not be added to their history: could not {doing} {}: {}.",
            file.display(),
            in_words(source)
        ),
        Trouble::Broken(_) | Trouble::Strange(_) => {
            format!("What the facts are could not be added to their history. {error}")
        }
    };
    let mend = "The pieces are made all the same. Check the disk and who may write there, and make again.";
    Finding::of(&rules::HISTORY_UNWRITTEN, Place::whole(FILE), message).mend(mend)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::disk::trial::{Stop, at_each_step};
    use crate::program;
    use jiff::civil::date;
    use std::fs;
    use std::path::Path;

    /// The smallest program that has a fact.
    fn folder() -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        let sound = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/proof/sound");
        for entry in walkdir::WalkDir::new(&sound).min_depth(1) {
            let entry = entry.unwrap();
            let to = folder.path().join(entry.path().strip_prefix(&sound).unwrap());
            match entry.file_type().is_dir() {
                true => fs::create_dir(to).unwrap(),
                false => drop(fs::copy(entry.path(), to).unwrap()),
            }
        }
        folder
    }

    fn written(folder: &Path) -> Result<Option<History>, Box<Finding>> {
        let program = program::open(folder).unwrap();
        let here =
            Environment { today: date(2026, 3, 2), folder: folder.into(), terminal: false, keys: None };
        write_on(&Understood::new(&program), &here)
    }

    #[test]
    fn a_history_that_cannot_be_written_is_a_finding_and_is_written_the_next_time() {
        let steps = at_each_step(
            Stop::Full,
            folder,
            |folder| written(folder.path()),
            |folder, stopped, done| {
                match (stopped, done) {
                    (None, done) => assert!(done.is_ok_and(|history| history.is_some())),
                    (Some(step), Ok(_)) => panic!("{step} was not told"),
                    (Some(_), Err(finding)) => {
                        assert_eq!(finding.rule, &rules::HISTORY_UNWRITTEN);
                        assert!(finding.message.contains("the disk is full"), "{}", finding.message);
                    }
                }
                written(folder.path()).unwrap();
                assert!(written(folder.path()).unwrap().is_none(), "all is written down by then");
            },
        );
        assert!(steps >= 4, "only {steps} steps were tried");
    }
}
