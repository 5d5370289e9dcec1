//! What is right can no longer be told from a question's choices and its fact.

use super::unit_unfit::unknown_units;
use super::{Check, Find};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::program::facts::Stated;
use crate::program::questions::{Kind, Question, RightChoice};
use crate::program::{Fact, Written};
use crate::quantity::{self, Agreement, Held};
use crate::statements::PrintContext;
use crate::understand::{Carrier, Passage};

pub static RULE: Rule = Rule {
    name: "question-key-lost",
    level: Level::Error,
    settable: Settable::Yes,
    summary: "A question's right answer cannot be worked out from its choices or its fact.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let mut findings = Vec::new();
    for question in &print.understood.content.questions.list {
        match &question.kind {
            Kind::Choice { choices, right: RightChoice::Fact(fact) } => {
                let found = by_fact(print, question, choices, fact);
                findings.extend(found.or_else(|| explained_otherwise(print, question, fact)));
            }
            Kind::Figure { fact, unit } => {
                let found = figure(print, question, fact, unit.as_deref());
                findings.extend(found.or_else(|| explained_otherwise(print, question, fact)));
            }
            // Right words that are none of the choices are told when the file is read.
            Kind::Choice { .. } | Kind::Several { .. } | Kind::NameSome { .. } | Kind::Open { .. } => {}
        }
    }
    findings
}

/// Whether a choice states what the fact says, in the language that the choice is in.
fn states_only(print: &PrintContext, choice: &Written, held: &Held) -> bool {
    print.understood.language_for(&choice.place.file).states_only(&choice.text, held)
}

/// Of the choices, exactly one must agree with the fact.
fn by_fact(
    print: &PrintContext,
    question: &Question,
    choices: &[Written],
    name: &Written,
) -> Option<Finding> {
    let fact = print.fact(&name.text)?;
    let held = match held(print, question, fact, name) {
        Ok(held) => held?,
        Err(finding) => return Some(*finding),
    };
    let agreeing: Vec<&Written> = choices.iter().filter(|choice| states_only(print, choice, held)).collect();
    let (message, says) = match agreeing[..] {
        [_] => return None,
        [] => (
            format!("No choice of the question “{}” agrees with the fact “{}”.", question.id, fact.name),
            choices.iter().map(|choice| choice.text.as_str()).collect::<Vec<_>>().join(", "),
        ),
        _ => (
            format!(
                "{} choices of the question “{}” agree with the fact “{}”.",
                agreeing.len(),
                question.id,
                fact.name
            ),
            agreeing.iter().map(|choice| choice.text.as_str()).collect::<Vec<_>>().join(", "),
        ),
    };
    Some(
        Finding::of(&RULE, &name.place, message)
            .says(says)
            .fact_says(print.quote(fact))
            .mend("Word the choices so that exactly one is what the fact says."),
    )
}

/// A figure is asked for: the fact must have one, in the unit that is asked.
fn figure(print: &PrintContext, question: &Question, name: &Written, unit: Option<&str>) -> Option<Finding> {
    let fact = print.fact(&name.text)?;
    let held = match held(print, question, fact, name) {
        Ok(held) => held?,
        Err(finding) => return Some(*finding),
    };
    let asked = unit?;
    let asked_unit = print.understood.language_for(&question.place.file).unit_called(asked);
    let fits = asked_unit.as_ref().is_some_and(|unit| quantity::say(held, Some(unit)).is_ok());
    (!fits).then(|| {
        let message = format!(
            "The question “{}” asks for “{asked}”, which the fact “{}” is not in.{}",
            question.id,
            fact.name,
            unknown_units(asked_unit.as_ref(), Some(held))
        );
        Finding::of(&RULE, &question.place, message)
            .says(asked)
            .fact_says(print.quote(fact))
            .mend("Ask for a unit of the same kind as the fact's.")
    })
}

/// The prose of a question quotes facts, but neither its key's nor one that goes with it (worked from
/// it, or what it is worked from): the key names another fact than is asked for.
fn explained_otherwise(print: &PrintContext, question: &Question, key: &Written) -> Option<Finding> {
    let understood = print.understood;
    let of_question = |passage: &&Passage| passage.carrier == Carrier::Question(&question.id);
    let prose = || understood.passages.iter().filter(of_question);
    let quoted: Vec<&str> =
        prose().flat_map(|passage| &passage.backed).map(|(_, backed)| backed.fact.as_str()).collect();
    let states_key = |held| {
        let mut figures = prose().flat_map(|passage| passage.figures.iter());
        figures.any(|figure| quantity::agree(figure, held) == Agreement::Agrees)
    };
    let works_from = |fact: &str, from: &str| {
        understood.worth.get(fact).is_some_and(|worth| worth.worked_from.iter().any(|name| name == from))
    };
    let goes_with =
        |fact: &&str| *fact == key.text || works_from(fact, &key.text) || works_from(&key.text, fact);
    let stated = understood.held(&key.text).is_some_and(states_key);
    if quoted.is_empty() || stated || quoted.iter().any(goes_with) {
        return None;
    }
    let fact = print.fact(&key.text)?;
    let message = format!(
        "The key of the question “{}” is the fact “{}”, but its own words quote “{}”.",
        question.id,
        fact.name,
        quoted.join("”, “")
    );
    let finding = Finding::of(&RULE, &key.place, message)
        .says(&*key.text)
        .fact_says(print.quote(fact))
        .mend("Name the fact that is asked for, or quote it in the explanation too.");
    Some(finding.weighs(Level::Warning))
}

/// The quantity of a question's fact. `None` where it could not be read, which is told at the fact.
fn held<'g>(
    print: &'g PrintContext,
    question: &Question,
    fact: &Fact,
    name: &Written,
) -> Result<Option<&'g Held>, Box<Finding>> {
    if matches!(fact.stated, Stated::Series(_)) {
        let message =
            format!("The question “{}” asks for a series, which has more than one figure.", question.id);
        let finding = Finding::of(&RULE, &name.place, message).says(&*name.text).fact_says(print.quote(fact));
        return Err(Box::new(finding.mend("Name a fact with one value.")));
    }
    Ok(print.understood.held(&fact.name))
}
