//! Which rows of the roster are held for what stands in them: nobody is credited under a name that cannot be right.
//!
//! A rule that a program turns off holds nothing: then the ranger knows that the name is right.

use super::{credit_contradicted, letters_garbled, name_miswritten, name_none, name_several};
use crate::finding::{Finding, Level, Place, Rule, rules};
use crate::people::plain_name;
use crate::program::Program;
use crate::program::roster::{Field, Participant};
use std::collections::BTreeSet;
use std::ops::Range;

/// The rules whose findings hold a row.
static HOLDING: [&Rule; 6] = [
    &credit_contradicted::RULE,
    &letters_garbled::RULE,
    &name_miswritten::RULE,
    &name_none::RULE,
    &name_several::RULE,
    &rules::CELL_BROKEN,
];

/// The rows that are held, by the places of their names, and the findings that hold them.
pub fn held_rows(program: &Program, findings: &[Finding]) -> (BTreeSet<Place>, Vec<Finding>) {
    let roster = &program.people.roster;
    let (mut rows, mut told) = (BTreeSet::new(), Vec::new());
    let holding = |finding: &&Finding| {
        HOLDING.contains(&finding.rule)
            && finding.level > Level::Note
            && roster.table.as_ref().is_some_and(|table| table.file == finding.place.file)
    };
    let holding: Vec<&Finding> = findings.iter().filter(holding).collect();
    hold_hidden(program, findings, &mut rows, &mut told);
    hold_hours(program, findings, &mut rows, &mut told);
    hold_doubtful(program, findings, &mut rows, &mut told);
    if holding.is_empty() {
        return (rows, told);
    }
    for row in &roster.rows {
        let Some(cells) = roster.row(row.row).map(|row| row.cells()) else { continue };
        let ends = cells.map(|cell| cell.source_range()).fold(None, |ends: Option<Range<usize>>, cell| {
            Some(ends.map_or(cell.clone(), |ends| ends.start..cell.end))
        });
        let Some(range) = ends else { continue };
        let first = holding.partition_point(|finding| finding.place.range.start < range.start);
        let of_row = holding[first..].iter().take_while(|finding| finding.place.range.start <= range.end);
        let of_any_cell = [&name_several::RULE, &credit_contradicted::RULE];
        let of_name =
            of_row.filter(|finding| of_any_cell.contains(&finding.rule) || is_of_name(program, row, finding));
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

/// Rows that a workbook hides: whoever hid them may have meant that they are out.
fn hold_hidden(program: &Program, findings: &[Finding], rows: &mut BTreeSet<Place>, told: &mut Vec<Finding>) {
    let roster = &program.people.roster;
    let Some(table) = &roster.table else { return };
    let of_roster =
        |finding: &&Finding| finding.rule == &rules::ROWS_HIDDEN && finding.place.file == table.file;
    let Some(finding) = findings.iter().find(of_roster) else { return };
    let hidden: Vec<&Participant> = roster.rows.iter().filter(|row| table.is_hidden(row.row)).collect();
    if hidden.iter().any(|row| row.attended) {
        told.push(finding.clone());
    }
    rows.extend(hidden.into_iter().map(|row| row.place.clone()));
}

/// People of the hours file whose name cannot be right: all their entries.
fn hold_hours(program: &Program, findings: &[Finding], rows: &mut BTreeSet<Place>, told: &mut Vec<Finding>) {
    let hours = &program.people.hours;
    let Some(first) = hours.first() else { return };
    let of_hours = |finding: &&Finding| {
        HOLDING.contains(&finding.rule)
            && finding.level > Level::Note
            && finding.place.file == first.place.file
    };
    for finding in findings.iter().filter(of_hours) {
        let Some(service) = hours.iter().find(|service| service.place == finding.place) else { continue };
        let name = plain_name(&service.name);
        let all = hours.iter().filter(|service| plain_name(&service.name) == name);
        rows.extend(all.map(|service| service.place.clone()));
        told.push(finding.clone());
    }
}

/// Entries of the hours file of which another column says otherwise: all entries of these people.
fn hold_doubtful(
    program: &Program,
    findings: &[Finding],
    rows: &mut BTreeSet<Place>,
    told: &mut Vec<Finding>,
) {
    let hours = &program.people.hours;
    let doubtful: BTreeSet<String> =
        hours.iter().filter(|service| service.is_doubtful).map(|service| plain_name(&service.name)).collect();
    let Some(first) = hours.first().filter(|_| !doubtful.is_empty()) else { return };
    let of_hours =
        |finding: &&Finding| finding.rule == &rules::HEADING_RIVAL && finding.place.file == first.place.file;
    told.extend(findings.iter().filter(of_hours).cloned());
    let held = hours.iter().filter(|service| doubtful.contains(&plain_name(&service.name)));
    rows.extend(held.map(|service| service.place.clone()));
}

/// Whether a finding is about the name or the companion of a row, and not about its address.
fn is_of_name(program: &Program, row: &Participant, finding: &Finding) -> bool {
    let roster = &program.people.roster;
    let columns =
        roster.columns.iter().filter(|column| matches!(column.field(), Some(Field::Name | Field::Companion)));
    let mut cells = columns.filter_map(|column| Some(roster.row(row.row)?.cell(column.at)?.place()));
    cells.any(|cell| (cell.range.start..=cell.range.end).contains(&finding.place.range.start))
}
