//! Small counts withheld, so that a table of counts gives away nothing about single persons.
//!
//! A [`Ledger`] holds the counts of a whole paper and which of them are sums of others. Every count from
//! 1 to 4 is withheld, and so are as many others as it takes that none of them can be worked out from
//! what is printed (complementary suppression). A difference that anybody can take, such as those who
//! came less those who finished, is a count too: it stands in the ledger as one that is never printed.
//! A zero is printed: it is about nobody.
//!
//! Knows nothing of seasons or papers; what is counted stands in [`crate::people::season`]. The way of
//! thinking (primary and complementary suppression, and the audit of what a reader can infer) is that
//! of Willenborg and de Waal, Elements of Statistical Disclosure Control (2001), from memory. That 5 is the
//! fewest to print is common practice, no source.
//!
//! **How it is audited.** A reader who knows this rule knows that a withheld count is 1 or more, that one
//! which is never printed is 0 or more, and all sums. A count is safe when there is another set of
//! whole counts that agrees with all of that and has another number in its place. Such a set is looked
//! for by changing the count by one and mending each sum that no longer holds with another unknown
//! count. Where none is found, one more count is withheld. At worst all that are not zero are, and then
//! the double of every count is such a set.

/// The fewest persons that a printed count is about.
pub const FEWEST_PRINTED: u32 = 5;

/// How many changes are tried before a count is taken for one that can be worked out. Giving up early
/// withholds more, never less.
const PATIENCE: usize = 5_000;

/// A count's place in its ledger.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct CountId(usize);

#[derive(Clone, Debug, Default)]
pub struct Ledger {
    counts: Vec<Count>,
    sums: Vec<Sum>,
}

#[derive(Clone, Debug)]
struct Count {
    number: u32,
    state: State,
    /// The sums that it stands in.
    sums: Vec<usize>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum State {
    Printed,
    Withheld,
    /// Nobody prints it, but a reader may work it out.
    NeverPrinted,
}

#[derive(Clone, Debug)]
struct Sum {
    total: usize,
    parts: Vec<usize>,
}

impl Ledger {
    /// A count that is to be printed if it may.
    pub fn count(&mut self, number: u32) -> CountId {
        self.add(number, State::Printed)
    }

    /// A count that is not printed, but that sums of the ledger name.
    pub fn never_printed(&mut self, number: u32) -> CountId {
        self.add(number, State::NeverPrinted)
    }

    fn add(&mut self, number: u32, state: State) -> CountId {
        self.counts.push(Count { number, state, sums: Vec::new() });
        CountId(self.counts.len() - 1)
    }

    /// Says that a count is the sum of others.
    ///
    /// # Panics
    /// Where it is not.
    pub fn sum(&mut self, total: CountId, parts: &[CountId]) {
        let added: u32 = parts.iter().map(|part| self.counts[part.0].number).sum();
        assert_eq!(self.counts[total.0].number, added, "a sum of the ledger does not hold");
        let at = self.sums.len();
        for id in parts.iter().chain([&total]) {
            self.counts[id.0].sums.push(at);
        }
        self.sums.push(Sum { total: total.0, parts: parts.iter().map(|part| part.0).collect() });
    }

    /// What is left of a total after one of its parts: not printed, but anybody can take it.
    ///
    /// # Panics
    /// Where the part is more than the total.
    pub fn rest(&mut self, total: CountId, part: CountId) -> CountId {
        let (whole, taken) = (self.counts[total.0].number, self.counts[part.0].number);
        let rest = self.never_printed(whole.checked_sub(taken).expect("a part is at most its total"));
        self.sum(total, &[part, rest]);
        rest
    }

    /// The number of a count, or `None` where it is withheld.
    pub fn printed(&self, id: CountId) -> Option<u32> {
        let count = &self.counts[id.0];
        (count.state == State::Printed).then_some(count.number)
    }

    /// Withholds what the rule at the head of this module says.
    pub fn withhold(&mut self) {
        for count in &mut self.counts {
            if count.state == State::Printed && is_small(count.number) {
                count.state = State::Withheld;
            }
        }
        while let Some(bare) = (0..self.counts.len()).find(|at| self.is_to_hide(*at) && !self.is_safe(*at)) {
            let Some(more) = self.complement(bare) else { break };
            self.counts[more].state = State::Withheld;
        }
    }

    /// Whether nobody may be able to work the count out.
    fn is_to_hide(&self, at: usize) -> bool {
        match self.counts[at].state {
            State::Printed => false,
            State::Withheld => true,
            State::NeverPrinted => is_small(self.counts[at].number),
        }
    }

    /// The count to withhold so that another is safe: the smallest with which it is, else the smallest.
    fn complement(&mut self, bare: usize) -> Option<usize> {
        let mut open: Vec<usize> = (0..self.counts.len())
            .filter(|at| self.counts[*at].state == State::Printed && self.counts[*at].number > 0)
            .collect();
        open.sort_by_key(|at| (self.counts[*at].number, *at));
        let helps = open.iter().copied().find(|at| {
            self.counts[*at].state = State::Withheld;
            let is_safe = self.is_safe(bare);
            self.counts[*at].state = State::Printed;
            is_safe
        });
        helps.or(open.first().copied())
    }

