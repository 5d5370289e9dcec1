//! Small counts withheld, so that a table of counts gives away nothing about single persons.
//!
//! A [`Ledger`] holds the counts of a whole paper and which of them are sums of others. Of a count from 1 to 4
//! it is told only that it is under five. So that none of them can be worked out from what else is printed,
//! as many other counts as it takes are told only as a band of five ("40 to 44"), and where that is not
//! enough, not at all (complementary suppression). A difference that anybody can take, such as those who
//! came less those who completed, is a count too: it stands in the ledger as one that is never printed, and
//! where it is from 1 to 4 it cannot be worked out either. A zero is printed: it is about nobody.
//!
//! Knows nothing of seasons or papers; what is counted stands in [`crate::people::season`]. The way of
//! thinking (primary and complementary suppression, and the audit of what a reader can infer) is that
//! of Willenborg and de Waal, Elements of Statistical Disclosure Control (2001), from memory. That 5 is the
//! fewest to print is common practice, no source.
//!
//! **How it is audited.** A reader who knows this rule knows the bands, that a count told not at all is 1 or
//! more, that one which is never printed is 0 or more, and all sums. A count is safe when there is another
//! set of whole counts that agrees with all of that and has another number in its place. Such a set is looked
//! for by changing the count by one and mending each sum that no longer holds with another count, an
//! unknown one first. If printed ones had to be changed, these are what must be withheld more; the search
//! begins with as few of them as possible. At worst all that are not zero are told not at all, and then the
//! double of every count is such a set.

mod search;

use search::{Allowance, Search};

/// The fewest persons that a printed count is about.
pub const FEWEST_PRINTED: u32 = 5;

/// How many counts a band holds.
const BAND: u32 = 5;

/// Searches, the mildest first: how many printed counts may become bands, and how many counts may be told not
/// at all.
const ALLOWANCES: [Allowance; 11] = {
    const fn of(bands: usize, silent: usize) -> Allowance {
        Allowance { bands, silent }
    }
    [
        of(1, 0),
        of(2, 0),
        of(3, 0),
        of(4, 0),
        of(6, 0),
        of(8, 0),
        of(0, 1),
        of(1, 1),
        of(2, 2),
        of(4, 4),
        of(8, 8),
    ]
};

/// A count's place in its ledger.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct CountId(usize);

/// What is told of a count.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Disclosure {
    Exactly(u32),
    /// From the one to the other. A band from 1 to 4 is "under 5".
    Between(u32, u32),
    Withheld,
}

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
    /// Disclosure as the band that it lies in.
    Band,
    /// Disclosure not at all.
    Silent,
    /// Nobody prints it, but a reader may work it out.
    NeverPrinted,
}

#[derive(Clone, Debug)]
struct Sum {
    total: usize,
    parts: Vec<usize>,
}

/// The lowest and the highest count of a number's band.
fn band(number: u32) -> (u32, u32) {
    let low = number - number % BAND;
    (low.max(1), low + BAND - 1)
}

