//! Answers that choose: which of the choices somebody means, and whether it is the right one.

use super::key;
use super::wording::{folded, is_slip};
use super::{Judged, quoted};
use crate::languages::{Vocabulary, has};
use crate::program::Written;
use crate::quantity::{self, Amount, Language};

/// The choices of a question as they stood on the person's sheet.
pub(super) struct Sheet<'c> {
    pub choices: &'c [Written],
    /// Which choices are right, in the order of the file.
    pub right: Vec<bool>,
    /// For each place on the sheet, which choice stood there.
    pub order: &'c [usize],
    /// The language in which the choices stood there: as figures are read in it, and its words.
    pub language: &'c Language,
    pub words: &'static Vocabulary,
}

impl Sheet<'_> {
    pub fn one(&self, answer: &str) -> Judged {
        if !self.right.contains(&true) {
            return Judged::look("undecided-facts", &[]);
        }
        match self.chosen(answer) {
            Some(at) => {
                let (chosen, right) = (self.quote(at), self.right_words());
                let judged = match self.right[at] {
                    true => Judged::right("chooses", &[("chosen", &chosen)]),
                    false => Judged::wrong("chooses-wrong", &[("chosen", &chosen), ("right", &right)]),
                };
                Judged { chosen: Some(chosen), ..judged }
            }
            None => match self.chosen_of_several(answer) {
                Some(chosen) if chosen.len() > 1 => Judged::look("more-than-one", &[]),
                _ => Judged::look("which-one", &[]),
            },
        }
    }

    pub fn several(&self, answer: &str) -> Judged {
        if !self.right.contains(&true) {
            return Judged::look("undecided-questions", &[]);
        }
        let Some(chosen) = self.chosen_of_several(answer) else {
            return Judged::look("which-ones", &[]);
        };
        let all = 0..self.choices.len();
        let of = |is: &dyn Fn(usize) -> bool| {
            all.clone()
                .filter(|at| is(*at))
                .map(|at| quoted(&self.choices[at].text))
                .collect::<Vec<_>>()
                .join(", ")
        };
        let missing = of(&|at| self.right[at] && !chosen.contains(&at));
        let too_many = of(&|at| !self.right[at] && chosen.contains(&at));
        let (out, also) = (("missing", missing.as_str()), ("extra", too_many.as_str()));
        let judged = match (missing.is_empty(), too_many.is_empty()) {
            (true, true) => Judged::right("all-right", &[]),
            (false, true) => Judged::wrong("leaves-out", &[out]),
            (true, false) => Judged::wrong("also-chooses", &[also]),
            (false, false) => Judged::wrong("leaves-out-and-chooses", &[out, also]),
        };
        Judged { chosen: Some(of(&|at| chosen.contains(&at))), ..judged }
    }

    fn quote(&self, at: usize) -> String {
        quoted(&self.choices[at].text)
    }

    fn right_words(&self) -> String {
        let right = (0..self.choices.len()).filter(|at| self.right[*at]);
        right.map(|at| self.quote(at)).collect::<Vec<_>>().join(", ")
    }

    /// The one choice that an answer means: by its words, its letter, or both where they agree.
    fn chosen(&self, answer: &str) -> Option<usize> {
        if let Some(at) = self.by_words(answer) {
            let by_letter = self.by_letter(answer);
            // A choice that reads like another one's letter could be either.
            return (by_letter.is_none() || by_letter == Some(at)).then_some(at);
        }
        if let Some(at) = self.by_letter(answer) {
            return Some(at);
        }
        // "B) 6 feet": the letter and the words must agree.
        if let Some((mark, rest)) = answer.split_once([')', '.', ':', ',', '-', '–', ' '])
            && let Some(by_letter) = self.by_letter(mark)
            && let Some(by_words) = self.by_words(rest)
        {
            return (by_letter == by_words).then_some(by_words);
        }
        self.by_figure(answer).or_else(|| self.by_slip(answer))
    }

    fn by_words(&self, answer: &str) -> Option<usize> {
        let answer = folded(answer);
        let mut same = (0..self.choices.len()).filter(|at| folded(&self.choices[*at].text) == answer);
        same.next().filter(|_| same.next().is_none() && !answer.is_empty())
    }

    fn by_letter(&self, answer: &str) -> Option<usize> {
        let mark = answer.trim_matches(|letter: char| !letter.is_alphanumeric()).to_uppercase();
        let place = (0..self.order.len()).find(|place| key::letter(*place) == mark)?;
        Some(self.order[place])
    }

    /// "6 ft" for "6 feet": the one choice that states the same figure.
    fn by_figure(&self, answer: &str) -> Option<usize> {
        let stated = self.language.read_one(answer).ok()?;
        let mut same = (0..self.choices.len()).filter(|at| {
            self.language.read_one(&self.choices[*at].text).is_ok_and(|choice| {
                stated.limit == choice.limit
                    && stated.hedge == choice.hedge
                    && stated.dual.is_none()
                    && choice.dual.is_none()
                    && same_quantity(&stated.quantity, &choice.quantity)
            })
        });
        same.next().filter(|_| same.next().is_none())
    }

    /// The one choice that the answer misspells.
    fn by_slip(&self, answer: &str) -> Option<usize> {
        let answer = folded(answer);
        let mut near = (0..self.choices.len()).filter(|at| {
            let choice = folded(&self.choices[*at].text);
            let (one, other): (Vec<&str>, Vec<&str>) =
                (answer.split(' ').collect(), choice.split(' ').collect());
            one.len() == other.len()
                && one.iter().zip(&other).all(|(one, other)| one == other || is_slip(one, other, self.words))
        });
        near.next().filter(|_| near.next().is_none())
    }

    /// The choices that an answer names: by words that stand one after the other, or by letters. `None`
    /// where a part of it means no choice.
    fn chosen_of_several(&self, answer: &str) -> Option<Vec<usize>> {
        if let Some(at) = self.chosen(answer) {
            return Some(vec![at]);
        }
        let named = self.letters(answer).or_else(|| self.one_after_the_other(answer));
        let named = named.or_else(|| self.part_by_part(answer, &['\n', ';', '|']));
        let mut chosen = named.or_else(|| self.part_by_part(answer, &['\n', ';', '|', ',', '&', '+']))?;
        chosen.sort_unstable();
        chosen.dedup();
        Some(chosen)
    }

    /// Each part means one choice, or some of them.
    fn part_by_part(&self, answer: &str, marks: &[char]) -> Option<Vec<usize>> {
        let parts = answer.split(marks).map(str::trim).filter(|part| !part.is_empty());
        let mut chosen = Vec::new();
        for part in parts {
            match self.chosen(part) {
                Some(at) => chosen.push(at),
                None => chosen.extend(self.one_after_the_other(part)?),
            }
        }
        Some(chosen)
    }

    /// `ACD`, `A, C and D`, `a c d`.
    fn letters(&self, answer: &str) -> Option<Vec<usize>> {
        let upper = answer.to_uppercase();
        let parts = upper.split(|letter: char| !letter.is_alphanumeric()).filter(|part| !part.is_empty());
        let mut chosen = Vec::new();
        let is_and = |part: &&str| has(&self.words.answers.and, &part.to_lowercase());
        for part in parts.filter(|part| !is_and(part)) {
            for letter in part.chars() {
                chosen.push(self.by_letter(&letter.to_string())?);
            }
        }
        (!chosen.is_empty()).then_some(chosen)
    }

    /// Forms write the marked choices one after the other, also those with commas in them.
    fn one_after_the_other(&self, answer: &str) -> Option<Vec<usize>> {
        let mut rest = format!("{} ", folded(answer));
        let mut chosen = Vec::new();
        let mut longest_first: Vec<usize> = (0..self.choices.len()).collect();
        longest_first.sort_by_key(|at| std::cmp::Reverse(self.choices[*at].text.len()));
        while !rest.trim().is_empty() {
            let begins = |at: &usize| {
                let choice = format!("{} ", folded(&self.choices[*at].text));
                choice.len() > 1 && rest.starts_with(&choice)
            };
            let Some(at) = longest_first.iter().copied().find(begins) else {
                let mut ands = self.words.answers.and.iter();
                rest = ands.find_map(|and| rest.strip_prefix(and)?.strip_prefix(' '))?.to_owned();
                continue;
            };
            rest = rest[folded(&self.choices[at].text).len() + 1..].to_owned();
            chosen.push(at);
        }
        Some(chosen)
    }
}

