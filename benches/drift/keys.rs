//! Makes wrong keys: each question whose right answer follows from a fact, with its key changed.

use super::truth::{Fact, Truth};
use super::{Kind, Plant};
use packstring::program::questions::{Kind as Asked, RightChoice};
use packstring::program::{Program, Written};
use packstring::understand::Understood;

/// The right choice with a digit changed, another choice made right too, the key's words changed, the key
/// turned to another fact. What is left true or undecided is not planted: another fact only where none of
/// the choices states it, or where it is of another unit than is asked for.
pub fn of_questions(program: &Program) -> Vec<Plant> {
    let understood = Understood::new(program);
    let mut plants = Vec::new();
    for question in &program.content.questions.list {
        match &question.kind {
            Asked::Choice { choices, right: RightChoice::Fact(fact) } => {
                let Some(truth) = truth_of(&understood, &fact.text) else { continue };
                let right = choices.iter().find(|choice| truth.holds(&choice.text) == Some(true));
                let Some(right) = right else { continue };
                plants.extend(drifted(&right.text).into_iter().filter_map(|now| {
                    (truth.holds(&now) == Some(false)).then(|| plant(right, &fact.text, now))
                }));
                let others = choices.iter().filter(|choice| choice.text != right.text);
                plants.extend(others.map(|other| plant(other, &fact.text, format!("{} ", right.text))));
                plants.extend(other_facts(program, fact).filter_map(|other| {
                    let truth = truth_of(&understood, other)?;
                    let none = choices.iter().all(|choice| truth.holds(&choice.text) == Some(false));
                    none.then(|| plant(fact, &fact.text, other.to_owned()))
                }));
            }
            Asked::Choice { choices: _, right: RightChoice::Words(words) } => {
                plants.push(plant(words, "", format!("{}s", words.text)));
            }
            Asked::Several { right, .. } => {
                plants.extend(right.iter().map(|words| plant(words, "", format!("{}s", words.text))));
            }
            Asked::Figure { fact, .. } => {
                let unit = |name: &str| match truth_of(&understood, name) {
                    Some(Truth::One(fact)) => fact.unit,
                    _ => None,
                };
                let Some(own) = unit(&fact.text) else { continue };
                let apart = |other: &&str| unit(other).is_some_and(|other| other.kind != own.kind);
                plants.extend(
                    other_facts(program, fact)
                        .filter(apart)
                        .map(|other| plant(fact, &fact.text, other.to_owned())),
                );
            }
            Asked::NameSome { .. } | Asked::Open { .. } => {}
        }
    }
    plants
}

fn truth_of<'u>(understood: &'u Understood, fact: &str) -> Option<Truth<'u>> {
    let limit = understood.fact(fact)?.limit;
    Some(Truth::One(Fact::new(understood.held(fact)?, limit)))
}

fn other_facts<'p>(program: &'p Program, fact: &'p Written) -> impl Iterator<Item = &'p str> {
    program.content.facts.iter().map(|fact| fact.name.as_str()).filter(|name| *name != fact.text)
}

fn plant(at: &Written, fact: &str, now: String) -> Plant {
    Plant {
        kind: Kind::QuestionKey,
        backed: true,
        file: at.place.file.to_string(),
        range: at.place.range.clone(),
        new: now.clone(),
        fact: fact.to_owned(),
        was: at.text.clone(),
        now,
    }
}

fn drifted(words: &str) -> Vec<String> {
    let digits = words.char_indices().filter(|(_, letter)| letter.is_ascii_digit());
    digits
        .flat_map(|(at, digit)| {
            let others = ('1'..='9').filter(move |other| *other != digit);
            others.map(move |other| format!("{}{other}{}", &words[..at], &words[at + 1..]))
        })
        .collect()
}
