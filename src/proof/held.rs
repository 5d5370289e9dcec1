//! Which rows of the roster are held for what stands in them: nobody is credited under a name that cannot be right.
//!
//! A rule that a program turns off holds nothing: then the ranger knows that the name is right.

use super::{letters_garbled, name_miswritten, name_none, name_several};
use crate::finding::{Finding, Place, Rule};
use crate::program::Program;
use crate::program::roster::{Field, Participant};
use std::collections::BTreeSet;
use std::ops::Range;

/// The rules whose findings hold a row.
static HOLDING: [&Rule; 4] =
    [&letters_garbled::RULE, &name_miswritten::RULE, &name_none::RULE, &name_several::RULE];

/// The rows that are held, by the places of their names, and the findings that hold them.
pub fn held_rows(program: &Program, findings: &[Finding]) -> (BTreeSet<Place>, Vec<Finding>) {
    let roster = &program.people.roster;
    let holding = |finding: &&Finding| {
        HOLDING.contains(&finding.rule)
            && roster.table.as_ref().is_some_and(|table| table.file == finding.place.file)
    };
    let holding: Vec<&Finding> = findings.iter().filter(holding).collect();
    if holding.is_empty() {
        return (BTreeSet::new(), Vec::new());
    }
    let (mut rows, mut told) = (BTreeSet::new(), Vec::new());
    for row in &roster.rows {
        let Some(cells) = roster.row(row.row).map(|row| row.cells()) else { continue };
        let ends = cells.map(|cell| cell.source_range()).fold(None, |ends: Option<Range<usize>>, cell| {
            Some(ends.map_or(cell.clone(), |ends| ends.start..cell.end))
        });
        let Some(range) = ends else { continue };
        let first = holding.partition_point(|finding| finding.place.range.start < range.start);
        let of_row = holding[first..].iter().take_while(|finding| finding.place.range.start <= range.end);
        let of_name =
            of_row.filter(|finding| finding.rule == &name_several::RULE || is_of_name(program, row, finding));
        let of_row: Vec<Finding> = of_name.map(|finding| (*finding).clone()).collect();
        if !of_row.is_empty() {
            rows.insert(row.place.clone());
            if row.attended {
                told.extend(of_row);
            }
        }
    }
    (rows, told)
}

/// Whether a finding is about the name or the companion of a row, and not about its address.
fn is_of_name(program: &Program, row: &Participant, finding: &Finding) -> bool {
    let roster = &program.people.roster;
    let columns =
        roster.columns.iter().filter(|column| matches!(column.field(), Some(Field::Name | Field::Companion)));
    let mut cells = columns.filter_map(|column| Some(roster.row(row.row)?.cell(column.at)?.place()));
    cells.any(|cell| (cell.range.start..=cell.range.end).contains(&finding.place.range.start))
}
