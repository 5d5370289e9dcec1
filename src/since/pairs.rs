//! Old sentences and new ones brought together: the same one first, then those that are most alike, section by section.

use super::record::SentenceThen;
use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};

/// So alike two sentences must be, of 1, to be one that was reworded.
const ALIKE: f64 = 0.34;

/// So many comparisons a group of sentences is worth; in larger ones only near neighbors are compared.
const COMPARED: usize = 40_000;
const NEIGHBORS: usize = 40;

/// An old sentence with the new one in its place; by their places in the lists.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pair {
    /// The words are the same.
    Same(usize, usize),
    Reworded(usize, usize),
    Gone(usize),
    New(usize),
}

/// Pairs the sentences of one piece. `plain` gives the words by which sentences are the same.
pub fn pairs(
    old: &[&SentenceThen],
    new: &[&SentenceThen],
    plain: &dyn Fn(&SentenceThen, Side) -> String,
) -> Vec<Pair> {
    let mut pairs = Vec::with_capacity(old.len().max(new.len()));
    let (mut left, mut right): (BTreeSet<usize>, BTreeSet<usize>) =
        ((0..old.len()).collect(), (0..new.len()).collect());
    // As they stand, and then without what is told apart.
    for words in
        [&(|it: &SentenceThen, _: Side| it.says.clone()) as &dyn Fn(&SentenceThen, Side) -> String, plain]
    {
        let mut by_words: HashMap<String, Vec<usize>> = HashMap::new();
        for &at in right.iter().rev() {
            by_words.entry(words(new[at], Side::New)).or_default().push(at);
        }
        for at in left.clone() {
            let same = by_words.get_mut(&words(old[at], Side::Old));
            // Of several the one of the same section.
            let found = same.and_then(|list| {
                let own = list.iter().rposition(|it| place(new[*it], 2) == place(old[at], 2));
                (!list.is_empty()).then(|| list.remove(own.unwrap_or(list.len() - 1)))
            });
            if let Some(to) = found {
                pairs.push(Pair::Same(at, to));
                left.remove(&at);
                right.remove(&to);
            }
        }
    }
    // In the same section; in the same lesson, where a heading was reworded; anywhere.
    for depth in [2, 1, 0] {
        type Sides = (Vec<usize>, Vec<usize>);
        let mut groups: BTreeMap<(&str, &str), Sides> = BTreeMap::new();
        left.iter().for_each(|at| groups.entry(place(old[*at], depth)).or_default().0.push(*at));
        right.iter().for_each(|at| groups.entry(place(new[*at], depth)).or_default().1.push(*at));
        for (olds, news) in groups.into_values() {
            for (from, to) in most_alike(&olds, &news, old, new) {
                pairs.push(Pair::Reworded(from, to));
                left.remove(&from);
                right.remove(&to);
            }
        }
    }
    pairs.extend(left.into_iter().map(Pair::Gone));
    pairs.extend(right.into_iter().map(Pair::New));
    pairs
}

/// Which of the two records a sentence is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    Old,
    New,
}

fn place(sentence: &SentenceThen, depth: usize) -> (&str, &str) {
    let lesson = if depth >= 1 { sentence.lesson.as_deref().unwrap_or("") } else { "" };
    let section = if depth >= 2 { sentence.section.as_deref().unwrap_or("") } else { "" };
    (lesson, section)
}