fn same_quantity(one: &quantity::Quantity, other: &quantity::Quantity) -> bool {
    let same =
        |a: &quantity::Exact, b: &quantity::Exact| one.unit.convert(a, &other.unit).as_ref() == Some(b);
    match (&one.amount, &other.amount) {
        (Amount::One(a), Amount::One(b)) => same(a, b),
        (Amount::Range(low, high), Amount::Range(other_low, other_high)) => {
            same(low, other_low) && same(high, other_high)
        }
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Place;
    use crate::people::scoring::Verdict;

    fn english() -> &'static Vocabulary {
        crate::languages::of_or_none("en")
    }

    fn choices(words: &[&str]) -> Vec<Written> {
        words.iter().map(|words| Written { text: (*words).into(), place: Place::whole("q") }).collect()
    }

    fn one(words: &[&str], right: usize, order: &[usize], answer: &str) -> Verdict {
        let choices = choices(words);
        let right = (0..choices.len()).map(|at| at == right).collect();
        Sheet { choices: &choices, right, order, language: &Language::default(), words: english() }
            .one(answer)
            .verdict
    }

    const ROPES: [&str; 4] = ["3 feet", "6 feet", "12 feet", "20 feet"];

    #[test]
    fn a_choice_is_known_by_words_letter_figure_and_slip() {
        for right in
            ["6 feet", " 6 Feet. ", "B", "b)", "(B)", "B) 6 feet", "B: 6 feet", "6 ft", "six feet", "2 yards"]
        {
            assert_eq!(one(&ROPES, 1, &[0, 1, 2, 3], right), Verdict::Right, "{right}");
        }
        for wrong in ["3 feet", "A", "12 ft", "D. 20 feet"] {
            assert_eq!(one(&ROPES, 1, &[0, 1, 2, 3], wrong), Verdict::Wrong, "{wrong}");
        }
        for look in
            ["A) 6 feet", "E", "7 feet", "A or B", "A, B", "short", "at least 6 feet", "6", "B 12 feet"]
        {
            assert_eq!(one(&ROPES, 1, &[0, 1, 2, 3], look), Verdict::Look, "{look}");
        }
        let words = ["Wrapped around the hand", "Folded back and forth in the hand"];
        assert_eq!(one(&words, 1, &[0, 1], "Foldet back and forth in the hand"), Verdict::Right);
        assert_eq!(one(&words, 1, &[0, 1], "in the hand"), Verdict::Look);
        assert_eq!(one(&["Safe", "Unsafe"], 1, &[0, 1], "safe"), Verdict::Wrong);
    }

    #[test]
    fn letters_are_those_of_the_person_s_sheet() {
        assert_eq!(one(&ROPES, 1, &[3, 1, 0, 2], "B"), Verdict::Right);
        assert_eq!(one(&ROPES, 1, &[1, 3, 0, 2], "A"), Verdict::Right);
        assert_eq!(one(&ROPES, 1, &[1, 3, 0, 2], "B"), Verdict::Wrong);
        // a choice that reads as another one's letter
        assert_eq!(one(&["B", "A"], 0, &[0, 1], "A"), Verdict::Look);
    }

    #[test]
    fn several_choices_in_every_form() {
        let choices =
            choices(&["Step off, downhill", "Hide", "Stand in plain sight", "Talk to you and the horse"]);
        let language = Language::default();
        let sheet = || Sheet {
            choices: &choices,
            right: vec![true, false, true, true],
            order: &[0, 1, 2, 3],
            language: &language,
            words: english(),
        };
        for right in [
            "A, C, D",
            "ACD",
            "a c d",
            "A, C and D",
            "Step off, downhill, Stand in plain sight, Talk to you and the horse",
            "Talk to you and the horse;Step off, downhill;Stand in plain sight",
            "Step off, downhill and stand in plain sight and talk to you and the horse",
            "Stand in plain sihgt; Step off, downhill; D",
        ] {
            assert_eq!(sheet().several(right).verdict, Verdict::Right, "{right}");
        }
        assert_eq!(sheet().several("A, C").reason.to_string(), "It leaves out “Talk to you and the horse”.");
        assert_eq!(sheet().several("ABCD").reason.to_string(), "It also chooses “Hide”.");
        for look in ["all of them", "A, E", "step away", "everything but B"] {
            assert_eq!(sheet().several(look).verdict, Verdict::Look, "{look}");
        }
    }
}