    /// Whether another set of counts agrees with all that a reader knows and differs in this one.
    fn is_safe(&self, at: usize) -> bool {
        [1, -1].into_iter().any(|step| {
            let mut search = Search { ledger: self, changes: vec![(at, step)], patience: PATIENCE };
            search.may_be(at, step) && search.mend()
        })
    }
}

fn is_small(number: u32) -> bool {
    (1..FEWEST_PRINTED).contains(&number)
}

/// Looking for another set of counts.
struct Search<'l> {
    ledger: &'l Ledger,
    /// Counts that are otherwise, and by how much.
    changes: Vec<(usize, i64)>,
    patience: usize,
}

impl Search<'_> {
    /// Whether a reader could hold a count to be otherwise by so much.
    fn may_be(&self, at: usize, step: i64) -> bool {
        let count = &self.ledger.counts[at];
        let least = match count.state {
            State::Printed => return step == 0,
            State::Withheld => 1,
            State::NeverPrinted => 0,
        };
        i64::from(count.number) + step >= least
    }

    fn change(&self, at: usize) -> Option<i64> {
        self.changes.iter().find(|(changed, _)| *changed == at).map(|(_, step)| *step)
    }

    /// By how much the parts of a sum are now too few.
    fn gap(&self, sum: &Sum) -> i64 {
        let step = |at: usize| self.change(at).unwrap_or(0);
        step(sum.total) - sum.parts.iter().map(|part| step(*part)).sum::<i64>()
    }

    /// Mends each sum that no longer holds by changing one more of its counts.
    fn mend(&mut self) -> bool {
        let ledger = self.ledger;
        let touched = self.changes.iter().flat_map(|(at, _)| &ledger.counts[*at].sums);
        let Some((sum, gap)) =
            touched.map(|sum| (&ledger.sums[*sum], self.gap(&ledger.sums[*sum]))).find(|(_, gap)| *gap != 0)
        else {
            return true;
        };
        let total = std::iter::once((sum.total, -gap));
        for (at, step) in sum.parts.iter().map(|part| (*part, gap)).chain(total) {
            if self.change(at).is_some() || !self.may_be(at, step) {
                continue;
            }
            if self.patience == 0 {
                return false;
            }
            self.patience -= 1;
            self.changes.push((at, step));
            if self.mend() {
                return true;
            }
            self.changes.pop();
        }
        false
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::collections::BTreeSet;

    fn printed(ledger: &Ledger, ids: &[CountId]) -> Vec<Option<u32>> {
        ids.iter().map(|id| ledger.printed(*id)).collect()
    }

    fn one_sum(parts: &[u32]) -> Vec<Option<u32>> {
        let mut ledger = Ledger::default();
        let mut ids: Vec<CountId> = parts.iter().map(|part| ledger.count(*part)).collect();
        let total = ledger.count(parts.iter().sum());
        ledger.sum(total, &ids);
        ids.push(total);
        ledger.withhold();
        printed(&ledger, &ids)
    }

    #[test]
    fn a_small_count_takes_a_second_one_with_it() {
        assert_eq!(one_sum(&[12, 3, 9]), [Some(12), None, None, Some(24)]);
        assert_eq!(one_sum(&[12, 8, 9]), [Some(12), Some(8), Some(9), Some(29)]);
    }

    #[test]
    fn nobody_is_printed() {
        assert_eq!(one_sum(&[12, 0, 9]), [Some(12), Some(0), Some(9), Some(21)]);
    }

    #[test]
    fn two_small_counts_whose_sum_tells_both_take_a_third() {
        // 1 + 1 = 2 would tell both, were 2 printed or worked out.
        assert_eq!(one_sum(&[1, 1, 20]), [None, None, None, Some(22)]);
        // A total alone with its part is withheld with it.
        assert_eq!(one_sum(&[4]), [None, None]);
    }

    #[test]
    fn a_small_difference_is_hidden_though_nobody_prints_it() {
        let mut ledger = Ledger::default();
        let came = ledger.count(15);
        let finished = ledger.count(14);
        ledger.rest(came, finished);
        ledger.withhold();
        assert_eq!(printed(&ledger, &[came, finished]), [Some(15), None]);
    }

    /// A season in small: who came and who finished by event, by month and in all.
    struct Season {
        ledger: Ledger,
        months: Vec<[CountId; 2]>,
        events: Vec<(usize, [CountId; 2])>,
        whole: [CountId; 2],
    }

    /// A row: came and finished, and the difference.
    fn row(ledger: &mut Ledger, counts: [u32; 2]) -> [CountId; 2] {
        let ids = counts.map(|count| ledger.count(count));
        ledger.rest(ids[0], ids[1]);
        ids
    }

    fn season(events: &[(usize, [u32; 2])]) -> Season {
        let mut ledger = Ledger::default();
        let add = |rows: &mut dyn Iterator<Item = [u32; 2]>| {
            rows.fold([0, 0], |sum, row| [sum[0] + row[0], sum[1] + row[1]])
        };
        let ids: Vec<(usize, [CountId; 2])> =
            events.iter().map(|(month, counts)| (*month, row(&mut ledger, *counts))).collect();
        let months: Vec<[CountId; 2]> = (0..2)
            .map(|month| {
                let of_month = events.iter().filter(|event| event.0 == month);
                row(&mut ledger, add(&mut of_month.map(|event| event.1)))
            })
            .collect();
        let whole = row(&mut ledger, add(&mut events.iter().map(|event| event.1)));
        for column in 0..2 {
            for (month, total) in months.iter().enumerate() {
                let parts: Vec<CountId> =
                    ids.iter().filter(|event| event.0 == month).map(|event| event.1[column]).collect();
                ledger.sum(total[column], &parts);
            }
            ledger.sum(whole[column], &months.iter().map(|month| month[column]).collect::<Vec<_>>());
        }
        ledger.withhold();
        Season { ledger, months, events: ids, whole }
    }

    /// All that a reader can hold to be the counts of a season, told one after another.
    fn readings(season: &Season, most: u32, tell: &mut dyn FnMut(&[[u32; 2]])) {
        fn fits(ledger: &Ledger, id: CountId, number: u32) -> bool {
            match ledger.counts[id.0].state {
                State::Withheld => number >= 1,
                _ => ledger.counts[id.0].number == number,
            }
        }
        fn add(season: &Season, month: usize, reading: &[[u32; 2]], column: usize) -> u32 {
            let rows = season.events.iter().zip(reading);
            rows.filter(|(event, _)| event.0 == month).map(|(_, row)| row[column]).sum()
        }
        fn go(season: &Season, most: u32, reading: &mut Vec<[u32; 2]>, tell: &mut dyn FnMut(&[[u32; 2]])) {
            if reading.len() == season.events.len() {
                let agrees = (0..2).all(|column| {
                    let months: Vec<u32> = (0..2).map(|month| add(season, month, reading, column)).collect();
                    let whole = months.iter().sum();
                    (0..2).all(|month| fits(&season.ledger, season.months[month][column], months[month]))
                        && fits(&season.ledger, season.whole[column], whole)
                });
                if agrees {
                    tell(reading);
                }
                return;
            }
            let ids = season.events[reading.len()].1;
            for came in (0..=most).filter(|came| fits(&season.ledger, ids[0], *came)) {
                for finished in (0..=came).filter(|finished| fits(&season.ledger, ids[1], *finished)) {
                    reading.push([came, finished]);
                    go(season, most, reading, tell);
                    reading.pop();
                }
            }
        }
        go(season, most, &mut Vec::new(), tell);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(100))]

        /// Every way to fill in what is withheld is tried: no small count has the same number in all.
        #[test]
        fn no_small_count_can_be_worked_out(
            events in prop::collection::vec((0usize..2, 0u32..10, 0u32..10), 1..=4)
        ) {
            let events: Vec<(usize, [u32; 2])> =
                events.into_iter().map(|(month, came, less)| (month, [came, came.saturating_sub(less)])).collect();
            let season = season(&events);
            let count = events.len();
            let mut seen: Vec<[BTreeSet<u32>; 3]> = vec![Default::default(); count + 3];
            readings(&season, 11, &mut |reading| {
                let mut note = |at: usize, row: [u32; 2]| {
                    for (set, number) in seen[at].iter_mut().zip([row[0], row[1], row[0] - row[1]]) {
                        set.insert(number);
                    }
                };
                let mut sums = [[0; 2]; 3];
                for (at, row) in reading.iter().enumerate() {
                    note(at, *row);
                    for sum in [season.events[at].0, 2] {
                        sums[sum] = [sums[sum][0] + row[0], sums[sum][1] + row[1]];
                    }
                }
                sums.into_iter().enumerate().for_each(|(at, row)| note(count + at, row));
            });
            let rows = season.events.iter().map(|event| event.1).chain(season.months.clone()).chain([season.whole]);
            for (at, ids) in rows.enumerate() {
                let numbers = ids.map(|id| season.ledger.counts[id.0].number);
                let told = [numbers[0], numbers[1], numbers[0] - numbers[1]];
                for (column, number) in told.into_iter().enumerate() {
                    let is_printed = column < 2 && season.ledger.printed(ids[column]).is_some();
                    prop_assert!(!(is_printed && is_small(number)), "{events:?}: {number} is printed");
                    let is_withheld = column < 2 && !is_printed;
                    if is_small(number) || is_withheld {
                        prop_assert!(seen[at][column].len() > 1, "{events:?}: row {at}, column {column} is told");
                    }
                }
            }
        }
    }
}
