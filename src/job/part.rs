//! A share of a making: one of several runs that make a program's private shelf between them.

use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::fmt;
use std::str::FromStr;

/// How many parts there may be: more would each read the whole folder for next to nothing.
const MOST: usize = 100_000;

/// Part `number`, from 1, `of` so many.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Part {
    number: usize,
    of: usize,
}

impl Part {
    /// `None` where there is no such part.
    pub fn new(number: usize, of: usize) -> Option<Self> {
        (1..=MOST)
            .contains(&of)
            .then_some(())
            .filter(|()| (1..=of).contains(&number))
            .map(|()| Self { number, of })
    }

    /// From 1.
    pub fn number(self) -> usize {
        self.number
    }

    pub fn of(self) -> usize {
        self.of
    }

    /// As it stands in names of files: `3-of-16`.
    pub fn in_names(self) -> String {
        format!("{}-of-{}", self.number, self.of)
    }

    /// Which of some units of work are this part's. All parts together have each once: a unit goes to the part that has
    /// least to do by then, and of several to the first. It depends on nothing but the weights and their order.
    pub fn shares(self, weights: impl IntoIterator<Item = usize>) -> Vec<bool> {
        let mut least: BinaryHeap<Reverse<(usize, usize)>> =
            (1..=self.of).map(|part| Reverse((0, part))).collect();
        let mut give = |weight: usize| {
            let Some(Reverse((load, part))) = least.pop() else { return false };
            least.push(Reverse((load + weight.max(1), part)));
            part == self.number
        };
        weights.into_iter().map(&mut give).collect()
    }
}

impl fmt::Display for Part {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.number, self.of)
    }
}

impl FromStr for Part {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let numbers =
            text.split_once('/').and_then(|(number, of)| Some((number.parse().ok()?, of.parse().ok()?)));
        numbers.and_then(|(number, of)| Self::new(number, of)).ok_or_else(|| {
            format!("write the number of the part, from 1, and how many there are, at most {MOST}: 3/16")
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_is_a_number_of_so_many() {
        assert_eq!("3/16".parse(), Ok(Part { number: 3, of: 16 }));
        assert_eq!(Part::new(1, 1).map(Part::in_names).as_deref(), Some("1-of-1"));
        for wrong in ["", "3", "0/4", "5/4", "1/0", "-1/4", "1/4/2", "a/b", "1/100001", "1 of 4"] {
            assert!(wrong.parse::<Part>().is_err(), "{wrong:?}");
        }
    }

    #[test]
    fn parts_share_all_work_out_and_evenly() {
        let weights: Vec<usize> = (0..997).map(|at| [1500, 1, 1, 700, 20][at % 5]).collect();
        let all: usize = weights.iter().sum();
        for of in [1, 2, 7, 16, 2000] {
            let mut taken = vec![0; weights.len()];
            for number in 1..=of {
                let mine = Part { number, of }.shares(weights.iter().copied());
                mine.iter().zip(&mut taken).for_each(|(mine, taken)| *taken += usize::from(*mine));
                let load: usize =
                    weights.iter().zip(mine).filter(|(_, mine)| *mine).map(|(weight, _)| weight).sum();
                assert!(load <= all / of + 1500, "part {number} of {of} has {load} of {all}");
            }
            assert!(taken.iter().all(|taken| *taken == 1), "{of} parts");
        }
    }
}