fn is_small(number: u32) -> bool {
    (1..FEWEST_PRINTED).contains(&number)
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
        assert!(self.adds_up(total, parts), "a sum of the ledger does not hold");
        let at = self.sums.len();
        for id in parts.iter().chain([&total]) {
            self.counts[id.0].sums.push(at);
        }
        self.sums.push(Sum { total: total.0, parts: parts.iter().map(|part| part.0).collect() });
    }

    /// Whether a count is the sum of others.
    pub fn adds_up(&self, total: CountId, parts: &[CountId]) -> bool {
        let added: u64 = parts.iter().map(|part| u64::from(self.counts[part.0].number)).sum();
        u64::from(self.counts[total.0].number) == added
    }

    /// Whether one count is at most another.
    pub fn is_part(&self, total: CountId, part: CountId) -> bool {
        self.counts[part.0].number <= self.counts[total.0].number
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

    /// What may be told of a count, once [`Ledger::withhold`] has been asked.
    pub fn told(&self, id: CountId) -> Disclosure {
        let Count { number, state, .. } = self.counts[id.0];
        match state {
            State::Printed => Disclosure::Exactly(number),
            State::Band => Disclosure::Between(band(number).0, band(number).1),
            State::Silent | State::NeverPrinted => Disclosure::Withheld,
        }
    }

    /// Withholds what the rule at the head of this module says.
    pub fn withhold(&mut self) {
        for count in &mut self.counts {
            if count.state == State::Printed && is_small(count.number) {
                count.state = State::Band;
            }
        }
        // Whatever is withheld here is changed in a set that the search found, so that it is safe itself.
        while let Some(bare) = (0..self.counts.len()).find(|at| self.is_to_hide(*at) && !self.is_safe(*at)) {
            let more = ALLOWANCES.iter().find_map(|allowance| self.otherwise(bare, *allowance));
            match more {
                Some(more) => more.into_iter().for_each(|(at, state)| self.counts[at].state = state),
                None => return self.say_nothing(),
            }
        }
    }

    /// The last resort: every count that is not zero is told not at all.
    fn say_nothing(&mut self) {
        for count in &mut self.counts {
            if count.number > 0 && count.state != State::NeverPrinted {
                count.state = State::Silent;
            }
        }
    }

    /// Whether nobody may be able to work the count out.
    fn is_to_hide(&self, at: usize) -> bool {
        match self.counts[at].state {
            State::Printed => false,
            State::Band | State::Silent => true,
            State::NeverPrinted => is_small(self.counts[at].number),
        }
    }

    /// Whether another set of counts agrees with all that a reader knows and differs in this one.
    fn is_safe(&self, at: usize) -> bool {
        self.otherwise(at, Allowance { bands: 0, silent: 0 }).is_some()
    }

    /// What must be withheld, of what was not, so that a count could be another; within an allowance.
    fn otherwise(&self, at: usize, allowance: Allowance) -> Option<Vec<(usize, State)>> {
        [-1, 1].into_iter().find_map(|step| {
            let mut search = Search::new(self, allowance);
            (search.change(at, step) && search.mend()).then_some(search.withheld)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::collections::BTreeSet;

    const SMALL: Disclosure = Disclosure::Between(1, 4);

    fn told(ledger: &Ledger, ids: &[CountId]) -> Vec<Disclosure> {
        ids.iter().map(|id| ledger.told(*id)).collect()
    }

    fn one_sum(parts: &[u32]) -> Vec<Disclosure> {
        let mut ledger = Ledger::default();
        let mut ids: Vec<CountId> = parts.iter().map(|part| ledger.count(*part)).collect();
        let total = ledger.count(parts.iter().sum());
        ledger.sum(total, &ids);
        ids.push(total);
        ledger.withhold();
        told(&ledger, &ids)
    }

    #[test]
    fn a_small_count_takes_another_with_it() {
        assert_eq!(
            one_sum(&[12, 3, 9]),
            [Disclosure::Between(10, 14), SMALL, Disclosure::Exactly(9), Disclosure::Exactly(24)]
        );
        let large = one_sum(&[12, 8, 9]);
        assert_eq!(large, [12, 8, 9, 29].map(Disclosure::Exactly));
    }

    #[test]
    fn nobody_is_printed() {
        assert_eq!(one_sum(&[12, 0, 9]), [12, 0, 9, 21].map(Disclosure::Exactly));
    }

    #[test]
    fn two_small_counts_whose_sum_tells_both_take_a_third() {
        // 22 less 20 is 2, which only 1 and 1 give.
        assert_eq!(one_sum(&[1, 1, 20])[..2], [SMALL, SMALL]);
        assert_ne!(one_sum(&[1, 1, 20])[2..], [Disclosure::Exactly(20), Disclosure::Exactly(22)]);
        // A total alone with its part is told as little.
        assert_eq!(one_sum(&[4]), [SMALL, SMALL]);
    }

    #[test]
    fn a_small_difference_is_hidden_though_nobody_prints_it() {
        let mut ledger = Ledger::default();
        let came = ledger.count(15);
        let completed = ledger.count(13);
        ledger.rest(came, completed);
        ledger.withhold();
        assert_eq!(told(&ledger, &[came, completed]), [Disclosure::Exactly(15), Disclosure::Between(10, 14)]);
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
            match ledger.told(id) {
                Disclosure::Withheld => number >= 1,
                Disclosure::Between(low, high) => (low..=high).contains(&number),
                Disclosure::Exactly(told) => told == number,
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
            readings(&season, 14, &mut |reading| {
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
                    let is_printed =
                        column < 2 && matches!(season.ledger.told(ids[column]), Disclosure::Exactly(_));
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
