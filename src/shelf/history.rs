//! Adding to the history of facts ([`super::chained`] says how).

use super::chained::{self, RecordError};
use crate::program::chained::Chained;
use crate::program::history::{Entry, History};
use std::path::Path;

/// Adds what `decide` says to the history of the program in `folder`, and gives the history with it.
///
/// # Errors
/// Something strange stands there, the history is broken, or it cannot be written. It is then as it was.
pub fn add(folder: &Path, decide: impl FnOnce(&History) -> Vec<Entry>) -> Result<History, RecordError> {
    let decide = |history: &History| Ok::<_, RecordError>(decide(history));
    Ok(chained::add(folder, &|_| None, decide)?.record)
}

/// Looks at the history's folder and files before anything is written: no link may stand there.
///
/// # Errors
/// What stands there.
pub fn check(folder: &Path) -> Result<(), RecordError> {
    chained::check(History::kind(), folder)
}

#[cfg(test)]
mod tests {
    use super::super::chained::Trouble;
    use super::*;
    use crate::program::history::{FILE, Gone, HEAD, State};
    use jiff::civil::date;
    use std::fs;

    fn was(value: &str) -> Entry {
        let name = "rope-length".to_owned();
        let state = State {
            name,
            at: None,
            value: value.into(),
            limit: Some("at most".into()),
            worked_from: None,
            source: Some("Basin rule 4.2".into()),
            as_of: Some(date(2026, 3, 1)),
            read: None,
            day: date(2026, 3, 2),
        };
        Entry::Fact(Box::new(state))
    }

    fn gone() -> Entry {
        Entry::Gone(Gone { name: "rope-length".into(), at: None, day: date(2026, 4, 1) })
    }

    #[test]
    fn what_was_added_is_read_back_and_asked_for() {
        let folder = tempfile::tempdir().unwrap();
        add(folder.path(), |_| vec![was("6 ft")]).unwrap();
        let history = add(folder.path(), |_| vec![was("8 ft")]).unwrap();
        let which = ("rope-length".to_owned(), None);
        assert_eq!(history.last(&which).map(State::words).as_deref(), Some("at most 8 ft"));
        assert_eq!(history.of(&which).collect::<Vec<_>>(), [&was("6 ft"), &was("8 ft")]);
        let history = add(folder.path(), |_| vec![gone()]).unwrap();
        assert_eq!((history.last(&which), history.standing().count()), (None, 0));
        let lines = fs::read_to_string(folder.path().join(FILE)).unwrap();
        let first = lines.lines().next().unwrap();
        assert!(first.starts_with(r#"{"format":1,"line":1,"fact":{"name":"rope-length","value":"6 ft","#));
    }

    /// What was changed is never written over: nothing is added to it.
    #[test]
    fn a_chain_that_is_broken_is_left_as_it_is() {
        type Change = fn(&mut Vec<String>);
        let changes: [(Change, &str); 4] = [
            (
                |lines| lines[0] = lines[0].replace("6 ft", "9 ft"),
                "history-broken: Line 1 of the history of facts was changed",
            ),
            (|lines| drop(lines.remove(0)), "history-broken: Line 1 of the history of facts does not follow"),
            (|lines| drop(lines.pop()), "history-cut: The history of facts has 1 of its 2 lines"),
            (|lines| lines[1] = lines[1].replace("\"format\":1", "\"format\":2"), "history-newer: Line 2 of"),
        ];
        for (change, expected) in changes {
            let folder = tempfile::tempdir().unwrap();
            add(folder.path(), |_| vec![was("6 ft"), was("8 ft")]).unwrap();
            let file = folder.path().join(FILE);
            let text = fs::read_to_string(&file).unwrap();
            let mut lines: Vec<String> = text.lines().map(|line| format!("{line}\n")).collect();
            change(&mut lines);
            fs::write(&file, lines.concat()).unwrap();
            let head = fs::read(folder.path().join(HEAD)).unwrap();
            let error = add(folder.path(), |_| vec![was("10 ft")]).unwrap_err();
            let Trouble::Broken(faults) = &error.why else { panic!("{error}") };
            let told = format!("{}: {}", faults[0].rule, faults[0].message);
            assert!(told.starts_with(expected), "{told}");
            assert!(error.to_string().contains("The history of facts was not written."), "{error}");
            assert_eq!(fs::read_to_string(&file).unwrap(), lines.concat());
            assert_eq!(fs::read(folder.path().join(HEAD)).unwrap(), head);
        }
    }

    #[test]
    fn wherever_writing_stops_the_history_is_whole() {
        use crate::disk::trial::{Stop, at_each_step};
        use crate::program::chained::parse;
        for stop in [Stop::Full, Stop::Killed] {
            let begin = || {
                let folder = tempfile::tempdir().unwrap();
                add(folder.path(), |_| vec![was("6 ft")]).unwrap();
                folder
            };
            let write = |folder: &tempfile::TempDir| add(folder.path(), |_| vec![was("8 ft"), gone()]);
            let steps = at_each_step(stop, begin, write, |folder, stopped, _| {
                let text = |file: &str| fs::read_to_string(folder.path().join(file)).ok();
                let (history, faults) = parse::<History>(text(FILE).as_deref(), text(HEAD).as_deref());
                assert!(faults.is_empty(), "{stop:?} at {stopped:?}: {faults:?}");
                assert!((1..=3).contains(&history.lines().len()));
            });
            assert!(steps >= 5, "only {steps} steps were tried");
        }
    }
}