fn most_alike(
    olds: &[usize],
    news: &[usize],
    old: &[&SentenceThen],
    new: &[&SentenceThen],
) -> Vec<(usize, usize)> {
    let (from, to): (Vec<Bag>, Vec<Bag>) = (
        olds.iter().map(|at| Bag::of(old[*at])).collect(),
        news.iter().map(|at| Bag::of(new[*at])).collect(),
    );
    let all = olds.len() * news.len() <= COMPARED;
    let mut scored = Vec::new();
    for (a, one) in from.iter().enumerate() {
        for (b, other) in to.iter().enumerate() {
            if !all && a.abs_diff(b) > NEIGHBORS {
                continue;
            }
            let alike = one.alike(other);
            if alike >= ALIKE {
                scored.push((alike, a, b));
            }
        }
    }
    // The most alike first; of equals those that stand nearest.
    scored.sort_by(|(x, a, b), (y, c, d)| {
        y.total_cmp(x).then_with(|| a.abs_diff(*b).cmp(&c.abs_diff(*d))).then_with(|| (a, b).cmp(&(c, d)))
    });
    let (mut took, mut taken) = (HashSet::new(), HashSet::new());
    let mut pairs = Vec::new();
    for (_, a, b) in scored {
        if !took.contains(&a) && !taken.contains(&b) {
            took.insert(a);
            taken.insert(b);
            pairs.push((olds[a], news[b]));
        }
    }
    pairs.sort_unstable();
    pairs
}

/// The words of a sentence, whatever their order.
struct Bag<'s> {
    words: BTreeMap<String, usize>,
    count: usize,
    facts: BTreeSet<&'s str>,
}

impl<'s> Bag<'s> {
    fn of(sentence: &'s SentenceThen) -> Self {
        let mut words = BTreeMap::new();
        let mut count = 0;
        for word in sentence.says.split(|it: char| !it.is_alphanumeric()).filter(|word| !word.is_empty()) {
            *words.entry(word.to_lowercase()).or_default() += 1;
            count += 1;
        }
        Self { words, count, facts: sentence.quotes.iter().map(|quoted| quoted.fact.as_str()).collect() }
    }

    /// From 0 to 1; more where both quote the same fact.
    fn alike(&self, other: &Self) -> f64 {
        let common: usize =
            self.words.iter().map(|(word, count)| other.words.get(word).map_or(0, |it| *it.min(count))).sum();
        let alike = 2.0 * common as f64 / (self.count + other.count).max(1) as f64;
        let shared = self.facts.intersection(&other.facts).next().is_some();
        if shared { alike + 0.3 } else { alike }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sentence(says: &str, section: &str) -> SentenceThen {
        SentenceThen {
            says: says.into(),
            quotes: Vec::new(),
            lesson: Some("water".into()),
            section: Some(section.into()),
            signal: None,
        }
    }

    fn paired(old: &[SentenceThen], new: &[SentenceThen]) -> Vec<Pair> {
        let plain = |it: &SentenceThen, _: Side| it.says.replace("2026", "").replace("2027", "");
        pairs(&old.iter().collect::<Vec<_>>(), &new.iter().collect::<Vec<_>>(), &plain)
    }

    #[test]
    fn what_moved_is_the_same_and_what_was_reworded_is_found() {
        let old = [
            sentence("Boil water for one minute.", "a"),
            sentence("Tie high.", "b"),
            sentence("Old words.", "b"),
        ];
        let new = [
            sentence("Tie high.", "c"),
            sentence("Boil the water for three minutes.", "a"),
            sentence("Feed hay.", "b"),
        ];
        assert_eq!(paired(&old, &new), [Pair::Same(1, 0), Pair::Reworded(0, 1), Pair::Gone(2), Pair::New(2)]);
    }

    #[test]
    fn a_sentence_stays_in_its_section_and_is_followed_out_of_it() {
        let old = [sentence("Boil it one minute.", "a"), sentence("Boil it two minutes.", "b")];
        let new = [sentence("Boil it three minutes.", "b"), sentence("Boil it four minutes.", "c")];
        assert_eq!(paired(&old, &new), [Pair::Reworded(1, 0), Pair::Reworded(0, 1)]);
    }

    #[test]
    fn what_is_told_apart_is_the_same() {
        assert_eq!(
            paired(&[sentence("Slides, 2026", "a")], &[sentence("Slides, 2027", "a")]),
            [Pair::Same(0, 0)]
        );
        let twice = [sentence("In 2026.", "a"), sentence("In 2027.", "b")];
        assert_eq!(paired(&twice, &twice), [Pair::Same(0, 0), Pair::Same(1, 1)]);
    }
}
