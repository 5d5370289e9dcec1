//! The ranger's decisions on answers, as they are told.

use super::report::counted;
use crate::pieces::scores;
use crate::program::Program;
use crate::session::unknown_decisions;
use std::io::{self, Write};

/// Tells decisions that are not applied: words that mean nothing, and answers that are gone.
pub(super) fn tell(program: &Program, left_over: usize, out: &mut dyn Write) -> io::Result<()> {
    let unknown = unknown_decisions(program);
    if !unknown.is_empty() {
        writeln!(
            out,
            "In {} the decision in {} is neither “right” nor “wrong”: it is kept, but it does not count.",
            program.people.decisions.file,
            rows(&unknown)
        )?;
    }
    if left_over > 0 {
        writeln!(
            out,
            "{} in {} on answers that are no longer there: kept at the end of {}, in case they come back.",
            counted(left_over, "decision"),
            program.people.decisions.file,
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
