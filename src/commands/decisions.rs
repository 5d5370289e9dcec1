//! The ranger's decisions of an earlier run: taken in before anything of people is planned, so that none is
//! lost when `scores.csv` is made again.

use super::Trouble;
use super::report::counted;
use crate::hindrance::in_words;
use crate::people::scoring::Scores;
use crate::pieces::{Shelf, scores};
use crate::program::Program;
use crate::program::decisions::{Decisions, Word};
use crate::program::tables;
use crate::shelf::is_as_made;
use std::fs;
use std::io::{self, Write};
use std::path::Path;

/// Reads the `scores.csv` on the private shelf under `into`, if there is one, or what a spreadsheet has saved
/// beside it.
///
/// # Errors
/// It cannot be read, or it is not sure which file counts: then nothing may be made over it.
pub(super) fn take_in(program: &mut Program, into: &Path) -> Result<(), Trouble> {
    let shelf = into.join(Shelf::Private.name());
    let is_there = |name: &String| shelf.join(name).symlink_metadata().is_ok();
    let names: Vec<String> = tables::ENDINGS.iter().map(|ending| in_form(ending)).filter(is_there).collect();
    let old = in_form("xls");
    if is_there(&old) {
        let why = "packstring does not read workbooks of that old form. Save it as .xlsx or .csv".to_owned();
        return Err(unread(&shelf.join(old), &why));
    }
    program.decisions = match names.as_slice() {
        [] => return Ok(()),
        [only] => decisions_in(&shelf, only)?,
        [made, saved] if made == scores::TABLE && is_as_made(into, Shelf::Private, made) => {
            // A spreadsheet has saved it in another form, and packstring's own was not touched since.
            let saved = decisions_in(&shelf, saved)?;
            if !decisions_in(&shelf, made)?.are_all_in(&saved) {
                return Err(two_files(&shelf, &names));
            }
            saved
        }
        _ => return Err(two_files(&shelf, &names)),
    };
    Ok(())
}

/// The table's name with another ending.
fn in_form(ending: &str) -> String {
    Path::new(scores::TABLE).with_extension(ending).to_string_lossy().into_owned()
}

fn decisions_in(shelf: &Path, name: &str) -> Result<Decisions, Trouble> {
    let file = shelf.join(name);
    let read = fs::read(&file).map_err(|error| in_words(&error));
    read.and_then(|bytes| Decisions::read(name, bytes)).map_err(|why| unread(&file, &why))
}

fn unread(file: &Path, why: &str) -> Trouble {
    Trouble::said(format!(
        "Your decisions in {} cannot be read: {why}. Nothing was made, so that none of them is lost. Mend the file, or move it elsewhere to begin anew.",
        file.display()
    ))
}

fn two_files(shelf: &Path, names: &[String]) -> Trouble {
    Trouble::said(format!(
        "In {} stand {}, and only one of them can hold your decisions. Nothing was made, so that none of them is lost. Move the others elsewhere.",
        shelf.display(),
        names.join(" and ")
    ))
}

/// The rows of decisions that are neither of the words that packstring knows.
pub(super) fn unknown(program: &Program) -> Vec<usize> {
    let rows = program.decisions.rows.iter();
    rows.filter(|decided| Word::read(&decided.decision) == Word::Unknown).map(|decided| decided.row).collect()
}

/// Tells decisions that are not applied: words that mean nothing, and answers that are gone.
pub(super) fn tell(program: &Program, scored: &Scores, out: &mut dyn Write) -> io::Result<()> {
    let unknown = unknown(program);
    if !unknown.is_empty() {
        writeln!(
            out,
            "In {} the decision in {} is neither “right” nor “wrong”: it is kept as it is, and does not count.",
            program.decisions.file,
            rows(&unknown)
        )?;
    }
    if !scored.leftover.is_empty() {
        writeln!(
            out,
            "{} in {} on answers that are no longer there: kept at the end of {}, in case they come back.",
            counted(scored.leftover.len(), "decision"),
            program.decisions.file,
            scores::TABLE
        )?;
    }
    Ok(())
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
