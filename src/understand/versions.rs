//! The versions of the question sheet: the same questions and choices in other orders, by a seed.
//!
//! Version A has the order of the questions file, so that sheets, answers and pages that know of no version
//! mean it. The others follow from the seed alone ([`super::shuffle`]) and from how many questions and
//! choices there are: whoever adds a question after sheets were handed out gets other orders.

use super::Understood;
use super::shuffle::Stream;
use crate::program::Content;
use crate::program::questions::{Kind, Question};

/// One version of the question sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Version<'p> {
    /// From A.
    pub letter: char,
    pub seed: u64,
    /// The questions in the order of the sheet.
    pub questions: Vec<VersionQuestion<'p>>,
}

/// A question as a version asks it.
#[derive(Clone, Debug)]
pub struct VersionQuestion<'p> {
    pub question: &'p Question,
    /// For each place on the sheet, which of the question's choices stands there; empty where it has none.
    pub choices: Vec<usize>,
}

impl PartialEq for VersionQuestion<'_> {
    fn eq(&self, other: &Self) -> bool {
        self.question.id == other.question.id && self.choices == other.choices
    }
}

impl Eq for VersionQuestion<'_> {}

impl<'p> Understood<'p> {
    /// Every version of the question sheet; one where the program asks for no more.
    pub fn versions(&self) -> Vec<Version<'p>> {
        all(self.content)
    }
}

/// Every version of a program's question sheet.
pub fn all(content: &Content) -> Vec<Version<'_>> {
    let questions = &content.questions;
    let seed = questions.seed.map_or_else(|| seed_of_season(&content.settings.season), u64::from);
    // Each version draws from a stream of its own, so that one more leaves the others as they are.
    let mut seeds = Stream::new(seed);
    (0..questions.versions)
        .map(|at| {
            let own = seeds.next();
            let letter = char::from(b'A' + at as u8);
            let questions =
                if at == 0 { as_written(&questions.list) } else { shuffled(&questions.list, own) };
            Version { letter, seed, questions }
        })
        .collect()
}

fn as_written(list: &[Question]) -> Vec<VersionQuestion<'_>> {
    list.iter()
        .map(|question| VersionQuestion { question, choices: (0..choices(question)).collect() })
        .collect()
}

fn shuffled(list: &[Question], seed: u64) -> Vec<VersionQuestion<'_>> {
    let mut stream = Stream::new(seed);
    let mut asked: Vec<Option<VersionQuestion>> = as_written(list).into_iter().map(Some).collect();
    for asked in asked.iter_mut().flatten().filter(|asked| !asked.question.keeps_order) {
        asked.choices = stream.order(asked.choices.len());
    }
    stream.order(list.len()).into_iter().filter_map(|at| asked[at].take()).collect()
}

fn choices(question: &Question) -> usize {
    match &question.kind {
        Kind::Choice { choices, .. } | Kind::Several { choices, .. } => choices.len(),
        Kind::Figure { .. } | Kind::NameSome { .. } | Kind::Open { .. } => 0,
    }
}

/// The digits of the season, `2026`, so that a season's sheets differ from the last one's; 1 without any.
fn seed_of_season(season: &str) -> u64 {
    let digits: String = season.chars().filter(char::is_ascii_digit).take(9).collect();
    digits.parse().ok().filter(|seed| *seed > 0).unwrap_or(1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Place;
    use crate::program::Written;
    use crate::program::lesson::Prose;

    fn question(id: &str, choices: usize, keeps_order: bool) -> Question {
        let place = Place::whole("questions.toml");
        let written = |at: usize| Written { text: format!("choice {at}"), place: place.clone() };
        Question {
            id: id.into(),
            place: place.clone(),
            lesson: None,
            ask: Prose { inlines: Vec::new(), place: place.clone() },
            because: None,
            keeps_order,
            kind: Kind::Several { choices: (0..choices).map(written).collect(), right: Vec::new() },
        }
    }

    /// Sheets that were handed out must be read the same way for ever: these orders never change.
    /// The expected ones were worked out by another writing of both algorithms, in another language.
    #[test]
    fn an_order_is_pinned() {
        let list = [question("one", 4, false), question("two", 5, false), question("three", 3, true)];
        let asked = shuffled(&list, Stream::new(20_260_516).next());
        let said: Vec<(&str, &[usize])> =
            asked.iter().map(|asked| (asked.question.id.as_str(), asked.choices.as_slice())).collect();
        let expected: [(&str, &[usize]); 3] =
            [("three", &[0, 1, 2]), ("two", &[3, 2, 1, 4, 0]), ("one", &[3, 2, 0, 1])];
        assert_eq!(said, expected);
    }

    #[test]
    fn the_season_gives_a_seed() {
        assert_eq!(seed_of_season("2026"), 2026);
        assert_eq!(seed_of_season("Spring 2026/27"), 202_627);
        assert_eq!(seed_of_season("first"), 1);
    }
}
