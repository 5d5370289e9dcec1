//! The search for another set of counts that agrees with all that a reader knows.

use super::{Count, Ledger, State, Sum, band};

/// How many changes are tried in one search before it is given up. Giving up early withholds more, never
/// less.
const PATIENCE: usize = 5_000;

/// How much more may be withheld.
#[derive(Clone, Copy)]
pub(super) struct Allowance {
    pub bands: usize,
    pub silent: usize,
}

/// Looking for another set of counts.
pub(super) struct Search<'l> {
    ledger: &'l Ledger,
    /// Counts that are otherwise, and by how much.
    changes: Vec<(usize, i64)>,
    /// What would have to be withheld for that.
    pub withheld: Vec<(usize, State)>,
    allowance: Allowance,
    patience: usize,
}

impl<'l> Search<'l> {
    pub fn new(ledger: &'l Ledger, allowance: Allowance) -> Self {
        Self { ledger, changes: Vec::new(), withheld: Vec::new(), allowance, patience: PATIENCE }
    }

    /// What must become of a count so that a reader could hold it to be otherwise by so much; `None` within
    /// where nothing must, `None` where nobody could.
    fn price(&self, at: usize, step: i64) -> Option<Option<State>> {
        let Count { number, state, .. } = self.ledger.counts[at];
        let other = i64::from(number) + step;
        let (low, high) = band(number);
        let in_band = (i64::from(low)..=i64::from(high)).contains(&other);
        match state {
            State::NeverPrinted => (other >= 0).then_some(None),
            // A zero is printed as it is.
            _ if number == 0 || other < 1 => None,
            State::Silent => Some(None),
            State::Band if in_band => Some(None),
            State::Printed if in_band => Some(Some(State::Band)),
            State::Band | State::Printed => Some(Some(State::Silent)),
        }
    }

    /// Changes a count, if that can be and the allowance holds.
    pub fn change(&mut self, at: usize, step: i64) -> bool {
        let Some(price) = self.price(at, step) else { return false };
        if let Some(state) = price {
            let spent = self.withheld.iter().filter(|(_, other)| *other == state).count();
            let allowed = if state == State::Band { self.allowance.bands } else { self.allowance.silent };
            if spent >= allowed {
                return false;
            }
            self.withheld.push((at, state));
        }
        self.changes.push((at, step));
        true
    }

    fn take_back(&mut self) {
        if let Some((at, _)) = self.changes.pop()
            && self.withheld.last().is_some_and(|(last, _)| *last == at)
        {
            self.withheld.pop();
        }
    }

    fn step(&self, at: usize) -> Option<i64> {
        self.changes.iter().find(|(changed, _)| *changed == at).map(|(_, step)| *step)
    }

    /// By how much the parts of a sum are now too few.
    fn gap(&self, sum: &Sum) -> i64 {
        let step = |at: usize| self.step(at).unwrap_or(0);
        step(sum.total) - sum.parts.iter().map(|part| step(*part)).sum::<i64>()
    }

    /// Mends each sum that no longer holds by changing one more of its counts: one that costs nothing, else
    /// the one that costs least.
    pub fn mend(&mut self) -> bool {
        let ledger = self.ledger;
        let touched = self.changes.iter().flat_map(|(at, _)| &ledger.counts[*at].sums);
        let Some((sum, gap)) =
            touched.map(|sum| (&ledger.sums[*sum], self.gap(&ledger.sums[*sum]))).find(|(_, gap)| *gap != 0)
        else {
            return true;
        };
        let total = std::iter::once((sum.total, -gap));
        let mut ways: Vec<(usize, i64)> = sum.parts.iter().map(|part| (*part, gap)).chain(total).collect();
        ways.retain(|(at, _)| self.step(*at).is_none());
        ways.sort_by_key(|(at, step)| match self.price(*at, *step) {
            Some(None) => 0,
            Some(Some(State::Band)) => 1,
            _ => 2,
        });
        for (at, step) in ways {
            if self.patience == 0 {
                return false;
            }
            self.patience -= 1;
            if self.change(at, step) {
                if self.mend() {
                    return true;
                }
                self.take_back();
            }
        }
        false
    }
}
