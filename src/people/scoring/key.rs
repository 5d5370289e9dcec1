//! What is right, worked out from the facts at the person's event: for scoring and for the answer key.

use crate::program::Written;
use crate::program::questions::RightChoice;
use crate::understand::Understood;

/// Which choices are right: the one with the words, or the one that agrees with the fact. None where
/// the fact does not tell exactly one.
pub fn right_choices(understood: &Understood, choices: &[Written], right: &RightChoice) -> Vec<bool> {
    let marks: Vec<bool> = match right {
        RightChoice::Words(words) => choices.iter().map(|choice| choice.text == words.text).collect(),
        RightChoice::Fact(fact) => {
            let held = understood.held(&fact.text);
            let states_only = |choice: &Written, held| {
                understood.language_for(&choice.place.file).states_only(&choice.text, held)
            };
            choices.iter().map(|choice| held.is_some_and(|held| states_only(choice, held))).collect()
        }
    };
    let is_one = marks.iter().filter(|right| **right).count() == 1;
    if is_one { marks } else { vec![false; choices.len()] }
}

/// Which of several choices are right.
pub fn right_of_several(choices: &[Written], right: &[Written]) -> Vec<bool> {
    choices.iter().map(|choice| right.iter().any(|right| right.text == choice.text)).collect()
}

/// A fact in its own wording, or its value with the limit that it sets: `at least 200 feet`.
pub fn words_with_limit(understood: &Understood, name: &str) -> Option<String> {
    let unworded = understood.fact(name).filter(|fact| fact.wording.is_none());
    let said = unworded.and_then(|fact| understood.said(fact));
    said.or_else(|| understood.own_words(name))
}

/// A choice's letter: A to Z, then AA, AB and on.
pub fn letter(at: usize) -> String {
    let last = char::from(b'A' + (at % 26) as u8);
    if at < 26 { last.to_string() } else { format!("{}{last}", letter(at / 26 - 1)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn choices_have_letters_however_many_there_are() {
        assert_eq!([0, 25, 26, 52].map(letter), ["A", "Z", "AA", "BA"]);
    }
}
