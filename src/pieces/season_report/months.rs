//! The months of two seasons in the order in which they pass, with none skipped.

use std::collections::BTreeSet;

/// From the first month of either season to the last, each from 1, January. Where a season runs over the end of the
/// year, it begins after the longest time in which there was nothing.
pub(super) fn in_order(months: &BTreeSet<u8>) -> Vec<u8> {
    let before = |month: u8| {
        let earlier = months.range(..month).next_back().or_else(|| months.last()).copied().unwrap_or(month);
        match (month + 12 - earlier) % 12 {
            0 => 12,
            apart => apart,
        }
    };
    // Of several that are as long, the first in the year.
    let Some(first) = months.iter().copied().rev().max_by_key(|month| before(*month)) else {
        return Vec::new();
    };
    let length = 13 - before(first);
    (0..length).map(|n| (first - 1 + n) % 12 + 1).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked by hand.
    #[test]
    fn no_month_is_skipped_and_a_season_may_run_over_the_end_of_the_year() {
        let order = |months: &[u8]| in_order(&months.iter().copied().collect());
        assert_eq!(order(&[]), Vec::<u8>::new());
        assert_eq!(order(&[7]), [7]);
        assert_eq!(order(&[5, 6, 8, 10]), [5, 6, 7, 8, 9, 10]);
        assert_eq!(order(&[1, 2, 11]), [11, 12, 1, 2]);
        assert_eq!(order(&[12, 1]), [12, 1]);
        assert_eq!(order(&(1..=12).collect::<Vec<_>>()), (1..=12).collect::<Vec<_>>());
        assert_eq!(order(&[1, 12, 6]), [12, 1, 2, 3, 4, 5, 6]);
    }
}
