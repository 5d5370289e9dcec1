//! The ranger's decisions of an earlier run: taken in before anything of people is planned, so that none is
//! lost when `scores.csv` is made again.

use super::Trouble;
use super::report::counted;
use crate::hindrance::in_words;
use crate::people::scoring::Scores;
use crate::pieces::{Shelf, scores};
use crate::program::Program;
use crate::program::decisions::{Decisions, Word};
use std::fs;
use std::io::{self, ErrorKind, Write};
use std::path::Path;

/// Reads the `scores.csv` on the private shelf under `into`, if there is one.
///
/// # Errors
/// It cannot be read: then nothing may be made over it.
pub(super) fn take_in(program: &mut Program, into: &Path) -> Result<(), Trouble> {
    let file = into.join(Shelf::Private.name()).join(scores::TABLE);
    let read = match fs::read(&file) {
        Ok(bytes) => Decisions::read(bytes),
        Err(error) if matches!(error.kind(), ErrorKind::NotFound | ErrorKind::NotADirectory) => return Ok(()),
        Err(error) => Err(in_words(&error)),
    };
    program.decisions = read.map_err(|why| {
        Trouble::said(format!(
            "Your decisions in {} cannot be read: {why}. Nothing was made, so that none of them is lost. Mend the file, or move it elsewhere to begin anew.",
            file.display()
        ))
    })?;
    Ok(())
}

/// Tells decisions that are not applied: words that mean nothing, and answers that are gone. Gives how many
/// the ranger has to mend.
pub(super) fn tell(program: &Program, scores: &Scores, out: &mut dyn Write) -> io::Result<usize> {
    let unknown: Vec<usize> = program
        .decisions
        .rows
        .iter()
        .filter(|decided| Word::read(&decided.decision) == Word::Unknown)
        .map(|decided| decided.row)
        .collect();
    if !unknown.is_empty() {
        writeln!(
            out,
            "In scores.csv the decision in {} is neither “right” nor “wrong”: it is kept as it is, and does not count.",
            rows(&unknown)
        )?;
    }
    if !scores.leftover.is_empty() {
        writeln!(
            out,
            "{} in scores.csv on answers that are no longer there: kept at its end, in case they come back.",
            counted(scores.leftover.len(), "decision")
        )?;
    }
    Ok(unknown.len())
}

/// `row 5`, `rows 5, 9 and 12`.
pub(super) fn rows(rows: &[usize]) -> String {
    const MOST: usize = 12;
    let words: Vec<String> = rows.iter().take(MOST).map(usize::to_string).collect();
    match (words.as_slice(), rows.len()) {
        ([row], 1) => format!("row {row}"),
        (_, all) if all > MOST => format!("rows {} and {} more", words.join(", "), all - MOST),
        ([first @ .., last], _) => format!("rows {} and {last}", first.join(", ")),
        ([], _) => "no row".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::rows;

    #[test]
    fn rows_are_listed_in_words() {
        assert_eq!(rows(&[5]), "row 5");
        assert_eq!(rows(&[5, 9, 12]), "rows 5, 9 and 12");
        assert!(rows(&(1..30).collect::<Vec<_>>()).ends_with("12 and 17 more"));
    }
}
