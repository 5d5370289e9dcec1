//! The words that loosen or bind a figure, from the table of the reader's language.

use super::super::tokens::Text;
use super::super::unit::small_letters;
use super::super::{Hedge, Limit};
use std::collections::HashMap;
use std::sync::LazyLock;

/// What a phrase makes of the figure beside it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Means {
    Hedge(Hedge),
    Limit(Limit),
    /// Says nothing by itself; looked past.
    Nothing,
}

impl Means {
    fn of(word: &str) -> Self {
        match word {
            "about" => Self::Hedge(Hedge::About),
            "nearly" => Self::Hedge(Hedge::Nearly),
            "over" => Self::Hedge(Hedge::Over),
            "under" => Self::Hedge(Hedge::Under),
            "at most" => Self::Limit(Limit::AtMost),
            "at least" => Self::Limit(Limit::AtLeast),
            "exactly" => Self::Limit(Limit::Exactly),
            _ => Self::Nothing,
        }
    }
}

/// What a word is beside a figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Role {
    /// A comparative: `longer` than, or longer.
    More,
    Less,
    /// A word of place that leads up or down: `or above`.
    PlaceUp,
    PlaceDown,
    /// A noun that binds: `cap`, `floor`.
    NamesMost,
    NamesLeast,
    /// A superlative: the `longest` allowed.
    Farthest,
    Nearest,
    /// Leads from such a noun over to the figure: `is`, `of`.
    Lead,
    Permission,
    /// Keeps something to a figure.
    Keeps,
    No,
    /// Begins another clause.
    OtherClause,
    Forbidden,
    /// Comes up to a figure: must `reach`.
    Reaches,
    Obliges,
}

const ROLES: [(&str, Role); 16] = [
    ("more", Role::More),
    ("less", Role::Less),
    ("place up", Role::PlaceUp),
    ("place down", Role::PlaceDown),
    ("names most", Role::NamesMost),
    ("names least", Role::NamesLeast),
    ("farthest", Role::Farthest),
    ("nearest", Role::Nearest),
    ("lead", Role::Lead),
    ("permission", Role::Permission),
    ("keeps", Role::Keeps),
    ("no", Role::No),
    ("other clause", Role::OtherClause),
    ("forbidden", Role::Forbidden),
    ("reaches", Role::Reaches),
    ("obliges", Role::Obliges),
];

pub(super) type Phrase = Vec<&'static str>;

pub(super) struct Words {
    /// Phrases that end right before the figure, by their last word, the longer first.
    before: HashMap<&'static str, Vec<(Phrase, Means)>>,
    /// Phrases that start right behind it.
    pub after: Vec<(Phrase, Means)>,
    /// Phrases that make a comparison a small one: `a little` less than.
    softeners: Vec<Phrase>,
    roles: HashMap<&'static str, Vec<Role>>,
    /// Phrases that set an upper end.
    pub upper: Vec<Phrase>,
}

pub(super) static WORDS: LazyLock<Words> =
    LazyLock::new(|| Words::read(include_str!("../../languages/en/bounds.csv")));

impl Words {
    /// The table is part of the program: a mistake in it is ours, and a test reads it.
    fn read(file: &'static str) -> Self {
        let mut words = Self {
            before: HashMap::new(),
            after: Vec::new(),
            softeners: Vec::new(),
            roles: HashMap::new(),
            upper: Vec::new(),
        };
        for line in file.lines().skip(1) {
            let mut cells = line.split(',');
            let (kind, own) = (cells.next().unwrap_or_default(), cells.next().unwrap_or_default());
            let means = Means::of(cells.next().unwrap_or_default());
            let phrase: Phrase = own.split(' ').collect();
            match kind {
                "before" => {
                    if matches!(means, Means::Hedge(Hedge::Under) | Means::Limit(Limit::AtMost)) {
                        words.upper.push(phrase.clone());
                    }
                    words.before.entry(phrase[phrase.len() - 1]).or_default().push((phrase, means));
                }
                "after" => words.after.push((phrase, means)),
                "softener" => words.softeners.push(phrase),
                _ => {
                    let (_, role) =
                        ROLES.iter().find(|(name, _)| *name == kind).expect("a kind of bounds.csv");
                    words.roles.entry(own).or_default().push(*role);
                }
            }
        }
        for phrases in words.before.values_mut() {
            phrases.sort_by_key(|(phrase, _)| std::cmp::Reverse(phrase.len()));
        }
        words.softeners.sort_by_key(|phrase| std::cmp::Reverse(phrase.len()));
        words
    }

    /// What the longest phrase before a token means, and the token where it starts.
    pub fn before(&self, text: &Text, at: usize) -> Option<(Means, usize)> {
        let mut buffer = [0_u8; 16];
        let word = small_letters(text.str(at.checked_sub(1)?), &mut buffer)?;
        self.before.get(word)?.iter().find_map(|(phrase, means)| {
            let first = at.checked_sub(phrase.len())?;
            text.are(first, phrase).then_some((*means, first))
        })
    }

    /// Whether a word is one of those.
    pub fn is(&self, text: &Text, at: usize, role: Role) -> bool {
        let mut buffer = [0_u8; 16];
        let word = small_letters(text.word(at), &mut buffer);
        word.and_then(|word| self.roles.get(word)).is_some_and(|roles| roles.contains(&role))
    }

    /// The token where words start that make what follows them a small difference: `a little` less than.
    pub fn softened(&self, text: &Text, at: usize) -> Option<usize> {
        let starts = |phrase: &Phrase| at.checked_sub(phrase.len()).filter(|first| text.are(*first, phrase));
        self.softeners.iter().find_map(starts)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn the_table_is_whole() {
        let mut seen = HashSet::new();
        for line in include_str!("../../languages/en/bounds.csv").lines().skip(1) {
            let cells: Vec<&str> = line.split(',').collect();
            assert_eq!(cells.len(), 3, "{line}");
            assert!(seen.insert((cells[0], cells[1])), "{line} stands twice");
            let is_phrase = ["before", "after", "softener"].contains(&cells[0]);
            assert!(is_phrase || ROLES.iter().any(|(name, _)| *name == cells[0]), "{line}");
            assert_eq!(!cells[2].is_empty(), ["before", "after"].contains(&cells[0]), "{line}");
            assert!(Means::of(cells[2]) != Means::Nothing || ["", "nothing"].contains(&cells[2]), "{line}");
        }
    }
}
