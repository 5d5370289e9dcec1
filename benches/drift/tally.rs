//! What was planted and what was caught, as a table.

use super::{Kind, Plant};
use std::collections::BTreeMap;
use std::fmt;

/// How many misses are shown of each row.
const SHOWN: usize = 6;

/// Counts of what was planted and caught; shown as the bench's table.
#[derive(Default)]
pub struct Tally {
    rows: BTreeMap<(bool, Kind), (usize, usize)>,
    misses: Vec<String>,
    shown: BTreeMap<(bool, Kind), usize>,
    /// Warnings and errors told of the programs as they are.
    pub clean: Vec<String>,
    /// Copies in which nothing but a link was taken away, and what is told of them.
    pub(super) unwrapped: usize,
    pub(super) untrue: Vec<String>,
    /// Copies that were not planted, as they are true all the same.
    pub(super) still_true: usize,
    /// Statements that the bench does not read well enough to plant in.
    pub(super) unread: Vec<String>,
}

impl Tally {
    pub(super) fn planted(&mut self, plant: &Plant, caught: bool) {
        let row = (!plant.backed, plant.kind);
        let counts = self.rows.entry(row).or_default();
        counts.0 += 1;
        counts.1 += usize::from(caught);
        let shown = self.shown.entry(row).or_default();
        if !caught && *shown < SHOWN {
            *shown += 1;
            let links = if plant.backed { "backed" } else { "unbacked" };
            self.misses.push(format!(
                "{}, {links}, {}: “{}” → “{}” ({})",
                plant.kind.name(),
                plant.file,
                plant.was,
                plant.now,
                plant.fact
            ));
        }
    }

    /// Planted and caught, of backed or of unbacked figures.
    pub fn sum(&self, backed: bool) -> (usize, usize) {
        let rows = self.rows.iter().filter(|((unbacked, _), _)| *unbacked != backed);
        rows.fold((0, 0), |sum, (_, row)| (sum.0 + row.0, sum.1 + row.1))
    }
}

fn share((planted, caught): (usize, usize)) -> f64 {
    100.0 * caught as f64 / planted.max(1) as f64
}

impl fmt::Display for Tally {
    fn fmt(&self, out: &mut fmt::Formatter) -> fmt::Result {
        for (backed, name) in [(true, "backed"), (false, "unbacked, its sentence names the fact")] {
            writeln!(out, "{name:<40} planted  caught    share")?;
            for ((_, kind), row) in self.rows.iter().filter(|((unbacked, _), _)| *unbacked != backed) {
                writeln!(out, "  {:<38} {:>7} {:>7} {:>7.2}%", kind.name(), row.0, row.1, share(*row))?;
            }
            let sum = self.sum(backed);
            writeln!(out, "  {:<38} {:>7} {:>7} {:>7.2}%\n", "all", sum.0, sum.1, share(sum))?;
        }
        writeln!(out, "Warnings and errors of the programs as they are: {}.", self.clean.len())?;
        self.clean.iter().try_for_each(|told| writeln!(out, "  {told}"))?;
        let (untrue, unwrapped) = (self.untrue.len(), self.unwrapped);
        writeln!(out, "Told where only a link is taken away, of {unwrapped} tried: {untrue}.")?;
        self.untrue.iter().try_for_each(|told| writeln!(out, "  {told}"))?;
        writeln!(out, "Changed but still true, and so not planted: {}.", self.still_true)?;
        writeln!(out, "Figures that the bench itself does not read, left out: {}.", self.unread.len())?;
        self.unread.iter().try_for_each(|figure| writeln!(out, "  {figure}"))?;
        if !self.misses.is_empty() {
            writeln!(out, "\nMissed:")?;
        }
        self.misses.iter().try_for_each(|miss| writeln!(out, "  {miss}"))
    }
}
